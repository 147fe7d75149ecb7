from math import inf, nan, sqrt

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from shapely import LineString, Point, Polygon, box

from geometry.drain_proximity import along_floor_between_m, along_floor_m, along_floor_table_m, gap_m, gaps_m, nearest_m
from geometry.errors import GeometryRefused
from geometry.floor import Barrier, FloorPlan, SpillFloor
from geometry.shapes import footprint
from tests.geometry.floors import DEPTH_M, WIDTH_M, places, room, rooms, stand_clear, wall, walls
from tests.geometry.paths_the_long_way import shortest_way_m


def test_straight_where_nothing_is_in_the_way() -> None:
    floor = SpillFloor(room())
    assert along_floor_m(floor, Point(1, 1), Point(4, 5), cautious=True) == pytest.approx(5)
    assert along_floor_m(floor, Point(1, 1), Point(1, 1), cautious=True) == 0


def test_round_the_end_of_a_wall() -> None:
    # 3-4-5 twice: from (2, 2) up to the end at (5, 6), and down to (8, 2).
    floor = SpillFloor(room(barriers=(wall((5, 0), (5, 6)),)))
    assert along_floor_m(floor, Point(2, 2), Point(8, 2), cautious=True) == pytest.approx(10, abs=1e-4)


def test_round_an_inner_corner_of_the_outline() -> None:
    angled = FloorPlan(Polygon([(0, 0), (10, 0), (10, 4), (4, 4), (4, 10), (0, 10)]), perimeter_tight=True)
    expected = sqrt(3**2 + 5**2) + sqrt(5**2 + 3**2)
    assert along_floor_m(SpillFloor(angled), Point(1, 9), Point(9, 1), cautious=True) == pytest.approx(
        expected, abs=1e-4
    )


def test_through_a_maze() -> None:
    # Up to (3, 6), down to (6, 2), up to (9, 6): three walls from alternate sides of a 12 × 8 m room.
    maze = (wall((3, 0), (3, 6)), wall((6, 2), (6, 8)), wall((9, 0), (9, 6)))
    way = along_floor_m(SpillFloor(room(12, 8, barriers=maze)), Point(1, 1), Point(11, 1), cautious=True)
    assert way == pytest.approx(sqrt(4 + 25) + 5 + 5 + sqrt(4 + 25), abs=2e-4)


def test_none_where_there_is_no_way() -> None:
    floor = SpillFloor(room(barriers=(wall((5, 0), (5, 8)),)))
    assert along_floor_m(floor, Point(2, 2), Point(8, 2), cautious=True) is None
    assert along_floor_m(floor, Point(2, 2), Point(50, 2), cautious=True) is None


def test_to_the_nearest_part_that_can_be_got_to() -> None:
    floor = SpillFloor(room(barriers=(wall((5, 2), (5, 8)),)))
    trench = LineString([(6, 1), (6, 7)])
    # The straight way to (6, 4) is stopped; round the end at (5, 2) the nearest part seen from there is (6, 2).
    assert along_floor_m(floor, Point(4, 4), trench, cautious=True) == pytest.approx(sqrt(5) + 1, abs=1e-4)
    pallet = footprint((7, 1), width_m=1.2, depth_m=1.2)
    assert along_floor_m(floor, Point(4, 1), pallet, cautious=True) == pytest.approx(2.4)
    assert along_floor_m(floor, Point(7, 1), pallet, cautious=True) == 0


def test_a_trench_right_behind_a_tight_wall_is_not_seen_through_it() -> None:
    floor = SpillFloor(room(barriers=(wall((5, 0), (5, 8)),)))
    assert along_floor_m(floor, Point(4, 4), LineString([(5.001, 3), (5.001, 5)]), cautious=True) is None
    assert along_floor_m(floor, Point(4, 4), LineString([(5, 3), (5, 5)]), cautious=True) == pytest.approx(1)


def test_what_is_refused() -> None:
    floor = SpillFloor(room())
    with pytest.raises(GeometryRefused, match="source at"):
        along_floor_m(floor, Point(-5, 1), Point(1, 1), cautious=True)
    with pytest.raises(GeometryRefused, match="target: expected a shape"):
        along_floor_m(floor, Point(5, 1), Point(), cautious=True)
    with pytest.raises(GeometryRefused, match="target: expected finite coordinates, found inf"):
        gap_m(box(0, 0, 1, 1), Point(inf, 1))
    with pytest.raises(GeometryRefused, match="footprint: expected a shape"):
        gap_m(Polygon(), Point(1, 1))
    with pytest.raises(GeometryRefused, match="expected finite coordinates, found nan"):
        along_floor_m(floor, Point(nan, 1), Point(1, 1), cautious=True)


def test_table_of_sources_and_drains() -> None:
    floor = SpillFloor(room(barriers=(wall((5, 0), (5, 8)),)))
    table = along_floor_table_m(floor, [Point(2, 2), Point(8, 2)], [Point(2, 4), Point(8, 5)], cautious=True)
    assert table == [[pytest.approx(2), None], [None, pytest.approx(3)]]
    assert along_floor_table_m(floor, [], [Point(2, 4)], cautious=True) == []


def test_gaps_of_the_small_demo_store() -> None:
    # demo_ideas.md, site A: pallet edge to gully D1 (12, 7.5), and to trench D2.
    gully, trench = Point(12, 7.5), LineString([(23.8, 5), (23.8, 10)])
    pallets = {"A04": (10, 9), "A05": (10, 6), "A06": (10, 4.4), "A10": (19.2, 2), "A09": (22, 2), "A08": (22, 13)}
    standing = {name: footprint(at, width_m=1.2, depth_m=1.2) for name, at in pallets.items()}
    assert gap_m(standing["A04"], gully) == pytest.approx(1.66, abs=0.005)
    assert gap_m(standing["A05"], gully) == pytest.approx(1.66, abs=0.005)
    assert gap_m(standing["A06"], gully) == pytest.approx(2.87, abs=0.005)
    assert gap_m(standing["A10"], trench) == pytest.approx(4.66, abs=0.005)
    assert gap_m(standing["A09"], trench) == pytest.approx(2.68, abs=0.005)
    assert gap_m(standing["A08"], trench) == pytest.approx(2.68, abs=0.005)


def test_between_footprints_edge_to_edge() -> None:
    west, east = footprint((2, 2), width_m=1.2, depth_m=1.2), footprint((8, 2), width_m=1.2, depth_m=1.2)
    open_floor = SpillFloor(room())
    assert along_floor_between_m(open_floor, west, east, cautious=True) == pytest.approx(4.8)
    # Past the end of a wall at (5, 6): from corner (2.6, 2.6) up and down again to (7.4, 2.6).
    divided = SpillFloor(room(barriers=(wall((5, 0), (5, 6)),)))
    around = along_floor_between_m(divided, west, east, cautious=True)
    assert around == pytest.approx(2 * sqrt(2.4**2 + 3.4**2), abs=1e-4)
    closed = SpillFloor(room(barriers=(wall((5, 0), (5, 8)),)))
    assert along_floor_between_m(closed, west, east, cautious=True) is None
    beside = footprint((3.2, 2), width_m=1.2, depth_m=1.2)
    assert along_floor_between_m(closed, west, beside, cautious=True) == 0
    with pytest.raises(GeometryRefused, match="expected a shape"):
        along_floor_between_m(open_floor, west, Polygon(), cautious=True)


def test_gap_is_nothing_where_a_drain_lies_under_a_pallet_or_touches_it() -> None:
    assert gap_m(box(0, 0, 1, 1), Point(0.5, 0.5)) == 0
    assert gap_m(box(0, 0, 1, 1), Point(1, 0.5)) == 0


def test_gaps_of_many_footprints_are_those_of_each() -> None:
    standing = [footprint((2, 2), width_m=1.2, depth_m=1.2), box(4, 4, 5, 5), box(11, 7, 13, 8)]
    gully = Point(12.0, 7.5)
    assert gaps_m(standing, gully).tolist() == [gap_m(each, gully) for each in standing]
    assert gaps_m([], gully).tolist() == []
    with pytest.raises(GeometryRefused, match="footprint: expected a shape"):
        gaps_m([box(0, 0, 1, 1), Polygon()], gully)
    with pytest.raises(GeometryRefused, match="target: expected a shape"):
        gaps_m(standing, Point())


LAW = settings(max_examples=40, derandomize=True, deadline=None)


@LAW
@given(rooms(5), places(), places())
def test_agrees_with_the_long_way(plan: FloorPlan, a: Point, b: Point) -> None:
    assume(stand_clear(plan, a, b))
    found = along_floor_m(SpillFloor(plan), a, b, cautious=True)
    expected = shortest_way_m(plan.outline, [barrier.line for barrier in plan.barriers], a, b)
    assert (found is None and expected == inf) or found == pytest.approx(expected, abs=3e-3)


@LAW
@given(rooms(4), places(), places())
def test_between_footprints_is_never_longer_than_between_their_middles(plan: FloorPlan, a: Point, b: Point) -> None:
    assume(stand_clear(plan, a, b))
    floor = SpillFloor(plan)
    one, other = (footprint((at.x, at.y), width_m=0.1, depth_m=0.1) for at in (a, b))
    assume(all(barrier.line.distance(shape) > 1e-3 for barrier in plan.barriers for shape in (one, other)))
    middles = along_floor_m(floor, a, b, cautious=True)
    edges = along_floor_between_m(floor, one, other, cautious=True)
    assert (middles is None) == (edges is None)
    if middles is not None and edges is not None:
        assert middles - 0.1 * sqrt(2) - 1e-4 <= edges <= middles + 1e-4


@LAW
@given(rooms(5), places(), places())
def test_as_far_there_as_back(plan: FloorPlan, a: Point, b: Point) -> None:
    assume(stand_clear(plan, a, b))
    floor = SpillFloor(plan)
    there, back = along_floor_m(floor, a, b, cautious=True), along_floor_m(floor, b, a, cautious=True)
    assert there == back or there == pytest.approx(back, abs=1e-9)


@LAW
@given(rooms(4), places(), st.lists(places(), max_size=4), places())
def test_an_added_drain_never_moves_the_nearest_farther(
    plan: FloorPlan, a: Point, drains: list[Point], added: Point
) -> None:
    floor = SpillFloor(plan)
    before = nearest_m(floor, a, drains, cautious=True)
    after = nearest_m(floor, a, [*drains, added], cautious=True)
    assert before is None or (after is not None and after <= before)
    assert drains or before is None


@LAW
@given(walls(4), walls(1), places(), places())
def test_an_added_tight_wall_never_shortens_the_way(
    drawn: tuple[Barrier, ...], added: tuple[Barrier, ...], a: Point, b: Point
) -> None:
    more = room(WIDTH_M, DEPTH_M, barriers=drawn + added)
    assume(stand_clear(more, a, b))
    before = along_floor_m(SpillFloor(room(WIDTH_M, DEPTH_M, barriers=drawn)), a, b, cautious=True)
    after = along_floor_m(SpillFloor(more), a, b, cautious=True)
    assert after is None or (before is not None and after >= before - 1e-4)
