"""What stands on the floor and what it would do: pallets, storage zones, liquid, stand-off, first actions."""

from math import hypot

from shapely import LineString, Point, STRtree, shortest_line, unary_union

from geometry.layout import quickly_joined
from geometry.units import metres_and_feet, mm_and_inches
from reports.assessment import (
    Assessment,
    FirstAction,
    FloorAssessment,
    PalletAssessment,
    ZoneAssessment,
)
from reports.maps.frame import Box
from reports.maps.ground import around
from reports.maps.ink import (
    ACTION,
    FAINT,
    INK,
    LIQUID,
    PAPER,
    UNKNOWN,
    WORST,
    element,
    lines,
    path_of,
    polygons,
    titled,
)
from reports.maps.lettering import SMALL_PT, shortened
from reports.maps.placing import Wish
from reports.maps.sheet import Sheet
from reports.maps.symbols import (
    ACTION_RADIUS_PT,
    DASH_DISPUTED,
    DASH_STAND_OFF,
    DASH_THIN,
    DASH_ZONE,
    Symbol,
    action_number,
    crossed_out,
)
from reports.tolerance import distance_text
from reports.wording import counted

_EDGE_PT = {1: (2.6, 6.0), 2: (2.0, 4.5), 3: (1.5, 3.0)}
"""Line and hatched band along the edge of the three worst storage zones [pt]."""
_CIRCLE_SEGMENTS = 32
_PALLET_WEIGHT = 2.5
_MOSTLY, _FRINGE_PT = 0.5, 6.0
"""Where pallets cover more than this share of a storage zone, its hatch stands out by this much round it [pt]."""
_NOTED_NAME_PT = 90.0
_NAMED_GAPS = 8
"""How many gaps are lettered in one drawing; the list of neighbour pairs has the others."""


def draw_liquid(sheet: Sheet, plan: FloorAssessment, pallets: tuple[PalletAssessment, ...]) -> None:
    """What one drum of any of these pallets would wet, at both ends of the film range."""
    reaches = [pallet.one_drum for pallet in pallets if pallet.one_drum is not None]
    if not reaches:
        return
    thick = polygons(sheet.frame.drawn(quickly_joined([reach.thick.shape for reach in reaches])))
    thin = polygons(sheet.frame.drawn(quickly_joined([reach.thin.shape for reach in reaches])))
    if not thick.is_empty:
        fill = sheet.hatched(Symbol.THICK, spacing_pt=3.8, width_pt=0.55, turn_deg=45, ink=LIQUID)
        sign = sheet.sign("liquid", Symbol.THICK, f"1 drum, thick film {mm_and_inches(plan.film_mm.high)}")
        way = path_of(thick)
        element(sign, "path", d=way, fill=LIQUID, fill_opacity=0.1, fill_rule="evenodd")
        element(sign, "path", d=way, fill=fill, fill_rule="evenodd", stroke=LIQUID, stroke_width=0.8)
    if not thin.is_empty:
        sign = sheet.sign("liquid", Symbol.THIN, f"1 drum, thin film {mm_and_inches(plan.film_mm.low)}")
        element(sign, "path", d=path_of(thin), fill="none", stroke=LIQUID, stroke_width=1.3, stroke_dasharray=DASH_THIN)


def draw_zone(sheet: Sheet, zone: ZoneAssessment, pallets: tuple[PalletAssessment, ...]) -> None:
    """The edge of a storage zone, heavier for the three worst, hatched where drums are unknown."""
    drawn = polygons(sheet.frame.drawn(zone.outline))
    if drawn.is_empty:
        return
    storage = sheet.layer("storage")
    holder = element(storage, "g", id=f"{sheet.prefix}zone-{zone.id}", data_zone=zone.name)
    titled(holder, f"{zone.rank}. {zone.name}: {zone.headline}")
    if zone.unknown_share > 0:
        sign = sheet.sign("storage", Symbol.UNKNOWN)
        fill = sheet.hatched(Symbol.UNKNOWN, spacing_pt=7, width_pt=1.1, turn_deg=-45, ink=UNKNOWN)
        hatched = drawn if _shows_between(zone, pallets) else drawn.buffer(_FRINGE_PT, join_style="mitre")
        element(sign, "path", d=path_of(hatched), fill=fill, fill_rule="evenodd")
    way = path_of(lines(sheet.frame.drawn(zone.outline.boundary)))
    if zone.rank in _EDGE_PT:
        line_pt, band_pt = _EDGE_PT[zone.rank]
        sign = sheet.sign("storage", Symbol.WORST)
        fill = sheet.hatched(Symbol.WORST, spacing_pt=2.2, width_pt=0.9, turn_deg=90, ink=WORST)
        band = polygons(drawn.difference(drawn.buffer(-band_pt)))
        element(sign, "path", d=path_of(band), fill=fill, fill_rule="evenodd")
        element(sign, "path", d=way, fill="none", stroke=WORST, stroke_width=line_pt)
    else:
        sign = sheet.sign("storage", Symbol.ZONE)
        element(sign, "path", d=way, fill="none", stroke=WORST, stroke_width=1, stroke_dasharray=DASH_ZONE)


def _shows_between(zone: ZoneAssessment, pallets: tuple[PalletAssessment, ...]) -> bool:
    """Whether enough of a storage zone is free of pallets for its hatch to be seen between them."""
    covered = unary_union([pallet.footprint for pallet in pallets if pallet.name in zone.pallets])
    return bool(covered.intersection(zone.outline).area < _MOSTLY * zone.outline.area)


def draw_pallet(sheet: Sheet, pallet: PalletAssessment) -> None:
    """A pallet to scale, as one group that a page can make answer to a tap."""
    drawn = polygons(sheet.frame.drawn(pallet.footprint))
    if drawn.is_empty:
        return
    holder = element(sheet.layer("stock"), "g", id=f"{sheet.prefix}pallet-{pallet.id}", data_pallet=pallet.name)
    titled(holder, pallet_sentence(pallet))
    if pallet.stopped_drums:
        sign, ground = sheet.sign(holder, Symbol.STOP), INK
    elif pallet.base_height_m > 0:
        sign, ground = sheet.sign(holder, Symbol.RAISED), FAINT
    else:
        sign, ground = sheet.sign(holder, Symbol.PALLET), PAPER
    element(sign, "path", d=path_of(drawn), fill=ground, stroke=INK, stroke_width=1)
    if pallet.stopped_drums:
        crossed_out(sign, Box(*drawn.bounds))
    if pallet.disputed:
        ring = path_of(drawn.buffer(2, join_style="mitre"))
        sign = sheet.sign(holder, Symbol.DISPUTED)
        element(sign, "path", d=ring, fill="none", stroke=INK, stroke_width=1.4, stroke_dasharray=DASH_DISPUTED)
    sheet.placer.keep_off(Box(*drawn.bounds), _PALLET_WEIGHT)


def note_far_pallets(sheet: Sheet, pallets: tuple[PalletAssessment, ...]) -> None:
    """Say which pallets are recorded too far from the floor to be drawn."""
    seen = sheet.frame.view.shape()
    for pallet in pallets:
        if not pallet.footprint.intersects(seen):
            name = shortened(pallet.name, _NOTED_NAME_PT, SMALL_PT)
            sheet.notes.append(f"{name} is not drawn: its recorded place lies far away.")


def pallet_sentence(pallet: PalletAssessment) -> str:
    """What a pallet is, in words, for whoever cannot see the drawing."""
    holds = ", ".join(pallet.products) or "nothing recorded"
    count = counted(pallet.drums, "drum")
    empty = f" and {pallet.empty} empty" if pallet.empty else ""
    stop = f". STOP: {', '.join(pallet.stopped_drums)}" if pallet.stopped_drums else ""
    return f"{pallet.name}: {holds}, {count}{empty}{stop}"


def draw_stand_off(sheet: Sheet, assessment: Assessment, plan: FloorAssessment) -> None:
    """The edge of the stand-off where it crosses the drawing; where all of the drawing lies inside, a note says so."""
    stand_off = assessment.stand_off
    if stand_off is None:
        return
    centres = _centres_here(assessment, plan)
    if not centres:
        return
    says = f"stand-off {metres_and_feet(stand_off.metres)} from {_and(stand_off.drums)}"
    inside = unary_union([centre.buffer(stand_off.metres, quad_segs=_CIRCLE_SEGMENTS) for centre in centres])
    edge = lines(sheet.frame.drawn(inside.boundary))
    if edge.is_empty:
        if inside.covers(sheet.frame.view.shape()):
            sheet.notes.append(f"All of this drawing lies inside the {says}.")
        return
    sign = sheet.sign("marks", Symbol.STAND_OFF, says)
    element(sign, "path", d=path_of(edge), fill="none", stroke=PAPER, stroke_width=3, stroke_opacity=0.8)
    element(sign, "path", d=path_of(edge), fill="none", stroke=INK, stroke_width=1.4, stroke_dasharray=DASH_STAND_OFF)


def _centres_here(assessment: Assessment, plan: FloorAssessment) -> tuple[Point, ...]:
    """The centres on one floor: coordinates of another floor would put the ring in a wrong place."""
    stand_off = assessment.stand_off
    if stand_off is None:
        return ()
    if len(assessment.floors) == 1 or len(stand_off.centres) != len(stand_off.drums):
        return stand_off.centres
    here = {drum for pallet in plan.pallets for drum in pallet.stopped_drums}
    return tuple(centre for centre, drum in zip(stand_off.centres, stand_off.drums, strict=True) if drum in here)


def _and(names: tuple[str, ...]) -> str:
    """The first three names, and how many more."""
    if len(names) > 3:
        return f"{', '.join(names[:3])} and {len(names) - 3} more"
    return ", ".join(names)


def draw_actions(sheet: Sheet, actions: tuple[FirstAction, ...], *, beyond: bool) -> None:
    """Numbered discs where the first actions take place.

    With `beyond`, one outside the drawing sits at its edge and points there.
    """
    across = 2 * ACTION_RADIUS_PT + 1
    edge = sheet.frame.sheet.grown(-across)
    for act in actions:
        if act.at is None:
            continue
        outside = not sheet.frame.view.covers(act.at.x, act.at.y)
        if outside and not beyond:
            continue
        x, y = sheet.frame.of(act.at)
        near_x, near_y = min(max(x, edge.left), edge.right), min(max(y, edge.low), edge.high)
        spot = sheet.placer.place(Wish(across, across, around(near_x, near_y, across / 2 + 1.1), inside=True))
        if spot is None:
            sheet.unplaced.append(f"first action {act.order}")
            continue
        disc_x, disc_y = (spot.box.left + spot.box.right) / 2, (spot.box.low + spot.box.high) / 2
        sign = sheet.sign("marks", Symbol.ACTION, data_action=str(act.order))
        away = hypot(x - disc_x, y - disc_y)
        if outside:
            reach = 2.2 * ACTION_RADIUS_PT / away
            x, y = disc_x + (x - disc_x) * reach, disc_y + (y - disc_y) * reach
            sheet.notes.append(f"First action {act.order} lies outside this drawing, where its stroke points.")
        if outside or spot.leader is not None:
            element(sign, "path", d=f"M{disc_x:.1f} {disc_y:.1f}L{x:.1f} {y:.1f}", stroke=ACTION, stroke_width=2)
        action_number(sign, disc_x, disc_y, act.order)


def draw_pairs(sheet: Sheet, plan: FloorAssessment, own: set[str]) -> None:
    """The straight gap, edge to edge, between pallets of these names that react and have nothing between them."""
    footprints = {pallet.name: pallet.footprint for pallet in plan.pallets}
    names = tuple(footprints)
    tree = STRtree([footprints[name] for name in names])
    drawn: set[frozenset[str]] = set()
    for pair in plan.pairs:
        ends = frozenset((pair.a, pair.b))
        if not ends <= own or len(ends) == 1 or ends in drawn:
            continue
        drawn.add(ends)
        gap = shortest_line(footprints[pair.a], footprints[pair.b])
        way = lines(sheet.frame.drawn(gap))
        over = any(names[number] not in ends for number in tree.query(gap, predicate="crosses").tolist())
        if over or not isinstance(way, LineString) or way.length == 0:
            continue
        sign = sheet.sign("marks", Symbol.PAIR, data_pair=f"{pair.a} {pair.b}")
        element(sign, "path", d=path_of(way), stroke=PAPER, stroke_width=5, fill="none")
        element(sign, "path", d=path_of(way), stroke=INK, stroke_width=2.2, fill="none")
        if len(drawn) <= _NAMED_GAPS and pair.separation is not None:
            at = way.interpolate(0.5, normalized=True)
            sheet.named(f"gap {pair.a} to {pair.b}", (distance_text(pair.separation),), around(at.x, at.y, 2))
