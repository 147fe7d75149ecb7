"""Container codes: what the wall is made of, what the head is, and the published limits."""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from functools import cache

from survey.catalogue.product import Cited, Mark
from survey.catalogue.rows import rows


class Wall(StrEnum):
    """What the wall that holds the product is made of."""

    STEEL = "steel"
    STAINLESS = "stainless steel"
    ALUMINIUM = "aluminium"
    OTHER_METAL = "other metal"
    PLASTIC = "plastic"
    FIBRE = "fibre"
    PLYWOOD = "plywood"
    COMPOSITE = "plastic in an outer drum"
    UNKNOWN = "unknown"


class Head(StrEnum):
    """Whether the top comes off."""

    TIGHT = "tight head"
    OPEN = "open head"
    UNKNOWN = "unknown"


@dataclass(frozen=True, slots=True)
class Container:
    """One packaging code; an unknown code has an unknown wall and head."""

    code: str
    name: str
    wall: Wall
    head: Head
    max_capacity_l: Cited | None
    max_net_kg: Cited | None
    small: bool
    """Whether it is a jerrican or smaller, counted apart from drums."""
    known: bool


def container(code: str | None, *, stainless: bool = False) -> Container:
    """Return the container of a packaging code; an unknown code has an unknown wall and head.

    Reads the code out of a whole marking as it stands on the drum (`UN 1A1/X1.4/250`), and past the suffixes for
    salvage, special and different specification (`1A2T`). `stainless` says that a steel drum is of stainless steel.
    """
    if not code or not code.strip():
        return Container("", "container not recorded", Wall.UNKNOWN, Head.UNKNOWN, None, None, small=False, known=False)
    packaging = re.sub(r"^UN[\s:]*", "", code.strip().upper()).split("/")[0].split()[0:1]
    known = containers().get(packaging[0].rstrip("TVW")) if packaging else None
    if known is None:
        wall = Wall.UNKNOWN
        return Container(code.strip(), "code not known", wall, Head.UNKNOWN, None, None, small=False, known=False)
    if stainless and known.wall is Wall.STEEL:
        name = known.name.replace("steel", "stainless steel")
        return Container(
            known.code,
            name,
            Wall.STAINLESS,
            known.head,
            known.max_capacity_l,
            known.max_net_kg,
            known.small,
            known=True,
        )
    return known


@cache
def containers() -> dict[str, Container]:
    """Return every packaging code on record."""
    return {row["code"]: _container(row) for row in rows("containers.csv")}


def _container(row: Mapping[str, str]) -> Container:
    def limit(cell: str, unit: str) -> Cited:
        return Cited(float(row[cell]), unit, row["limits_source"], Mark(row["limits_mark"]))

    return Container(
        code=row["code"],
        name=row["name"],
        wall=Wall(row["wall"]),
        head=Head(row["head"]),
        max_capacity_l=limit("max_capacity_l", "L"),
        max_net_kg=limit("max_net_kg", "kg"),
        small=row["small"] == "yes",
        known=True,
    )
