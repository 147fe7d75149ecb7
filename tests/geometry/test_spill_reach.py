from math import inf, nan, pi, sqrt
from typing import TypeVar

import numpy as np
import pytest
import shapely
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from shapely import LineString, Point, Polygon, affinity, box
from shapely.geometry.base import BaseGeometry

from geometry.errors import GeometryRefused
from geometry.floor import Barrier, FloorPlan, SpillFloor
from geometry.spill_reach import Pool, Spread, joint_pool, joint_shape, spread
from tests.geometry.floors import DEPTH_M, DRUM_M3, WIDTH_M, door, kerb, places, room, rooms, stand_clear, wall, walls

TESSALY = SpillFloor(FloorPlan(outline=box(0, 0, 24, 15), perimeter_tight=False))
GULLY = Point(12.0, 7.5)


def from_middle(plan: FloorPlan, at: Point) -> Spread:
    return spread(SpillFloor(plan), at)


# ── pools ────────────────────────────────────────────────────────────────────────────────────────────────────────────


@pytest.mark.parametrize("depth", [0.0028, 0.005, 0.01])
def test_on_open_floor_the_pool_is_a_disc(depth: float) -> None:
    pool = from_middle(room(40, 30), Point(20, 15)).pool(DRUM_M3, depth, cautious=True)
    radius = sqrt(DRUM_M3 / depth / pi)
    assert pool.area_m2 == pytest.approx(DRUM_M3 / depth)
    assert pool.shape.area == pytest.approx(pool.area_m2, rel=2e-3)
    assert pool.shape.symmetric_difference(Point(20, 15).buffer(radius)).area < 5e-3 * pool.area_m2
    assert pool.wet.sum() * 0.01 == pytest.approx(pool.area_m2, rel=1.5e-2)
    assert (pool.depth_m, pool.on_floor_m3, pool.lost_m3, pool.off_map_m3) == (depth, DRUM_M3, 0, 0)


def test_no_liquid_is_no_pool() -> None:
    pool = from_middle(room(), Point(5, 4)).pool(0.0, 0.005, cautious=True)
    assert pool.shape.is_empty
    assert not pool.wet.any()
    assert (pool.area_m2, pool.depth_m, pool.on_floor_m3) == (0, 0, 0)


@pytest.mark.parametrize(
    ("volume", "depth", "message"),
    [
        (-1.0, 0.005, "spilt volume: expected 0 m³ or more, found -1"),
        (nan, 0.005, "spilt volume: expected 0 m³ or more, found nan"),
        (0.2, 0.0, "film depth: expected more than 0 m, found 0"),
        (0.2, inf, "film depth: expected more than 0 m, found inf"),
    ],
)
def test_a_spill_that_is_none_is_refused(volume: float, depth: float, message: str) -> None:
    way = from_middle(room(), Point(5, 4))
    with pytest.raises(GeometryRefused, match=message):
        way.pool(volume, depth, cautious=True)
    with pytest.raises(GeometryRefused, match=message):
        way.litres_to(volume, GULLY, depth, cautious=True)


def test_targets_and_tolerances_that_are_none_are_refused() -> None:
    way = from_middle(room(), Point(5, 4))
    with pytest.raises(GeometryRefused, match="target: expected a shape"):
        way.critical_depth_m(0.2, Polygon(), cautious=True)
    with pytest.raises(GeometryRefused, match="target: expected a shape"):
        way.distance_m(Polygon(), cautious=True)
    with pytest.raises(GeometryRefused, match=r"tolerance: expected 0 m or more, found -0\.1"):
        way.critical_depth_m(0.2, GULLY, cautious=True, tolerance_m=-0.1)
    with pytest.raises(GeometryRefused, match="source at"):
        spread(SpillFloor(room()), Point(20, 20))


def test_a_pool_goes_round_a_wall_and_not_through_it() -> None:
    plan = room(barriers=(wall((5, 0), (5, 6)),))
    pool = from_middle(plan, Point(4, 1)).pool(0.12, 0.005, cautious=True)
    assert pool.shape.intersection(box(5, 0, 10, 8)).area == pytest.approx(0, abs=1e-4)
    far = from_middle(plan, Point(4, 1)).pool(0.225, 0.005, cautious=True)
    assert far.shape.contains(Point(5.3, 5.8))
    assert not far.shape.contains(Point(5.3, 1))
    assert far.shape.area == pytest.approx(45, rel=2e-3)


def test_an_unknown_wall_splits_the_two_readings() -> None:
    way = from_middle(room(barriers=(wall((5, 0), (5, 8), tight=None),)), Point(4, 4))
    through = way.pool(DRUM_M3, 0.005, cautious=True)
    stopped = way.pool(DRUM_M3, 0.005, cautious=False)
    assert through.shape.intersection(box(5, 0, 10, 8)).area > 5
    assert stopped.shape.intersection(box(5, 0, 10, 8)).area < 1e-4
    # 208 L on 40 m² at 5 mm covers them and stands a little higher.
    assert stopped.area_m2 == pytest.approx(40)
    assert stopped.depth_m == pytest.approx(DRUM_M3 / 40)


def test_a_kerbed_pool_fills_and_its_overflow_leaves_at_the_worn_place() -> None:
    plan = room(basins=(kerb(1, 1, 5, 3, 0.02, lip_at=Point(5, 2)),))
    way = from_middle(plan, Point(2, 2))
    held = way.pool(0.1, 0.005, cautious=True)
    assert (held.area_m2, held.depth_m) == (pytest.approx(8), pytest.approx(0.0125))
    assert held.shape.symmetric_difference(box(1, 1, 5, 3)).area < 1e-6
    over = way.pool(0.2, 0.005, cautious=True)
    beyond = over.shape.difference(box(1, 1, 5, 3))
    assert over.depth_m == pytest.approx(0.02)
    assert over.on_floor_m3 == pytest.approx(0.2, rel=1e-12)
    # 40 L at 5 mm are 8 m² beyond the kerb, spread from its worn place.
    assert beyond.area == pytest.approx(8, rel=5e-3)
    assert beyond.distance(Point(5, 2)) < 1e-3
    assert beyond.hausdorff_distance(Point(5, 2)) < 2.6


def test_what_comes_in_over_a_kerb_spreads_inside_it() -> None:
    # 72 m² to 20 mm are 1,440 L; 20 L more come over the kerb: 4 m² at 5 mm along its inner side.
    plan = room(basins=(kerb(1, 1, 5, 3, 0.02),))
    pool = from_middle(plan, Point(8, 6)).pool(1.46, 0.005, cautious=True)
    assert pool.shape.intersection(box(1, 1, 5, 3)).area == pytest.approx(4, rel=5e-3)
    assert pool.area_m2 == pytest.approx(76)
    assert not pool.shape.contains(Point(3, 2))


def test_liquid_leaves_the_map_without_shortening_the_reach() -> None:
    leaky, tight = (from_middle(room(perimeter_tight=known), Point(1, 4)) for known in (False, True))
    pool = leaky.pool(DRUM_M3, 0.005, cautious=True)
    assert pool.shape.equals(tight.pool(DRUM_M3, 0.005, cautious=True).shape)
    # All but what covers the disc of 1 m radius before the wall.
    assert pool.off_map_m3 == pytest.approx(DRUM_M3 - 0.005 * pi, rel=1e-3)
    assert pool.lost_m3 == 0
    drowned = leaky.pool(1.0, 0.005, cautious=True)
    assert (drowned.area_m2, drowned.depth_m) == (pytest.approx(80), 0.005)
    assert drowned.lost_m3 == pytest.approx(0.6)
    assert drowned.on_floor_m3 + drowned.lost_m3 == pytest.approx(1.0)
    assert drowned.off_map_m3 == pytest.approx(1.0 - 0.005 * pi, rel=1e-3)


def test_what_comes_over_a_kerb_may_leave_the_map_too() -> None:
    plan = room(perimeter_tight=False, basins=(kerb(4, 3, 6, 5, 0.02),))
    # 80 L stay; of the 70 L beyond, what covers the floor within 3 m of the kerb stays as well.
    pool = from_middle(plan, Point(5, 4)).pool(0.15, 0.001, cautious=True)
    beyond = 3 * 8 + 9 * pi
    assert pool.off_map_m3 == pytest.approx(0.07 - 0.001 * beyond, rel=0.02)
    inside = from_middle(plan, Point(5, 4)).pool(0.05, 0.001, cautious=True)
    assert inside.off_map_m3 == 0


def test_pools_taken_together() -> None:
    way = from_middle(room(), Point(2, 4))
    other = from_middle(room(), Point(8, 4))
    one, two = way.pool(0.02, 0.005, cautious=True), other.pool(0.02, 0.005, cautious=True)
    assert joint_pool([one, two]).area == pytest.approx(8, rel=2e-3)
    assert joint_pool([one, one]).area == pytest.approx(one.shape.area)
    assert joint_pool([]).is_empty
    assert joint_shape([box(0, 0, 1, 1), box(1, 1, 2, 2), Polygon()]).area == 2


# ── reaching a target ────────────────────────────────────────────────────────────────────────────────────────────────


@pytest.mark.parametrize(
    ("pallet", "nearest", "farthest", "critical_mm"),
    [((10.0, 6.0), 2.08, 2.92, (7.76, None)), ((10.0, 4.4), 3.28, 4.10, (3.93, 6.2))],
)
def test_critical_depths_of_the_small_demo_store(
    pallet: tuple[float, float], nearest: float, farthest: float, critical_mm: tuple[float, float | None]
) -> None:
    # demo_ideas.md, site A: four drums 0.3 m off the pallet's middle, gully at (12, 7.5), open level floor.
    ways = [spread(TESSALY, Point(pallet[0] + x, pallet[1] + y)) for x in (-0.3, 0.3) for y in (-0.3, 0.3)]
    lengths = [way.distance_m(GULLY, cautious=True) for way in ways]
    depths = [way.critical_depth_m(0.208198, GULLY, cautious=True) for way in ways]
    assert min(length or 0 for length in lengths) == pytest.approx(nearest, abs=0.005)
    assert max(length or 0 for length in lengths) == pytest.approx(farthest, abs=0.006)
    assert min(depth or 0 for depth in depths) * 1000 == pytest.approx(critical_mm[0], rel=0.01)
    if critical_mm[1] is not None:
        assert max(depth or 0 for depth in depths) * 1000 == pytest.approx(critical_mm[1], rel=0.01)


def test_litres_to_a_gully_are_what_is_not_needed_on_the_way() -> None:
    way = spread(TESSALY, Point(10, 7.5))
    assert way.litres_to(DRUM_M3, GULLY, 0.0028, cautious=True) == pytest.approx(208.198 - 2.8 * 4 * pi, rel=1e-3)
    assert way.litres_to(DRUM_M3, GULLY, 0.02, cautious=True) == 0
    assert way.litres_to(0.0, GULLY, 0.0028, cautious=True) == 0
    assert way.litres_to(DRUM_M3, Point(10, 7.5), 0.0028, cautious=True) == pytest.approx(208.198)


def test_a_target_at_the_source_is_reached_at_any_depth() -> None:
    way = spread(TESSALY, GULLY)
    assert way.critical_depth_m(DRUM_M3, GULLY, cautious=True) == inf
    assert way.critical_depth_m(0.0, GULLY, cautious=True) is None


def test_what_is_cut_off_is_reached_at_no_depth() -> None:
    way = from_middle(room(barriers=(wall((5, 0), (5, 8)),)), Point(4, 4))
    target = Point(8, 4)
    assert way.distance_m(target, cautious=True) is None
    assert way.critical_depth_m(100.0, target, cautious=True) is None
    assert way.litres_to(100.0, target, 0.0007, cautious=True) == 0
    assert way.critical_depth_m(100.0, Point(30, 4), cautious=True) is None


def test_a_tolerance_brings_a_target_nearer_but_not_through_a_wall() -> None:
    open_floor = spread(TESSALY, Point(10, 7.5))
    assert open_floor.critical_depth_m(DRUM_M3, GULLY, cautious=True, tolerance_m=0.5) == pytest.approx(
        DRUM_M3 / (1.5**2 * pi), rel=1e-3
    )
    assert open_floor.critical_depth_m(DRUM_M3, GULLY, cautious=True, tolerance_m=5) == inf
    behind = from_middle(room(barriers=(wall((5, 0), (5, 8)),)), Point(4.9, 4))
    assert behind.critical_depth_m(DRUM_M3, Point(5.1, 4), cautious=True, tolerance_m=0.5) is None


def test_over_a_lip_only_with_the_liquid_that_fills_up_to_it() -> None:
    # 8 m² to 20 mm are 160 L; a gully 1 m beyond the worn place lies a half-disc of 1.571 m² away.
    plan = room(basins=(kerb(1, 1, 5, 3, 0.02, lip_at=Point(5, 2)),))
    way, gully = from_middle(plan, Point(2, 2)), Point(6, 2)
    assert way.critical_depth_m(0.15, gully, cautious=True) is None
    critical = way.critical_depth_m(0.17, gully, cautious=True)
    assert critical == pytest.approx(0.010 / (pi / 2), rel=5e-3)
    assert way.litres_to(0.17, gully, 0.005, cautious=True) == pytest.approx(10 - 5 * pi / 2, rel=5e-3)
    assert way.litres_to(0.15, gully, 0.005, cautious=True) == 0
    # A film of 20 mm and more goes straight over the lip, 4 m along the floor.
    deep = way.critical_depth_m(2.0, gully, cautious=True)
    assert deep is not None
    assert deep > 0.02
    area = SpillFloor(room()).origin(Point(2, 2), cautious=True).area_within_m2(4.0)
    assert deep == pytest.approx(2.0 / area, rel=5e-3)


def test_outside_a_kerb_liquid_gets_in_only_once_it_stands_as_high() -> None:
    plan = room(basins=(kerb(1, 1, 5, 3, 0.02),))
    way, sump = from_middle(plan, Point(8, 6)), Point(3, 2)
    assert way.critical_depth_m(1.43, sump, cautious=True) is None
    assert way.critical_depth_m(1.7, sump, cautious=True) is not None
    # 1.43 m³ as a film of 20 to 23 mm would go over the lip at once, though thinner films are held.
    assert not way.reaches_within(1.43, sump, 0.0028, 0.0199, cautious=True)
    assert way.reaches_within(1.43, sump, 0.0028, 0.02, cautious=True)
    assert way.reaches_within(1.7, sump, 0.0028, 0.005, cautious=True)
    assert way.litres_to(1.43, sump, 0.005, cautious=True) == 0
    assert way.litres_to(1.7, sump, 0.005, cautious=True) > 100


def test_a_thick_film_may_get_where_a_thin_one_is_held() -> None:
    way = from_middle(room(basins=(kerb(1, 1, 5, 3, 0.004),)), Point(4, 2))
    over_there = Point(5.5, 2)
    # 30 L fill the 8 m² to 3.75 mm and stay; as a film of 5 mm they are a disc of 1.38 m, short of 1.5 m;
    # as one of 4 mm a disc of 1.55 m over the lip.
    assert way.critical_depth_m(0.03, over_there, cautious=True) is None
    assert not way.reaches(0.03, over_there, 0.0028, cautious=True)
    assert not way.reaches(0.03, over_there, 0.005, cautious=True)
    assert way.reaches(0.03, over_there, 0.004, cautious=True)
    assert way.reaches_within(0.03, over_there, 0.0028, 0.005, cautious=True)
    assert not way.reaches_within(0.03, over_there, 0.0028, 0.0039, cautious=True)
    assert not way.reaches(0.0, over_there, 0.004, cautious=True)
    with pytest.raises(GeometryRefused, match="film range: expected the thin end first"):
        way.reaches_within(0.03, over_there, 0.005, 0.0028, cautious=True)


def test_a_target_off_the_map_is_reached_where_liquid_leaves_it() -> None:
    brook = Point(14, 4)
    leaky, sealed = (from_middle(room(perimeter_tight=tight), Point(9, 4)) for tight in (False, True))
    assert leaky.distance_m(brook, cautious=True) == pytest.approx(1, abs=1e-4)
    assert leaky.critical_depth_m(DRUM_M3, brook, cautious=True) == pytest.approx(DRUM_M3 / pi, rel=1e-3)
    assert leaky.litres_to(DRUM_M3, brook, 0.005, cautious=True) == pytest.approx(208.198 - 5 * pi, rel=1e-3)
    assert sealed.critical_depth_m(100.0, brook, cautious=True) is None
    # In the thickness of a wall it is taken at the wall.
    assert sealed.distance_m(Point(10.2, 4), cautious=True) == pytest.approx(1, abs=1e-4)
    kerbed = from_middle(room(perimeter_tight=False, basins=(kerb(4, 3, 6, 5, 0.02),)), Point(5, 4))
    assert not kerbed.reaches(0.08, brook, 0.0005, cautious=True)
    assert kerbed.reaches(0.15, brook, 0.0005, cautious=True)


def test_a_source_on_a_wall_is_moved_and_says_so() -> None:
    way = from_middle(room(), Point(0, 4))
    assert way.moved_m == pytest.approx(way.source.distance(Point(0, 4)))
    assert 0 < way.moved_m < 0.1
    assert from_middle(room(), Point(5, 4)).moved_m == 0


def test_a_trench_along_a_wall_is_reached_at_its_nearest_part() -> None:
    # demo_ideas.md, site A: trench D2 along the roller door, pallet A10's middle 4.66 + 0.6 m away at its corner.
    trench = LineString([(23.8, 5), (23.8, 10)])
    assert spread(TESSALY, Point(20, 7)).distance_m(trench, cautious=True) == pytest.approx(3.8)
    assert spread(TESSALY, Point(19.2, 2)).distance_m(trench, cautious=True) == pytest.approx(sqrt(4.6**2 + 9))
    lying_on_wall = LineString([(24, 5), (24, 10)])
    assert spread(TESSALY, Point(20, 7)).distance_m(lying_on_wall, cautious=True) == pytest.approx(4, abs=1e-4)


# ── laws ─────────────────────────────────────────────────────────────────────────────────────────────────────────────

Shape = TypeVar("Shape", bound=BaseGeometry)

LAW = settings(max_examples=30, derandomize=True, deadline=None)
VOLUMES = st.floats(0.005, 1.0)
FILMS = st.sampled_from([0.0007, 0.0028, 0.005, 0.01])


@LAW
@given(plan=rooms(), at=places(), volume=VOLUMES, film=FILMS, tight=st.booleans())
def test_volume_is_conserved(*, plan: FloorPlan, at: Point, volume: float, film: float, tight: bool) -> None:
    leaky = FloorPlan(plan.outline, plan.outdoors, tight, plan.barriers, plan.openings, plan.basins)
    pool = spread(SpillFloor(leaky), at).pool(volume, film, cautious=True)
    assert pool.on_floor_m3 + pool.lost_m3 == pytest.approx(volume, rel=1e-12)
    assert pool.lost_m3 - 1e-12 <= pool.off_map_m3 <= volume + 1e-12
    assert pool.shape.area == pytest.approx(pool.area_m2, rel=3e-3)
    assert pool.wet.sum() * 0.01 == pytest.approx(pool.area_m2, rel=0.03, abs=0.15)


@LAW
@given(rooms(), places(), VOLUMES, VOLUMES, FILMS)
def test_reach_grows_with_volume_and_thins_with_depth(
    plan: FloorPlan, at: Point, one: float, other: float, film: float
) -> None:
    way = spread(SpillFloor(plan), at)
    small, large = (way.pool(volume, film, cautious=True) for volume in sorted((one, other)))
    assert small.shape.difference(large.shape).area <= 3e-3 * small.area_m2
    deeper = way.pool(min(one, other), film * 2, cautious=True)
    assert deeper.shape.difference(small.shape).area <= 3e-3 * small.area_m2


@LAW
@given(rooms(3), places(), VOLUMES, FILMS, st.integers(1, 15), st.integers(1, 15))
def test_walls_are_never_crossed(
    plan: FloorPlan, at: Point, volume: float, film: float, south: int, north: int
) -> None:
    # A tight wall, at any slant, right across the room: everything stays on the side of the source.
    across = LineString([(south / 2, 0), (north / 2, DEPTH_M)])
    divided = FloorPlan(plan.outline, (), True, (*plan.barriers, Barrier("across", across, inf, tight=True)))
    assume(stand_clear(divided, at))
    pool = spread(SpillFloor(divided), at).pool(volume, film, cautious=True)
    west = Polygon([(0, 0), (south / 2, 0), (north / 2, DEPTH_M), (0, DEPTH_M)])
    far_side = plan.outline.difference(west) if west.contains(at) else west
    assert pool.shape.intersection(far_side).area < 1e-4
    rows, columns = np.nonzero(pool.wet)
    # Cells whose middle lies on the wall to within rounding belong to either side.
    clear = far_side.buffer(-1e-6)
    assert not shapely.contains_xy(clear, (columns + 0.5) * 0.1, (rows + 0.5) * 0.1).any()


def turned(plan: FloorPlan, *, quarter: bool) -> FloorPlan:
    """The same floor turned by a quarter, or mirrored."""
    return FloorPlan(
        outline=moved(plan.outline, quarter=quarter),
        perimeter_tight=plan.perimeter_tight,
        barriers=tuple(Barrier(b.name, moved(b.line, quarter=quarter), b.height_m, b.tight) for b in plan.barriers),
    )


def moved(shape: Shape, *, quarter: bool) -> Shape:
    return affinity.affine_transform(shape, [0, -1, 1, 0, 0, 0] if quarter else [-1, 0, 0, 1, 0, 0])


@LAW
@given(plan=rooms(), at=places(), to=places(), volume=VOLUMES, film=FILMS, quarter=st.booleans())
def test_turning_or_mirroring_the_floor_changes_nothing(
    *, plan: FloorPlan, at: Point, to: Point, volume: float, film: float, quarter: bool
) -> None:
    assume(stand_clear(plan, at, to))
    here = spread(SpillFloor(plan), at)
    there = spread(SpillFloor(turned(plan, quarter=quarter)), moved(at, quarter=quarter))
    target = moved(to, quarter=quarter)
    one, other = here.pool(volume, film, cautious=True), there.pool(volume, film, cautious=True)
    assert other.area_m2 == pytest.approx(one.area_m2, rel=1e-9)
    assert other.depth_m == pytest.approx(one.depth_m, rel=1e-9)
    assert moved(one.shape, quarter=quarter).symmetric_difference(other.shape).area <= 5e-3 * one.area_m2
    lengths = here.distance_m(to, cautious=True), there.distance_m(target, cautious=True)
    assert lengths == (None, None) or lengths[0] == pytest.approx(lengths[1], abs=1e-6)
    depths = (
        here.critical_depth_m(volume, to, cautious=True),
        there.critical_depth_m(volume, target, cautious=True),
    )
    assert depths == (None, None) or depths[0] == pytest.approx(depths[1], rel=5e-3)


@LAW
@given(walls(3), places(), places(), VOLUMES, st.sampled_from([0.002, 0.02]))
def test_critical_depth_parts_reaching_from_not_reaching(
    drawn: tuple[Barrier, ...], at: Point, to: Point, volume: float, lip: float
) -> None:
    plan = room(WIDTH_M, DEPTH_M, barriers=drawn, basins=(kerb(1, 1, 4, 3, lip),))
    assume(stand_clear(plan, at, to))
    floor = SpillFloor(plan)
    way = spread(floor, at)
    critical = way.critical_depth_m(volume, to, cautious=True)
    if critical is None:
        assert way.litres_to(volume, to, 0.0005, cautious=True) == 0
        return
    flow = floor.passing
    if critical < inf and flow.step_at(critical * 1.02) == flow.step_at(critical):
        assert way.pool(volume, critical * 1.02, cautious=True).shape.distance(to) > 0
        assert not way.reaches(volume, to, critical * 1.02, cautious=True)
    if 1e-4 < critical < inf and flow.step_at(critical * 0.98) == flow.step_at(critical):
        assert way.pool(volume, critical * 0.98, cautious=True).shape.distance(to) < 0.02
        assert way.reaches(volume, to, critical * 0.98, cautious=True)
        assert way.litres_to(volume, to, critical * 0.98, cautious=True) > 0


@LAW
@given(rooms(), places(), places(), VOLUMES, FILMS, FILMS)
def test_litres_stay_within_the_volume_and_fall_with_depth(
    plan: FloorPlan, at: Point, to: Point, volume: float, one: float, other: float
) -> None:
    way = spread(SpillFloor(plan), at)
    thin, thick = (way.litres_to(volume, to, film, cautious=True) for film in sorted((one, other)))
    assert 0 <= thick <= thin + 1e-9 <= volume * 1000 + 1e-6


def test_a_pool_is_shown_without_its_workings() -> None:
    pool: Pool = from_middle(room(), Point(5, 4)).pool(0.02, 0.005, cautious=True)
    assert "Layout" not in repr(pool)


def test_a_door_lets_the_pool_into_the_next_room() -> None:
    plan = room(barriers=(wall((5, 0), (5, 8)),), openings=(door((5, 3), (5, 4), tight=False, shut=True),))
    pool = from_middle(plan, Point(4, 3.5)).pool(0.05, 0.005, cautious=False)
    assert pool.shape.intersection(box(5, 0, 10, 8)).area > 0.5
    assert pool.shape.area == pytest.approx(10, rel=2e-3)
