"""What a site's incidents would need of overpacks, kit and people, against what is there."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from math import isfinite
from uuid import UUID

import numpy as np
import shapely

from reports.assessment import Verdict
from reports.facts import DrumFact, FloorFact, PalletFact, SiteFacts
from reports.floors.drains import treated_as
from reports.floors.view import FloorView
from reports.response.advice import (
    DecontaminationLine,
    DutyLine,
    KitLine,
    MonitorLine,
    NotificationLine,
    OverpackNeed,
    OverpackRow,
)
from reports.response.contents import products_acted_on
from reports.response.decontamination import WayOut, decontamination_methods, decontamination_place
from reports.response.duties import duty_lines
from reports.response.kit import kit_lines
from reports.response.monitoring import monitor_lines
from reports.response.notifications import Outlet, notification_lines
from reports.response.overpack_stock import overpack_rows
from reports.response.overpack_ways import Place, gear_on_record
from reports.response.overpacks import overpack_need
from survey.catalogue.product import Trait
from survey.vocabulary import DrainDestination, StandKind

HEADING = "Needed, on site and on the apparatus, missing"
NOT_FIRST_CREWS = "For a later technician team only: not for first crews"


@dataclass(frozen=True, slots=True)
class Provisions:
    """Overpacks and kit of a site, the heading they are printed under, who is told and where people are cleaned."""

    overpacks: tuple[OverpackRow, ...]
    kit: tuple[KitLine, ...]
    kit_heading: str
    notifications: tuple[NotificationLine, ...]
    decontamination: tuple[DecontaminationLine, ...]
    monitors: tuple[MonitorLine, ...]


@dataclass(frozen=True, slots=True)
class ZoneProvisions:
    """Kit, instruments, tasks and cleaning of one storage zone."""

    kit: tuple[KitLine, ...]
    monitors: tuple[MonitorLine, ...]
    duties: tuple[DutyLine, ...]
    decontamination: tuple[DecontaminationLine, ...]


def provisions(
    facts: SiteFacts, views: Sequence[FloorView], needs: Mapping[UUID, OverpackNeed], *, stay_out: bool
) -> Provisions:
    """Count overpacks and kit for one accident at a time, and say who must be told.

    Parameters
    ----------
    facts : SiteFacts
    views : sequence of FloorView
    needs : mapping of UUID to OverpackNeed
        The overpack of every drum, by the drum's id.
    stay_out : bool
        Whether first crews stay out; the lists are then headed as a later team's.
    """
    pallets = [pallet for floor in facts.floors for pallet in floor.pallets]
    drums = [drum for pallet in pallets for drum in pallet.drums]
    rows = overpack_rows([need for pallet in pallets for need in _needs(pallet, needs)], facts.kit)
    return Provisions(
        overpacks=rows,
        kit=kit_lines(
            facts.kit,
            drains_to_cover=sum(len(_reached(view, view.floor.pallets)) for view in views),
            products=products_acted_on(drums),
            overpacks=rows,
            largest_l=_largest_l(drums),
        ),
        kit_heading=NOT_FIRST_CREWS if stay_out else HEADING,
        notifications=notification_lines(
            [outlet for view in views for outlet in _outlets(view)],
            [drum for drum in drums if not drum.empty_uncleaned],
            facts.contacts,
        ),
        decontamination=decontamination_place(
            [way for floor in facts.floors for way in _ways_out(floor)],
            falls_known=any(floor.levels for floor in facts.floors),
            arranged=facts.decontamination,
        ),
        monitors=monitor_lines(products_acted_on(drums)),
    )


def zone_provisions(
    view: FloorView, pallets: Sequence[PalletFact], needs: Mapping[UUID, OverpackNeed]
) -> ZoneProvisions:
    """Say what one storage zone asks of kit, instruments and crews.

    Parameters
    ----------
    view : FloorView
    pallets : sequence of PalletFact
        Those that stand in it.
    needs : mapping of UUID to OverpackNeed
        The overpack of every drum, by the drum's id.
    """
    drums = [drum for pallet in pallets for drum in pallet.drums]
    products = products_acted_on(drums)
    drains = _reached(view, pallets)
    return ZoneProvisions(
        kit=kit_lines(
            view.site.kit,
            drains_to_cover=len(drains),
            products=products,
            overpacks=overpack_rows([need for pallet in pallets for need in _needs(pallet, needs)], view.site.kit),
            largest_l=_largest_l(drums),
        ),
        monitors=monitor_lines(products),
        duties=duty_lines(
            products,
            drains=[f"drain {name}" for name in drains],
            stopped=any(view.stops[drum.id] for drum in drums),
            free=any(not view.stops[drum.id] for drum in drums if not drum.empty_uncleaned),
        ),
        decontamination=decontamination_methods(products),
    )


def overpacks_of(facts: SiteFacts) -> Mapping[UUID, OverpackNeed]:
    """Choose the salvage drum of every drum of a site, by the drum's id."""
    gear = gear_on_record(facts.kit)
    return {
        drum.id: overpack_need(drum, facts.as_of, place=place)
        for floor in facts.floors
        for drum, place in _places(floor, gear)
    }


def _places(floor: FloorFact, gear: frozenset[str]) -> Iterator[tuple[DrumFact, Place]]:
    """Say of every drum of a floor how much room there is round it, and whether it is part of a stack."""
    drums = [(pallet, drum) for pallet in floor.pallets for drum in pallet.drums]
    if not drums:
        return
    walls = shapely.union_all([floor.outline.exterior, *(wall.line for wall in floor.walls)])
    with np.errstate(invalid="ignore", over="ignore", under="ignore"):  # what has no distance has no room on record
        metres = shapely.distance([drum.at for _, drum in drums], walls).tolist()
    under = {pallet.stands_on_id for pallet in floor.pallets}
    for (pallet, drum), room_m in zip(drums, metres, strict=True):
        stacked = drum.tier > 1 or drum.base_height_m > 0 or pallet.id in under or pallet.kind is StandKind.BLOCK
        known = pallet.kind is not StandKind.BLOCK and not drum.hidden and isfinite(room_m)
        yield drum, Place(max(0.0, room_m - drum.tolerance_m) if known else None, stacked, gear)


def _needs(pallet: PalletFact, every: Mapping[UUID, OverpackNeed]) -> Iterator[OverpackNeed]:
    """Give what the drums of a pallet would go into: of each kind, for the reading that asks for most."""
    needs = {drum.id: every[drum.id] for drum in pallet.drums if not drum.empty_uncleaned}
    for kind in dict.fromkeys(_kind(need) for need in needs.values()):
        asked = pallet.worst_by(lambda drum, kind=kind: float(drum.id in needs and _kind(needs[drum.id]) == kind))  # type: ignore[misc]
        yield from (needs[drum.id] for drum in asked if drum.id in needs and _kind(needs[drum.id]) == kind)


def _kind(need: OverpackNeed) -> tuple[str, str, bool, bool]:
    return need.size_label, need.material, need.vented, need.possible


def _largest_l(drums: Sequence[DrumFact]) -> dict[str, float]:
    """What the fullest drum of each product holds [L]."""
    largest: dict[str, float] = {}
    for drum in drums:
        largest[drum.product.key] = max(largest.get(drum.product.key, 0.0), drum.fill_l)
    return largest


def _reached(view: FloorView, pallets: Sequence[PalletFact]) -> tuple[str, ...]:
    """Name the drains that liquid of these pallets reaches or may reach; one that was not found counts too."""
    arriving = {
        arrival.target
        for pallet in pallets
        for arrival in view.arrivals_of.get(pallet.id, ())
        if arrival.verdict is not Verdict.NOT_REACHED
    }
    return tuple(drain.name for drain in view.floor.drains if drain.shape is None or f"drain {drain.name}" in arriving)


def _outlets(view: FloorView) -> Iterator[Outlet]:
    reached = set(_reached(view, view.floor.pallets))
    for drain in view.floor.drains:
        if drain.name not in reached:
            continue
        arriving = view.arrivals_at.get(f"drain {drain.name}", ())
        mixing = {
            each.lot.product.name
            for each in arriving
            if each.verdict is not Verdict.NOT_REACHED and Trait.WATER_MISCIBLE in each.lot.product.traits
        }
        for goal in dict.fromkeys((treated_as(drain), *_on_the_way(drain.joins, drain.then))):
            yield Outlet(drain.name, goal, drain.proven, tuple(sorted(mixing)))


def _on_the_way(*claimed: DrainDestination | None) -> Iterator[DrainDestination]:
    """Give what stands on the way that its operator has to hear of too, whoever proved it."""
    yield from (goal for goal in claimed if goal is not None and goal is not DrainDestination.UNKNOWN)


def _ways_out(floor: FloorFact) -> Iterator[WayOut]:
    """Give the main entrances, each with the nearest drain drawn on the floor."""
    drawn = [drain for drain in floor.drains if drain.shape is not None]
    for door in floor.doors:
        if door.main_entrance:
            nearest = min(drawn, key=lambda drain: (door.line.distance(drain.shape), drain.name), default=None)
            metres = None if nearest is None else door.line.distance(nearest.shape)
            yield WayOut(f"At {door.name}", None if nearest is None else f"drain {nearest.name}", metres)
