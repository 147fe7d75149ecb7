"""Where liquid goes and what holds it: drains, doors, containment."""

from collections.abc import Iterator, Sequence
from math import inf

from geometry.units import l_min_and_gpm, litres_and_gallons, metres_and_feet, mm_and_inches, square_metres_and_feet
from reports.assessment import (
    OVER_THE_FLOOR,
    ContainmentAssessment,
    DoorAssessment,
    DrainAssessment,
    DrainReach,
    DrainTime,
    FloorAssessment,
    Order,
    Verdict,
)
from reports.maps import Grid
from reports.minutes import arrival_text, minutes_text, span_of_time
from reports.preplan.front import drain_goes_to, drain_proof
from reports.preplan.plan import (
    ContainmentRow,
    ContainmentTable,
    DoorText,
    DrainPart,
    Pairs,
    ReachText,
)
from reports.preplan.words import NOT_RECORDED, bare, basis, capital, distance, sentence, span
from reports.wording import counted, listed

_NO_VALVE = "no valve"
_MOST_COLUMNS = 4
"""Bunds side by side in one table."""


def drain_part(drain: DrainAssessment, floor: FloorAssessment, grid: Grid) -> DrainPart:
    """Word one drain."""
    there = {reach.pallet for reach in drain.reaches if reach.verdict is not Verdict.NOT_REACHED}
    there.update(_through_sumps(drain, floor))
    far = list(dict.fromkeys(reach.pallet for reach in drain.reaches if reach.pallet not in there))
    return DrainPart(
        name=drain.name,
        title=f"{drain.name}, {drain.kind} → {drain_goes_to(drain)}",
        proven=drain.proven,
        facts=(*_drain_facts(drain, floor, grid), *_drain_times(drain, floor)),
        remarks=tuple(sentence(remark) for remark in drain.remarks),
        reaches=tuple(_reach(reach, floor) for reach in drain.reaches if reach.verdict is not Verdict.NOT_REACHED),
        not_reached=listed(far),
    )


def _drain_facts(drain: DrainAssessment, floor: FloorAssessment, grid: Grid) -> Iterator[tuple[str, str]]:
    yield "Proof", drain_proof(drain) or "none"
    place = "not found" if drain.shape is None else f"square {grid.reference(drain.shape.centroid)}, {drain.found}"
    yield "Place", f"{place}{', outdoors' if drain.outdoors else ''}"
    details = [claim.detail for claim in drain.other_claims if claim.detail]
    if details:
        yield "Other statements", "; ".join(details)
    if drain.valve != _NO_VALVE:
        holder = f", key: {drain.valve_key_holder}" if drain.valve_key_holder else ""
        yield "Valve", f"{drain.valve}, {bare(drain.valve_where) or 'place ' + NOT_RECORDED}{holder}"
    if drain.through_sumps:
        pallets = _through_sumps(drain, floor)
        of = f": {listed(pallets)}" if pallets else ""
        yield "Through sumps", f"from storage zone {listed(drain.through_sumps)}{of}"


def _through_sumps(drain: DrainAssessment, floor: FloorAssessment) -> list[str]:
    """Name the pallets whose liquid gets to a drain through a sump."""
    here = (time for time in floor.drain_times if time.target == f"drain {drain.name}")
    return sorted({time.pallet for time in here if time.way != OVER_THE_FLOOR})


def _drain_times(drain: DrainAssessment, floor: FloorAssessment) -> Iterator[tuple[str, str]]:
    clock = next((each for each in floor.drain_clocks if each.drain == drain.name), None)
    if clock is None:
        return
    if clock.first is not None:
        when = minutes_text(clock.first.early_min, clock.late_min, clock.beside)
        people = f"{_ahead_of(clock.engine, 'the first engine')}, {_ahead_of(clock.technicians, 'the technicians')}"
        yield "First reached", f"by {_whom(clock.first, clock.surest)}, {when}: {people}"
    elif drain.shape is None:
        yield "First reached", "time unknown"
    if clock.holds:
        yield "Holds", clock.holds
    if clock.free_l is not None:
        filled = [f"{fill.by} in {span_of_time(fill.minutes)}" for fill in clock.fills if fill.minutes is not None]
        yield "Full", listed(filled) or "one drum does not fill it"


def _whom(first: DrainTime, surest: DrainTime | None) -> str:
    """Name whoever may be there first, and whoever surely is where that is another."""
    way = "" if first.way == OVER_THE_FLOOR else f" {first.way}"
    later = (
        "" if surest is None or surest.pallet == first.pallet else f" at the soonest and {surest.pallet} at the latest"
    )
    return f"{first.pallet}{way}{later}"


def _ahead_of(order: Order, people: str) -> str:
    words = {
        Order.BEFORE: f"before {people}",
        Order.MAYBE: f"maybe before {people}",
        Order.AFTER: f"after {people}",
        Order.UNKNOWN: f"{people}: travel time not recorded",
    }
    return words[order]


def _arrival(reach: DrainReach, floor: FloorAssessment) -> str:
    beside = next((clock.beside for clock in floor.drain_clocks if clock.drain == reach.drain), ())
    found = [
        arrival_text(time, beside)
        for time in floor.drain_times
        if (time.target, time.pallet, time.way) == (f"drain {reach.drain}", reach.pallet, OVER_THE_FLOOR)
        and time.product in reach.products
    ]
    return capital("; ".join(found)) or "time unknown"


def _reach(reach: DrainReach, floor: FloorAssessment) -> ReachText:
    mixes = {True: "mixes with water", False: "does not mix", None: "not known"}[reach.water_miscible]
    depth = reach.critical_depth_mm
    return ReachText(
        pallet=reach.pallet,
        products=listed(reach.products),
        verdict=reach.verdict.value,
        gap=distance(reach.gap),
        drum_distance=span(reach.drum_distance_m, metres_and_feet, low="nearest", high="farthest"),
        critical_depth="cut off" if depth is None else span(depth, mm_and_inches, low="farthest", high="nearest"),
        litres=span(reach.litres, litres_and_gallons, low="thick film", high="thin film"),
        mixes=mixes,
        arrival=_arrival(reach, floor),
    )


def door_text(door: DoorAssessment) -> DoorText:
    """Word what gets out of one door."""
    sill = "sill not recorded" if door.sill_mm is None else f"sill {mm_and_inches(door.sill_mm)}"
    tight = {"yes": "tight", "no": "not tight"}.get(door.tight, "tightness not known")
    blocked = f"; blocked for people: {bare(door.blocked)}" if door.blocked else ""
    out = door.verdict is not Verdict.NOT_REACHED
    zones = f"; storage zone{'s' if len(door.zones) > 1 else ''} {listed(door.zones)}" if door.zones else ""
    first = door.first
    late_min = None if door.surest is None else door.surest.late_min
    when = minutes_text(first.early_min, late_min, door.beside) if first else ""
    return DoorText(
        name=door.name,
        holds=f"{capital(sill)}, {tight}, normally {door.normally}: {door.assumed}{blocked}",
        verdict=door.verdict.value,
        litres=span(door.litres, litres_and_gallons, low="thick film", high="thin film") if out else "0 L",
        source=f"{door.pallet}{zones}" if door.pallet is not None else "–",
        arrival=f"{capital(when)}, {_whom(first, door.surest)}" if first else "–",
    )


def containment_tables(containment: Sequence[ContainmentAssessment]) -> tuple[ContainmentTable, ...]:
    """Set bunds side by side, a few to a table."""
    return tuple(
        _containment_table(containment[start : start + _MOST_COLUMNS])
        for start in range(0, len(containment), _MOST_COLUMNS)
    )


def _containment_table(held: Sequence[ContainmentAssessment]) -> ContainmentTable:
    facts = [_containment_facts(each) for each in held]
    rows = [
        ContainmentRow(heading, tuple(each[place][1] for each in facts), (), rule=False)
        for place, (heading, _) in enumerate(facts[0])
    ]
    names = dict.fromkeys(rule.name for each in held for rule in each.rules)
    return ContainmentTable(
        tuple(capital(each.name) for each in held), (*rows, *(_rule_row(name, held) for name in names))
    )


def _containment_facts(held: ContainmentAssessment) -> Pairs:
    lip = f"{square_metres_and_feet(held.area_m2)} × {mm_and_inches(held.lip_mm)}"
    overflow = "no sprinkler water recorded"
    if held.sprinkler_l_min is not None and held.overflow_min is not None:
        overflow = f"{l_min_and_gpm(held.sprinkler_l_min)} reaches the lip in {held.overflow_min:.1f} min"
    return (
        ("Storage zones", listed(held.zones) or "none"),
        ("Liquid stored", f"{litres_and_gallons(held.stored_l)} in {counted(held.drums, 'drum')}"),
        ("Up to the lip", f"{litres_and_gallons(held.geometric_l)}: {lip}"),
        ("Outlets", listed(held.open_outlets) or "none open"),
        ("Counts as", litres_and_gallons(held.capacity_l)),
        ("Sprinkler water", overflow),
        ("One hose", _filled(held, "water from one hose")),
        ("Leak of one drum", _filled(held, "the leak of one drum")),
        ("Assumed", held.assumption),
    )


def _filled(held: ContainmentAssessment, by: str) -> str:
    """Say when one kind of inflow reaches the lip: the soonest of those there are."""
    fills = [fill for fill in held.fills if fill.by.startswith(by)]
    if not fills:
        return "–"
    soonest = min(fills, key=lambda fill: inf if fill.minutes is None else fill.minutes)
    if soonest.minutes is None:
        return "does not reach the lip"
    rate = "" if soonest.l_min is None else f"{l_min_and_gpm(soonest.l_min)} "
    return f"{rate}reaches the lip in {span_of_time(soonest.minutes)}"


def _rule_row(name: str, held: Sequence[ContainmentAssessment]) -> ContainmentRow:
    cells, bases = [], []
    for each in held:
        rule = next((rule for rule in each.rules if rule.name == name), None)
        if rule is None:
            cells.append("–")
            continue
        needed = "not known" if rule.needed_l is None else litres_and_gallons(rule.needed_l)
        cells.append(f"{needed}: {'held' if rule.held else 'not held'}")
        bases.append(basis(rule.cite))
    return ContainmentRow(capital(name), tuple(cells), tuple(dict.fromkeys(bases)), rule=True)
