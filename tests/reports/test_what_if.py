"""What-if questions on small surveys: what is assumed, what is refused, what a measure changes."""

from dataclasses import replace
from typing import Any

import pytest
from shapely import LineString, Point

from geometry.errors import GeometryRefused
from geometry.spill_flow import FlowCancelled
from reports.assessment.what_if import HoleKind, HolePlace, WhatIf, WhatIfAnswer
from reports.assessor import assess
from reports.facts import SiteFacts
from reports.floors.leaks import drum_leaks
from reports.gather import gather
from reports.what_if import what_if
from survey.tables.floor import LevelFields
from survey.vocabulary import Orientation
from tests.builders import SurveyBuilder
from tests.demo_sites import DAY


def a_store(**drum: Any) -> SiteFacts:
    build = SurveyBuilder()
    build.floor(width_m=12, depth_m=8, finish="bare concrete", perimeter_tight="yes")
    build.wall("W1", [(6.8, 0), (6.8, 8)], tight_at_floor="unknown")
    build.drain("G1", (6, 4), joins="storm")
    build.drain("G2", (7.4, 4), joins="storm")
    build.drain("G3", joins="storm")
    build.zone("A", [(0, 0), (6, 0), (6, 8), (0, 8)])
    build.pallet("P1", at=(4.5, 4))
    build.drum("P1-1", **{"product": "toluene", "container_code": "1A1", "fill_pct": 100, **drum})
    return gather(build.survey(), as_of=DAY)


def asked(facts: SiteFacts, **changes: Any) -> WhatIf:
    drum = facts.floors[0].pallets[0].drums[0]
    question = WhatIf(
        drum_id=drum.id,
        hole=HoleKind.SLOT,
        size_mm=10,
        length_mm=100,
        place=HolePlace.WALL,
        along_mm=0,
        clock_deg=180,
        orientation=None,
        closed=False,
        at=None,
        dams=(),
        covered_drains=(),
        shut_doors=(),
        until_min=3,
    )
    return replace(question, **changes)


def answered(facts: SiteFacts, **changes: Any) -> WhatIfAnswer:
    return what_if(facts, asked(facts, **changes), cell_m=0.2)


def test_a_doubtful_wall_lets_liquid_through_at_the_far_end_only() -> None:
    answer = answered(a_store())
    assert [drain.name for drain in answer.far.drains] == ["G1", "G2"]  # G3 was not found: it has no place
    assert answer.far.drains[1].first_min is not None
    assert answer.near.drains[1].first_min is None
    assert "lets liquid through" in answer.far.assumes
    assert "holds" in answer.near.assumes


def test_unknown_viscosity_is_thin_where_early_counts_and_thick_where_late_does() -> None:
    answer = answered(a_store(product=None))
    assert (answer.far.viscosity_mm2_s, answer.near.viscosity_mm2_s) == pytest.approx((0.4, 100))
    assert "viscosity not known, taken as a thin solvent" in answer.far.assumes
    assert "viscosity not known, taken as an oil" in answer.near.assumes


def test_numbers_at_rest_are_those_of_the_assessment() -> None:
    facts = a_store()
    (floor,) = assess(facts).floors
    reach = next(reach for reach in floor.drains[0].reaches if reach.drain == "G1")
    answer = answered(facts, hole=HoleKind.ALL_AT_ONCE, size_mm=None, length_mm=None)
    g1 = {drain.name: drain for drain in answer.far.drains}["G1"]
    assert (g1.verdict, g1.most_l) == (reach.verdict, pytest.approx(reach.litres.high))
    (pallet,) = floor.pallets
    assert pallet.one_drum is not None
    assert answer.far.rest is not None
    assert answer.far.rest.area_m2 == pytest.approx(pallet.one_drum.thin.area_m2)
    assert answer.leak.first_l_min is None


def test_how_the_drum_stands_is_as_asked_as_recorded_or_said_not_to_be() -> None:
    unknown = "how the drum stands is {}: taken with the hole lowest, where most runs out"
    assert answered(a_store()).leak.orientation == unknown.format("not recorded")
    assert answered(a_store(orientation="inverted")).leak.orientation == "on its head, as recorded"
    lying = answered(a_store(orientation="inverted"), orientation=Orientation.LYING)
    assert lying.leak.orientation == "lying, as asked"
    doubted = answered(a_store(orientation="inverted"), orientation=Orientation.UNKNOWN)
    assert doubted.leak.orientation == unknown.format("not known, as asked")


@pytest.mark.parametrize("place", [{"along_mm": 700}, {"place": HolePlace.TOP_HEAD}, {"clock_deg": 0}])
def test_of_a_drum_whose_orientation_nobody_recorded_all_runs_out(place: dict[str, Any]) -> None:
    unknown = answered(a_store(), **place)
    assert (unknown.leak.leaves_l, unknown.leak.stays_l) == pytest.approx((208.198, 0), abs=1e-3)
    for orientation in (Orientation.UPRIGHT, Orientation.LYING, Orientation.INVERTED):
        known = answered(a_store(orientation=orientation.value), **place).leak
        assert known.leaves_l <= unknown.leak.leaves_l + 1e-9
        assert (known.first_l_min or 0.0) <= (unknown.leak.first_l_min or 0.0) + 1e-9
    assert unknown.turning.endswith("the hole may pass below the liquid on the way.")
    assert "less than with the hole lowest" in unknown.turning


def test_a_breach_of_unknown_orientation_leaks_in_a_what_if_as_on_the_clock() -> None:
    facts = a_store(breaches=[{"kind": "puncture", "place": "high", "size_mm": 10, "length_mm": 100}])
    recorded = next(each for each in drum_leaks(facts.floors[0].pallets[0].drums[0]) if each.recorded)
    asked_about = answered(facts, along_mm=700).leak
    assert asked_about.leaves_l == pytest.approx(recorded.leak.leaves_m3 * 1000)
    assert asked_about.first_l_min == pytest.approx(recorded.leak.flow_m3_s[0] * 60_000)
    assert asked_about.stop_min == pytest.approx(recorded.leak.stop_s / 60)


def test_a_hole_above_the_liquid_wets_nothing() -> None:
    answer = answered(a_store(fill_pct=50, orientation="upright"), along_mm=700)
    assert (answer.leak.leaves_l, answer.leak.stays_l) == pytest.approx((0, 104.1), abs=0.1)
    for end in (answer.far, answer.near):
        assert (end.wet, end.rest, end.at_rest_min, end.in_drum_l) == ((), None, 0, pytest.approx(104.1, abs=0.1))
        assert {(drain.first_min, drain.litres) for drain in end.drains} == {(None, 0)}


def test_a_dam_round_the_drum_keeps_everything_in() -> None:
    dam = LineString([(3.5, 3), (5.5, 3), (5.5, 5), (3.5, 5), (3.5, 3)])
    answer = answered(a_store(), dams=(dam,))
    assert answer.far.drains[0].litres == 0
    assert answer.far_without is not None
    assert answer.far_without.drains[0].litres > 0
    assert answer.changes[0].startswith("Drain G1: nothing within 3 min (not reached in the end, at most 0 L), instead")
    assert max(wet.area_m2 for wet in answer.far.wet) <= 4 + 1e-9


def test_a_move_is_held_against_the_place_on_record() -> None:
    answer = answered(a_store(), at=Point(1, 1))
    assert answer.far_without is not None
    assert answer.source == Point(1, 1)
    assert answer.far_without.drains[0].first_min is not None
    later = answer.far.drains[0].first_min
    assert later is None or later > answer.far_without.drains[0].first_min


def test_shares_of_all_runs_add_up_and_the_work_can_be_given_up() -> None:
    facts, shares = a_store(), list[float]()

    def heard(share: float) -> bool:
        shares.append(share)
        return len(shares) < 1000

    what_if(facts, asked(facts, dams=(LineString([(5, 0), (5, 1)]),)), cell_m=0.2, heard=heard)
    assert shares == sorted(shares)
    assert 0 <= min(shares) <= max(shares) <= 1
    with pytest.raises(FlowCancelled):
        what_if(facts, asked(facts), cell_m=0.2, heard=lambda _: False)


def test_a_drum_of_no_standing_reading_is_refused() -> None:
    facts = a_store()
    stranger = replace(asked(facts), drum_id=facts.floors[0].id)
    with pytest.raises(GeometryRefused, match="one of a reading that stands"):
        what_if(facts, stranger, cell_m=0.2)


def test_a_closed_drum_leaks_slower_at_the_near_end_and_as_vented_at_the_far_one() -> None:
    vented, closed = answered(a_store(), until_min=1), answered(a_store(), closed=True, until_min=1)
    assert closed.far == vented.far
    assert closed.near.in_drum_l > vented.near.in_drum_l + 1
    assert closed.leak.half_min > vented.leak.half_min
    assert closed.leak.model.endswith("the far end takes it as vented")


def test_a_closed_drum_of_unknown_density_is_taken_as_vented() -> None:
    closed = answered(a_store(product=None), closed=True, until_min=1)
    vented = answered(a_store(product=None), until_min=1)
    assert (closed.far, closed.near) == (vented.far, vented.near)
    assert closed.leak.model.endswith("no density is on record")


def test_a_dam_off_the_floor_is_refused() -> None:
    with pytest.raises(GeometryRefused, match="dam 2: expected a line on floor Ground floor or its yard"):
        answered(a_store(), dams=(LineString([(5, 0), (5, 1)]), LineString([(500, 500), (501, 500)])))


def test_a_drain_reached_through_a_sump_is_reached() -> None:
    build = SurveyBuilder()
    build.floor(width_m=30, depth_m=10, finish="bare concrete", perimeter_tight="yes")
    sump = build.sump("S1", (2, 5))
    drain = build.drain("D1", (28, 5), joins="storm")
    build.pipe("PI", sump, drain, valve="open")
    build.pallet("P1", at=(1.5, 5))
    build.drum("P1-1", product="toluene", container_code="1A1", fill_pct=100)
    facts = gather(build.survey(), as_of=DAY)
    (d1,) = answered(facts).far.drains
    assert (d1.verdict, d1.through_sumps, d1.first_min) == ("reaches", True, None)
    assert d1.most_l == pytest.approx(208.198)
    moved = answered(facts, at=Point(20, 5))
    assert moved.far.drains[0].through_sumps is False
    assert "through a sump at a time not worked out" in moved.changes[0]


def test_a_cover_keeps_nothing_out_that_a_pipe_leads_into_the_drain() -> None:
    build = SurveyBuilder()
    build.floor(width_m=30, depth_m=10, finish="bare concrete", perimeter_tight="yes")
    sump, drain = build.sump("S1", (2, 5)), build.drain("D1", (3, 5), joins="storm")
    alone = build.drain("D2", (2, 6), joins="storm")
    build.pipe("PI", sump, drain, valve="open")
    build.pallet("P1", at=(1.5, 5))
    build.drum("P1-1", product="toluene", container_code="1A1", fill_pct=100)
    answer = answered(gather(build.survey(), as_of=DAY), covered_drains=(drain.id, alone.id))
    assert answer.far_without is not None
    assert [each.through_sumps for each in answer.far_without.drains] == [True, False]
    (d1,) = answer.far.drains
    assert (d1.name, d1.verdict, d1.first_min, d1.litres, d1.through_sumps) == ("D1", "reaches", None, 0, True)
    assert d1.most_l == pytest.approx(208.198)
    assert answer.changes[0].startswith("Drain D1, covered: nothing within 3 min")
    assert "through a sump at a time not worked out" in answer.changes[0]
    assert answer.changes[1].startswith("Drain D2, covered: nothing, if the cover is tight, instead of first liquid")


def test_a_hole_is_measured_from_its_lower_edge() -> None:
    hole = {"hole": HoleKind.ROUND, "size_mm": 150, "length_mm": None, "along_mm": 300}
    # By hand: 0.8116 m of liquid, less 300 - 75 mm below the hole's edge, times the head of 0.2565 m².
    assert answered(a_store(orientation="upright"), **hole).leak.leaves_l == pytest.approx(
        (0.8116 - 0.225) * 256.5, rel=0.002
    )


def test_on_a_floor_that_falls_the_liquid_runs_to_the_drain_it_falls_to() -> None:
    build = SurveyBuilder()
    build.floor(width_m=12, depth_m=4, finish="sealed", perimeter_tight="yes", levelness="surveyed")
    build.drain("G1", (10.5, 2), joins="storm")
    build.drain("G2", (1.5, 2), joins="storm")
    for x in (0.0, 12.0):
        for y in (0.0, 4.0):
            build.add("levels", LevelFields, at=(x, y), level_mm=20 * (12 - x))
    build.pallet("P1", at=(6, 2))
    build.drum("P1-1", product="toluene", container_code="1A1", fill_pct=100)
    answer = answered(gather(build.survey(), as_of=DAY))
    for end in (answer.far, answer.near):
        downhill, uphill = end.drains
        assert downhill.first_min is not None
        assert downhill.first_min < 1
        assert uphill.first_min is None


def a_hall(**floor: Any) -> SiteFacts:
    build = SurveyBuilder()
    build.floor(width_m=20, depth_m=12, finish="bare concrete", **floor)
    build.drain("G1", (14, 8), joins="storm")
    build.door("Gate", [(9, 12), (11, 12)], tight_at_floor="no")
    build.zone("A", [(0, 0), (12, 0), (12, 12), (0, 12)])
    build.pallet("P1", at=(10, 8))
    build.drum("P1-1", product="toluene", container_code="1A1", fill_pct=100, orientation="upright")
    return gather(build.survey(), as_of=DAY)


@pytest.mark.parametrize("levelness", ["unknown", "surveyed", "recorded level"])
def test_beside_the_minutes_of_a_run_stands_the_early_end_that_the_clock_gives_the_same_leak(levelness: str) -> None:
    facts = a_hall(levelness=levelness, perimeter_tight="yes")
    (floor,) = assess(facts).floors
    answer = answered(facts)
    for target, early_min in (
        ("drain G1", answer.far.drains[0].early_min),
        ("door Gate", answer.far.doors[0].earliest_min),
    ):
        time = next(time for time in floor.drain_times if time.target == target)
        cut = next(leak for leak in time.leaks if leak.leak == "100 × 10 mm slot")
        soonest = [minutes for minutes in (cut.early_min, cut.falling_min) if minutes is not None]
        assert early_min == pytest.approx(min(soonest))
    (g1,) = answer.far.drains
    assert g1.first_min is not None
    assert g1.early_min is not None
    assert g1.early_min < g1.first_min


@pytest.mark.parametrize(
    ("floor", "says"),
    [
        ({"levelness": "unknown"}, "The floor's level is not recorded, and the run takes it as level."),
        ({"levelness": "surveyed"}, "The levels surveyed do not tell how the floor falls, and the run takes it as"),
        ({"levelness": "recorded level"}, "The floor is on record as level, and the run takes it so."),
    ],
)
def test_what_is_known_of_the_fall_is_said_and_that_liquid_may_be_there_sooner(
    floor: dict[str, Any], says: str
) -> None:
    level = answered(a_hall(**floor), until_min=0.5).level
    assert level.startswith(says)
    assert "liquid may be there sooner than it runs here" in level


def test_a_run_that_does_not_get_there_in_its_time_says_that_the_liquid_may() -> None:
    hole = {"hole": HoleKind.ROUND, "size_mm": 10, "length_mm": None}
    answer = answered(a_hall(levelness="unknown"), **hole, dams=(LineString([(1, 1), (2, 1)]),), until_min=1.5)
    assert answer.far_without is not None
    for end in (answer.far, answer.far_without):
        assert end.drains[0].first_min is None
        assert end.drains[0].early_min is not None
        assert end.drains[0].early_min < 1.5
        assert [(door.name, door.first_min) for door in end.doors] == [("Gate", None)]
    moved = answered(a_hall(levelness="unknown"), **hole, at=Point(13, 8), until_min=1.5)
    assert "nothing within 1.5 min by this run, though perhaps from 0." in moved.changes[0]
