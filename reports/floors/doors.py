"""What one drum lets out of each door on the edge of a floor: outdoors, or off the map.

What gets to the line of a door is found as for a drain. Here it is only asked what the door is recorded to hold back.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import inf

from shapely import LineString, Point, STRtree

from geometry.constants import OPENING_OFFSET_M
from reports.assessment import DoorAssessment, DrainTime, Pool, Span, Verdict
from reports.facts import DoorFact, DrumFact, FloorFact
from reports.floors.hydraulics import stronger, weaker
from reports.floors.lots import Lot
from reports.floors.spills import Arrival
from reports.floors.view import FloorView
from survey.vocabulary import NormalPosition, YesNoUnknown

AT_DOOR_M = 0.5
"""A pool that ends no farther from a door than this may get to it: the tolerance of two drawn positions."""

_FULL_TO_MM = 1e-6  # a pool that runs over a sill rests at its height, up to rounding


@dataclass(frozen=True, slots=True)
class _Out:
    """What one drum of a lot lets out of one door."""

    lot: Lot
    verdict: Verdict
    litres: Span


@dataclass(frozen=True, slots=True)
class _Held:
    """How deep a film a door holds back [mm], read cautiously, and whether liquid passes under every reading."""

    mm: float
    certain: bool


def doors_out(view: FloorView, first: Mapping[str, tuple[DrainTime, DrainTime]]) -> tuple[DoorAssessment, ...]:
    """Say of each door on the edge of a floor what one drum lets out of it.

    Parameters
    ----------
    view : FloorView
    first : mapping of str to (DrainTime, DrainTime)
        Whoever gets soonest and whoever gets surest to each drain and door, by its name with what it is.

    Returns
    -------
    tuple of DoorAssessment
        In the order of the record; a door inside the floor is not among them.

    Notes
    -----
    Assumed: a door that is not known to be tight, or of unknown sill while not known to be shut, lets out all that
    gets to its line; one that is tight and shut holds; one that is tight and not known to be shut holds up to its
    sill. Litres are upper bounds within the tolerance of the positions: what the floor nearer than the door cannot
    hold, whatever else would take it. A film that passes the sill somewhere in the range of films counts with what the
    thin film brings, since no deeper one brings more. Liquid of drums that stand outdoors goes out of no door.
    """
    doors = [door for door in view.floor.doors if _on_edge(door.line, view.floor)]
    outs = _outs(view, doors)
    return tuple(_door(view, door, outs[number], first.get(f"door {door.name}")) for number, door in enumerate(doors))


def _on_edge(line: LineString, floor: FloorFact) -> bool:
    """Whether a door lies along the outline, as near as the spill engine asks of an opening in its wall."""
    edge = floor.outline.boundary
    return all(edge.dwithin(Point(corner), OPENING_OFFSET_M) for corner in line.coords)


def _outs(view: FloorView, doors: Sequence[DoorFact]) -> list[list[_Out]]:
    """Give what each lot near each door lets out of it; all arrivals are asked for at once."""
    near = _near(view, doors)
    drums = {drum.id: drum for lots in near for lot in lots for drum in _inside(lot, view.floor)}
    arrivals = view.spills.arrivals(list(drums.values()), [(door.line, 0.0) for door in doors]) if drums else []
    found = dict(zip(drums, arrivals, strict=True))
    outs: list[list[_Out]] = []
    for number, (door, lots) in enumerate(zip(doors, near, strict=True)):
        each = [
            _out(view, door, lot, [(drum, found[drum.id][number]) for drum in _inside(lot, view.floor)]) for lot in lots
        ]
        outs.append([out for out in each if out.verdict is not Verdict.NOT_REACHED])
    return outs


def _near(view: FloorView, doors: Sequence[DoorFact]) -> list[list[Lot]]:
    """Give the lots each door need be asked of: with a pool within reach of it, or none that could be computed.

    Where barriers are unknown, liquid may get farther than any pool that is drawn: then of all.
    """
    lots = [lot for lot in view.lots if _inside(lot, view.floor)]
    pools = [view.pools.of(lot) for lot in lots]
    far_m = max((drum.tolerance_m for lot in lots for drum in lot.liquid), default=0.0)
    trees = [STRtree([pool.thin for pool in pools]), STRtree([pool.thick for pool in pools])]
    everywhere = any(pool.runs for pool in pools) and view.spills.unknown
    unknown = {number for number, pool in enumerate(pools) if everywhere or not pool.runs}
    near: list[list[Lot]] = []
    for door in doors:
        within = (tree.query(door.line, predicate="dwithin", distance=max(far_m, AT_DOOR_M)) for tree in trees)
        numbers = unknown.union(*(each.tolist() for each in within)) if _held(door).mm < inf else set()
        near.append([lots[number] for number in sorted(numbers)])
    return near


def _inside(lot: Lot, floor: FloorFact) -> tuple[DrumFact, ...]:
    """Give the liquid drums of a lot but those that stand outdoors."""
    return tuple(
        drum
        for drum in lot.liquid
        if floor.outline.covers(drum.at) or not any(yard.outline.covers(drum.at) for yard in floor.surfaces)
    )


def _held(door: DoorFact) -> _Held:
    """Say how deep a film a door holds back: infinitely where it is tight and shut."""
    sill_mm = None if door.sill_m is None else door.sill_m * 1000
    if door.tight is YesNoUnknown.NO:
        return _Held(0.0, certain=True)
    if door.tight is YesNoUnknown.UNKNOWN:
        return _Held(0.0, certain=False)
    if door.normally is NormalPosition.SHUT:
        return _Held(inf, certain=False)
    if sill_mm is None:
        return _Held(0.0, certain=False)
    return _Held(sill_mm, certain=door.normally is NormalPosition.OPEN)


def _out(view: FloorView, door: DoorFact, lot: Lot, arrivals: Sequence[tuple[DrumFact, Arrival]]) -> _Out:
    held, film = _held(door), view.spills.film
    thin_mm, thick_mm = film.thin_m * 1000, film.thick_m * 1000
    verdicts, thick_l, thin_l = [Verdict.NOT_REACHED], [0.0], [0.0]
    for drum, arrival in arrivals:
        if arrival.verdict is Verdict.NOT_REACHED:
            continue
        risen_l = _risen_l(view, door, drum, held.mm)
        if thick_mm >= held.mm:
            sure = held.certain and thin_mm >= held.mm
            verdicts.append(arrival.verdict if sure else weaker(arrival.verdict, Verdict.MAY_REACH))
            thick_l.append(min(max(arrival.litres_thick, risen_l), drum.fill_l))
            thin_l.append(min(max(arrival.litres_thin, risen_l), drum.fill_l))
        elif risen_l > 0:
            verdicts.append(Verdict.MAY_REACH)
            thick_l.append(risen_l)
            thin_l.append(risen_l)
    return _Out(lot, stronger(*verdicts), Span(max(thick_l), max(thin_l)))


def _risen_l(view: FloorView, door: DoorFact, drum: DrumFact, held_mm: float) -> float:
    """Bound what passes a sill because a pool rose to it [L]: all that left the floor, and all that stands higher.

    Every pool that it may be is asked, since a pool rises where walls hold. A drum of which nothing can be computed
    passes with all it holds.
    """
    if held_mm == 0:
        return 0.0
    rested = view.spills.rested(drum)
    if rested is None:
        return drum.fill_l
    most = 0.0
    for pool, film_m in rested.each:
        risen = pool.depth_mm > film_m * 1000 + _FULL_TO_MM  # deeper than on open floor
        if risen and pool.depth_mm >= held_mm - _FULL_TO_MM and pool.shape.dwithin(door.line, AT_DOOR_M):
            most = max(most, _passing_l(pool, drum.fill_l, held_mm, film_m * 1000, view.floor))
    return most


def _passing_l(pool: Pool, fill_l: float, held_mm: float, film_mm: float, floor: FloorFact) -> float:
    """Bound what of a risen pool left the floor or would [L], all by this door; the floor it wets keeps a film."""
    outside_m2 = pool.shape.difference(floor.outline).area
    inside_m2 = max(pool.area_m2 - outside_m2, 0.0)
    gone_l = pool.off_map_l + outside_m2 * pool.depth_mm + inside_m2 * max(pool.depth_mm - held_mm, 0.0)
    return min(gone_l, max(fill_l - film_mm * inside_m2, 0.0))


def _door(
    view: FloorView, door: DoorFact, outs: Sequence[_Out], first: tuple[DrainTime, DrainTime] | None
) -> DoorAssessment:
    order = list(Verdict)
    most = min(
        outs,
        key=lambda out: (-out.litres.high, -out.litres.low, order.index(out.verdict), out.lot.pallet.name),
        default=None,
    )
    return DoorAssessment(
        id=door.id,
        name=door.name,
        sill_mm=None if door.sill_m is None else door.sill_m * 1000,
        tight=door.tight,
        normally=door.normally,
        blocked=door.blocked,
        assumed=_assumed(door),
        verdict=stronger(*(out.verdict for out in outs)),
        pallet=None if most is None else most.lot.pallet.name,
        litres=Span(0.0, 0.0) if most is None else most.litres,
        zones=view.zones_of(out.lot.pallet.name for out in outs if out.lot.pallet.zone_id is not None),
        first=None if first is None else first[0],
        surest=None if first is None else first[1],
    )


def _assumed(door: DoorFact) -> str:
    """Say what the litres take a door to hold back."""
    if door.tight is YesNoUnknown.NO:
        return "lets out all that gets to it"
    if door.tight is YesNoUnknown.UNKNOWN:
        return "counts as not tight, lets out all that gets to it"
    if door.normally is NormalPosition.SHUT:
        return "holds while it is shut"
    counts = "counts as open, " if door.normally is NormalPosition.UNKNOWN else ""
    if door.sill_m is None:
        return f"{counts}the sill counts as 0 mm"
    return f"{counts}holds up to its sill"
