"""Spills of a whole floor asked at once: the same as drum by drum, places shared, moved or refused with the reason."""

from dataclasses import replace

import pytest
from shapely import Point

from geometry.shapes import disc
from reports.assessment import Verdict
from reports.facts import DrumFact, FloorFact
from reports.floors.spills import FloorSpills
from reports.gather import gather
from tests.builders import SurveyBuilder
from tests.demo_sites import DAY, demo_facts
from tests.reports.judged import stock


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
