"""Salvage drums as they are sold: what goes in, what it may weigh, and what fills the room round the drum."""

from dataclasses import dataclass, replace
from functools import cache, lru_cache
from math import pi

from geometry.units import mm_and_inches
from reports.response.absorbents import absorbing
from reports.response.advice import Cite
from reports.response.handling import DrumSize
from reports.response.rule_rows import cite, filled, rule_rows
from survey.catalogue.product import Form, Product

CLEARANCE_M = 0.0127
"""Half an inch all round, for dents and hoops: our own allowance."""

NO_PADDING = "what its supplier names: no absorbent on record suits everything it may be"

MAX_SALVAGE_L = 450.0
"""49 CFR 173.3(c): the largest salvage drum (119 gal)."""


@dataclass(frozen=True, slots=True)
class Fit:
    """What is clear between a drum and the salvage drum round it."""

    beside_m: float
    """All round, with the drum in the middle."""
    above_m: float
    free_l: float
    """Room that the drum leaves inside."""

    @property
    def words(self) -> str:
        """The fit as a clause."""
        return _clear(self.beside_m, self.above_m)


@dataclass(frozen=True, slots=True)
class SalvageDrum:
    """A trade size of salvage drum."""

    cite: Cite
    label: str
    size_l: float
    material: str
    inside_diameter_m: float
    inside_height_m: float
    tare_kg: float
    max_net_kg: float

    def takes(self, size: DrumSize, capacity_l: float = 0.0) -> bool:
        """Whether a drum goes in with room for dents all round, and what it holds would too if it all ran out."""
        return (
            size.outside_diameter_m + 2 * CLEARANCE_M <= self.inside_diameter_m
            and size.outside_height_m < self.inside_height_m
            and capacity_l <= self.size_l
        )

    def fit(self, size: DrumSize) -> Fit:
        """Say what is clear between a drum, over hoops and chime, and the inside."""
        outside_l = 1000 * pi / 4 * size.outside_diameter_m**2 * size.outside_height_m
        return Fit(
            (self.inside_diameter_m - size.outside_diameter_m) / 2,
            self.inside_height_m - size.outside_height_m,
            max(0.0, self.size_l - outside_l),
        )


@dataclass(frozen=True, slots=True)
class Padding:
    """What fills the room round a drum: a kind of absorbent that its product allows."""

    kind: str
    kg_per_l: float
    cite: Cite


def padding_for(product: Product) -> Padding:
    """Return loose inert mineral where the product allows it, else the lightest kind of absorbent that it allows.

    Where it allows none, what would fill the room is not known: it counts with the mass of the heaviest kind.
    """
    allowed = [each for each in _paddings() if each.kind in absorbing(product).kinds]
    if not allowed:
        return replace(max(_paddings(), key=lambda each: each.kg_per_l), kind=NO_PADDING)
    return min(allowed, key=lambda each: (each.kind != "inert mineral", each.kg_per_l, each.kind))


def free_liquid_l(product: Product, fill_l: float, fit: Fit) -> float:
    """Return the most liquid that can stand round a drum inside its salvage drum [L]; none of a solid."""
    return 0.0 if product.form is Form.SOLID else min(fill_l, fit.free_l)


@dataclass(frozen=True, slots=True)
class TransportRule:
    """One thing that the transport rules ask of a salvage drum."""

    cite: Cite
    text: str


@lru_cache(maxsize=256)
def _clear(beside_m: float, above_m: float) -> str:
    return f"{mm_and_inches(1000 * beside_m)} clear all round, {mm_and_inches(1000 * above_m)} above"


@cache
def transport_rules() -> tuple[TransportRule, ...]:
    """Return what the transport rules ask of salvage drums, words first."""
    return tuple(TransportRule(cite(row), row["text"]) for row in filled(rule_rows("salvage_transport.csv")))


@cache
def salvage_drums() -> tuple[SalvageDrum, ...]:
    """Return the trade sizes, smallest first."""
    found = (
        SalvageDrum(
            cite(row),
            row["label"],
            float(row["size_l"]),
            row["material"],
            float(row["inside_diameter_m"]),
            float(row["inside_height_m"]),
            float(row["tare_kg"]),
            float(row["max_net_kg"]),
        )
        for row in filled(rule_rows("salvage_drums.csv"))
    )
    return tuple(sorted(found, key=lambda salvage: salvage.size_l))


@cache
def _paddings() -> tuple[Padding, ...]:
    return tuple(
        Padding(row["kind"], float(row["kg_per_l"]), cite(row)) for row in filled(rule_rows("salvage_padding.csv"))
    )
