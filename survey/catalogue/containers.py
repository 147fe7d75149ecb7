"""Container codes: what the wall is made of, what the head is, and the published limits."""

from dataclasses import dataclass
from enum import StrEnum

from survey.catalogue.product import Cited


class Wall(StrEnum):
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
