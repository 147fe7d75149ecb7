"""How minutes are put into words: rounded the cautious way, the early end down and the late end up."""

from collections.abc import Sequence
from math import ceil, floor

from reports.assessment import ClockKind, ClockLine, DrainTime, LeakTime, Order
from reports.wording import listed

HOUR_MIN = 60.0
"""A first-hour clock ends here."""


def minutes_text(early_min: float | None, late_min: float | None) -> str:
    """Write a range of minutes: *under 1 min*, *3 to 18 min*, *from 3 min*, *not within the hour*.

    An early end of None is a time that nobody knows, a late end of None one that there is none of.
    """
    if early_min is None:
        return "time unknown"
    if early_min >= HOUR_MIN:
        return "not within the hour"
    first = "under 1" if early_min < 1 else f"{floor(early_min)}"
    if late_min is None:
        return f"from {first} min"
    if late_min > HOUR_MIN:
        return f"{first} min to over an hour"
    last = max(ceil(late_min), 1)
    if early_min < 1:
        return "under 1 min" if last == 1 else f"under 1 to {last} min"
    return f"{first} min" if last == floor(early_min) else f"{first} to {last} min"


def span_of_time(minutes: float) -> str:
    """Write one length of time: tenths below 10 minutes, whole minutes up to two hours, then hours."""
    if minutes < 10:
        return f"{minutes:.1f} min"
    return f"{minutes:.0f} min" if minutes < 2 * HOUR_MIN else f"{minutes / 60:,.0f} h"


def order(early_min: float, late_min: float | None, there_min: float | None) -> Order:
    """Say whether liquid is somewhere before people who need so long, both counted from the start of the leak."""
    if there_min is None:
        return Order.UNKNOWN
    if early_min >= there_min:
        return Order.AFTER
    return Order.BEFORE if late_min is not None and late_min < there_min else Order.MAYBE


def arrival_text(time: DrainTime) -> str:
    """Say when each leak of one drum gets there, and what is not known of it."""
    unknown = "" if time.viscosity_known else "; viscosity not on record: taken from a solvent’s to an oil’s"
    return f"{leaks_text(time.leaks)}{unknown}"


def leaks_text(leaks: Sequence[LeakTime]) -> str:
    """Say when each of several leaks gets there, leaks of one time together."""
    by_time: dict[str, list[str]] = {}
    for each in leaks:
        by_time.setdefault(_leak_minutes(each), []).append(each.leak)
    return "; ".join(f"{listed(leaks)}: {when}" for when, leaks in by_time.items())


def line_minutes(line: ClockLine) -> str:
    """Say when a line of a clock comes: a range for liquid on its way, one time for what fills and who arrives."""
    if line.kind in (ClockKind.DRAIN, ClockKind.DOOR) or line.early_min is None:
        return minutes_text(line.early_min, line.late_min)
    if line.kind is ClockKind.OVERFLOW:
        return span_of_time(line.early_min) if line.early_min > 0 else "at once"
    return f"{line.early_min:.0f} min"


def _leak_minutes(each: LeakTime) -> str:
    when = minutes_text(each.early_min, each.late_min)
    if each.falling_min is not None and each.early_min is not None and floor(each.falling_min) < floor(each.early_min):
        when += f", or {minutes_text(each.falling_min, each.falling_min)} if the floor falls that way"
    return f"{when}, leaking already ({each.why})" if each.recorded else when
