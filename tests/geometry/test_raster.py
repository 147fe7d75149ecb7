from math import nan

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import MultiPolygon, Polygon, box

from geometry.constants import MAX_CELLS
from geometry.errors import GeometryRefused
from geometry.raster import Grid, covered, grid_over, rings_of


def test_grid_lies_centrally_over_a_floor() -> None:
    assert grid_over(box(0, 0, 24, 15), 0.1) == Grid(0.0, 0.0, 0.1, rows=150, columns=240)
    odd = grid_over(box(0, 0, 1.05, 0.95), 0.1)
    assert (odd.rows, odd.columns) == (10, 11)
    assert odd.west_m == pytest.approx(-0.025)
    assert odd.south_m == pytest.approx(-0.025)


@pytest.mark.parametrize("cell", [0.0, -0.1, nan])
def test_grid_refuses_a_cell_that_is_none(cell: float) -> None:
    with pytest.raises(GeometryRefused, match="grid cell"):
        grid_over(box(0, 0, 1, 1), cell)


def test_floor_too_large_names_the_limit_and_a_cell_that_fits() -> None:
    with pytest.raises(
        GeometryRefused, match=r"at most 4,000,000 cells, found 25,000,000 at 0.1 m; a cell of 0.25 m fits"
    ):
        grid_over(box(0, 0, 500, 500), 0.1)
    assert grid_over(box(0, 0, 500, 500), 0.25).rows ** 2 == MAX_CELLS
    grid_over(box(0, 0, 200, 200), 0.1)


def test_a_shape_covers_the_cells_whose_centre_it_holds() -> None:
    grid = grid_over(box(0, 0, 4, 3), 1.0)
    ringed = box(0, 0, 4, 3).difference(box(1, 1, 2, 2))
    found = covered(grid, rings_of(ringed), grid.everything)
    assert found.tolist() == [[True] * 4, [True, False, True, True], [True] * 4]
    assert covered(grid, rings_of(ringed), (1, 2, 1, 3)).tolist() == [[False, True]]


def test_nothing_covers_nothing() -> None:
    grid = grid_over(box(0, 0, 4, 3), 1.0)
    assert rings_of(Polygon()) == []
    assert not covered(grid, [], grid.everything).any()
    assert covered(grid, rings_of(box(0, 0, 1, 1)), (2, 2, 0, 4)).shape == (0, 4)
    assert grid.window(10, 10, 12, 12) == (3, 3, 4, 4)


def test_areas_that_touch_on_cell_centres_share_them_out() -> None:
    grid = grid_over(box(0, 0, 4, 4), 1.0)
    left, right = box(0, 0, 1.5, 4), box(1.5, 0, 4, 4)
    one = covered(grid, rings_of(left), grid.everything)
    other = covered(grid, rings_of(right), grid.everything)
    assert (one ^ other).all()


@settings(max_examples=60, derandomize=True, deadline=None)
@given(st.lists(st.tuples(st.floats(0, 12), st.floats(0, 9)), min_size=3, max_size=9), st.floats(0.17, 0.9))
def test_agrees_with_shapely_on_any_area(corners: list[tuple[float, float]], cell_m: float) -> None:
    shape = shapely.make_valid(Polygon(corners))
    areas = MultiPolygon([part for part in shapely.get_parts(shape) if part.geom_type == "Polygon" and part.area > 0])
    grid = grid_over(box(0, 0, 12, 9), cell_m)
    x, y = np.meshgrid(grid.x_m(grid.everything), grid.y_m(grid.everything))
    # Centres closer to an edge than rounding may fall on either side.
    clear = shapely.distance(areas.boundary, shapely.points(x, y)) > 1e-9 if not areas.is_empty else np.ones_like(x)
    found = covered(grid, rings_of(areas), grid.everything)
    assert np.array_equal(found[clear.astype(bool)], shapely.contains_xy(areas, x, y)[clear.astype(bool)])
