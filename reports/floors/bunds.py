"""What each bund, or the floor itself, would hold."""

from collections.abc import Iterator, Sequence
from math import isfinite

from geometry.constants import US_GALLON_M3
from geometry.containment import (
    drum_rules_l,
    full_after_s,
    lip_capacity_m3,
    overflow_min,
    sprinkler_l_min,
    twenty_minute_need_l,
)
from geometry.units import mm_and_inches, mm_min_and_gpm_ft2, square_metres_and_feet
from reports.assessment import ContainmentAssessment, ContainmentRule, Fill, Verdict
from reports.facts import BundFact, DrumFact, FloorFact, PalletFact, SprinklerFact
from reports.floors.hydraulics import Hydraulics
from reports.floors.leaks import reference_leaks
from reports.response.advice import Cite
from survey.catalogue.product import Mark
from survey.vocabulary import YesNoUnknown

CITES = {
    "largest drum": Cite("containment-largest", "40 CFR 264.175(b)(3): the larger of this and 10 %", Mark.READ),
    "10 % of all": Cite("containment-10", "40 CFR 264.175(b)(3)", Mark.READ),
    "25 % of all": Cite("containment-25", "common practice after CIRIA C736", Mark.RECALLED),
    "110 % of largest": Cite("containment-110", "MIL-HDBK-1022A p. 185; after CIRIA C736", Mark.READ),
}
WITH_SPRINKLERS = "largest drum and 20 min of sprinkler water"
ONE_HOSE_L_MIN = 125 * US_GALLON_M3 * 1000
"""Water of one hand line, 125 US gal/min or about 475 L/min: common practice (recalled, not read)."""
_WITH_SPRINKLERS_CITE = Cite("containment-20-min", "IFC 5004.2.2.3", Mark.READ)


def containment_on(floor: FloorFact, hydraulics: Hydraulics) -> tuple[ContainmentAssessment, ...]:
    """Assess every bund of a floor, or the whole floor where it has none.

    Parameters
    ----------
    floor : FloorFact
    hydraulics : Hydraulics

    Returns
    -------
    tuple of ContainmentAssessment
        Capacity is 0 L while any outlet is open or unproven.
    """
    bunds = [_bund(floor, bund, hydraulics) for bund in floor.bunds]
    outside = [pallet for pallet in floor.pallets if not any(bund.outline.covers(pallet.at) for bund in floor.bunds)]
    if _liquid(outside):
        bunds.append(_open_floor(floor, outside))
    return tuple(bunds)


def _liquid(pallets: Sequence[PalletFact]) -> list[DrumFact]:
    """Give the drums that hold liquid, of the readings that hold most."""
    return [drum for pallet in pallets for drum in pallet.worst_by(lambda drum: drum.fill_l) if drum.fill_l > 0]


def _bund(floor: FloorFact, bund: BundFact, hydraulics: Hydraulics) -> ContainmentAssessment:
    inside = [pallet for pallet in floor.pallets if bund.outline.covers(pallet.at)]
    drums = _liquid(inside)
    outlets = [
        f"{name} {_says(verdict)}" for name, verdict in hydraulics.outlets(bund) if verdict is not Verdict.NOT_REACHED
    ]
    if bund.tight is not YesNoUnknown.YES:
        outlets.append("kerb not recorded tight" if bund.tight is YesNoUnknown.UNKNOWN else "kerb recorded not tight")
    geometric_l = lip_capacity_m3(bund.outline.area, bund.lip_m) * 1000
    capacity_l = 0.0 if outlets else geometric_l
    sprinkler = _sprinkler(floor, bund)
    flow_l_min = None if sprinkler is None else sprinkler[0]
    return ContainmentAssessment(
        name=f"bund {bund.name}",
        zones=tuple(sorted({zone.name for zone in floor.zones for pallet in inside if pallet.zone_id == zone.id})),
        drums=len(drums),
        stored_l=sum(drum.fill_l for drum in drums),
        lip_mm=bund.lip_m * 1000,
        area_m2=bund.outline.area,
        geometric_l=geometric_l,
        capacity_l=capacity_l,
        open_outlets=tuple(outlets),
        rules=tuple(_rules(drums, capacity_l, flow_l_min, sprinkled=sprinkler is not None)),
        sprinkler_l_min=flow_l_min,
        overflow_min=None if flow_l_min is None else full_in_min(geometric_l, flow_l_min),
        assumption="no sprinkler recorded over it" if sprinkler is None else sprinkler[1],
        fills=tuple(fills_of(geometric_l, drums)) if geometric_l > 0 else (),
    )


def full_in_min(free_l: float, inflow_l_min: float) -> float | None:
    """Give the minutes until what is free is full; None where that is never, or beyond all counting."""
    minutes = overflow_min(free_l, inflow_l_min)
    return minutes if isfinite(minutes) else None


def fills_of(free_l: float, drums: Sequence[DrumFact]) -> Iterator[Fill]:
    """Say how long one hose takes to fill what is free, and each reference leak of the fullest of these drums.

    Parameters
    ----------
    free_l : float
        Volume still free [L].
    drums : sequence of DrumFact
        Drums whose liquid gets there; may be empty.
    """
    yield Fill("water from one hose", ONE_HOSE_L_MIN, overflow_min(free_l, ONE_HOSE_L_MIN))
    fullest = max(drums, key=lambda drum: drum.fill_l, default=None)
    if fullest is None or fullest.fill_l <= 0:
        return
    for named in reference_leaks(fullest.capacity_l, fullest.fill_l):
        seconds = full_after_s(free_l / 1000, named.leak)
        flow_l_min = float(named.leak.flow_m3_s[0]) * 60_000
        yield Fill(f"the leak of one drum ({named.name})", flow_l_min, seconds / 60 if isfinite(seconds) else None)


def _says(verdict: Verdict) -> str:
    return "open" if verdict is Verdict.REACHES else "not proven shut"


def _open_floor(floor: FloorFact, pallets: Sequence[PalletFact]) -> ContainmentAssessment:
    liquid = _liquid(pallets)
    held = {pallet.zone_id for pallet in pallets if _liquid([pallet])}
    outlets = ["no kerb"]
    if floor.perimeter_tight is not YesNoUnknown.YES:
        outlets.append("outer wall not recorded tight at the floor")
    outlets += [
        f"{door.name} with a sill of {mm_and_inches((door.sill_m or 0) * 1000)}"
        for door in floor.doors
        if door.tight is not YesNoUnknown.YES
    ]
    return ContainmentAssessment(
        name=f"floor {floor.name}, outside any kerb" if floor.bunds else f"floor {floor.name}",
        zones=tuple(sorted(zone.name for zone in floor.zones if zone.id in held)),
        drums=len(liquid),
        stored_l=sum(drum.fill_l for drum in liquid),
        lip_mm=0.0,
        area_m2=floor.outline.area,
        geometric_l=0.0,
        capacity_l=0.0,
        open_outlets=tuple(outlets),
        rules=tuple(_rules(liquid, 0.0, None, sprinkled=False)),
        sprinkler_l_min=None,
        overflow_min=None,
        assumption="a floor without a kerb holds nothing",
    )


def _rules(
    drums: Sequence[DrumFact], capacity_l: float, flow_l_min: float | None, *, sprinkled: bool
) -> Iterator[ContainmentRule]:
    if not drums:
        return
    capacities_l = [drum.capacity_l for drum in drums]
    for name, needed_l in drum_rules_l(capacities_l).items():
        yield ContainmentRule(name, needed_l, capacity_l >= needed_l, CITES[name])
    if flow_l_min is not None:
        needed_l = twenty_minute_need_l(max(capacities_l), flow_l_min)
        yield ContainmentRule(WITH_SPRINKLERS, needed_l, capacity_l >= needed_l, _WITH_SPRINKLERS_CITE)
    elif sprinkled:
        yield ContainmentRule(WITH_SPRINKLERS, None, held=False, cite=_WITH_SPRINKLERS_CITE)


def _sprinkler(floor: FloorFact, bund: BundFact) -> tuple[float | None, str] | None:
    """Give the sprinkler water that falls into a bund [L/min], None where that is not recorded, and what is assumed."""
    flows = [found for each in floor.sprinklers if (found := _flow(each, bund)) is not None]
    unknown = [found for found in flows if found[0] is None]
    return unknown[0] if unknown else max(flows, key=lambda found: found[0] or 0.0, default=None)


def _flow(sprinkler: SprinklerFact, bund: BundFact) -> tuple[float | None, str] | None:
    wetted = bund.outline.area if sprinkler.covers is None else bund.outline.intersection(sprinkler.covers).area
    if wetted == 0:
        return None
    if sprinkler.density_mm_min is None:
        return None, "sprinklers over it, density not recorded: when they overflow it is unknown"
    area = wetted if sprinkler.design_area_m2 is None else min(wetted, sprinkler.design_area_m2)
    heads = (
        "all heads over the bund" if area == wetted else f"heads over the design area of {square_metres_and_feet(area)}"
    )
    flow_l_min = sprinkler_l_min(sprinkler.density_mm_min, area)
    return (
        flow_l_min,
        f"{heads} assumed open, {mm_min_and_gpm_ft2(sprinkler.density_mm_min)} on {square_metres_and_feet(area)}",
    )
