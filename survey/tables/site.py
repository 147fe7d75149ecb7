"""The site itself, and whatever belongs to it as a whole."""

from datetime import date
from typing import Annotated
from uuid import UUID

from pydantic import Field as Bound
from sqlmodel import Field

from survey.tables.entry import Entry, Name, Part, RingOrNone, Text, choice, json_list, reference, reference_or_none
from survey.tables.row import Row
from survey.vocabulary import (
    AccessKind,
    Availability,
    ContactRole,
    KitKind,
    KitPlace,
    ProtectionKind,
    UtilityKind,
    ValvePosition,
    WalkOutcome,
    WaterSupplyKind,
    YesNoUnknown,
)

Minutes = Annotated[float, Bound(ge=0, le=10_000)]


class Shift(Part):
    """People inside during one part of the day."""

    name: Name
    hours: Name
    people: Annotated[int, Bound(ge=0, le=100_000)] | None = None


class SideLabel(Part):
    """What one side of the building faces, by the letter the crews use."""

    letter: Annotated[str, Bound(pattern=r"^[A-F]$")]
    faces: Name


class SiteFields(Entry):
    """Identity, tenancy, construction and travel times of one site, and what an entry rests on.

    `backup_crew`, `way_out` and `decontamination` say whether a crew dressed to bring others out, a way out that stays
    open and a place to be washed down are arranged for this site. While one of them is not, or nobody has said so, no
    method is given for any drum.
    """

    name: Name
    operator: Name
    former_names: list[Name] = json_list()
    address: Name
    latitude_deg: float | None = Field(default=None, ge=-90, le=90)
    longitude_deg: float | None = Field(default=None, ge=-180, le=180)
    tenancy_since: date | None = None
    present_use: Text = ""
    previous_record: Text = ""
    previous_record_on: date | None = None
    hours_staffed: Text = ""
    shifts: list[Shift] = json_list()
    side_labels: list[SideLabel] = json_list()
    construction: Text = ""
    roof: Text = ""
    asbestos: YesNoUnknown = choice(YesNoUnknown, YesNoUnknown.UNKNOWN)
    power: YesNoUnknown = choice(YesNoUnknown, YesNoUnknown.UNKNOWN)
    eaves_height_m: float | None = Field(default=None, gt=0, le=200)
    travel_first_engine_min: float | None = Field(default=None, ge=0, le=10_000)
    travel_technicians_min: float | None = Field(default=None, ge=0, le=10_000)
    backup_crew: YesNoUnknown = choice(YesNoUnknown, YesNoUnknown.UNKNOWN)
    way_out: YesNoUnknown = choice(YesNoUnknown, YesNoUnknown.UNKNOWN)
    decontamination: YesNoUnknown = choice(YesNoUnknown, YesNoUnknown.UNKNOWN)


class Site(SiteFields, Row, table=True):
    """Table of sites."""


class ContactFields(Entry):
    """Whom to call, as what, and when they answer."""

    site_id: UUID = reference("site")
    role: ContactRole = choice(ContactRole)
    name: Name
    organisation: str = Field(default="", max_length=200)
    phone: Name
    availability: Availability = choice(Availability, Availability.UNKNOWN)
    storage_zones: list[Name] = json_list()


class Contact(ContactFields, Row, table=True):
    """Table of contacts."""


class AccessPointFields(Entry):
    """An entrance, gate, key box or second approach; codes by reference only."""

    site_id: UUID = reference("site")
    kind: AccessKind = choice(AccessKind)
    name: Name
    where: Text
    side: str = Field(default="", max_length=1)
    width_m: float | None = Field(default=None, gt=0, le=100)
    height_m: float | None = Field(default=None, gt=0, le=100)


class AccessPoint(AccessPointFields, Row, table=True):
    """Table of access points."""

    __tablename__ = "access_point"


class UtilityFields(Entry):
    """A utility and where it is shut off."""

    site_id: UUID = reference("site")
    kind: UtilityKind = choice(UtilityKind)
    shut_off: Text
    outside: YesNoUnknown = choice(YesNoUnknown, YesNoUnknown.UNKNOWN)
    operated_by: Text = ""


class Utility(UtilityFields, Row, table=True):
    """Table of utilities."""


class WaterSupplyFields(Entry):
    """A hydrant, tank or open water, by its distance from the entrance."""

    site_id: UUID = reference("site")
    kind: WaterSupplyKind = choice(WaterSupplyKind)
    name: Name
    distance_m: float | None = Field(default=None, ge=0, le=100_000)
    flow_l_min: float | None = Field(default=None, ge=0, le=1_000_000)


class WaterSupply(WaterSupplyFields, Row, table=True):
    """Table of water supplies."""

    __tablename__ = "water_supply"


class ImpairmentFields(Entry):
    """Something out of order, until a date."""

    site_id: UUID = reference("site")
    what: Text
    since: date | None = None
    until: date | None = None


class Impairment(ImpairmentFields, Row, table=True):
    """Table of impairments."""


class KitItemFields(Entry):
    """A stocked item of response kit, on site or on an apparatus."""

    site_id: UUID = reference("site")
    kind: KitKind = choice(KitKind)
    place: KitPlace = choice(KitPlace)
    name: Name
    material: str = Field(default="", max_length=60)
    quantity: int = Field(ge=0, le=1_000_000)
    capacity_l: float | None = Field(default=None, gt=0, le=1_000_000)
    vented: YesNoUnknown = choice(YesNoUnknown, YesNoUnknown.UNKNOWN)
    where: Text = ""
    beside_pallet: str = Field(default="", max_length=200)


class KitItem(KitItemFields, Row, table=True):
    """Table of kit items."""

    __tablename__ = "kit_item"


class WalkthroughFields(Entry):
    """One visit: who, how far they got, what stopped them."""

    site_id: UUID = reference("site")
    on: date
    inspectors: list[Name] = json_list()
    outcome: WalkOutcome = choice(WalkOutcome)
    minutes: float | None = Field(default=None, ge=0, le=10_000)
    seen: Text = ""


class Walkthrough(WalkthroughFields, Row, table=True):
    """Table of walkthroughs."""


class PhotoFields(Entry):
    """A picture, known by the SHA-256 of its file, which lies beside the survey file."""

    site_id: UUID = reference("site")
    sha256: Annotated[str, Bound(pattern=r"^[0-9a-f]{64}$")]
    media_type: Annotated[str, Bound(pattern=r"^image/(jpeg|png|webp)$")]
    taken_at: str = Field(default="", max_length=40)
    shows: Text = ""
    pallet_id: UUID | None = reference_or_none("pallet")
    drum_id: UUID | None = reference_or_none("drum")


class Photo(PhotoFields, Row, table=True):
    """Table of photos."""


class ProtectionSystemFields(Entry):
    """A fire protection system; a sprinkler also says how much water falls where."""

    site_id: UUID = reference("site")
    kind: ProtectionKind = choice(ProtectionKind)
    where: Text = ""
    covers_floor: Name | None = None
    covers: RingOrNone = json_list()
    density_mm_min: float | None = Field(default=None, gt=0, le=1000)
    design_area_m2: float | None = Field(default=None, gt=0, le=1_000_000)
    valve: ValvePosition = choice(ValvePosition, ValvePosition.UNKNOWN)
    valve_where: Text = ""


class ProtectionSystem(ProtectionSystemFields, Row, table=True):
    """Table of protection systems."""

    __tablename__ = "protection_system"
