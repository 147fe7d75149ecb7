"""The two drawings: a floor with everything on it, and one storage zone with its pallets in detail."""

from dataclasses import dataclass
from math import inf

from reports.assessment import Assessment, FloorAssessment, PalletAssessment, ZoneAssessment
from reports.maps.frame import Box, framed, reads_turned
from reports.maps.grid import Grid, extent_of, grid_of
from reports.maps.ground import draw_floor, draw_hazards_of_place, draw_margin, draw_plumbing, note_missing_drains
from reports.maps.legend import (
    SIDE_PT,
    LegendEntry,
    draw_bearings,
    draw_legend_below,
    draw_legend_beside,
    legend_entries,
    notes_under,
)
from reports.maps.names import name_drains, name_pallets, name_the_rest, name_zones
from reports.maps.sheet import Sheet
from reports.maps.stock import (
    draw_actions,
    draw_liquid,
    draw_pairs,
    draw_pallet,
    draw_stand_off,
    draw_zone,
    note_far_pallets,
)

FLOOR_WIDTH_PT = 530.0
FLOOR_HEIGHT_PT = 400.0
ZONE_WIDTH_PT = 530.0
ZONE_HEIGHT_PT = 200.0
_GUTTER_LEFT_PT = 15.0
_GUTTER_TOP_PT = 11.0
_MOST_PT_PER_M = 60.0
_FLOOR_MARGIN_SHARE = 0.03
_ZONE_MARGIN_M = 1.5
_LEAST_HEIGHT_PT = 90.0
"""A drawing is at least this high, so that names fit round a very small floor [pt]."""
_GAP_PT = 6.0
_FIRST_ACTIONS = 3
_MOST_IN_DETAIL = 14
_FEW_PALLETS = 6
"""A storage zone with more pallets than this gets the whole width for their names, and its legend below."""


@dataclass(frozen=True, slots=True)
class _Scene:
    """What one drawing shows."""

    title: str
    view: Box
    pallets: tuple[PalletAssessment, ...]
    wetting: tuple[PalletAssessment, ...]
    detail: bool
    every_name: bool
    products: bool = False
    """Whether a pallet's name has its products under it."""


@dataclass(frozen=True, slots=True)
class FloorDrawing:
    """A floor map whose legend and notes stand beside it, in the type of the page that holds it."""

    svg: str
    legend: tuple[LegendEntry, ...]
    notes: tuple[str, ...]


def floor_map(
    floor: FloorAssessment,
    assessment: Assessment,
    *,
    width_pt: float = FLOOR_WIDTH_PT,
    height_pt: float = FLOOR_HEIGHT_PT,
    prefix: str = "",
) -> str:
    """Draw a floor.

    Parameters
    ----------
    floor
        The floor, its shapes in metres.
    assessment
        The assessment it belongs to: stand-off, first actions and the site's name.
    width_pt, height_pt
        Width of drawing and legend; height of the drawing, under or beside which the legend comes [pt].
    prefix
        Put before every identifier, where one page holds several drawings of the same floor.

    Returns
    -------
    str
        An SVG element with a `<title>`, at its printed size.

    Notes
    -----
    The scale never exceeds 60 pt/m; a floor much taller than wide is turned a quarter, which the north arrow shows.
    A name that finds no room without lying on another is listed under the legend.
    """
    return _drawn(_whole(floor, assessment, every_name=False), floor, assessment, width_pt, height_pt, prefix)


def floor_drawing(
    floor: FloorAssessment,
    assessment: Assessment,
    *,
    width_pt: float = FLOOR_WIDTH_PT,
    height_pt: float = FLOOR_HEIGHT_PT,
    prefix: str = "",
) -> FloorDrawing:
    """Draw a floor as `floor_map` does, with only north and scale under it, and every pallet named.

    Parameters
    ----------
    floor, assessment, width_pt, height_pt, prefix
        As for `floor_map`.

    Returns
    -------
    FloorDrawing
        The map, and what `floor_map` sets under it.
    """
    grid = grid_of(floor)
    scene = _whole(floor, assessment, every_name=True)
    sheet = _sheet(scene, floor, assessment, width_pt, height_pt, prefix, strip=False)
    end = draw_bearings(sheet, grid, floor.north_deg, 0.0, sheet.frame.sheet.high + _GAP_PT)
    return FloorDrawing(sheet.finished(width_pt, end), legend_entries(sheet), notes_under(sheet))


def _whole(floor: FloorAssessment, assessment: Assessment, *, every_name: bool) -> _Scene:
    extent = extent_of(floor)
    return _Scene(
        title=f"Map of {floor.name}, {assessment.site}",
        view=extent.grown(_FLOOR_MARGIN_SHARE * max(extent.width, extent.height)),
        pallets=floor.pallets,
        wetting=floor.pallets,
        detail=False,
        every_name=every_name,
    )


def zone_map(
    zone: ZoneAssessment,
    floor: FloorAssessment,
    assessment: Assessment,
    *,
    width_pt: float = ZONE_WIDTH_PT,
    height_pt: float = ZONE_HEIGHT_PT,
) -> str:
    """Draw one storage zone and its surroundings, each pallet with its products and count.

    Parameters
    ----------
    zone
        The storage zone; it need not lie inside the floor.
    floor, assessment
        Where it belongs.
    width_pt, height_pt
        Width of drawing and legend; height of the drawing, under or beside which the legend comes [pt].

    Returns
    -------
    str
        An SVG element with a `<title>`; its identifiers start with the zone's, so that it can share a page.
    """
    own = tuple(pallet for pallet in floor.pallets if pallet.name in zone.pallets)
    bounds = [zone.outline.bounds, *(pallet.footprint.bounds for pallet in own)]
    left, low, right, high = zip(*bounds, strict=True)
    view = Box(min(left), min(low), max(right), max(high)).grown(_ZONE_MARGIN_M)
    seen = view.shape()
    scene = _Scene(
        title=f"Map of storage zone {zone.name}, {assessment.site}",
        view=view,
        pallets=tuple(pallet for pallet in floor.pallets if pallet.footprint.intersects(seen)),
        wetting=own,
        detail=True,
        products=len(own) <= _MOST_IN_DETAIL,
        every_name=True,
    )
    full = len(own) > _FEW_PALLETS
    return _drawn(scene, floor, assessment, width_pt, height_pt, f"in-{zone.id}-", strip=not full)


def _drawn(
    scene: _Scene,
    floor: FloorAssessment,
    assessment: Assessment,
    width_pt: float,
    height_pt: float,
    prefix: str,
    *,
    strip: bool = True,
) -> str:
    """Draw with the legend in the strip beside, where there is one, unless the sheet is lower with it below."""
    grid = grid_of(floor)
    beside = _sheet(scene, floor, assessment, width_pt, height_pt, prefix, strip=strip)
    edge = beside.frame.sheet
    has_strip = width_pt - edge.right >= SIDE_PT
    end = edge.high + 1
    if has_strip:
        end = max(end, draw_legend_beside(beside, grid, floor.north_deg, edge.right + _GAP_PT, width_pt))
        if end == edge.high + 1:
            return beside.finished(width_pt, end)
    below = _sheet(scene, floor, assessment, width_pt, height_pt, prefix, strip=False)
    low = draw_legend_below(below, grid, floor.north_deg, width_pt, below.frame.sheet.high + _GAP_PT)
    return beside.finished(width_pt, end) if has_strip and end <= low else below.finished(width_pt, low)


def _sheet(
    scene: _Scene,
    floor: FloorAssessment,
    assessment: Assessment,
    width_pt: float,
    height_pt: float,
    prefix: str,
    *,
    strip: bool,
) -> Sheet:
    frame = framed(
        scene.view,
        width_pt=width_pt - _GUTTER_LEFT_PT - 1,
        height_pt=height_pt - _GUTTER_TOP_PT,
        left_pt=_GUTTER_LEFT_PT,
        top_pt=_GUTTER_TOP_PT,
        most_pt_per_m=_MOST_PT_PER_M,
        least_height_pt=_LEAST_HEIGHT_PT,
        strip_pt=SIDE_PT + _GAP_PT if strip else inf,
        turned=reads_turned(extent_of(floor)),
    )
    sheet = Sheet(frame, scene.title, prefix)
    _draw(sheet, scene, floor, assessment, grid_of(floor))
    return sheet


def _draw(sheet: Sheet, scene: _Scene, floor: FloorAssessment, assessment: Assessment, grid: Grid) -> None:
    draw_floor(sheet, floor, grid)
    draw_liquid(sheet, floor, scene.wetting)
    for zone in sorted(floor.zones, key=lambda each: -each.rank):
        draw_zone(sheet, zone, floor.pallets)
    draw_plumbing(sheet, floor)
    draw_hazards_of_place(sheet, floor)
    for pallet in scene.pallets:
        draw_pallet(sheet, pallet)
    draw_stand_off(sheet, assessment, floor)
    here = tuple(act for act in assessment.first_actions[:_FIRST_ACTIONS] if act.floor == floor.name)
    draw_actions(sheet, here, beyond=not scene.detail)
    name_drains(sheet, floor)
    if not scene.detail:
        note_missing_drains(sheet, floor)
        note_far_pallets(sheet, floor.pallets)
    name_zones(sheet, floor)
    if scene.detail:
        own = {pallet.name for pallet in scene.wetting}
        draw_pairs(sheet, floor, own)
    name_pallets(sheet, scene.pallets, detail=scene.products, every_one=scene.every_name)
    name_the_rest(sheet, floor)
    draw_margin(sheet, grid)
