"""Which lots react with which, how far apart they stand, and where their liquids meet."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from math import inf
from uuid import UUID

from reports.assessment import Distance, PairAssessment, UnlistedPairs, Verdict
from reports.floors.lot_table import Bits, LotTable
from reports.floors.spills import FloorSpills
from reports.floors.together import Together, all_together
from reports.floors.worst_pairs import Worst, in_order, not_listed, worst_pairs
from reports.other_tables import other_tables
from reports.response.advice import Cite
from reports.tolerance import between

FLOOR = "the floor"
PLACE_UNKNOWN = "their block, where their places are not known"


@dataclass(frozen=True, slots=True)
class Neighbours:
    """The reacting pairs that are listed, worst first, and what is not listed of each pallet, by its id."""

    pairs: tuple[PairAssessment, ...]
    unlisted: Mapping[UUID, UnlistedPairs]


def neighbours_on(table: LotTable, spills: FloorSpills) -> Neighbours:
    """List the reacting pairs of lots that meet, stand too close or stand one above the other, worst first.

    Parameters
    ----------
    table : LotTable
        The lots of a floor.
    spills : FloorSpills
        The spill engine of this floor.

    Returns
    -------
    Neighbours
        Lethal gas first, then by how surely the liquids meet, then by distance. Of each kind the worst are listed
        and the others counted (see `worst_pairs`).

    Notes
    -----
    A lot that nobody identified reacts with everything; it is paired only where it stands nearby, since otherwise it
    would hide the rest of the list.
    """
    return worded(table, spills, worst_pairs(table, all_together(table)))


def worded(table: LotTable, spills: FloorSpills, worst: Worst | None) -> Neighbours:
    """Say in full what was found of pairs in columns.

    Parameters
    ----------
    table : LotTable
    spills : FloorSpills
    worst : Worst or None
        None where no pair was found.

    Returns
    -------
    Neighbours
    """
    if worst is None:
        return Neighbours((), {})
    pairs = list(_listed(table, spills, worst.listed))
    rest = not_listed(worst)
    heads = {kind: place for place, kind in reversed(list(enumerate(worst.kind.tolist())))}
    for number in rest.pairs.nonzero()[0].tolist():
        place = heads[int(rest.kind[number])]
        where = _where(table, rest.on_floor[number], rest.placeless[number], rest.below[number])
        pairs[place] = replace(pairs[place], more=int(rest.pairs[number]), more_where=where)
    return Neighbours(tuple(sorted(pairs, key=pair_order)), dict(_unlisted(table, worst)))


def pair_order(pair: PairAssessment) -> tuple[object, ...]:
    """Order pairs: lethal gas first, then by how surely they meet, then by distance."""
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


def _listed(table: LotTable, spills: FloorSpills, found: Together) -> Iterator[PairAssessment]:
    verdicts = tuple(Verdict)
    along: dict[tuple[int, int], float | None] = {}
    for at, (first, second) in enumerate(zip(*(rows.tolist() for rows in in_order(table, found)), strict=True)):
        a, b = table.lots[first], table.lots[second]
        reaction = table.chemistry.worst[int(table.product[first]), int(table.product[second])]
        known = a.place_known and b.place_known
        meets, placeless = verdicts[int(found.meets[at])], bool(found.placeless[at])
        ends = int(table.outline[found.one[at]]), int(table.outline[found.other[at]])
        if known and ends not in along:
            along[ends] = spills.between_m(*(table.outlines[end] for end in ends))
        yield PairAssessment(
            a=a.pallet.name,
            b=b.pallet.name,
            zone_a=table.zones[int(table.zone[first])],
            zone_b=table.zones[int(table.zone[second])],
            product_a=a.product.name,
            product_b=b.product.name,
            reaction=reaction.clause,
            gas=reaction.gas,
            lethal=reaction.lethal,
            certain=reaction.certain,
            cite=Cite(reaction.rule, reaction.source, reaction.mark),
            separation=_separation(table, found, at) if known else None,
            along_floor_m=along[ends] if known else None,
            meets=meets,
            where=_where(table, bool(found.on_floor[at]), placeless, found.below[at]),
            hydraulic_m=None if placeless or meets is Verdict.NOT_REACHED else 0.0,
            above=bool(found.above[at]),
            a_at=a.pallet.at,
            b_at=b.pallet.at,
            also=other_tables(a.product, b.product, reaction),
        )


def _separation(table: LotTable, found: Together, at: int) -> Distance:
    one, other = table.lots[int(found.one[at])].pallet, table.lots[int(found.other[at])].pallet
    if one is other:
        return Distance(0.0, 0.0)
    return between(float(found.apart_m[at]), one.tolerance_m, other.tolerance_m)


def _where(table: LotTable, on_floor: bool, placeless: bool, below: Bits) -> tuple[str, ...]:  # noqa: FBT001
    """Name the places where two lots meet: the floor, drains and sumps; or their block, where nobody knows."""
    return (
        *((FLOOR,) if on_floor else ()),
        *((PLACE_UNKNOWN,) if placeless else ()),
        *table.places_of(below),
    )


def _unlisted(table: LotTable, worst: Worst) -> Iterator[tuple[UUID, UnlistedPairs]]:
    """Say of each pallet how many of its pairs are not listed, with the worst of them."""
    found = worst.glances.pairs
    verdicts = tuple(Verdict)
    for at, number in enumerate(worst.glances.pallet.tolist()):
        one, other = int(found.one[at]), int(found.other[at])
        own, beside = (one, other) if table.pallet[one] == number else (other, one)
        reaction = table.chemistry.worst[int(table.product[own]), int(table.product[beside])]
        known = table.place_known[own] and table.place_known[beside]
        yield (
            table.pallets[number].id,
            UnlistedPairs(
                pairs=int(worst.unlisted[number]),
                product=table.lots[own].product.name,
                beside=table.lots[beside].pallet.name,
                beside_product=table.lots[beside].product.name,
                reaction=reaction.clause,
                lethal=reaction.lethal,
                certain=reaction.certain,
                meets=verdicts[int(found.meets[at])],
                separation=_separation(table, found, at) if known else None,
            ),
        )
