"""How far a recorded position may be off, and what that does to a distance between two of them."""

from math import hypot

from reports.assessment import Distance
from survey.vocabulary import PositionSource

DEFAULT_M = {PositionSource.MEASURED: 0.05, PositionSource.DRAWN: 0.20, PositionSource.TAPPED: 0.35}
"""Judgement, no published source: laser or tape; scaled off a drawing; a gloved finger on a map. Two tapped positions
then differ by 0.5 m, as the house rule asks."""


ON_LINE_M = 0.5
"""Two things drawn no farther apart than this are taken to touch; a drawing allowance, not a rule of the trade."""


def position_tolerance_m(source: PositionSource, stated_m: float | None) -> float:
    """Give the tolerance of a position [m]: the stated one, else the default of its source."""
    return DEFAULT_M[source] if stated_m is None else stated_m


def between(metres: float, tolerance_a_m: float, tolerance_b_m: float) -> Distance:
    """Give a distance with the tolerance of its two ends [m], taken as independent errors."""
    return Distance(metres, hypot(tolerance_a_m, tolerance_b_m))


def distance_text(distance: Distance) -> str:
    """Write a distance with the tolerance of its positions, at the precision that tolerance allows."""
    digits = 2 if distance.tolerance_m < 0.1 else 1
    return f"{distance.metres:.{digits}f} ± {distance.tolerance_m:.{digits}f} m"
