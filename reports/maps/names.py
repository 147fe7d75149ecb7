"""Which names go on a map, in which order they take the room, and what each says."""

from reports.assessment import DrainAssessment, FloorAssessment, PalletAssessment, ZoneAssessment
from reports.maps.frame import Box
from reports.maps.ground import around, drain_point
from reports.maps.ink import DRAIN, INK, PAPER, WORST, element, polygons
from reports.maps.lettering import NAME_PT, text_width_pt
from reports.maps.sheet import Sheet
from reports.maps.symbols import WORST_RANKS, rank_badge

STOP_WORD = "STOP"
_FEW, _CROWDED_PT_PER_M = 24, 6.5
"""With more pallets than this, at a smaller scale than this, only pallets with a STOP line are named on a floor map:
more names would hide what a crew looks for [pt/m]."""
_BADGE_PT = 14.0
_WIDE_BADGE_PT = 19.0
_MOST_ZONE_PT = 150.0
_ROOM_PT = 8.0
"""A title is lettered only where its area is wider than it by this much; the name alone stands anywhere [pt]."""


def drain_lines(drain: DrainAssessment) -> tuple[str, str]:
    """Name with the destination acted on, queried until proven, and the state of its proof."""
    if drain.proven:
        return f"{drain.name} → {drain.treated_as}", f"proven: {drain.proof}"
    return f"{drain.name} → {drain.treated_as}?", "unproven"


def name_drains(sheet: Sheet, plan: FloorAssessment) -> None:
    """Drains come first: where liquid goes decides the first actions."""
    for drain in plan.drains:
        if drain.shape is None:
            continue
        drawn = sheet.frame.drawn(drain.shape)
        if drawn.is_empty:
            continue
        at = drain_point(drawn)
        sheet.named(drain.name, drain_lines(drain), around(at.x, at.y), ink=DRAIN, most_pt=120)


def name_zones(sheet: Sheet, plan: FloorAssessment) -> None:
    """Rank and name in a corner of each storage zone."""
    for zone in plan.zones:
        drawn = polygons(sheet.frame.drawn(zone.outline))
        if not drawn.is_empty:
            _name_zone(sheet, zone, Box(*drawn.bounds))


def _name_zone(sheet: Sheet, zone: ZoneAssessment, thing: Box) -> None:
    text = f"{zone.name} {zone.title}".strip()
    indent = _BADGE_PT if zone.rank < 10 else _WIDE_BADGE_PT
    if text_width_pt(text, NAME_PT, bold=True) > min(_MOST_ZONE_PT, thing.width - indent - _ROOM_PT):
        text = zone.name
    box = sheet.named(zone.name, (text,), thing, corners=True, ink=WORST, indent_pt=indent, most_pt=_MOST_ZONE_PT)
    if box is not None:
        badge = element(sheet.layer("names"), "g", class_="rank")
        rank_badge(badge, box.left, box.low, zone.rank, worst=zone.rank <= WORST_RANKS)


def name_pallets(sheet: Sheet, pallets: tuple[PalletAssessment, ...], *, detail: bool, every_one: bool) -> None:
    """Pallets with a STOP line first, white on black with the word itself.

    `every_one` names the others too where they crowd: on a drawing that its reader can enlarge.
    """
    crowded = not (detail or every_one) and len(pallets) > _FEW and sheet.frame.pt_per_m < _CROWDED_PT_PER_M
    if crowded:
        sheet.notes.append("Pallets without a STOP line are named on the maps of their storage zones.")
    for pallet in sorted(pallets, key=lambda each: not each.stopped_drums):
        if crowded and not pallet.stopped_drums:
            continue
        drawn = polygons(sheet.frame.drawn(pallet.footprint))
        if drawn.is_empty:
            continue
        stopped = bool(pallet.stopped_drums)
        title = f"{STOP_WORD} {pallet.name}" if stopped else pallet.name
        sheet.named(
            pallet.name,
            (title, *_detail(pallet)) if detail else (title,),
            Box(*drawn.bounds),
            shorter=(title,),
            inside=not stopped,
            ink=PAPER if stopped else INK,
            ground=INK if stopped else PAPER,
            most_pt=130 if detail else 84,
        )


def _detail(pallet: PalletAssessment) -> tuple[str, ...]:
    first = pallet.products[0] if pallet.products else "nothing recorded"
    more = f" + {len(pallet.products) - 1} more" if len(pallet.products) > 1 else ""
    return (f"{pallet.drums + pallet.empty} × {first}{more}",)


def name_the_rest(sheet: Sheet, plan: FloorAssessment) -> None:
    """Sumps and heat sources take what room is left."""
    frame = sheet.frame
    for name, at in (*plan.sumps, *plan.heat_sources):
        if frame.view.covers(at.x, at.y):
            x, y = frame.of(at)
            sheet.named(name, (name,), around(x, y), most_pt=70)
