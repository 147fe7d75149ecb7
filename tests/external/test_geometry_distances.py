"""Lengths along the floor against an outside answer: every pair of corners looked at by shapely, Dijkstra by scipy."""

from math import inf

import numpy as np
import pytest
from shapely import LineString, Point, Polygon, box

from geometry.constants import GAP_CLOSED_M
from geometry.drain_proximity import along_floor_m
from geometry.floor import Barrier, FloorPlan, SpillFloor
from tests.geometry.paths_the_long_way import shortest_way_m

FLOORS = 100


def random_floor(dice: np.random.Generator) -> FloorPlan:
    """A room or an angled room with up to six walls at any slant."""
    width, depth = dice.uniform(6, 12, 2).tolist()
    outline = box(0, 0, width, depth)
    if dice.random() < 0.4:
        x, y = dice.uniform(0.3, 0.7) * width, dice.uniform(0.3, 0.7) * depth
        outline = Polygon([(0, 0), (width, 0), (width, y), (x, y), (x, depth), (0, depth)])
    barriers: list[Barrier] = []
    for _ in range(int(dice.integers(1, 7))):
        line = LineString(dice.uniform(0, 1, (2, 2)) * (width, depth))
        others = [outline.exterior, *(barrier.line for barrier in barriers)]
        ends = [Point(corner) for corner in line.coords]
        # Ends nearer than this are joined on purpose, which the outside answer does not know.
        loose = all(other.distance(end) == 0 or other.distance(end) > GAP_CLOSED_M for other in others for end in ends)
        free = all(Point(corner).distance(line) > GAP_CLOSED_M for other in others for corner in other.coords)
        if line.length > 0.5 and loose and free:
            barriers.append(Barrier("wall", line, inf, tight=True))
    return FloorPlan(outline=outline, perimeter_tight=True, barriers=tuple(barriers))


def free_point(plan: FloorPlan, dice: np.random.Generator) -> Point:
    west, south, east, north = plan.outline.bounds
    while True:
        point = Point(dice.uniform((west, south), (east, north)))
        lines = [plan.outline.exterior, *(barrier.line for barrier in plan.barriers)]
        if plan.outline.contains(point) and all(line.distance(point) > 0.02 for line in lines):
            return point


@pytest.mark.slow
def test_exact_and_grid_lengths_on_random_floors() -> None:
    dice = np.random.default_rng(20_260_101)
    bent = stopped = 0
    for _ in range(FLOORS):
        plan = random_floor(dice)
        floor = SpillFloor(plan)
        walls = [barrier.line for barrier in plan.barriers]
        a, b = free_point(plan, dice), free_point(plan, dice)
        expected = shortest_way_m(plan.outline, walls, a, b)
        exact = along_floor_m(floor, a, b, cautious=True)
        assert (exact is None and expected == inf) or exact == pytest.approx(expected, abs=3e-3)

        lengths, window = floor.origin(a, cautious=True).field(100.0)
        row = int((b.y - floor.grid.south_m) / floor.grid.cell_m)
        column = int((b.x - floor.grid.west_m) / floor.grid.cell_m)
        centre = Point(
            floor.grid.west_m + (column + 0.5) * floor.grid.cell_m,
            floor.grid.south_m + (row + 0.5) * floor.grid.cell_m,
        )
        if plan.outline.contains(centre) and all(line.distance(centre) > 0.01 for line in walls):
            there = shortest_way_m(plan.outline, walls, a, centre)
            found = float(lengths[row - window[0], column - window[2]])
            assert found == there == inf or abs(found - there) <= max(0.01 * there, floor.grid.cell_m / 2)
        bent += a.distance(b) + 0.01 < expected < inf
        stopped += expected == inf
    # The floors are no mere open rooms.
    assert bent > 30
    assert stopped >= 1
