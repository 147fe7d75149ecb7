"""Reads the catalogue's CSV files: every row has a source and a mark, and a fault names its file and row."""

import csv
import re
from collections import defaultdict
from collections.abc import Callable, Iterator, Mapping
from importlib.resources import files
from typing import Literal, TypeVar

from survey.catalogue.product import Cited, Mark, Rating, StorageLimit

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


T = TypeVar("T")


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


def grouped(name: str, read: Callable[[Mapping[str, str]], T]) -> dict[str, tuple[T, ...]]:
    """Read every row of a file and gather them by the product they speak of."""
    found: dict[str, list[T]] = defaultdict(list)
    for row in rows(name):
        found[row["key"]].append(read(row))
    return {key: tuple(entries) for key, entries in found.items()}


def rated(row: Mapping[str, str]) -> Rating:
    """Read a row of NFPA 704 ratings.

    Raises
    ------
    CatalogueFault
        If a part is not 0 to 4, or a special sign is neither W nor OX.
    """
    parts, special = (row["health"], row["flammability"], row["instability"]), listed(row["special"])
    if any(re.fullmatch("[0-4]", part) is None for part in parts) or not {*special} <= {"W", "OX"}:
        raise CatalogueFault(f"nfpa_704.csv: {row['key']}: expected 0 to 4, and W or OX, found {(*parts, *special)}")
    health, flammability, instability = map(int, parts)
    return Rating(health, flammability, instability, special, row["source"], Mark(row["mark"]))


_DANGERS: Mapping[str, Literal["peroxides", "polymerisation"]] = {
    "peroxides": "peroxides",
    "polymerisation": "polymerisation",
}
_KNOWN = {"yes": True, "no": False, "": None}


def storage_limit(row: Mapping[str, str]) -> StorageLimit:
    """Read a row on how long a product keeps.

    Raises
    ------
    CatalogueFault
        If the danger, the list or whether it needs air is none of those known.
    """
    fits = row["danger"] in _DANGERS and row["list"] in ("", "A", "B", "C") and row["needs_air"] in _KNOWN
    if not fits:
        found = (row["danger"], row["list"], row["needs_air"])
        raise CatalogueFault(
            f"storage_limits.csv: {row['key']}: expected {' or '.join(_DANGERS)}, A, B, C or blank, and yes, no or "
            f"blank, found {found}"
        )
    return StorageLimit(
        danger=_DANGERS[row["danger"]],
        peroxide_list=row["list"] or None,
        inhibitor=row["inhibitor"] or None,
        needs_air=_KNOWN[row["needs_air"]],
        months=float(row["months"]) if row["months"] else None,
        source=row["source"],
        mark=Mark(row["mark"]),
    )
