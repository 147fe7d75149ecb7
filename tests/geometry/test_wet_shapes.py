from math import inf
from random import Random

import numpy as np
import pytest
from shapely import LineString, MultiPolygon, affinity, box

from geometry.floor import Barrier, FloorPlan, SpillFloor
from geometry.flow_cells import barriers_of
from geometry.raster import Mask
from geometry.wet_shapes import WetShapes
from tests.geometry.floors import room, wall


def shapes(plan: FloorPlan, ever: Mask | None = None) -> WetShapes:
    floor = SpillFloor(plan, 0.5)
    wet = np.ones((floor.grid.rows, floor.grid.columns), dtype=np.bool_) if ever is None else ever
    return WetShapes(floor.grid, barriers_of(floor.passing.stretches, ()), wet)


def test_cells_join_into_one_area() -> None:
    wet = np.zeros((4, 8), dtype=np.bool_)
    wet[1:3, 2:5] = True
    found = shapes(room(4, 2)).shape(wet)
    assert isinstance(found, MultiPolygon)
    assert found.equals(box(1, 0.5, 2.5, 1.5))


def test_nothing_wet_is_no_area() -> None:
    assert shapes(room(4, 2)).shape(np.zeros((4, 8), dtype=np.bool_)).is_empty


def test_a_cell_ends_at_the_wall_that_runs_through_it() -> None:
    wet = np.zeros((4, 8), dtype=np.bool_)
    wet[:, :5] = True
    # Centres at 2.25 lie west of the wall at 2.4, which cuts 0.1 m off their cells.
    found = shapes(room(4, 2, barriers=(wall((2.4, 0), (2.4, 2)),))).shape(wet)
    assert found.area == pytest.approx(2.4 * 2)
    assert found.bounds == pytest.approx((0, 0, 2.4, 2))
    # A wall along the sides of cells cuts none, nor does one that ends within a cell.
    assert shapes(room(4, 2, barriers=(wall((2.5, 0), (2.5, 2)),))).shape(wet).area == pytest.approx(5)
    assert shapes(room(4, 2, barriers=(wall((2.4, 0.2), (2.4, 0.4)),))).shape(wet).area == pytest.approx(5)


def test_a_floor_of_odd_size_does_not_end_with_its_cells() -> None:
    wet = np.ones((4, 9), dtype=np.bool_)
    floor = SpillFloor(room(4.2, 2), 0.5)
    found = WetShapes(floor.grid, barriers_of(floor.passing.stretches, ()), wet).shape(wet)
    assert found.area == pytest.approx(4.2 * 2)


def test_of_a_cell_cut_through_its_middle_the_part_is_taken_that_the_flow_wets() -> None:
    # Centres on a wall count as a little east of it.
    wet = np.zeros((4, 8), dtype=np.bool_)
    wet[1, 1] = True
    found = shapes(room(4, 2, barriers=(wall((0, 0), (2, 2)),))).shape(wet)
    assert found.area == pytest.approx(0.125)
    assert found.centroid.x > found.centroid.y


@pytest.mark.parametrize("first", range(0, 60, 20))
def test_what_is_wet_never_passes_the_foot_of_a_slanted_wall(first: int) -> None:
    for seed in range(first, first + 20):
        plan, cell_m = slanted(Random(seed))  # noqa: S311 - places, no secrets
        floor = SpillFloor(plan, cell_m)
        layout = floor.passing.layout()
        found = WetShapes(floor.grid, barriers_of(floor.passing.stretches, ()), np.asarray(layout.compartment_of >= 0))
        for index, compartment in enumerate(layout.compartments):
            wet = found.shape(np.asarray(layout.compartment_of == index))
            assert wet.difference(compartment).area < 1e-5, f"floor {seed}, compartment {index}"


def slanted(draw: Random) -> tuple[FloorPlan, float]:
    """A room somewhere, with three tight walls from anywhere on its outer wall or in it, and a size of cells."""
    width, depth = draw.choice([(4.0, 3.0), (4.2, 3.1), (4.05, 3.33)])
    east, north = draw.choice([(0.0, 0.0), (12.3, -45.6), (draw.uniform(-50, 50), draw.uniform(-50, 50))])
    walls = []
    for _ in range(3):
        x, y = draw.uniform(0, width), draw.uniform(0, depth)
        ends = draw.sample([(x, 0.0), (x, depth), (0.0, y), (width, y), (draw.uniform(0, width), y)], 2)
        walls.append(Barrier("wall", affinity.translate(LineString(ends), east, north), inf, tight=True))
    outline = box(east, north, east + width, north + depth)
    return FloorPlan(outline, perimeter_tight=True, barriers=tuple(walls)), draw.choice([0.1, 0.25])
