"""Wet cells as areas that end at barriers."""

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import MultiPolygon, Point, Polygon, STRtree
from shapely.geometry.base import BaseGeometry

from geometry.constants import SNAP_M
from geometry.flow_cells import Barriers
from geometry.layout import areas_of
from geometry.raster import Grid, Mask

_ASIDE_M = 1e-9  # what decides for a centre on a barrier; less than what any barrier is drawn to


class WetShapes:
    """Makes areas of the cells that a spill wets, each cut off at the barriers that run through it.

    Parameters
    ----------
    grid : Grid
        The cells.
    barriers : Barriers
        What they end at.
    ever_wet : (rows, columns) array of bool
        Every cell that will be asked for.
    """

    def __init__(self, grid: Grid, barriers: Barriers, ever_wet: Mask) -> None:
        self.grid = grid
        lines = np.asarray(shapely.linestrings(barriers.ends.reshape(-1, 2, 2)))[
            (barriers.height_m > 0) | barriers.outer
        ]
        cells = np.argwhere(ever_wet)
        boxes = self._boxes(cells, cells + 1)
        # A barrier along the side of a cell does not run through it, but what runs through may end in it.
        inner = shapely.buffer(boxes, -2 * SNAP_M, join_style="mitre")
        cut = np.unique(STRtree(lines).query(inner, predicate="intersects")[0])
        cell, line = STRtree(lines).query(boxes[cut], predicate="dwithin", distance=2 * SNAP_M)
        through: dict[int, list[BaseGeometry]] = {}
        for index, number in zip(cut[cell].tolist(), line.tolist(), strict=True):
            through.setdefault(index, []).append(lines[number])
        self._parts = {
            (int(cells[index, 0]), int(cells[index, 1])): _own_part(boxes[index], cutting)
            for index, cutting in through.items()
        }
        self._cut = np.zeros_like(ever_wet)
        for row, column in self._parts:
            self._cut[row, column] = True

    def shape(self, wet: Mask) -> MultiPolygon:
        """Put wet cells together as one area.

        Parameters
        ----------
        wet : (rows, columns) array of bool
            Which are wet.

        Returns
        -------
        MultiPolygon
            In metres; empty where nothing is wet.
        """
        starts, ends = _runs(wet & ~self._cut)
        parts: list[BaseGeometry] = list(self._boxes(starts, ends))
        parts.extend(self._parts[row, column] for row, column in np.argwhere(wet & self._cut).tolist())
        shape = areas_of(shapely.union_all(parts, grid_size=SNAP_M))
        return shape if isinstance(shape, MultiPolygon) else MultiPolygon([shape] if not shape.is_empty else [])

    def _boxes(self, low: NDArray[np.int64], past: NDArray[np.int64]) -> NDArray[np.object_]:
        west_m, south_m, cell_m = self.grid.west_m, self.grid.south_m, self.grid.cell_m
        return np.asarray(
            shapely.box(
                west_m + low[:, 1] * cell_m,
                south_m + low[:, 0] * cell_m,
                west_m + past[:, 1] * cell_m,
                south_m + past[:, 0] * cell_m,
            )
        )


def _runs(wet: Mask) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    """First and past-the-last (row, column) of each run of wet cells along a row."""
    turns = np.diff(np.pad(wet, ((0, 0), (1, 1))).astype(np.int8), axis=1)
    starts, ends = np.argwhere(turns == 1), np.argwhere(turns == -1)
    ends[:, 0] += 1
    return starts, ends


def _own_part(box: Polygon, cutting: list[BaseGeometry]) -> BaseGeometry:
    """The part of a cell that holds its centre; a centre on a barrier counts as in `flow_cells`."""
    around = box.buffer(2 * SNAP_M, join_style="mitre")
    # Lines run past the side of the cell: cut off at it they would end beside it, by rounding, and divide nothing.
    lines = shapely.union_all([box.exterior, *[line.intersection(around) for line in cutting]])
    parts: list[BaseGeometry] = shapely.get_parts(shapely.polygonize([*shapely.get_parts(lines)])).tolist()
    centre = Point(box.centroid.x + _ASIDE_M, box.centroid.y + _ASIDE_M / 10)
    return min(parts, key=lambda part: (part.distance(centre), part.bounds))
