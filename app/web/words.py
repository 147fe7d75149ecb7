"""How the pages say an age and a share, beyond the words of the paper."""

from datetime import date
from typing import Final

from app.web.contexts import Age, Share
from reports.assessment import Coverage, Verdict
from reports.preplan.words import day, percent
from reports.wording import counted

OLD_AFTER_DAYS: Final = 365
"""A yearly review is what fire codes commonly ask of a hazardous-materials plan (common practice, no one source)."""

MARKS: Final = {Verdict.REACHES: "full", Verdict.MAY_REACH: "hatched", Verdict.NOT_REACHED: "open"}


def plan_age(last_walk: date | None, as_of: date) -> Age:
    """Say when somebody last walked the site; a plan that nobody walked for is old."""
    if last_walk is None:
        return Age("Never walked", old=True)
    days = (as_of - last_walk).days
    if days < 0:
        return Age(f"Walked on {day(last_walk)}, which is still to come", old=True)
    ago = f"{counted(days, 'day')} ago" if days else "today"
    return Age(f"Walked {ago} ({day(last_walk)})", old=days > OLD_AFTER_DAYS)


def shares(coverage: Coverage) -> tuple[Share, ...]:
    """Say how much of the stock is known, in the paper's words."""
    parts = (
        ("Seen", coverage.seen, coverage.seen_share),
        ("Label read", coverage.label_read, coverage.label_read_share),
        ("Identified", coverage.identified, coverage.identified_share),
    )
    total = coverage.total
    return tuple(
        Share(label, percent(part, coverage), f"{count} of {total}" if total else "no drum recorded", 100 * part)
        for label, count, part in parts
    )


def unread(coverage: Coverage) -> str:
    """Say how many pallets stand outside of every share."""
    pallets = coverage.unread_pallets
    return f"{counted(pallets, 'pallet')} not read, in no share" if pallets else ""
