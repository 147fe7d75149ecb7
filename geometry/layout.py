"""The floor as a resting film of one depth finds it: what stops it, the compartments, and distances along the floor."""

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import MultiPolygon, Point, Polygon, STRtree
from shapely.geometry.base import BaseGeometry

from geometry.constants import SNAP_M
from geometry.kept import Kept
from geometry.raster import Grid, Mask, Window, covered, rings_of
from geometry.shapes import disc
from geometry.sight import Corner, Sight, ways_between
from geometry.stretches import Stretches, as_lines
from geometry.turns import Turns

Floats = NDArray[np.float64]
Field = NDArray[np.float32]

CREST_STEP_M = 0.25
"""Spacing of the points from which an overflowing kerb feeds the next compartment [m]."""

_SIDE_M = 1e-4  # how far beside a stretch its two sides are looked up
_EXACT_AREA_M = 4.0  # up to here areas are exact, since single cells would show
_WIDENED_M = 2 * SNAP_M  # by which a view is widened to see what lies along a wall
_BEFORE_M = 50 * SNAP_M  # beside a barrier, and surely on that side of it
_GRAIN_M = 1e-9
_CURVE_STEP_M = 0.02  # spacing at which the area within a radius is tabulated
_KEPT_FIELD_BYTES = 64e6  # distance fields kept per layout, twice: from bends and from origins


@dataclass(frozen=True, slots=True)
class Outlet:
    """Where a compartment spills over: into which one (None is off the mapped floor), over which height [m]."""

    into: int | None
    height_m: float
    stretches: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Lengths:
    """Lengths along the floor to the cells of a window [m], up to a radius [m]; infinite beyond."""

    length_m: Field
    window: Window
    radius_m: float


class Origin:
    """Points from which liquid spreads over one compartment, and the way from them to every bend.

    Parameters
    ----------
    layout : Layout
        The floor it spreads over.
    eyes : (n, 2) array
        Points in free floor [m].
    compartment : int
        The compartment they lie in.
    """

    def __init__(self, layout: "Layout", eyes: Floats, compartment: int) -> None:
        self.layout = layout
        self.eyes = eyes
        self.compartment = compartment
        self.to_bend_m = layout.to_bends_m(eyes)
        self._curve_m2 = np.zeros(1)
        self._curve_radius_m = 0.0
        self._exact_m2: float | None = None

    @cached_property
    def views(self) -> tuple[BaseGeometry, ...]:
        """What is seen from each eye, as areas [m]."""
        return tuple(area_inside(self.layout.sight.view(eye)) for eye in self.eyes)

    def distance_m(self, target: BaseGeometry) -> float | None:
        """Find the shortest way along the floor to any part of a target.

        Parameters
        ----------
        target : BaseGeometry
            Drain, door, footprint or a stretch of wall [m].

        Returns
        -------
        float or None
            Length [m]; None where there is no way within the compartment.
        """
        beyond = self.to_bend_m + self.layout.bends_to_m(target)
        straight = self.layout.straight_m(self.eyes, target, self.views.__getitem__)
        shortest = min(float(beyond.min(initial=math.inf)), float(straight.min()))
        return None if math.isinf(shortest) else shortest

    def within(self, radius_m: float) -> BaseGeometry:
        """Find everything that lies no farther than a length along the floor.

        Parameters
        ----------
        radius_m : float
            That length [m].

        Returns
        -------
        BaseGeometry
            An area [m], exact but that arcs are drawn with 32 corners to a quarter; ends at what stops the liquid.
        """
        parts = [
            shapely.intersection(view, disc(Point(eye), radius_m))
            for eye, view in zip(self.eyes, self.views, strict=True)
        ]
        for index in np.flatnonzero(self.to_bend_m < radius_m).tolist():
            rest_m = radius_m - float(self.to_bend_m[index])
            around = disc(Point(self.layout.bends[index]), rest_m)
            parts.append(shapely.intersection(self.layout.bend_view(index), around))
        return parts[0] if len(parts) == 1 else joined(parts)

    def field(self, radius_m: float) -> tuple[Field, Window]:
        """Find the lengths along the floor to the cells around.

        Parameters
        ----------
        radius_m : float
            How far to look at least [m].

        Returns
        -------
        (rows, columns) array of float32
            Lengths to the centres of the cells of a window [m]; infinite where there is no way or it is too far.
        tuple of int
            That window of the grid.
        """
        found = self.layout.field(self, radius_m)
        return found.length_m, found.window

    def area_within_m2(self, radius_m: float) -> float:
        """Find the area that lies no farther than a length along the floor.

        Parameters
        ----------
        radius_m : float
            That length [m].

        Returns
        -------
        float
            Area [m²].

        Notes
        -----
        Exact up to 4 m, where single cells would show; by counting cells beyond.
        """
        if radius_m <= 0:
            return 0.0
        if radius_m < _EXACT_AREA_M or self.layout.cell_area_m2[self.compartment] == 0:
            return float(self.within(radius_m).area)
        if radius_m > self._curve_radius_m:
            self._extend_curve(radius_m)
        return float(np.interp(radius_m / _CURVE_STEP_M, np.arange(len(self._curve_m2)), self._curve_m2))

    def more_than_m2(self, area_m2: float, radius_m: float) -> bool:
        """Whether more than some area lies nearer than a radius, as far as that can be said without counting cells.

        Parameters
        ----------
        area_m2 : float
            That area [m²].
        radius_m : float
            That radius [m].

        Returns
        -------
        bool
            True is certain; False is not.
        """
        if radius_m < _EXACT_AREA_M:
            return False
        if self._exact_m2 is None:
            self._exact_m2 = float(self.within(_EXACT_AREA_M).area)
        return self._exact_m2 > area_m2

    def _extend_curve(self, radius_m: float) -> None:
        """Count the cells by their distance, up to some way beyond the radius, since more will be asked for."""
        steps = math.ceil(1.5 * radius_m / _CURVE_STEP_M)
        self._curve_radius_m = steps * _CURVE_STEP_M
        lengths = self.layout.field(self, self._curve_radius_m).length_m
        ranks = np.ceil(lengths[np.isfinite(lengths)] / np.float32(_CURVE_STEP_M)).astype(np.int64)
        counts = np.bincount(ranks, minlength=steps + 1)
        self._curve_m2 = np.cumsum(counts) * self.layout.cell_area_m2[self.compartment]


class Layout:
    """The mapped floor and everything on it higher than a film.

    Parameters
    ----------
    grid : Grid
        Cells over the mapped floor.
    mapped : BaseGeometry
        The mapped floor [m].
    stretches : Stretches
        What stops liquid, whatever its height.
    film_m : float
        Depth of the film [m]; what is not higher than this does not stop it.
    """

    def __init__(self, grid: Grid, mapped: BaseGeometry, stretches: Stretches, film_m: float) -> None:
        self.grid = grid
        self.mapped = mapped
        self.stretches = stretches
        self.film_m = film_m
        self.stops = (stretches.height_m > film_m) | stretches.outer
        self.sight = Sight(stretches.ends[self.stops])
        self._bend_fields: Kept[int, Field] = Kept(_KEPT_FIELD_BYTES, lambda lengths: lengths.nbytes)
        self._fields: Kept[bytes, Lengths] = Kept(_KEPT_FIELD_BYTES, lambda kept: kept.length_m.nbytes)
        self._bends_to: dict[bytes, Floats] = {}
        self._entries: dict[tuple[int, tuple[int, ...]], Origin] = {}
        self._bend_views: dict[int, BaseGeometry] = {}

    @cached_property
    def _bending(self) -> tuple[Floats, tuple[Corner, ...], NDArray[np.int64]]:
        """Bends on the floor, the corners they stand off, and which corner each stands off."""
        corners = self.sight.corners()
        points = self.sight.bends()
        owner = np.repeat(np.arange(len(corners)), [len(corner.stand_offs_rad) for corner in corners])
        shapely.prepare(self.mapped)
        kept = shapely.contains_xy(self.mapped, points) if len(points) else np.zeros(0, dtype=np.bool_)
        chosen, corner_of = np.unique(owner[kept], return_inverse=True)
        return points[kept], tuple(corners[index] for index in chosen.tolist()), corner_of.astype(np.int64)

    @property
    def bends(self) -> Floats:
        """Where shortest paths may bend [m]."""
        return self._bending[0]

    @property
    def corners(self) -> tuple[Corner, ...]:
        """Free ends and outer corners that the bends stand off."""
        return self._bending[1]

    @property
    def corner_of(self) -> NDArray[np.int64]:
        """Index of the corner that each bend stands off."""
        return self._bending[2]

    @cached_property
    def _ways(self) -> tuple[Floats, NDArray[np.int64]]:
        return ways_between(self.sight, self.bends)

    @property
    def ways_m(self) -> Floats:
        """Lengths between bends [m]."""
        return self._ways[0]

    @property
    def ways_last(self) -> NDArray[np.int64]:
        """The bend before the end of the way from one bend to another; negative where the two see each other."""
        return self._ways[1]

    @cached_property
    def turns(self) -> Turns:
        """The corners of this layout, for questions asked of many places at once."""
        ends = self.stretches.ends[self.stops]
        return Turns(ends, self.bends, self.corners, self.corner_of, self.ways_m, self.ways_last)

    @cached_property
    def compartments(self) -> tuple[Polygon, ...]:
        """Areas that barriers higher than the film close off from one another."""
        lines = as_lines(self.stretches, self.stops)
        faces = shapely.get_parts(shapely.polygonize([*lines.geoms]))
        inside = shapely.contains(self.mapped, shapely.point_on_surface(faces))
        return tuple(face for face, is_floor in zip(faces.tolist(), inside.tolist(), strict=True) if is_floor)

    @cached_property
    def compartment_of(self) -> NDArray[np.int32]:
        """Which compartment each cell belongs to; -1 off the mapped floor."""
        found = np.full((self.grid.rows, self.grid.columns), -1, dtype=np.int32)
        for index, face in enumerate(self.compartments):
            window = self.grid.window(*face.bounds)
            part = found[window[0] : window[1], window[2] : window[3]]
            part[covered(self.grid, rings_of(face), window)] = index
        return found

    @cached_property
    def cell_area_m2(self) -> Floats:
        """What one cell of each compartment stands for, so that its cells add up to its exact area [m²]."""
        counts = np.bincount(self.compartment_of[self.compartment_of >= 0], minlength=len(self.compartments))
        areas = np.array([face.area for face in self.compartments])
        return np.where(counts > 0, areas / np.maximum(counts, 1), 0.0)

    @cached_property
    def _faces(self) -> STRtree:
        return STRtree(self.compartments)

    def compartment_at(self, place: Point) -> int | None:
        """Find the compartment that holds a point.

        Parameters
        ----------
        place : Point
            In metres.

        Returns
        -------
        int or None
            Index in `compartments`; None off the mapped floor and on what closes a compartment.
        """
        found = self._faces.query(place, predicate="within").tolist()
        return min(found) if found else None

    def compartments_at(self, at_m: Floats) -> NDArray[np.int64]:
        """Find the compartments that hold many points.

        Parameters
        ----------
        at_m : (n, 2) array
            In metres.

        Returns
        -------
        (n,) array of int
            Indices in `compartments`; -1 off the mapped floor and on what closes a compartment.
        """
        found = np.full(len(at_m), len(self.compartments), dtype=np.int64)
        place, face = self._faces.query(shapely.points(at_m), predicate="within")
        np.minimum.at(found, place, face)
        found[found == len(self.compartments)] = -1
        return found

    def are_clear_of_barriers(self, at_m: Floats) -> NDArray[np.bool_]:
        """Whether each of many points lies on free floor and not on a barrier.

        Parameters
        ----------
        at_m : (n, 2) array
            In metres.

        Returns
        -------
        (n,) array of bool
        """
        lines = self._stop_lines
        return (self.compartments_at(at_m) >= 0) & ~shapely.dwithin(lines, shapely.points(at_m), 10 * SNAP_M)

    def clear_of_barriers(self, place: Point) -> bool:
        """Whether a point lies on free floor and not on a barrier.

        Parameters
        ----------
        place : Point
            In metres.

        Returns
        -------
        bool
        """
        lines = self._stop_lines
        return self.compartment_at(place) is not None and not shapely.dwithin(lines, place, 10 * SNAP_M)

    @cached_property
    def _stop_lines(self) -> BaseGeometry:
        lines = as_lines(self.stretches, self.stops)
        shapely.prepare(lines)
        return lines

    @cached_property
    def outlets(self) -> tuple[tuple[Outlet, ...], ...]:
        """For each compartment the ways out over what closes it, lowest first; heights are those of the barriers."""
        grouped: dict[tuple[int, int | None, float], list[int]] = {}
        for index in np.flatnonzero(self.stops).tolist():
            left, right = self.sides(index)
            height = float(self.stretches.height_m[index])
            if left == right or math.isinf(height):
                continue
            for inside, beyond in ((left, right), (right, left)):
                if inside is not None:
                    grouped.setdefault((inside, beyond, height), []).append(index)
        found: list[list[Outlet]] = [[] for _ in self.compartments]
        for (inside, beyond, height), indices in grouped.items():
            found[inside].append(Outlet(beyond, height, tuple(indices)))
        # At equal height the mapped floor goes first: loss off the map must not shorten the reach on it.
        return tuple(
            tuple(sorted(ways, key=lambda way: (way.height_m, way.into is None, way.stretches))) for ways in found
        )

    def sides(self, index: int) -> tuple[int | None, int | None]:
        """Find the compartments on both sides of a stretch.

        Parameters
        ----------
        index : int
            One of `stretches`.

        Returns
        -------
        tuple of (int or None, int or None)
            To the left and to the right of its middle; None off the mapped floor.
        """
        x0, y0, x1, y1 = self.stretches.ends[index].tolist()
        length = math.hypot(x1 - x0, y1 - y0)
        nx, ny = -(y1 - y0) / length * _SIDE_M, (x1 - x0) / length * _SIDE_M
        x, y = (x0 + x1) / 2, (y0 + y1) / 2
        return self.compartment_at(Point(x + nx, y + ny)), self.compartment_at(Point(x - nx, y - ny))

    def leaves_at(self, compartment: int, film_m: float) -> BaseGeometry | None:
        """Find where a film leaves a compartment for off the map.

        Parameters
        ----------
        compartment : int
            Index in `compartments`.
        film_m : float
            Depth of the film [m].

        Returns
        -------
        BaseGeometry or None
            Lines [m]; None where nothing lets it out.
        """
        chosen = np.zeros(len(self.stretches), dtype=np.bool_)
        for outlet in self.outlets[compartment]:
            if outlet.into is None and outlet.height_m <= film_m:
                chosen[list(outlet.stretches)] = True
        return as_lines(self.stretches, chosen) if chosen.any() else None

    def entry(self, outlet: Outlet) -> Origin:
        """Find where liquid that comes over an outlet begins to spread.

        Parameters
        ----------
        outlet : Outlet
            One that leads into another compartment.

        Returns
        -------
        Origin
            In the compartment beyond: all along what it comes over, or at the worn place of a kerb. Kept.

        Raises
        ------
        ValueError
            If the outlet leads off the map.
        """
        if outlet.into is None:
            raise ValueError("liquid that leaves the mapped floor does not spread on it")
        key = (outlet.into, outlet.stretches)
        if key not in self._entries:
            worn = [self._worn_lip(outlet, index) for index in outlet.stretches]
            lips = sorted({lip for lip in worn if lip is not None})
            eyes = np.array(lips) if lips else self.crest(outlet.stretches, outlet.into)
            self._entries[key] = Origin(self, eyes, outlet.into)
        return self._entries[key]

    def crest(self, stretches: Sequence[int], beyond: int) -> Floats:
        """Find points along barriers, on one side of them.

        Parameters
        ----------
        stretches : sequence of int
            Indices of stretches between two compartments.
        beyond : int
            The compartment on whose side the points lie.

        Returns
        -------
        (n, 2) array
            At most `CREST_STEP_M` apart along each stretch [m].
        """
        points: list[tuple[float, float]] = []
        for index in stretches:
            x0, y0, x1, y1 = self.stretches.ends[index].tolist()
            length_m = math.hypot(x1 - x0, y1 - y0)
            count = max(math.ceil(length_m / CREST_STEP_M), 1)
            # Just short of the ends, which belong to the neighbours as well.
            short = min(max(1e-3, 2 * _SIDE_M / length_m), 0.5)
            shares = np.linspace(short, 1 - short, count + 1).tolist()
            points.extend(self._beside(index, share, beyond) for share in shares)
        return np.array(points).reshape(-1, 2)

    def _worn_lip(self, outlet: Outlet, index: int) -> tuple[float, float] | None:
        """The worn place of a kerb, moved on to the nearest stretch of this outlet; None where there is none."""
        if outlet.into is None or np.isnan(self.stretches.lip_at[index, 0]):
            return None
        lip = Point(self.stretches.lip_at[index])
        lines = [shapely.LineString(self.stretches.ends[other].reshape(2, 2)) for other in outlet.stretches]
        nearest = min(range(len(lines)), key=lambda other: (lines[other].distance(lip), other))
        share = min(max(lines[nearest].project(lip, normalized=True), 1e-3), 1 - 1e-3)
        return self._beside(outlet.stretches[nearest], share, outlet.into)

    def _beside(self, index: int, share: float, beyond: int) -> tuple[float, float]:
        x0, y0, x1, y1 = self.stretches.ends[index].tolist()
        length = math.hypot(x1 - x0, y1 - y0)
        x, y = x0 + share * (x1 - x0), y0 + share * (y1 - y0)
        nx, ny = -(y1 - y0) / length * _SIDE_M, (x1 - x0) / length * _SIDE_M
        sign = 1.0 if self.sides(index)[0] == beyond else -1.0
        return x + sign * nx, y + sign * ny

    def to_bends_m(self, eyes: Floats) -> Floats:
        """Find the shortest ways from any of some points to every bend.

        Parameters
        ----------
        eyes : (n, 2) array
            Points on free floor [m].

        Returns
        -------
        (bends,) array
            Lengths [m]; infinite where there is no way.
        """
        shortest = np.full(len(self.bends), math.inf)
        for eye in eyes if len(self.bends) else ():
            seen = self.sight.sees(eye, self.bends)
            straight = np.hypot(*(self.bends - eye).T)
            if seen.any():
                reached = (straight[seen, None] + self.ways_m[seen]).min(axis=0)
                np.minimum(shortest, reached, out=shortest)
        return shortest

    def bends_to_m(self, target: BaseGeometry) -> Floats:
        """Find the straight free ways from every bend to a target.

        Parameters
        ----------
        target : BaseGeometry
            In metres.

        Returns
        -------
        (bends,) array
            Lengths to its nearest part that is seen [m]; infinite where none is. Kept.
        """
        key = shapely.to_wkb(target)
        if key not in self._bends_to:
            self._bends_to[key] = self.straight_m(self.bends, target, self.bend_view)
        return self._bends_to[key]

    def straight_m(self, eyes: Floats, target: BaseGeometry, view: Callable[[int], BaseGeometry]) -> Floats:
        """Find the straight free ways from points to a target.

        Parameters
        ----------
        eyes : (n, 2) array
            Points on free floor [m].
        target : BaseGeometry
            In metres.
        view : callable
            Gives what is seen from the point with an index, as an area [m].

        Returns
        -------
        (n,) array
            Lengths to its nearest part that is seen [m]; infinite where none is.
        """
        if isinstance(target, Point) and len(eyes) and self.clear_of_barriers(target):
            point = np.array([target.x, target.y])
            return np.where(self.sight.sees(point, eyes), np.hypot(*(eyes - point).T), math.inf)
        return np.array([_seen_m(eye, view(index), target) for index, eye in enumerate(eyes)])

    def bend_view(self, index: int) -> BaseGeometry:
        """Find what is seen from a bend.

        Parameters
        ----------
        index : int
            Index in `bends`.

        Returns
        -------
        BaseGeometry
            An area [m]. Kept.
        """
        if index not in self._bend_views:
            self._bend_views[index] = area_inside(self.sight.view(self.bends[index]))
        return self._bend_views[index]

    def field(self, origin: Origin, radius_m: float) -> Lengths:
        """Find the lengths along the floor from an origin to the cells around it.

        Parameters
        ----------
        origin : Origin
            Where they begin.
        radius_m : float
            How far to look at least [m].

        Returns
        -------
        Lengths
            Kept as long as memory allows.
        """
        kept = self._fields.get(origin.eyes.tobytes())
        if kept is not None and kept.radius_m >= radius_m:
            return kept
        return self._fields.put(origin.eyes.tobytes(), self._lengths(origin, radius_m))

    def _lengths(self, origin: Origin, radius_m: float) -> Lengths:
        west, south = (origin.eyes.min(axis=0) - radius_m).tolist()
        east, north = (origin.eyes.max(axis=0) + radius_m).tolist()
        window = self.grid.window(west, south, east, north)
        found = np.full((window[1] - window[0], window[3] - window[2]), math.inf, dtype=np.float32)
        for eye, view in zip(origin.eyes, origin.views, strict=True):
            np.minimum(found, self._seen_field(eye, view, window), out=found)
        rows, columns = slice(window[0], window[1]), slice(window[2], window[3])
        for index in np.flatnonzero(origin.to_bend_m < radius_m).tolist():
            length = np.float32(origin.to_bend_m[index])
            np.minimum(found, self._bend_field(index)[rows, columns] + length, out=found)
        found[found > radius_m] = math.inf
        return Lengths(found, window, radius_m)

    def _bend_field(self, index: int) -> Field:
        kept = self._bend_fields.get(index)
        if kept is None:
            whole = self._seen_field(self.bends[index], self.bend_view(index), self.grid.everything)
            kept = self._bend_fields.put(index, whole)
        return kept

    def _seen_field(self, eye: Floats, view: BaseGeometry, window: Window) -> Field:
        seen: Mask = covered(self.grid, rings_of(view), window)
        east = (self.grid.x_m(window) - eye[0]).astype(np.float32)
        north = (self.grid.y_m(window) - eye[1]).astype(np.float32)
        length = np.sqrt(east[None, :] ** 2 + north[:, None] ** 2)
        return np.where(seen, length, np.float32(math.inf)).astype(np.float32, copy=False)


def _seen_m(eye: Floats, view: BaseGeometry, target: BaseGeometry) -> float:
    if not shapely.dwithin(view, target, _WIDENED_M):
        return math.inf
    # Widened, since a target may lie along a wall, where rounding would decide whether it is seen.
    return float(Point(eye).distance(view.buffer(2 * _WIDENED_M, quad_segs=2).intersection(target)))


def joined(areas: Sequence[BaseGeometry]) -> BaseGeometry:
    """Union of areas whose edges may lie within rounding of one another.

    Parameters
    ----------
    areas : sequence of BaseGeometry
        In metres.

    Returns
    -------
    BaseGeometry
        In metres, corners taken as equal within a nanometre: without that, whole pieces may be lost where many edges
        nearly coincide, as those of views from bends beside one corner do.
    """
    return shapely.union_all(areas, grid_size=_GRAIN_M)


def quickly_joined(areas: Sequence[BaseGeometry]) -> BaseGeometry:
    """Union of areas in a fraction of the time of `joined`, where whole pieces may be lost.

    Parameters
    ----------
    areas : sequence of BaseGeometry
        In metres.

    Returns
    -------
    BaseGeometry
        In metres; as `joined` gives it where edges nearly coincide so that the quick way gives up.
    """
    try:
        return shapely.union_all(areas)
    except shapely.GEOSException:
        return joined(areas)


def areas_of(shape: BaseGeometry) -> Polygon | MultiPolygon:
    """Take only the areas of a shape, without lines and points along which areas touched.

    Parameters
    ----------
    shape : BaseGeometry
        In metres; may be empty.

    Returns
    -------
    Polygon or MultiPolygon
        In metres.
    """
    parts = [part for part in shapely.get_parts(shape) if part.geom_type == "Polygon" and part.area > 0]
    if len(parts) == 1:
        return Polygon(parts[0])
    return MultiPolygon(parts)


def clear_sides(layouts: Sequence[Layout], place: Point, limit_m: float) -> tuple[Point, ...]:
    """Find free floor on every side of what a place lies on.

    Parameters
    ----------
    layouts : sequence of Layout
        On one grid.
    place : Point
        On a barrier, or off the mapped floor [m].
    limit_m : float
        How far to look [m].

    Returns
    -------
    tuple of Point
        Cell centres that lie on free floor in every layout, nearest first: one on each side, none of which sees another
        in every layout. Of a place that lies on no barrier the nearest centre alone; none where there is none within
        the limit.

    Notes
    -----
    Free floor narrower than a cell on one side has no centre, and is missing.
    """
    grid = layouts[0].grid
    window = grid.window(place.x - limit_m, place.y - limit_m, place.x + limit_m, place.y + limit_m)
    east, north = np.meshgrid(grid.x_m(window), grid.y_m(window))
    centres = np.column_stack([east.ravel(), north.ravel()])
    apart_m = np.hypot(*(centres - (place.x, place.y)).T)
    clear = apart_m <= limit_m
    for layout in layouts:
        clear[clear] &= layout.are_clear_of_barriers(centres[clear])
    near = sorted(np.flatnonzero(clear).tolist(), key=lambda index: (apart_m[index], *centres[index, ::-1]))
    sides: list[int] = []
    for index in near:
        # Short of the barrier itself, which nothing sees past.
        before = np.array([place.x, place.y]) + _BEFORE_M / apart_m[index] * (centres[index] - (place.x, place.y))
        if _all_see(layouts, centres[index], before) and not any(
            _all_see(layouts, centres[side], centres[index]) for side in sides
        ):
            sides.append(index)
    return tuple(Point(centres[index]) for index in sides or near[:1])


def _all_see(layouts: Sequence[Layout], eye: Floats, point: Floats) -> bool:
    return all(bool(layout.sight.sees(eye, point[None, :])[0]) for layout in layouts)


def area_inside(corners: Floats) -> BaseGeometry:
    """Make the area inside a ring of corners of which some may lie on one another or in line.

    Parameters
    ----------
    corners : (n, 2) array
        In metres, around a star-shaped area.

    Returns
    -------
    BaseGeometry
        In metres; hairs of no width, which hold no floor, are left out.
    """
    area: BaseGeometry = Polygon(corners)
    if not area.is_valid:
        area = shapely.union_all([part for part in shapely.get_parts(shapely.make_valid(area)) if part.area > 0])
    shapely.prepare(area)
    return area
