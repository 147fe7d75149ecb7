"""Where liquid goes and what it meets: drains, neighbour pairs, containment."""

from collections.abc import Iterator

from geometry.units import l_min_and_gpm, litres_and_gallons, metres_and_feet, mm_and_inches, square_metres_and_feet
from reports.assessment import (
    ContainmentAssessment,
    ContainmentRule,
    DrainAssessment,
    DrainReach,
    PairAssessment,
    Verdict,
)
from reports.maps import Grid
from reports.preplan.front import drain_goes_to, drain_proof
from reports.preplan.plan import ContainmentPart, DrainPart, Pairs, PairText, ReachText, RuleText
from reports.preplan.words import NOT_RECORDED, basis, capital, distance, sentence, span
from reports.wording import counted, listed

_NO_VALVE = "no valve"


def drain_part(drain: DrainAssessment, grid: Grid) -> DrainPart:
    """Word one drain."""
    far = list(dict.fromkeys(reach.pallet for reach in drain.reaches if reach.verdict is Verdict.NOT_REACHED))
    return DrainPart(
        name=drain.name,
        title=f"{drain.name}, {drain.kind} → {drain_goes_to(drain)}",
        proven=drain.proven,
        facts=tuple(_drain_facts(drain, grid)),
        remarks=tuple(sentence(remark) for remark in drain.remarks),
        reaches=tuple(_reach(reach) for reach in drain.reaches if reach.verdict is not Verdict.NOT_REACHED),
        not_reached=listed(far),
    )


def _drain_facts(drain: DrainAssessment, grid: Grid) -> Iterator[tuple[str, str]]:
    yield "Proof", drain_proof(drain)
    place = "not found" if drain.shape is None else f"square {grid.reference(drain.shape.centroid)}, {drain.found}"
    yield "Place", f"{place}{', outdoors' if drain.outdoors else ''}"
    details = [claim.detail for claim in drain.other_claims if claim.detail]
    if details:
        yield "Other statements", "; ".join(details)
    if drain.valve != _NO_VALVE:
        holder = f", key: {drain.valve_key_holder}" if drain.valve_key_holder else ""
        yield "Valve", f"{drain.valve}, {drain.valve_where or 'place ' + NOT_RECORDED}{holder}"
    if drain.through_sumps:
        yield "Through sumps", f"from storage zone {listed(drain.through_sumps)}"


def _reach(reach: DrainReach) -> ReachText:
    mixes = {True: "mixes with water", False: "does not mix", None: "not known"}[reach.water_miscible]
    depth = reach.critical_depth_mm
    return ReachText(
        pallet=reach.pallet,
        products=listed(reach.products),
        verdict=reach.verdict.value,
        gap=distance(reach.gap),
        drum_distance=span(reach.drum_distance_m, metres_and_feet, low="nearest", high="farthest"),
        critical_depth="cut off" if depth is None else span(depth, mm_and_inches, low="farthest", high="nearest"),
        litres=span(reach.litres, litres_and_gallons, low="thick film", high="thin film"),
        mixes=mixes,
    )


def pair_text(pair: PairAssessment) -> PairText:
    """Word two neighbours whose products react."""
    one = f"{pair.a} ({pair.product_a})"
    other = f"{pair.b} ({pair.product_b})"
    together = f"{one} and {other} together {pair.reaction}."
    if not pair.certain:
        together = f"{one} and {other}: it cannot be excluded that together they {pair.reaction}."
    return PairText(
        sentence=together,
        distance=capital(_apart(pair)),
        meeting=_meeting(pair),
        lethal=pair.lethal,
        basis=basis(pair.cite),
    )


def _apart(pair: PairAssessment) -> str:
    above = "; one stands above the other" if pair.above else ""
    if pair.separation is None:
        return f"distance not known{above}"
    if pair.a == pair.b:
        return f"on the same pallet{above}"
    along = "" if pair.along_floor_m is None else f"; along the floor {metres_and_feet(pair.along_floor_m)}"
    return f"{distance(pair.separation)} apart{along}{above}"


def _meeting(pair: PairAssessment) -> str:
    if pair.meets is Verdict.NOT_REACHED:
        return "liquids do not meet within the film range"
    verb = "liquids meet" if pair.meets is Verdict.REACHES else "liquids may meet"
    joined = any(place.startswith(("drain", "sump")) for place in pair.where)
    zero = ", 0 m apart by way of the drains" if joined and pair.hydraulic_m == 0 else ""
    return f"{verb}: {listed(pair.where)}{zero}"


def containment_part(held: ContainmentAssessment) -> ContainmentPart:
    """Word what one bund or floor holds."""
    overflow = ""
    if held.sprinkler_l_min is not None and held.overflow_min is not None:
        overflow = (
            f"Sprinkler water at {l_min_and_gpm(held.sprinkler_l_min)} reaches the lip in {held.overflow_min:.1f} min."
        )
    return ContainmentPart(
        name=capital(held.name),
        facts=_containment_facts(held),
        rules=tuple(_rule(rule) for rule in held.rules),
        overflow=overflow,
        assumption=sentence(held.assumption),
    )


def _containment_facts(held: ContainmentAssessment) -> Pairs:
    return (
        ("Storage zones", listed(held.zones) or "none"),
        ("Liquid stored", f"{litres_and_gallons(held.stored_l)} in {counted(held.drums, 'drum')}"),
        (
            "Up to the lip",
            f"{litres_and_gallons(held.geometric_l)}: "
            f"{square_metres_and_feet(held.area_m2)} × {mm_and_inches(held.lip_mm)}",
        ),
        ("Outlets", listed(held.open_outlets) or "none open"),
        ("Counts as", litres_and_gallons(held.capacity_l)),
    )


def _rule(rule: ContainmentRule) -> RuleText:
    return RuleText(rule.name, litres_and_gallons(rule.needed_l), "held" if rule.held else "not held", basis(rule.cite))
