"""The first hour on a floor: when liquid is where, what is full by when, and who is there by then."""

from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from math import ceil, inf

from geometry.containment import sprinkler_l_min
from geometry.units import l_min_and_gpm, litres_and_gallons, mm_and_inches
from reports.assessment import (
    OVER_THE_FLOOR,
    ClockKind,
    ClockLine,
    DrainClock,
    DrainTime,
    Fill,
    FloorAssessment,
    Order,
    Verdict,
    ZoneAssessment,
)
from reports.facts import DrainFact, FloorFact
from reports.floors.arrival_times import ArrivalTimes
from reports.floors.bunds import fills_of, full_in_min
from reports.floors.doors import doors_out
from reports.floors.drains import treated_as
from reports.floors.view import FloorView
from reports.minutes import arrival_text, minutes_text, order
from reports.wording import listed, named
from survey.catalogue.product import Product, Trait
from survey.vocabulary import DrainDestination, ValvePosition

_TANKS = {DrainDestination.INTERCEPTOR, DrainDestination.HOLDING_TANK}
_PEOPLE = {ClockKind.FIRST_ENGINE, ClockKind.TECHNICIANS}
_NAMED = 3
"""Pallets or products named in one line before the rest are only counted."""


def with_clock(view: FloorView, assessed: FloorAssessment) -> FloorAssessment:
    """Add the times of a floor, of its drains, doors and storage zones to what was judged of it.

    Parameters
    ----------
    view : FloorView
    assessed : FloorAssessment
        The same floor without times.

    Returns
    -------
    FloorAssessment
    """
    times = ArrivalTimes(view).all()
    by_zone: dict[str | None, list[DrainTime]] = defaultdict(list)
    for time in times:
        by_zone[time.zone].append(time)
    zones = tuple(replace(zone, clock=tuple(_clock(view, zone, by_zone[zone.name]))) for zone in assessed.zones)
    clocks = tuple(_drain_clock(view, fact, times) for fact in _facts_of(view))
    first = {target: (_soonest(several), _surest(several)) for target, several in _by_target(times).items()}
    doors = tuple(replace(door, beside=_travel_min(view)) for door in doors_out(view, first))
    return replace(assessed, zones=zones, drain_times=times, drain_clocks=clocks, doors_out=doors)


def _by_target(times: Iterable[DrainTime]) -> dict[str, list[DrainTime]]:
    by_target: dict[str, list[DrainTime]] = defaultdict(list)
    for time in times:
        by_target[time.target].append(time)
    return by_target


def _facts_of(view: FloorView) -> Iterator[DrainFact]:
    """Give the drains in the order in which they were assessed."""
    facts = {fact.id: fact for fact in view.floor.drains}
    return (facts[drain.id] for drain in view.drains)


def _clock(view: FloorView, zone: ZoneAssessment, times: Sequence[DrainTime]) -> list[ClockLine]:
    arrivals = [*_arrivals(view, times), *_lost(view, zone)]
    lines = [*arrivals, *_overflows(view, zone), *_people(view, arrivals)]
    return sorted(lines, key=_by_time)


def _by_time(line: ClockLine) -> tuple[float, float, str]:
    """Sort by time; liquid that may be somewhere at any time comes before all, people of whom it is unknown last."""
    early, late = (inf if minutes is None else minutes for minutes in (line.early_min, line.late_min))
    if line.early_min is None and line.kind not in _PEOPLE:
        early = -inf
    return early, late, line.what


def _arrivals(view: FloorView, times: Sequence[DrainTime]) -> Iterator[ClockLine]:
    beside = _travel_min(view)
    for target, several in _by_target(times).items():
        first, surest = _soonest(several), _surest(several)
        drain = target.startswith("drain ")
        said = f"{surest.verdict} from {_from(surest)}: {arrival_text(surest, beside)}"
        if first is not surest:
            there = minutes_text(first.early_min, first.late_min, beside)
            said += f"; may be sooner from {_from(first)}: {there}{_already(first)}"
        leaking = [each.pallet for each in several if each.early_min == 0 and each not in (first, surest)]
        others = [each.pallet for each in several]
        ones = list(dict.fromkeys(name for name in others if name not in {first.pallet, surest.pallet, *leaking}))
        if leaking:
            said += f"; leaking already also: {named(list(dict.fromkeys(leaking)), _NAMED)}"
        if ones:
            said += f"; also from {named(ones, _NAMED)}"
        yield ClockLine(
            kind=ClockKind.DRAIN if drain else ClockKind.DOOR,
            early_min=first.early_min,
            late_min=surest.late_min,
            what=f"{target[:1].upper()}{target[1:]}" if drain else target.removeprefix("door "),
            detail=said,
            verdict=surest.verdict,
            engine=_order(first, surest, view.site.travel_first_engine_min),
            beside=beside,
        )


def _travel_min(view: FloorView) -> tuple[float, ...]:
    known = view.site.travel_first_engine_min, view.site.travel_technicians_min
    return tuple(each for each in known if each is not None)


def _from(time: DrainTime) -> str:
    way = "" if time.way == OVER_THE_FLOOR else f" {time.way}, time to the sump"
    return f"{time.pallet} ({time.product}){way}"


def _already(time: DrainTime) -> str:
    leaking = [each.leak for each in time.leaks if each.recorded]
    return f", leaking already ({listed(leaking)})" if leaking else ""


def _soonest(times: Sequence[DrainTime]) -> DrainTime:
    """Give whoever may be there first, of those who tie the surest."""
    return min(times, key=lambda time: (time.early_min, *_sureness(time), time.pallet))


def _surest(times: Sequence[DrainTime]) -> DrainTime:
    """Give whoever surely is there, and of those the first at the latest; where nobody surely is, the soonest."""
    if all(time.verdict is not Verdict.REACHES for time in times):
        return _soonest(times)
    return min(times, key=lambda time: (*_sureness(time), time.early_min, time.pallet))


def _sureness(time: DrainTime) -> tuple[int, float]:
    """Give the verdict, then the latest in whole minutes: of those as good as alike the soonest is named."""
    late_min = inf if time.late_min is None else ceil(time.late_min)
    return list(Verdict).index(time.verdict), late_min


def _order(first: DrainTime, surest: DrainTime, there_min: float | None) -> Order:
    """Say whether the soonest is there before people, and surely so only where somebody surely gets there."""
    late_min = surest.late_min if surest.verdict is Verdict.REACHES else None
    return order(first.early_min, late_min, there_min)


def _lost(view: FloorView, zone: ZoneAssessment) -> Iterator[ClockLine]:
    if zone.litres <= 0:
        return
    for drain in view.floor.drains:
        if drain.shape is None:
            yield ClockLine(
                ClockKind.DRAIN,
                None,
                None,
                f"Drain {drain.name}",
                "not found: it may lie anywhere, and be reached at any time",
                Verdict.MAY_REACH,
                Order.UNKNOWN,
            )


def _overflows(view: FloorView, zone: ZoneAssessment) -> Iterator[ClockLine]:
    for held in view.containment:
        if zone.name not in held.zones or held.geometric_l <= 0:
            continue
        name = f"{held.name[:1].upper()}{held.name[1:]}"
        if held.capacity_l == 0:
            yield _overflow(0.0, f"{name} holds nothing", listed(held.open_outlets))
            continue
        over = f"{name} runs over its {mm_and_inches(held.lip_mm)} lip"
        if held.overflow_min is not None and held.sprinkler_l_min is not None:
            by = f"by sprinkler water at {l_min_and_gpm(held.sprinkler_l_min)}, from when it starts; {held.assumption}"
            yield _overflow(held.overflow_min, over, by)
        for fill in held.fills:
            if fill.minutes is not None:
                rate = "" if fill.l_min is None else f" at {l_min_and_gpm(fill.l_min)}"
                yield _overflow(fill.minutes, over, f"by {fill.by}{rate}")


def _overflow(minutes: float, what: str, detail: str) -> ClockLine:
    return ClockLine(ClockKind.OVERFLOW, minutes, minutes, what, detail, None, None)


def _people(view: FloorView, arrivals: Sequence[ClockLine]) -> Iterator[ClockLine]:
    for kind, what, minutes in (
        (ClockKind.FIRST_ENGINE, "First engine", view.site.travel_first_engine_min),
        (ClockKind.TECHNICIANS, "Technicians", view.site.travel_technicians_min),
    ):
        if minutes is None:
            yield ClockLine(kind, None, None, what, "travel time not recorded", None, None)
            continue
        orders = [(line.what, _line_order(line, minutes)) for line in arrivals]
        sure = [name for name, found in orders if found is Order.BEFORE]
        perhaps = [name for name, found in orders if found is Order.MAYBE]
        said = []
        if sure:
            said.append(f"reached before: {listed(sure)}")
        if perhaps:
            said.append(f"may be reached before: {listed(perhaps)}")
        yield ClockLine(kind, minutes, minutes, what, "; ".join(said), None, None)


def _line_order(line: ClockLine, there_min: float) -> Order:
    late_min = line.late_min if line.verdict is Verdict.REACHES else None
    return order(line.early_min or 0.0, late_min, there_min)


def _drain_clock(view: FloorView, drain: DrainFact, times: Iterable[DrainTime]) -> DrainClock:
    here = [time for time in times if time.target == f"drain {drain.name}"]
    first, surest = (_soonest(here), _surest(here)) if here else (None, None)
    travel = view.site.travel_first_engine_min, view.site.travel_technicians_min
    engine, technicians = (
        Order.UNKNOWN if first is None or surest is None else _order(first, surest, minutes) for minutes in travel
    )
    tank = treated_as(drain) in _TANKS
    return DrainClock(
        drain=drain.name,
        first=first,
        surest=surest,
        engine=engine,
        technicians=technicians,
        holds=_holds(view, drain, here) if tank else _unproven(drain),
        free_l=drain.free_volume_l if tank else None,
        fills=tuple(_fills(view, drain, here)) if tank and drain.free_volume_l is not None else (),
        beside=_travel_min(view),
    )


def _unproven(drain: DrainFact) -> str:
    said = [goal for goal in (drain.joins, *(claim.joins for claim in drain.other_claims)) if goal in _TANKS]
    return f"that its {said[0]} holds anything is not proven: it counts as holding nothing" if said else ""


def _holds(view: FloorView, drain: DrainFact, times: Sequence[DrainTime]) -> str:
    """Say whether a proven tank or interceptor holds what one drum brings; where a fact is missing, that it is."""
    tank = treated_as(drain)
    if drain.valve in (ValvePosition.OPEN, ValvePosition.SHUT, ValvePosition.UNKNOWN):
        stands = "open" if drain.valve is ValvePosition.OPEN else f"{drain.valve}, not proven shut"
        return f"its {tank} holds nothing while its valve is {stands}"
    said = []
    products = _products(view, times)
    if tank is DrainDestination.INTERCEPTOR:
        passing = [each.name for each in products if Trait.WATER_MISCIBLE in each.traits or not each.identified]
        unsure = [each.name for each in products if each.name not in passing and Trait.FLOATS not in each.traits]
        if passing:
            said.append(f"the interceptor lets through {named(passing, _NAMED)}")
        if unsure:
            floats = "floats" if len(unsure) == 1 else "float"
            said.append(f"that {named(unsure, _NAMED)} {floats} is not on record")
        if products and not passing and not unsure:
            said.append("what reaches it floats")
    most = max((time.litres for time in times if time.litres is not None), default=0.0)
    if drain.free_volume_l is None:
        said.append(f"free volume of its {tank} not recorded: whether it holds one drum is not known")
    elif any(time.litres is None for time in times):
        said.append(f"{litres_and_gallons(drain.free_volume_l)} free; how much comes through sumps is not known")
    else:
        enough = "holds" if drain.free_volume_l >= most else "does not hold"
        brought = f"the {litres_and_gallons(most)} that one drum brings at most"
        said.append(f"{litres_and_gallons(drain.free_volume_l)} free: {enough} {brought}")
    return "; ".join(said)


def _products(view: FloorView, times: Sequence[DrainTime]) -> list[Product]:
    names = {time.product for time in times}
    stored = {drum.product.key: drum.product for pallet in view.floor.pallets for drum in pallet.drums}
    return sorted((each for each in stored.values() if each.name in names), key=lambda each: each.name)


def _fills(view: FloorView, drain: DrainFact, times: Sequence[DrainTime]) -> Iterator[Fill]:
    free_l = drain.free_volume_l or 0.0
    reaching = {time.pallet for time in times}
    drums = [drum for pallet in view.floor.pallets if pallet.name in reaching for drum in pallet.drums]
    yield from fills_of(free_l, drums)
    water = _sprinkler_l_min(view.floor)
    if water is not None:
        yield Fill("sprinkler water over the design area", water, full_in_min(free_l, water))


def _sprinkler_l_min(floor: FloorFact) -> float | None:
    """Give the sprinkler water on a floor [L/min]: the most of any system; None where one has no density on record."""
    flows = []
    for each in floor.sprinklers:
        covered = floor.outline.area if each.covers is None else each.covers.area
        area = covered if each.design_area_m2 is None else min(covered, each.design_area_m2)
        if each.density_mm_min is None:
            return None
        flows.append(sprinkler_l_min(each.density_mm_min, area))
    return max(flows, default=None)
