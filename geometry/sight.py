"""What can be seen past straight stretches: lines of sight, views, and the corners at which paths bend.

A shortest path on a level floor runs straight from bend to bend, and every bend is a free end or an outer corner of
something that stops liquid. Views and bends therefore give distances along the floor exactly, without a grid.
"""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.sparse.csgraph import dijkstra

from geometry.constants import CORNER_STAND_OFF_M

Floats = NDArray[np.float64]


class Sight:
    """Stretches that end sight, with no crossings but at their ends.

    Parameters
    ----------
    ends : (n, 4) array
        x, y, x, y of both ends of each stretch [m]. They must close in every point that is looked from.
    """

    def __init__(self, ends: Floats) -> None:
        self._a = ends[:, :2]
        self._b = ends[:, 2:]
        self._along = self._b - self._a

    def sees(self, eye: Floats, points: Floats) -> NDArray[np.bool_]:
        """Whether the straight way from an eye to each point is free.

        Parameters
        ----------
        eye : (2,) array
            On no stretch [m].
        points : (m, 2) array
            On no stretch [m].

        Returns
        -------
        (m,) array of bool
            A way that touches the end of a stretch is not free: the path then bends round that end.
        """
        way = points - eye
        to_a, to_b = self._a - eye, self._b - eye
        side_a = np.outer(way[:, 0], to_a[:, 1]) - np.outer(way[:, 1], to_a[:, 0])
        side_b = np.outer(way[:, 0], to_b[:, 1]) - np.outer(way[:, 1], to_b[:, 0])
        eye_side = self._along[:, 1] * to_a[:, 0] - self._along[:, 0] * to_a[:, 1]
        gone_x = points[:, :1] - self._a[:, 0]
        gone_y = points[:, 1:] - self._a[:, 1]
        point_side = self._along[:, 0] * gone_y - self._along[:, 1] * gone_x
        edge_on = (side_a == 0) & (side_b == 0)
        stopped = (side_a * side_b <= 0) & (eye_side * point_side <= 0) & ~edge_on
        return np.asarray(~stopped.any(axis=1))

    def view(self, eye: Floats) -> Floats:
        """Everything seen from an eye, as the corners of one star-shaped area.

        Parameters
        ----------
        eye : (2,) array
            On no stretch [m].

        Returns
        -------
        (k, 2) array
            Corners in anticlockwise order [m].
        """
        to_a, to_b = self._a - eye, self._b - eye
        angles = np.unique(np.concatenate([np.arctan2(to_a[:, 1], to_a[:, 0]), np.arctan2(to_b[:, 1], to_b[:, 0])]))
        next_angles = np.append(angles[1:], angles[0] + 2 * math.pi)
        middle = (angles + next_angles) / 2
        # Between two neighbouring ends one stretch is nearest all the way, since stretches do not cross.
        towards = np.column_stack([np.cos(middle), np.sin(middle)])
        across = towards[:, :1] * self._along[:, 1] - towards[:, 1:] * self._along[:, 0]
        lead = to_a[:, 0] * self._along[:, 1] - to_a[:, 1] * self._along[:, 0]
        offset = to_a[:, 0] * towards[:, 1:] - to_a[:, 1] * towards[:, :1]
        with np.errstate(divide="ignore", invalid="ignore"):
            distance = lead / across
            share = offset / across
        hit = (distance > 0) & (share >= 0) & (share <= 1)
        nearest = np.argmin(np.where(hit, distance, math.inf), axis=1)
        corners = np.empty((2 * len(angles), 2))
        corners[0::2] = self._met(eye, to_a[nearest], self._along[nearest], angles)
        corners[1::2] = self._met(eye, to_a[nearest], self._along[nearest], next_angles)
        return corners

    def _met(self, eye: Floats, to_a: Floats, along: Floats, angles: Floats) -> Floats:
        """Where each ray meets its stretch; never beyond the ends of the stretch."""
        x, y = np.cos(angles), np.sin(angles)
        across = x * along[:, 1] - y * along[:, 0]
        with np.errstate(divide="ignore", invalid="ignore"):
            share = (to_a[:, 0] * y - to_a[:, 1] * x) / across
        share = np.clip(np.nan_to_num(share, nan=0.0), 0.0, 1.0)
        return np.asarray(eye + to_a + share[:, None] * along)

    def bends(self) -> Floats:
        """Points just off every free end and outer corner, where a shortest path may bend.

        Returns
        -------
        (k, 2) array
            In metres. Points outside the floor are among them.
        """
        found = [
            (corner.x_m + CORNER_STAND_OFF_M * math.cos(angle), corner.y_m + CORNER_STAND_OFF_M * math.sin(angle))
            for corner in self.corners()
            for angle in corner.stand_offs_rad
        ]
        return np.array(found).reshape(-1, 2)

    def corners(self) -> "list[Corner]":
        """Free ends and outer corners, in the order of their stretches.

        Returns
        -------
        list of Corner
            Those outside the floor are among them.
        """
        directions: dict[tuple[float, float], list[float]] = {}
        places: dict[tuple[float, float], tuple[float, float]] = {}
        for a, b in zip(self._a.tolist(), self._b.tolist(), strict=True):
            angle = math.atan2(b[1] - a[1], b[0] - a[0])
            for (x, y), leaving in ((a, angle), (b, angle + math.pi)):
                key = (round(x, 7), round(y, 7))
                places.setdefault(key, (x, y))
                directions.setdefault(key, []).append(leaving)
        return [
            Corner(*places[key], start, width)
            for key, around in directions.items()
            for start, width in _free_sectors(around)
            if not self._lies_on_another(places[key])
        ]

    def _lies_on_another(self, place: tuple[float, float]) -> bool:
        """Whether a corner touches a stretch that does not end there: then no way leads round it."""
        gone = np.array(place) - self._a
        share = np.clip((gone * self._along).sum(axis=1) / (self._along**2).sum(axis=1), 0.0, 1.0)
        apart = np.hypot(*(gone - share[:, None] * self._along).T)
        from_ends = np.minimum(np.hypot(*gone.T), np.hypot(*(np.array(place) - self._b).T))
        return bool(((apart < CORNER_STAND_OFF_M / 2) & (from_ends > CORNER_STAND_OFF_M / 2)).any())


@dataclass(frozen=True, slots=True)
class Corner:
    """A free end or an outer corner.

    Parameters
    ----------
    x_m, y_m : float
        Where it is [m].
    start_rad, width_rad : float
        The free directions: more than half a turn, anticlockwise from one stretch to the next.
    """

    x_m: float
    y_m: float
    start_rad: float
    width_rad: float

    @property
    def stand_offs_rad(self) -> tuple[float, ...]:
        """Directions in which paths stand off it: two where it turns far, so that a path may run along either face."""
        end = self.start_rad + self.width_rad
        if self.width_rad < 1.5 * math.pi - 1e-9:
            return ((self.start_rad + end) / 2,)
        first = self.start_rad + 0.75 * math.pi
        return (first,) if self.width_rad < 1.5 * math.pi + 1e-9 else (first, end - 0.75 * math.pi)


def between(sight: Sight, points: Floats) -> Floats:
    """Lengths of the shortest free ways between points that lie on bends.

    Parameters
    ----------
    sight : Sight
        What is in the way.
    points : (k, 2) array
        Bends inside the floor [m].

    Returns
    -------
    (k, k) array
        In metres; infinite where there is no way.
    """
    return ways_between(sight, points)[0]


def ways_between(sight: Sight, points: Floats) -> tuple[Floats, NDArray[np.int64]]:
    """Lengths of the shortest free ways between points that lie on bends, and the last bend before the end of each.

    Parameters
    ----------
    sight : Sight
        What is in the way.
    points : (k, 2) array
        Bends inside the floor [m].

    Returns
    -------
    (k, k) array
        Lengths [m]; infinite where there is no way.
    (k, k) array of int
        Index of the point before the last one on the way from row to column; negative where there is none.
    """
    if len(points) == 0:
        return np.zeros((0, 0)), np.zeros((0, 0), dtype=np.int64)
    ways = np.zeros((len(points), len(points)))
    for index, eye in enumerate(points):
        seen = sight.sees(eye, points)
        seen[index] = False
        ways[index, seen] = np.hypot(*(points[seen] - eye).T)
    # A way seen from one end only, for rounding, is none.
    ways[(ways == 0).T] = 0
    lengths, last = dijkstra(ways, directed=False, return_predecessors=True)
    return np.asarray(lengths), np.asarray(last, dtype=np.int64)


def _free_sectors(around: list[float]) -> list[tuple[float, float]]:
    """Start and width of each free sector wider than a straight line [rad]."""
    turns = sorted(angle % (2 * math.pi) for angle in around)
    found = []
    for index, start in enumerate(turns):
        end = turns[index + 1] if index + 1 < len(turns) else turns[0] + 2 * math.pi
        if end - start > math.pi + 1e-9:
            found.append((start, end - start))
    return found
