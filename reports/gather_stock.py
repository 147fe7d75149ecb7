"""Pallets, their open readings and the drums of those readings → facts."""

from collections import Counter, defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from math import hypot
from typing import Any
from uuid import UUID, uuid5

import numpy as np
from shapely import Point, Polygon, STRtree, box, unary_union
from shapely.affinity import rotate, translate
from shapely.geometry.base import BaseGeometry

from reports.facts import BreachFact, DrumFact, Flag, FloorFact, PalletFact, ReadingFact
from reports.gather_floor import elsewhere
from reports.gather_sheets import Sheets, product_of
from reports.tolerance import position_tolerance_m
from survey.catalogue.containers import container
from survey.catalogue.product import Form, Product
from survey.catalogue.products import UNIDENTIFIED
from survey.vocabulary import Closure, Inclusion, LabelState, Orientation, Sighting

DRUM_L = 208.198
"""Content of a 55 US gal drum, taken for a drum that nobody has seen."""
LEAST_SIDE_M = 0.05
"""Shortest side of a pallet that is believed; nothing that holds a container is smaller. A judgement."""
SAME_SPOT_SHARE = 0.5
"""Two pallets sharing more than this of their footprint at one height may be one pallet recorded twice; a judgement."""
AGREEING_SOURCES = 2
"""Design rule: a drum is identified when two sources agree."""
Grouped = Mapping[UUID, Sequence[Any]]


def pallet_facts(
    floor: FloorFact, pallets: Sequence[Any], readings: Grouped, drums: Grouped, sheets: Sheets, flags: list[Flag]
) -> FloorFact:
    """Give the floor with its stock; a pallet in no storage zone gets one of its own."""
    ground = unary_union([floor.outline, *(surface.outline for surface in floor.surfaces)])
    facts = []
    for entry in sorted(pallets, key=lambda entry: (entry.name, str(entry.id))):
        footprint = _footprint(entry, flags)
        _check_place(entry, footprint, ground, flags)
        facts.append(_pallet(entry, footprint, floor, _open(readings.get(entry.id, ())), drums, sheets, flags))
    _check_same_spot(facts, flags)
    zones = floor.zones
    if any(pallet.zone_id is None for pallet in facts):
        rest = elsewhere(floor)
        zones = (*zones, rest)
        facts = [replace(pallet, zone_id=rest.id) if pallet.zone_id is None else pallet for pallet in facts]
    return replace(floor, zones=zones, pallets=tuple(facts))


def _open(readings: Sequence[Any]) -> list[Any]:
    """Leave out what was set aside and what a later reading, having seen it, corrected."""
    believed = [reading for reading in readings if reading.inclusion is not Inclusion.SET_ASIDE]
    corrected = {reading.replaces_id for reading in believed}
    standing = [reading for reading in believed if reading.id not in corrected]
    return sorted(standing, key=lambda reading: str(reading.id))


def _pallet(
    entry: Any,
    footprint: Polygon,
    floor: FloorFact,
    readings: list[Any],
    drums: Grouped,
    sheets: Sheets,
    flags: list[Flag],
) -> PalletFact:
    tolerance_m = position_tolerance_m(entry.position_source, entry.tolerance_m)
    found = {
        reading.id: [
            _drum(drum, entry, reading, tolerance_m, sheets, flags)
            for drum in sorted(drums.get(reading.id, ()), key=lambda drum: (drum.name, str(drum.id)))
        ]
        for reading in readings
    }
    governing = _governing(readings, found)
    drums_here = tuple(
        replace(drum, counted=drum.reading_id in governing) for reading in readings for drum in found[reading.id]
    )
    if not drums_here and (not readings or entry.sighting is not Sighting.SEEN):
        drums_here = (_unread(entry, tolerance_m),)
    at = Point(entry.at)
    zones = sorted((zone for zone in floor.zones if zone.outline.covers(at)), key=lambda zone: zone.outline.area)
    return PalletFact(
        id=entry.id,
        name=entry.name,
        recorded_name=entry.name,
        kind=entry.kind,
        floor_id=floor.id,
        zone_id=zones[0].id if zones else None,
        at=at,
        footprint=footprint,
        base_height_m=entry.base_height_m,
        stack_level=entry.stack_level,
        stands_on_id=entry.stands_on_id,
        position_source=entry.position_source,
        tolerance_m=tolerance_m,
        sighting=entry.sighting,
        stable=entry.stable,
        readings=tuple(
            ReadingFact(
                reading.id,
                reading.author,
                reading.taken_at,
                len(found[reading.id]),
                _says(found[reading.id]),
                reading.id in governing,
                reading.inclusion is Inclusion.ADDITIONAL,
            )
            for reading in sorted(readings, key=lambda reading: (reading.taken_at, str(reading.id)))
        ),
        drums=drums_here,
        recorded_at=max([entry.recorded_at, *(reading.taken_at for reading in readings)]),
        recorded_by=readings[0].author if len(readings) == 1 else entry.recorded_by,
    )


def _governing(readings: Sequence[Any], found: Mapping[UUID, Sequence[DrumFact]]) -> set[UUID]:
    """Choose the alternative with the highest count (then the most hazards), beside all additional readings."""
    chosen = {reading.id for reading in readings if reading.inclusion is Inclusion.ADDITIONAL}
    alternatives = [reading for reading in readings if reading.inclusion is Inclusion.ALTERNATIVE]
    if alternatives:
        worst = max(
            alternatives,
            key=lambda reading: (
                len(found[reading.id]),
                sum(not drum.empty_uncleaned for drum in found[reading.id]),
                len({trait for drum in found[reading.id] for trait in drum.product.traits}),
                str(reading.id),
            ),
        )
        chosen.add(worst.id)
    return chosen


def _says(drums: Sequence[DrumFact]) -> str:
    counts = Counter(drum.product.name if drum.product.identified else "not identified" for drum in drums)
    return ", ".join(f"{count} × {name}" for name, count in sorted(counts.items())) or "no drums"


def _drum(entry: Any, pallet: Any, reading: Any, tolerance_m: float, sheets: Sheets, flags: list[Flag]) -> DrumFact:
    product = product_of(entry, sheets, flags)
    where = container(entry.container_code, stainless=entry.stainless)
    if not where.known and entry.container_code:
        flags.append(Flag(f"drum {entry.name}", "container_code", entry.container_code, "wall and head unknown"))
    if where.max_capacity_l is not None and entry.capacity_l > where.max_capacity_l.value:
        found = f"{entry.capacity_l:g} L in a {where.code}"
        flags.append(Flag(f"drum {entry.name}", "capacity_l", found, "capacity as recorded"))
    at, spread_m = _place(entry, pallet)
    read = entry.label is LabelState.LEGIBLE
    agreeing = len(set(entry.identity_sources)) >= AGREEING_SOURCES
    return DrumFact(
        id=entry.id,
        name=entry.name,
        pallet_id=pallet.id,
        reading_id=reading.id,
        counted=True,
        product=product,
        product_as_recorded=entry.product_text or (product.name if product.identified else ""),
        concentration_pct=entry.concentration_pct,
        container=where,
        capacity_l=entry.capacity_l,
        fill_l=_fill_l(entry, product, flags),
        fill_known=entry.fill_pct is not None,
        empty_uncleaned=entry.fill_pct == 0,
        net_mass_kg=entry.net_mass_kg,
        orientation=entry.orientation,
        closure=entry.closure,
        at=at,
        tolerance_m=hypot(tolerance_m, spread_m),
        tier=entry.tier,
        base_height_m=pallet.base_height_m,
        sighting=entry.sighting,
        label=entry.label,
        label_read=read,
        identified=product.identified and agreeing and entry.label is not LabelState.CONTRADICTS_CONTENT,
        signs=frozenset(entry.signs),
        signs_checked=entry.signs_checked,
        breaches=tuple(
            BreachFact(breach.kind, breach.place, breach.size_mm, breach.length_mm) for breach in entry.breaches
        ),
        inhibitor_until=entry.inhibitor_until,
        dated=entry.dated,
        recorded_at=entry.recorded_at,
        recorded_by=entry.recorded_by,
    )


def _unread(pallet: Any, tolerance_m: float) -> DrumFact:
    """Stand in for what is on a pallet that nobody has read: unknown contents never count as none."""
    return DrumFact(
        id=uuid5(pallet.id, "unread"),
        name=f"{pallet.name} unread",
        pallet_id=pallet.id,
        reading_id=pallet.id,
        counted=False,
        product=UNIDENTIFIED,
        product_as_recorded="",
        concentration_pct=None,
        container=container(None),
        capacity_l=DRUM_L,
        fill_l=DRUM_L,
        fill_known=False,
        empty_uncleaned=False,
        net_mass_kg=None,
        orientation=Orientation.UNKNOWN,
        closure=Closure.UNKNOWN,
        at=Point(pallet.at),
        tolerance_m=hypot(tolerance_m, hypot(pallet.width_m, pallet.depth_m) / 2),
        tier=1,
        base_height_m=pallet.base_height_m,
        sighting=Sighting.NOT_SEEN if pallet.sighting is Sighting.SEEN else pallet.sighting,
        label=LabelState.NOT_SEEN,
        label_read=False,
        identified=False,
        signs=frozenset(),
        signs_checked=False,
        breaches=(),
        inhibitor_until=None,
        dated=None,
        recorded_at=pallet.recorded_at,
        recorded_by=pallet.recorded_by,
        unread=True,
    )


def _fill_l(entry: Any, product: Product, flags: list[Flag]) -> float:
    """Give the liquid that could leave [L]: none from a solid, the whole capacity where nobody knows."""
    if product.form is Form.SOLID:
        return 0.0
    if entry.fill_pct is None:
        return float(entry.capacity_l)
    if entry.fill_pct > 100:
        flags.append(Flag(f"drum {entry.name}", "fill_pct", f"{entry.fill_pct:g} %", "full"))
    return float(entry.capacity_l * min(entry.fill_pct, 100) / 100)


def _place(entry: Any, pallet: Any) -> tuple[Point, float]:
    """Give a drum's place and how far it may be off [m]; without an offset it may be anywhere on the footprint."""
    centre = Point(pallet.at)
    if entry.offset is None:
        return centre, hypot(pallet.width_m, pallet.depth_m) / 2
    moved = rotate(Point(entry.offset), -pallet.turn_deg, origin=(0, 0))
    return translate(moved, centre.x, centre.y), 0.0


def _footprint(entry: Any, flags: list[Flag]) -> Polygon:
    """Give the footprint of a pallet, turned clockwise by `turn_deg` as a bearing is."""
    for side in ("width_m", "depth_m"):
        if getattr(entry, side) < LEAST_SIDE_M:
            found = f"{getattr(entry, side):g} m"
            flags.append(Flag(f"pallet {entry.name}", side, found, f"taken as {LEAST_SIDE_M:g} m"))
    half_w, half_d = max(entry.width_m, LEAST_SIDE_M) / 2, max(entry.depth_m, LEAST_SIDE_M) / 2
    x, y = entry.at
    square: Polygon = rotate(box(x - half_w, y - half_d, x + half_w, y + half_d), -entry.turn_deg, origin=(x, y))
    return square


def _check_same_spot(pallets: Sequence[PalletFact], flags: list[Flag]) -> None:
    """Ask whether two pallets recorded on one spot at one height are the same."""
    at_height: dict[tuple[float, int], list[PalletFact]] = defaultdict(list)
    for pallet in pallets:
        at_height[pallet.base_height_m, pallet.stack_level].append(pallet)
    for level in at_height.values():
        for a, b in _overlapping(level):
            shared = a.footprint.intersection(b.footprint).area
            if shared > SAME_SPOT_SHARE * min(a.footprint.area, b.footprint.area):
                flags.append(Flag(f"pallets {a.name} and {b.name}", "at", "stand on one spot", "two; same pallet?"))


def _overlapping(pallets: Sequence[PalletFact]) -> Iterator[tuple[PalletFact, PalletFact]]:
    footprints = np.array([pallet.footprint for pallet in pallets], dtype=object)
    for i, j in STRtree(footprints).query(footprints, predicate="intersects").T.tolist():
        if i < j:
            yield pallets[i], pallets[j]


def _check_place(entry: Any, footprint: Polygon, ground: BaseGeometry, flags: list[Flag]) -> None:
    if not ground.covers(Point(entry.at)):
        flags.append(
            Flag(
                f"pallet {entry.name}",
                "at",
                f"({entry.at[0]:g}, {entry.at[1]:g}) is outside the floor",
                "no reach computed",
            )
        )
    elif footprint.difference(ground).area > 0.01 * footprint.area:
        flags.append(Flag(f"pallet {entry.name}", "at", "part of it stands outside the floor", "kept as placed"))
