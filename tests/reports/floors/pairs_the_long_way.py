"""Neighbours found by looking at every two lots: slow, and so plain that it can be read against the rules."""

from collections.abc import Mapping, Sequence
from itertools import combinations
from math import hypot

from shapely import MultiPolygon, Polygon, shortest_line

from geometry.incompatible_neighbours import liquids_meet, stands_above
from reports.assessment import Distance, PairAssessment, Verdict
from reports.facts import FloorFact, PalletFact
from reports.floors.hydraulics import stronger, weaker
from reports.floors.lots import Lot
from reports.floors.neighbours import FLOOR, PLACE_UNKNOWN, pair_order
from reports.floors.together import NEARBY_M, can_be_together
from reports.floors.view import FloorView, LotArrival
from reports.other_tables import other_tables
from reports.response.advice import Cite
from reports.tolerance import between
from survey.catalogue.compatibility import Reaction, reactions
from survey.catalogue.separation import SEPARATION
from survey.vocabulary import YesNoUnknown

Area = Polygon | MultiPolygon


def pairs_the_long_way(view: FloorView) -> list[PairAssessment]:
    """Give every reacting pair of a floor, worst first, none left out."""
    below = {id(lot): [arrival for arrival in view.drain_arrivals if arrival.lot is lot] for lot in view.lots}
    found = []
    for a, b in combinations(view.lots, 2):
        reaction = next(iter(reactions(a.product, b.product)), None)
        if reaction is None or (a.pallet is b.pallet and not can_be_together(a, b)):
            continue
        ways = {FLOOR: on_floor(view, a, b), **shared(verdicts(below[id(a)]), verdicts(below[id(b)]))}
        pair = judged_pair(
            view, a, b, reaction, {place: way for place, way in ways.items() if way is not Verdict.NOT_REACHED}
        )
        if pair is not None:
            found.append(pair)
    return sorted(found, key=pair_order)


def judged_pair(
    view: FloorView, a: Lot, b: Lot, reaction: Reaction, ways: Mapping[str, Verdict]
) -> PairAssessment | None:
    known = a.place_known and b.place_known
    metres = a.pallet.footprint.distance(b.pallet.footprint)
    above = a.pallet is not b.pallet and (over(a.pallet, b.pallet) or over(b.pallet, a.pallet))
    nearest_m = metres - hypot(a.pallet.tolerance_m, b.pallet.tolerance_m)
    close = nearest_m <= SEPARATION.value and not partitioned(view.floor, a.pallet, b.pallet)
    if not reaction.certain and not (above or nearest_m <= NEARBY_M):
        return None
    if not (close or above or ways):
        return None
    meets, where, hydraulic_m = stronger(*ways.values()), tuple(ways), 0.0 if ways else None
    if not known and close and not ways:
        meets, where = Verdict.MAY_REACH, (PLACE_UNKNOWN,)
    first, second = sorted((a, b), key=lambda lot: (lot.pallet.name, lot.product.key))
    apart = Distance(0.0, 0.0) if a.pallet is b.pallet else between(metres, a.pallet.tolerance_m, b.pallet.tolerance_m)
    return PairAssessment(
        a=first.pallet.name,
        b=second.pallet.name,
        zone_a=view.zone_of(first.pallet).name,
        zone_b=view.zone_of(second.pallet).name,
        product_a=first.product.name,
        product_b=second.product.name,
        reaction=reaction.clause,
        gas=reaction.gas,
        lethal=reaction.lethal,
        certain=reaction.certain,
        cite=Cite(reaction.rule, reaction.source, reaction.mark),
        separation=apart if known else None,
        along_floor_m=view.spills.between_m(a.pallet.footprint, b.pallet.footprint) if known else None,
        meets=meets,
        where=where,
        hydraulic_m=hydraulic_m,
        above=above,
        a_at=first.pallet.at,
        b_at=second.pallet.at,
        also=other_tables(first.product, second.product, reaction),
    )


def over(a: PalletFact, b: PalletFact) -> bool:
    if a.stands_on_id == b.id:
        return True
    return stands_above(a.footprint, a.base_height_m, b.footprint, b.base_height_m)


def partitioned(floor: FloorFact, a: PalletFact, b: PalletFact) -> bool:
    line = shortest_line(a.footprint, b.footprint)
    return line.length > 0 and any(
        wall.meets_partition_rule is YesNoUnknown.YES and wall.line.crosses(line) for wall in floor.walls
    )


def on_floor(view: FloorView, a: Lot, b: Lot) -> Verdict:
    (thick_a, thin_a, runs_a), (thick_b, thin_b, runs_b) = wetted(view, a), wetted(view, b)
    if not (runs_a or runs_b):
        return Verdict.NOT_REACHED
    if liquids_meet(thick_a, thick_b):
        return Verdict.REACHES
    return Verdict.MAY_REACH if liquids_meet(thin_a, thin_b) else Verdict.NOT_REACHED


def wetted(view: FloorView, lot: Lot) -> tuple[Area, Area, bool]:
    reach = view.spills.one_drum(lot.liquid)
    if reach is None:
        return lot.pallet.footprint, lot.pallet.footprint, False
    return reach.thick.shape, reach.thin.shape, True


def verdicts(arrivals: Sequence[LotArrival]) -> dict[str, Verdict]:
    best: dict[str, Verdict] = {}
    for arrival in arrivals:
        best[arrival.target] = stronger(arrival.verdict, best.get(arrival.target, Verdict.NOT_REACHED))
    return best


def shared(a: Mapping[str, Verdict], b: Mapping[str, Verdict]) -> dict[str, Verdict]:
    return {place: weaker(a[place], b[place]) for place in sorted(a.keys() & b.keys())}
