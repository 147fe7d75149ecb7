"""The worst case on a floor that is level only within its tolerance: where one drum's liquid may run, whichever way."""

from collections.abc import Sequence
from functools import lru_cache

from shapely import Point

from geometry.descent import NARROW
from geometry.errors import GeometryRefused
from geometry.relief import SLAB_TOLERANCE_M
from geometry.spill_reach import joint_shape
from geometry.tilt import DROP_M, Tilt, fan_reach_m, fan_slope, tilted_area, worst_tilt
from reports.assessment import TiltedReach
from reports.facts import DrumFact
from reports.floors.fans import fan_area
from reports.floors.spills import FloorSpills

TILT_MODEL = (
    f"a nominally level slab lies within ±{SLAB_TOLERANCE_M * 1000:.0f} mm (ACI 117-90 as quoted by Concrete "
    f"Construction, read), so that the end of the way may lie {DROP_M * 1000:.0f} mm lower than its beginning; taken "
    "as an even fall in any direction, for a thin liquid that trickles from a 10 mm hole (judgement)"
)
"""What the worst case assumes, for people."""

FALLS = "the floor falls by its record"
"""What is said instead where it does."""


LINE = (
    "the levels surveyed lie on one line: the floor falls along it as they say, and across it, which nobody knows, by "
    "as much at the most (judgement), for a thin liquid that trickles from a 10 mm hole (judgement)"
)
"""What it assumes where only that is known."""


def tilt_model(spills: FloorSpills) -> str:
    """Say what fall the worst case of a floor assumes."""
    if spills.relief is None:
        return TILT_MODEL
    return FALLS if spills.relief.line is None else LINE


def tilted_reach(spills: FloorSpills, drums: Sequence[DrumFact], at: Point) -> TiltedReach | None:
    """Give every place that one of these drums may get to if the floor happens to fall towards it.

    The fullest is taken, from the middle of its pallet, and as much farther as the farthest of them stands from there.
    Where walls hold a pool together it may get farther than a tongue on open floor: what one drum wets on a level floor
    belongs to it.
    """
    liquid = [drum for drum in drums if drum.fill_l > 0]
    line = None if spills.relief is None else spills.relief.line
    if not liquid or (spills.relief is not None and line is None) or spills.spread_from(at) is None:
        return None
    litres = max(drum.fill_l for drum in liquid)
    film_m = spills.film.thin_m
    tilt = (
        _worst(litres, film_m)
        if line is None
        else Tilt(fan_slope(line), fan_reach_m(litres / 1000, film_m, NARROW, line))
    )
    reach_m = tilt.reach_m + max(drum.at.distance(at) for drum in liquid)
    try:
        shape = (
            tilted_area(spills.plan, at, reach_m, film_m)
            if line is None
            else fan_area(spills.plan, line, at, reach_m, film_m)
        )
    except GeometryRefused:
        return None
    pool = spills.one_drum(liquid)
    if pool is not None:
        shape = joint_shape([shape, pool.thin.shape])
    return TiltedReach(litres, shape, reach_m, tilt.slope * 100)


@lru_cache(maxsize=4096)
def _worst(litres: float, film_m: float) -> Tilt:
    return worst_tilt(litres / 1000, film_m, NARROW)
