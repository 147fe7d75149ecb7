"""Reads the catalogue's CSV files: every row has a source and a mark, and a fault names its file and row."""

import csv
from collections.abc import Iterator, Mapping
from importlib.resources import files

from survey.catalogue.product import Cited, Mark

_CITATIONS = (
    ("source", "mark"),
    ("identity_source", "identity_mark"),
    ("limits_source", "limits_mark"),
    ("reaction_groups_source", "reaction_groups_mark"),
    ("resistance_class_source", "resistance_class_mark"),
)
"""Pairs of columns that say where a row, or a part of it, comes from."""

_MAY_BE_BLANK = frozenset({"reaction_groups_source", "resistance_class_source"})
"""Blank where the fact itself is not on record."""


class CatalogueFault(ValueError):
    """A catalogue file that cannot be used: file, row and field, what was expected and what was found."""


def rows(name: str, package: str = "survey.catalogue") -> Iterator[Mapping[str, str]]:
    """Yield the rows of one data file of a package, each checked for a source and a mark."""
    yield from checked(files(package).joinpath("data", name).read_text(encoding="utf-8"), name)


def checked(text: str, name: str) -> Iterator[Mapping[str, str]]:
    """Yield the rows of a data file's text.

    Raises
    ------
    CatalogueFault
        If a row has too few or too many fields, a blank source, or a mark that is none.
    """
    for number, row in enumerate(csv.DictReader(text.splitlines()), start=2):
        if None in row or None in row.values():
            raise CatalogueFault(
                f"{name} row {number}: expected {len([key for key in row if key])} fields, found others"
            )
        for source, mark in _CITATIONS:
            if mark in row and not row[source] and not (source in _MAY_BE_BLANK and not row[mark]):
                raise CatalogueFault(f"{name} row {number}: {source} is blank")
            if mark in row and row[source] and row[mark] not in set(Mark):
                raise CatalogueFault(
                    f"{name} row {number}: {mark} must be one of {', '.join(Mark)}, found {row[mark]!r}"
                )
        if not any(mark in row for _, mark in _CITATIONS):
            raise CatalogueFault(f"{name} row {number}: no column says where the row comes from")
        yield row


def listed(cell: str) -> tuple[str, ...]:
    """Split a cell that holds several values."""
    return tuple(part.strip() for part in cell.split(";") if part.strip())


def cited(row: Mapping[str, str]) -> Cited:
    """Read a value row: value, unit, temperature_c, source, mark."""
    return Cited(
        value=float(row["value"]),
        unit=row["unit"],
        source=row["source"],
        mark=Mark(row["mark"]),
        temperature_c=float(row["temperature_c"]) if row["temperature_c"] else None,
    )
