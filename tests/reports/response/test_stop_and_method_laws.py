"""Laws of stop rules and methods for any product, also one entered by hand: doubt only ever makes advice stricter."""

from dataclasses import replace
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from reports.facts import DrumFact
from reports.response.advice import MethodTable, StepLine
from reports.response.conditions import Surroundings
from reports.response.kit import kit_material_conflict
from reports.response.method_rules import highly_volatile, method_steps
from reports.response.methods import method_tables
from reports.response.stop_rules import stop_lines, stop_rules
from survey.catalogue.materials import wall_resistance
from survey.catalogue.product import Form, Product, Trait
from survey.catalogue.products import UNIDENTIFIED, catalogue
from survey.vocabulary import BreachKind, ConditionSign, KitKind, LabelState, YesNoUnknown
from tests.builders import SurveyBuilder
from tests.reports.judged import a_store, judged
from tests.reports.response.situations import around, breach, drum, kit_item

MATERIAL_STEPS = {step.cite.rule: step for step in method_steps() if step.needs}


@st.composite
def products(draw: st.DrawFn) -> Product:
    """A product of the catalogue, or one like it with any traits, as somebody may enter it from a data sheet."""
    product = draw(st.sampled_from(catalogue().products))
    traits = draw(st.frozensets(st.sampled_from(Trait), max_size=4))
    return draw(st.sampled_from([product, replace(product, traits=product.traits | traits, presumed=traits)]))


@st.composite
def drums(draw: st.DrawFn) -> DrumFact:
    kinds = draw(st.lists(st.sampled_from(BreachKind), max_size=2))
    code = draw(st.sampled_from(["1A1", "1A2", "1B1", "1H1", "1G", "6HA1", "1D", None]))
    return replace(
        drum("toluene", code, stainless=draw(st.booleans())),
        product=draw(products()),
        signs=draw(st.frozensets(st.sampled_from(ConditionSign), max_size=3)),
        label=draw(st.sampled_from(LabelState)),
        label_read=draw(st.booleans()),
        identified=draw(st.booleans()),
        fill_known=draw(st.booleans()),
        breaches=tuple(breach(kind, draw(st.none() | st.floats(0.5, 200))) for kind in kinds),
    )


@st.composite
def surroundings(draw: st.DrawFn) -> Surroundings:
    answers = st.sampled_from([YesNoUnknown.YES, YesNoUnknown.YES, *YesNoUnknown])
    near = st.lists(st.tuples(st.sampled_from(["one", "other"]), st.floats(0, 20)), max_size=2).map(tuple)
    return around(
        unidentified=draw(near),
        heat_sources=draw(near),
        bulging_nearby=draw(st.booleans()),
        stack_not_inspected=draw(st.booleans()),
        wetted=draw(st.booleans()),
        backup_crew=draw(answers),
        way_out=draw(answers),
        decontamination=draw(answers),
        vapour_suits=draw(st.booleans()),
    )


def rules(found: DrumFact, near: Surroundings) -> set[str]:
    return {line.cite.rule for line in stop_lines(found, near)}


def table(found: DrumFact) -> MethodTable:
    (only,) = method_tables([found], {found.id: ()})
    return only


def taken(found: DrumFact) -> set[tuple[str, str]]:
    """Which steps are taken for which breach, without those that only warn and need no hand at the drum."""
    return {
        (row.breach, step.cite.rule)
        for row in table(found).rows
        for step in row.steps
        if not step.refused and step.stage in {"reposition", "prepare", "tighten", "plug", "patch"}
    }


WARNINGS = {step.cite.rule for step in method_steps() if step.only}
"""Steps said only of products of some trait: they add a caution and open no wall."""


@settings(max_examples=150, deadline=None)
@given(drums(), surroundings())
def test_unidentified_never_shortens_the_list_whatever_the_traits(found: DrumFact, near: Surroundings) -> None:
    nameless = replace(found, product=UNIDENTIFIED)
    covered = {rule.cite.rule for rule in stop_rules() if rule.covered_when_unidentified}
    assert len(stop_lines(nameless, near)) >= max(1, len(stop_lines(found, near)))
    assert rules(found, near) - covered <= rules(nameless, near)
    assert len(covered) == 1, "the line on unidentified contents can stand in for one rule, not for two"


@settings(max_examples=150, deadline=None)
@given(drums(), surroundings(), st.sampled_from(Trait))
def test_a_further_trait_never_removes_a_stop_line(found: DrumFact, near: Surroundings, trait: Trait) -> None:
    worse = replace(found, product=replace(found.product, traits=found.product.traits | {trait}))
    assert rules(found, near) <= rules(worse, near)


@settings(max_examples=150, deadline=None)
@given(drums(), surroundings(), st.sampled_from(["backup_crew", "way_out", "decontamination"]))
def test_what_is_no_longer_known_to_be_there_never_removes_a_stop_line(
    found: DrumFact, near: Surroundings, lost: str
) -> None:
    changed: dict[str, Any] = {lost: YesNoUnknown.UNKNOWN}
    assert rules(found, near) <= rules(found, replace(near, **changed))
    assert "S70" in rules(found, replace(near, **changed))
    assert rules(found, near) <= rules(found, replace(near, vapour_suits=False))


@settings(max_examples=120, deadline=None)
@given(drums(), st.sampled_from(Trait))
def test_a_further_trait_never_opens_a_step(found: DrumFact, trait: Trait) -> None:
    """Nor does one that a data sheet leaves open; to say that a product burns only when warm is to say it is calmer."""
    product = found.product
    if trait in product.traits:
        return
    open_answer = replace(product, traits=product.traits | {trait}, presumed=product.presumed | {trait})
    worse = replace(found, product=open_answer)
    assert {rule for _, rule in taken(worse) - taken(found)} <= WARNINGS


@settings(max_examples=120, deadline=None)
@given(drums(), st.sampled_from(sorted(set(ConditionSign) - {ConditionSign.MISSING_BUNG, ConditionSign.OPEN_FUNNEL})))
def test_a_further_sign_never_opens_a_step(found: DrumFact, sign: ConditionSign) -> None:
    """A missing bung or an open funnel is a breach of its own, and so a row of its own; every other sign only bars."""
    quiet = replace(found, signs=found.signs - {ConditionSign.LEAKING})
    worse = replace(quiet, signs=quiet.signs | {sign})
    opened = {(row, rule) for row, rule in taken(worse) - taken(quiet) if "not found yet" not in row}
    assert not opened


@settings(max_examples=120, deadline=None)
@given(drums())
def test_an_empty_cell_of_the_resistance_table_never_becomes_a_permission(found: DrumFact) -> None:
    """A product of which no chart says anything gets no step that lays a material into it."""
    blank = replace(found, product=replace(found.product, resistance_class=None))
    steps = [step for row in table(blank).rows for step in row.steps if not step.refused]
    assert not {step.cite.rule for step in steps} & MATERIAL_STEPS.keys()
    assert not any(step.material for step in steps)
    assert taken(blank) <= taken(found)


def test_a_wall_without_a_grade_is_trusted_no_more_than_one_that_its_product_attacks() -> None:
    """Whatever the chart refuses for a wall stays unrolled and unsqueezed when the chart's cell is emptied."""
    attacked = 0
    for product in catalogue().products:
        for code, stainless in (("1A1", False), ("1A1", True), ("1B1", False), ("1H1", False)):
            found = drum(product.key, code, stainless=stainless, breaches=(breach(BreachKind.PUNCTURE, 12),))
            if not wall_resistance(found.container.wall, product).refused or product.form is Form.SOLID:
                continue
            attacked += 1
            blank = replace(found, product=replace(product, resistance_class=None))
            for each in (found, blank):
                assert not {"T02", "T41"} & {rule for _, rule in taken(each)}, (product.key, code)
    assert attacked > 50


def test_an_open_answer_never_makes_a_product_calmer() -> None:
    """That it burns only when warm counts once somebody says so, not while a safety data sheet leaves it open."""
    solvent = replace(catalogue().by_key["dichloromethane"], vapour_pressure_pa=None)
    open_answer = replace(solvent, traits=solvent.traits | {Trait.COMBUSTIBLE}, presumed=frozenset({Trait.COMBUSTIBLE}))
    answered = replace(open_answer, presumed=frozenset())
    assert [highly_volatile(each) for each in (solvent, open_answer, answered)] == [True, True, False]
    assert highly_volatile(replace(answered, from_sheet=True)), "a sheet without a vapour pressure says nothing"


@settings(max_examples=120, deadline=None)
@given(drums())
def test_method_and_kit_check_materials_alike(found: DrumFact) -> None:
    """What a method names is no conflict as kit, and what a method refuses for its material is one."""

    def conflict(material: str) -> bool:
        item = kit_item(KitKind.PLUG, "Plug set", material)
        return kit_material_conflict(item, found.product) is not None

    for step in (step for row in table(found).rows for step in row.steps):
        if step.refused:
            by_material = step.cite.rule in MATERIAL_STEPS
            if by_material:
                needs = MATERIAL_STEPS[step.cite.rule].needs
                assert any(all(map(conflict, need.materials)) for need in needs), step
            continue
        for material in _named(step):
            assert not conflict(material), step


def _named(step: StepLine) -> list[str]:
    known = sorted(
        {material for each in MATERIAL_STEPS.values() for need in each.needs for material in need.materials},
        key=len,
        reverse=True,
    )
    return [next(name for name in known if part.startswith(name)) for part in step.material.split("; ") if part]


@pytest.mark.parametrize(
    ("material", "key", "fits"),
    [
        ("wood", "toluene-diisocyanate", False),
        ("wood", "toluene", True),
        ("wood", "hydrogen-peroxide-35", False),
        ("PTFE", "hydrogen-peroxide-35", True),
        ("nitrile", "acetone", False),
        ("EPDM", "acetone", True),
    ],
)
def test_material_check_of_method_and_kit_by_hand(material: str, key: str, *, fits: bool) -> None:
    """Wood and isocyanate: moisture makes foam (recalled); wood and oxidiser: EPA-600/2-80-076 pair 104-101 (read)."""
    found = drum(key, stainless=True, breaches=(breach(BreachKind.PUNCTURE, 12),))
    (row,) = (row for row in table(found).rows if row.present)
    named = any(part.startswith(material) for part in row.materials)
    item = kit_item(KitKind.PLUG, "Plug set", material)
    assert (kit_material_conflict(item, found.product) is None) is fits
    assert fits or not named


@st.composite
def stores(draw: st.DrawFn) -> tuple[SurveyBuilder, set[str]]:
    """A small store with pallets read once or twice, and the names of all drums of doubly read pallets."""
    build = a_store()
    disputed: set[str] = set()
    stocked = st.sampled_from(["toluene", "lubricating-oil", "ethylene-glycol", "styrene-stabilised", None])
    signs = st.sampled_from([[], [], ["heavy rust"], ["bulging"], ["crystals at closure"], ["leaking"]])
    for number in range(draw(st.integers(1, 2))):
        build.pallet(f"P{number}", (3 + 10 * number, 5), read=False)
        readings = draw(st.integers(1, 3))
        for reader in range(readings):
            build.reading(f"Reader {reader}")
            name = f"P{number}-r{reader}"
            product = draw(stocked)
            label = "legible" if product else "none"
            build.drum(
                name, product, label=label, container_code="1A1", signs=draw(signs), inhibitor_until="2030-01-01"
            )
            disputed |= {name} if readings > 1 else set()
    return build, disputed


@settings(max_examples=40, deadline=None)
@given(stores())
def test_no_drum_with_a_stop_line_stands_in_a_method_table_in_any_open_reading(
    store: tuple[SurveyBuilder, set[str]],
) -> None:
    build, disputed = store
    assessment = judged(build)
    stopped = {line.drum for line in assessment.stops}
    methods = {
        name for floor in assessment.floors for zone in floor.zones for table in zone.methods for name in table.drums
    }
    assert not stopped & methods
    for name in disputed & methods:
        pallet = name.split("-")[0]
        assert not any(other.startswith(f"{pallet}-") for other in stopped), "the other reading stops it too"
