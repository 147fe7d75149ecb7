"""One drum by itself on a floor: what everything that leaves it gets to, and how soon by the laws of the clock."""

from collections.abc import Mapping
from dataclasses import dataclass, replace

from shapely import Point
from shapely.affinity import translate

from geometry.leak import Leak
from reports.facts import DrumFact, PalletFact, SiteFacts
from reports.floors.arrival_times import ArrivalTimes
from reports.floors.drains import arrivals_on, drains_on
from reports.floors.hydraulics import Hydraulics
from reports.floors.leaks import NamedLeak
from reports.floors.lot_table import Pools, lot_table
from reports.floors.lots import Lot, LotArrival
from reports.floors.nearby import Nearby
from reports.floors.spills import FloorSpills
from reports.floors.view import FloorView


@dataclass(frozen=True, slots=True)
class DrumAlone:
    """What one leak gets to: every drain and sump with its verdict, and the soonest at drains and doors [min].

    `soonest_min` knows each by its name with what it is, *drain D1*, *door Gate*; what the leak does not get to is not
    in it.
    """

    arrivals: tuple[LotArrival, ...]
    soonest_min: Mapping[str, float]


def drum_alone(
    facts: SiteFacts, spills: FloorSpills, pallet: PalletFact, drum: DrumFact, source: Point, leak: Leak
) -> DrumAlone:
    """Say what everything that leaves one drum gets to, and how soon at the earliest.

    Parameters
    ----------
    facts : SiteFacts
    spills : FloorSpills
        The spill engine on the floor as it is asked about.
    pallet : PalletFact
        The drum's.
    drum : DrumFact
    source : Point
        Where it is let out [m].
    leak : Leak
        How it runs out; something leaves.

    Returns
    -------
    DrumAlone
        By the same closed laws, over the same falls there may be, as the first-hour clock of the floor.
    """
    x, y = source.x - pallet.at.x, source.y - pallet.at.y
    leaving = replace(drum, fill_l=leak.leaves_m3 * 1000, at=source)
    stand = replace(pallet, at=source, footprint=translate(pallet.footprint, x, y), drums=(leaving,))
    lot = Lot(stand, drum.product, (leaving,))
    hydraulics = Hydraulics(spills.floor)
    arrivals = arrivals_on(spills.floor, [lot], spills, hydraulics)
    pools = Pools(spills)
    view = FloorView(
        site=facts,
        floor=spills.floor,
        spills=spills,
        hydraulics=hydraulics,
        lots=(lot,),
        drain_arrivals=arrivals,
        drains=drains_on(spills.floor, spills, arrivals),
        pools=pools,
        table=lot_table(spills.floor, [lot], pools, arrivals),
        pairs=(),
        unlisted={},
        containment=(),
        nearby=Nearby((stand,), pools),
        stops={},
    )
    named = NamedLeak("leak", leak, "as asked", recorded=False)
    return DrumAlone(arrivals, ArrivalTimes(view).soonest_min(named))
