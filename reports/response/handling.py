"""Mass and outside of a drum, and how a mass may be moved."""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache

from reports.facts import DrumFact
from reports.response.advice import Cite
from reports.response.lifting import KG_PER_LB, LOAD_CONSTANT_KG
from reports.response.rule_rows import filled, rule_rows
from survey.catalogue.containers import Wall
from survey.catalogue.product import Form, Mark
from survey.catalogue.products import catalogue

MAX_NET_KG = 400.0
"""49 CFR 178.504 to 178.509 (recalled): the most that a drum of any material may hold."""

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

    @property
    def cite(self) -> Cite:
        """Where its measures come from."""
        return Cite(self.rule, self.source, self.mark)


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
