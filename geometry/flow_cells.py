"""The floor as cells for a flow: which are on it, how high what lies between them is, and which swallow.

The grid is padded by two cells on every side: the inner ring takes what leaves the floor, and its faces need the outer.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import LineString, Point, STRtree
from shapely.geometry.base import BaseGeometry

from geometry.constants import ADJOINING_M, GAP_CLOSED_M, SNAP_M
from geometry.raster import Grid, Mask, covered, rings_of
from geometry.stretches import Stretches, segments

Floats = NDArray[np.float64]
Integers = NDArray[np.int64]

WORN_M = 0.5
"""How far to either side of its worn place a kerb lets liquid over: the width of a fork-lift ramp (judgement)."""

PAD = 2
"""Cells added on every side of the grid."""

_ON_CENTRE = 1e-9  # a centre as near to a barrier as this share of a cell lies on it
_SHORT_OF_M = 1e-4  # a view to something on a barrier ends this far before it


@dataclass(frozen=True, slots=True, eq=False)
class Barriers:
    """Straight barriers with heights, those of the floor and dams.

    Parameters
    ----------
    ends : (n, 4) array
        x, y, x, y of both ends [m].
    height_m : (n,) array
        Up to which each stops liquid [m].
    outer : (n,) array of bool
        Whether the mapped floor ends there.
    lip_at : (n, 2) array
        Where a worn kerb lets liquid over [m]; not a number where it does so all along.
    """

    ends: Floats
    height_m: Floats
    outer: Mask
    lip_at: Floats


class FlowCells:
    """Cells of a padded grid, with what lies between them.

    Parameters
    ----------
    grid : Grid
        The cells.
    mapped : BaseGeometry
        The mapped floor [m].
    barriers : Barriers
        What stops liquid.

    Attributes
    ----------
    inside : (rows, columns) array of bool
        Padded cells whose centre lies on the mapped floor.
    crest_x, crest_y : (rows, columns) arrays
        Height above the bed which liquid has to rise over, to the cell east of and to the cell north of each padded
        cell [m]; infinite where it cannot.
    edge : (n, 2) array
        Padded cells off the mapped floor into which liquid may run.
    """

    def __init__(self, grid: Grid, mapped: BaseGeometry, barriers: Barriers) -> None:
        self.grid = grid
        self.mapped = mapped
        self.barriers = barriers
        self.inside = np.pad(covered(grid, rings_of(mapped), grid.everything), PAD)
        self.crest_x, self.crest_y = self._crests()
        self.edge = self._edge()
        standing = barriers.height_m > 0
        self._standing = STRtree([LineString(ends.reshape(2, 2)) for ends in barriers.ends[standing]])

    def cells_of(self, shape: BaseGeometry) -> Integers:
        """Find the cells on the mapped floor that a shape lies in, each on the same side of every barrier.

        Parameters
        ----------
        shape : BaseGeometry
            Point, line or area [m]. What lies up to 0.3 m off the mapped floor is taken at the nearest place on it.

        Returns
        -------
        (n, 2) array
            Rows and columns of the padded grid. Where every such cell lies behind a barrier the nearest that does not.
            None where the shape lies off the mapped floor.
        """
        apart_m = self.mapped.distance(shape)
        if apart_m > ADJOINING_M:
            return np.zeros((0, 2), dtype=np.int64)
        if apart_m > 0:
            shape = Point(shapely.get_coordinates(shapely.shortest_line(self.mapped, shape))[0])
        # An area that ends along the side of a cell does not lie in it.
        half = self.grid.cell_m / 2 - (SNAP_M if shape.area > 0 else 0.0)
        rows, columns, x, y = self._near(shape, 3 * self.grid.cell_m)
        shapely.prepare(shape)
        # Of cells that meet in a point all hold it.
        under = shapely.dwithin(shapely.box(x - half, y - half, x + half, y + half), shape, 1e-9)
        seen = self._seen(np.column_stack([x, y]), shape)
        if not (under & seen).any():
            lengths = np.where(seen, shapely.distance(shapely.points(x, y), shape), math.inf)
            under = (lengths <= lengths.min(initial=math.inf) + 1e-9) & np.isfinite(lengths)
        chosen = under & seen
        return np.column_stack([rows[chosen], columns[chosen]]) + PAD

    def disc_of(self, centre: Point, radius_m: float) -> tuple[Integers, Floats]:
        """Find the cells under a disc, as far as no barrier lies between them and its centre.

        Parameters
        ----------
        centre : Point
            On free floor [m].
        radius_m : float
            Its radius [m].

        Returns
        -------
        (n, 2) array
            Rows and columns of the padded grid.
        (n,) array
            Share of each, adding up to 1; cells on its rim have less.
        """
        cell_m = self.grid.cell_m
        rows, columns, x, y = self._near(centre, radius_m + 2 * cell_m)
        away = np.hypot(x - centre.x, y - centre.y)
        weights = np.clip((radius_m - away) / cell_m + 0.5, 0.0, 1.0)
        weights[~self._seen(np.column_stack([x, y]), centre)] = 0.0
        if not weights.any():
            cells = self.cells_of(centre)
            return cells, np.full(len(cells), 1 / len(cells))
        chosen = weights > 0
        return np.column_stack([rows[chosen], columns[chosen]]) + PAD, weights[chosen] / weights.sum()

    def _near(self, shape: BaseGeometry, margin_m: float) -> tuple[Integers, Integers, Floats, Floats]:
        """Cells on the mapped floor around a shape: rows, columns, x and y of their centres."""
        west, south, east, north = shape.bounds
        window = self.grid.window(west - margin_m, south - margin_m, east + margin_m, north + margin_m)
        rows, columns = np.nonzero(self.inside[PAD:-PAD, PAD:-PAD][window[0] : window[1], window[2] : window[3]])
        x, y = self.grid.x_m(window)[columns], self.grid.y_m(window)[rows]
        return rows + window[0], columns + window[2], x, y

    def _seen(self, centres: Floats, shape: BaseGeometry) -> Mask:
        """Whether the straight way from a centre to the nearest part of a shape is free of barriers."""
        free = np.ones(len(centres), dtype=np.bool_)
        if not len(centres) or not len(self._standing):
            return free
        if isinstance(shape, Point):
            ways = np.stack([centres, np.broadcast_to([shape.x, shape.y], centres.shape)], axis=1)
        else:
            ways = shapely.get_coordinates(shapely.shortest_line(shapely.points(centres), shape)).reshape(-1, 2, 2)
        along = ways[:, 1] - ways[:, 0]
        length = np.hypot(along[:, 0], along[:, 1])
        kept = np.clip(1 - _SHORT_OF_M / np.maximum(length, _SHORT_OF_M), 0.0, 1.0)
        ways[:, 1] = ways[:, 0] + along * kept[:, None]
        crossed, _ = self._standing.query(shapely.linestrings(ways), predicate="intersects")
        # On which side a centre on a barrier lies is for `_crossings` to say.
        upon, _ = self._standing.query(shapely.points(centres), predicate="dwithin", distance=2 * SNAP_M)
        free[crossed] = False
        free[upon] = False
        return free

    def _crests(self) -> tuple[Floats, Floats]:
        crest_x = np.full(self.inside.shape, -1.0)
        crest_y = np.full(self.inside.shape, -1.0)
        for crest, down, right in ((crest_x, 0, 1), (crest_y, 1, 0)):
            stretch, rows, columns, x, y = _crossings(self.grid, self.barriers.ends, along_rows=right == 1)
            height = np.where(self._beside_lip(stretch, x, y), self.barriers.height_m[stretch], math.inf)
            np.maximum.at(crest, (rows, columns), height)
            self._close_edge(crest, down, right)
            crest[crest < 0] = 0.0
        return crest_x, crest_y

    def _beside_lip(self, stretch: Integers, x: Floats, y: Floats) -> Mask:
        """Whether a face lies at the worn place of its kerb; true of every face of what has none."""
        lips = self.barriers.lip_at[stretch]
        away = np.hypot(x - lips[:, 0], y - lips[:, 1])
        beside = np.isnan(away) | (away <= max(WORN_M, 2 * self.grid.cell_m))
        return np.asarray(beside, dtype=np.bool_)

    def _close_edge(self, crest: Floats, down: int, right: int) -> None:
        """Where rounding hid a crossing with the edge of the floor take the height of the edge nearest to it."""
        one = self.inside[: self.inside.shape[0] - down, : self.inside.shape[1] - right]
        other = self.inside[down:, right:]
        rows, columns = np.nonzero((one != other) & (crest[: one.shape[0], : one.shape[1]] < 0))
        outer = np.flatnonzero(self.barriers.outer)
        if not len(rows):
            return
        x = self.grid.west_m + (columns - PAD + 0.5 + right / 2) * self.grid.cell_m
        y = self.grid.south_m + (rows - PAD + 0.5 + down / 2) * self.grid.cell_m
        tree = STRtree([LineString(ends.reshape(2, 2)) for ends in self.barriers.ends[outer]])
        crest[rows, columns] = self.barriers.height_m[outer[tree.nearest(shapely.points(x, y))]]

    def _edge(self) -> Integers:
        opened = np.zeros_like(self.inside)
        for crest, down, right in ((self.crest_x, 0, 1), (self.crest_y, 1, 0)):
            rows, columns = self.inside.shape[0] - down, self.inside.shape[1] - right
            passable = np.isfinite(crest[:rows, :columns])
            opened[:rows, :columns] |= passable & self.inside[down:, right:]
            opened[down:, right:] |= passable & self.inside[:rows, :columns]
        return np.argwhere(opened & ~self.inside)


def barriers_of(stretches: Stretches, dams: Sequence[LineString]) -> Barriers:
    """Put the barriers of a floor and dams laid on it together.

    Parameters
    ----------
    stretches : Stretches
        The floor's own.
    dams : sequence of LineString
        Tight, and higher than any spill [m].

    Returns
    -------
    Barriers

    Notes
    -----
    A dam that ends within 0.05 m of a barrier is joined to it.
    """
    standing = [LineString(ends.reshape(2, 2)) for ends in stretches.ends[stretches.height_m > 0]]
    added: list[Floats] = []
    for dam in dams:
        added.extend(np.concatenate(pair) for pair in segments(dam))
        for corner in (Point(dam.coords[0]), Point(dam.coords[-1])) if standing else ():
            nearest = min(standing, key=corner.distance)
            if 0 < nearest.distance(corner) <= GAP_CLOSED_M:
                added.append(shapely.get_coordinates(shapely.shortest_line(corner, nearest)).ravel())
    more = np.array(added).reshape(-1, 4)
    return Barriers(
        ends=np.concatenate([stretches.ends, more]),
        height_m=np.concatenate([stretches.height_m, np.full(len(more), math.inf)]),
        outer=np.concatenate([stretches.outer, np.zeros(len(more), dtype=np.bool_)]),
        lip_at=np.concatenate([stretches.lip_at, np.full((len(more), 2), math.nan)]),
    )


def _crossings(grid: Grid, ends: Floats, *, along_rows: bool) -> tuple[Integers, Integers, Integers, Floats, Floats]:
    """Find where barriers cross the straight ways between neighbouring centres of a row, or of a column.

    Gives for each crossing the barrier, row and column of the padded cell west or south of it, and its place [m].
    A centre on a barrier counts as a little to the east, and less to the north, of where it is: so both directions
    agree on which side it lies, and no barrier is passed through a centre that it runs through.
    """
    scaled = (ends - np.array([grid.west_m, grid.south_m] * 2)) / grid.cell_m - 0.5
    x0, y0, x1, y1 = scaled.T
    if along_rows:
        across0, across1, along0, along1, lines, cells = y0, y1, x0, x1, grid.rows, grid.columns
    else:
        across0, across1, along0, along1, lines, cells = x0, x1, y0, y1, grid.columns, grid.rows
    low = np.clip(np.ceil(np.minimum(across0, across1)), 0, lines).astype(np.int64)
    high = np.clip(np.ceil(np.maximum(across0, across1)), 0, lines).astype(np.int64)
    count = high - low
    stretch = np.repeat(np.arange(len(count)), count)
    line = np.arange(len(stretch)) - np.repeat(np.cumsum(count) - count, count) + low[stretch]
    share = (line - across0[stretch]) / (across1[stretch] - across0[stretch])
    place = along0[stretch] + share * (along1[stretch] - along0[stretch])
    near = np.rint(place)
    centre_x, centre_y = (near, line) if along_rows else (line, near)
    dx, dy = (x1 - x0)[stretch], (y1 - y0)[stretch]
    beside = (centre_x - x0[stretch]) * dy - (centre_y - y0[stretch]) * dx
    on = np.abs(beside) <= _ON_CENTRE * np.hypot(dx, dy)
    # Whether the nearest centre lies past the crossing: east of it along a row, north of it along a column.
    past = on | ((beside > 0) == (dy > 0)) if along_rows else np.where(on, dx * dy <= 0, (beside > 0) != (dx > 0))
    face = np.where(np.abs(place - near) < 0.25, near - past, np.floor(place)).astype(np.int64)
    kept = (face >= -1) & (face < cells)
    stretch, line, face, place = stretch[kept], line[kept], face[kept], place[kept]
    rows, columns = (line, face) if along_rows else (face, line)
    x, y = (place, line) if along_rows else (line, place)
    return (
        stretch,
        rows + PAD,
        columns + PAD,
        grid.west_m + (x + 0.5) * grid.cell_m,
        grid.south_m + (y + 0.5) * grid.cell_m,
    )
