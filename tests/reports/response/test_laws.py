"""Laws that hold for every drum: doubt and bad signs only ever make the advice stricter."""

from dataclasses import replace
from datetime import date

from hypothesis import given, settings
from hypothesis import strategies as st

from reports.facts import DrumFact
from reports.response.absorbents import absorbent_advice, absorbent_conflict
from reports.response.conditions import Surroundings
from reports.response.methods import method_tables
from reports.response.overpacks import overpack_need
from reports.response.protective_equipment import ensemble
from reports.response.stop_rules import stop_lines, stop_rules
from survey.catalogue.containers import container, containers
from survey.catalogue.materials import materials, resistance
from survey.catalogue.product import Product
from survey.catalogue.products import UNIDENTIFIED, catalogue
from survey.vocabulary import BreachKind, Closure, ConditionSign, KitKind, LabelState, Sighting
from tests.reports.response.situations import AS_OF, around, breach, drum, kit_item

metres = st.floats(0, 20)
named_metres = st.lists(st.tuples(st.sampled_from(["one", "other"]), metres), max_size=2).map(tuple)
known_products = st.sampled_from(catalogue().products)


@st.composite
def drums(draw: st.DrawFn) -> DrumFact:
    kinds = draw(st.lists(st.sampled_from(BreachKind), max_size=2))
    return replace(
        drum(),
        product=draw(known_products),
        container=container(draw(st.sampled_from([*containers(), "unknown", None]))),
        signs=draw(st.frozensets(st.sampled_from(ConditionSign), max_size=4)),
        label=draw(st.sampled_from(LabelState)),
        label_read=draw(st.booleans()),
        identified=draw(st.booleans()),
        closure=draw(st.sampled_from(Closure)),
        sighting=draw(st.sampled_from(Sighting)),
        inhibitor_until=draw(st.none() | st.dates(date(2025, 1, 1), date(2027, 12, 31))),
        breaches=tuple(breach(kind, draw(st.none() | st.floats(1, 200))) for kind in kinds),
    )


@st.composite
def surroundings(draw: st.DrawFn) -> Surroundings:
    return around(
        unidentified=draw(named_metres),
        heat_sources=draw(named_metres),
        bulging_nearby=draw(st.booleans()),
        stack_unstable=draw(st.booleans()),
        stack_not_inspected=draw(st.booleans()),
        wetted=draw(st.booleans()),
        technicians_min=draw(st.none() | st.floats(1, 240)),
    )


def rules(found: DrumFact, near: Surroundings) -> set[str]:
    return {line.cite.rule for line in stop_lines(found, near)}


@settings(max_examples=120, deadline=None)
@given(drums(), surroundings(), st.sampled_from(ConditionSign))
def test_adding_a_sign_never_removes_a_stop_line(found: DrumFact, near: Surroundings, sign: ConditionSign) -> None:
    worse = replace(found, signs=found.signs | {sign})
    assert rules(found, near) <= rules(worse, near)


@settings(max_examples=120, deadline=None)
@given(drums(), surroundings())
def test_replacing_a_known_product_by_unidentified_never_shortens_the_list(found: DrumFact, near: Surroundings) -> None:
    nameless = replace(found, product=UNIDENTIFIED)
    before, after = stop_lines(found, near), stop_lines(nameless, near)
    covered = {rule.cite.rule for rule in stop_rules() if rule.covered_when_unidentified}
    assert len(after) >= max(1, len(before))
    assert rules(found, near) - covered <= rules(nameless, near)
    assert "S40" in rules(nameless, near)


@settings(max_examples=120, deadline=None)
@given(drums(), surroundings())
def test_worse_surroundings_never_remove_a_stop_line(found: DrumFact, near: Surroundings) -> None:
    worse = replace(
        near,
        unidentified=(*near.unidentified, ("third", 0.4)),
        heat_sources=(*near.heat_sources, ("heater", 0.5)),
        bulging_nearby=True,
        stack_unstable=True,
        stack_not_inspected=True,
        wetted=True,
    )
    assert rules(found, near) <= rules(found, worse)


@settings(max_examples=120, deadline=None)
@given(drums(), surroundings())
def test_one_drum_has_a_stop_line_or_a_method_never_both(found: DrumFact, near: Surroundings) -> None:
    lines = stop_lines(found, near)
    tables = method_tables([found], {found.id: lines})
    assert bool(lines) != bool(tables)


@settings(max_examples=120, deadline=None)
@given(drums())
def test_every_breach_on_record_has_a_row(found: DrumFact) -> None:
    if not found.product.identified:
        return
    (table,) = method_tables([found], {found.id: ()})
    assert sum(row.present for row in table.rows) >= len(found.breaches)
    assert all(row.method or row.not_here for row in table.rows)
    shown = [row.present for row in table.rows]
    assert shown == sorted(shown, reverse=True), "what is breached now comes first"


@settings(max_examples=120, deadline=None)
@given(st.lists(known_products, max_size=4), known_products)
def test_unidentified_never_lowers_the_ensemble(products: list[Product], one: Product) -> None:
    assert ensemble([*products, UNIDENTIFIED]).level <= ensemble([*products, one]).level
    assert ensemble([*products, one]).level <= ensemble([one]).level, "a further product never lowers it"


@settings(max_examples=120, deadline=None)
@given(drums(), st.sampled_from(ConditionSign))
def test_adding_a_sign_never_makes_an_overpack_possible(found: DrumFact, sign: ConditionSign) -> None:
    worse = replace(found, signs=found.signs | {sign})
    if not overpack_need(found, AS_OF).possible:
        assert not overpack_need(worse, AS_OF).possible
    assert not overpack_need(replace(found, product=UNIDENTIFIED), AS_OF).possible


@settings(max_examples=120, deadline=None)
@given(drums())
def test_materials_named_by_a_method_stand_up_to_the_product(found: DrumFact) -> None:
    """The check is the one of the catalogue, so that method and kit cannot part."""
    for table in method_tables([found], {found.id: ()}):
        for row in table.rows:
            for named in row.materials:
                material = max((name for name in materials() if named.startswith(name)), key=len)
                assert resistance(material, found.product).acceptable, named


@settings(max_examples=120, deadline=None)
@given(known_products, st.sampled_from(["sawdust", "unmarked bags", "paper roll"]))
def test_what_is_refused_for_a_product_is_refused_for_unidentified(product: Product, name: str) -> None:
    item = kit_item(KitKind.ABSORBENT, name)
    if absorbent_conflict(item, product) is not None:
        assert absorbent_conflict(item, UNIDENTIFIED) is not None
    (advice,) = absorbent_advice([product])
    assert advice.product == product.name
    assert advice.use
