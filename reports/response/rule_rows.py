"""Reads the rule tables of this room: every row cites its source and says whether it was read, recalled or derived."""

from collections.abc import Iterator, Mapping

from reports.response.advice import Cite
from survey.catalogue.product import Mark
from survey.catalogue.rows import rows

PACKAGE = "reports.response"


def rule_rows(name: str) -> Iterator[Mapping[str, str]]:
    """Yield the rows of one rule table."""
    return rows(name, PACKAGE)


def cite(row: Mapping[str, str]) -> Cite:
    """Make the citation of a rule row."""
    return Cite(rule=row["rule"], source=row["source"], mark=Mark(row["mark"]))


def choices(cell: str) -> tuple[str, ...]:
    """Split a cell of alternatives."""
    return tuple(part for part in cell.split("|") if part)
