"""The assessment as a whole: empty, deterministic, plain JSON, and never a method beside a stop line."""

import json
import math

import pytest
from hypothesis import HealthCheck, Phase, given, settings

from reports.assessment import as_json
from reports.assessor import assess
from reports.gather import gather
from survey.bundle import Survey
from survey.tables.floor import HeatSourceFields
from tests.builders import SurveyBuilder
from tests.demo_sites import DAY, demo_assessment, demo_facts
from tests.reports.judged import a_store, judged, stock
from tests.strategies import surveys


def test_an_empty_site() -> None:
    empty = judged(SurveyBuilder())
    assert empty.floors == ()
    assert empty.coverage.total == 0
    assert empty.coverage.identified_share == 0
    assert empty.stand_off is None


def test_a_floor_without_stock() -> None:
    bare = judged(a_store())
    assert bare.floors[0].pallets == ()
    assert bare.floors[0].pairs == ()


@pytest.mark.parametrize("letter", "ABC")
def test_the_same_facts_give_the_same_assessment(letter: str) -> None:
    assert assess(demo_facts(letter)) == demo_assessment(letter)


@pytest.mark.parametrize("letter", "ABC")
def test_json_is_strict(letter: str) -> None:
    text = json.dumps(as_json(demo_assessment(letter)), allow_nan=False)
    assert json.loads(text)["site"] == demo_assessment(letter).site


@pytest.mark.parametrize("letter", "ABC")
def test_no_method_beside_a_stop_line(letter: str) -> None:
    for floor in demo_assessment(letter).floors:
        stopped = {drum for pallet in floor.pallets for drum in pallet.stopped_drums}
        assert stopped
        for zone in floor.zones:
            for table in zone.methods:
                assert stopped.isdisjoint(table.drums)


@pytest.mark.parametrize("letter", "ABC")
def test_every_line_of_advice_names_its_source(letter: str) -> None:
    assessment = demo_assessment(letter)
    cites = [finding.cite for finding in assessment.findings]
    cites += [line.cite for line in assessment.stops]
    cites += [action.cite for action in assessment.first_actions]
    cites += [
        row.cite for floor in assessment.floors for zone in floor.zones for table in zone.methods for row in table.rows
    ]
    assert cites
    assert all(cite.rule and cite.source for cite in cites)


@pytest.mark.parametrize("letter", "ABC")
def test_counts_add_up(letter: str) -> None:
    assessment = demo_assessment(letter)
    for floor in assessment.floors:
        assert sum(pallet.drums + pallet.empty for pallet in floor.pallets) == sum(
            zone.drums + zone.empty for zone in floor.zones
        )
        assert math.isclose(sum(pallet.litres for pallet in floor.pallets), sum(zone.litres for zone in floor.zones))
        assert sorted(zone.rank for zone in floor.zones) == list(range(1, len(floor.zones) + 1))


def test_an_unstable_stack_with_an_alarm_keeps_everybody_out() -> None:
    build = a_store()
    stock(build, "P1", (3, 3), "toluene", stable="no")
    stock(build, "P2", (12, 3), "toluene")
    assert judged(build).no_entry == ""
    assert any(zone.methods for zone in judged(build).floors[0].zones)
    stock(build, "P3", (17, 3), "toluene", signs=["bulging"])
    assert judged(build).no_entry
    assert all(not zone.methods for zone in judged(build).floors[0].zones)


def test_a_stop_line_of_any_open_reading_stops_the_drum() -> None:
    build = a_store()
    build.pallet("P1", (5, 5), read=False)
    build.reading("A. One")
    build.drum("P1-1", "toluene", label="legible", container_code="1A1")
    build.reading("B. Two")
    build.drum("P1-1", None, label="none", container_code="1A1")
    (zone,) = judged(build).floors[0].zones
    assert zone.methods == ()
    assert judged(build).floors[0].pallets[0].stopped_drums == ("P1-1",)


def test_a_disputed_pallet_is_stopped_by_any_of_its_readings_whatever_the_drums_are_called() -> None:
    build = a_store()
    build.pallet("P1", (5, 5), read=False)
    build.reading("A. One")
    build.drum("P1-1", "sodium-hydrogen-sulphate", label="legible", container_code="1A1")
    build.reading("B. Two")
    build.drum("left", "styrene-stabilised", label="legible", container_code="1A1", inhibitor_until="2020-01-01")
    (zone,) = judged(build).floors[0].zones
    assert zone.methods == ()


def test_crystals_in_the_reading_that_does_not_govern_keep_everybody_out() -> None:
    build = a_store()
    build.pallet("P1", (5, 5), read=False)
    build.reading("A. One")
    for number in range(3):
        build.drum(f"a-{number}", "toluene", label="legible")
    build.reading("B. Two")
    build.drum("b-1", "tetrahydrofuran", label="legible", signs=["crystals at closure"])
    assert "crystals" in judged(build).no_entry


def test_an_alarm_beside_pallets_nobody_read_keeps_everybody_out() -> None:
    build = a_store()
    stock(build, "P1", (3, 3), "toluene", signs=["bulging"])
    assert judged(build).no_entry == ""
    build.pallet("P2", (9, 3), read=False, sighting="not seen")
    assert "P2" in judged(build).no_entry


def test_a_peroxide_near_heat_is_stopped_at_the_published_separation() -> None:
    for x_m, stopped in ((9.0, True), (12.0, False)):
        build = a_store()
        stock(build, "P1", (5, 5), "mek-peroxide-solution")
        build.add("heat_sources", HeatSourceFields, name="Heater", kind="unit heater", at=(x_m, 5))
        near_heat = [line for line in judged(build).stops if line.cite.rule == "S20"]
        assert bool(near_heat) is stopped
        assert judged(build).floors[0].pallets[0].stopped_drums, "its temperature is not on record either way"


def test_needs_are_those_of_the_reading_that_asks_for_most() -> None:
    build = a_store()
    build.pallet("P1", (5, 5), read=False)
    build.reading("A. One")
    for number in range(2):
        build.drum(f"a-{number}", "toluene", label="legible", container_code="1A1", capacity_l=208, fill_pct=10)
    build.reading("B. Two")
    build.drum("b-1", "hydrochloric-acid-32", label="legible", container_code="1H1", capacity_l=208, fill_pct=100)
    assessment = judged(build)
    assert {(row.material, row.needed) for row in assessment.overpacks} == {("steel", 2), ("poly", 1)}
    assert assessment.floors[0].pallets[0].litres == 208
    assert assessment.coverage.total == 2


def test_a_set_aside_correction_corrects_nothing() -> None:
    build = a_store()
    build.pallet("P1", (5, 5), read=False)
    first = build.reading("A. One")
    build.drum("a-1", "acetone", label="legible", signs=["bulging"])
    build.reading("B. Two", replaces_id=first.id, inclusion="set aside")
    build.drum("b-1", "acetone", label="legible")
    assert judged(build).stand_off is not None
    assert judged(build).stand_off.drums == ("a-1",)  # type: ignore[union-attr]


def test_a_drum_nobody_looked_over_has_its_methods_under_a_caution() -> None:
    build = a_store()
    stock(build, "P1", (3, 3), "toluene", signs_checked=False)
    stock(build, "P2", (15, 3), "toluene")
    (zone,) = judged(build).floors[0].zones
    assert any("look from a distance first" in table.caution and "P1-1" in table.caution for table in zone.methods)


# Generated without shrinking: a whole survey shrinks too slowly to be worth the wait.
@pytest.mark.filterwarnings("error::RuntimeWarning")
@settings(max_examples=40, deadline=None, phases=[Phase.generate], suppress_health_check=list(HealthCheck))
@given(surveys())
def test_any_survey_can_be_judged(survey: Survey) -> None:
    assessment = assess(gather(survey, as_of=DAY))
    json.dumps(as_json(assessment), allow_nan=False)
    for floor in assessment.floors:
        stopped = {drum for pallet in floor.pallets for drum in pallet.stopped_drums}
        for zone in floor.zones:
            for table in zone.methods:
                assert stopped.isdisjoint(table.drums)
