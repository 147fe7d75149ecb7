"""A falling floor under one reading of what is unknown, as cells: elevations, barriers between them, shapes."""

import math
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import LineString, MultiPolygon, Point, Polygon
from shapely.geometry.base import BaseGeometry

from geometry.errors import GeometryRefused
from geometry.floor import Flow
from geometry.kept import Kept
from geometry.layout import areas_of
from geometry.outlines import area_of_cells
from geometry.raster import Grid, covered, rings_of
from geometry.relief import Relief
from geometry.stretches import Stretches, as_lines

Floats = NDArray[np.float64]
Integers = NDArray[np.int64]
Mask = NDArray[np.bool_]

ELEVATION_STEP_M = 1e-7
"""Elevations are taken in steps of this, so that a level part of a floor is level in spite of rounding."""

_KEPT_TARGETS = 4096
_TILE = 4  # cells along the side of a tile
_EDGE_M = 1e-9  # nearer to the side of a cell than this nothing cuts it
_UNKNOWN, _WHOLE, _CUT = 0, 1, 2
_OFF_CENTRE = 3.1e-7, 1.7e-7  # cells: no line that anybody draws passes exactly through the places it is compared with


@dataclass(frozen=True, slots=True)
class Ground:
    """Cells of a falling floor, counted through a grid padded by one cell on every side.

    Parameters
    ----------
    grid : Grid
        The cells of the floor, without the padding.
    flow : Flow
        The reading of what is unknown.
    bed_m : (n,) array
        Elevations [m].
    on_map : (n,) array of bool
        Whether the centre lies on the mapped floor.
    east_m, north_m : (n,) array
        Height of what stands between a cell and its eastern or northern neighbour [m]; 0 where nothing does.
    cell_m2 : float
        What one cell stands for, so that all of them add up to the mapped floor [m²].
    """

    grid: Grid
    flow: Flow
    bed_m: Floats
    on_map: Mask
    east_m: Floats
    north_m: Floats
    cell_m2: float
    _pieces: dict[tuple[int, int], BaseGeometry] = field(default_factory=dict, repr=False, compare=False)
    _crossed: list[Mask] = field(default_factory=list, repr=False, compare=False)
    slates: list[Any] = field(default_factory=list, repr=False, compare=False)
    """What runs over these cells write on, see `rest`; those that are in use are not in it."""
    _open: dict[int, NDArray[np.uint8]] = field(default_factory=dict, repr=False, compare=False)
    _cuts: dict[int, NDArray[np.int8]] = field(default_factory=dict, repr=False, compare=False)
    _drawn: dict[int, BaseGeometry] = field(default_factory=dict, repr=False, compare=False)
    _touching: Kept[tuple[bytes, int, float], Integers] = field(
        default_factory=lambda: Kept(_KEPT_TARGETS, lambda _: 1), repr=False, compare=False
    )

    @property
    def width(self) -> int:
        """Cells in a padded row."""
        return self.grid.columns + 2

    @property
    def tiles(self) -> int:
        """How many tiles of 4 by 4 cells there are."""
        return (self.width // _TILE + 1) * (len(self.bed_m) // self.width // _TILE + 1)

    def tiles_of(self, cells: Integers) -> Integers:
        """Find on which tiles of 4 by 4 cells some cells lie.

        Parameters
        ----------
        cells : (n,) array of int
            Counted through the padded grid.

        Returns
        -------
        (k,) array of int
            Tiles, each once.
        """
        marked = np.zeros(self.tiles, dtype=np.bool_)
        marked[cells // self.width // _TILE * (self.width // _TILE + 1) + cells % self.width // _TILE] = True
        return np.flatnonzero(marked)

    def centres(self, cells: Integers) -> Floats:
        """Find the centres of cells.

        Parameters
        ----------
        cells : (n,) array of int
            Counted through the padded grid.

        Returns
        -------
        (n, 2) array
            In metres.
        """
        east = self.grid.west_m + (cells % self.width - 0.5) * self.grid.cell_m
        north = self.grid.south_m + (cells // self.width - 0.5) * self.grid.cell_m
        return np.column_stack([east, north])

    def cell_of(self, place: Point, film_m: float) -> int:
        """Find the cell in which liquid let out at a place begins to run.

        Parameters
        ----------
        place : Point
            On free floor [m].
        film_m : float
            Depth of the film [m]: what is no higher does not stop it.

        Returns
        -------
        int
            The cell with the nearest centre that is not behind something.

        Raises
        ------
        GeometryRefused
            If there is none among the nine cells around.
        """
        column = math.floor((place.x - self.grid.west_m) / self.grid.cell_m) + 1
        row = math.floor((place.y - self.grid.south_m) / self.grid.cell_m) + 1
        around = [
            (row + up) * self.width + column + on
            for up in (-1, 0, 1)
            for on in (-1, 0, 1)
            if 0 < row + up <= self.grid.rows and 0 < column + on <= self.grid.columns
        ]
        near = np.array([cell for cell in around if self.on_map[cell]], dtype=np.int64)
        centres = self.centres(near)
        lines = self._lines(film_m)
        order = np.lexsort((near, np.hypot(centres[:, 0] - place.x, centres[:, 1] - place.y)))
        for index in order.tolist():
            if not LineString([(place.x, place.y), centres[index].tolist()]).intersects(lines):
                return int(near[index])
        raise GeometryRefused(f"source at ({place.x:g}, {place.y:g}): expected free floor around it, found none")

    def open_ways(self, film_m: float) -> NDArray[np.uint8]:
        """Find to which of its neighbours liquid gets from each cell.

        Parameters
        ----------
        film_m : float
            Depth of the film [m]: what is no higher does not stop it.

        Returns
        -------
        (n,) array of uint8
            One bit for each of the eight, anticlockwise from east.
        """
        step = self.flow.step_at(film_m)
        if step not in self._open:
            from geometry.kernels.descent import open_ways  # noqa: PLC0415 - compiled code is loaded where computing begins

            self._open[step] = open_ways(self.on_map, self.east_m, self.north_m, self.width, self.flow.steps_m[step])
        return self._open[step]

    def cells_beside_low(self) -> Integers:
        """Find the cells beside what some film goes over.

        Returns
        -------
        (n,) array of int
            Cells on the map within two cells of it.
        """
        return self._beside(*((each > 0) & np.isfinite(each) for each in (self.east_m, self.north_m)))

    def cells_apart(self, other: "Ground") -> Integers:
        """Find the cells beside what is not the same under two readings.

        Parameters
        ----------
        other : Ground
            The same floor under another reading.

        Returns
        -------
        (n,) array of int
            Cells on the map within two cells of it.
        """
        return self._beside(self.east_m != other.east_m, self.north_m != other.north_m)

    def _beside(self, east: Mask, north: Mask) -> Integers:
        near = np.zeros((len(self.bed_m) // self.width, self.width), dtype=np.bool_)
        rows, columns = np.nonzero((east | north).reshape(near.shape))
        for up in range(-2, 4):
            for on in range(-2, 4):
                near[np.clip(rows + up, 0, near.shape[0] - 1), np.clip(columns + on, 0, self.width - 1)] = True
        return np.flatnonzero(near.ravel() & self.on_map)

    def cells_touching(self, target: BaseGeometry, film_m: float, *, widened_m: float = 0.0) -> Integers:
        """Find the cells in which liquid is at a target.

        Parameters
        ----------
        target : BaseGeometry
            Drain, door or footprint [m], on the mapped floor.
        film_m : float
            Depth of the film [m]: what is no higher does not stop it.
        widened_m : float
            How far around it also counts [m], but through nothing that stops the film.

        Returns
        -------
        (n,) array of int
            Cells of which any part, on their own side of what stops the film, touches the target; the nearest cell
            where none does.
        """
        key = shapely.to_wkb(target), self.flow.step_at(film_m), widened_m
        kept = self._touching.get(key)
        return self._touching.put(key, self._touch(target, film_m, widened_m)) if kept is None else kept

    def _touch(self, target: BaseGeometry, film_m: float, widened_m: float) -> Integers:
        reach_m = widened_m + 2 * self.grid.cell_m
        cells = self._cells_in(shapely.box(*target.bounds).buffer(reach_m, join_style="mitre").bounds)
        if not len(cells):
            cells = np.flatnonzero(self.on_map)
        shapes = self._squares(cells)
        for index in np.flatnonzero(self._near_lines[cells]).tolist():
            shapes[index] = self._piece(int(cells[index]), film_m)
        apart_m = shapely.distance(shapes, target)
        touching = cells[apart_m <= max(float(apart_m.min()), 1e-9)]
        if widened_m == 0:
            return touching
        from geometry.kernels.descent import grow_within  # noqa: PLC0415 - compiled code is loaded where computing begins

        allowed = np.zeros(len(self.on_map), dtype=np.bool_)
        allowed[cells[apart_m <= widened_m]] = True
        return grow_within(touching, allowed, self.on_map, self.east_m, self.north_m, self.width, film_m)

    def shape_of(self, cells: Integers, film_m: float) -> Polygon | MultiPolygon:
        """Put cells together as an area that ends at what stops the film.

        Parameters
        ----------
        cells : (n,) array of int
            Each once.
        film_m : float
            Depth of the film [m].

        Returns
        -------
        Polygon or MultiPolygon
            In metres; of a cell that something crosses only the part on the side of its centre.
        """
        return joint_shape_of([(self, cells)], film_m)

    def parts_of(self, cells: Integers, film_m: float) -> tuple[Integers, Integers, list[BaseGeometry]]:
        """Take cells apart into whole ones and those of which what stops the film cuts something off.

        Parameters
        ----------
        cells : (n,) array of int
            Each once.
        film_m : float
            Depth of the film [m].

        Returns
        -------
        (k,) array of int, (n - k,) array of int, list of BaseGeometry
            The whole ones; the others, by number; of each of these the part on the side of its centre [m].
        """
        cut = self._are_cut(cells, film_m)
        others = np.sort(cells[cut])
        return cells[~cut], others, [self._piece(cell, film_m) for cell in others.tolist()]

    def _are_cut(self, cells: Integers, film_m: float) -> Mask:
        """Whether what stops the film cuts anything off some cells; looked at once for each."""
        step = self.flow.step_at(film_m)
        if step not in self._cuts:
            self._cuts[step] = np.where(self._near_lines, _UNKNOWN, _WHOLE).astype(np.int8)
        kinds = self._cuts[step]
        new = cells[kinds[cells] == _UNKNOWN]
        if len(new):
            west, south, east, north = self._sides(new)
            inner = shapely.box(west + _EDGE_M, south + _EDGE_M, east - _EDGE_M, north - _EDGE_M)
            crossed = shapely.intersects(self._lines(film_m), inner)
            kinds[new] = np.where(crossed, _CUT, _WHOLE)
            for cell in new[crossed].tolist():
                # A line that ends within a cell cuts nothing off it.
                if self._piece(cell, film_m).area >= self.grid.cell_m**2 - _EDGE_M * self.grid.cell_m:
                    kinds[cell] = _WHOLE
        return np.asarray(kinds[cells] == _CUT)

    def _sides(self, cells: Integers) -> tuple[Any, Any, Any, Any]:
        column, row = cells % self.width - 1, cells // self.width - 1
        west_m, south_m, side_m = self.grid.west_m, self.grid.south_m, self.grid.cell_m
        return (
            west_m + column * side_m,
            south_m + row * side_m,
            west_m + (column + 1) * side_m,
            south_m + (row + 1) * side_m,
        )

    def _squares(self, cells: Integers) -> NDArray[np.object_]:
        return np.asarray(shapely.box(*self._sides(cells)), dtype=np.object_)

    def _cells_in(self, bounds: tuple[float, float, float, float]) -> Integers:
        top, past, left, right = self.grid.window(*bounds)
        rows, columns = np.meshgrid(np.arange(top, past), np.arange(left, right), indexing="ij")
        cells = ((rows + 1) * self.width + columns + 1).ravel()
        return np.asarray(cells[self.on_map[cells]], dtype=np.int64)

    @property
    def _near_lines(self) -> Mask:
        """Cells that anything that may stop liquid, or the edge of the map, crosses or touches."""
        if not self._crossed:
            self._crossed.append(_near(self.grid, self.flow.stretches))
        return self._crossed[0]

    def _lines(self, film_m: float) -> BaseGeometry:
        step = self.flow.step_at(film_m)
        if step not in self._drawn:
            stretches = self.flow.stretches
            lines = as_lines(stretches, (stretches.height_m > film_m) | stretches.outer)
            shapely.prepare(lines)
            self._drawn[step] = lines
        return self._drawn[step]

    def _piece(self, cell: int, film_m: float) -> BaseGeometry:
        """The part of a cell on the side of its centre."""
        key = cell, self.flow.step_at(film_m)
        if key not in self._pieces:
            square = self._squares(np.array([cell]))[0]
            lines = shapely.intersection(self._lines(film_m), square)
            faces = shapely.get_parts(shapely.polygonize([shapely.union_all([square.exterior, lines])]))
            centre = Point(*self.centres(np.array([cell]))[0] + np.multiply(_OFF_CENTRE, self.grid.cell_m))
            inside = [face for face in faces.tolist() if face.intersects(centre)]
            self._pieces[key] = inside[0] if inside else square
        return self._pieces[key]


def joint_shape_of(wet: Sequence[tuple[Ground, Integers]], film_m: float) -> Polygon | MultiPolygon:
    """Put cells under several readings of one floor together as one area.

    Parameters
    ----------
    wet : sequence of (Ground, (n,) array of int)
        Each reading and its cells, each once; all on one grid.
    film_m : float
        Depth of the film [m].

    Returns
    -------
    Polygon or MultiPolygon
        What any of them covers [m]; each ends at what stops the film under its own reading.
    """
    grid = wet[0][0].grid
    found = [ground.parts_of(cells, film_m) for ground, cells in wet]
    whole = np.concatenate([each for each, _, _ in found])
    area = area_of_cells(grid, whole // (grid.columns + 2) - 1, whole % (grid.columns + 2) - 1)
    pieces = [piece for _, _, parts in found for piece in parts]
    if len(found) > 1 and pieces:
        kept = ~np.isin(np.concatenate([cells for _, cells, _ in found]), whole)
        pieces = [piece for piece, is_kept in zip(pieces, kept.tolist(), strict=True) if is_kept]
    return areas_of(shapely.union_all([area, *pieces])) if pieces else area


def common_shape_of(wet: Sequence[tuple[Ground, Integers]], film_m: float) -> Polygon | MultiPolygon:
    """Find what some cells under several readings of one floor have in common, as one area.

    Parameters
    ----------
    wet : sequence of (Ground, (n,) array of int)
        Each reading and its cells, each once; all on one grid.
    film_m : float
        Depth of the film [m].

    Returns
    -------
    Polygon or MultiPolygon
        What all of them cover [m]; it ends at what stops the film under any reading.
    """
    grid = wet[0][0].grid
    common = common_cells(wet)
    found = [ground.parts_of(common, film_m) for ground, _ in wet]
    others = np.unique(np.concatenate([cells for _, cells, _ in found]))
    whole = np.setdiff1d(common, others, assume_unique=True)
    area = area_of_cells(grid, whole // (grid.columns + 2) - 1, whole % (grid.columns + 2) - 1)
    if not len(others):
        return area
    known = [dict(zip(cells.tolist(), parts, strict=True)) for _, cells, parts in found]
    pieces = [shapely.intersection_all([parts[cell] for parts in known if cell in parts]) for cell in others.tolist()]
    return areas_of(shapely.union_all([area, *pieces]))


def common_cells(wet: Sequence[tuple[Ground, Integers]]) -> Integers:
    """Find the cells that all of several readings have.

    Parameters
    ----------
    wet : sequence of (Ground, (n,) array of int)
        Each reading and its cells, each once; all on one grid.

    Returns
    -------
    (k,) array of int
        In order of number.
    """
    common = np.sort(wet[0][1])
    for _, cells in wet[1:]:
        common = np.intersect1d(common, cells, assume_unique=True)
    return common


def bed_of(grid: Grid, relief: Relief) -> Floats:
    """Find how high each cell of a floor lies.

    Parameters
    ----------
    grid : Grid
        The cells.
    relief : Relief
        How the floor falls.

    Returns
    -------
    (n,) array
        Elevations [m], in whole steps, of the cells of the padded grid.
    """
    bed_m = np.zeros((grid.rows + 2, grid.columns + 2))
    bed_m[1:-1, 1:-1] = np.round(relief.elevation_m(grid) / ELEVATION_STEP_M) * ELEVATION_STEP_M
    return bed_m.ravel()


def ground_of(flow: Flow, bed_m: Floats) -> Ground:
    """Make the cells of a floor ready.

    Parameters
    ----------
    flow : Flow
        The floor under one reading of what is unknown.
    bed_m : (n,) array
        Elevations of its cells [m], see `bed_of`.

    Returns
    -------
    Ground

    Raises
    ------
    GeometryRefused
        If no cell has its centre on the mapped floor.
    """
    grid = flow.grid
    padded = grid.rows + 2, grid.columns + 2
    on_map = np.zeros(padded, dtype=np.bool_)
    on_map[1:-1, 1:-1] = covered(grid, rings_of(flow.mapped), grid.everything)
    if not on_map.any():
        raise GeometryRefused(f"falling floor: expected cells on it, found none of {grid.cell_m:g} m")
    east_m, north_m = _between(grid, flow.stretches)
    return Ground(
        grid=grid,
        flow=flow,
        bed_m=bed_m,
        on_map=on_map.ravel(),
        east_m=east_m.ravel(),
        north_m=north_m.ravel(),
        cell_m2=float(flow.mapped.area / on_map.sum()),
    )


def _between(grid: Grid, stretches: Stretches) -> tuple[Floats, Floats]:
    """Heights of what stands between neighbours.

    A stretch stands between two cells where it crosses the line from one centre to the other. Both sets of crossings
    look at the same places, a trifle beside the centres, so that a line without gaps leaves none.
    """
    padded = grid.rows + 2, grid.columns + 2
    east, north = np.zeros(padded), np.zeros(padded)
    standing = stretches.height_m > 0
    ends, height_m = stretches.ends[standing], stretches.height_m[standing]
    # In cells from the place that is looked at in the first cell of the padding.
    x = (ends[:, 0::2] - grid.west_m) / grid.cell_m + 0.5 - _OFF_CENTRE[0]
    y = (ends[:, 1::2] - grid.south_m) / grid.cell_m + 0.5 - _OFF_CENTRE[1]
    row, column, owner = _crossings(y, x, padded[0], padded[1])
    np.maximum.at(east, (row, column), height_m[owner])
    column, row, owner = _crossings(x, y, padded[1], padded[0])
    np.maximum.at(north, (row, column), height_m[owner])
    return east, north


def _crossings(along: Floats, across: Floats, lines: int, places: int) -> tuple[Integers, Integers, Integers]:
    """For each line of cells that stretches cross: which line, after which cell of it, and which stretch."""
    low = np.clip(np.ceil(along.min(axis=1)), 0, lines).astype(np.int64)
    high = np.clip(np.ceil(along.max(axis=1)), 0, lines).astype(np.int64)
    count = high - low
    owner = np.repeat(np.arange(len(count)), count)
    line = np.arange(len(owner)) - np.repeat(np.cumsum(count) - count, count) + low[owner]
    share = (line - along[owner, 0]) / (along[owner, 1] - along[owner, 0])
    place = np.ceil(across[owner, 0] + share * (across[owner, 1] - across[owner, 0])).astype(np.int64) - 1
    kept = (place >= 0) & (place < places)
    return line[kept], place[kept], owner[kept]


def _near(grid: Grid, stretches: Stretches) -> Mask:
    """Mark cells around points along every stretch, close enough together that none it crosses is missed."""
    found = np.zeros((grid.rows + 2, grid.columns + 2), dtype=np.bool_)
    for x0, y0, x1, y1 in stretches.ends.tolist():
        count = max(math.ceil(2 * math.hypot(x1 - x0, y1 - y0) / grid.cell_m), 1) + 1
        column = np.floor((np.linspace(x0, x1, count) - grid.west_m) / grid.cell_m).astype(np.int64) + 1
        row = np.floor((np.linspace(y0, y1, count) - grid.south_m) / grid.cell_m).astype(np.int64) + 1
        for up in (-1, 0, 1):
            for on in (-1, 0, 1):
                found[np.clip(row + up, 0, grid.rows + 1), np.clip(column + on, 0, grid.columns + 1)] = True
    return found.ravel()
