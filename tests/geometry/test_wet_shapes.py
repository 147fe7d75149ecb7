import numpy as np
import pytest
from shapely import MultiPolygon, box

from geometry.floor import FloorPlan, SpillFloor
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
