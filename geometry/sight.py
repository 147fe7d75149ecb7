"""What can be seen past straight stretches: lines of sight, views, and the corners at which paths bend.

A shortest path on a level floor runs straight from bend to bend, and every bend is a free end or an outer corner of
something that stops liquid. Views and bends therefore give distances along the floor exactly, without a grid.
"""

import math

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
        directions: dict[tuple[float, float], list[float]] = {}
        for a, b in zip(self._a.tolist(), self._b.tolist(), strict=True):
            angle = math.atan2(b[1] - a[1], b[0] - a[0])
            directions.setdefault((round(a[0], 7), round(a[1], 7)), []).append(angle)
            directions.setdefault((round(b[0], 7), round(b[1], 7)), []).append(angle + math.pi)
        found = [
            (x + CORNER_STAND_OFF_M * math.cos(angle), y + CORNER_STAND_OFF_M * math.sin(angle))
            for (x, y), around in directions.items()
            for angle in _free_directions(around)
        ]
        return np.array(found).reshape(-1, 2)


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
    if len(points) == 0:
        return np.zeros((0, 0))
    ways = np.zeros((len(points), len(points)))
    for index, eye in enumerate(points):
        seen = sight.sees(eye, points)
        seen[index] = False
        ways[index, seen] = np.hypot(*(points[seen] - eye).T)
    # A way seen from one end only, for rounding, is none.
    ways[(ways == 0).T] = 0
    return np.asarray(dijkstra(ways, directed=False))


def _free_directions(around: list[float]) -> list[float]:
    """Directions of the stand-off points in each free sector wider than a straight line."""
    turns = sorted(angle % (2 * math.pi) for angle in around)
    found = []
    for index, start in enumerate(turns):
        end = turns[index + 1] if index + 1 < len(turns) else turns[0] + 2 * math.pi
        width = end - start
        if width <= math.pi + 1e-9:
            continue
        if width >= 1.5 * math.pi - 1e-9:
            # Two points, so that a path may run along either face without touching it.
            found += (
                [start + 0.75 * math.pi]
                if abs(width - 1.5 * math.pi) < 1e-9
                else [
                    start + 0.75 * math.pi,
                    end - 0.75 * math.pi,
                ]
            )
        else:
            found.append((start + end) / 2)
    return found
