"""What many places on one layout share: its corners, their views, and the ways between its bends."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from geometry.sight import Corner
from geometry.stretches import segments

Floats = NDArray[np.float64]
Numbers = NDArray[np.int64]


@dataclass(frozen=True, slots=True)
class Approach:
    """How places get to the corners of a layout.

    Parameters
    ----------
    length_m : (n, corners) array
        Shortest lengths from each place to the nearest bend beside each corner [m]; infinite where there is no way.
    at : (n, corners) array of int
        That bend.
    before : (n, corners) array of int
        The bend before it on the way; negative where it is seen from the place itself.
    to_bend_m : (n, bends) array
        Shortest lengths to all bends [m].
    """

    length_m: Floats
    at: Numbers
    before: Numbers
    to_bend_m: Floats


class Turns:
    """The corners of a layout round which shortest ways bend, as the compiled loops want them.

    Parameters
    ----------
    ends : (n, 4) array
        Both ends of what stops liquid [m].
    bends : (k, 2) array
        Where ways bend [m].
    corners : sequence of Corner
        The corners they stand off, c of them.
    corner_of : (k,) array of int
        Which corner each bend stands off.
    ways_m : (k, k) array
        Lengths between bends [m].
    last : (k, k) array of int
        The bend before the end of the way from one bend to another; negative where the two see each other.

    Attributes
    ----------
    ends, bends : array
        As given.
    corner_m : (c, 2) array
        Where the corners are [m].
    free_rad : (c, 2) array
        Start and width of the directions that are free at each corner [rad].
    """

    def __init__(
        self,
        ends: Floats,
        bends: Floats,
        corners: Sequence[Corner],
        corner_of: Numbers,
        ways_m: Floats,
        last: Numbers,
    ) -> None:
        self.ends = np.ascontiguousarray(ends)
        self.bends = np.ascontiguousarray(bends).reshape(-1, 2)
        self.corner_m = np.array([(corner.x_m, corner.y_m) for corner in corners], dtype=np.float64).reshape(-1, 2)
        self.free_rad = np.array([(c.start_rad, c.width_rad) for c in corners], dtype=np.float64).reshape(-1, 2)
        self._corner_of = corner_of
        self._ways_m = np.ascontiguousarray(ways_m)
        self._last = np.ascontiguousarray(last)

    @cached_property
    def views(self) -> tuple[Numbers, Floats, Numbers, Floats]:
        """Views from the corners, as `kernels.reach.look_from` gives them."""
        from geometry.kernels import reach  # noqa: PLC0415 - compiled code is loaded where computing begins

        return reach.look_from(self.corner_m, self.free_rad, self.ends)

    def approach(self, at_m: Floats) -> Approach:
        """Find the shortest ways from many places to every corner.

        Parameters
        ----------
        at_m : (n, 2) array
            Places on free floor [m].

        Returns
        -------
        Approach
        """
        from geometry.kernels import reach  # noqa: PLC0415 - compiled code is loaded where computing begins

        straight = reach.straight_m(at_m, self.bends, self.ends)
        to_bend_m, last = reach.to_bends_m(straight, self._ways_m, self._last)
        shape = (len(at_m), len(self.corner_m))
        length_m = np.full(shape, np.inf)
        at, before = np.full(shape, -1, dtype=np.int64), np.full(shape, -1, dtype=np.int64)
        for bend, corner in enumerate(self._corner_of.tolist()):
            nearer = to_bend_m[:, bend] < length_m[:, corner]
            length_m[nearer, corner] = to_bend_m[nearer, bend]
            at[nearer, corner] = bend
            before[nearer, corner] = last[nearer, bend]
        return Approach(length_m, at, before, to_bend_m)

    def straight_m(self, eyes: Floats, target: BaseGeometry, *, clear: bool) -> Floats:
        """Find the straight free ways from many points to a target.

        Parameters
        ----------
        eyes : (n, 2) array
            Points on free floor [m].
        target : BaseGeometry
            In metres.
        clear : bool
            Whether the target is a point that lies on no barrier.

        Returns
        -------
        (n,) array
            Lengths to its nearest part that is seen [m]; infinite where none is.
        """
        from geometry.kernels import reach  # noqa: PLC0415 - compiled code is loaded where computing begins

        if clear:
            return np.asarray(reach.straight_m(eyes, shapely.get_coordinates(target), self.ends)[:, 0])
        parts = _parts(target)
        owner = np.zeros(len(parts), dtype=np.int64)
        found: Floats = reach.seen_m(eyes, parts, owner, 1, self.ends)[:, 0]
        if shapely.area(target) > 0:
            found[shapely.intersects_xy(target, eyes[:, 0], eyes[:, 1])] = 0.0
        return found


def _parts(target: BaseGeometry) -> Floats:
    """Straight parts of a target, points as parts without length [m]."""
    found: list[list[float]] = []
    for part in shapely.get_parts(target):
        if part.geom_type == "Point":
            found.append([part.x, part.y, part.x, part.y])
        else:
            found.extend([*a, *b] for a, b in segments(part))
    return np.array(found, dtype=np.float64).reshape(-1, 4)
