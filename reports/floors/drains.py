"""Who gets to which drain, over the floor and through sumps, and what that drain then does."""

from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence

from geometry.drain_proximity import gaps_m
from reports.assessment import DrainAssessment, DrainReach, Span, Verdict
from reports.facts import DrainFact, DrumFact, FloorFact
from reports.floors.hydraulics import Hydraulics, stronger, weaker
from reports.floors.lots import Lot
from reports.floors.spills import Arrival, FloorSpills
from reports.floors.view import LotArrival
from reports.tolerance import between
from reports.wording import named, phrase
from survey.catalogue.product import Product, Trait
from survey.vocabulary import DrainDestination, Sighting, ValvePosition

_SAID_TO_HOLD = {DrainDestination.INTERCEPTOR, DrainDestination.HOLDING_TANK}
NAMED = 4
"""Products named in one remark before the rest are only counted."""
_SEVERITY = (
    DrainDestination.STORM,
    DrainDestination.GROUND,
    DrainDestination.UNKNOWN,
    DrainDestination.COMBINED,
    DrainDestination.SANITARY,
    DrainDestination.INTERCEPTOR,
    DrainDestination.HOLDING_TANK,
)
"""Worst first: straight to water or ground, then through a treatment works, then to something that may hold it."""


def arrivals_on(
    floor: FloorFact, lots: Sequence[Lot], spills: FloorSpills, hydraulics: Hydraulics
) -> tuple[LotArrival, ...]:
    """Say what each lot's liquid gets to: every drain over the floor, and what the sumps of its bund join.

    A sump is the low point its bund was built to have, so liquid let go inside the bund counts as reaching it.
    """
    spills.prepare({lot.pallet.id: lot.pallet for lot in lots}.values())
    drains = [(f"drain {drain.name}", drain.shape, drain.tolerance_m) for drain in floor.drains if drain.shape]
    targets = [(shape, tolerance_m) for _, shape, tolerance_m in drains] + [(sump.at, 0.0) for sump in floor.sumps]
    running = [(lot, lot.liquid) for lot in lots if lot.liquid]
    every = iter(spills.arrivals([drum for _, liquid in running for drum in liquid], targets))
    found = []
    for lot, liquid in running:
        each = [(drum, next(every)) for drum in liquid]
        for number, (target, _, _) in enumerate(drains):
            arrivals = tuple((drum, those[number]) for drum, those in each)
            found.append(LotArrival(lot, target, stronger(*(arrival.verdict for _, arrival in arrivals)), arrivals))
        in_sumps = [
            tuple((drum, those[len(drains) + number]) for drum, those in each) for number in range(len(floor.sumps))
        ]
        found.extend(_through_sumps(floor, lot, in_sumps, hydraulics))
    return tuple(found)


def _through_sumps(
    floor: FloorFact, lot: Lot, in_sumps: Sequence[tuple[tuple[DrumFact, Arrival], ...]], hydraulics: Hydraulics
) -> Iterable[LotArrival]:
    for sump, each in zip(floor.sumps, in_sumps, strict=True):
        inside = any(bund.outline.covers(sump.at) and bund.outline.covers(lot.pallet.at) for bund in floor.bunds)
        verdict = Verdict.REACHES if inside else stronger(*(arrival.verdict for _, arrival in each))
        if verdict is Verdict.NOT_REACHED:
            continue
        yield LotArrival(lot, f"sump {sump.name}", verdict, each)
        for goal, way in hydraulics.from_sump(sump).items():
            yield LotArrival(lot, goal, weaker(verdict, way), ())


def treated_as(drain: DrainFact) -> DrainDestination:
    """Give the destination to act on: the worst one anybody claims, until one is proven.

    An interceptor or a holding tank that nobody has proven holds nothing: what it is said to lead on to counts, and
    where nobody says that, the destination is unknown.
    """
    if drain.proven:
        return drain.joins
    claims = {drain.joins, *(claim.joins for claim in drain.other_claims)}
    if claims & _SAID_TO_HOLD:
        claims.add(drain.then or DrainDestination.UNKNOWN)
    return min(claims, key=_SEVERITY.index)


def goal_text(drain: DrainFact) -> str:
    """Say where a drain goes, for a sentence: destination, proof and outfall."""
    goal = treated_as(drain)
    known = (
        "destination unknown" if goal is DrainDestination.UNKNOWN else f"{goal}{'' if drain.proven else ', unproven'}"
    )
    return f"{known}, {phrase(drain.outfall)}" if drain.outfall else known


def severity(destination: DrainDestination) -> int:
    """Give the place of a destination in the order of harm; 0 is the worst."""
    return _SEVERITY.index(destination)


def drains_on(floor: FloorFact, spills: FloorSpills, arrivals: Sequence[LotArrival]) -> tuple[DrainAssessment, ...]:
    """Assess every drain of a floor, the worst destination first."""
    zone_names = {zone.id: zone.name for zone in floor.zones}
    mixing = _mixing_with_water(floor)
    at: dict[str, list[LotArrival]] = defaultdict(list)
    for arrival in arrivals:
        at[arrival.target].append(arrival)
    found = []
    for drain in floor.drains:
        here = at[f"drain {drain.name}"]
        reaches = _reaches(drain, [arrival for arrival in here if arrival.arrivals])
        through = sorted(
            {
                zone_names[arrival.lot.pallet.zone_id]
                for arrival in here
                if not arrival.arrivals and arrival.lot.pallet.zone_id is not None
            }
        )
        found.append(_drain(drain, tuple(sorted(reaches, key=_nearest_first)), tuple(through), mixing))
    return tuple(sorted(found, key=lambda drain: (severity(DrainDestination(drain.treated_as)), drain.name)))


def _mixing_with_water(floor: FloorFact) -> list[str]:
    """Name the products on a floor that mix with water, the flammable ones first."""
    stored = {drum.product for pallet in floor.pallets for drum in pallet.drums}
    mixing = [product for product in stored if Trait.WATER_MISCIBLE in product.traits]
    mixing.sort(key=lambda product: (Trait.FLAMMABLE not in product.traits, product.name))
    return [product.name for product in mixing]


_ORDER = {verdict: number for number, verdict in enumerate(Verdict)}


def _nearest_first(reach: DrainReach) -> tuple[int, float, str]:
    return (_ORDER[reach.verdict], reach.gap.metres, reach.pallet)


def _reaches(drain: DrainFact, arrivals: Sequence[LotArrival]) -> Iterator[DrainReach]:
    """Say of each lot what one drum of it does to a drain; a way that is not mapped is taken straight."""
    shape = drain.shape
    if shape is None:
        if arrivals:
            raise AssertionError(f"drain {drain.name} was not found, and yet something arrived there")
        return
    gaps = gaps_m([arrival.lot.pallet.footprint for arrival in arrivals], shape).tolist()
    for arrival, gap in zip(arrivals, gaps, strict=True):
        lot = arrival.lot
        each = [arrived for _, arrived in arrival.arrivals]
        metres = [drum.at.distance(shape) if one.way_m is None else one.way_m for drum, one in arrival.arrivals]
        depths = [one.critical_mm for one in each if one.critical_mm is not None]
        yield DrainReach(
            pallet=lot.pallet.name,
            products=(lot.product.name,),
            drain=drain.name,
            verdict=arrival.verdict,
            gap=between(gap, lot.pallet.tolerance_m, drain.tolerance_m),
            drum_distance_m=Span(min(metres), max(metres)),
            critical_depth_mm=Span(min(depths), max(depths)) if depths else None,
            litres=Span(max(one.litres_thick for one in each), max(one.litres_thin for one in each)),
            water_miscible=_mixes(lot.product),
        )


def _mixes(product: Product) -> bool | None:
    """Whether it mixes with water; None where nobody knows."""
    if not product.identified or Trait.WATER_MISCIBLE in product.presumed:
        return None
    return Trait.WATER_MISCIBLE in product.traits


def _drain(
    drain: DrainFact, reaches: tuple[DrainReach, ...], through: tuple[str, ...], mixing: Sequence[str]
) -> DrainAssessment:
    acted_on = treated_as(drain)
    return DrainAssessment(
        id=drain.id,
        name=drain.name,
        kind=drain.kind,
        shape=drain.shape,
        found=drain.sighting if drain.shape is not None else "not found",
        joins=drain.joins,
        treated_as=acted_on,
        proof=drain.proof,
        proven=drain.proven,
        other_claims=drain.other_claims,
        outfall=drain.outfall,
        outdoors=drain.outdoors,
        valve=drain.valve,
        valve_where=drain.valve_where,
        valve_key_holder=drain.valve_key_holder,
        holds_miscible=drain.proven and drain.joins is DrainDestination.HOLDING_TANK,
        reaches=reaches,
        through_sumps=through,
        remarks=_remarks(drain, acted_on, mixing),
    )


def _remarks(drain: DrainFact, acted_on: DrainDestination, mixing: Sequence[str]) -> tuple[str, ...]:
    remarks = []
    if drain.shape is None:
        remarks.append("known from a drawing or report and not found: at least one outlet is unaccounted for")
    elif drain.sighting is not Sighting.SEEN:
        remarks.append("drawn here but not seen")
    if acted_on is DrainDestination.UNKNOWN:
        remarks.append("destination unknown: treat as leading off site untreated")
    elif not drain.proven:
        remarks.append(f"destination unproven: treat as {acted_on}")
    if acted_on in (DrainDestination.SANITARY, DrainDestination.COMBINED):
        remarks.append("warn the treatment works; vapour in the sewer endangers people along it")
    if DrainDestination.INTERCEPTOR in (drain.joins, acted_on):
        stored = f"; stored here: {named(mixing, NAMED)}" if mixing else ""
        onward = f" to {drain.then}" if drain.then else ""
        remarks.append(f"an interceptor holds only what floats: what mixes with water passes it{onward}{stored}")
    if drain.valve is ValvePosition.OPEN:
        where = f": {phrase(drain.valve_where)}" if drain.valve_where else ", place not recorded"
        holder = f"; key: {phrase(drain.valve_key_holder)}" if drain.valve_key_holder else ""
        remarks.append(f"valve normally open{where}{holder}")
    elif drain.valve in (ValvePosition.UNKNOWN, ValvePosition.SHUT):
        remarks.append(f"valve {drain.valve}, not proven: counts as open")
    return tuple(remarks)
