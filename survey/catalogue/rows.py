"""Reads the catalogue's CSV files: every row has a source and a mark, and a fault names its file and row."""

import csv
from collections.abc import Iterator, Mapping
from importlib.resources import files

from survey.catalogue.product import Cited, Mark


class CatalogueFault(ValueError):
    """A catalogue file that cannot be used: file, row and field, what was expected and what was found."""


def rows(name: str, package: str = "survey.catalogue") -> Iterator[Mapping[str, str]]:
    """Yield the rows of one data file of a package, each checked for a source and a mark."""
    text = files(package).joinpath("data", name).read_text(encoding="utf-8")
    for number, row in enumerate(csv.DictReader(text.splitlines()), start=2):
        if None in row or None in row.values():
            raise CatalogueFault(f"{name} row {number}: wrong number of fields")
        if not row.get("source", row.get("identity_source")):
            raise CatalogueFault(f"{name} row {number}: source is blank")
        if row.get("mark", row.get("identity_mark")) not in set(Mark):
            raise CatalogueFault(f"{name} row {number}: mark must be one of {', '.join(Mark)}")
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
