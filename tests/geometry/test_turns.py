from math import inf, pi, sqrt

import numpy as np
import pytest
from shapely import LineString, MultiLineString, MultiPoint, Point, Polygon, box
from shapely.geometry.base import BaseGeometry

from geometry.floor import FloorPlan, SpillFloor
from geometry.turns import Turns
from tests.geometry.floors import room, wall

DIVIDED = room(barriers=(wall((5, 0), (5, 6)),))
"""A 10 × 8 m room with a wall from the south to (5, 6)."""


def turns_of(plan: FloorPlan) -> Turns:
    return SpillFloor(plan).passing.layout().turns


def test_ways_to_a_corner_and_what_lies_before_it() -> None:
    there = turns_of(DIVIDED).approach(np.array([[2.0, 2.0], [5.5, 6.5]]))
    assert there.length_m[:, 0] == pytest.approx([5, sqrt(0.5)], abs=1e-4)
    assert there.before[:, 0].tolist() == [-1, -1]
    assert there.to_bend_m.shape == (2, 2)
    two = turns_of(room(12, 8, barriers=(wall((3, 0), (3, 6)), wall((6, 2), (6, 8)))))
    onward = two.approach(np.array([[1.0, 1.0]]))
    assert onward.length_m[0] == pytest.approx([sqrt(4 + 25), sqrt(4 + 25) + 5], abs=1e-4)
    # Before the second corner comes a bend of the first.
    assert two.bends[onward.before[0, 1]] == pytest.approx([3, 6], abs=2e-5)


def test_a_room_without_corners() -> None:
    empty = turns_of(room())
    assert empty.approach(np.array([[2.0, 2.0]])).length_m.shape == (1, 0)
    assert [len(part) for part in empty.views] == [1, 0, 1, 0]


def test_a_corner_looks_only_where_it_is_free() -> None:
    # From a free end everything but the hair of its own wall; from an outer corner not into the block behind it.
    sector_at, sectors, _, _ = turns_of(DIVIDED).views
    assert sectors[sector_at[0] : sector_at[1], 1].sum() == pytest.approx(2 * pi)
    block = turns_of(room(barriers=(wall((5, 0), (5, 4), (10, 4)),)))
    sector_at, sectors, _, _ = block.views
    blocked = sectors[:, 4] < 1e-3
    assert sectors[~blocked, 1].sum() == pytest.approx(1.5 * pi, abs=1e-3)


@pytest.mark.parametrize(
    ("target", "metres"),
    [
        (Point(2, 5), 3.0),
        (Point(8, 2), inf),
        (LineString([(3, 3), (3, 7)]), sqrt(2)),
        (LineString([(5, 1), (5, 3)]), 3.0),  # lying on the wall
        (LineString([(5.001, 1), (5.001, 3)]), inf),  # right behind it
        (LineString([(4, 1), (8, 1)]), sqrt(5)),
        (box(1, 1, 3, 3), 0.0),
        (box(3, 1, 4, 3), 1.0),
        (box(6, 1, 7, 3), inf),
        (MultiPoint([(8, 2), (2, 6)]), 4.0),
        (MultiLineString([[(7, 1), (7, 2)], [(0, 0), (0, 8)]]), 2.0),
        (box(1, 1, 3, 3).difference(box(1.5, 1.5, 2.5, 2.5)), 0.5),
    ],
)
def test_straight_ways_to_targets_of_all_kinds(target: BaseGeometry, metres: float) -> None:
    eye = np.array([[2.0, 2.0]])
    clear = isinstance(target, Point)
    assert turns_of(DIVIDED).straight_m(eye, target, clear=clear)[0] == pytest.approx(metres, abs=1e-5)


def test_along_a_wall_nothing_is_seen_through_what_the_wall_ends_in() -> None:
    # As from a bend, which stands 7 µm off the faces of its walls: from there a wall is seen nearly edge-on.
    crossed = turns_of(room(barriers=(wall((3, 4), (6, 4)), wall((6, 0), (6, 8)))))
    eye = np.array([[4.0, 4 - 7e-6]])
    assert crossed.straight_m(eye, Point(6, 4), clear=False)[0] == pytest.approx(2, abs=1e-5)
    assert crossed.straight_m(eye, Point(7, 4), clear=False)[0] == inf
    assert crossed.straight_m(eye, LineString([(7, 3), (7, 5)]), clear=False)[0] == inf
    # From near the end of a wall whose other end is far away, 2 mm beyond is beyond.
    corner = turns_of(room(barriers=(wall((1, 4), (6, 4)), wall((6, 0), (6, 8)))))
    eye = np.array([[5.9, 4 - 2.5e-4]])
    assert corner.straight_m(eye, LineString([(6, 3), (6, 5)]), clear=False)[0] == pytest.approx(0.1, abs=1e-5)
    assert corner.straight_m(eye, LineString([(6.002, 3), (6.002, 5)]), clear=False)[0] == inf


def test_no_target_is_seen_nowhere() -> None:
    assert turns_of(DIVIDED).straight_m(np.array([[2.0, 2.0]]), Polygon(), clear=False)[0] == inf
