"""Stock: what stands where, who read what on it when, and each drum of a reading."""

from datetime import date
from uuid import UUID

from pydantic import AwareDatetime
from sqlmodel import Field

from survey.tables.entry import (
    JSON,
    Entry,
    Name,
    Part,
    Point,
    UtcDateTime,
    choice,
    json_list,
    reference,
    reference_or_none,
    stored_as,
)
from survey.tables.row import Row
from survey.vocabulary import (
    BreachKind,
    BreachPlace,
    Closure,
    ConditionSign,
    IdentitySource,
    Inclusion,
    LabelState,
    Orientation,
    PositionSource,
    Sighting,
    StandKind,
    YesNoUnknown,
)


class PalletFields(Entry):
    """A pallet, block, cabinet or loose group, by its centre, turn, footprint and height."""

    floor_id: UUID = reference("floor")
    name: Name
    kind: StandKind = choice(StandKind, StandKind.PALLET)
    at: Point = stored_as(JSON)
    turn_deg: float = Field(default=0, ge=-360, le=360)
    width_m: float = Field(default=1.2, gt=0, le=1000)
    depth_m: float = Field(default=1.2, gt=0, le=1000)
    stack_level: int = Field(default=1, ge=1, le=100)
    base_height_m: float = Field(default=0, ge=0, le=100)
    stands_on_id: UUID | None = reference_or_none("pallet")
    position_source: PositionSource = choice(PositionSource)
    tolerance_m: float | None = Field(default=None, ge=0, le=100)
    sighting: Sighting = choice(Sighting, Sighting.SEEN)
    stable: YesNoUnknown = choice(YesNoUnknown, YesNoUnknown.UNKNOWN)


class Pallet(PalletFields, Row, table=True):
    """Table of pallets."""


class ReadingFields(Entry):
    """What one person read on one pallet at one time: the unit of observation."""

    pallet_id: UUID = reference("pallet")
    author: Name
    taken_at: AwareDatetime = stored_as(UtcDateTime)
    replaces_id: UUID | None = reference_or_none("reading")
    inclusion: Inclusion = choice(Inclusion, Inclusion.ALTERNATIVE)
    settled_by: str = Field(default="", max_length=200)


class Reading(ReadingFields, Row, table=True):
    """Table of pallet readings; `replaces_id` names the reading its author had seen and corrects."""


class Breach(Part):
    """One hole, crack or weep."""

    kind: BreachKind
    place: BreachPlace = BreachPlace.UNKNOWN
    size_mm: float | None = Field(default=None, gt=0, le=2000)
    length_mm: float | None = Field(default=None, gt=0, le=5000)


class DrumFields(Entry):
    """One drum as read: what it is said to hold, what it is, and how it looks."""

    reading_id: UUID = reference("reading")
    name: Name
    product: str | None = Field(default=None, max_length=80)
    sheet_product_id: UUID | None = reference_or_none("sheet_product")
    product_text: str = Field(default="", max_length=400)
    un_number: str | None = Field(default=None, max_length=10)
    cas_number: str | None = Field(default=None, max_length=20)
    concentration_pct: float | None = Field(default=None, ge=0, le=100)
    container_code: str | None = Field(default=None, max_length=20)
    stainless: bool = False
    capacity_l: float = Field(default=208.198, gt=0, le=3000)
    fill_pct: float | None = Field(default=None, ge=0, le=1000)
    net_mass_kg: float | None = Field(default=None, ge=0, le=10_000)
    orientation: Orientation = choice(Orientation, Orientation.UNKNOWN)
    closure: Closure = choice(Closure, Closure.UNKNOWN)
    offset: Point | None = stored_as(JSON, default=None)
    tier: int = Field(default=1, ge=1, le=20)
    sighting: Sighting = choice(Sighting, Sighting.SEEN)
    label: LabelState = choice(LabelState, LabelState.NOT_SEEN)
    identity_sources: list[IdentitySource] = json_list()
    signs: list[ConditionSign] = json_list()
    signs_checked: bool = False
    breaches: list[Breach] = json_list()
    inhibitor_until: date | None = None
    dated: date | None = None


class Drum(DrumFields, Row, table=True):
    """Table of drums.

    `product` is a catalogue key, `sheet_product_id` a product entered from its safety data sheet: at most one of them
    is given, and neither where nobody knows. `offset` is the place on the pallet [m] before its turn; `fill_pct` 0 is
    empty and uncleaned, None is unknown; over 100 is kept as seen and flagged.
    """
