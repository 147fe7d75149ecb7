"""A product as sold in drums: concentration is part of what it is."""

from dataclasses import dataclass, replace
from enum import StrEnum
from typing import Literal


class Mark(StrEnum):
    """How a fact got here: read in its source, recalled from memory, or derived by us."""

    READ = "read"
    RECALLED = "recalled"
    DERIVED = "derived"


class Form(StrEnum):
    """Whether a product runs."""

    LIQUID = "liquid"
    SOLID = "solid"
    UNKNOWN = "unknown"


class Trait(StrEnum):
    """A property that a rule asks for."""

    FLAMMABLE = "flammable"
    COMBUSTIBLE = "combustible"
    OXIDISER = "oxidiser"
    OXIDISING_ACID = "oxidising acid"
    ACID = "acid"
    BASE = "base"
    HYPOCHLORITE = "hypochlorite"
    CYANIDE = "cyanide"
    SULPHIDE = "sulphide"
    SULPHITE = "sulphite"
    AZIDE = "azide"
    CHLORITE = "chlorite"
    NITRITE = "nitrite"
    PHOSPHIDE = "phosphide"
    AMMONIA_OR_AMINE = "ammonia or amine"
    HYDROFLUORIC = "hydrofluoric"
    NITRATE = "nitrate"
    ORGANIC = "organic"
    ORGANIC_PEROXIDE = "organic peroxide"
    PEROXIDE_FORMER = "peroxide former"
    POLYMERISES = "polymerises"
    ISOCYANATE = "isocyanate"
    WATER_REACTIVE = "water reactive"
    SELF_HEATING = "self-heating"
    GAS_MAKER = "may make gas in the drum"
    TOXIC = "toxic"
    TOXIC_BY_INHALATION = "toxic by inhalation"
    CORROSIVE = "corrosive"
    CORROSIVE_VAPOUR = "gives off corrosive vapour"
    ATTACKS_STEEL = "attacks steel"
    ATTACKS_ALUMINIUM = "attacks aluminium"
    WATER_MISCIBLE = "mixes with water"
    PARTLY_MISCIBLE = "partly mixes with water"
    FLOATS = "floats on water"
    SINKS = "sinks in water"


NOT_PRESUMED = frozenset({Trait.FLOATS, Trait.SINKS, Trait.PARTLY_MISCIBLE})
"""Traits that make nothing worse: where nobody answered whether a product has them, it has not."""


@dataclass(frozen=True, slots=True)
class Cited:
    """A value with its unit, temperature, source and mark."""

    value: float
    unit: str
    source: str
    mark: Mark
    temperature_c: float | None = None


@dataclass(frozen=True, slots=True)
class Rating:
    """Hazard rating by NFPA 704, each 0 to 4; `special` holds W (no water) and OX (oxidiser)."""

    health: int
    flammability: int
    instability: int
    special: tuple[str, ...]
    source: str
    mark: Mark


@dataclass(frozen=True, slots=True)
class StorageLimit:
    """How long a product keeps before it may hold peroxides, or polymerise; None is not known.

    `peroxide_list` is the letter of the public lists: A without being concentrated, B when concentrated, C by starting
    polymerisation. `needs_air` says that the inhibitor works only with oxygen: such a drum is never put under nitrogen.
    """

    danger: Literal["peroxides", "polymerisation"]
    peroxide_list: str | None
    inhibitor: str | None
    needs_air: bool | None
    months: float | None
    source: str
    mark: Mark


@dataclass(frozen=True, slots=True)
class Product:
    """One catalogue row, or a product entered by hand from its safety data sheet.

    None, an empty tuple and an absent trait mean unknown, never harmless. Each number is the cautious one of those on
    record, with its own source. The molar mass is that of the vapour given off; the NFPA 704 rating takes the highest
    of each part. A concentration may stand in ppm or in mg/m3: see its unit.
    """

    key: str
    name: str
    un_number: str | None
    cas_numbers: tuple[str, ...]
    hazard_class: str | None
    subsidiary: tuple[str, ...]
    packing_group: str | None
    form: Form
    density_kg_m3: Cited | None
    viscosity_pa_s: Cited | None
    flash_c: Cited | None
    vapour_pressure_pa: Cited | None
    traits: frozenset[Trait]
    reaction_groups: tuple[int, ...]
    resistance_class: str | None
    synonyms: tuple[str, ...]
    confusable_with: tuple[str, ...]
    identity_source: str
    identity_mark: Mark
    note: str = ""
    boiling_c: Cited | None = None
    lower_flammable_vol_pct: Cited | None = None
    upper_flammable_vol_pct: Cited | None = None
    molar_mass_kg_mol: Cited | None = None
    immediately_dangerous: Cited | None = None
    reportable_lb: Cited | None = None
    nfpa_704: Rating | None = None
    storage_limits: tuple[StorageLimit, ...] = ()
    presumed: frozenset[Trait] = frozenset()
    """Those of `traits` that nobody has answered yes or no: they count as present wherever that adds a line."""
    from_sheet: bool = False
    """Whether somebody entered it by hand from a safety data sheet: its provenance is shown, with *verify*."""

    @property
    def known_traits(self) -> frozenset[Trait]:
        """The traits that somebody says it has."""
        return self.traits - self.presumed

    @property
    def as_answered(self) -> "Product":
        """The same product with what was answered alone: only for telling what an open answer adds."""
        return replace(self, traits=self.known_traits, presumed=frozenset()) if self.presumed else self

    @property
    def identified(self) -> bool:
        """Whether this row names a product at all."""
        return self.key != UNIDENTIFIED_KEY


UNIDENTIFIED_KEY = "unidentified"

INHIBITOR_DATE_MEANS = (
    "The inhibitor date is the day up to which the supplier counts on the inhibitor, kept cool and, where it needs "
    "air, with air above the liquid. After it, after warming, after freezing or under nitrogen the monomer may start "
    "to polymerise by itself. A date still to come does not prove that the inhibitor is there. Common practice, no "
    "published source opened."
)
