"""Whether a spill gets to a place, how much of it lies on the floor before it does, and what may leave the map."""

import math
from dataclasses import dataclass

import shapely
from shapely import Point
from shapely.geometry.base import BaseGeometry

from geometry.constants import ADJOINING_M, SNAP_M
from geometry.errors import GeometryRefused
from geometry.fill import Settled, least_volume_m3, settle
from geometry.layout import Layout, Origin
from geometry.shapes import checked_shape


@dataclass(frozen=True, slots=True)
class Aim:
    """A target and how much nearer it may be than recorded.

    Parameters
    ----------
    target : BaseGeometry or None
        In metres; None lies off the mapped floor and is reached where liquid leaves it.
    tolerance_m : float
        Taken off the length of the way [m].
    """

    target: BaseGeometry | None
    tolerance_m: float = 0.0

    def distance_m(self, origin: Origin) -> float | None:
        """Find the length of the way along the floor, less the tolerance.

        Parameters
        ----------
        origin : Origin
            Where the liquid comes from.

        Returns
        -------
        float or None
            In metres; None where there is no way within the compartment.
        """
        layout = origin.layout
        target = layout.leaves_at(origin.compartment, layout.film_m) if self.target is None else self.target
        distance = None if target is None else origin.distance_m(target)
        return None if distance is None else max(distance - self.tolerance_m, 0.0)

    def lies_in(self, layout: Layout, compartment: int) -> bool:
        """Whether liquid that covers a compartment has got to the target.

        Parameters
        ----------
        layout : Layout
            The floor.
        compartment : int
            One of its compartments.

        Returns
        -------
        bool
        """
        if self.target is None:
            return layout.leaves_at(compartment, layout.film_m) is not None
        return bool(shapely.dwithin(layout.compartments[compartment], self.target, 5 * SNAP_M))


def aim_at(mapped: BaseGeometry, target: BaseGeometry, tolerance_m: float = 0.0) -> Aim:
    """Check a target and find it on the mapped floor.

    Parameters
    ----------
    mapped : BaseGeometry
        The mapped floor [m].
    target : BaseGeometry
        Drain, door or footprint [m].
    tolerance_m : float
        By how much it may be nearer than recorded [m].

    Returns
    -------
    Aim
        A target up to 0.3 m off the mapped floor is taken at the nearest place on it. One farther off may be reached by
        whatever leaves the mapped floor: to say that it is not reached would be to guess.

    Raises
    ------
    GeometryRefused
        If the target is empty or not finite, or the tolerance negative or not finite.
    """
    if not math.isfinite(tolerance_m) or tolerance_m < 0:
        raise GeometryRefused(f"tolerance: expected 0 m or more, found {tolerance_m}")
    apart_m = mapped.distance(checked_shape(target, name="target"))
    if apart_m > ADJOINING_M:
        return Aim(None, tolerance_m)
    if apart_m > 0:
        return Aim(Point(shapely.get_coordinates(shapely.shortest_line(mapped, target))[0]), tolerance_m)
    return Aim(target, tolerance_m)


def reached(layout: Layout, origin: Origin, volume_m3: float, film_m: float, aim: Aim) -> bool:
    """Whether a volume gets to a target.

    Parameters
    ----------
    layout : Layout
        The floor as a film of this depth finds it.
    origin : Origin
        Where the volume is let out.
    volume_m3 : float
        How much [m³].
    film_m : float
        Depth of the film [m].
    aim : Aim
        The target.

    Returns
    -------
    bool
    """
    settled = settle(layout, origin, volume_m3, film_m)
    if any(aim.lies_in(layout, member) for sheet in settled.covered for member in sheet.members):
        return True
    for front, lying_m3 in settled.fronts:
        distance = aim.distance_m(front)
        if distance is not None and front.area_within_m2(distance) * film_m <= lying_m3:
            return True
    return False


def needed_m3(layout: Layout, origin: Origin, volume_m3: float, film_m: float, aim: Aim) -> float | None:
    """Find how much lies on the floor before the liquid gets to a target.

    Parameters
    ----------
    layout, origin : Layout, Origin
        As in `reached`.
    volume_m3 : float
        How much is let out in all [m³].
    film_m : float
        As in `reached` [m].
    aim : Aim
        The target.

    Returns
    -------
    float or None
        Volume [m³]; None where this much does not get there.
    """
    distance = aim.distance_m(origin)
    if distance is not None:
        # Never more than the compartment, which cell counting may overshoot by a fraction of a per cent.
        area = min(origin.area_within_m2(distance), layout.compartments[origin.compartment].area)
        return film_m * area if film_m * area <= volume_m3 else None
    if volume_m3 <= layout.compartments[origin.compartment].area * film_m:
        return None
    return least_volume_m3(lambda volume: reached(layout, origin, volume, film_m, aim), volume_m3)


def may_leave_m3(layout: Layout, settled: Settled, origin: Origin, volume_m3: float, film_m: float) -> float:
    """Find the most that may leave the mapped floor.

    Parameters
    ----------
    layout, origin : Layout, Origin
        As in `reached`.
    settled : Settled
        Where this volume comes to rest.
    volume_m3 : float
        How much is let out in all [m³].
    film_m : float
        As in `reached` [m].

    Returns
    -------
    float
        Volume [m³]: everything that is not needed to cover the floor nearer than the nearest way off the map.
    """
    leaving = settled.lost_m3
    off_map = Aim(None)
    if off_map.distance_m(origin) is not None:
        needed = needed_m3(layout, origin, volume_m3, film_m, off_map)
        return leaving if needed is None else max(volume_m3 - needed, leaving)
    for front, lying_m3 in settled.fronts:
        distance = off_map.distance_m(front)
        if distance is not None:
            leaving += max(lying_m3 - front.area_within_m2(distance) * film_m, 0.0)
    for sheet in settled.covered:
        # What stands in a covered compartment with an open edge may have run out of it instead.
        if any(off_map.lies_in(layout, member) for member in sheet.members):
            leaving += sheet.area_m2 * sheet.level_m
    return leaving
