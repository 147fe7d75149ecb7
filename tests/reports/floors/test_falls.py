"""Falling floors in judgement: downhill is reached where uphill is not; level floors stay as they were."""

from typing import Any

import numpy as np
import pytest
from shapely import Point

from geometry.descent import WIDE, Descents, FallingFloor
from geometry.running import NARROW, TONGUES
from reports.assessment import DrainAssessment, FloorAssessment, Verdict
from reports.floors.falls import Falls, relief_on
from reports.floors.spills import FloorSpills
from reports.gather import gather
from tests.builders import SurveyBuilder, rectangle
from tests.demo_sites import DAY
from tests.reports.judged import judged, judged_floor, stock


def a_falling_store(mm_per_m: float = 10, **fields: Any) -> SurveyBuilder:
    """A store that falls to the west, by 1 % unless told: one pallet of toluene, a drain 14 m down and one 14 m up."""
    build = SurveyBuilder()
    build.floor(width_m=40, depth_m=12, **{"finish": "bare concrete", "perimeter_tight": "yes", **fields})
    for x, y in ((0, 0), (40, 0), (40, 12), (0, 12)):
        build.level((x, y), mm_per_m * x)
    build.drain("downhill", (6, 6), position_source="measured")
    build.drain("uphill", (34, 6), position_source="measured")
    stock(build, "P1", (20, 6), "toluene")
    return build


def verdicts(build: SurveyBuilder) -> dict[str, Verdict]:
    return {drain.name: reach.verdict for drain in judged_floor(build).drains for reach in drain.reaches}


def drain_of(floor: FloorAssessment, name: str) -> DrainAssessment:
    return next(drain for drain in floor.drains if drain.name == name)


def test_the_downhill_drain_is_reached_and_the_uphill_one_at_the_same_distance_is_not() -> None:
    found = verdicts(a_falling_store(levelness="surveyed"))
    assert found["downhill"] is Verdict.MAY_REACH
    assert found["uphill"] is Verdict.NOT_REACHED


def test_on_a_level_floor_neither_is_reached() -> None:
    build = SurveyBuilder()
    build.floor(width_m=40, depth_m=12, finish="bare concrete", perimeter_tight="yes")
    build.drain("west", (6, 6), position_source="measured")
    build.drain("east", (34, 6), position_source="measured")
    stock(build, "P1", (20, 6), "toluene")
    assert set(verdicts(build).values()) == {Verdict.NOT_REACHED}


def test_levels_within_the_accuracy_of_a_survey_change_nothing() -> None:
    assert set(verdicts(a_falling_store(0.1)).values()) == {Verdict.NOT_REACHED}


def test_a_near_downhill_drain_is_reached_for_certain_and_a_near_uphill_one_only_maybe() -> None:
    build = a_falling_store()
    build.drain("just below", (17.5, 6), position_source="measured")
    build.drain("just above", (22.5, 6), position_source="measured")
    found = verdicts(build)
    assert found["just below"] is Verdict.REACHES
    assert found["just above"] is Verdict.MAY_REACH


def test_pools_run_downhill_and_the_thin_one_keeps_the_level_pool() -> None:
    (pallet,) = judged_floor(a_falling_store()).pallets
    assert pallet.one_drum is not None
    thick, thin = pallet.one_drum.thick.shape, pallet.one_drum.thin.shape
    assert 20 - thick.bounds[0] > 2 * (thick.bounds[2] - 20)
    assert thin.bounds[0] < thick.bounds[0]
    # 200 L as 2.8 mm on a level floor: 4.77 m uphill as well.
    assert thin.covers(Point(24.5, 6))


def test_a_fall_to_a_drain_draws_liquid_that_a_level_floor_would_keep_from_it() -> None:
    build = SurveyBuilder()
    build.floor(width_m=40, depth_m=12, finish="bare concrete", perimeter_tight="yes")
    build.drain("plain", (11, 6), position_source="measured")
    build.drain("fallen to", (29, 6), position_source="measured", fall_pct=1, fall_out_m=6)
    stock(build, "P1", (20, 6), "toluene")
    found = verdicts(build)
    assert found["plain"] is Verdict.NOT_REACHED
    assert found["fallen to"] in (Verdict.MAY_REACH, Verdict.REACHES)


def test_what_gets_to_the_downhill_drain_is_an_upper_bound_and_its_film_is_told() -> None:
    floor = judged_floor(a_falling_store())
    (reach,) = drain_of(floor, "downhill").reaches
    assert 0 < reach.litres.high < 200
    assert reach.critical_depth_mm is not None
    assert reach.critical_depth_mm.high > 2.8


def test_unknowns_say_which_floors_fall_and_why_one_is_taken_as_level() -> None:
    told = judged(a_falling_store(levelness="surveyed")).unknowns
    assert any("taken to fall by 4 surveyed levels" in line for line in told)
    assert not any("which way a film runs cannot be told" in line for line in told)
    few = SurveyBuilder()
    few.floor(width_m=40, depth_m=12, levelness="surveyed")
    few.level((1, 1), 0)
    few.level((30, 1), 6)
    stock(few, "P1", (20, 6), "toluene")
    assert any("2 surveyed levels do not tell which way it falls" in line for line in judged(few).unknowns)


def on_two_levels(*, third: bool = False) -> SurveyBuilder:
    """The falling store with levels on the middle line of its floor alone."""
    build = SurveyBuilder()
    build.floor(width_m=40, depth_m=30, finish="bare concrete", perimeter_tight="yes", levelness="surveyed")
    build.level((2, 15), 20)
    build.level((38, 15), 380)
    if third:
        build.level((20, 15), 200)
    stock(build, "P1", (20, 15), "toluene")
    for name, at in (("downhill", (6, 15)), ("aslant", (12, 5)), ("across", (20, 3)), ("uphill", (34, 15))):
        build.drain(name, at, position_source="measured")
    build.drain("beside", (19.5, 15), position_source="measured")
    return build


@pytest.mark.parametrize("third", [False, True])
def test_two_levels_or_three_on_a_line_let_liquid_reach_what_lies_no_higher_along_it(*, third: bool) -> None:
    found = verdicts(on_two_levels(third=third))
    assert found["downhill"] is Verdict.MAY_REACH
    assert found["aslant"] is Verdict.MAY_REACH
    assert found["across"] is Verdict.MAY_REACH
    assert found["uphill"] is Verdict.NOT_REACHED
    assert found["beside"] is Verdict.REACHES
    level = SurveyBuilder()
    level.floor(width_m=40, depth_m=30, finish="bare concrete", perimeter_tight="yes")
    level.drain("downhill", (6, 15), position_source="measured")
    stock(level, "P1", (20, 15), "toluene")
    assert verdicts(level)["downhill"] is Verdict.NOT_REACHED


def test_a_line_of_levels_says_what_it_does_not_tell_and_litres_stand_beside_its_verdicts() -> None:
    (line,) = [line for line in judged(on_two_levels()).unknowns if "on one line" in line]
    assert "2 surveyed levels on one line: it falls by 1.0% on the way from (38, 15) to (2, 15) m" in line
    assert "across that line it is unknown" in line
    (floor,) = gather(on_two_levels().survey(), as_of=DAY).floors
    spills = FloorSpills(floor)
    drums = [drum for pallet in floor.pallets for drum in pallet.drums]
    targets = [(drain.shape, drain.tolerance_m) for drain in floor.drains if drain.shape is not None]
    for arrival in spills.arrivals(drums, targets)[0]:
        assert (arrival.litres_thin > 0) == (arrival.verdict is not Verdict.NOT_REACHED)
        assert 0 <= arrival.litres_thick <= arrival.litres_thin


def test_a_tight_wall_keeps_a_fan_from_what_lies_behind() -> None:
    build = on_two_levels()
    build.wall("W", [(0, 9), (40, 9)], tight_at_floor="yes")
    found = verdicts(build)
    assert found["aslant"] is Verdict.NOT_REACHED
    assert found["across"] is Verdict.NOT_REACHED
    assert found["downhill"] is Verdict.MAY_REACH


@pytest.mark.parametrize("levelness", ["recorded level", "unknown"])
def test_a_nominally_level_floor_has_no_direction(levelness: str) -> None:
    build = SurveyBuilder()
    build.floor(width_m=40, depth_m=12, levelness=levelness)
    stock(build, "P1", (20, 6), "toluene")
    (line,) = [line for line in judged(build).unknowns if "falls not surveyed" in line]
    assert "which way a film runs cannot be told" in line


def test_a_floor_too_small_for_the_cells_may_be_reached_all_over() -> None:
    build = SurveyBuilder()
    build.floor(width_m=0.06, depth_m=0.04)
    for x, y in ((0, 0), (0.06, 0), (0.06, 0.04)):
        build.level((x, y), 1000 * x)
    build.drain("D", (0.05, 0.02), fall_pct=2)
    stock(build, "P1", (0.02, 0.02), "toluene")
    assert set(verdicts(build).values()) <= {Verdict.REACHES, Verdict.MAY_REACH}


def test_all_drums_at_once_are_what_each_alone_is() -> None:
    build = a_falling_store()
    build.wall("W", [(12, 0), (12, 7)])
    build.bund("B", rectangle(22, 2, 6, 6), height_mm=3)
    for number, at in enumerate([(18, 3), (18.02, 3.01), (25, 5), (33, 9), (9, 6)]):
        stock(build, f"Q{number}", at, "toluene", fill_pct=100 - 20 * (number % 2))
    (floor,) = gather(build.survey(), as_of=DAY).floors
    drums = [drum for pallet in floor.pallets for drum in pallet.drums]
    targets = [(drain.shape, drain.tolerance_m) for drain in floor.drains if drain.shape is not None]
    together = FloorSpills(floor)
    together.prepare(floor.pallets)
    found = together.arrivals(drums, targets)
    for drum, arrivals in zip(drums, found, strict=True):
        alone = FloorSpills(floor)
        assert alone.arrivals([drum], targets) == [arrivals]
        one, same = together.one_drum([drum]), alone.one_drum([drum])
        assert one is not None
        assert same is not None
        assert one.thin.shape.equals(same.thin.shape)
        assert one.thick.shape.equals(same.thick.shape)
        relief = relief_on(floor, alone.ground)
        assert relief is not None
        falls = FallingFloor(alone.plan, relief)
        here = Descents(falls, drum.at)
        for arrival, (target, tolerance_m) in zip(arrivals, targets, strict=True):
            surely = [
                here.reaches(drum.fill_l / 1000, target, alone.film.thick_m, WIDE, cautious=how)
                for how in (True, False)
            ]
            assert (arrival.verdict is Verdict.REACHES) == all(surely)
            # Any tongue, any film of the range, either reading, as near as the places may be.
            perhaps = any(
                here.reaches_within(
                    drum.fill_l / 1000, target, alone.film.thin_m, alone.film.thick_m, tongue, cautious=how,
                    tolerance_m=float(np.hypot(drum.tolerance_m, tolerance_m)),
                )
                for tongue in TONGUES
                for how in (True, False)
            )  # fmt: skip
            if perhaps:
                assert arrival.verdict is not Verdict.NOT_REACHED


def test_litres_stand_beside_every_verdict_but_not_reached_and_more_with_thinner_films() -> None:
    # Beside the way of the narrow tongue, where only a wide one comes; by a lip that only a deep film goes over; as
    # near as a tolerance allows and no nearer; under one reading of a wall.
    build = a_falling_store()
    build.bund("B", rectangle(9, 2, 6, 8), height_mm=4)
    build.wall("W", [(12, 0), (12, 7)], tight_at_floor="unknown")
    for number, y in enumerate(np.arange(1, 11.6, 0.5)):
        for x in (8, 13, 17, 18.5):
            build.drain(f"D{number}-{x}", (x, float(y)), position_source="drawn" if number % 2 else "measured")
    for number, at in enumerate([(18, 3), (25, 5), (12.5, 9)]):
        stock(build, f"Q{number}", at, "toluene", fill_pct=100 - 45 * (number % 2))
    (floor,) = gather(build.survey(), as_of=DAY).floors
    drums = [drum for pallet in floor.pallets for drum in pallet.drums]
    targets = [(drain.shape, drain.tolerance_m) for drain in floor.drains if drain.shape is not None]
    spills = FloorSpills(floor)
    spills.prepare(floor.pallets)
    seen = set()
    for drum, arrivals in zip(drums, spills.arrivals(drums, targets), strict=True):
        for arrival in arrivals:
            seen.add(arrival.verdict)
            assert (arrival.litres_thin > 0) == (arrival.verdict is not Verdict.NOT_REACHED)
            assert 0 <= arrival.litres_thick <= arrival.litres_thin <= drum.fill_l
            if arrival.verdict is Verdict.REACHES:
                assert arrival.litres_thick > 0
                assert arrival.critical_mm is not None
                assert arrival.critical_mm >= spills.film.thick_m * 1000
            if arrival.litres_thick > 0:
                assert arrival.critical_mm is not None
    assert seen == set(Verdict)


def test_what_lies_beside_the_way_is_reached_by_a_wide_tongue_alone() -> None:
    plan = FloorSpills(gather(a_falling_store().survey(), as_of=DAY).floors[0])
    assert plan.relief is not None
    at, aside = Point(20, 6), Point(16, 9)
    here = Descents(FallingFloor(plan.plan, plan.relief), at)
    assert not here.reaches(0.2, aside, plan.film.thin_m, NARROW, cautious=True)
    assert here.reaches(0.2, aside, plan.film.thin_m, WIDE, cautious=True)
    found = Falls(plan.plan, plan.relief, plan.film).arrivals([(at, 200.0)], [aside], np.zeros((1, 1)))
    assert found.perhaps[0, 0]
    assert 0 < found.litres_thin[0, 0] < 200
    ((_, thin),) = Falls(plan.plan, plan.relief, plan.film).pools([(at, 200.0)])
    assert thin.shape.intersects(aside.buffer(0.1))


def test_a_wall_that_may_leak_makes_nothing_sure_that_only_its_holding_leads_there() -> None:
    # A slanting wall leads the liquid to a drain beside the straight way, if it holds.
    build = a_falling_store()
    build.wall("W", [(16, 5.5), (14.5, 12)], tight_at_floor="unknown")
    build.wall("V", [(16, 5.5), (19, 2)], tight_at_floor="unknown")
    build.drain("behind", (13.9, 6), position_source="measured")
    build.drain("before", (18.5, 6), position_source="measured")
    found = verdicts(build)
    assert found["behind"] is Verdict.MAY_REACH
    assert found["before"] is Verdict.REACHES
    ((thick, _),) = [
        (pallet.one_drum.thick, pallet.one_drum.thin)
        for pallet in judged_floor(build).pallets
        if pallet.one_drum is not None
    ]
    # What is wet for certain ends where the wall may hold.
    assert not thick.shape.intersects(Point(14.5, 6))
