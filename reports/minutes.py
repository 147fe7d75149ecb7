"""How minutes are put into words: rounded the cautious way, the early end down and the late end up."""

from collections.abc import Sequence
from math import ceil, floor

from geometry.units import recorded_minutes
from reports.assessment import ClockKind, ClockLine, DrainTime, LeakTime, Order
from reports.wording import listed

HOUR_MIN = 60.0
"""A first-hour clock ends here."""


def minutes_text(early_min: float | None, late_min: float | None, beside: Sequence[float] = ()) -> str:
    """Write a range of minutes: *under 1 min*, *3 to 18 min*, *from 3 min*, *not within the hour*.

    An early end of None is a time that nobody knows, a late end of None one that there is none of. `beside` are times
    that stand beside it: where whole minutes would put an end on the wrong side of one, it is written finer.
    """
    if early_min is None:
        return "time unknown"
    if early_min >= HOUR_MIN:
        return "not within the hour"
    first = _early_text(early_min, beside)
    if late_min is None:
        return f"from {first} min"
    if late_min > HOUR_MIN:
        return f"{first} min to over an hour"
    last = _late_text(late_min, beside)
    if first.startswith("under"):
        return f"{first} min" if last == first.removeprefix("under ") else f"{first} to {last} min"
    return f"{first} min" if last == first else f"{first} to {last} min"


def _early_text(minutes: float, beside: Sequence[float]) -> str:
    """Round an early end down, to tenths or hundredths where whole minutes would lie before a time it is not before."""
    for step in (1, 10, 100):
        down = floor(minutes * step) / step
        if not any(down < there <= minutes for there in beside):
            break
    return f"{down:g}" if down > 0 else f"under {1 / step:g}"


def _late_text(minutes: float, beside: Sequence[float]) -> str:
    """Round a late end up, to tenths or hundredths where whole minutes would reach a time it is before."""
    for step in (1, 10, 100):
        up = max(ceil(minutes * step), 1) / step
        if not any(minutes < there <= up for there in beside):
            break
    return f"{up:g}"


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


def arrival_text(time: DrainTime, beside: Sequence[float] = ()) -> str:
    """Say when each leak of one drum gets there, and what is not known of it."""
    unknown = "" if time.viscosity_known else "; viscosity not on record: taken from a solvent’s to an oil’s"
    return f"{leaks_text(time.leaks, beside)}{unknown}"


def leaks_text(leaks: Sequence[LeakTime], beside: Sequence[float] = ()) -> str:
    """Say when each of several leaks gets there, leaks of one time together."""
    by_time: dict[str, list[str]] = {}
    for each in leaks:
        by_time.setdefault(_leak_minutes(each, beside), []).append(each.leak)
    return "; ".join(f"{listed(leaks)}: {when}" for when, leaks in by_time.items())


def line_minutes(line: ClockLine) -> str:
    """Say when a line of a clock comes: a range for liquid on its way, one time for what fills and who arrives."""
    if line.kind in (ClockKind.DRAIN, ClockKind.DOOR) or line.early_min is None:
        return minutes_text(line.early_min, line.late_min, line.beside)
    if line.kind is ClockKind.OVERFLOW:
        return span_of_time(line.early_min) if line.early_min > 0 else "at once"
    return recorded_minutes(line.early_min)


def _leak_minutes(each: LeakTime, beside: Sequence[float]) -> str:
    when = minutes_text(each.early_min, each.late_min, beside)
    if each.falling_min is not None and each.early_min is not None and floor(each.falling_min) < floor(each.early_min):
        when += f", or {minutes_text(each.falling_min, each.falling_min, beside)} if the floor falls that way"
    return f"{when}, leaking already ({each.why})" if each.recorded else when
