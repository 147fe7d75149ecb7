"""The worst case on a floor that is level only within its tolerance: where one drum's liquid may run, whichever way."""

from collections.abc import Sequence
from functools import lru_cache

from shapely import Point

from geometry.descent import NARROW
from geometry.errors import GeometryRefused
from geometry.relief import SLAB_TOLERANCE_M
from geometry.spill_reach import joint_shape
from geometry.tilt import DROP_M, Tilt, tilted_area, worst_tilt
from reports.assessment import TiltedReach
from reports.facts import DrumFact
from reports.floors.spills import FloorSpills

TILT_MODEL = (
    f"a nominally level slab lies within ±{SLAB_TOLERANCE_M * 1000:.0f} mm (ACI 117-90 as quoted by Concrete "
    f"Construction, read), so that the end of the way may lie {DROP_M * 1000:.0f} mm lower than its beginning; taken "
    "as an even fall in any direction, for a thin liquid that trickles from a 10 mm hole (judgement)"
)
"""What the worst case assumes, for people."""

FALLS = "the floor falls by its record"
"""What is said instead where it does."""


def tilt_model(spills: FloorSpills) -> str:
    """Say what fall the worst case of a floor assumes."""
    return TILT_MODEL if spills.relief is None else FALLS


def tilted_reach(spills: FloorSpills, drums: Sequence[DrumFact], at: Point) -> TiltedReach | None:
    """Give every place that one of these drums may get to if the floor happens to fall towards it.

    The fullest is taken, from the middle of its pallet, and as much farther as the farthest of them stands from there.
    Where walls hold a pool together it may get farther than a tongue on open floor: what one drum wets on a level floor
    belongs to it.
    """
    liquid = [drum for drum in drums if drum.fill_l > 0]
    if not liquid or spills.relief is not None or spills.spread_from(at) is None:
        return None
    litres = max(drum.fill_l for drum in liquid)
    tilt = _worst(litres, spills.film.thin_m)
    reach_m = tilt.reach_m + max(drum.at.distance(at) for drum in liquid)
    try:
        shape = tilted_area(spills.plan, at, reach_m, spills.film.thin_m)
    except GeometryRefused:
        return None
    pool = spills.one_drum(liquid)
    if pool is not None:
        shape = joint_shape([shape, pool.thin.shape])
    return TiltedReach(litres, shape, reach_m, tilt.slope * 100)


@lru_cache(maxsize=4096)
def _worst(litres: float, film_m: float) -> Tilt:
    return worst_tilt(litres / 1000, film_m, NARROW)
