"""The grid: square cells over the bounds of a floor, and which of them an area covers."""

import math
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from geometry.constants import MAX_CELLS
from geometry.errors import GeometryRefused

Floats = NDArray[np.float64]
Mask = NDArray[np.bool_]
Window = tuple[int, int, int, int]
"""First and past-the-last row, first and past-the-last column."""


@dataclass(frozen=True, slots=True)
class Grid:
    """Rows run with y, columns with x; row 0 is the southernmost.

    Parameters
    ----------
    west_m, south_m : float
        Outer corner of the first cell [m].
    cell_m : float
        Side of a cell [m].
    rows, columns : int
        Count of cells along y and x.
    """

    west_m: float
    south_m: float
    cell_m: float
    rows: int
    columns: int

    @property
    def everything(self) -> Window:
        """The window that holds the whole grid."""
        return 0, self.rows, 0, self.columns

    def x_m(self, window: Window) -> Floats:
        """Find the centres of columns.

        Parameters
        ----------
        window : tuple of int
            Part of the grid.

        Returns
        -------
        (columns,) array
            From west to east [m].
        """
        return np.asarray(self.west_m + (np.arange(window[2], window[3]) + 0.5) * self.cell_m, dtype=np.float64)

    def y_m(self, window: Window) -> Floats:
        """Find the centres of rows.

        Parameters
        ----------
        window : tuple of int
            Part of the grid.

        Returns
        -------
        (rows,) array
            From south to north [m].
        """
        return np.asarray(self.south_m + (np.arange(window[0], window[1]) + 0.5) * self.cell_m, dtype=np.float64)

    def window(self, west_m: float, south_m: float, east_m: float, north_m: float) -> Window:
        """Find the cells whose centre may lie in a box.

        Parameters
        ----------
        west_m, south_m, east_m, north_m : float
            Sides of the box [m].

        Returns
        -------
        tuple of int
            Cut to the grid; may be empty.
        """
        return (
            min(max(math.floor((south_m - self.south_m) / self.cell_m), 0), self.rows),
            min(max(math.ceil((north_m - self.south_m) / self.cell_m), 0), self.rows),
            min(max(math.floor((west_m - self.west_m) / self.cell_m), 0), self.columns),
            min(max(math.ceil((east_m - self.west_m) / self.cell_m), 0), self.columns),
        )


def grid_over(shape: BaseGeometry, cell_m: float) -> Grid:
    """Lay a grid centrally over a shape.

    Parameters
    ----------
    shape : BaseGeometry
        The mapped floor [m].
    cell_m : float
        Side of a cell [m].

    Returns
    -------
    Grid
        Centred on the bounds of the shape, so that turning the shape by a quarter turns the grid with it.

    Raises
    ------
    GeometryRefused
        If the cell is not above zero, or the grid would be too large; the message states the limit and the
        smallest cell that fits.
    """
    if not math.isfinite(cell_m) or cell_m <= 0:
        raise GeometryRefused(f"grid cell: expected more than 0 m, found {cell_m}")
    west, south, east, north = shape.bounds
    columns, rows = _cells_along(east - west, cell_m), _cells_along(north - south, cell_m)
    if rows * columns > MAX_CELLS:
        raise GeometryRefused(
            f"floor of {east - west:.0f} × {north - south:.0f} m: expected at most {MAX_CELLS:,} cells, found "
            f"{rows * columns:,} at {cell_m:g} m; a cell of {_fitting_cell_m(east - west, north - south):g} m fits"
        )
    return Grid(
        west_m=(west + east - columns * cell_m) / 2,
        south_m=(south + north - rows * cell_m) / 2,
        cell_m=cell_m,
        rows=rows,
        columns=columns,
    )


def rings_of(shape: BaseGeometry) -> list[Floats]:
    """Take an area apart into its edges.

    Parameters
    ----------
    shape : BaseGeometry
        Polygon or multipolygon [m]; may be empty.

    Returns
    -------
    list of (n, 2) array
        Corners of each ring, holes included [m].
    """
    if shape.is_empty:
        return []
    return [shapely.get_coordinates(ring) for ring in shapely.get_rings(shapely.get_parts(shape))]


def covered(grid: Grid, rings: list[Floats], window: Window) -> Mask:
    """Find the cells of a window whose centre lies inside closed rings, holes left out.

    Parameters
    ----------
    grid : Grid
        The cells.
    rings : list of (n, 2) array
        Corners of each ring [m]; a ring closes by itself.
    window : tuple of int
        Part of the grid to answer for.

    Returns
    -------
    (rows, columns) array of bool

    Notes
    -----
    Even-odd rule along each row. A centre exactly on an edge belongs to the area on its east or north side, so that
    of two areas with a common edge exactly one takes it.
    """
    first_row, past_row, first_column, past_column = window
    rows, columns = past_row - first_row, past_column - first_column
    if rows <= 0 or columns <= 0 or not rings:
        return np.zeros((max(rows, 0), max(columns, 0)), dtype=np.bool_)
    starts = np.concatenate(rings)
    ends = np.concatenate([np.roll(ring, -1, axis=0) for ring in rings])
    # In units of cells from the centre of the window's first cell.
    x0 = (starts[:, 0] - grid.west_m) / grid.cell_m - 0.5 - first_column
    y0 = (starts[:, 1] - grid.south_m) / grid.cell_m - 0.5 - first_row
    x1 = (ends[:, 0] - grid.west_m) / grid.cell_m - 0.5 - first_column
    y1 = (ends[:, 1] - grid.south_m) / grid.cell_m - 0.5 - first_row
    low = np.clip(np.ceil(np.minimum(y0, y1)), 0, rows).astype(np.int64)
    high = np.clip(np.ceil(np.maximum(y0, y1)), 0, rows).astype(np.int64)
    count = high - low
    edge = np.repeat(np.arange(len(count)), count)
    row = np.arange(len(edge)) - np.repeat(np.cumsum(count) - count, count) + low[edge]
    crossing = x0[edge] + (row - y0[edge]) * (x1[edge] - x0[edge]) / (y1[edge] - y0[edge])
    column = np.clip(np.ceil(crossing), 0, columns).astype(np.int64)
    toggles = np.bincount(row * (columns + 1) + column, minlength=rows * (columns + 1)).astype(np.uint8)
    odd = np.cumsum(toggles.reshape(rows, columns + 1), axis=1, dtype=np.uint8) & 1
    return odd[:, :columns].astype(np.bool_)


def _cells_along(length_m: float, cell_m: float) -> int:
    # A whole number of cells stays whole in spite of rounding (6 m / 0.1 m is 60.000000000000004).
    return max(math.ceil(length_m / cell_m - 1e-6), 1)


def _fitting_cell_m(width_m: float, depth_m: float) -> float:
    cell_m = math.ceil(math.sqrt(width_m * depth_m / MAX_CELLS) * 100) / 100
    while _cells_along(width_m, cell_m) * _cells_along(depth_m, cell_m) > MAX_CELLS:
        cell_m = round(cell_m + 0.01, 2)
    return cell_m
