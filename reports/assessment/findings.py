"""Verdicts, kinds, figures with their doubt, and findings."""

from dataclasses import dataclass
from enum import IntEnum, StrEnum

from reports.response.advice import (
    Cite,
)


class Verdict(StrEnum):
    """Whether liquid gets somewhere, over the range of published film depths and unproven barriers."""

    REACHES = "reaches"
    MAY_REACH = "may reach"
    NOT_REACHED = "not reached"


class Kind(IntEnum):
    """The order of findings; lower is worse, and there are no weights."""

    CONDITION_NOW = 1
    LETHAL_GAS_MEETING = 2
    TRIGGER_PRESENT = 3
    LOOSE_WITH_ROUTE = 4
    OTHER_PAIR = 5
    CONTAINMENT_FAILS = 6
    REST = 7


@dataclass(frozen=True, slots=True)
class Distance:
    """A length with the tolerance of the positions it was taken from [m]."""

    metres: float
    tolerance_m: float


@dataclass(frozen=True, slots=True)
class Span:
    """A range with named ends; `low` is the smaller number."""

    low: float
    high: float


@dataclass(frozen=True, slots=True)
class Finding:
    """One plain sentence with its reason, inputs and source."""

    cite: Cite
    kind: Kind
    sentence: str
    reason: str
    inputs: tuple[tuple[str, str], ...]
    floor: str
    zones: tuple[str, ...]
    pallets: tuple[str, ...]
    drums: tuple[str, ...]
    drains: tuple[str, ...]
    litres: float | None
    minutes: float | None
    metres: float | None
    stop: bool
