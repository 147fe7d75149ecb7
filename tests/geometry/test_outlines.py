"""Areas of whole cells: rings that never touch themselves, holes, cells that meet in a corner; the union of squares."""

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from hypothesis.extra import numpy as arrays
from numpy.typing import NDArray
from shapely import MultiPolygon, Polygon, box

from geometry.outlines import area_of_cells
from geometry.raster import Grid

GRID = Grid(west_m=0.3, south_m=-0.7, cell_m=0.1, rows=12, columns=12)


def area(drawn: str) -> Polygon | MultiPolygon:
    """Area of the cells drawn as #, the northernmost row first."""
    inside = np.array([[each == "#" for each in line] for line in reversed(drawn.split())])
    return area_of_cells(Grid(0.0, 0.0, 1.0, *inside.shape), *np.nonzero(inside))


def test_corner_piece_has_six_corners() -> None:
    found = area("#.  ##")
    assert found.normalize() == Polygon([(0, 0), (2, 0), (2, 1), (1, 1), (1, 2), (0, 2)]).normalize()


def test_no_cells_are_an_empty_area() -> None:
    none = np.array([], dtype=np.int64)
    assert area_of_cells(GRID, none, none).is_empty


def test_a_cell_named_twice_counts_once() -> None:
    one = np.array([3, 3])
    assert area_of_cells(GRID, one, one).area == pytest.approx(0.01)


@pytest.mark.parametrize(
    ("drawn", "parts", "holes"),
    [
        ("#.  .#", 2, 0),  # they meet in a corner
        ("### #.# ###", 1, 1),
        ("#### #..# ####", 1, 1),
        ("#### ##.# #.## ####", 1, 2),  # two holes that meet in a corner
        ("##.. #.#. ####", 1, 1),  # closed by a corner
        (".#. #.# .#.", 4, 0),
        ("##### #...# #.#.# #...# #####", 2, 1),  # an island
    ],
)
def test_holes_and_corners(drawn: str, parts: int, holes: int) -> None:
    found = area(drawn)
    assert found.is_valid
    assert found.area == drawn.count("#")
    assert len(shapely.get_parts(found)) == parts
    assert int(shapely.get_num_interior_rings(shapely.get_parts(found)).sum()) == holes


@settings(max_examples=60)
@given(arrays.arrays(np.bool_, st.tuples(st.integers(1, 9), st.integers(1, 9))))
def test_law_it_is_the_union_of_squares(inside: NDArray[np.bool_]) -> None:
    rows, columns = np.nonzero(inside)
    found = area_of_cells(GRID, rows, columns)
    west, south = 0.3 + columns * 0.1, -0.7 + rows * 0.1
    squares = box(west, south, 0.3 + (columns + 1) * 0.1, -0.7 + (rows + 1) * 0.1)
    assert found.is_valid
    assert found.equals(shapely.union_all(squares))
    assert found.area == pytest.approx(len(rows) * 0.01, abs=1e-12)
