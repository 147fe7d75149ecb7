"""One pallet at another place: judged anew against the rest, which stands where it stood and is not judged again."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from uuid import UUID

from shapely import Point
from shapely.affinity import translate

from reports.assessment import PairAssessment, Reach, TiltedReach, UnlistedPairs
from reports.facts import FloorFact, PalletFact
from reports.floors.drains import arrivals_on
from reports.floors.lots import LotArrival, lots_of
from reports.floors.neighbours import worded
from reports.floors.standing import standing
from reports.floors.stops import stops_at
from reports.floors.together import together_with
from reports.floors.view import FloorView
from reports.floors.worst_pairs import worst_pairs
from reports.gather_floor import elsewhere
from reports.response.advice import StopLine


@dataclass(frozen=True, slots=True)
class Moved:
    """What is to be said of a pallet at its new place."""

    pallet: PalletFact
    one_drum: Reach | None
    whole: Reach | None
    tilted: TiltedReach | None
    arrivals: tuple[LotArrival, ...]
    pairs: tuple[PairAssessment, ...]
    """Its own pairs: of each kind the worst, with how many more of the kind it has."""
    unlisted: UnlistedPairs | None
    stops: Mapping[UUID, tuple[StopLine, ...]]


def placed(floor: FloorFact, pallet: PalletFact, at: Point) -> PalletFact:
    """Give a pallet as it would be recorded at another place.

    Parameters
    ----------
    floor : FloorFact
        The floor it stays on.
    pallet : PalletFact
    at : Point
        Its new middle [m].

    Returns
    -------
    PalletFact
        Turned and stacked as it was, in the smallest storage zone that covers the place, else in *Elsewhere*.
    """
    x, y = at.x - pallet.at.x, at.y - pallet.at.y
    zones = sorted((zone for zone in floor.zones if zone.outline.covers(at)), key=lambda zone: zone.outline.area)
    return replace(
        pallet,
        at=at,
        footprint=translate(pallet.footprint, x, y),
        zone_id=zones[0].id if zones else elsewhere(floor).id,
        drums=tuple(replace(drum, at=translate(drum.at, x, y)) for drum in pallet.drums),
    )


def moved(view: FloorView, pallet: PalletFact) -> Moved:
    """Judge one pallet at another place.

    Parameters
    ----------
    view : FloorView
        The floor as it was judged.
    pallet : PalletFact
        One of its pallets, with the same drums, at its new place.

    Returns
    -------
    Moved
        What a whole judgement of the floor would say of it.

    Notes
    -----
    What it does to others is not here: their pairs with it are its pairs, but stop lines of drums beside its old and
    its new place, findings and ranks may change too and come with the next whole assessment.
    """
    floor = view.floor
    rest = elsewhere(floor)
    if pallet.zone_id == rest.id and rest not in floor.zones:
        floor = replace(floor, zones=(*floor.zones, rest))
    lots = lots_of(pallet)
    arrivals = arrivals_on(floor, lots, view.spills, view.hydraulics)
    liquid = [drum for drum in pallet.drums if drum.fill_l > 0]
    most = pallet.worst_by(lambda drum: drum.fill_l)
    pairs: tuple[PairAssessment, ...] = ()
    unlisted: UnlistedPairs | None = None
    if lots:
        table = view.table.moved(floor, lots, view.pools, arrivals)
        worst = worst_pairs(table, [together_with(table, table.rows[pallet.name])])
        found = worded(table, view.spills, worst)
        pairs, unlisted = found.pairs, found.unlisted.get(pallet.id)
    return Moved(
        pallet=pallet,
        one_drum=view.pools.reach(liquid),
        whole=view.spills.whole([drum for drum in most if drum.fill_l > 0], pallet.at),
        tilted=view.pools.tilted(pallet.drums, pallet.at),
        arrivals=arrivals,
        pairs=pairs,
        unlisted=unlisted,
        stops=stops_at(
            view.site, floor, pallet, view.nearby.around_moved(pallet), standing(view.site, floor, arrivals)
        ),
    )
