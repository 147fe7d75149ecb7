"""Dates, ages, shares, ranges and counts as the paper words them."""

import re
from collections.abc import Callable, Sequence
from datetime import date, datetime
from math import inf

from geometry.units import converted
from reports.assessment import Coverage, Distance, Span
from reports.preplan.plan import Basis
from reports.response.advice import Cite
from reports.tolerance import distance_text
from reports.wording import counted

NONE_RECORDED = "none recorded"
NOT_RECORDED = "not recorded"
_MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
_NUMBERED = re.compile(r"^(.*?)(\d+)$")
_LETTERS_AND_DIGITS = re.compile(r"(\D*)(\d*)")
_LEAST_RUN = 3


def day(when: date | datetime | None) -> str:
    """Write a date so that no reader can swap day and month: *25 Nov 2026*."""
    return NOT_RECORDED if when is None else f"{when.day} {_MONTHS[when.month - 1]} {when.year}"


def days_before(as_of: date, when: date | datetime | None) -> str:
    """Say how long before the plan's date something was: *5 days before*."""
    if when is None:
        return NOT_RECORDED
    days = (as_of - (when.date() if isinstance(when, datetime) else when)).days
    if days == 0:
        return "the same day"
    return f"{counted(days, 'day')} before" if days > 0 else f"{counted(-days, 'day')} after the plan’s date"


def day_and_age(as_of: date, when: date | datetime | None) -> str:
    """Give a date with its age."""
    return NOT_RECORDED if when is None else f"{day(when)}, {days_before(as_of, when)}"


def percent(share: float, coverage: Coverage) -> str:
    """Write a share of all drums: *15.1 %*; of no drums there is no share."""
    return f"{100 * share:.1f} %" if coverage.total else "–"


def span(bounds: Span, unit: Callable[[float], str], *, low: str, high: str) -> str:
    """Write a range whose ends are named; equal ends are written once."""
    first, last = unit(bounds.low), unit(bounds.high) if bounds.high < inf else "any"
    return f"{first} ({low} and {high})" if first == last else f"{first} ({low}) to {last} ({high})"


def distance(apart: Distance) -> str:
    """Write a distance with its tolerance in both unit systems."""
    feet, tolerance_ft = converted(apart.metres, "meter", "foot"), converted(apart.tolerance_m, "meter", "foot")
    return f"{distance_text(apart)} ({feet:.1f} ± {tolerance_ft:.1f} ft)"


def basis(cite: Cite) -> Basis:
    """Word where a statement comes from."""
    return Basis(rule=cite.rule, source=cite.source, verify=cite.verify)


def drum_names(names: Sequence[str]) -> str:
    """List drums, runs of consecutive numbers shortened: *K1-1 to K1-54, K6-2*."""
    runs: list[list[str]] = []
    for name in sorted(dict.fromkeys(names), key=_by_number):
        if runs and _follows(runs[-1][-1], name):
            runs[-1].append(name)
        else:
            runs.append([name])
    parts = [f"{run[0]} to {run[-1]}" if len(run) >= _LEAST_RUN else ", ".join(run) for run in runs]
    return ", ".join(parts)


def _by_number(name: str) -> tuple[tuple[str, int], ...]:
    """Order by letters, then by numbers as numbers: *Q6-1* before *Q101-1*."""
    return tuple((letters, int(digits or -1)) for letters, digits in _LETTERS_AND_DIGITS.findall(name))


def _follows(before: str, name: str) -> bool:
    a, b = _NUMBERED.match(before), _NUMBERED.match(name)
    return bool(a and b and a[1] == b[1] and int(b[2]) == int(a[2]) + 1)


def bare(text: str) -> str:
    """Take the stop off the end of an entry that goes on inside a sentence."""
    return text.strip().rstrip(".")


def capital(text: str) -> str:
    """Start with a capital and leave the rest as it is."""
    return text[:1].upper() + text[1:]


def sentence(text: str) -> str:
    """Start with a capital and end with a stop."""
    text = capital(text.strip())
    return text if not text or text.endswith((".", "!", "?")) else f"{text}."
