"""The grid of a floor: letters along x, numbers down from the north side, the same on every drawing of it."""

from dataclasses import dataclass
from math import ceil, floor
from string import ascii_uppercase

from shapely import Point

from reports.assessment import FloorAssessment
from reports.maps.frame import Box

_PITCHES_M = (1, 2, 5, 10, 20, 50, 100, 200, 500, 1000)
_MOST_COLUMNS = 16
"""Squares along the longer side: few enough to be read out on the radio by one letter."""
_NEAR_SHARE = 0.25
"""How far outside the floor, as a share of its longer side, an entry is still drawn."""


@dataclass(frozen=True, slots=True)
class Grid:
    """A square grid; `left` and `high` are its north-west corner in the floor's metres."""

    pitch_m: float
    left: float
    high: float
    columns: int
    rows: int

    def reference(self, point: Point) -> str:
        """Name of the square a point lies in, such as *C4*; outside the grid, the nearest square."""
        column = min(max(floor((point.x - self.left) / self.pitch_m), 0), self.columns - 1)
        row = min(max(floor((self.high - point.y) / self.pitch_m), 0), self.rows - 1)
        return f"{ascii_uppercase[column]}{row + 1}"


def extent_of(plan: FloorAssessment) -> Box:
    """The rectangle round everything of a floor that is drawn [m].

    An entry that lies far outside the floor (a slip while tapping, stored as seen) does not shrink the drawing of all
    the others: it is named beside the drawing instead.
    """
    fixed = [plan.outline, *(shape for _, shape in plan.surfaces)]
    core = _round([shape.bounds for shape in fixed if not shape.is_empty]).at_least(1.0, 1.0)
    near = core.grown(_NEAR_SHARE * max(core.width, core.height))
    others = [drain.shape for drain in plan.drains if drain.shape is not None]
    others += [pallet.footprint for pallet in plan.pallets]
    others += [zone.outline for zone in plan.zones]
    bounds = [shape.bounds for shape in others if not shape.is_empty]
    inside = [each for each in bounds if near.covers(each[0], each[1]) and near.covers(each[2], each[3])]
    return _round([(core.left, core.low, core.right, core.high), *inside])


def _round(bounds: list[tuple[float, float, float, float]]) -> Box:
    if not bounds:
        return Box(0.0, 0.0, 1.0, 1.0)
    left, low, right, high = zip(*bounds, strict=True)
    return Box(min(left), min(low), max(right), max(high))


def grid_of(plan: FloorAssessment) -> Grid:
    """The grid of a floor, at the finest pitch that needs no more than sixteen squares either way."""
    extent = extent_of(plan)
    longest = max(extent.width, extent.height)
    pitch = next((size for size in _PITCHES_M if longest / size <= _MOST_COLUMNS - 1), _PITCHES_M[-1])
    left = floor(extent.left / pitch) * pitch
    high = ceil(extent.high / pitch) * pitch
    columns = max(1, ceil((extent.right - left) / pitch))
    rows = max(1, ceil((high - extent.low) / pitch))
    return Grid(pitch, left, high, min(columns, len(ascii_uppercase)), rows)
