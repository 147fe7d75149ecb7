"""The floor: what bounds it, what lets liquid out, and what lies on it apart from stock."""

from typing import Annotated, Self
from uuid import UUID

from pydantic import Field as Bound
from pydantic import model_validator
from pydantic_core import PydanticCustomError
from sqlmodel import Field

from survey.tables.entry import (
    JSON,
    Entry,
    Line,
    LineOrNone,
    Name,
    Part,
    Point,
    Polyline,
    Ring,
    Text,
    choice,
    choice_or_none,
    json_list,
    reference,
    reference_or_none,
    stored_as,
)
from survey.tables.row import Row
from survey.vocabulary import (
    DoorKind,
    DrainDestination,
    DrainKind,
    DrainProof,
    Finish,
    HeatSourceKind,
    Levelness,
    NormalPosition,
    PositionSource,
    Sighting,
    ValvePosition,
    YesNoUnknown,
)


class FloorFields(Entry):
    """One floor: coordinates in metres from its inside south-west corner, x east, y north."""

    site_id: UUID = reference("site")
    name: Name
    outline: Ring = stored_as(JSON)
    finish: Finish = choice(Finish, Finish.UNKNOWN)
    levelness: Levelness = choice(Levelness, Levelness.UNKNOWN)
    perimeter_tight: YesNoUnknown = choice(YesNoUnknown, YesNoUnknown.UNKNOWN)
    drawing_scale: str = Field(default="", max_length=60)
    north_deg: float = Field(default=0, ge=-360, le=360)


class Floor(FloorFields, Row, table=True):
    """Table of floors; `north_deg` is the bearing of the y axis."""


class OutdoorSurfaceFields(Entry):
    """A yard, apron or strip outside, in the coordinates of the floor it adjoins."""

    floor_id: UUID = reference("floor")
    name: Name
    outline: Ring = stored_as(JSON)
    finish: Finish = choice(Finish, Finish.UNKNOWN)


class OutdoorSurface(OutdoorSurfaceFields, Row, table=True):
    """Table of outdoor surfaces."""

    __tablename__ = "outdoor_surface"


class WallFields(Entry):
    """An inner wall or partition; the outline is the outer wall."""

    floor_id: UUID = reference("floor")
    name: Name
    line: Polyline = stored_as(JSON)
    tight_at_floor: YesNoUnknown = choice(YesNoUnknown, YesNoUnknown.UNKNOWN)
    height_m: float | None = Field(default=None, gt=0, le=200)
    fire_rating_min: int | None = Field(default=None, ge=0, le=1000)
    meets_partition_rule: YesNoUnknown = choice(YesNoUnknown, YesNoUnknown.UNKNOWN)


class Wall(WallFields, Row, table=True):
    """Table of walls."""


class DoorFields(Entry):
    """A door or opening, from jamb to jamb, in a wall or in the outline."""

    floor_id: UUID = reference("floor")
    name: Name
    kind: DoorKind = choice(DoorKind)
    line: Polyline = stored_as(JSON)
    sill_mm: float | None = Field(default=None, ge=0, le=5000)
    normally: NormalPosition = choice(NormalPosition, NormalPosition.UNKNOWN)
    tight_at_floor: YesNoUnknown = choice(YesNoUnknown, YesNoUnknown.UNKNOWN)
    blocked: Text = ""
    main_entrance: bool = False


class Door(DoorFields, Row, table=True):
    """Table of doors; `blocked` says by what, empty where nothing was found."""


class BundFields(Entry):
    """A kerbed or bunded area, its kerb and the lowest point of that kerb."""

    floor_id: UUID = reference("floor")
    name: Name
    outline: Ring = stored_as(JSON)
    height_mm: float = Field(gt=0, le=5000)
    low_point_mm: float | None = Field(default=None, ge=0, le=5000)
    low_point_at: Point | None = stored_as(JSON, default=None)
    tight_at_floor: YesNoUnknown = choice(YesNoUnknown, YesNoUnknown.UNKNOWN)


class Bund(BundFields, Row, table=True):
    """Table of bunds and kerbs."""


class SumpFields(Entry):
    """A pit that collects liquid; pipes say what joins it."""

    floor_id: UUID = reference("floor")
    name: Name
    at: Point = stored_as(JSON)
    volume_l: float | None = Field(default=None, ge=0, le=10_000_000)


class Sump(SumpFields, Row, table=True):
    """Table of sumps."""


class DestinationClaim(Part):
    """One statement of where a drain goes."""

    joins: DrainDestination
    says: DrainProof
    detail: Text = ""


class DrainFields(Entry):
    """An opening in the floor or yard, what it joins and what proves that."""

    floor_id: UUID = reference("floor")
    name: Name
    kind: DrainKind = choice(DrainKind)
    line: LineOrNone = json_list()
    position_source: PositionSource | None = choice_or_none(PositionSource)
    tolerance_m: float | None = Field(default=None, ge=0, le=100)
    sighting: Sighting = choice(Sighting, Sighting.SEEN)
    joins: DrainDestination = choice(DrainDestination, DrainDestination.UNKNOWN)
    then: DrainDestination | None = choice_or_none(DrainDestination)
    proof: DrainProof = choice(DrainProof, DrainProof.NONE)
    other_claims: list[DestinationClaim] = json_list()
    outfall: Text = ""
    outfall_distance_m: float | None = Field(default=None, ge=0, le=100_000)
    free_volume_l: float | None = Field(default=None, ge=0, le=10_000_000)
    valve: ValvePosition = choice(ValvePosition, ValvePosition.NONE)
    valve_where: Text = ""
    valve_key_holder: Text = ""
    fall_pct: float | None = Field(default=None, ge=0, le=25)
    fall_out_m: float | None = Field(default=None, gt=0, le=1000)


class Drain(DrainFields, Row, table=True):
    """Table of drains; an empty `line` is a drain known to exist and not found.

    `fall_pct` is how steeply the floor falls to it, `fall_out_m` from how far out; without that, from everywhere.
    """


class PipeFields(Entry):
    """What joins a sump to another sump or to a drain."""

    floor_id: UUID = reference("floor")
    name: Name
    from_sump_id: UUID = reference("sump")
    to_sump_id: UUID | None = reference_or_none("sump", goes_with_it=True)
    to_drain_id: UUID | None = reference_or_none("drain", goes_with_it=True)
    valve: ValvePosition = choice(ValvePosition, ValvePosition.UNKNOWN)
    valve_where: Text = ""
    plugged_and_proven: bool = False

    @model_validator(mode="after")
    def _ends_once(self) -> Self:
        ends = [field for field in ("to_sump_id", "to_drain_id") if getattr(self, field) is not None]
        if len(ends) != 1:
            raise PydanticCustomError(
                "pipe",
                "expected {expected}, found {found}",
                {"expected": "exactly one of to_sump_id and to_drain_id", "found": " and ".join(ends) or "neither"},
            )
        return self


class Pipe(PipeFields, Row, table=True):
    """Table of pipes."""


class LevelFields(Entry):
    """A surveyed level of the floor, above its lowest recorded point."""

    floor_id: UUID = reference("floor")
    at: Point = stored_as(JSON)
    level_mm: float = Field(ge=-100_000, le=100_000)


class Level(LevelFields, Row, table=True):
    """Table of surveyed levels."""


class RackFields(Entry):
    """A rack by its outline and the heights of its beams."""

    floor_id: UUID = reference("floor")
    name: Name
    outline: Ring = stored_as(JSON)
    beam_heights_m: list[Annotated[float, Bound(ge=0, le=200)]] = json_list()


class Rack(RackFields, Row, table=True):
    """Table of racks."""


class HeatSourceFields(Entry):
    """Something hot that stock may stand beside."""

    floor_id: UUID = reference("floor")
    name: Name
    kind: HeatSourceKind = choice(HeatSourceKind)
    at: Point = stored_as(JSON)
    height_m: float | None = Field(default=None, ge=0, le=200)
    shut_off: Text = ""


class HeatSource(HeatSourceFields, Row, table=True):
    """Table of heat sources."""

    __tablename__ = "heat_source"


class WaterIngressFields(Entry):
    """Where water comes in from above: a dripping valley, a leaking pipe."""

    floor_id: UUID = reference("floor")
    name: Name
    line: Line = stored_as(JSON)


class WaterIngress(WaterIngressFields, Row, table=True):
    """Table of water ingress."""

    __tablename__ = "water_ingress"


class StorageZoneFields(Entry):
    """A part of the floor used for one kind of stock."""

    floor_id: UUID = reference("floor")
    name: Name
    title: str = Field(default="", max_length=200)
    outline: Ring = stored_as(JSON)
    tenant: str = Field(default="", max_length=200)


class StorageZone(StorageZoneFields, Row, table=True):
    """Table of storage zones."""

    __tablename__ = "storage_zone"
