"""Facts → geometry on a floor of which only levels on one line are known: what liquid may run to, whichever way."""

from collections.abc import Sequence

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import MultiPolygon, Point, Polygon
from shapely.geometry.base import BaseGeometry

from geometry.arrival import aim_at
from geometry.film import FilmRange
from geometry.floor import SpillFloor
from geometry.line_fall import LineFall
from geometry.reading import Reading
from geometry.relief import LEVEL_ACCURACY_M
from geometry.running import NARROW
from geometry.tilt import fan_reach_m, tilted_area

Floats = NDArray[np.float64]
Flags = NDArray[np.bool_]

_STEP_M = 0.1  # between places of a target whose elevations are looked at


class Fan:
    """Where liquid may run to on a floor that falls along a line of levels and nobody knows how across it.

    Any place may be reached that lies no higher along the line than the source and no farther along the floor than a
    narrow tongue runs down the steepest fall there may be.
    """

    def __init__(self, plan: SpillFloor, line: LineFall, film: FilmRange) -> None:
        self._plan = plan
        self._line = line
        self._film = film

    def reaches(
        self,
        places: Sequence[Point],
        volume_m3: Floats,
        targets: Sequence[BaseGeometry],
        tolerance_m: Floats,
    ) -> tuple[Flags, Flags]:
        """Find what spills (rows) may reach (columns) with any film of the range, and with the thick one."""
        at_m = np.array([[at.x, at.y] for at in (self._plan.free_place(each) for each in places)]).reshape(-1, 2)
        # As deep as the thick film, so that a lip which any film of the range goes over stops nothing.
        origins = Reading(self._plan, at_m, cautious=True).on_film(self._film.thick_m)
        found = [np.zeros(tolerance_m.shape, dtype=np.bool_) for _ in range(2)]
        films_m = self._film.thin_m, self._film.thick_m
        reach_m = [
            np.array([fan_reach_m(each, film_m, NARROW, self._line) for each in volume_m3]) for film_m in films_m
        ]
        height_m = self._line.elevation_at(at_m)
        for column, target in enumerate(targets):
            aim = aim_at(self._plan.mapped, target)
            way_m = origins.distance_m(aim) - tolerance_m[:, column]
            off_m = 2 * LEVEL_ACCURACY_M + self._line.steepest * tolerance_m[:, column]
            lower = self._lowest_m(aim.target) <= height_m + off_m
            for flags, far_m in zip(found, reach_m, strict=True):
                flags[:, column] = lower & (way_m <= far_m) & (volume_m3 > 0)
        return found[0], found[1]

    def _lowest_m(self, target: BaseGeometry | None) -> float:
        """Give the lowest elevation along the line of any part of a target; below everything beyond the map [m]."""
        if target is None:
            return -np.inf
        return float(self._line.elevation_at(shapely.get_coordinates(target.segmentize(_STEP_M))).min())


def fan_area(plan: SpillFloor, line: LineFall, at: Point, reach_m: float, film_m: float) -> Polygon | MultiPolygon:
    """Draw every place that liquid from a place may run to on such a floor."""
    height_m = float(line.elevation_at(np.array([[at.x, at.y]]))[0]) + 2 * LEVEL_ACCURACY_M
    return line.not_above(height_m, tilted_area(plan, at, reach_m, film_m))
