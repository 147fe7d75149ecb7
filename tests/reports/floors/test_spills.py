"""Spills of a whole floor asked at once: the same as drum by drum, places shared, moved or refused with the reason."""

from dataclasses import replace
from typing import Any

import pytest
from shapely import Point, box

from geometry.shapes import disc
from reports.assessment import Verdict
from reports.facts import DrumFact, FloorFact
from reports.floors.spills import FloorSpills
from reports.gather import gather
from tests.builders import SurveyBuilder
from tests.demo_sites import DAY, demo_facts
from tests.reports.judged import judged, stock


def floor_of(build: SurveyBuilder) -> FloorFact:
    (floor,) = gather(build.survey(), as_of=DAY).floors
    return floor


def a_floor(*at: tuple[float, float]) -> FloorFact:
    build = SurveyBuilder()
    build.floor(width_m=20, depth_m=20, finish="bare concrete", perimeter_tight="yes")
    build.drain("D1", (12, 10))
    for number, place in enumerate(at):
        stock(build, f"P{number}", place, "toluene")
    return floor_of(build)


def drums_of(floor: FloorFact) -> list[DrumFact]:
    return [drum for pallet in floor.pallets for drum in pallet.drums]


@pytest.mark.parametrize("letter", ["A", "B", "C"])
def test_all_at_once_is_what_each_alone_is(letter: str) -> None:
    (floor,) = demo_facts(letter).floors
    targets = [(drain.shape, drain.tolerance_m) for drain in floor.drains if drain.shape is not None]
    drums = drums_of(floor)
    together, alone = FloorSpills(floor), FloorSpills(floor)
    together.prepare(floor.pallets)
    found = together.arrivals(drums, targets)
    for drum, arrivals in list(zip(drums, found, strict=True))[:: max(len(drums) // 12, 1)]:
        for arrival, (shape, tolerance_m) in zip(arrivals, targets, strict=True):
            one = alone.arrival(drum, shape, tolerance_m)
            assert (one.verdict, one.way_m) == (arrival.verdict, pytest.approx(arrival.way_m))
            assert one.critical_mm == (None if arrival.critical_mm is None else pytest.approx(arrival.critical_mm))
            assert one.litres_thin == pytest.approx(arrival.litres_thin)
    for pallet in floor.pallets[::5]:
        liquid = [drum for drum in pallet.drums if drum.fill_l > 0]
        one_drum, its_own = together.one_drum(liquid), alone.one_drum(liquid)
        assert (one_drum is None) == (its_own is None)
        if one_drum is not None and its_own is not None:
            assert one_drum.thin.shape.equals_exact(its_own.thin.shape, 1e-9)
            assert one_drum.thick.off_map_l == pytest.approx(its_own.thick.off_map_l)


def test_free_pools_are_given_as_discs() -> None:
    floor = a_floor((10, 10), (1, 10))
    spills = FloorSpills(floor)
    spills.prepare(floor.pallets)
    free, beside_the_wall = (spills.discs(pallet.drums) for pallet in floor.pallets)
    assert beside_the_wall is None
    assert free is not None
    reach = spills.one_drum(floor.pallets[0].drums)
    assert reach is not None
    (pool,) = free
    assert pool.at == floor.pallets[0].drums[0].at
    assert reach.thin.shape.equals(disc(pool.at, pool.thin_m))
    assert reach.thick.shape.equals(disc(pool.at, pool.thick_m))


def test_a_drum_in_a_wall_is_taken_beside_it_and_that_is_said() -> None:
    build = SurveyBuilder()
    build.floor(width_m=20, depth_m=20, finish="bare concrete", perimeter_tight="yes")
    build.wall("W", [(10, 0), (10, 10)], tight_at_floor="yes")
    build.drain("D1", (12, 5))
    stock(build, "P1", (10, 5), "toluene")
    spills = FloorSpills(floor_of(build))
    (drum,) = drums_of(spills.floor)
    assert spills.one_drum([drum]) is not None
    assert spills.moved_m == {"(10, 5)": pytest.approx(0.0707, abs=1e-3)}
    assert spills.refused == {}


def a_divided_floor(
    at: tuple[float, float], *, north_m: float = 20, mirrored: bool = False, **floor: Any
) -> tuple[FloorSpills, DrumFact]:
    """Divide a 20 m square by a tight wall from the south at x = 10, with one drum at a place."""
    build = SurveyBuilder()
    build.floor(width_m=20, depth_m=20, finish="bare concrete", perimeter_tight="yes", **floor)
    build.wall("W", [(10, north_m), (10, 0)] if mirrored else [(10, 0), (10, north_m)], tight_at_floor="yes")
    build.drain("D1", (12, 5))
    build.drain("D2", (9, 5))
    stock(build, "P1", at, "toluene")
    spills = FloorSpills(floor_of(build))
    (drum,) = drums_of(spills.floor)
    return spills, drum


@pytest.mark.parametrize("mirrored", [False, True])
def test_a_drum_on_a_wall_may_stand_on_either_side(*, mirrored: bool) -> None:
    spills, drum = a_divided_floor((10, 5), mirrored=mirrored)
    targets = [(Point(12, 5), 0.0), (Point(9, 5), 0.0)]
    ((east, west),) = spills.arrivals([drum], targets)
    assert (east.verdict, west.verdict) == (Verdict.MAY_REACH, Verdict.MAY_REACH)
    assert (east.way_m, west.way_m) == (pytest.approx(2, abs=0.1), pytest.approx(1, abs=0.1))
    assert (east.far_m, west.far_m) == (None, None)
    for side, here, (x, y) in ((east, 0, (10.05, 5.05)), (west, 1, (9.95, 5.05))):
        other, stood = a_divided_floor((x, y))
        alone = other.arrivals([stood], targets)[0][here]
        assert alone.verdict is Verdict.REACHES
        assert side.litres_thick == pytest.approx(alone.litres_thick, abs=0.5)
        assert side.litres_thin == pytest.approx(alone.litres_thin, abs=0.5)


def test_a_drum_on_a_wall_wets_nothing_for_certain_but_what_is_wet_from_both_sides() -> None:
    spills, drum = a_divided_floor((10, 5))
    reach = spills.one_drum([drum])
    assert reach is not None
    assert (reach.thick.shape.area, reach.thick.area_m2) == (0, 0)
    assert reach.thin.shape.covers(Point(11, 5))
    assert reach.thin.shape.covers(Point(9, 5))
    rested = spills.rested(drum)
    assert rested is not None
    assert len(rested.each) == 4  # both films on both sides
    assert spills.discs([drum]) is None
    # Near the end of a wall that ends on the floor both sides wet what lies round it.
    spills, drum = a_divided_floor((10, 9), north_m=10)
    ((round_the_end,),) = spills.arrivals([drum], [(Point(10, 10.5), 0.0)])
    assert round_the_end.verdict is Verdict.REACHES
    around = spills.one_drum([drum])
    assert around is not None
    assert around.thick.shape.covers(Point(10, 10.5))


def test_a_drum_on_a_wall_of_a_falling_floor_may_stand_on_either_side() -> None:
    build = SurveyBuilder()
    build.floor(width_m=20, depth_m=20, finish="bare concrete", perimeter_tight="yes", levelness="recorded level")
    build.wall("W", [(10, 0), (10, 20)], tight_at_floor="yes")
    for name, x in (("D1", 12), ("D2", 9)):
        build.drain(name, (x, 5), fall_pct=2, fall_out_m=6)
    stock(build, "P1", (10, 5), "toluene")
    spills = FloorSpills(floor_of(build))
    assert spills.relief is not None
    (drum,) = drums_of(spills.floor)
    found = spills.arrivals([drum], [(Point(12, 5), 0.0), (Point(9, 5), 0.0)])
    assert [each.verdict for each in found[0]] == [Verdict.MAY_REACH, Verdict.MAY_REACH]
    reach = spills.one_drum([drum])
    assert reach is not None
    assert reach.thin.shape.intersects(box(10.5, 4, 12, 6))
    assert reach.thin.shape.intersects(box(9, 4, 9.5, 6))


def test_that_a_drum_stands_on_a_wall_is_said() -> None:
    build = SurveyBuilder()
    build.floor("A", width_m=20, depth_m=20, finish="bare concrete", perimeter_tight="yes")
    build.wall("W", [(10, 0), (10, 20)], tight_at_floor="yes")
    build.drain("D1", (12, 5))
    stock(build, "P1", (10, 5), "toluene")
    said = [line for line in judged(build).unknowns if "recorded on a wall" in line]
    assert said == ["Floor A: recorded on a wall, kerb or edge of the floor: (10, 5). The worse side counts."]


def test_what_stands_off_the_floor_may_reach_everything() -> None:
    floor = a_floor((10, 10), (50, 50))
    spills = FloorSpills(floor)
    near, off = spills.arrivals(drums_of(floor), [(Point(12, 10), 0.0)])
    assert near[0].way_m == pytest.approx(2)
    assert (off[0].verdict, off[0].critical_mm, off[0].litres_thin) == (Verdict.MAY_REACH, None, 208)
    assert spills.refused == {"(50, 50)": "off the mapped floor"}
    assert spills.spread_from(Point(50, 50)) is None
    assert spills.one_drum(floor.pallets[1].drums) is None


def test_an_empty_drum_reaches_nothing_and_wets_nothing() -> None:
    floor = a_floor((10, 10))
    (drum,) = drums_of(floor)
    spills = FloorSpills(floor)
    empty = replace(drum, fill_l=0.0)
    assert spills.arrival(empty, Point(10, 10), 0.0).verdict is Verdict.NOT_REACHED
    assert spills.one_drum([empty]) is None
    assert spills.discs([empty]) is None
    assert spills.arrivals([], [(Point(1, 1), 0.0)]) == []
    assert spills.arrivals([drum], []) == [()]


# ── what nobody knows to be tight ────────────────────────────────────────────────────────────────────────────────────


def a_corridor(tight: str, *, drain_m: float) -> SurveyBuilder:
    """A tight floor of 60 by 40 m with a corridor 2 m wide and a drain so far along it from a full drum."""
    build = SurveyBuilder()
    build.floor(width_m=60, depth_m=40, finish="sealed", levelness="recorded level", perimeter_tight="yes")
    build.wall("Partition", [(0, 2), (60, 2)], tight_at_floor=tight)
    build.drain("D1", (3 + drain_m, 1))
    stock(build, "P1", (3, 1), "toluene")
    return build


@pytest.mark.parametrize("drain_m", [20.0, 47.0])
def test_a_corridor_of_unknown_walls_is_no_safer_than_one_of_tight_walls(drain_m: float) -> None:
    found = {}
    for tight in ("yes", "unknown", "no"):
        floor = floor_of(a_corridor(tight, drain_m=drain_m))
        (drain,) = floor.drains
        assert drain.shape is not None
        (found[tight],) = FloorSpills(floor).arrivals(drums_of(floor), [(drain.shape, drain.tolerance_m)])[0]
    assert found["no"].litres_thin == 0
    assert found["yes"].litres_thin > 100
    assert found["unknown"].verdict is Verdict.MAY_REACH
    assert found["unknown"].litres_thin >= found["yes"].litres_thin
    assert found["unknown"].far_m2 is not None
    assert found["yes"].far_m2 is not None
    assert found["unknown"].far_m2 > 2 * found["yes"].far_m2


def test_what_lies_behind_an_unknown_wall_may_be_wet_and_only_what_surely_is_counts_as_the_thick_pool() -> None:
    pools = {}
    for tight in ("yes", "unknown", "no"):
        floor = floor_of(a_corridor(tight, drain_m=20))
        reach = FloorSpills(floor).one_drum(drums_of(floor))
        assert reach is not None
        pools[tight] = reach
    unknown = pools["unknown"]
    for tight in ("yes", "no"):
        assert unknown.thin.shape.buffer(1e-3).covers(pools[tight].thin.shape)
        assert pools[tight].thick.shape.buffer(1e-3).covers(unknown.thick.shape)
    assert unknown.thick.shape.area < 0.9 * pools["yes"].thick.shape.area
    assert unknown.thick.area_m2 == pytest.approx(unknown.thick.shape.area, rel=1e-3)


@pytest.mark.parametrize("letter", ["A", "B", "C"])
def test_no_litres_stand_only_beside_not_reached(letter: str) -> None:
    (floor,) = demo_facts(letter).floors
    targets = [(drain.shape, drain.tolerance_m) for drain in floor.drains if drain.shape is not None]
    targets += [(door.line, 0.0) for door in floor.doors]
    seen = set()
    for arrivals in FloorSpills(floor).arrivals(drums_of(floor), targets):
        for arrival in arrivals:
            seen.add(arrival.verdict)
            assert (arrival.litres_thin > 0) == (arrival.verdict is not Verdict.NOT_REACHED)
            assert arrival.litres_thick > 0 or arrival.verdict is not Verdict.REACHES
    assert len(seen) == 3
