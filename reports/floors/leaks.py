"""Drum facts → leaks: what a drum may lose and how fast, through reference holes and through those on record."""

from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache

from geometry.constants import DRUM_55_GALLON_M3
from geometry.drum import DrumShape, Posture
from geometry.leak import Leak, leak, sudden
from geometry.orifice import Hole, open_bung, round_hole, slot
from reports.facts import BreachFact, DrumFact
from survey.catalogue.product import Product
from survey.vocabulary import BreachKind, BreachPlace, Orientation

INSIDE_55_GALLON = DrumShape(diameter_m=0.5715, length_m=0.8509)
"""22.5 by 33.5 in, inside of a 55 gal tight-head steel drum. Source: a published drum table (physics list, section 6).
Drums of other capacities are taken as of the same proportions: judgement."""

REFERENCE_HOLE_M = 0.010
"""Width of the reference hole, low in the wall: judgement, the size of a nail or of a small forklift scrape."""

REFERENCE_SLOT_M = (0.100, 0.010)
"""Length and width of the reference slot, low in the wall: judgement, the mark of a forklift tine."""

LEAST_HOLE_M = 1e-4
"""Smallest hole that a recorded size is believed to mean: judgement, the width of a hair."""

BUNG_M = 0.0508
"""Clear width of the larger bung, 2 in. Source: the trade's name of it; common practice."""

THIN_VISCOSITY_M2_S = 4e-7
"""Taken for a liquid of unknown viscosity where early counts: as thin as acetone. Judgement."""

THICK_VISCOSITY_M2_S = 1e-4
"""Taken for it where late counts: as thick as a gear oil. Judgement; resins and syrups are thicker still."""

_A_TRACE_L = 1e-3
"""Less than a millilitre wets a drum and does not leak: judgement."""

_HEIGHTS = {
    BreachPlace.BOTTOM: 0.0,
    BreachPlace.LOW: 0.0,
    BreachPlace.MIDDLE: 1 / 3,
    BreachPlace.HIGH: 2 / 3,
    BreachPlace.TOP: 1.0,
    BreachPlace.UNKNOWN: 0.0,
}
"""Least height of each place, as a share of the drum's as it stands or lies: judgement, thirds with the lower end."""

_FITTINGS = {BreachKind.BUNG_WEEP, BreachKind.VALVE}
"""Leaks at a fitting, which may let go altogether."""


@dataclass(frozen=True, slots=True)
class NamedLeak:
    """One way a drum may run out: its name for people, the leak, and what was assumed.

    `recorded` is True for a breach on record, False for a reference leak.
    """

    name: str
    leak: Leak
    why: str
    recorded: bool


def drum_leaks(drum: DrumFact) -> tuple[NamedLeak, ...]:
    """Give the reference leaks of a drum and one leak for each breach on record.

    Parameters
    ----------
    drum : DrumFact

    Returns
    -------
    tuple of NamedLeak
        Slowest reference leak first, then the recorded ones; empty where the drum holds nothing that runs.

    Notes
    -----
    Air is taken to come in freely above the liquid: whether a bung or a vent is open is not on record, and a closed
    drum leaks more slowly. Several breaches are taken one at a time.
    """
    if drum.fill_l <= _A_TRACE_L:
        return ()
    return reference_leaks(drum.capacity_l, drum.fill_l) + tuple(_recorded(drum))


@lru_cache(maxsize=1024)
def reference_leaks(capacity_l: float, fill_l: float) -> tuple[NamedLeak, ...]:
    """Give the reference leaks of a drum: a hole and a slot low in the wall, and its bung open and lowest.

    Parameters
    ----------
    capacity_l : float
        Nominal capacity [L].
    fill_l : float
        Liquid in it, above 0 [L].

    Returns
    -------
    tuple of NamedLeak
        Slowest first; empty for a mere trace.
    """
    if fill_l <= _A_TRACE_L:
        return ()
    shape = _shape(capacity_l, fill_l)
    hole = _run_out(shape, fill_l, round_hole(REFERENCE_HOLE_M), "upright")
    cut = _run_out(shape, fill_l, slot(*REFERENCE_SLOT_M), "upright")
    bung = _run_out(shape, fill_l, open_bung(BUNG_M), "lying")
    return (
        NamedLeak("10 mm hole", hole, "reference: round hole low in the wall, drum upright", recorded=False),
        NamedLeak("100 × 10 mm slot", cut, "reference: slot low in the wall, drum upright", recorded=False),
        NamedLeak("open 2 in bung", bung, "reference: drum on its side, open bung lowest", recorded=False),
    )


def drum_shape(drum: DrumFact) -> DrumShape:
    """Give the inside of a drum: that of a 55 gal drum, scaled to its capacity.

    Parameters
    ----------
    drum : DrumFact

    Returns
    -------
    DrumShape
    """
    return _shape(drum.capacity_l, drum.fill_l)


def viscosity_m2_s(product: Product) -> float | None:
    """Give the kinematic viscosity of a product.

    Parameters
    ----------
    product : Product

    Returns
    -------
    float or None
        In m²/s, at the temperature of the record, mostly 20 °C; None where viscosity or density is not on record.
    """
    if product.viscosity_pa_s is None or product.density_kg_m3 is None:
        return None
    return product.viscosity_pa_s.value / product.density_kg_m3.value


def _shape(capacity_l: float, fill_l: float) -> DrumShape:
    scale = (max(capacity_l, fill_l) / 1000 / DRUM_55_GALLON_M3) ** (1 / 3)
    return DrumShape(INSIDE_55_GALLON.diameter_m * scale, INSIDE_55_GALLON.length_m * scale)


def _run_out(shape: DrumShape, fill_l: float, hole: Hole, posture: Posture) -> Leak:
    """Let a drum run out; through a hole as large as its head everything comes at once."""
    if hole.area_m2 >= shape.head_m2:
        return sudden(fill_l / 1000)
    return leak(shape, fill_l / 1000, hole, posture=posture, vented=True)


def _recorded(drum: DrumFact) -> Iterator[NamedLeak]:
    for breach in drum.breaches:
        yield _breach(drum, breach)
    if not drum.breaches and drum.leaking:
        unknown = BreachFact(BreachKind.UNKNOWN, BreachPlace.UNKNOWN, None, None)
        yield _breach(drum, unknown)


def _breach(drum: DrumFact, breach: BreachFact) -> NamedLeak:
    shape = drum_shape(drum)
    posture: Posture = "lying" if drum.orientation is Orientation.LYING else "upright"
    stands = drum.orientation is not Orientation.UNKNOWN
    height_m = _HEIGHTS[breach.place] * shape.height_m(posture) if stands else 0.0
    hole, size = _hole(breach, height_m)
    said = [size]
    if breach.place is BreachPlace.UNKNOWN:
        said.append("height not recorded: taken at the lowest point")
    if drum.orientation is Orientation.UNKNOWN:
        said.append("how the drum stands is not recorded: taken with the hole lowest")
    if hole.area_m2 >= shape.head_m2:
        said.append("as large as the drum's head: everything at once")
    run_out = _run_out(shape, drum.fill_l, hole, posture)
    kind = "leak" if breach.kind is BreachKind.UNKNOWN else breach.kind.value
    return NamedLeak(f"{kind} of {drum.name}", run_out, "; ".join(said), recorded=True)


def _hole(breach: BreachFact, height_m: float) -> tuple[Hole, str]:
    """Give the hole of a breach and what was taken for it; of a lone length or width the larger hole it can mean."""
    size_m, length_m = _at_least(breach.size_mm), _at_least(breach.length_mm)
    if size_m is not None and length_m is not None:
        return slot(length_m, size_m, height_m), f"{length_m * 1000:g} × {size_m * 1000:g} mm"
    if size_m is not None:
        return round_hole(size_m, height_m), f"{size_m * 1000:g} mm, taken as a round hole"
    if length_m is not None:
        width_m = min(REFERENCE_SLOT_M[1], length_m)
        return slot(length_m, width_m, height_m), (
            f"{length_m * 1000:g} mm long, width not recorded: taken as {width_m * 1000:g} mm"
        )
    if breach.kind is BreachKind.PINHOLE:
        return round_hole(REFERENCE_HOLE_M, height_m), "size not recorded: taken as a 10 mm hole"
    if breach.kind in _FITTINGS:
        return open_bung(BUNG_M, height_m), "size not recorded: taken as an open 2 in bung"
    return slot(*REFERENCE_SLOT_M, height_m), "size not recorded: taken as a 100 × 10 mm slot"


def _at_least(size_mm: float | None) -> float | None:
    """Give a recorded size [m]; one too small to be measured counts as the smallest that is."""
    return None if size_mm is None else max(size_mm / 1000, LEAST_HOLE_M)
