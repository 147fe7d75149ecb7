from math import inf, nan

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from shapely import LineString, Point, Polygon, box
from shapely.affinity import affine_transform

from geometry.drain_proximity import along_floor_m
from geometry.errors import GeometryRefused
from geometry.floor import Barrier, Basin, FloorPlan, Opening, SpillFloor
from tests.geometry.floors import DEPTH_M, WIDTH_M, door, kerb, places, room, rooms, stand_clear, wall, walls

WEST, EAST = Point(2, 4), Point(8, 4)


def ways(plan: FloorPlan, a: Point = WEST, b: Point = EAST) -> tuple[bool, bool]:
    """Whether liquid gets from west to east: when unknowns let it through, and when they stop it."""
    floor = SpillFloor(plan)
    passing, holding = (along_floor_m(floor, a, b, cautious=cautious) for cautious in (True, False))
    return passing is not None, holding is not None


@pytest.mark.parametrize(("tight", "expected"), [(True, (False, False)), (None, (True, False)), (False, (True, True))])
def test_a_wall_stops_liquid_only_where_it_is_tight(*, tight: bool | None, expected: tuple[bool, bool]) -> None:
    assert ways(room(barriers=(wall((5, 0), (5, 8), tight=tight),))) == expected


@pytest.mark.parametrize(
    ("tight", "shut", "sill", "expected"),
    [
        (True, True, 0.0, (False, False)),
        (True, False, 0.0, (True, True)),
        (True, None, 0.0, (True, False)),
        (True, False, 0.02, (False, False)),
        (True, None, 0.02, (False, False)),
        (None, True, 0.02, (True, False)),
        (None, False, 0.0, (True, True)),
        (None, False, 0.02, (True, False)),
        (False, True, 0.02, (True, True)),
    ],
)
def test_a_door_in_a_tight_wall(
    *, tight: bool | None, shut: bool | None, sill: float, expected: tuple[bool, bool]
) -> None:
    opening = door((5, 3), (5, 4), tight=tight, shut=shut, sill_m=sill)
    assert ways(room(barriers=(wall((5, 0), (5, 8)),), openings=(opening,))) == expected


def test_a_shut_tight_door_in_a_wall_that_is_not_tight_stops_nothing() -> None:
    opening = door((5, 3), (5, 4), tight=True, shut=True)
    assert ways(room(barriers=(wall((5, 0), (5, 8), tight=False),), openings=(opening,))) == (True, True)


def test_a_kerb_counts_only_where_it_is_tight() -> None:
    for tight, expected in ((True, (False, False)), (None, (True, False)), (False, (True, True))):
        basin = Basin("kerb", box(1, 3, 3, 5), 0.02, None, tight)
        assert ways(room(basins=(basin,))) == expected


YARD = box(10, 0, 14, 8)


@pytest.mark.parametrize(("tight", "expected"), [(True, (False, False)), (None, (True, False)), (False, (True, True))])
def test_liquid_gets_into_a_yard_through_an_outer_wall_that_is_not_tight(
    *, tight: bool | None, expected: tuple[bool, bool]
) -> None:
    assert ways(room(perimeter_tight=tight, outdoors=(YARD,)), b=Point(12, 4)) == expected


def test_liquid_gets_into_a_yard_through_a_door_of_a_tight_outer_wall() -> None:
    opening = door((10, 1), (10, 2), tight=False, shut=True)
    assert ways(room(perimeter_tight=True, outdoors=(YARD,), openings=(opening,)), b=Point(12, 4)) == (True, True)
    floor = SpillFloor(room(perimeter_tight=True, outdoors=(YARD,), openings=(opening,)))
    # 8 m east and 2 m south to the jamb at (10, 2), then 2 m east and 2 m north.
    assert along_floor_m(floor, WEST, Point(12, 4), cautious=False) == pytest.approx(68**0.5 + 8**0.5, abs=1e-4)


@pytest.mark.parametrize(("gap", "joined"), [(0.0, True), (0.25, True), (0.5, False)])
def test_a_yard_adjoins_across_the_thickness_of_a_wall(gap: float, *, joined: bool) -> None:
    plan = room(perimeter_tight=False, outdoors=(box(10 + gap, 0, 14, 8),))
    assert ways(plan, b=Point(12, 4)) == (joined, joined)
    assert SpillFloor(plan).mapped.area == pytest.approx(112 if joined else 80 + 8 * (4 - gap), rel=2e-3)


def test_readings_are_one_where_nothing_is_unknown() -> None:
    known = SpillFloor(room(barriers=(wall((5, 0), (5, 6)),)))
    assert known.passing is known.holding
    unknown = SpillFloor(room(barriers=(wall((5, 0), (5, 6), tight=None),)))
    assert unknown.passing is not unknown.holding
    assert unknown.flow(cautious=True) is unknown.passing
    assert unknown.flow(cautious=False) is unknown.holding


def test_steps_are_the_heights_that_a_film_may_come_over() -> None:
    floor = SpillFloor(room(basins=(kerb(1, 1, 3, 3, 0.06), kerb(5, 1, 7, 3, 0.02)), barriers=(wall((4, 0), (4, 8)),)))
    assert floor.passing.steps_m == (0.0, 0.02, 0.06)
    assert [floor.passing.step_at(depth) for depth in (0.001, 0.02, 0.0599, 0.06, 1.0)] == [0, 1, 1, 2, 2]


def test_a_source_on_a_barrier_is_moved_at_most_two_tenths() -> None:
    floor = SpillFloor(room(barriers=(wall((5, 0), (5, 8)),)))
    assert floor.free_place(Point(4.9, 4)) == Point(4.9, 4)
    assert floor.free_place(Point(5, 4)).distance(Point(5, 4)) < 0.1
    assert floor.free_place(Point(0, 4)).distance(Point(0.05, 4)) < 0.06
    assert floor.free_place(Point(-0.1, 4)).distance(Point(0.05, 4)) < 0.06
    with pytest.raises(
        GeometryRefused, match=r"source at \(-0.3, 4\): expected free floor within 0.2 m, found .* 0.30 m"
    ):
        floor.free_place(Point(-0.3, 4))
    with pytest.raises(GeometryRefused, match="source: expected finite"):
        floor.free_place(Point(nan, 4))


def test_a_source_on_a_barrier_may_stand_on_either_side() -> None:
    floor = SpillFloor(room(barriers=(wall((5, 0), (5, 8), tight=None),)))
    assert floor.free_places(Point(4.9, 4)) == (Point(4.9, 4),)
    sides = floor.free_places(Point(5, 4))
    assert sorted(round(side.x, 2) for side in sides) == [4.95, 5.05]
    assert sides[0] == floor.free_place(Point(5, 4))
    assert len(floor.free_places(Point(0, 4))) == 1


@settings(max_examples=30, derandomize=True, deadline=None)
@given(plan=rooms(3), share=st.floats(0.05, 0.95))
def test_a_mirrored_floor_has_as_many_sides_as_far_off(plan: FloorPlan, share: float) -> None:
    assume(plan.barriers)
    mirrored = [-1.0, 0.0, 0.0, 1.0, WIDTH_M, 0.0]
    other = room(
        WIDTH_M,
        DEPTH_M,
        barriers=tuple(
            Barrier(each.name, affine_transform(each.line, mirrored), each.height_m, each.tight)
            for each in plan.barriers
        ),
    )
    place = plan.barriers[0].line.interpolate(share, normalized=True)
    image = affine_transform(place, mirrored)
    here, there = (
        [side.distance(at) for side in SpillFloor(floor).free_places(at)]
        for floor, at in ((plan, place), (other, image))
    )
    assert here == pytest.approx(there, abs=1e-9)


def test_openings_that_lie_in_no_wall_are_named() -> None:
    lying = Opening("main", LineString([(10, 1), (10, 2)]), 0, None, None)
    astray = Opening("side", LineString([(5, 1), (5, 2)]), 0, None, None)
    assert SpillFloor(room(openings=(lying, astray))).openings_off_walls == ("side",)
    assert SpillFloor(room()).openings_off_walls == ()


@pytest.mark.parametrize(
    ("plan", "message"),
    [
        (FloorPlan(outline=Polygon([(0, 0), (4, 4), (4, 0), (0, 4)])), "outline: .*does not cross itself"),
        (FloorPlan(outline=Polygon()), "outline: expected a shape, found an empty one"),
        (room(outdoors=(Polygon([(0, 0), (4, 4), (4, 0), (0, 4)]),)), "outdoor surface 1: .*does not cross itself"),
        (room(barriers=(wall((1, 1), (2, 2), height_m=nan),)), "wall: height: expected 0 m or more, found nan"),
        (room(barriers=(wall((1, 1), (2, 2), height_m=-1),)), "wall: height: expected 0 m or more, found -1"),
        (room(barriers=(Barrier("partition", LineString(), 1, tight=True),)), "partition: expected a shape"),
        (room(barriers=(wall((1, 1), (inf, 2)),)), "wall: expected finite coordinates, found inf"),
        (room(openings=(door((0, 1), (0, 2), sill_m=-0.1),)), "door: sill: expected 0 m or more, found -0.1"),
        (room(basins=(kerb(1, 1, 2, 2, nan),)), "kerb: lip: expected 0 m or more, found nan"),
        (room(basins=(kerb(1, 1, 2, 2, 0.1, lip_at=Point(inf, 0)),)), "kerb: place of the lip: expected finite"),
    ],
)
def test_a_floor_that_cannot_be_measured_is_refused(plan: FloorPlan, message: str) -> None:
    with pytest.raises(GeometryRefused, match=message):
        SpillFloor(plan)


def test_a_floor_too_large_for_the_grid_is_refused() -> None:
    with pytest.raises(GeometryRefused, match=r"a cell of 0.15 m fits"):
        SpillFloor(room(300, 300))
    assert SpillFloor(room(300, 300), cell_m=0.15).grid.rows == 2000


def test_a_bare_room_has_two_like_readings_and_one_step() -> None:
    floor = SpillFloor(room())
    assert floor.passing.steps_m == (0.0,)
    assert len(floor.passing.layout().compartments) == 1
    assert floor.passing.layout().outlets == ((),)


def test_an_outline_with_a_courtyard() -> None:
    ringed = FloorPlan(Polygon(box(0, 0, 10, 8).exterior, [box(4, 3, 6, 5).exterior]), perimeter_tight=True)
    floor = SpillFloor(ringed)
    assert floor.passing.layout().compartments[0].area == pytest.approx(76)
    around = along_floor_m(floor, WEST, EAST, cautious=True)
    assert around == pytest.approx(2 + 2 * 5**0.5, abs=1e-4)


@settings(max_examples=40, derandomize=True, deadline=None)
@given(walls(4, tight=None), places(), places())
def test_letting_through_is_never_longer_than_stopping(drawn: tuple[Barrier, ...], a: Point, b: Point) -> None:
    floor = SpillFloor(room(WIDTH_M, DEPTH_M, barriers=drawn))
    through = along_floor_m(floor, a, b, cautious=True)
    stopped = along_floor_m(floor, a, b, cautious=False)
    assert through == pytest.approx(a.distance(b))
    assert stopped is None or stopped >= a.distance(b) - 1e-9


@settings(max_examples=25, derandomize=True, deadline=None)
@given(walls(4), places(), places(), st.floats(0.2, 1.0))
def test_a_door_is_never_in_the_way(drawn: tuple[Barrier, ...], a: Point, b: Point, share: float) -> None:
    plan = room(WIDTH_M, DEPTH_M, barriers=drawn)
    assume(stand_clear(plan, a, b))
    doors = [(Point(barrier.line.coords[0]), barrier.line.interpolate(share, normalized=True)) for barrier in drawn[:2]]
    openings = tuple(Opening("door", LineString(jambs), 0.0, tight=False, shut=None) for jambs in doors)
    before = along_floor_m(SpillFloor(plan), a, b, cautious=False)
    after = along_floor_m(SpillFloor(room(WIDTH_M, DEPTH_M, barriers=drawn, openings=openings)), a, b, cautious=False)
    assert before is None or (after is not None and after <= before + 1e-4)
