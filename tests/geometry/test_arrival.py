from math import inf, nan, pi

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from shapely import LineString, Point, box

from geometry.arrival import Aim, aim_at, may_leave_m3, needed_m3, reached
from geometry.errors import GeometryRefused
from geometry.fill import settle
from geometry.floor import FloorPlan, SpillFloor
from tests.geometry.floors import kerb, places, room, rooms, stand_clear

ROOM = box(0, 0, 10, 8)


def test_a_target_on_the_floor_is_taken_as_it_is() -> None:
    trench = LineString([(9, 1), (11, 1)])
    assert aim_at(ROOM, trench) == Aim(trench, 0.0)
    assert aim_at(ROOM, Point(10, 4), 0.5) == Aim(Point(10, 4), 0.5)


def test_a_target_in_the_wall_is_taken_at_the_wall_and_one_beyond_it_off_the_map() -> None:
    assert aim_at(ROOM, Point(10.29, 4)) == Aim(Point(10, 4), 0.0)
    assert aim_at(ROOM, Point(10.31, 4)) == Aim(None, 0.0)


@pytest.mark.parametrize("tolerance", [-0.1, nan, inf])
def test_a_tolerance_that_is_none_is_refused(tolerance: float) -> None:
    with pytest.raises(GeometryRefused, match="tolerance: expected 0 m or more"):
        aim_at(ROOM, Point(1, 1), tolerance)
    with pytest.raises(GeometryRefused, match="target: expected a shape"):
        aim_at(ROOM, Point())


def test_needed_on_open_floor_is_the_film_on_the_nearer_floor() -> None:
    floor = SpillFloor(room())
    layout, origin = floor.passing.layout(), floor.origin(Point(5, 4), cautious=True)
    aim = Aim(Point(7, 4))
    assert needed_m3(layout, origin, 1.0, 0.005, aim) == pytest.approx(0.005 * 4 * pi, rel=1e-3)
    assert needed_m3(layout, origin, 0.06, 0.005, aim) is None
    assert needed_m3(layout, origin, 0.0, 0.005, Aim(Point(5, 4))) == 0
    assert reached(layout, origin, 0.064, 0.005, aim)
    assert not reached(layout, origin, 0.062, 0.005, aim)


def test_a_tolerance_is_taken_off_the_way() -> None:
    floor = SpillFloor(room())
    origin = floor.origin(Point(5, 4), cautious=True)
    assert Aim(Point(7, 4), 0.5).distance_m(origin) == pytest.approx(1.5)
    assert Aim(Point(7, 4), 3.0).distance_m(origin) == 0


def test_over_a_kerb_what_fills_it_is_needed_too() -> None:
    floor = SpillFloor(room(basins=(kerb(1, 1, 5, 3, 0.02, lip_at=Point(5, 2)),)))
    layout, origin = floor.passing.layout(), floor.origin(Point(2, 2), cautious=True)
    needed = needed_m3(layout, origin, 1.0, 0.005, Aim(Point(6, 2)))
    assert needed == pytest.approx(0.160 + 0.005 * pi / 2, rel=1e-3)
    assert needed_m3(layout, origin, 0.04, 0.005, Aim(Point(6, 2))) is None
    assert needed_m3(layout, origin, 0.16, 0.005, Aim(Point(6, 2))) is None


def test_nothing_leaves_a_tight_floor_and_everything_may_leave_at_an_open_edge() -> None:
    for tight, expected in ((True, 0.0), (False, 0.1)):
        floor = SpillFloor(room(perimeter_tight=tight))
        layout, origin = floor.passing.layout(), floor.origin(Point(0.01, 4), cautious=True)
        settled = settle(layout, origin, 0.1, 0.005)
        assert may_leave_m3(layout, settled, origin, 0.1, 0.005) == pytest.approx(expected, abs=1e-4)


@settings(max_examples=40, derandomize=True, deadline=None)
@given(rooms(), places(), places(), st.floats(0.001, 0.5), st.sampled_from([0.0007, 0.005]))
def test_a_place_is_reached_by_just_what_is_needed(
    plan: FloorPlan, at: Point, to: Point, volume: float, film: float
) -> None:
    assume(stand_clear(plan, at, to))
    floor = SpillFloor(plan)
    layout, origin, aim = floor.passing.layout(), floor.origin(at, cautious=True), Aim(to)
    needed = needed_m3(layout, origin, volume, film, aim)
    assert reached(layout, origin, volume, film, aim) == (needed is not None)
    if needed is not None:
        assert reached(layout, origin, needed * (1 + 1e-6) + 1e-12, film, aim)
        assert needed < 1e-9 or not reached(layout, origin, needed * (1 - 1e-6), film, aim)
