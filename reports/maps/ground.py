"""What does not move: the floor, what bounds it, and what leads liquid away or heat and water in."""

from math import hypot

from shapely import LineString, Point, box
from shapely.geometry.base import BaseGeometry

from reports.assessment import DrainAssessment, FloorAssessment
from reports.maps.frame import Box
from reports.maps.grid import Grid
from reports.maps.ink import DRAIN, FAINT, FLOOR, INK, LIQUID, PAPER, YARD, element, lettered, lines, path_of, polygons
from reports.maps.lettering import SMALL_PT, shortened
from reports.maps.sheet import Sheet
from reports.maps.symbols import (
    DASH_BUND,
    DASH_PIPE,
    Symbol,
    arrow_in,
    crossed,
    gully,
    heat,
    inlet,
    pit,
    sump,
    trench,
    unseen_ring,
    water_drop,
)

_SEEN = "seen"
_DRAIN_SIGNS = {"gully": Symbol.GULLY, "trench": Symbol.TRENCH, "inlet": Symbol.INLET, "pit": Symbol.PIT}
_DRAIN_MARKS = {Symbol.GULLY: gully, Symbol.TRENCH: trench, Symbol.INLET: inlet, Symbol.PIT: pit}
_SIGN_PT = 6.0
"""Half the side of the box kept free round a small sign [pt]."""
_BUND_INSET_PT = 3.0
_NOTED_NAME_PT = 90.0
_GRID_ROOM_PT = 9.0
"""A square of the grid with less room than this stays without its letter or number [pt]."""
_LIGHT, _HEAVY = 1.0, 4.0
"""How much a name is worth moving to leave a line or a sign clear."""


def around(x: float, y: float, half_pt: float = _SIGN_PT) -> Box:
    """The box of a small sign on the sheet."""
    return Box(x - half_pt, y - half_pt, x + half_pt, y + half_pt)


def draw_floor(sheet: Sheet, plan: FloorAssessment, grid: Grid) -> None:
    """Yard, floor and grid lines, then outline, walls, bunds and doors."""
    ground, frame = sheet.layer("ground"), sheet.frame
    for _, surface in plan.surfaces:
        yard = path_of(polygons(frame.drawn(surface)))
        if yard:
            element(sheet.sign("ground", Symbol.YARD), "path", d=yard, fill=YARD, stroke=FAINT, stroke_width=0.8)
    element(ground, "path", d=path_of(polygons(frame.drawn(plan.outline))), fill=FLOOR)
    _draw_grid(sheet, grid)
    for shape in (plan.outline.boundary, *(wall for _, wall in plan.walls)):
        way = path_of(lines(frame.drawn(shape)))
        if way:
            element(sheet.sign("fabric", Symbol.WALL), "path", d=way, fill="none", stroke=INK, stroke_width=2.3)
    for name, outline in plan.bunds:
        # A kerb often runs along the edge of its storage zone: drawn just inside, both stay visible.
        inner = outline.buffer(-_BUND_INSET_PT / frame.pt_per_m)
        edge = path_of(lines(frame.drawn((outline if inner.is_empty else inner).boundary)))
        if edge:
            bund = sheet.sign("fabric", Symbol.BUND, data_bund=name)
            element(bund, "path", d=edge, fill="none", stroke=INK, stroke_width=2.2, stroke_dasharray=DASH_BUND)
    for name, shape, blocked in plan.doors:
        _draw_door(sheet, plan, name, shape, blocked=blocked)


def _draw_grid(sheet: Sheet, grid: Grid) -> None:
    frame = sheet.frame
    right, low = grid.left + grid.columns * grid.pitch_m, grid.high - grid.rows * grid.pitch_m
    rules = [
        LineString([(grid.left + n * grid.pitch_m, low), (grid.left + n * grid.pitch_m, grid.high)])
        for n in range(grid.columns + 1)
    ]
    rules += [
        LineString([(grid.left, grid.high - n * grid.pitch_m), (right, grid.high - n * grid.pitch_m)])
        for n in range(grid.rows + 1)
    ]
    ways = "".join(path_of(lines(frame.drawn(rule))) for rule in rules)
    element(sheet.layer("ground"), "path", d=ways, fill="none", stroke=FAINT, stroke_width=0.4, class_="grid")


def _draw_door(sheet: Sheet, plan: FloorAssessment, name: str, shape: BaseGeometry, *, blocked: bool) -> None:
    drawn = lines(sheet.frame.drawn(shape))
    if drawn.is_empty:
        return
    sign = sheet.sign("fabric", Symbol.BLOCKED_DOOR if blocked else Symbol.DOOR, data_door=name)
    way = path_of(drawn)
    element(sign, "path", d=way, fill="none", stroke=INK, stroke_width=4.4)
    element(sign, "path", d=way, fill="none", stroke=PAPER, stroke_width=2.8)
    middle = drawn.interpolate(0.5, normalized=True) if isinstance(drawn, LineString) else drawn.centroid
    if blocked:
        crossed(sign, middle.x, middle.y)
        sheet.placer.keep_off(around(middle.x, middle.y, 4), _HEAVY)
    if name in plan.main_entrances:
        entrance = sheet.sign("marks", Symbol.ENTRANCE)
        toward = _inward(sheet, plan, shape)
        tip_x, tip_y = middle.x - 2.6 * toward[0], middle.y - 2.6 * toward[1]
        arrow_in(entrance, tip_x, tip_y, toward)
        sheet.placer.keep_off(around(tip_x - 5 * toward[0], tip_y - 5 * toward[1]), _HEAVY)


def _inward(sheet: Sheet, plan: FloorAssessment, door: BaseGeometry) -> tuple[float, float]:
    """Unit vector on the sheet from outside a door to inside."""
    (x0, y0), (x1, y1) = door.coords[0][:2], door.coords[-1][:2]
    long = hypot(x1 - x0, y1 - y0) or 1.0
    across_x, across_y = -(y1 - y0) / long, (x1 - x0) / long
    middle = door.interpolate(0.5, normalized=True)
    if not plan.outline.covers(Point(middle.x + 0.2 * across_x, middle.y + 0.2 * across_y)):
        across_x, across_y = -across_x, -across_y
    a = sheet.frame.at(middle.x, middle.y)
    b = sheet.frame.at(middle.x + across_x, middle.y + across_y)
    reach = hypot(b[0] - a[0], b[1] - a[1])
    return (b[0] - a[0]) / reach, (b[1] - a[1]) / reach


def draw_plumbing(sheet: Sheet, plan: FloorAssessment) -> None:
    """Pipes, sumps and drains with their destinations."""
    frame = sheet.frame
    for name, shape, passes in plan.pipes:
        drawn = lines(frame.drawn(shape))
        if not drawn.is_empty:
            sign = sheet.sign("drains", Symbol.PIPE if passes else Symbol.PLUGGED_PIPE, data_pipe=name)
            style = {"stroke": DRAIN, "stroke_dasharray": DASH_PIPE} if passes else {"stroke": FAINT}
            element(sign, "path", d=path_of(drawn), fill="none", stroke_width=1.8, **style)
    for name, at in plan.sumps:
        if frame.view.covers(at.x, at.y):
            sign = sheet.sign("drains", Symbol.SUMP, data_sump=name)
            x, y = frame.of(at)
            sump(sign, x, y)
            sheet.placer.keep_off(around(x, y), _HEAVY)
    for drain in plan.drains:
        if drain.shape is not None and drain.shape.intersects(frame.view.shape()):
            _draw_drain(sheet, drain, drain.shape)


def note_missing_drains(sheet: Sheet, plan: FloorAssessment) -> None:
    """Say which drains are not drawn: an outlet nobody found still takes liquid."""
    for drain in plan.drains:
        if drain.shape is None:
            sheet.notes.append(f"{_brief(drain.name)} ({drain.kind}) is not drawn: its place was not found.")
        elif not drain.shape.intersects(sheet.frame.view.shape()):
            sheet.notes.append(f"{_brief(drain.name)} ({drain.kind}) is not drawn: its recorded place lies far away.")


def _brief(name: str) -> str:
    return shortened(name, _NOTED_NAME_PT, SMALL_PT)


def _draw_drain(sheet: Sheet, drain: DrainAssessment, shape: BaseGeometry) -> None:
    symbol = _DRAIN_SIGNS.get(drain.kind, Symbol.PIT)
    sign = sheet.sign("drains", symbol, id=f"{sheet.prefix}drain-{drain.id}", data_drain=drain.name)
    drawn = sheet.frame.drawn(shape)
    areas, ways = path_of(polygons(drawn)), path_of(lines(drawn))
    if areas:
        element(sign, "path", d=areas, fill=PAPER, stroke=DRAIN, stroke_width=1.6)
    if ways:
        element(sign, "path", d=ways, fill="none", stroke=DRAIN, stroke_width=5)
        element(sign, "path", d=ways, fill="none", stroke=PAPER, stroke_width=2.4, stroke_dasharray="1.4 1.4")
        sheet.placer.keep_off(Box(*drawn.bounds).grown(3), _LIGHT)
    at = drain_point(drawn)
    if not (ways and symbol is Symbol.TRENCH):
        _DRAIN_MARKS[symbol](sign, at.x, at.y)
    if drain.found != _SEEN:
        unseen_ring(sheet.sign("drains", Symbol.UNSEEN_DRAIN), at.x, at.y)
    sheet.placer.keep_off(around(at.x, at.y), _HEAVY)


def drain_point(drawn: BaseGeometry) -> Point:
    """The place on the sheet that a drain's sign and name belong to."""
    if isinstance(drawn, LineString):
        return drawn.interpolate(0.5, normalized=True)
    return drawn.representative_point()


def draw_hazards_of_place(sheet: Sheet, plan: FloorAssessment) -> None:
    """Heat sources and places where water comes in; a sign that would stick out of the drawing is left out."""
    frame = sheet.frame
    inner = frame.sheet.grown(-_SIGN_PT)
    for name, shape in plan.water_ingress:
        drawn = frame.drawn(shape)
        if drawn.is_empty:
            continue
        sign = sheet.sign("marks", Symbol.WATER, data_water=name)
        edge = drawn.boundary if path_of(polygons(drawn)) else drawn
        way = path_of(lines(edge))
        if way:
            element(sign, "path", d=way, fill="none", stroke=LIQUID, stroke_width=1, stroke_dasharray="1 2.4")
        at = drain_point(drawn)
        if inner.covers(at.x, at.y):
            water_drop(sign, at.x, at.y)
            sheet.placer.keep_off(around(at.x, at.y), _HEAVY)
    for name, place in plan.heat_sources:
        x, y = frame.of(place)
        if inner.covers(x, y):
            sign = sheet.sign("marks", Symbol.HEAT, data_heat=name)
            heat(sign, x, y)
            sheet.placer.keep_off(around(x, y), _HEAVY)


def draw_margin(sheet: Sheet, grid: Grid) -> None:
    """The edge of the drawing with the grid's letters above and its numbers at the left."""
    margin, frame = sheet.layer("margin"), sheet.frame
    edge = frame.sheet
    element(
        margin,
        "rect",
        x=edge.left,
        y=edge.low,
        width=edge.width,
        height=edge.height,
        fill="none",
        stroke=INK,
        stroke_width=0.7,
    )
    view = frame.view
    for column in range(grid.columns):
        left = grid.left + column * grid.pitch_m
        name = grid.reference(Point(left + grid.pitch_m / 2, grid.high))[0]
        _grid_name(sheet, name, box(left, view.low, left + grid.pitch_m, view.high), above=not frame.turned)
    for row in range(grid.rows):
        high = grid.high - row * grid.pitch_m
        strip = box(view.left, high - grid.pitch_m, view.right, high)
        _grid_name(sheet, str(row + 1), strip, above=frame.turned)


def _grid_name(sheet: Sheet, name: str, strip: BaseGeometry, *, above: bool) -> None:
    """Name a strip of the grid at the middle of its part in view, above the drawing or at its left."""
    drawn, edge = polygons(sheet.frame.drawn(strip)), sheet.frame.sheet
    if drawn.is_empty:
        return
    left, low, right, high = drawn.bounds
    margin = sheet.layer("margin")
    if above and right - left >= _GRID_ROOM_PT:
        lettered(margin, (left + right) / 2, edge.low - 2.4, name, size_pt=SMALL_PT, anchor="middle")
    elif not above and high - low >= _GRID_ROOM_PT:
        lettered(margin, edge.left - 2.6, (low + high) / 2 + 3, name, size_pt=SMALL_PT, anchor="end")
