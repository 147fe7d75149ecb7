"""The site as a whole, and what was odd in its record."""

from dataclasses import dataclass
from datetime import date, datetime
from uuid import UUID

from reports.facts.floor import FloorFact
from survey.vocabulary import (
    AccessKind,
    Availability,
    ContactRole,
    KitKind,
    KitPlace,
    ProtectionKind,
    Source,
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

    @property
    def answers_at_night(self) -> bool:
        """Whether it is on record that somebody answers at night; hours not recorded are none."""
        return self.availability in (Availability.NIGHT, Availability.DAY_AND_NIGHT)


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
    backup_crew: YesNoUnknown
    way_out: YesNoUnknown
    decontamination: YesNoUnknown
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
