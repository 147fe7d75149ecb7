from math import inf, pi

import numpy as np
import pytest
from hypothesis import given, settings
from shapely import LineString, Point, Polygon, box

from geometry.floor import FloorPlan, SpillFloor
from geometry.sight import Sight, between, ways_between
from tests.geometry.floors import places, rooms

ROOM = [[0, 0, 10, 0], [10, 0, 10, 8], [10, 8, 0, 8], [0, 8, 0, 0]]


def sight_of(*more: list[float]) -> Sight:
    return Sight(np.array([*ROOM, *more], dtype=float))


def test_a_wall_hides_what_lies_behind_it_and_nothing_else() -> None:
    sight = sight_of([5, 2, 5, 6])
    points = np.array([[8, 4], [4, 4], [8, 7.9], [8, 0.1]])
    assert sight.sees(np.array([2.0, 4.0]), points).tolist() == [False, True, False, False]
    # Hidden by the straight line through (5, 6): from (2, 4) it meets x = 8 at y = 8.
    assert sight.sees(np.array([2.0, 5.9]), np.array([[8.0, 6.2], [8.0, 5.9]])).tolist() == [True, False]


def test_a_way_that_touches_an_end_is_not_free() -> None:
    sight = sight_of([5, 0, 5, 4])
    assert sight.sees(np.array([2.0, 4.0]), np.array([[8.0, 4.0]])).tolist() == [False]
    assert sight.sees(np.array([2.0, 4.001]), np.array([[8.0, 4.001]])).tolist() == [True]


def test_a_wall_seen_edge_on_hides_nothing() -> None:
    sight = sight_of([6, 4, 8, 4])
    assert sight.sees(np.array([1.0, 4.0]), np.array([[5.0, 4.0]])).tolist() == [True]


def test_view_of_an_empty_room_is_the_room() -> None:
    view = Polygon(sight_of().view(np.array([3.0, 2.0])))
    assert view.equals_exact(box(0, 0, 10, 8), 1e-9) or view.symmetric_difference(box(0, 0, 10, 8)).area < 1e-9


def test_view_past_a_wall_leaves_out_its_shadow() -> None:
    # From (0.001, 4) past a wall x = 5, y 3 to 5: the shadow on x = 10 runs from y 2 to 6, a trapezium of 15 m².
    view = Polygon(sight_of([5, 3, 5, 5]).view(np.array([1e-9, 4.0])))
    assert view.area == pytest.approx(80 - 15, abs=1e-6)
    assert not view.contains(Point(7, 4))


def test_paths_bend_at_free_ends_and_outer_corners_only() -> None:
    room = Polygon([(0, 0), (10, 0), (10, 8), (0, 8)])
    free_end = [Point(bend) for bend in sight_of([5, 0, 5, 4]).bends() if room.contains(Point(bend))]
    assert len(free_end) == 2
    assert all(bend.distance(Point(5, 4)) < 2e-5 for bend in free_end)
    corner = [Point(bend) for bend in sight_of([5, 0, 5, 4], [5, 4, 10, 4]).bends() if room.contains(Point(bend))]
    assert len(corner) == 1
    assert corner[0].x < 5
    assert corner[0].y > 4


def test_no_bend_where_a_wall_goes_straight_on() -> None:
    room = box(0, 0, 10, 8)
    sight = sight_of([5, 0, 5, 3], [5, 3, 5, 8])
    assert [bend for bend in sight.bends() if room.contains(Point(bend))] == []


def test_ways_between_bends() -> None:
    sight = sight_of([3, 0, 3, 4], [6, 8, 6, 4])
    bends = np.array([bend for bend in sight.bends() if box(0, 0, 10, 8).contains(Point(bend))])
    ways = between(sight, bends)
    far = max(ways[i, j] for i in range(len(bends)) for j in range(len(bends)))
    assert far == pytest.approx(3, abs=1e-4)
    assert between(sight, np.empty((0, 2))).shape == (0, 0)


def test_ways_do_not_lead_through_a_closed_wall() -> None:
    sight = sight_of([5, 0, 5, 8], [2, 0, 2, 4], [8, 0, 8, 4])
    bends = np.array([bend for bend in sight.bends() if box(0, 0, 10, 8).contains(Point(bend))])
    ways = between(sight, bends)
    left, right = bends[:, 0] < 5, bends[:, 0] > 5
    assert left.sum() == right.sum() == 2
    assert (ways[np.ix_(left, right)] == inf).all()


@settings(max_examples=60, derandomize=True, deadline=None)
@given(rooms(), places(), places())
def test_a_view_holds_what_is_seen_and_nothing_more(plan: FloorPlan, eye: Point, other: Point) -> None:
    layout = SpillFloor(plan).passing.layout()
    at, to = np.array([eye.x, eye.y]), np.array([[other.x, other.y]])
    view = Polygon(layout.sight.view(at)).buffer(0)
    way = LineString([eye, other])
    clear = min((way.distance(Point(end)) for wall in plan.barriers for end in wall.line.coords), default=1)
    if clear > 1e-6:  # a way past an end to within rounding may go either way
        assert bool(layout.sight.sees(at, to)[0]) == view.buffer(1e-9).contains(other)


def test_views_from_the_middle_of_a_round_room_have_its_area() -> None:
    turns = np.linspace(0, 2 * pi, 721)
    ring = np.column_stack([np.cos(turns), np.sin(turns)])
    ring[-1] = ring[0]
    sight = Sight(np.hstack([ring[:-1], ring[1:]]))
    assert Polygon(sight.view(np.array([0.2, 0.1]))).area == pytest.approx(pi, rel=1e-4)


def test_corners_name_their_free_directions() -> None:
    (end,) = (corner for corner in sight_of([5, 0, 5, 4]).corners() if corner.y_m == 4)
    assert [end.x_m, end.start_rad, end.width_rad] == pytest.approx([5, 3 * pi / 2, 2 * pi])
    assert list(end.stand_offs_rad) == pytest.approx([2.25 * pi, 2.75 * pi])
    inner = [corner for corner in sight_of([5, 0, 5, 4], [5, 4, 10, 4]).corners() if (corner.x_m, corner.y_m) == (5, 4)]
    assert [corner.width_rad for corner in inner] == [pytest.approx(1.5 * pi)]
    assert len(inner[0].stand_offs_rad) == 1


def test_an_end_that_touches_another_wall_is_no_corner() -> None:
    # Short of the wall by less than anything can pass, as rounding leaves it.
    assert [corner.y_m for corner in sight_of([5, 1e-7, 5, 4]).corners() if corner.x_m == 5] == [4]
    assert [corner.y_m for corner in sight_of([5, 0.5, 5, 4]).corners() if corner.x_m == 5] == [0.5, 4]


def test_ways_name_the_bend_before_their_end() -> None:
    # Three bends in a row round two walls: from the first to the last by the one between.
    sight = sight_of([3, 0, 3, 6], [6, 2, 6, 8])
    points = np.array([[2.5, 6.3], [4.5, 6.3], [6.2, 1.0]])
    lengths, last = ways_between(sight, points)
    assert sight.sees(points[0], points[2:]).tolist() == [False]
    assert last[0, 2] == 1
    assert lengths[0, 2] == pytest.approx(lengths[0, 1] + lengths[1, 2])
    nothing = ways_between(sight, np.zeros((0, 2)))
    assert (nothing[0].shape, nothing[1].shape) == ((0, 0), (0, 0))
