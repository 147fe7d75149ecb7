"""What the stop rules ask of a floor as a whole: first drains, stacks nobody looked over, suits on record."""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import inf
from uuid import UUID

from reports.assessment import Verdict
from reports.facts import FloorFact, PalletFact, SiteFacts
from reports.floors.lots import LotArrival
from reports.response.readiness import vapour_suits
from reports.wording import named
from survey.vocabulary import YesNoUnknown


@dataclass(frozen=True, slots=True)
class Standing:
    """What the stop rules ask of a floor as a whole, worked out once for all of its drums."""

    suits: bool
    drains: Mapping[UUID, str]
    """The drain that a pallet's liquid gets to first, as a sentence names it; one that gets to none is not in it."""
    not_inspected: frozenset[UUID]
    """Pallets of stacks that nobody has looked over."""


def standing(site: SiteFacts, floor: FloorFact, arrivals: Sequence[LotArrival]) -> Standing:
    """Work out what the stop rules ask of a floor as a whole.

    Parameters
    ----------
    site : SiteFacts
    floor : FloorFact
    arrivals : sequence of LotArrival
        What the liquid of each lot gets to.

    Returns
    -------
    Standing
    """
    return Standing(vapour_suits(site.kit), _first_drains(floor, arrivals), _not_inspected(floor))


def _first_drains(floor: FloorFact, arrivals: Sequence[LotArrival]) -> Mapping[UUID, str]:
    """Name the drain that the liquid of each pallet gets to first, by the pallet's id: surest, then nearest.

    One for all drums of a pallet: they stand together, and the one that leaks may be any of them.
    """
    best: dict[UUID, tuple[int, float, str]] = {}
    for lot in arrivals:
        if not lot.target.startswith("drain "):
            continue
        each = [(arrival.verdict, arrival.way_m) for _, arrival in lot.arrivals]
        for verdict, way_m in each or [(lot.verdict, None)]:
            if verdict is not Verdict.NOT_REACHED:
                found = (list(Verdict).index(verdict), inf if way_m is None else way_m, lot.target)
                best[lot.lot.pallet.id] = min(found, best.get(lot.lot.pallet.id, found))
    lost = [f"drain {drain.name}" for drain in floor.drains if drain.shape is None]
    beside = f" and {named(lost)} wherever it lies" if lost else ""
    sure = list(Verdict).index(Verdict.REACHES)
    return {
        pallet: f"{drain} ({'' if verdict == sure else 'may be '}reached first){beside}"
        for pallet, (verdict, _, drain) in best.items()
    }


def _not_inspected(floor: FloorFact) -> frozenset[UUID]:
    """Name the pallets of stacks that nobody has looked at all of, or of which nobody has said that they stand firm."""
    joined: dict[UUID, list[UUID]] = defaultdict(list)
    pallets = {pallet.id: pallet for pallet in floor.pallets}
    for pallet in floor.pallets:
        if pallet.stands_on_id in pallets:
            joined[pallet.id].append(pallet.stands_on_id)
            joined[pallet.stands_on_id].append(pallet.id)
    stack_of: dict[UUID, list[PalletFact]] = {}
    for pallet in floor.pallets:
        if pallet.id not in stack_of:
            parts, waiting = {pallet.id}, [pallet.id]
            while waiting:
                beside = {*joined[waiting.pop()]} - parts
                parts |= beside
                waiting += beside
            stack = [pallets[part] for part in parts]
            stack_of |= dict.fromkeys(parts, stack)
    return frozenset(pallet for pallet, stack in stack_of.items() if _doubtful(stack))


def _doubtful(stack: Sequence[PalletFact]) -> bool:
    drums = [drum for pallet in stack for drum in pallet.drums]
    high = len(stack) > 1 or stack[0].stack_level > 1 or any(drum.tier > 1 for drum in drums)
    unsure = high and any(pallet.stable is YesNoUnknown.UNKNOWN for pallet in stack)
    return unsure or any(drum.hidden for drum in drums)
