"""What surrounds each drum, and so which stop lines it carries."""

from collections.abc import Mapping, Sequence
from uuid import UUID

from reports.alarms import alarming
from reports.facts import FloorFact, PalletFact, SiteFacts
from reports.floors.lots import LotArrival
from reports.floors.nearby import Around, Nearby
from reports.floors.standing import Standing, standing
from reports.response.advice import StopLine
from reports.response.stop_rules import Surroundings, stop_lines
from reports.wording import MOST_NAMED, named
from survey.vocabulary import ConditionSign, YesNoUnknown


def stops_on(
    site: SiteFacts, floor: FloorFact, nearby: Nearby, arrivals: Sequence[LotArrival]
) -> Mapping[UUID, tuple[StopLine, ...]]:
    """Give the stop lines of every drum on a floor, by the drum's id.

    Parameters
    ----------
    site : SiteFacts
    floor : FloorFact
    nearby : Nearby
        What stands near what on this floor.
    arrivals : sequence of LotArrival
        What the liquid of each lot gets to.

    Returns
    -------
    mapping of UUID to tuple of StopLine
        Every drum of the floor is a key; an empty tuple means that no rule stops work on it.
    """
    found: dict[UUID, tuple[StopLine, ...]] = {}
    whole = standing(site, floor, arrivals)
    for pallet in floor.pallets:
        found |= stops_at(site, floor, pallet, nearby.around(pallet), whole)
    return found


def stops_at(
    site: SiteFacts,
    floor: FloorFact,
    pallet: PalletFact,
    around: Mapping[UUID, Around],
    whole: Standing,
) -> Mapping[UUID, tuple[StopLine, ...]]:
    """Give the stop lines of the drums of one pallet, by the drum's id.

    Parameters
    ----------
    site : SiteFacts
    floor : FloorFact
    pallet : PalletFact
    around : mapping of UUID to Around
        What stands near each of its drums.
    whole : Standing
        What is the same for every pallet of the floor.

    Returns
    -------
    mapping of UUID to tuple of StopLine
    """
    heat = sorted(
        ((heat.name, pallet.footprint.distance(heat.at)) for heat in floor.heat_sources), key=lambda each: each[1]
    )
    wetted = any(pallet.footprint.distance(water.shape) <= pallet.tolerance_m for water in floor.water_ingress)
    lines = {
        drum.id: stop_lines(
            drum,
            Surroundings(
                unidentified=around[drum.id].nearest,
                unidentified_more=around[drum.id].more,
                bulging_nearby=around[drum.id].alarming,
                stack_unstable=pallet.stable is YesNoUnknown.NO,
                stack_not_inspected=pallet.id in whole.not_inspected,
                heat_sources=tuple(heat),
                wetted=wetted,
                technicians_min=site.travel_technicians_min,
                as_of=site.as_of,
                backup_crew=site.backup_crew,
                way_out=site.way_out,
                decontamination=site.decontamination,
                vapour_suits=whole.suits,
                first_drain=whole.drains.get(pallet.id, ""),
            ),
        )
        for drum in pallet.drums
    }
    return _of_any_reading(pallet, lines)


def _of_any_reading(pallet: PalletFact, lines: Mapping[UUID, tuple[StopLine, ...]]) -> dict[UUID, tuple[StopLine, ...]]:
    """Give every drum of a disputed pallet the stop lines of all its alternative readings.

    Two people name drums differently, so nobody can say which drum of the one reading is which of the other.
    """
    alternatives = pallet.alternatives
    of_all: dict[StopLine, None] = {}
    for drum in pallet.drums:
        if drum.reading_id in alternatives:
            of_all.update(dict.fromkeys(lines[drum.id]))
    return {
        drum.id: tuple(sorted(of_all, key=line_order))
        if pallet.disputed and drum.reading_id in alternatives
        else lines[drum.id]
        for drum in pallet.drums
    }


def line_order(line: StopLine) -> tuple[int, str, str]:
    """Order stop lines: the weightiest first."""
    return line.weight, line.drum, line.cite.rule


def stay_out(floors: Sequence[FloorFact]) -> str:
    """Say why first crews do not enter at all; empty where nothing recorded asks for that.

    Parameters
    ----------
    floors : sequence of FloorFact

    Returns
    -------
    str
        A sentence.

    Notes
    -----
    Judgement, after 29 CFR 1910.120(j)(1): crystals at a closure, or an unstable stack, or an alarming sign in a
    store of which more drums are hidden than seen.
    """
    pallets = [pallet for floor in floors for pallet in floor.pallets]
    counted = [drum for pallet in pallets for drum in pallet.counted]
    alarms = {drum.name for pallet in pallets for drum in pallet.drums if alarming(drum)}
    crystals = any(ConditionSign.CRYSTALS_AT_CLOSURE in drum.signs for pallet in pallets for drum in pallet.drums)
    unstable = [pallet.name for pallet in pallets if pallet.stable is YesNoUnknown.NO and pallet.drums]
    hidden = sum(drum.hidden for drum in counted)
    unread = [pallet.name for pallet in pallets if any(drum.unread for drum in pallet.drums)]
    reasons = []
    signs = f"{len(alarms)} {'drum shows' if len(alarms) == 1 else 'drums show'} signs of pressure or reaction"
    if alarms and 2 * hidden > len(counted):
        reasons.append(f"{signs} while {hidden} of {len(counted)} are hidden")
    elif alarms and unread:
        reasons.append(f"{signs} while nobody has read {named(unread, 3)}")
    if crystals:
        reasons.append("crystals at a closure may be shock-sensitive")
    if unstable and alarms:
        reasons.append(f"stacks are unstable ({_joined(unstable)})")
    return f"Do not enter beyond the door: {'; '.join(reasons)}." if reasons else ""


def _joined(names: Sequence[str]) -> str:
    if len(names) <= MOST_NAMED + 1:
        return ", ".join(names)
    return named(names)
