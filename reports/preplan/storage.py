"""One section per storage zone: its map, its stock, what must not be done and what may."""

from collections.abc import Mapping

from geometry.units import litres_and_gallons, metres_and_feet
from reports.assessment import (
    Assessment,
    ClockKind,
    ClockLine,
    Dispute,
    FloorAssessment,
    Order,
    PalletAssessment,
    ZoneAssessment,
)
from reports.maps import Grid, grid_of, zone_map
from reports.minutes import line_minutes
from reports.preplan.methods import common_cautions, method_sheets
from reports.preplan.plan import ClockText, Pairs, ReadingText, StockRow, ZonePart
from reports.preplan.provided import (
    absorbent_texts,
    decontamination_texts,
    duty_texts,
    kit_summary,
    monitor_texts,
    overpack_texts,
    protection_text,
)
from reports.preplan.stops import Place, stop_texts
from reports.preplan.words import capital, day, drum_names, sentence
from reports.wording import counted


def zone_part(
    zone: ZoneAssessment, floor: FloorAssessment, assessment: Assessment, places: Mapping[str, Place]
) -> ZonePart:
    """Word one storage zone."""
    grid = grid_of(floor)
    own = [pallet for pallet in floor.pallets if pallet.name in zone.pallets]
    stopped = {stop.drum for stop in zone.stops} | {drum for pallet in own for drum in pallet.stopped_drums}
    return ZonePart(
        rank=zone.rank,
        name=f"{zone.name} {zone.title}".strip(),
        anchor=f"storage-{zone.id}",
        headline=sentence(zone.headline),
        facts=_facts(zone),
        map=zone_map(zone, floor, assessment),
        finding_numbers=tuple(index + 1 for index in zone.findings),
        stock=tuple(_stock_row(pallet, grid) for pallet in own),
        recorded=_common({_recorded(pallet) for pallet in own}),
        sheets=zone.sheets,
        clock=tuple(_clock_line(line) for line in zone.clock),
        clock_note=_clock_note(zone),
        disputes=tuple(reading_text(each) for each in assessment.disputes if each.pallet in zone.pallets),
        stops=stop_texts(zone.stops, places),
        methods=method_sheets(zone.methods, stopped),
        cautions=common_cautions(zone.methods),
        overpacks=tuple(overpack_texts(zone.overpacks, stopped)),
        protection=protection_text(zone.ensemble),
        absorbents=tuple(absorbent_texts(zone.absorbents)),
        duties=duty_texts(zone.duties),
        monitors=monitor_texts(zone.monitors),
        decontamination=decontamination_texts(zone.decontamination),
        kit=kit_summary(zone.kit),
    )


def _facts(zone: ZoneAssessment) -> Pairs:
    empty = f" and {zone.empty} empty" if zone.empty else ""
    of = zone.drums + zone.empty
    return (
        ("Stock", f"{counted(zone.drums, 'drum')}{empty}, {litres_and_gallons(zone.litres)}"),
        ("Known", f"{zone.seen} of {of} seen, {zone.label_read} label read, {zone.identified} identified"),
        ("Tenant", zone.tenant or "not recorded"),
        ("At night", zone.night_contact),
    )


def _clock_line(line: ClockLine) -> ClockText:
    ahead = {Order.BEFORE: "before the first engine", Order.MAYBE: "maybe before the first engine"}
    early = ahead.get(line.engine) if line.engine is not None else None
    return ClockText(
        minutes=line_minutes(line),
        what=f"{line.what}, {early}" if early else line.what,
        detail=capital(line.detail),
        people=line.kind in (ClockKind.FIRST_ENGINE, ClockKind.TECHNICIANS),
    )


def _clock_note(zone: ZoneAssessment) -> str:
    if any(line.kind in (ClockKind.DRAIN, ClockKind.DOOR) for line in zone.clock):
        return ""
    if zone.litres <= 0:
        return "No liquid is recorded here."
    return "One leaking drum gets to no drain or door within the film range."


def _recorded(pallet: PalletAssessment) -> str:
    return f"{day(pallet.recorded_at)}, {pallet.recorded_by}"


def _common(texts: set[str]) -> str:
    return texts.pop() if len(texts) == 1 else ""


def _stock_row(pallet: PalletAssessment, grid: Grid) -> StockRow:
    total = pallet.drums + pallet.empty
    height = f", {metres_and_feet(pallet.base_height_m)} up" if pallet.base_height_m > 0 else ""
    return StockRow(
        pallet=pallet.name,
        square=f"{grid.reference(pallet.at)}{height}",
        products=pallet.products or ("nothing recorded",),
        classes=", ".join(pallet.classes) or "–",
        containers=pallet.containers,
        drums=f"{pallet.drums}" + (f" + {pallet.empty} empty" if pallet.empty else ""),
        volume=litres_and_gallons(pallet.litres),
        known=f"{pallet.seen} / {pallet.label_read} / {pallet.identified} of {total}",
        signs="; ".join(pallet.signs) or "none recorded",
        recorded=_recorded(pallet),
        stopped=drum_names(pallet.stopped_drums),
    )


def reading_text(dispute: Dispute) -> ReadingText:
    """Word a dispute between readings."""
    return ReadingText(dispute.pallet, dispute.readings, sentence(dispute.acted_on), dispute.ask)
