"""How far it is to a drain: exactly along the floor for liquid, and straight for people."""

import math
from collections.abc import Sequence

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import Point, Polygon
from shapely.geometry.base import BaseGeometry

from geometry.floor import SpillFloor
from geometry.shapes import checked_shape


def along_floor_m(floor: SpillFloor, a: Point, b: BaseGeometry, *, cautious: bool) -> float | None:
    """Length of the shortest way along the floor, round everything that stops liquid.

    Parameters
    ----------
    floor : SpillFloor
        The floor.
    a : Point
        Where liquid is let out [m].
    b : BaseGeometry
        Drain, door, footprint or another point [m]; the nearest part of it that can be got to counts.
    cautious : bool
        True: what is not known to be tight lets liquid through. False: it stops it.

    Returns
    -------
    float or None
        In metres; None where there is no way.

    Raises
    ------
    GeometryRefused
        If there is no free floor within 0.2 m of `a`, or `b` is empty or not finite.

    Notes
    -----
    A visibility graph over free ends and outer corners of barriers, and over inner corners of the outline: exact on a
    level floor, but for the 0.01 mm by which a path stays off a corner. A barrier of any height is in the way.

    References
    ----------
    .. [1] T. Lozano-Pérez and M. A. Wesley, An algorithm for planning collision-free paths among polyhedral obstacles,
       Communications of the ACM 22 (1979) 560 (recalled, not read).
    """
    checked_shape(b, name="target")
    return floor.origin(floor.free_place(a), cautious=cautious).distance_m(b)


def along_floor_table_m(
    floor: SpillFloor, sources: Sequence[Point], targets: Sequence[BaseGeometry], *, cautious: bool
) -> list[list[float | None]]:
    """Lengths along the floor from many places to many drains.

    Parameters
    ----------
    floor : SpillFloor
        The floor.
    sources : sequence of Point
        Where liquid is let out [m].
    targets : sequence of BaseGeometry
        Drains [m].
    cautious : bool
        As in `along_floor_m`.

    Returns
    -------
    list of list of float or None
        One row per source, one column per target [m].

    Raises
    ------
    GeometryRefused
        As in `along_floor_m`.
    """
    return [[along_floor_m(floor, a, b, cautious=cautious) for b in targets] for a in sources]


def gap_m(a: Polygon, b: BaseGeometry) -> float:
    """Straight gap, edge to edge, through whatever stands between.

    Parameters
    ----------
    a : Polygon
        Footprint [m].
    b : BaseGeometry
        Drain, door or another footprint [m].

    Returns
    -------
    float
        In metres; 0 where they touch or overlap.

    Raises
    ------
    GeometryRefused
        If one of them is empty or not finite.
    """
    return checked_shape(a, name="footprint").distance(checked_shape(b, name="target"))


def gaps_m(footprints: Sequence[Polygon], target: BaseGeometry) -> NDArray[np.float64]:
    """Straight gaps of many footprints to one target, as `gap_m` gives them.

    Parameters
    ----------
    footprints : sequence of Polygon
        In metres; may be empty.
    target : BaseGeometry
        Drain, door or another footprint [m].

    Returns
    -------
    (n,) array
        In metres; 0 where they touch or overlap.

    Raises
    ------
    GeometryRefused
        If one of them is empty or not finite.
    """
    checked_shape(target, name="target")
    shapes = np.array(footprints, dtype=object)
    bounds = shapely.bounds(shapes).reshape(-1, 4)
    for index in np.flatnonzero(~np.isfinite(bounds).all(axis=1)).tolist():
        checked_shape(footprints[index], name="footprint")
    return np.asarray(shapely.distance(shapes, target), dtype=np.float64)


def nearest_m(floor: SpillFloor, a: Point, drains: Sequence[BaseGeometry], *, cautious: bool) -> float | None:
    """Length along the floor to the nearest of several drains.

    Parameters
    ----------
    floor : SpillFloor
        The floor.
    a : Point
        Where liquid is let out [m].
    drains : sequence of BaseGeometry
        May be empty.
    cautious : bool
        As in `along_floor_m`.

    Returns
    -------
    float or None
        In metres; None where there is no drain or no way to one.

    Raises
    ------
    GeometryRefused
        As in `along_floor_m`.
    """
    lengths = (along_floor_m(floor, a, drain, cautious=cautious) for drain in drains)
    return min((length for length in lengths if length is not None), default=None)


def along_floor_between_m(floor: SpillFloor, a: Polygon, b: Polygon, *, cautious: bool) -> float | None:
    """Length of the shortest way along the floor between two convex footprints, edge to edge.

    Parameters
    ----------
    floor : SpillFloor
        The floor.
    a, b : Polygon
        Convex footprints [m].
    cautious : bool
        As in `along_floor_m`.

    Returns
    -------
    float or None
        In metres; 0 where they touch, None where there is no way.

    Raises
    ------
    GeometryRefused
        If one of them is empty or not finite.

    Notes
    -----
    Exact, as `along_floor_m` is: where the straight way between their nearest points is not free, the shortest way
    touches a bend, and from there on both ends are ways from a bend to a footprint.
    """
    gap = gap_m(a, b)
    if gap == 0:
        return 0.0
    layout = floor.flow(cautious=cautious).layout()
    near_a, near_b = shapely.shortest_line(a, b).coords
    if layout.sight.sees(np.array(near_a), np.array([near_b])).all():
        return gap
    ways = layout.bends_to_m(a)[:, None] + layout.ways_m + layout.bends_to_m(b)[None, :]
    shortest = float(ways.min(initial=math.inf))
    return None if math.isinf(shortest) else shortest
