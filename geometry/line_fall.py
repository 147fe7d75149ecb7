"""What surveyed levels on one line tell of a floor: how it falls along that line, and nothing of how across it."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import MultiPolygon, Point, Polygon
from shapely.geometry.base import BaseGeometry

from geometry.constants import GAP_CLOSED_M
from geometry.errors import GeometryRefused
from geometry.layout import areas_of

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True, eq=False)
class LineFall:
    """Levels on one line.

    Parameters
    ----------
    start_m : (2,) array
        A place on the line [m].
    along : (2,) array
        Its direction, of length 1.
    at_m : (n,) array
        Where along it levels were surveyed, counted from that place, each farther than the last [m].
    height_m : (n,) array
        Elevations there [m].
    """

    start_m: Floats
    along: Floats
    at_m: Floats
    height_m: Floats

    @property
    def high(self) -> Point:
        """The highest place surveyed [m]; of several the first."""
        return self._place(int(np.argmax(self.height_m)))

    @property
    def low(self) -> Point:
        """The lowest place surveyed [m]; of several the first."""
        return self._place(int(np.argmin(self.height_m)))

    @property
    def fall(self) -> float:
        """Fall from the highest to the lowest of them, straight [m/m]; the floor falls by no less."""
        return float(np.ptp(self.height_m)) / self.high.distance(self.low)

    @property
    def steepest(self) -> float:
        """Largest fall between neighbours on the line [m/m]."""
        return float(np.abs(np.diff(self.height_m) / np.diff(self.at_m)).max())

    def elevation_at(self, points: Floats) -> Floats:
        """Find elevations as if the floor were level across the line.

        Parameters
        ----------
        points : (n, 2) array
            In metres.

        Returns
        -------
        (n,) array
            In metres; beyond the last level on either side that of the level.
        """
        return np.interp((points - self.start_m) @ self.along, self.at_m, self.height_m)

    def across_m(self, points: Floats) -> Floats:
        """Find how far beside the line places lie.

        Parameters
        ----------
        points : (n, 2) array
            In metres.

        Returns
        -------
        (n,) array
            In metres, to the left of its direction positive.
        """
        return np.asarray((points - self.start_m) @ np.array([-self.along[1], self.along[0]]))

    def not_above(self, height_m: float, within: BaseGeometry) -> Polygon | MultiPolygon:
        """Find the floor that does not lie higher along the line than a height.

        Parameters
        ----------
        height_m : float
            Elevation [m].
        within : BaseGeometry
            The floor [m].

        Returns
        -------
        Polygon or MultiPolygon
            In metres; strips across the line. How the floor lies across it is not known, so that liquid at that
            elevation may get to any of it.

        Raises
        ------
        GeometryRefused
            If the height is not finite.
        """
        if not math.isfinite(height_m):
            raise GeometryRefused(f"height beside a line of levels: expected a finite number, found {height_m}")
        corners = shapely.get_coordinates(within)
        if not len(corners):
            return Polygon()
        along_m, across_m = (corners - self.start_m) @ self.along, self.across_m(corners)
        first_m, last_m = min(along_m.min(), self.at_m[0]) - 1, max(along_m.max(), self.at_m[-1]) + 1
        ends = np.concatenate([[first_m], self.at_m, [last_m]])
        heights = np.concatenate([self.height_m[:1], self.height_m, self.height_m[-1:]])
        sides = np.array([across_m.min() - 1, across_m.max() + 1])
        strips = [
            self._strip(near, far, sides)
            for first, last, high, low in zip(ends, ends[1:], heights, heights[1:], strict=False)
            for near, far in [_below(first, last, high, low, height_m)]
            if far > near
        ]
        return areas_of(shapely.intersection(shapely.union_all(strips), within))

    def _strip(self, near_m: float, far_m: float, sides_m: Floats) -> Polygon:
        left = np.array([-self.along[1], self.along[0]])
        near, far = self.start_m + near_m * self.along, self.start_m + far_m * self.along
        corners = [near + sides_m[0] * left, far + sides_m[0] * left, far + sides_m[1] * left, near + sides_m[1] * left]
        return Polygon(corners)

    def _place(self, index: int) -> Point:
        return Point(self.start_m + self.at_m[index] * self.along)


def _below(first_m: float, last_m: float, start_m: float, end_m: float, height_m: float) -> tuple[float, float]:
    """Where between two places a straight line from one height to another is no higher than a height."""
    if max(start_m, end_m) <= height_m:
        return first_m, last_m
    if min(start_m, end_m) > height_m:
        return first_m, first_m
    middle_m = first_m + (last_m - first_m) * (height_m - start_m) / (end_m - start_m)
    return (first_m, middle_m) if start_m <= height_m else (middle_m, last_m)


def line_of(places: Sequence[Sequence[float]] | Floats, heights_m: Sequence[float] | Floats) -> LineFall | None:
    """Put levels on one line in their order along it.

    Parameters
    ----------
    places : (n, 2) array_like
        Where they were surveyed [m].
    heights_m : (n,) array_like
        Elevations [m].

    Returns
    -------
    LineFall or None
        Along the straight line that fits best; its direction is that in which x, or else y, grows. Of levels less than
        0.05 m apart along it the lowest counts; None where they all are.

    Raises
    ------
    GeometryRefused
        If there are not as many heights as places, or a number is not finite.
    """
    points, heights = np.asarray(places, dtype=np.float64).reshape(-1, 2), np.asarray(heights_m, dtype=np.float64)
    if len(points) != len(heights) or not np.isfinite(points).all() or not np.isfinite(heights).all():
        raise GeometryRefused(
            f"levels on a line: expected a finite height for each place, found {len(points)} places and {len(heights)} "
            "heights, or one that is not finite"
        )
    if not len(points):
        return None
    start_m = points.mean(axis=0)
    direction = np.linalg.svd(points - start_m)[2][0]
    along = direction * (1.0 if (direction[0], direction[1]) > (0.0, 0.0) else -1.0)
    beside_m = (points - start_m) @ along
    order = np.lexsort((heights, beside_m))
    kept: list[tuple[float, float]] = []
    for at_m, height_m in zip(beside_m[order].tolist(), heights[order].tolist(), strict=True):
        if kept and at_m - kept[-1][0] < GAP_CLOSED_M:
            kept[-1] = kept[-1][0], min(height_m, kept[-1][1])
        else:
            kept.append((at_m, height_m))
    along_m, levels_m = np.array(kept).T
    return LineFall(start_m, along, along_m, levels_m) if len(kept) > 1 else None
