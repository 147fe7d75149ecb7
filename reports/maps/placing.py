"""Where each label goes: near its thing, on no other label, on as few things as can be."""

from collections.abc import Iterator
from dataclasses import dataclass
from math import cos, hypot, pi, sin

import numpy as np
from numpy.typing import NDArray

from reports.maps.frame import Box

Leader = tuple[tuple[float, float], tuple[float, float]]
"""A line from a thing to its label [pt]."""

_GAP_PT = 1.5
_RINGS_PT = (8.0, 16.0, 26.0, 38.0, 52.0, 70.0, 92.0, 120.0)
_RAYS = 16
_LABEL_ON_LEADER = 40.0
"""Cost of a leader crossing a label, in the unit of a square point of ordinary thing covered."""
_LEADER_COST_PER_PT = 0.6
_TOUCH_PT2 = 0.05
_PERFECT = 0.5
"""Below this cost no further place is tried."""
_TILT = 0.13
"""Rays start a little off the horizontal, so that a leader does not run along a row of pallets."""


@dataclass(frozen=True, slots=True)
class Spot:
    """A place for a label: its box, and where a leader starts and ends when the label is not beside its thing."""

    box: Box
    leader: Leader | None


@dataclass(frozen=True, slots=True)
class Wish:
    """A label that wants a place: its size and the box of the thing that it names [pt]."""

    width_pt: float
    height_pt: float
    thing: Box
    inside: bool
    """Whether it may stand on its own thing."""
    corners: bool = False
    """Whether it goes into a corner of its thing first, as the name of an area does."""


class Placer:
    """Keeps what is already on the sheet and finds room for the next label."""

    def __init__(self, sheet: Box) -> None:
        self._sheet = sheet
        self._labels = np.empty((0, 4))
        self._things = np.empty((0, 4))
        self._weights = np.empty(0)
        self._leaders: list[Leader] = []

    def keep_off(self, box: Box, weight: float) -> None:
        """Make labels avoid a thing; a larger weight is avoided more."""
        self._things = np.vstack((self._things, _row(box)))
        self._weights = np.append(self._weights, weight)

    def block(self, box: Box) -> None:
        """Let no label lie on this box."""
        self._labels = np.vstack((self._labels, _row(box)))

    def place(self, wish: Wish) -> Spot | None:
        """Take the best place for a label, or none where every place would lie on another label."""
        best: Spot | None = None
        lowest = float("inf")
        for spot in self._candidates(wish):
            if not self._in_sheet(spot.box):
                continue
            cost = self._cost(spot, wish)
            if cost < lowest:
                best, lowest = spot, cost
            if lowest < _PERFECT:
                break
        if best is not None:
            self.block(best.box)
            if best.leader is not None:
                self._leaders.append(best.leader)
        return best

    def _in_sheet(self, box: Box) -> bool:
        sheet = self._sheet
        return box.left >= sheet.left and box.right <= sheet.right and box.low >= sheet.low and box.high <= sheet.high

    def _cost(self, spot: Spot, wish: Wish) -> float:
        if np.any(_overlaps(spot.box, self._labels) > _TOUCH_PT2):
            return float("inf")
        covered = _overlaps(spot.box, self._things)
        if wish.inside:
            covered[np.all(self._things == _row(wish.thing), axis=1)] = 0.0
        cost = float(covered @ self._weights)
        cost += _LABEL_ON_LEADER * any(_crosses(leader, spot.box) for leader in self._leaders)
        if spot.leader is not None:
            start, end = spot.leader
            cost += hypot(end[0] - start[0], end[1] - start[1]) * _LEADER_COST_PER_PT
            cost += _LABEL_ON_LEADER * sum(_crosses(spot.leader, Box(*label)) for label in self._labels.tolist())
            cost += _LABEL_ON_LEADER * sum(_cross(spot.leader, other) for other in self._leaders)
        return cost

    def _candidates(self, wish: Wish) -> Iterator[Spot]:
        thing, width, height = wish.thing, wish.width_pt, wish.height_pt
        middle_x, middle_y = (thing.left + thing.right) / 2, (thing.low + thing.high) / 2
        fits = thing.width >= width + 2 and thing.height >= height + 2
        if wish.corners and fits:
            for x in (thing.left + _GAP_PT, thing.right - width - _GAP_PT, middle_x - width / 2):
                for y in (thing.low + _GAP_PT, thing.high - height - _GAP_PT, middle_y - height / 2):
                    yield Spot(Box(x, y, x + width, y + height), None)
        elif wish.inside and fits:
            yield Spot(_about(middle_x, middle_y, width, height), None)
        beside = (
            (thing.right + _GAP_PT, middle_y - height / 2),
            (thing.left - _GAP_PT - width, middle_y - height / 2),
            (middle_x - width / 2, thing.low - _GAP_PT - height),
            (middle_x - width / 2, thing.high + _GAP_PT),
            (thing.left, thing.low - _GAP_PT - height),
            (thing.left, thing.high + _GAP_PT),
            (thing.right - width, thing.low - _GAP_PT - height),
            (thing.right - width, thing.high + _GAP_PT),
            (thing.right + _GAP_PT, thing.low),
            (thing.right + _GAP_PT, thing.high - height),
            (thing.left - _GAP_PT - width, thing.low),
            (thing.left - _GAP_PT - width, thing.high - height),
        )
        for x, y in beside:
            yield Spot(Box(x, y, x + width, y + height), None)
        for ring in _RINGS_PT:
            for ray in range(_RAYS):
                angle = 2 * pi * ray / _RAYS + _TILT
                x = middle_x + cos(angle) * (ring + (thing.width + width) / 2)
                y = middle_y + sin(angle) * (ring + (thing.height + height) / 2)
                box = _about(x, y, width, height)
                yield Spot(box, (_nearest(thing, x, y), _nearest(box, middle_x, middle_y)))


def _about(x: float, y: float, width: float, height: float) -> Box:
    return Box(x - width / 2, y - height / 2, x + width / 2, y + height / 2)


def _nearest(box: Box, x: float, y: float) -> tuple[float, float]:
    return min(max(x, box.left), box.right), min(max(y, box.low), box.high)


def _row(box: Box) -> NDArray[np.float64]:
    return np.array((box.left, box.low, box.right, box.high))


def _overlaps(box: Box, rows: NDArray[np.float64]) -> NDArray[np.float64]:
    across = np.minimum(rows[:, 2], box.right) - np.maximum(rows[:, 0], box.left)
    down = np.minimum(rows[:, 3], box.high) - np.maximum(rows[:, 1], box.low)
    covered: NDArray[np.float64] = np.maximum(across, 0.0) * np.maximum(down, 0.0)
    return covered


def _crosses(leader: Leader, box: Box) -> bool:
    """Whether a leader passes through a box, by cutting it to the box side by side."""
    (x0, y0), (x1, y1) = leader
    enter, leave = 0.0, 1.0
    for start, step, low, high in ((x0, x1 - x0, box.left, box.right), (y0, y1 - y0, box.low, box.high)):
        if step == 0:
            if not low < start < high:
                return False
            continue
        first, last = sorted(((low - start) / step, (high - start) / step))
        enter, leave = max(enter, first), min(leave, last)
    return enter < leave


def _cross(one: Leader, other: Leader) -> bool:
    def side(a: tuple[float, float], b: tuple[float, float], c: tuple[float, float]) -> float:
        return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])

    return side(*one, other[0]) * side(*one, other[1]) < 0 and side(*other, one[0]) * side(*other, one[1]) < 0
