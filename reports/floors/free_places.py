"""Where on a floor liquid can spread from: recorded places, moved off barriers, or refused with the reason."""

from collections.abc import Callable, Sequence

import numpy as np
from shapely import Point, covers, get_coordinates
from shapely.geometry.base import BaseGeometry

from geometry.errors import GeometryRefused
from geometry.floor import SpillFloor
from geometry.many_reaches import places_on

Place = tuple[float, float]
"""A recorded place to the millimetre [m]; drums and pallets share places."""


class FreePlaces:
    """The places of one floor, each looked at once."""

    def __init__(self, plan: Callable[[], SpillFloor], ground: Callable[[], BaseGeometry]) -> None:
        self._plan = plan
        self._ground = ground
        self._free: dict[Place, Point | None] = {}
        self._sides: dict[Place, tuple[Place, ...]] = {}
        self.refused: dict[str, str] = {}
        """Places from which no spread could be computed, and why."""
        self.moved_m: dict[str, float] = {}
        """Places on a barrier, and how far beside them their liquid is taken to start at the nearest [m]."""

    def of(self, points: Sequence[Point]) -> list[Place]:
        """Name some points, and look at those that were not looked at before."""
        places: list[Place] = [(x, y) for x, y in np.round(get_coordinates(points), 3).tolist()]
        new = {place: at for place, at in zip(places, points, strict=True) if place not in self._free}
        if new:
            for place, sides in zip(new, self._freed(list(new.values())), strict=True):
                self._free[place] = sides[0] if sides else None
                if len(sides) > 1:
                    self._sides[place] = tuple((side.x, side.y) for side in sides)
                    self._free |= {(side.x, side.y): side for side in sides}
        return places

    def sides(self, place: Place) -> tuple[Place, ...]:
        """Give every place that a named one may stand for: others than itself only where it lies on a barrier."""
        return self._sides.get(place, (place,))

    def free(self, place: Place) -> Point | None:
        """Give where liquid from a named place starts, at the nearest; None where nothing can be computed."""
        return self._free[place]

    def _freed(self, points: Sequence[Point]) -> list[tuple[Point, ...]]:
        found: list[tuple[Point, ...]] = [()] * len(points)
        inside = []
        for index, on_map in enumerate(covers(self._ground(), points).tolist()):
            if on_map:
                inside.append(index)
            else:
                self.refused[_where(points[index])] = "off the mapped floor"
        if not inside:
            return found
        try:
            places = places_on(self._plan(), get_coordinates([points[index] for index in inside]))
        except GeometryRefused as refusal:
            self.refused |= {_where(points[index]): str(refusal) for index in inside}
            return found
        for row, index in enumerate(inside):
            if row in places.refused:
                self.refused[_where(points[index])] = places.refused[row]
                continue
            moved_m = float(places.moved_m[row])
            found[index] = (points[index],) if moved_m == 0 else self._plan().free_places(points[index])
            if moved_m > 0:
                self.moved_m[_where(points[index])] = moved_m
        return found


def _where(at: Point) -> str:
    return f"({at.x:g}, {at.y:g})"
