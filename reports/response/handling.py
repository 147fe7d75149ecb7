"""Mass of a full drum, and what a hand may lift: the revised NIOSH lifting equation."""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from math import inf

from reports.facts import DrumFact
from reports.response.rule_rows import filled, rule_rows
from survey.catalogue.containers import Wall
from survey.catalogue.product import Form, Mark
from survey.catalogue.products import catalogue

LOAD_CONSTANT_KG = 23.0
"""NIOSH 94-110: the most one person should lift under ideal conditions (51 lb)."""

MAX_NET_KG = 400.0
"""49 CFR 178.504 to 178.509 (recalled): the most that a drum of any material may hold."""

KG_PER_LB = 0.45359237

SMALL_CONTAINER = "small container"
"""The size of `drum_sizes.csv` that one person may think of lifting."""


@dataclass(frozen=True, slots=True)
class DrumSize:
    """Outside of a drum over hoops and chime, and its empty mass."""

    rule: str
    size: str
    outside_diameter_m: float
    outside_height_m: float
    tare_kg: float
    source: str
    mark: Mark


@dataclass(frozen=True, slots=True)
class GrossMass:
    """Mass of a drum with its contents [kg]; `certain` is False where a worst case stands in for an unknown."""

    kg: float
    net_kg: float
    tare_kg: float
    basis: str
    certain: bool
    mark: Mark


def gross_mass_kg(drum: DrumFact) -> float:
    """Return the mass of a drum with its contents [kg], the cautious (heavier) one where anything is unknown."""
    return gross_mass(drum).kg


def gross_mass(drum: DrumFact) -> GrossMass:
    """Return the mass of a drum with its contents and what it rests on.

    Notes
    -----
    A recorded net mass is taken as it is; of a solid without one, the full drum up to its permitted net mass. Otherwise
    density times content, where unknown content counts as full and a product without a density counts as the heaviest
    liquid in the catalogue that is sold by the full drum. A drum larger than any on record is taken to weigh empty at
    least what the largest does, and its mass is not certain.
    """
    known_size = drum_size(drum)
    size = known_size or _sizes()[_size_wall(drum)][-1][1]
    density = drum.product.density_kg_m3
    if drum.net_mass_kg is not None:
        net, basis, certain, mark = drum.net_mass_kg, "net mass as recorded", True, Mark.READ
    elif drum.product.form is Form.SOLID:
        net, basis, certain, mark = (
            _solid_net_kg(drum),
            "solid, net mass not recorded: full drum taken",
            False,
            Mark.DERIVED,
        )
    elif density is not None:
        net = drum.fill_l / 1000 * density.value
        basis, certain, mark = f"density {density.value:.0f} kg/m3 ({density.source})", drum.fill_known, density.mark
    else:
        worst, worst_kg_m3 = _heaviest_drummed_liquid()
        net = drum.fill_l / 1000 * worst_kg_m3
        basis, certain, mark = f"no density on record: taken as {worst}, {worst_kg_m3:.0f} kg/m3", False, Mark.DERIVED
    if known_size is None:
        basis, certain = f"{basis}; what it weighs empty is not on record", False
    return GrossMass(net + size.tare_kg, net, size.tare_kg, basis, certain, mark)


def _solid_net_kg(drum: DrumFact) -> float:
    """Solid density times capacity, at most what the packaging may hold [kg]: a powder fills loosely, never denser."""
    density = drum.product.density_kg_m3
    limit = drum.container.max_net_kg.value if drum.container.max_net_kg else MAX_NET_KG
    if drum.empty_uncleaned:
        return 0.0
    return limit if density is None else min(limit, drum.capacity_l / 1000 * density.value)


def drum_size(drum: DrumFact) -> DrumSize | None:
    """Return the outside and the tare of a drum by its wall and capacity; the nearest larger size between sizes.

    None where it is larger than every drum on record: nothing may be said to take it.
    """
    for upper_l, size in _sizes()[_size_wall(drum)]:
        if drum.capacity_l <= upper_l:
            return size
    return None


def _size_wall(drum: DrumFact) -> str:
    return "plastic" if drum.container.wall is Wall.PLASTIC else "metal"


def lift_words(kg: float) -> str:
    """Say how a mass may be moved; a hand lift is never offered above the load constant."""
    pounds = kg / KG_PER_LB
    if kg <= LOAD_CONSTANT_KG:
        return f"{kg:.0f} kg ({pounds:.0f} lb): check the lift by the NIOSH equation before one person carries it"
    return (
        f"{kg:.0f} kg ({pounds:.0f} lb): no hand lift (NIOSH limit {LOAD_CONSTANT_KG:.0f} kg, 51 lb); "
        "drum truck, drum lifter or hoist with two people or more"
    )


@dataclass(frozen=True, slots=True)
class LiftCheck:
    """Whether one person may lift a container into a salvage drum: what the equation allows, and load over limit."""

    kg: float
    limit_kg: float
    index: float

    @property
    def allowed(self) -> bool:
        """Whether the load is within what the equation allows."""
        return self.kg <= self.limit_kg

    @property
    def handling(self) -> str:
        """Mass and check as a sentence."""
        mass = f"{self.kg:.0f} kg ({self.kg / KG_PER_LB:.0f} lb)"
        says = f"NIOSH limit for lifting it over the lip {self.limit_kg:.1f} kg, lifting index {self.index:.1f}"
        if self.allowed:
            return f"{mass}: one person may lift it in, on an even floor ({says})"
        return f"{mass}: not by hand ({says}); by a lifter, or by the slide"


def lift_over_lip(kg: float, size: DrumSize, lip_m: float) -> LiftCheck:
    """Check a lift of a small container by its top handle from the floor over the lip of a salvage drum.

    Parameters
    ----------
    kg : float
        Mass of the container with its contents [kg].
    size : DrumSize
        Its outside.
    lip_m : float
        Height of the lip above the floor [m].

    Returns
    -------
    LiftCheck

    Notes
    -----
    Once, straight ahead, on an even floor. The hands are taken at the height of the container's top and half its width
    plus 20 cm in front of the ankles (25 cm where they start below 25 cm); the grip counts as poor, because gloves are
    worn. A container of liquid is an unstable load, and suits, heat and slippery floors are outside the equation: a
    lift within the limit is allowed by it, never recommended.

    References
    ----------
    NIOSH publication 94-110 (rev. 2021), sections 1.2 (limits), 1.3.1.1 (estimate of H) and table 6 note 5 (gloves).
    """
    grip_cm = 100 * size.outside_height_m
    reach_cm = (20 if grip_cm >= 25 else 25) + 50 * size.outside_diameter_m
    limit_kg = recommended_weight_limit_kg(
        horizontal_cm=reach_cm,
        vertical_cm=grip_cm,
        travel_cm=100 * lip_m,
        asymmetry_deg=0,
        lifts_per_min=0.2,
        hours=1,
        coupling="poor",
    )
    return LiftCheck(kg, limit_kg, kg / limit_kg if limit_kg > 0 else inf)


def recommended_weight_limit_kg(
    *,
    horizontal_cm: float,
    vertical_cm: float,
    travel_cm: float,
    asymmetry_deg: float,
    lifts_per_min: float,
    hours: float,
    coupling: str,
) -> float:
    """Return the recommended weight limit of a two-handed lift [kg].

    Parameters
    ----------
    horizontal_cm : float
        Distance of the hands from the ankles [cm]; under 25 counts as 25, over 63 the limit is 0.
    vertical_cm : float
        Height of the hands above the floor at the start [cm]; 0 to 175.
    travel_cm : float
        Vertical travel [cm]; under 25 counts as 25, over 175 the limit is 0.
    asymmetry_deg : float
        Turn of the body [degree]; over 135 the limit is 0.
    lifts_per_min : float
        Lifts per minute; the next higher tabulated frequency is taken.
    hours : float
        Duration of the work [h], up to 8.
    coupling : str
        Grip: good, fair or poor.

    Returns
    -------
    float
        Recommended weight limit [kg].

    Raises
    ------
    ValueError
        If the grip is not one of the three, or hours exceed 8.

    Notes
    -----
    RWL = LC HM VM DM AM FM CM. For two-handed lifts only: it does not cover tipping, rolling, pushing or team lifts and
    must not be used to justify upending a drum.

    References
    ----------
    NIOSH publication 94-110 (rev. 2021), Applications manual for the revised NIOSH lifting equation, sections 1.1 to
    1.3, table 5 (read), table 7 (recalled). Between tabulated frequencies the manual interpolates; the next higher one
    is never the lighter.
    """
    if hours > 8:
        raise ValueError(f"hours must be at most 8, found {hours}")
    if horizontal_cm > 63 or not 0 <= vertical_cm <= 175 or travel_cm > 175 or asymmetry_deg > 135:
        return 0.0
    low = vertical_cm < 75
    return (
        LOAD_CONSTANT_KG
        * (25 / max(horizontal_cm, 25))
        * (1 - 0.003 * abs(vertical_cm - 75))
        * (0.82 + 4.5 / max(travel_cm, 25))
        * (1 - 0.0032 * asymmetry_deg)
        * _frequency_multiplier(lifts_per_min, hours, low=low)
        * _coupling_multiplier(coupling, low=low)
    )


def _frequency_multiplier(lifts_per_min: float, hours: float, *, low: bool) -> float:
    span = "up_to_1_h" if hours <= 1 else "up_to_2_h" if hours <= 2 else "up_to_8_h"
    column = f"{span}_{'below' if low else 'from'}_75_cm"
    for row in _rows("lift_frequency.csv"):
        if lifts_per_min <= float(row["lifts_per_min"]):
            return float(row[column])
    return 0.0


def _coupling_multiplier(coupling: str, *, low: bool) -> float:
    for row in _rows("lift_coupling.csv"):
        if row["coupling"] == coupling:
            return float(row["below_75_cm" if low else "from_75_cm"])
    raise ValueError(f"coupling must be good, fair or poor, found {coupling!r}")


@cache
def _rows(name: str) -> tuple[Mapping[str, str], ...]:
    return tuple(rule_rows(name))


@cache
def _sizes() -> Mapping[str, tuple[tuple[float, DrumSize], ...]]:
    found: dict[str, list[tuple[float, DrumSize]]] = {}
    for row in filled(rule_rows("drum_sizes.csv")):
        size = DrumSize(
            row["rule"],
            row["size"],
            float(row["outside_diameter_m"]),
            float(row["outside_height_m"]),
            float(row["tare_kg"]),
            row["source"],
            Mark(row["mark"]),
        )
        found.setdefault(row["wall"], []).append((float(row["capacity_to_l"]), size))
    return {wall: tuple(sorted(sizes, key=lambda entry: entry[0])) for wall, sizes in found.items()}


@cache
def _heaviest_drummed_liquid() -> tuple[str, float]:
    """Concentrated sulphuric acid: a denser liquid (bromine, mercury) is not sold by the full 55 gal drum."""
    acid = catalogue().by_key["sulphuric-acid-93-98"]
    if acid.density_kg_m3 is None:
        raise LookupError("sulphuric-acid-93-98 has no density in product_values.csv")
    return acid.name, acid.density_kg_m3.value
