"""Reads the rule tables of this room: every row cites its source and says whether it was read, recalled or derived."""

from collections.abc import Iterable, Iterator, Mapping
from types import MappingProxyType

from reports.response.advice import Cite
from survey.catalogue.product import Mark
from survey.catalogue.rows import CatalogueFault, rows

PACKAGE = "reports.response"

NOTHING = "none"
"""What a cell says where there is nothing to say: a blank cell is one that nobody filled in."""

YES_OR_NO = MappingProxyType({"yes": True, "no": False})


def rule_rows(name: str) -> Iterator[Mapping[str, str]]:
    """Yield the rows of one rule table."""
    return rows(name, PACKAGE)


def filled(found: Iterable[Mapping[str, str]]) -> Iterator[Mapping[str, str]]:
    """Yield rows none of whose cells is blank: a cell that was never filled in must not read as *no bar*.

    Raises
    ------
    CatalogueFault
        If a cell is blank.
    """
    for row in found:
        blank = [name for name, cell in row.items() if not cell.strip()]
        if blank:
            raise CatalogueFault(
                f"rule {row['rule'] or 'without a name'}: {', '.join(blank)} is blank; write {NOTHING!r}"
            )
        yield row


def cite(row: Mapping[str, str]) -> Cite:
    """Make the citation of a rule row."""
    return Cite(rule=row["rule"], source=row["source"], mark=Mark(row["mark"]))


def choices(cell: str) -> tuple[str, ...]:
    """Split a cell of alternatives; `none` is no alternative at all."""
    return () if cell == NOTHING else tuple(part for part in cell.split("|") if part)
