"""A product as sold in drums: concentration is part of what it is."""

from dataclasses import dataclass
from enum import StrEnum


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
    FLOATS = "floats on water"


@dataclass(frozen=True, slots=True)
class Cited:
    """A value with its unit, temperature, source and mark."""

    value: float
    unit: str
    source: str
    mark: Mark
    temperature_c: float | None = None


@dataclass(frozen=True, slots=True)
class Product:
    """One catalogue row. None and an absent trait mean unknown, never harmless."""

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

    @property
    def identified(self) -> bool:
        """Whether this row names a product at all."""
        return self.key != UNIDENTIFIED_KEY


UNIDENTIFIED_KEY = "unidentified"
