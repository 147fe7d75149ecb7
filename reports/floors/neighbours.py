"""Which lots react with which, how far apart they stand, and where their liquids meet."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations
from math import hypot, inf

from shapely import MultiPolygon, Polygon, shortest_line

from geometry.incompatible_neighbours import liquids_meet, separation_m, stands_above
from reports.assessment import Distance, PairAssessment, Reach, Verdict
from reports.facts import FloorFact
from reports.floors.hydraulics import stronger, weaker
from reports.floors.lots import Lot
from reports.floors.spills import FloorSpills
from reports.floors.view import LotArrival
from reports.response.advice import Cite
from reports.tolerance import between
from survey.catalogue.compatibility import Reaction, reactions
from survey.catalogue.separation import SEPARATION
from survey.vocabulary import YesNoUnknown

NEARBY_M = 2.0
"""Design rule for *nearby*: a judgement, no published source."""
FLOOR = "the floor"
PLACE_UNKNOWN = "their block, where their places are not known"


@dataclass(frozen=True, slots=True)
class Meeting:
    """Where two lots' liquids meet, and how surely; `hydraulic_m` is 0 where something joins them."""

    verdict: Verdict
    where: tuple[str, ...]
    hydraulic_m: float | None


def pairs_on(
    floor: FloorFact, lots: Sequence[Lot], spills: FloorSpills, arrivals: Sequence[LotArrival]
) -> tuple[PairAssessment, ...]:
    """List the reacting pairs of lots that meet, stand too close or stand one above the other, worst first.

    Parameters
    ----------
    floor : FloorFact
    lots : sequence of Lot
    spills : FloorSpills
        The spill engine of this floor.
    arrivals : sequence of LotArrival
        Where each lot's liquid gets to below ground: drains, and through sumps whatever those join.

    Returns
    -------
    tuple of PairAssessment
        Lethal gas first, then by how surely the liquids meet, then by distance.

    Notes
    -----
    A lot that nobody identified reacts with everything; it is paired only where it stands nearby, since otherwise it
    would hide the rest of the list.
    """
    pools = {id(lot): spills.one_drum(lot.liquid) for lot in lots}
    below = {id(lot): [arrival for arrival in arrivals if arrival.lot is lot] for lot in lots}
    found = []
    for a, b in combinations(lots, 2):
        worst = _worst_reaction(a, b)
        if worst is None:
            continue
        if not _can_be_together(a, b):
            continue
        pair = _pair(
            floor, spills, a, b, worst, _meeting((a, pools[id(a)], below[id(a)]), (b, pools[id(b)], below[id(b)]))
        )
        if pair is not None:
            found.append(pair)
    return tuple(sorted(found, key=_order))


def _order(pair: PairAssessment) -> tuple[object, ...]:
    metres = inf if pair.separation is None else pair.separation.metres
    return (
        not pair.lethal,
        not pair.certain,
        list(Verdict).index(pair.meets),
        inf if pair.hydraulic_m is None else pair.hydraulic_m,
        pair.cite.rule if pair.lethal else "",  # rules of lethal gas are numbered worst first
        metres,
        pair.a,
        pair.b,
        pair.product_a,
        pair.product_b,
    )


def _can_be_together(a: Lot, b: Lot) -> bool:
    """Whether both can be there: two alternative readings of one pallet speak of the same drums."""
    if a.pallet is not b.pallet:
        return True
    alternatives = a.pallet.alternatives
    return any(
        one.reading_id == other.reading_id or not {one.reading_id, other.reading_id} <= set(alternatives)
        for one in a.drums
        for other in b.drums
    )


def _worst_reaction(a: Lot, b: Lot) -> Reaction | None:
    return next(iter(reactions(a.product, b.product)), None)


def _pair(
    floor: FloorFact, spills: FloorSpills, a: Lot, b: Lot, reaction: Reaction, meeting: Meeting
) -> PairAssessment | None:
    known = a.place_known and b.place_known
    metres = separation_m(a.pallet.footprint, b.pallet.footprint)
    above = a.pallet is not b.pallet and (_above(a, b) or _above(b, a))
    nearest_m = metres - hypot(a.pallet.tolerance_m, b.pallet.tolerance_m)
    close = nearest_m <= SEPARATION.value and not _partitioned(floor, a, b)
    if not reaction.certain and not (above or nearest_m <= NEARBY_M):
        return None
    if not (close or above or meeting.verdict is not Verdict.NOT_REACHED):
        return None
    if not known and close and meeting.verdict is Verdict.NOT_REACHED:
        meeting = Meeting(Verdict.MAY_REACH, (PLACE_UNKNOWN,), None)
    first, second = sorted((a, b), key=lambda lot: (lot.pallet.name, lot.product.key))
    return PairAssessment(
        a=first.pallet.name,
        b=second.pallet.name,
        zone_a=_zone_name(floor, first),
        zone_b=_zone_name(floor, second),
        product_a=first.product.name,
        product_b=second.product.name,
        reaction=reaction.clause,
        gas=reaction.gas,
        lethal=reaction.lethal,
        certain=reaction.certain,
        cite=Cite(reaction.rule, reaction.source, reaction.mark),
        separation=_separation(a, b, metres) if known else None,
        along_floor_m=spills.between_m(a.pallet.footprint, b.pallet.footprint) if known else None,
        meets=meeting.verdict,
        where=meeting.where,
        hydraulic_m=meeting.hydraulic_m,
        above=above,
        a_at=first.pallet.at,
        b_at=second.pallet.at,
    )


def _above(a: Lot, b: Lot) -> bool:
    if a.pallet.stands_on_id == b.pallet.id:
        return True
    return stands_above(a.pallet.footprint, a.pallet.base_height_m, b.pallet.footprint, b.pallet.base_height_m)


def _separation(a: Lot, b: Lot, metres: float) -> Distance:
    return Distance(0.0, 0.0) if a.pallet is b.pallet else between(metres, a.pallet.tolerance_m, b.pallet.tolerance_m)


def _partitioned(floor: FloorFact, a: Lot, b: Lot) -> bool:
    """Whether a wall that meets the partition rule stands in the straight line between two pallets."""
    line = shortest_line(a.pallet.footprint, b.pallet.footprint)
    return line.length > 0 and any(
        wall.meets_partition_rule is YesNoUnknown.YES and wall.line.crosses(line) for wall in floor.walls
    )


_Area = Polygon | MultiPolygon
_Liquid = tuple[Lot, Reach | None, Sequence[LotArrival]]
"""A lot, the pool of one drum of it where it holds liquid, and where that gets to below ground."""


def _meeting(a: _Liquid, b: _Liquid) -> Meeting:
    """Find the places where two lots come together: liquid with liquid, or liquid with a solid it runs under."""
    ways = [(FLOOR, _on_floor(a, b)), *_shared(_verdicts(a[2]), _verdicts(b[2]))]
    found = [(place, verdict) for place, verdict in ways if verdict is not Verdict.NOT_REACHED]
    if not found:
        return Meeting(Verdict.NOT_REACHED, (), None)
    return Meeting(stronger(*(verdict for _, verdict in found)), tuple(place for place, _ in found), 0.0)


def _on_floor(a: _Liquid, b: _Liquid) -> Verdict:
    if a[1] is None and b[1] is None:
        return Verdict.NOT_REACHED
    thick_a, thin_a = _wetted(*a[:2])
    thick_b, thin_b = _wetted(*b[:2])
    if liquids_meet(thick_a, thick_b):
        return Verdict.REACHES
    return Verdict.MAY_REACH if liquids_meet(thin_a, thin_b) else Verdict.NOT_REACHED


def _wetted(lot: Lot, reach: Reach | None) -> tuple[_Area, _Area]:
    """Give the floor a lot takes up: its thick and thin pool, or the place it stands on where it does not run."""
    if reach is None:
        return lot.pallet.footprint, lot.pallet.footprint
    return reach.thick.shape, reach.thin.shape


def _verdicts(arrivals: Iterable[LotArrival]) -> dict[str, Verdict]:
    best: dict[str, Verdict] = {}
    for arrival in arrivals:
        best[arrival.target] = stronger(arrival.verdict, best.get(arrival.target, Verdict.NOT_REACHED))
    return best


def _shared(a: Mapping[str, Verdict], b: Mapping[str, Verdict]) -> Iterator[tuple[str, Verdict]]:
    for place in sorted(a.keys() & b.keys()):
        yield place, weaker(a[place], b[place])


def _zone_name(floor: FloorFact, lot: Lot) -> str | None:
    return next((zone.name for zone in floor.zones if zone.id == lot.pallet.zone_id), None)
