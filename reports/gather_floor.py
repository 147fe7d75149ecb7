"""Floor entries → floor facts."""

from collections.abc import Collection, Iterator, Mapping, Sequence
from typing import Any
from uuid import NAMESPACE_OID, uuid5

from shapely import LineString, Point, Polygon, unary_union
from shapely.geometry.base import BaseGeometry

from reports.facts import (
    BundFact,
    ClaimFact,
    DoorFact,
    DrainFact,
    Flag,
    FloorFact,
    HeatSourceFact,
    PipeFact,
    SprinklerFact,
    SumpFact,
    SurfaceFact,
    WallFact,
    WaterIngressFact,
    ZoneFact,
)
from reports.tolerance import ON_LINE_M, position_tolerance_m
from survey.vocabulary import DrainDestination, PositionSource, ProtectionKind

ELSEWHERE = "Elsewhere"
"""The storage zone of a pallet that stands in none."""

Parts = Mapping[str, Sequence[Any]]


def floor_fact(
    floor: Any, parts: Parts, protection: Sequence[Any], floor_names: Collection[str], flags: list[Flag]
) -> FloorFact:
    """Digest one floor without its stock; implausible entries are added to `flags`."""
    outline = Polygon(floor.outline)
    surfaces = tuple(
        SurfaceFact(entry.name, Polygon(entry.outline), entry.finish) for entry in _named(parts, "outdoor_surfaces")
    )
    ground = unary_union([outline, *(surface.outline for surface in surfaces)])
    walls = tuple(
        WallFact(
            entry.name,
            LineString(entry.line),
            entry.tight_at_floor,
            entry.height_m,
            entry.meets_partition_rule,
        )
        for entry in _named(parts, "walls")
    )
    return FloorFact(
        id=floor.id,
        name=floor.name,
        outline=outline,
        finish=floor.finish,
        levelness=floor.levelness,
        perimeter_tight=floor.perimeter_tight,
        north_deg=floor.north_deg,
        surfaces=surfaces,
        walls=walls,
        doors=_doors(parts, outline, walls, flags),
        bunds=_bunds(parts, outline, flags),
        sumps=tuple(
            SumpFact(entry.id, entry.name, Point(entry.at), entry.volume_l) for entry in _named(parts, "sumps")
        ),
        pipes=tuple(_pipes(parts, flags)),
        drains=tuple(_drain(entry, outline, ground, flags) for entry in _named(parts, "drains")),
        levels=tuple(_levels(parts, ground, flags)),
        racks=tuple((entry.name, Polygon(entry.outline)) for entry in _named(parts, "racks")),
        heat_sources=tuple(
            HeatSourceFact(entry.name, entry.kind, Point(entry.at), entry.height_m, entry.shut_off)
            for entry in _named(parts, "heat_sources")
        ),
        water_ingress=tuple(
            WaterIngressFact(entry.name, _shape(entry.line)) for entry in _named(parts, "water_ingress")
        ),
        sprinklers=_sprinklers(protection, floor.name, floor_names),
        zones=tuple(
            ZoneFact(entry.id, entry.name, entry.name, entry.title, Polygon(entry.outline), entry.tenant)
            for entry in _named(parts, "storage_zones")
        ),
        pallets=(),
    )


def elsewhere(floor: FloorFact) -> ZoneFact:
    """Give the storage zone that holds the pallets standing in none, so that no pallet goes unprinted."""
    own = uuid5(NAMESPACE_OID, f"{floor.id}/elsewhere")
    return ZoneFact(own, ELSEWHERE, ELSEWHERE, "in no storage zone", floor.outline, "")


def _doors(parts: Parts, outline: Polygon, walls: Sequence[WallFact], flags: list[Flag]) -> tuple[DoorFact, ...]:
    barriers = unary_union([outline.exterior, *(wall.line for wall in walls)])
    doors = []
    for entry in _named(parts, "doors"):
        line = LineString(entry.line if len(entry.line) > 1 else [entry.line[0], entry.line[0]])
        if line.hausdorff_distance(line.intersection(barriers.buffer(ON_LINE_M))) > ON_LINE_M:
            flags.append(Flag(f"door {entry.name}", "line", "lies on no wall", "kept as drawn; opens no wall"))
        sill_m = None if entry.sill_mm is None else entry.sill_mm / 1000
        doors.append(
            DoorFact(
                entry.id,
                entry.name,
                line,
                sill_m,
                entry.normally,
                entry.tight_at_floor,
                entry.blocked,
                entry.main_entrance,
            )
        )
    return tuple(doors)


def _bunds(parts: Parts, outline: Polygon, flags: list[Flag]) -> tuple[BundFact, ...]:
    bunds = []
    for entry in _named(parts, "bunds"):
        area = Polygon(entry.outline)
        lip_mm = entry.height_mm if entry.low_point_mm is None else min(entry.height_mm, entry.low_point_mm)
        if entry.low_point_mm is not None and entry.low_point_mm > entry.height_mm:
            found = f"low point {entry.low_point_mm:g} mm above the kerb's {entry.height_mm:g} mm"
            flags.append(Flag(f"bund {entry.name}", "low_point_mm", found, "the lower of the two"))
        if not outline.buffer(ON_LINE_M).covers(area):
            flags.append(Flag(f"bund {entry.name}", "outline", "outside the floor", "kept as drawn"))
        lip_at = None if entry.low_point_at is None else Point(entry.low_point_at)
        bunds.append(
            BundFact(entry.id, entry.name, area, entry.height_mm / 1000, lip_mm / 1000, lip_at, entry.tight_at_floor)
        )
    return tuple(bunds)


def _pipes(parts: Parts, flags: list[Flag]) -> Iterator[PipeFact]:
    """Give the pipes of a floor; one that ends on another floor leads off this one."""
    here = {entry.id for plural in ("sumps", "drains") for entry in parts[plural]}
    for entry in _named(parts, "pipes"):
        if entry.from_sump_id not in here:
            flags.append(Flag(f"pipe {entry.name}", "from_sump_id", "starts on another floor", "not followed"))
            continue
        goal = entry.to_sump_id or entry.to_drain_id
        if goal not in here:
            flags.append(Flag(f"pipe {entry.name}", "to", "ends on another floor", "leads off this floor"))
        yield PipeFact(
            entry.id,
            entry.name,
            entry.from_sump_id,
            entry.to_sump_id if entry.to_sump_id in here else None,
            entry.to_drain_id if entry.to_drain_id in here else None,
            entry.valve,
            entry.valve_where,
            entry.plugged_and_proven,
        )


def _drain(entry: Any, outline: Polygon, ground: BaseGeometry, flags: list[Flag]) -> DrainFact:
    shape = _shape(entry.line) if entry.line else None
    if shape is not None and not ground.buffer(ON_LINE_M).covers(shape):
        flags.append(
            Flag(f"drain {entry.name}", "line", "outside floor and yard", "kept as drawn; not reached on the map")
        )
    source = entry.position_source or PositionSource.TAPPED
    fall, fall_out_m = _fall(entry, flags)
    return DrainFact(
        id=entry.id,
        name=entry.name,
        kind=entry.kind,
        shape=shape,
        tolerance_m=position_tolerance_m(PositionSource(source), entry.tolerance_m),
        sighting=entry.sighting,
        joins=entry.joins,
        then=None if entry.then is None else DrainDestination(entry.then),
        proof=entry.proof,
        other_claims=tuple(ClaimFact(claim.joins, claim.says, claim.detail) for claim in entry.other_claims),
        outfall=entry.outfall,
        outfall_distance_m=entry.outfall_distance_m,
        free_volume_l=entry.free_volume_l,
        valve=entry.valve,
        valve_where=entry.valve_where,
        valve_key_holder=entry.valve_key_holder,
        outdoors=shape is not None and not outline.buffer(1e-6).covers(shape),
        fall=fall,
        fall_out_m=fall_out_m,
    )


def _fall(entry: Any, flags: list[Flag]) -> tuple[float | None, float | None]:
    """Give the fall of the floor to a drain as a ratio, and from how far out it falls."""
    name = f"drain {entry.name}"
    if not entry.fall_pct:
        if entry.fall_out_m is not None:
            found = f"the floor falls to it from {entry.fall_out_m:g} m out, and no fall is recorded"
            flags.append(Flag(name, "fall_out_m", found, "no fall"))
        return None, None
    if not entry.line:
        flags.append(Flag(name, "fall_pct", "a fall to a drain that was not found", "no fall"))
        return None, None
    return entry.fall_pct / 100, entry.fall_out_m


def _levels(parts: Parts, ground: BaseGeometry, flags: list[Flag]) -> Iterator[tuple[Point, float]]:
    """Give the surveyed levels; one off floor and yard is likely mistyped and would tilt the whole floor."""
    near = ground.buffer(ON_LINE_M)
    for entry in sorted(parts["levels"], key=lambda entry: str(entry.id)):
        at = Point(entry.at)
        if near.covers(at):
            yield at, entry.level_mm / 1000
        else:
            found = f"({at.x:g}, {at.y:g}) outside floor and yard"
            flags.append(Flag("level", "at", found, "left out of the slope of the floor"))


def _sprinklers(protection: Sequence[Any], floor_name: str, floor_names: Collection[str]) -> tuple[SprinklerFact, ...]:
    return tuple(
        SprinklerFact(
            entry.where or "sprinklers",
            Polygon(entry.covers) if entry.covers else None,
            entry.density_mm_min,
            entry.design_area_m2,
        )
        for entry in sorted(protection, key=lambda entry: str(entry.id))
        if entry.kind is ProtectionKind.SPRINKLER and _covers(entry.covers_floor, floor_name, floor_names)
    )


def _covers(named: str | None, floor_name: str, floor_names: Collection[str]) -> bool:
    """Whether a sprinkler is over a floor; one that names no floor of the site may be over any of them."""
    return named is None or named == floor_name or named not in floor_names


def _shape(line: Sequence[tuple[float, float]]) -> BaseGeometry:
    return Point(line[0]) if len(line) == 1 else LineString(line)


def _named(parts: Parts, plural: str) -> list[Any]:
    return sorted(parts[plural], key=lambda entry: (entry.name, str(entry.id)))
