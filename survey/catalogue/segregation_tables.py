"""The transport tables of segregation as published, with their notes: cells by pair of rows, each with its source."""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache

from survey.catalogue.product import Cited, Mark
from survey.catalogue.rows import CatalogueFault, cited, rows

_BESIDE_THE_CELLS = frozenset({"class", "name", "note", "source", "mark"})


@dataclass(frozen=True, slots=True)
class Cell:
    """What a table prints for two rows; an empty code is a blank cell."""

    code: str
    source: str
    mark: Mark


@dataclass(frozen=True, slots=True)
class Note:
    """What a table's text says beside its cells."""

    says: str
    source: str
    mark: Mark


@cache
def road_cells() -> Mapping[tuple[str, str], Cell]:
    """Return the table of 49 CFR 177.848(d), both ways round.

    Returns
    -------
    mapping of (str, str) to Cell
        The grid is recalled; cells that were read are marked so, with where they were read.

    Raises
    ------
    CatalogueFault
        If a cell that was read is not what the grid holds.
    """
    grid = _square("segregation_road.csv")
    for row in rows("segregation_road_read.csv"):
        for pair in ((row["class_a"], row["class_b"]), (row["class_b"], row["class_a"])):
            if grid[pair].code != row["cell"]:
                raise CatalogueFault(
                    f"segregation_road_read.csv: {pair}: read {row['cell']!r}, the grid has {grid[pair].code!r}"
                )
            grid[pair] = Cell(row["cell"], row["source"], Mark(row["mark"]))
    return grid


@cache
def sea_cells() -> Mapping[tuple[str, str], Cell]:
    """Return the table of the IMDG Code, 7.2.4, both ways round."""
    return _square("segregation_sea.csv")


@cache
def road_names() -> Mapping[str, str]:
    """Return the rows of the road table with their names."""
    return {row["class"]: row["name"] for row in rows("segregation_road.csv")}


@cache
def notes() -> Mapping[tuple[str, str], Note]:
    """Return the notes of both tables, by table and note."""
    return {
        (row["table"], row["note"]): Note(row["says"], row["source"], Mark(row["mark"]))
        for row in rows("segregation_notes.csv")
    }


@cache
def sea_distances() -> Mapping[str, Cited]:
    """Return how far apart on deck a code of the sea table asks for."""
    return {row["code"]: cited(row) for row in rows("segregation_sea_distances.csv")}


@cache
def inhalation_zones() -> Mapping[str, tuple[str, Mark]]:
    """Return the inhalation hazard zone of products of class 6.1, by key: `A`, `B` or `none`."""
    return {row["key"]: (row["zone"], Mark(row["mark"])) for row in rows("inhalation_zones.csv")}


def _square(name: str) -> dict[tuple[str, str], Cell]:
    found = {
        (row["class"], column): Cell(code, row["source"], Mark(row["mark"]))
        for row in rows(name)
        for column, code in row.items()
        if column not in _BESIDE_THE_CELLS
    }
    unequal = [pair for pair in found if found[pair].code != found[pair[1], pair[0]].code]
    if unequal:
        raise CatalogueFault(f"{name}: the table is not the same both ways round at {unequal[0]}")
    return found
