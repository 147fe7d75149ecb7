"""How a floor falls: a surface over its surveyed levels, and the recorded falls to its drains."""

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from scipy.spatial import Delaunay
from shapely import Point
from shapely.geometry.base import BaseGeometry

from geometry.constants import GAP_CLOSED_M, INCH_M, SNAP_M
from geometry.errors import GeometryRefused
from geometry.line_fall import LineFall, line_of
from geometry.raster import Grid
from geometry.shapes import checked_shape

Floats = NDArray[np.float64]
Surface = Callable[[Floats], Floats]

LEVEL_ACCURACY_M = 0.003
"""How far a surveyed level may be off: judgement, no published source (staff and levelling laser on a rough slab)."""

SLAB_TOLERANCE_M = 0.75 * INCH_M
"""How far a nominally level slab may lie above or below its level, 3/4 in. Source: ACI 117-90 as quoted by Concrete
Construction, *Recommended floor slope and tolerance*, which adds that such a slab is no assurance of drainage."""

STEEPEST_FALL = 0.25
"""Largest fall taken for a floor's, 25 %: judgement; a vehicle ramp is less steep."""

_SLOPE_STEP_M = 0.01


@dataclass(frozen=True, slots=True)
class Fall:
    """A recorded fall of the floor to a drain.

    Parameters
    ----------
    name : str
        For messages.
    drain : BaseGeometry
        Point of a gully or line of a trench [m].
    fall : float
        How steeply the floor falls to it [m/m].
    out_m : float or None
        From how far out it falls [m]; None is from everywhere.
    """

    name: str
    drain: BaseGeometry
    fall: float
    out_m: float | None


class Relief:
    """Elevation of a floor that is not level; made by `relief_of`.

    Parameters
    ----------
    surface : callable
        Elevations [m] of (n, 2) places [m].
    tolerance_m : float
        How far an elevation may be off [m]: `LEVEL_ACCURACY_M` where levels were surveyed, `SLAB_TOLERANCE_M` where
        only falls to drains are recorded. Where the levels lie on one line, what the floor may fall across it.
    line : LineFall or None
        The line on which all levels lie: how the floor falls across it is not known.
    turned : tuple of Relief
        The floor as it would be if it fell across that line as well, one way or the other, as steeply as it does along
        it at the most.
    """

    def __init__(
        self, surface: Surface, tolerance_m: float, line: LineFall | None = None, turned: "tuple[Relief, ...]" = ()
    ) -> None:
        self._surface = surface
        self.tolerance_m = tolerance_m
        self.line = line
        self.turned = turned

    def elevation_at(self, points: Floats) -> Floats:
        """Find the elevation of places.

        Parameters
        ----------
        points : (n, 2) array
            In metres.

        Returns
        -------
        (n,) array
            Elevations [m] above the datum of the survey, or above the floor around where only falls are recorded.

        Raises
        ------
        GeometryRefused
            If a coordinate is not finite.
        """
        return self._surface(_checked_points(points))

    def elevation_m(self, grid: Grid) -> Floats:
        """Find the elevation of every cell of a grid.

        Parameters
        ----------
        grid : Grid
            The cells.

        Returns
        -------
        (rows, columns) array
            Elevations of the centres [m].
        """
        x, y = np.meshgrid(grid.x_m(grid.everything), grid.y_m(grid.everything))
        return self._surface(np.column_stack([x.ravel(), y.ravel()])).reshape(grid.rows, grid.columns)

    def slope_at(self, points: Floats) -> Floats:
        """Find which way and how steeply the floor rises.

        Parameters
        ----------
        points : (n, 2) array
            In metres.

        Returns
        -------
        (n, 2) array
            Rise per metre along x and along y; liquid runs the other way. Across a crease of the surface the mean of
            its two sides.

        Raises
        ------
        GeometryRefused
            If a coordinate is not finite.
        """
        places = _checked_points(points)
        east, north = np.array([_SLOPE_STEP_M, 0.0]), np.array([0.0, _SLOPE_STEP_M])
        rises = [self._surface(places + step) - self._surface(places - step) for step in (east, north)]
        return np.column_stack(rises) / (2 * _SLOPE_STEP_M)


def relief_of(levels: Sequence[tuple[Point, float]], falls: Sequence[Fall], mapped: BaseGeometry) -> Relief | None:
    """Make the surface of a floor from what is recorded of it.

    Parameters
    ----------
    levels : sequence of (Point, float)
        Surveyed places [m] and their elevations [m].
    falls : sequence of Fall
        Recorded falls to drains.
    mapped : BaseGeometry
        Floor and yard [m].

    Returns
    -------
    Relief or None
        None where the floor is nominally level: no fall is recorded, and the levels tell none (`tells_a_slope`,
        `line_told`).

    Raises
    ------
    GeometryRefused
        If a place, an elevation or a fall is not finite, a fall lies outside 0 to 25 %, or its reach is not above zero.

    Notes
    -----
    Levels on one line tell how the floor falls along it. It is taken as level across it, and `turned` holds what it
    would be otherwise.

    Flat triangles between surveyed levels (Delaunay); beyond them the elevation of the nearest place among them, so
    that no slope is made up where nobody measured. Of two levels at one place the lower counts. Surveyed squares can be
    cut into triangles along either diagonal; a square that is twisted then differs by up to half its twist.

    A fall with a reach is a dish cut into that surface: at the drain it lies by fall times reach below the lowest
    place of its rim, and rises from there by the fall times the straight distance, walls or not. A fall without a reach
    is taken from everywhere, the reading under which most liquid runs to the drain: cut from the surveyed level at the
    drain, or, without levels, all drains at one level and each place falling to whichever is lowest from there. Where
    several falls overlap the lowest surface counts.
    """
    checked_shape(mapped, name="mapped floor")
    cuts = [_checked_fall(fall) for fall in falls if _checked_fall(fall).fall > 0]
    surveyed, line = tells_a_slope(levels), line_told(levels)
    if line is not None:
        return _beside_line(line, cuts, mapped)
    if not surveyed and not cuts:
        return None
    surface = _with_falls(_between(levels) if surveyed else None, cuts, mapped)
    return Relief(surface, LEVEL_ACCURACY_M if surveyed else SLAB_TOLERANCE_M)


def _beside_line(line: LineFall, cuts: Sequence[Fall], mapped: BaseGeometry) -> Relief:
    """Take a floor as level across the line of its levels, and as falling across it either way for comparison."""

    def made(across: float) -> Surface:
        def surveyed(places: Floats) -> Floats:
            return line.elevation_at(places) + across * line.across_m(places)

        return _with_falls(surveyed, cuts, mapped)

    steepest = min(line.steepest, STEEPEST_FALL)
    wide_m = float(np.ptp(line.across_m(shapely.get_coordinates(mapped))))
    off_m = LEVEL_ACCURACY_M + steepest * wide_m
    turned = tuple(Relief(made(sense * steepest), off_m) for sense in (-1.0, 1.0))
    return Relief(made(0.0), off_m, line, turned)


def _with_falls(surveyed: Surface | None, cuts: Sequence[Fall], mapped: BaseGeometry) -> Surface:
    """Cut the recorded falls into a surveyed surface, or into a level one."""
    base = _from_everywhere(surveyed, [fall for fall in cuts if fall.out_m is None])
    dishes = [(fall, _lowest_of_rim_m(fall, base, mapped)) for fall in cuts if fall.out_m is not None]

    def surface(places: Floats) -> Floats:
        found = base(places)
        for fall, rim_m in dishes:
            out_m = fall.out_m or 0.0
            west, south, east, north = fall.drain.bounds
            low, high = (west - out_m, south - out_m), (east + out_m, north + out_m)
            near = np.flatnonzero(((places >= low) & (places <= high)).all(axis=1))
            away_m = shapely.distance(shapely.points(places[near]), fall.drain)
            dish = np.where(away_m < out_m, rim_m - fall.fall * (out_m - away_m), math.inf)
            found[near] = np.minimum(found[near], dish)
        return found

    return surface


def line_told(levels: Sequence[tuple[Point, float]]) -> LineFall | None:
    """Find how a floor falls along the line on which all its levels lie.

    Parameters
    ----------
    levels : sequence of (Point, float)
        Surveyed places [m] and their elevations [m].

    Returns
    -------
    LineFall or None
        None where the levels tell which way the floor falls (`tells_a_slope`), where there are fewer than two places
        0.05 m apart, and where they differ by no more than two readings of one level may.

    Raises
    ------
    GeometryRefused
        If a place or an elevation is not finite.
    """
    places, heights_m = _sorted_levels(levels)
    if tells_a_slope(levels) or len(places) < 2 or float(np.ptp(heights_m)) <= 2 * LEVEL_ACCURACY_M:
        return None
    line = line_of(places, heights_m)
    return line if line is not None and float(np.ptp(line.height_m)) > 2 * LEVEL_ACCURACY_M else None


def tells_a_slope(levels: Sequence[tuple[Point, float]]) -> bool:
    """Whether surveyed levels tell which way a floor falls.

    Parameters
    ----------
    levels : sequence of (Point, float)
        Surveyed places [m] and their elevations [m].

    Returns
    -------
    bool
        False for fewer than three places, places all on one line (to within 0.05 m), and levels that differ by no more
        than two readings of one level may, `2 * LEVEL_ACCURACY_M`. Such a floor is nominally level, unless its levels
        tell how it falls along their line (`line_told`).

    Raises
    ------
    GeometryRefused
        If a place or an elevation is not finite.
    """
    places, heights_m = _sorted_levels(levels)
    if len(places) < 3 or float(np.ptp(heights_m)) <= 2 * LEVEL_ACCURACY_M:
        return False
    off_line_m = np.linalg.svd(places - places.mean(axis=0), compute_uv=False)[-1] / math.sqrt(len(places))
    return bool(off_line_m > GAP_CLOSED_M)


def _between(levels: Sequence[tuple[Point, float]]) -> Surface:
    """Flat triangles between levels; beyond them what the nearest place among them has."""
    places, heights_m = _sorted_levels(levels)
    triangles = np.sort(Delaunay(places).simplices, axis=1)
    triangles = triangles[np.lexsort(triangles.T)]
    hull = shapely.MultiPoint(places).convex_hull
    edge = shapely.get_exterior_ring(hull)
    shapely.prepare(hull)

    def surface(at: Floats) -> Floats:
        inside = at.copy()
        beyond = ~shapely.contains_xy(hull, at)
        if beyond.any():
            nearest = shapely.line_interpolate_point(edge, shapely.line_locate_point(edge, shapely.points(at[beyond])))
            inside[beyond] = shapely.get_coordinates(nearest)
        return _on_triangles(inside, places, heights_m, triangles)

    return surface


def _on_triangles(at: Floats, places: Floats, heights_m: Floats, triangles: NDArray[np.int32]) -> Floats:
    """Heights of places none of which lies beyond all triangles, each from the triangle that holds it best."""
    best = np.full(len(at), -math.inf)
    found = np.zeros(len(at))
    for corners in triangles:
        (x0, y0), (x1, y1), (x2, y2) = places[corners]
        twice_m2 = (x1 - x0) * (y2 - y0) - (x2 - x0) * (y1 - y0)
        if abs(twice_m2) < SNAP_M**2:
            continue
        low, high = places[corners].min(axis=0) - SNAP_M, places[corners].max(axis=0) + SNAP_M
        near = np.flatnonzero(((at >= low) & (at <= high)).all(axis=1))
        east, north = at[near, 0] - x0, at[near, 1] - y0
        second = (east * (y2 - y0) - (x2 - x0) * north) / twice_m2
        third = ((x1 - x0) * north - east * (y1 - y0)) / twice_m2
        shares = np.column_stack([1 - second - third, second, third])
        held = shares.min(axis=1)
        better = held > best[near]
        best[near[better]] = held[better]
        found[near[better]] = np.clip(shares[better], 0, 1) @ heights_m[corners]
    return found


def _sorted_levels(levels: Sequence[tuple[Point, float]]) -> tuple[Floats, Floats]:
    """Give places and heights in one order whatever the order of the levels, each place once, with its lowest."""
    lowest: dict[tuple[float, float], float] = {}
    for at, height_m in levels:
        checked_shape(at, name="surveyed level")
        if not math.isfinite(height_m):
            raise GeometryRefused(f"surveyed level at ({at.x:g}, {at.y:g}): expected a finite height, found {height_m}")
        key = round(at.x / SNAP_M) * SNAP_M, round(at.y / SNAP_M) * SNAP_M
        lowest[key] = min(height_m, lowest.get(key, math.inf))
    keys = sorted(lowest)
    return np.array(keys).reshape(-1, 2), np.array([lowest[key] for key in keys])


def _from_everywhere(surveyed: Surface | None, falls: Sequence[Fall]) -> Surface:
    """Cut falls without a reach into the surveyed surface; without one they make the surface."""
    starts_m = [
        0.0 if surveyed is None else float(surveyed(shapely.get_coordinates(fall.drain.segmentize(0.1))).min())
        for fall in falls
    ]

    def surface(at: Floats) -> Floats:
        flat = math.inf if falls else 0.0
        found = np.full(len(at), flat) if surveyed is None else surveyed(at)
        points = shapely.points(at) if falls else ()
        for fall, start_m in zip(falls, starts_m, strict=True):
            found = np.minimum(found, start_m + fall.fall * shapely.distance(points, fall.drain))
        return found

    return surface


def _lowest_of_rim_m(fall: Fall, base: Surface, mapped: BaseGeometry) -> float:
    """Find the lowest elevation along the rim of a dish, on the mapped floor where any of it lies there."""
    out_m = fall.out_m or 0.0
    rim = shapely.get_coordinates(fall.drain.buffer(out_m, quad_segs=16).boundary.segmentize(max(out_m / 8, 0.1)))
    if not len(rim):
        # A reach too small to draw: the drain itself.
        rim = shapely.get_coordinates(fall.drain)
    on_map = rim[shapely.intersects_xy(mapped, rim)]
    return float(base(on_map if len(on_map) else rim).min())


def _checked_fall(fall: Fall) -> Fall:
    checked_shape(fall.drain, name=f"drain {fall.name}")
    if not 0 <= fall.fall <= STEEPEST_FALL:
        raise GeometryRefused(f"fall to {fall.name}: expected 0 to {STEEPEST_FALL:.0%}, found {fall.fall * 100:g} %")
    if fall.out_m is not None and not 0 < fall.out_m < math.inf:
        raise GeometryRefused(f"reach of the fall to {fall.name}: expected more than 0 m, found {fall.out_m}")
    return fall


def _checked_points(points: Floats) -> Floats:
    places = np.asarray(points, dtype=np.float64).reshape(-1, 2)
    if not np.isfinite(places).all():
        raise GeometryRefused("places on a floor: expected finite coordinates, found one that is not")
    return places
