"""What nobody knows to be tight never makes a spill look safer than knowing it would."""

from dataclasses import replace
from math import inf, isnan

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from shapely import LineString, Point, box
from shapely.geometry.base import BaseGeometry

from geometry.floor import Barrier, Basin, FloorPlan, SpillFloor
from geometry.many_reaches import Arrivals, ManyReaches
from tests.geometry.floors import DEPTH_M, WIDTH_M, kerb, places, room, stand_clear, wall, walls

THIN_M, THICK_M = 0.0007, 0.001
AREA_OFF_M2 = 0.01  # how well areas in closed form agree between floors whose corners differ
TIGHT = st.sampled_from([True, None, None, False])
HEIGHTS = st.sampled_from([inf, inf, 0.0009, 0.003, 0.02])


def arrivals(
    plan: FloorPlan, at: Point, volume_m3: float, targets: list[BaseGeometry], tolerance_m: float = 0.0
) -> Arrivals:
    many = ManyReaches(SpillFloor(plan), np.array([[at.x, at.y]]))
    tolerances = np.full((1, len(targets)), tolerance_m)
    return many.arrivals(np.array([0]), np.array([volume_m3]), targets, tolerances, THIN_M, THICK_M)


# ── worked by hand ───────────────────────────────────────────────────────────────────────────────────────────────────


def corridor(*, tight: bool | None) -> FloorPlan:
    """A corridor 2 m wide along the south side of a tight floor of 60 by 40 m."""
    return room(60, 40, barriers=(wall((0, 2), (60, 2), tight=tight),))


def test_a_corridor_of_unknown_walls_carries_liquid_as_far_as_one_of_tight_walls() -> None:
    # 208 L in a corridor 2 m wide lie 0.7 mm deep over 297 m² of it: past a drain 47 m along, before which 94 m² and
    # a few lie. On the open floor they lie within 13.8 m of a half disc.
    drain: list[BaseGeometry] = [Point(50, 1)]
    tight, unknown, none = (arrivals(corridor(tight=each), Point(3, 1), 0.208, drain) for each in (True, None, False))
    assert tight.thin_m3[0, 0] == pytest.approx(0.208 - 0.0007 * (2 * 47 + 2 * 3), abs=0.0015)
    assert none.thin_m3[0, 0] == 0
    assert not none.perhaps[0, 0]
    assert unknown.perhaps[0, 0]
    assert unknown.thin_m3[0, 0] >= tight.thin_m3[0, 0] > 0.13
    assert unknown.critical_m[0, 0] >= tight.critical_m[0, 0]
    assert tight.surely[0, 0]
    assert not unknown.surely[0, 0]


def test_the_most_floor_that_may_lie_nearer_is_that_without_the_unknown_wall() -> None:
    found = arrivals(corridor(tight=None), Point(3, 1), 0.208, [Point(13, 1)])
    assert found.far_m[0, 0] == pytest.approx(10)
    assert found.distance_m[0, 0] == pytest.approx(10)
    open_floor = arrivals(corridor(tight=False), Point(3, 1), 0.208, [Point(13, 1)])
    assert found.far_m2[0, 0] == pytest.approx(open_floor.far_m2[0, 0], rel=1e-9)
    assert found.far_m2[0, 0] > 100


def test_a_gap_in_a_room_of_unknown_walls_lets_everything_out_at_one_place() -> None:
    # Room of 4 by 4 m in the middle of the south wall, a drain 8 m east of the drum. All walls passing, 60 L lie 0.7 mm
    # deep within 7 m; all holding, they stay in the room. If the east wall alone passes, the floor behind the room
    # stays dry at first.
    sides = (((28, 0), (28, 4)), ((28, 4), (32, 4)), ((32, 4), (32, 0)))
    hall = room(60, 40, barriers=tuple(wall(*side, tight=None) for side in sides))
    gap = replace(hall, barriers=tuple(replace(each, tight=index < 2) for index, each in enumerate(hall.barriers)))
    at, drain = Point(28.5, 1.0), Point(36.5, 1.0)
    unknown = arrivals(hall, at, 0.060, [drain])
    known = arrivals(gap, at, 0.060, [drain])
    for tight in (True, False):
        plan = replace(hall, barriers=tuple(replace(each, tight=tight) for each in hall.barriers))
        assert not arrivals(plan, at, 0.060, [drain]).perhaps[0, 0]
    assert known.perhaps[0, 0]
    assert unknown.perhaps[0, 0]
    assert unknown.thin_m3[0, 0] >= known.thin_m3[0, 0] > 0


def test_a_drain_far_from_a_room_of_unknown_walls_is_not_reached() -> None:
    sides = (((28, 0), (28, 4)), ((28, 4), (32, 4)), ((32, 4), (32, 0)))
    hall = room(60, 40, barriers=tuple(wall(*side, tight=None) for side in sides))
    found = arrivals(hall, Point(30, 2), 0.208, [Point(58, 38)])
    assert not found.perhaps[0, 0]
    assert isnan(found.critical_m[0, 0]) or found.critical_m[0, 0] < THIN_M


def test_a_kerb_known_to_be_tight_still_holds_on_a_floor_with_an_unknown_wall() -> None:
    bunded = room(20, 20, barriers=(wall((10, 0), (10, 20), tight=None),), basins=(kerb(2, 2, 6, 6, 0.1),))
    found = arrivals(bunded, Point(4, 4), 0.208, [Point(8, 4), Point(15, 10)])
    assert not found.perhaps.any()
    assert (found.thin_m3 == 0).all()
    full = arrivals(bunded, Point(4, 4), 1.7, [Point(8, 4), Point(15, 10)])
    assert full.thin_m3[0, 0] == pytest.approx(0.1, abs=0.02)  # 1.6 m³ fill the kerb


def test_without_targets_nothing_is_needed() -> None:
    assert arrivals(corridor(tight=None), Point(3, 1), 0.208, []).thin_m3.shape == (1, 0)


# ── laws ─────────────────────────────────────────────────────────────────────────────────────────────────────────────


@st.composite
def floors(draw: st.DrawFn) -> FloorPlan:
    """Rooms with walls and kerbs of which some are not known to be tight."""
    drawn = tuple(Barrier("wall", each.line, draw(HEIGHTS), draw(TIGHT)) for each in draw(walls(5)))
    basins: tuple[Basin, ...] = ()
    if draw(st.booleans()):
        worn = Point(4, 2) if draw(st.booleans()) else None
        lip_m = draw(st.sampled_from([0.0009, 0.004, 0.02]))
        basins = (replace(kerb(1, 1, 4, 3, lip_m, lip_at=worn), tight=draw(TIGHT)),)
    return room(WIDTH_M, DEPTH_M, perimeter_tight=draw(TIGHT), barriers=drawn, basins=basins)


@st.composite
def decided(draw: st.DrawFn, plan: FloorPlan) -> FloorPlan:
    """The same floor with every unknown settled one way or the other."""

    def settle(*, tight: bool | None) -> bool:
        return draw(st.booleans()) if tight is None else tight

    return replace(
        plan,
        perimeter_tight=settle(tight=plan.perimeter_tight),
        barriers=tuple(replace(each, tight=settle(tight=each.tight)) for each in plan.barriers),
        basins=tuple(replace(each, tight=settle(tight=each.tight)) for each in plan.basins),
    )


@settings(max_examples=60, derandomize=True, deadline=None)
@given(
    data=st.data(),
    plan=floors(),
    at=places(),
    to=places(),
    volume=st.sampled_from([0.001, 0.005, 0.02, 0.05, 0.2, 1.0]),
    tolerance=st.sampled_from([0.0, 0.3]),
)
def test_no_choice_of_what_is_tight_is_worse_than_not_knowing(
    *, data: st.DataObject, plan: FloorPlan, at: Point, to: Point, volume: float, tolerance: float
) -> None:
    assume(stand_clear(plan, at, to))
    targets: list[BaseGeometry] = [
        to,
        LineString([(to.x, to.y), (WIDTH_M - to.x, DEPTH_M - to.y)]),
        box(to.x / 2, to.y / 2, to.x / 2 + 1, to.y / 2 + 1),
        Point(20, 3),
        LineString([(0, 1), (0, 2)]),
    ]
    unknown = arrivals(plan, at, volume, targets, tolerance)
    known = arrivals(data.draw(decided(plan)), at, volume, targets, tolerance)
    off = THICK_M * AREA_OFF_M2
    assert (unknown.thin_m3 >= known.thin_m3 - off).all()
    assert (unknown.thick_m3 >= known.thick_m3 - off).all()
    assert (unknown.perhaps >= (known.thin_m3 > off)).all()
    assert (unknown.surely <= known.surely).all()
    assert (unknown.distance_m <= known.distance_m + 1e-6).all()
    assert (unknown.far_m >= known.far_m - 1e-6).all()
    assert (np.isinf(unknown.far_m) | (unknown.far_m2 >= known.far_m2 - AREA_OFF_M2)).all()
    critical = np.nan_to_num(unknown.critical_m, nan=0.0), np.nan_to_num(known.critical_m, nan=0.0)
    assert (critical[0] >= critical[1] * (1 - 2e-3)).all()


@settings(max_examples=60, derandomize=True, deadline=None)
@given(plan=floors(), at=places(), to=places(), volume=st.sampled_from([0.005, 0.05, 0.2]))
def test_whatever_may_get_there_does_so_with_some_litres(plan: FloorPlan, at: Point, to: Point, volume: float) -> None:
    assume(stand_clear(plan, at, to))
    found = arrivals(plan, at, volume, [to], 0.3)
    assert bool(found.perhaps[0, 0]) == (found.thin_m3[0, 0] > 0)
    assert found.thin_m3[0, 0] >= found.thick_m3[0, 0] >= 0
    if found.surely[0, 0]:
        assert found.thick_m3[0, 0] > 0


def test_what_is_found_of_a_spill_does_not_depend_on_what_else_is_asked() -> None:
    plan = room(20, 12, barriers=(wall((6, 0), (6, 8), tight=None), wall((12, 12), (12, 3), (20, 3), tight=None)))
    at, targets = np.array([[2.0, 2.0], [8.0, 6.0], [15.0, 8.0]]), [Point(10, 2), Point(18, 1)]
    tolerances = np.array([[0.0, 0.3], [0.35, 0.0], [0.5, 0.1]])
    volumes = np.array([0.02, 0.06, 0.04])
    many = ManyReaches(SpillFloor(plan), at)
    together = many.arrivals(np.arange(3), volumes, targets, tolerances, THIN_M, THICK_M)
    for row in range(3):
        for column, target in enumerate(targets):
            alone = many.arrivals(
                np.array([row]), volumes[[row]], [target], tolerances[[row]][:, [column]], THIN_M, THICK_M
            )
            assert together.thin_m3[row, column] == pytest.approx(alone.thin_m3[0, 0], abs=1e-9)
            assert together.critical_m[row, column] == pytest.approx(alone.critical_m[0, 0], rel=1e-9, nan_ok=True)
