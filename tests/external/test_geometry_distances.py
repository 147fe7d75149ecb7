"""Lengths along the floor against outside answers.

Exact: every pair of corners looked at by shapely, Dijkstra by scipy. On a grid: fast marching. scikit-fmm marches to
second order, but comes as source that wants a compiler, so it is not pinned: where it is not installed that one
comparison is passed over, and the marching of `tests.geometry.fast_marching` stands in (in `test_layout`, always run).
"""

from math import inf

import numpy as np
import pytest
from numpy.typing import NDArray
from shapely import LineString, Point, Polygon, box

from geometry.constants import GAP_CLOSED_M
from geometry.drain_proximity import along_floor_m
from geometry.floor import Barrier, FloorPlan, SpillFloor
from geometry.many_reaches import ManyReaches
from tests.geometry.floors import room, wall
from tests.geometry.paths_the_long_way import shortest_way_m

FLOORS = 100
FLOORS_MARCHED = 12
WIDTH_M, DEPTH_M = 12.0, 9.0
FINE = 9
"""The marching grid is so many times finer, since marching is some per cent too long where it comes round a corner."""


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
        many = ManyReaches(floor, np.array([[a.x, a.y]])).distances_m([b], cautious=True)
        assert many[0, 0] == pytest.approx(expected, abs=3e-3)

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


def blocks_and_source(dice: np.random.Generator) -> tuple[list[Polygon], Point]:
    """Four blocks on the lines of a 0.1 m grid, at least 0.2 m apart, and a source at least 0.55 m from all walls."""
    solid: list[Polygon] = []
    while len(solid) < 4:
        west, south = dice.integers(5, (100, 70)).tolist()
        width, depth = dice.integers(5, 30, 2).tolist()
        block = box(west / 10, south / 10, min(west + width, 115) / 10, min(south + depth, 85) / 10)
        if all(block.distance(other) > 0.2 for other in solid):
            solid.append(block)
    while True:
        at = Point(dice.uniform(0.6, (WIDTH_M - 0.6, DEPTH_M - 0.6)))
        if all(block.distance(at) > 0.55 for block in solid):
            return solid, at


def marched_m(solid: list[Polygon], at: Point) -> NDArray[np.float64]:
    """Lengths to the centres of a 0.1 m grid by scikit-fmm on a finer one [m]; not a number in walls."""
    skfmm = pytest.importorskip("skfmm", reason="scikit-fmm has no wheel for Linux and is not pinned")
    cell = 0.1 / FINE
    x = (np.arange(round(WIDTH_M / cell)) + 0.5) * cell
    y = (np.arange(round(DEPTH_M / cell)) + 0.5) * cell
    wall_cells = np.zeros((len(y), len(x)), dtype=np.bool_)
    for block in solid:
        west, south, east, north = (round(edge / cell) for edge in block.bounds)
        wall_cells[south:north, west:east] = True
    from_circle = np.hypot(x[None, :] - at.x, y[:, None] - at.y) - 0.5
    found = skfmm.distance(np.ma.MaskedArray(from_circle, wall_cells), dx=cell, order=2) + 0.5
    return np.ma.filled(found, np.nan)[FINE // 2 :: FINE, FINE // 2 :: FINE]


@pytest.mark.slow
def test_grid_lengths_agree_with_scikit_fmm() -> None:
    pytest.importorskip("skfmm", reason="scikit-fmm has no wheel for Linux and is not pinned")
    dice = np.random.default_rng(20_260_102)
    for _ in range(FLOORS_MARCHED):
        solid, at = blocks_and_source(dice)
        plan = room(WIDTH_M, DEPTH_M, barriers=tuple(wall(*block.exterior.coords) for block in solid))
        lengths, window = SpillFloor(plan).origin(at, cautious=True).field(100.0)
        assert window == (0, 90, 0, 120)
        marched = marched_m(solid, at)
        both = np.isfinite(lengths) & np.isfinite(marched) & (lengths > 0.6)
        assert both.sum() > 8000
        off = np.abs(marched[both] - lengths[both])
        assert (off <= np.maximum(0.01 * lengths[both], 0.05)).all()
