"""Methods: the golden advice and its twins, and how tables, rows and steps hang together.

The rules on screws, wedges, wax, wire brushes, forklifts and caps are common practice without a published source; the
square-ended plug and the pad overlap are from US Army TM 55-1915-200 and NAVEDTRA 14057 (read); no wood on oxidisers
rests on EPA-600/2-80-076 pairs 2-101, 104-101 and 30-101 (read).
"""

from collections.abc import Sequence
from dataclasses import replace
from itertools import product
from typing import Any

import pytest

from reports.facts import DrumFact
from reports.response.advice import MethodRow, MethodTable, StopLine, Who
from reports.response.method_rules import STAGES, Case, State, method_steps
from reports.response.methods import method_tables
from reports.response.stop_rules import stop_lines
from survey.catalogue.containers import Wall
from survey.catalogue.products import catalogue
from survey.vocabulary import BreachKind, Closure
from survey.vocabulary import ConditionSign as Sign
from tests.reports.response.golden_methods import CAUTION, METHODS, GoldenMethod
from tests.reports.response.situations import around, breach, drum


def table(found: DrumFact) -> MethodTable:
    (only,) = method_tables([found], {found.id: ()})
    return only


def row(found: DrumFact, word: str) -> MethodRow:
    return next(entry for entry in table(found).rows if word in entry.breach)


def refused(found: DrumFact, word: str) -> str:
    return " | ".join(row(found, word).not_here)


PUNCTURE = (breach(BreachKind.PUNCTURE, 12),)
PINHOLE = (breach(BreachKind.PINHOLE, 2),)
TEAR = (breach(BreachKind.TEAR, length_mm=60),)
WEEP = (breach(BreachKind.BUNG_WEEP),)


def text_of(case: GoldenMethod, found: DrumFact, beside: Sequence[DrumFact]) -> str:
    """Everything that the row, or the caution, of this drum's table says."""
    every = [found, *beside]
    tables = method_tables(every, {one.id: () for one in every})
    own = next(each for each in tables if found.name in each.drums)
    if case.row == CAUTION:
        return own.caution
    rows = [each for each in own.rows if each.present] or list(own.rows)
    wanted = [each for each in rows if case.row in each.breach] or rows
    one = wanted[0]
    return " ".join((one.first_move, one.method, *one.not_here, *one.materials))


@pytest.mark.parametrize("case", METHODS, ids=lambda case: case.title)
def test_golden_advice_and_its_twin(case: GoldenMethod) -> None:
    said = text_of(case, case.drum, case.beside)
    twin = text_of(case, replace(case.drum, **case.twin), case.twin_beside)
    assert case.holds in said
    assert case.holds not in twin
    if case.instead:
        assert case.instead in twin
        assert case.instead not in said


def test_there_are_enough_of_them_and_each_names_its_basis() -> None:
    assert len({case.title for case in METHODS}) == len(METHODS) >= 26
    assert sum(case.leak_control for case in METHODS) >= 14
    assert all(case.basis for case in METHODS)
    assert all(case.twin or case.beside for case in METHODS)


def test_every_step_and_every_bar_can_come_up() -> None:
    """No row of the tables is dead: one that no drum can bring out would be a rule that only looks like one."""
    keys = (
        "toluene",
        "dichloromethane",
        "hydrogen-peroxide-35",
        "tetrahydrofuran",
        "sodium-hydroxide-50",
        "toluene-diisocyanate",
        "zinc-dust",
        "nitric-acid-68",
        "mek-peroxide-solution",
    )
    met: set[str] = set()
    for key, wall, kind in product(keys, Wall, BreachKind):
        case = Case(catalogue().by_key[key], wall, frozenset(Sign), frozenset(State), 1000.0, present=True)
        for step in method_steps():
            if step.belongs(kind, case):
                met |= {step.cite.rule, *(bar.cite.rule for bar in step.bars if bar.speaks(case))}
    assert {step.cite.rule for step in method_steps()} <= met
    assert {bar.cite.rule for step in method_steps() for bar in step.bars} <= met


def test_no_driven_wedge_and_no_screw_in_plastic_but_pressed_wedges() -> None:
    slit = row(drum("sodium-hydroxide-50", "1H1", breaches=TEAR), "slit")
    assert "driven plug or wedge: not here" in " ".join(slit.not_here)
    assert "screw: not here" in " ".join(slit.not_here)
    assert "Press in wedges of rubber or polymer" in slit.method
    steel = row(drum("ethylene-glycol", breaches=TEAR), "slit")
    assert not any("driven plug" in step for step in steel.not_here)


def test_wax_is_refused_on_corrosives_only() -> None:
    assert "waxed plug: not here" in refused(drum("sodium-hydroxide-50", "1H1", breaches=TEAR), "slit")
    assert "waxed plug" not in refused(drum("toluene", breaches=TEAR), "slit")


def test_forklift_is_refused_where_vapour_can_burn() -> None:
    assert "forklift: not here, because its motor can light the vapour" in table(drum("toluene")).caution
    oil = table(drum("hydraulic-oil")).caution
    assert "A forklift with a drum attachment may turn it, never through the pool." in oil
    assert "not here" not in oil


def test_non_sparking_tools_where_flammable() -> None:
    assert "Non-sparking tools only; without them stop and call for help" in table(drum("acetone")).caution
    assert "on-sparking" not in table(drum("hydraulic-oil")).caution


def test_square_ended_plug_and_pad_overlap_are_named() -> None:
    method = row(drum("ethylene-glycol", breaches=PUNCTURE), "puncture").method
    assert "square-ended" in method
    assert "50 mm (2 in)" in method


def test_stages_come_in_the_order_crews_work() -> None:
    method = row(drum("ethylene-glycol", breaches=PUNCTURE), "puncture").method
    places = [method.index(word) for word in ("Brush", "plug", "putty", "Strap")]
    assert places == sorted(places)


def test_corroded_area_is_not_squeezed() -> None:
    corroded = row(drum("ethylene-glycol", breaches=(breach(BreachKind.CORRODED_AREA),)), "corroded")
    assert corroded.first_move == "Leave it where it stands."
    assert "tears when it is squeezed" in " ".join(corroded.not_here)
    assert "pumping over" in corroded.method


def test_fibre_drum_gets_no_plug_and_stays_dry() -> None:
    fibre = row(drum("sodium-chlorate", "1G", breaches=PUNCTURE), "fibre")
    assert "Keep it dry" in fibre.method
    assert "plug, strap or wet method: not here" in " ".join(fibre.not_here)


def test_wall_not_on_record_gets_no_plug() -> None:
    hole = row(drum("toluene", None, breaches=PUNCTURE), "wall not on record")
    assert "lug" not in hole.method.replace("plugging an outer drum", "")
    assert hole.materials == ()


def test_row_names_the_materials_that_stand_up() -> None:
    nitric = row(drum("nitric-acid-68", "1A1", stainless=True, breaches=PUNCTURE), "puncture")
    assert any(named.startswith("PTFE plug: excellent") for named in nitric.materials)
    assert not any(named.startswith(("wood", "natural rubber", "neoprene", "nitrile")) for named in nitric.materials)
    caustic = row(drum("sodium-hydroxide-50", "1H1", breaches=TEAR), "slit")
    assert "neoprene wedges: excellent" in caustic.materials
    acetone = row(drum("acetone", breaches=PUNCTURE), "puncture")
    assert not any(named.startswith("nitrile") for named in acetone.materials)


def test_recalled_grades_say_verify() -> None:
    toluene = row(drum("toluene", breaches=PUNCTURE), "puncture")
    assert "wood plug: good (verify)" in toluene.materials
    assert "nitrile plug: fair" in toluene.materials


def test_product_without_grades_gets_no_material() -> None:
    nothing = row(drum("acetonitrile", breaches=PUNCTURE), "puncture")
    assert nothing.materials == ()
    assert "nothing on record says what stands up" in " ".join(nothing.not_here)


def test_present_breach_comes_first_and_names_its_drum() -> None:
    rows = table(drum("toluene", breaches=PUNCTURE, name="A05-2")).rows
    assert [entry.present for entry in rows] == [True] + [False] * (len(rows) - 1)
    assert "A05-2, now" in rows[0].breach


def test_leak_without_a_breach_on_record_is_one_not_found_yet() -> None:
    rows = table(drum("toluene", signs=frozenset({Sign.LEAKING}))).rows
    assert rows[0].present
    assert "not found yet" in rows[0].breach
    assert not any(entry.present for entry in table(drum("toluene")).rows)


def test_missing_bung_is_a_bung_row_now() -> None:
    rows = table(drum("toluene", signs=frozenset({Sign.MISSING_BUNG}))).rows
    assert rows[0].breach == "bung or cap weeping (X01-1, now)"


def test_two_breaches_of_one_drum_are_both_said() -> None:
    rows = table(drum("toluene", breaches=(*PUNCTURE, *PINHOLE))).rows
    assert sum(entry.present for entry in rows) == 2


def test_rows_offered_depend_on_wall_head_and_closure() -> None:
    def labels(found: DrumFact) -> str:
        return " | ".join(entry.breach for entry in table(found).rows)

    assert "pinhole" in labels(drum("toluene", "1A1"))
    assert "ring or lid" not in labels(drum("toluene", "1A1"))
    assert "ring or lid" in labels(drum("toluene", "1A2"))
    assert "crack in plastic" in labels(drum("sodium-hydroxide-50", "1H1"))
    assert "valve" not in labels(drum("toluene"))
    assert "valve" in labels(drum("toluene", closure=Closure.VALVE))
    assert "solid contents" in labels(drum("sodium-hydrosulphite", "1A2"))


def test_all_of_it_is_for_technicians_and_temporary() -> None:
    only = table(drum("toluene", breaches=PUNCTURE))
    assert {entry.who for entry in only.rows} == {Who.TECHNICIAN}
    assert "technicians only" in only.caution
    assert "temporary" in only.caution
    assert "Mark it" in only.caution
    assert "Look again every few minutes" in only.caution


def test_identity_from_one_source_asks_for_a_second() -> None:
    assert "second source first" in table(drum(identified=False)).caution
    assert "second source" not in table(drum()).caution


def test_toxic_by_inhalation_asks_for_vapour_suits() -> None:
    assert "vapour-protective suits or no entry" in table(drum("toluene-diisocyanate")).caution
    assert "vapour-protective" not in table(drum("toluene")).caution


def test_wall_that_does_not_suit_the_product_is_questioned() -> None:
    assert "drum and name belong together" in table(drum("nitric-acid-68", "1A1")).caution
    assert "belong together" not in table(drum("nitric-acid-68", "1A1", stainless=True)).caution


def test_drums_are_grouped_by_product_and_wall() -> None:
    found = [
        drum("toluene", name="A05-1"),
        drum("toluene", name="A05-2"),
        drum("toluene", "1H1", name="A05-3"),
        drum("acetone", name="A10-1"),
    ]
    tables = method_tables(found, {one.id: () for one in found})
    assert [(each.product, each.wall, each.drums) for each in tables] == [
        ("Acetone", "steel", ("A10-1",)),
        ("Toluene", "plastic", ("A05-3",)),
        ("Toluene", "steel", ("A05-1", "A05-2")),
    ]


def test_stopped_drum_is_left_out_of_its_group() -> None:
    sound, bulging = drum(name="A10-1"), drum(name="A10-2", signs=frozenset({Sign.BULGING}))
    stops: dict[Any, tuple[StopLine, ...]] = {one.id: stop_lines(one, around()) for one in (sound, bulging)}
    (only,) = method_tables([sound, bulging], stops)
    assert only.drums == ("A10-1",)


def test_drum_that_was_not_asked_about_is_an_error_not_a_permission() -> None:
    with pytest.raises(KeyError):
        method_tables([drum()], {})


def test_unidentified_and_empty_drums_get_no_table() -> None:
    nameless, empty = drum("unidentified", name="A09-1"), drum(name="A09-2", empty_uncleaned=True, fill_l=0.0)
    assert method_tables([nameless, empty], {nameless.id: (), empty.id: ()}) == ()


def test_no_drums_no_tables() -> None:
    assert method_tables([], {}) == ()


def test_steps_stand_in_the_order_of_work_with_their_rules() -> None:
    for found in (drum("toluene", breaches=PUNCTURE), drum("nitric-acid-68", "1A1", breaches=(*TEAR, *WEEP))):
        only = table(found)
        for entry in only.rows:
            places = [STAGES.index(step.stage) for step in entry.steps]
            assert places == sorted(places)
            assert all(step.cite.rule and step.cite.source for step in entry.steps)
        assert {step.stage for step in only.steps} <= {"before", "after"}
        assert [step.text for step in only.steps][-1].startswith("Look again")


def test_steps_say_what_the_row_says() -> None:
    entry = row(drum("nitric-acid-68", "1A1", stainless=True, breaches=PUNCTURE), "puncture")
    refused = [step for step in entry.steps if step.refused]
    assert [f"{step.text}: not here, because {step.because}" for step in refused] == list(entry.not_here)
    assert all(step.text in entry.first_move + entry.method for step in entry.steps if not step.refused)
    assert all(not step.because for step in entry.steps if not step.refused)
    named = {material for step in entry.steps if not step.refused for material in step.material.split("; ") if material}
    assert named == set(entry.materials)


def test_a_refused_step_cites_what_bars_it() -> None:
    entry = row(drum("toluene", breaches=PINHOLE), "pinhole")
    (screw,) = (step for step in entry.steps if step.text == "self-tapping screw")
    (taken,) = (
        step for step in row(drum("ethylene-glycol", breaches=PINHOLE), "pinhole").steps if "sheet-metal" in step.text
    )
    assert screw.cite.rule.startswith("TB")
    assert taken.cite.rule.startswith("T3")
