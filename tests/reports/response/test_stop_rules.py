"""Stop rules: the golden situations and their twins, and what every line must say."""

from dataclasses import replace

import pytest

from reports.facts import DrumFact
from reports.response.conditions import Surroundings, parse
from reports.response.methods import method_tables
from reports.response.stop_rules import stop_lines, stop_rules
from survey.vocabulary import ConditionSign as Sign
from survey.vocabulary import LabelState, YesNoUnknown
from tests.reports.response.golden_stops import STOPS, GoldenStop, with_signs
from tests.reports.response.situations import AS_OF, around, drum


def rules(found: DrumFact, surroundings: Surroundings) -> list[str]:
    return [line.cite.rule for line in stop_lines(found, surroundings)]


@pytest.mark.parametrize("case", STOPS, ids=lambda case: case.title)
def test_situation_is_stopped_and_its_twin_is_not(case: GoldenStop) -> None:
    twin, twin_around = replace(case.drum, **case.twin), replace(case.around, **case.twin_around)
    assert case.rule in rules(case.drum, case.around)
    assert rules(twin, twin_around) == [*case.twin_stops]
    lines = stop_lines(twin, twin_around)
    assert bool(method_tables([twin], {twin.id: lines})) is not bool(case.twin_stops), (
        "a twin that is free gets a method"
    )


@pytest.mark.parametrize("case", STOPS, ids=lambda case: case.title)
def test_stopped_drum_gets_no_method(case: GoldenStop) -> None:
    lines = stop_lines(case.drum, case.around)
    assert method_tables([case.drum], {case.drum.id: lines}) == ()


def test_there_are_enough_of_them_and_each_names_its_basis() -> None:
    assert len({case.title for case in STOPS}) == len(STOPS) >= 26
    assert sum(case.leak_control for case in STOPS) >= 14
    assert all(case.basis for case in STOPS)
    assert all(case.twin or case.twin_around for case in STOPS)


def test_every_rule_has_a_situation() -> None:
    assert {case.rule for case in STOPS} == {rule.cite.rule for rule in stop_rules()}


def test_quiet_drum_has_no_stop_line() -> None:
    assert stop_lines(drum(), around()) == ()


@pytest.mark.parametrize(
    "harmless",
    [
        Sign.ODOUR_REPORTED,
        Sign.LEAKING,
        Sign.WET_RING,
        Sign.PITTED,
        Sign.CHIME_RUST,
        Sign.CHIME_DENT,
        Sign.WALL_DENT,
        Sign.PATCHED,
    ],
)
def test_signs_that_call_for_care_but_not_for_a_stop(harmless: Sign) -> None:
    assert stop_lines(drum(signs=with_signs(harmless)), around()) == ()


@pytest.mark.parametrize("case", STOPS, ids=lambda case: case.title)
def test_line_names_the_drum_and_says_what_to_do_instead(case: GoldenStop) -> None:
    for line in stop_lines(case.drum, case.around):
        assert case.drum.name in line.sentence
        assert line.because.endswith(".")
        assert line.instead.endswith(".")
        assert line.cite.source
        assert "{" not in line.sentence + line.because + line.instead


def test_lines_come_worst_first() -> None:
    lines = stop_lines(drum("unidentified", signs=with_signs(Sign.BULGING, Sign.HEAVY_RUST)), around())
    assert [line.weight for line in lines] == sorted(line.weight for line in lines)
    assert lines[0].cite.rule == "S10"


def test_nearest_neighbour_and_travel_time_are_named() -> None:
    surroundings = around(unidentified=(("B30-4", 1.2), ("B30-3", 0.4)), technicians_min=None)
    (line,) = stop_lines(drum(), surroundings)
    assert "B30-3, 0.40 m and 1 more" in line.sentence
    assert "travel time not on record" in line.instead


@pytest.mark.parametrize("case", [case for case in STOPS if case.rule not in {"S05"}], ids=lambda case: case.title)
def test_line_says_which_drain_is_to_be_covered_where_that_is_known(case: GoldenStop) -> None:
    known = replace(case.around, first_drain="drain D7 (reached first)")
    (line,) = (line for line in stop_lines(case.drum, known) if line.cite.rule == case.rule)
    assert "over drain D7 (reached first)" in line.instead
    (line,) = (line for line in stop_lines(case.drum, case.around) if line.cite.rule == case.rule)
    assert "over every drain it can run to" in line.instead


def test_what_an_entry_lacks_is_named() -> None:
    lacking = around(backup_crew=YesNoUnknown.UNKNOWN, decontamination=YesNoUnknown.NO)
    (line,) = stop_lines(drum(), lacking)
    assert "back-up crew: not on record; decontamination place: none" in line.sentence
    assert "way out" not in line.sentence


def test_what_nobody_recorded_is_not_there() -> None:
    """Surroundings made without a word on entries stop every drum: no silent default lets a method through."""
    silent = Surroundings((), False, False, False, (), None, AS_OF)
    assert rules(drum(), silent) == ["S70"]
    assert rules(drum("toluene-diisocyanate"), silent) == ["S45", "S70"]


def test_bulging_drum_is_not_touched_at_all() -> None:
    (line,) = stop_lines(drum("acetone", signs=with_signs(Sign.BULGING)), around())
    for word in ("plug", "patch", "moving", "overpack"):
        assert f"no {word}" in line.sentence
    assert "Withdraw" in line.instead


def test_crystals_ask_for_no_radio_and_no_impact() -> None:
    (line,) = stop_lines(drum("tetrahydrofuran", signs=with_signs(Sign.CRYSTALS_AT_CLOSURE)), around())
    assert "shock-sensitive" in line.because
    assert "no radio" in line.instead


@pytest.mark.parametrize(
    "when",
    [
        "",
        "sgin=bulging",
        "sign=bulging & wall=weak",
        "sign=bulgin",
        "sign=",
        "trait=flamable",
        "product=tolueen",
        "backup_crew=yes",
        "heat_within_m=near",
        "heat_within_m=1|2",
    ],
)
def test_condition_that_cannot_be_read_is_refused(when: str) -> None:
    with pytest.raises(ValueError, match=r"blank|is not a|one distance|could not convert"):
        parse(when)


def test_product_in_doubt_has_every_trait_a_rule_asks_for() -> None:
    near_heat = around(heat_sources=(("steam pipe", 2.0),))
    assert "S20" not in rules(drum("toluene"), near_heat)
    assert "S20" in rules(drum("unidentified"), near_heat)
    assert "S20" in rules(drum("toluene", label=LabelState.CONTRADICTS_CONTENT), near_heat)
