"""The floor and everything on it but stock."""

from dataclasses import dataclass
from uuid import UUID

from shapely import LineString, Point, Polygon
from shapely.geometry.base import BaseGeometry

from reports.facts.stock import PalletFact
from survey.vocabulary import (
    DrainDestination,
    DrainKind,
    DrainProof,
    Finish,
    HeatSourceKind,
    Levelness,
    NormalPosition,
    Sighting,
    ValvePosition,
    YesNoUnknown,
)


@dataclass(frozen=True, slots=True)
class ZoneFact:
    """A storage zone; `recorded_name` is what the record calls it where `name` had to be told apart."""

    id: UUID
    name: str
    recorded_name: str
    title: str
    outline: Polygon
    tenant: str


@dataclass(frozen=True, slots=True)
class SurfaceFact:
    """A yard, apron or strip outside."""

    name: str
    outline: Polygon
    finish: Finish


@dataclass(frozen=True, slots=True)
class WallFact:
    """An inner wall."""

    name: str
    line: LineString
    tight: YesNoUnknown
    height_m: float | None
    meets_partition_rule: YesNoUnknown


@dataclass(frozen=True, slots=True)
class DoorFact:
    """A door or opening, from jamb to jamb."""

    id: UUID
    name: str
    line: LineString
    sill_m: float | None
    normally: NormalPosition
    tight: YesNoUnknown
    blocked: str
    main_entrance: bool


@dataclass(frozen=True, slots=True)
class BundFact:
    """A bund; `lip_m` is the lowest point of its kerb [m]."""

    id: UUID
    name: str
    outline: Polygon
    height_m: float
    lip_m: float
    lip_at: Point | None
    tight: YesNoUnknown


@dataclass(frozen=True, slots=True)
class SumpFact:
    """A pit that collects liquid."""

    id: UUID
    name: str
    at: Point
    volume_l: float | None


@dataclass(frozen=True, slots=True)
class PipeFact:
    """A pipe between sumps or from a sump to a drain; `plugged` only where that is proven.

    With neither end named it leads off this floor.
    """

    id: UUID
    name: str
    from_sump_id: UUID
    to_sump_id: UUID | None
    to_drain_id: UUID | None
    valve: ValvePosition
    valve_where: str
    plugged: bool


@dataclass(frozen=True, slots=True)
class ClaimFact:
    """One statement of where a drain goes."""

    joins: DrainDestination
    says: DrainProof
    detail: str


@dataclass(frozen=True, slots=True)
class DrainFact:
    """A drain; `shape` is None where it is known to exist and was not found."""

    id: UUID
    name: str
    kind: DrainKind
    shape: BaseGeometry | None
    tolerance_m: float
    sighting: Sighting
    joins: DrainDestination
    then: DrainDestination | None
    proof: DrainProof
    other_claims: tuple[ClaimFact, ...]
    outfall: str
    outfall_distance_m: float | None
    free_volume_l: float | None
    valve: ValvePosition
    valve_where: str
    valve_key_holder: str
    outdoors: bool
    fall: float | None
    """How steeply the floor falls to it (0.01 is 1 %); None where no fall is recorded."""
    fall_out_m: float | None
    """From how far out it falls [m]; None is from everywhere."""

    @property
    def proven(self) -> bool:
        """Whether a test shows where it goes and nobody says otherwise."""
        return self.proof in (DrainProof.DYE_TEST, DrainProof.CAMERA) and not self.other_claims


@dataclass(frozen=True, slots=True)
class HeatSourceFact:
    """Something hot that stock may stand beside."""

    name: str
    kind: HeatSourceKind
    at: Point
    height_m: float | None
    shut_off: str


@dataclass(frozen=True, slots=True)
class WaterIngressFact:
    """Where water comes in from above."""

    name: str
    shape: BaseGeometry


@dataclass(frozen=True, slots=True)
class SprinklerFact:
    """Water from above: `covers` None is the whole floor."""

    name: str
    covers: Polygon | None
    density_mm_min: float | None
    design_area_m2: float | None


@dataclass(frozen=True, slots=True)
class FloorFact:
    """One floor with all that bounds it and stands on it."""

    id: UUID
    name: str
    outline: Polygon
    finish: Finish
    levelness: Levelness
    perimeter_tight: YesNoUnknown
    north_deg: float
    surfaces: tuple[SurfaceFact, ...]
    walls: tuple[WallFact, ...]
    doors: tuple[DoorFact, ...]
    bunds: tuple[BundFact, ...]
    sumps: tuple[SumpFact, ...]
    pipes: tuple[PipeFact, ...]
    drains: tuple[DrainFact, ...]
    levels: tuple[tuple[Point, float], ...]
    """Surveyed levels on floor and yard [m]."""
    racks: tuple[tuple[str, Polygon], ...]
    heat_sources: tuple[HeatSourceFact, ...]
    water_ingress: tuple[WaterIngressFact, ...]
    sprinklers: tuple[SprinklerFact, ...]
    zones: tuple[ZoneFact, ...]
    pallets: tuple[PalletFact, ...]
