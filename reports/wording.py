"""How names, counts and distances are put into sentences."""

from collections.abc import Sequence

from reports.assessment import Distance


def listed(names: Sequence[str]) -> str:
    """Join names as a sentence does: *a*, *a and b*, *a, b and c*; empty for none."""
    if len(names) < 2:
        return "".join(names)
    return f"{', '.join(names[:-1])} and {names[-1]}"


def counted(count: int, noun: str) -> str:
    """Give a count with its noun: *1 drum*, *4 drums*."""
    return f"{count} {noun}" if count == 1 else f"{count:,} {noun}s"


def distance_text(distance: Distance) -> str:
    """Write a distance with the tolerance of its positions, at the precision that tolerance allows."""
    digits = 2 if distance.tolerance_m < 0.1 else 1
    return f"{distance.metres:.{digits}f} ± {distance.tolerance_m:.{digits}f} m"
