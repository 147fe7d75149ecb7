"""What an assessment may know: the record digested into plain values, SI inside, unknowns kept as unknown.

`gather.py` makes these from a survey; everything else in this room reads them. No database, no clock.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from uuid import UUID

from shapely import LineString, Point, Polygon
from shapely.geometry.base import BaseGeometry

from survey.catalogue.containers import Container
from survey.catalogue.product import Product
from survey.vocabulary import (
    AccessKind,
    Availability,
    BreachKind,
    BreachPlace,
    Closure,
    ConditionSign,
    ContactRole,
    DrainDestination,
    DrainKind,
    DrainProof,
    Finish,
    HeatSourceKind,
    KitKind,
    KitPlace,
    LabelState,
    Levelness,
    NormalPosition,
    Orientation,
    PositionSource,
    ProtectionKind,
    Sighting,
    Source,
    StandKind,
    UtilityKind,
    ValvePosition,
    WalkOutcome,
    WaterSupplyKind,
    YesNoUnknown,
)


@dataclass(frozen=True, slots=True)
class Flag:
    """Something implausible that was stored as seen: where it stands, what is odd, what was assumed."""

    entry: str
    field: str
    found: str
    treated_as: str


@dataclass(frozen=True, slots=True)
class BreachFact:
    """One hole, crack or weep."""

    kind: BreachKind
    place: BreachPlace
    size_mm: float | None
    length_mm: float | None


@dataclass(frozen=True, slots=True)
class DrumFact:
    """One drum of one open reading.

    `fill_l` is the cautious content [L]: unknown fill counts as full, over-full as full. `counted` is False for a
    drum of an open reading that does not govern: its hazards count, the drum does not. `unread` stands for whatever
    is on a pallet that nobody has read: judged as one unidentified drum, counted as none.
    """

    id: UUID
    name: str
    pallet_id: UUID
    reading_id: UUID
    counted: bool
    product: Product
    product_as_recorded: str
    concentration_pct: float | None
    container: Container
    capacity_l: float
    fill_l: float
    fill_known: bool
    empty_uncleaned: bool
    net_mass_kg: float | None
    orientation: Orientation
    closure: Closure
    at: Point
    tolerance_m: float
    tier: int
    base_height_m: float
    sighting: Sighting
    label: LabelState
    label_read: bool
    identified: bool
    signs: frozenset[ConditionSign]
    signs_checked: bool
    breaches: tuple[BreachFact, ...]
    inhibitor_until: date | None
    dated: date | None
    recorded_at: datetime
    recorded_by: str
    unread: bool = False

    @property
    def hidden(self) -> bool:
        """Whether nobody has seen this drum."""
        return self.sighting is not Sighting.SEEN

    @property
    def contents_unknown(self) -> bool:
        """Whether no product is named, or no source on record says that the drum holds it."""
        return not self.product.identified or not (self.label_read or self.identified)

    @property
    def leaking(self) -> bool:
        """Whether a breach or a leak is recorded."""
        return bool(self.breaches) or ConditionSign.LEAKING in self.signs


@dataclass(frozen=True, slots=True)
class ReadingFact:
    """One open reading of a pallet; `governs` marks the one whose drums are counted.

    An additional reading stands beside the others and always counts; the rest are alternatives of one another.
    """

    id: UUID
    author: str
    taken_at: datetime
    count: int
    says: str
    governs: bool
    additional: bool


@dataclass(frozen=True, slots=True)
class PalletFact:
    """A pallet, block, cabinet or loose group and the drums of all its open readings."""

    id: UUID
    name: str
    recorded_name: str
    kind: StandKind
    floor_id: UUID
    zone_id: UUID | None
    at: Point
    footprint: Polygon
    base_height_m: float
    stack_level: int
    stands_on_id: UUID | None
    position_source: PositionSource
    tolerance_m: float
    sighting: Sighting
    stable: YesNoUnknown
    readings: tuple[ReadingFact, ...]
    drums: tuple[DrumFact, ...]
    recorded_at: datetime
    recorded_by: str

    @property
    def disputed(self) -> bool:
        """Whether two open readings stand as alternatives."""
        return len(self.alternatives) > 1

    @property
    def alternatives(self) -> tuple[UUID, ...]:
        """The readings that stand as alternatives of one another, by id."""
        return tuple(reading.id for reading in self.readings if not reading.additional)

    def worst_by(self, value: Callable[[DrumFact], float]) -> tuple[DrumFact, ...]:
        """Give the drums of the additional readings and of the alternative for which the sum of `value` is largest."""
        alternatives = self.alternatives
        beside = tuple(drum for drum in self.drums if drum.reading_id not in alternatives and not drum.unread)
        of_each = [tuple(drum for drum in self.drums if drum.reading_id == each) for each in alternatives]
        return beside + max(of_each, key=lambda drums: sum(map(value, drums)), default=())

    @property
    def counted(self) -> tuple[DrumFact, ...]:
        """The drums of the readings that govern."""
        return tuple(drum for drum in self.drums if drum.counted)

    def most(self, value: Callable[[DrumFact], float]) -> float:
        """Give the largest sum of `value` over the alternatives, with the additional readings beside it."""
        return sum(map(value, self.worst_by(value)))

    def litres_of(self, drums: Sequence[DrumFact]) -> float:
        """Give the most that these drums of the pallet hold [L], whichever alternative is right."""
        chosen = {drum.id for drum in drums}
        return self.most(lambda drum: drum.fill_l if drum.id in chosen else 0.0)


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
    racks: tuple[tuple[str, Polygon], ...]
    heat_sources: tuple[HeatSourceFact, ...]
    water_ingress: tuple[WaterIngressFact, ...]
    sprinklers: tuple[SprinklerFact, ...]
    zones: tuple[ZoneFact, ...]
    pallets: tuple[PalletFact, ...]


@dataclass(frozen=True, slots=True)
class ShiftFact:
    """People inside during one part of the day."""

    name: str
    hours: str
    people: int | None


@dataclass(frozen=True, slots=True)
class ContactFact:
    """Whom to call, as what, and when they answer."""

    role: ContactRole
    name: str
    organisation: str
    phone: str
    availability: Availability
    storage_zones: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class AccessFact:
    """A way in, or a thing met on the way in."""

    kind: AccessKind
    name: str
    where: str
    side: str
    width_m: float | None
    height_m: float | None


@dataclass(frozen=True, slots=True)
class UtilityFact:
    """A utility and where it is shut off."""

    kind: UtilityKind
    shut_off: str
    outside: YesNoUnknown
    operated_by: str


@dataclass(frozen=True, slots=True)
class WaterSupplyFact:
    """Water, by its distance from the entrance."""

    kind: WaterSupplyKind
    name: str
    distance_m: float | None
    flow_l_min: float | None


@dataclass(frozen=True, slots=True)
class ProtectionFact:
    """A fire protection system."""

    kind: ProtectionKind
    where: str
    valve: ValvePosition
    valve_where: str


@dataclass(frozen=True, slots=True)
class ImpairmentFact:
    """Something out of order, until a date."""

    what: str
    since: date | None
    until: date | None


@dataclass(frozen=True, slots=True)
class KitFact:
    """A stocked item of response kit."""

    kind: KitKind
    place: KitPlace
    name: str
    material: str
    quantity: int
    capacity_l: float | None
    vented: YesNoUnknown
    where: str
    beside_pallet: str


@dataclass(frozen=True, slots=True)
class WalkFact:
    """One visit."""

    on: date
    inspectors: tuple[str, ...]
    outcome: WalkOutcome
    minutes: float | None
    seen: str
    note: str


@dataclass(frozen=True, slots=True)
class EntryAge:
    """Age of the entries of one noun: how many, the oldest and the newest, and from which sources."""

    noun: str
    count: int
    oldest: datetime
    newest: datetime
    sources: tuple[Source, ...]


@dataclass(frozen=True, slots=True)
class SiteFacts:
    """Everything an assessment and its paper may say about one site."""

    id: UUID
    snapshot_sha256: str
    as_of: date
    name: str
    operator: str
    former_names: tuple[str, ...]
    address: str
    latitude_deg: float | None
    longitude_deg: float | None
    tenancy_since: date | None
    present_use: str
    previous_record: str
    previous_record_on: date | None
    hours_staffed: str
    shifts: tuple[ShiftFact, ...]
    side_labels: tuple[tuple[str, str], ...]
    construction: str
    roof: str
    asbestos: YesNoUnknown
    power: YesNoUnknown
    eaves_height_m: float | None
    travel_first_engine_min: float | None
    travel_technicians_min: float | None
    contacts: tuple[ContactFact, ...]
    access: tuple[AccessFact, ...]
    utilities: tuple[UtilityFact, ...]
    water_supplies: tuple[WaterSupplyFact, ...]
    protection: tuple[ProtectionFact, ...]
    impairments: tuple[ImpairmentFact, ...]
    kit: tuple[KitFact, ...]
    walks: tuple[WalkFact, ...]
    ages: tuple[EntryAge, ...]
    floors: tuple[FloorFact, ...]
    flags: tuple[Flag, ...]
