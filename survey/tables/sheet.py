"""Products that the catalogue does not hold, entered by hand from their safety data sheets."""

from datetime import date
from typing import Annotated
from uuid import UUID

from pydantic import Field as Bound
from sqlmodel import Field

from survey.catalogue.product import Form, Trait
from survey.sheet_units import (
    DensityUnit,
    MolarMassUnit,
    PressureUnit,
    TemperatureUnit,
    ViscosityUnit,
    VolumeShareUnit,
)
from survey.tables.entry import (
    JSON,
    Entry,
    Name,
    Part,
    choice,
    choice_or_none,
    json_list,
    reference,
    stored_as,
)
from survey.tables.row import Row
from survey.vocabulary import PackingGroup, SheetBound, YesNoUnknown

Where = Annotated[str, Bound(max_length=200)]
"""Section or page of the sheet."""


class OnSheet(Part):
    """What every number taken from a sheet has: whether it is exact, at which temperature, and where it stands."""

    bound: SheetBound = SheetBound.EXACTLY
    temperature_c: Annotated[float, Bound(ge=-273.15, le=3000)] | None = None
    where: Where = ""


class DensityOnSheet(OnSheet):
    """A density, in the unit of the sheet."""

    value: Annotated[float, Bound(gt=0, le=1_000_000)]
    unit: DensityUnit


class ViscosityOnSheet(OnSheet):
    """A viscosity, in the unit of the sheet."""

    value: Annotated[float, Bound(gt=0, le=1_000_000_000)]
    unit: ViscosityUnit


class PressureOnSheet(OnSheet):
    """A vapour pressure, in the unit of the sheet."""

    value: Annotated[float, Bound(gt=0, le=1_000_000_000)]
    unit: PressureUnit


class TemperatureOnSheet(OnSheet):
    """A flash or boiling point, in the unit of the sheet; `temperature_c` has no meaning here."""

    value: Annotated[float, Bound(ge=-460, le=10_000)]
    unit: TemperatureUnit


class VolumeShareOnSheet(OnSheet):
    """A limit of the flammable range."""

    value: Annotated[float, Bound(gt=0, le=100)]
    unit: VolumeShareUnit = VolumeShareUnit.VOL_PCT


class MolarMassOnSheet(OnSheet):
    """A molar mass, in the unit of the sheet."""

    value: Annotated[float, Bound(gt=0, le=1_000_000)]
    unit: MolarMassUnit


class Answer(Part):
    """One question answered from the sheet: has the product this trait?"""

    trait: Trait
    answer: YesNoUnknown
    where: Where = ""


class SheetProductFields(Entry):
    """A product known to this site from a safety data sheet, as typed from it.

    Numbers stand as on the sheet, with its unit; nothing is converted before it is judged. Who typed them when is
    `recorded_by` and `recorded_at`; `entered_from` names the sheet's pages or sections as a whole, each number and
    answer its own.

    The answers are *yes*, *no* or *unknown*, and a trait that nobody answered is unknown, never absent. Only a *no*
    that somebody gave takes a trait away: an unknown one counts as *yes* wherever that adds a line, a caution or a
    refusal, so that an entry with few answers never looks safer than a drum that nobody identified. Answering *no* may
    take lines away, answering *yes* never does. Where the sheet contradicts itself (a class 3 liquid that is answered
    not flammable), or the catalogue's row of the same number, the worse is acted on and the entry is flagged.
    """

    site_id: UUID = reference("site")
    name: Name
    supplier: str = Field(default="", max_length=200)
    revision_date: date | None = None
    entered_from: str = Field(default="", max_length=200)
    un_number: str | None = Field(default=None, max_length=10)
    cas_numbers: list[Annotated[str, Bound(min_length=1, max_length=20)]] = json_list()
    hazard_class: str | None = Field(default=None, max_length=10)
    subsidiary: list[Annotated[str, Bound(min_length=1, max_length=10)]] = json_list()
    packing_group: PackingGroup | None = choice_or_none(PackingGroup)
    form: Form = choice(Form, Form.UNKNOWN)
    density: DensityOnSheet | None = stored_as(JSON, default=None)
    viscosity: ViscosityOnSheet | None = stored_as(JSON, default=None)
    vapour_pressure: PressureOnSheet | None = stored_as(JSON, default=None)
    flash_point: TemperatureOnSheet | None = stored_as(JSON, default=None)
    boiling_point: TemperatureOnSheet | None = stored_as(JSON, default=None)
    lower_flammable: VolumeShareOnSheet | None = stored_as(JSON, default=None)
    upper_flammable: VolumeShareOnSheet | None = stored_as(JSON, default=None)
    molar_mass: MolarMassOnSheet | None = stored_as(JSON, default=None)
    answers: list[Answer] = json_list()
    reaction_groups: list[Annotated[int, Bound(ge=1, le=107)]] = json_list()


class SheetProduct(SheetProductFields, Row, table=True):
    """Table of products entered from safety data sheets."""

    __tablename__ = "sheet_product"
