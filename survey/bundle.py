"""The survey file: one JSON document that holds a whole site.

`parse` and `dump` are exact inverses. A malformed document is refused whole; an implausible one (a pallet outside
its floor, an unknown container code, a fill over 100 %) is taken as written, because a field entry is never thrown
away, and is flagged where it is judged.
"""

import hashlib
import json
from collections.abc import Iterator, Mapping, Sequence
from operator import attrgetter
from typing import Annotated, Any, Literal, Self, TypeVar

from pydantic import BaseModel, ConfigDict, Field, ValidationError, model_validator

from survey.consistency import contradictions
from survey.faults import Fault, SurveyRefused, faults_of
from survey.json_text import read_object
from survey.nouns import NOUNS, Noun
from survey.tables import floor as on_floor
from survey.tables import sheet as from_sheet
from survey.tables import site as of_site
from survey.tables import stock as in_stock
from survey.tables.entry import Entry

__all__ = [
    "FORMAT",
    "VERSION",
    "Fault",
    "Survey",
    "SurveyRefused",
    "dump",
    "entries",
    "json_schema",
    "parse",
    "snapshot_sha256",
]

FORMAT: Literal["drumwalk-survey"] = "drumwalk-survey"
VERSION: Literal[1] = 1

E = TypeVar("E", bound=Entry)
Rows = Annotated[list[E], Field(default_factory=list)]


class Survey(BaseModel):
    """A whole site: the site itself and a flat list of every other noun, ids and references inside.

    However it is made, it does not contradict itself (`SurveyRefused` otherwise), and each list is in the order of
    its ids, so that equal surveys are equal documents.
    """

    model_config = ConfigDict(extra="forbid", allow_inf_nan=False)

    format: Literal["drumwalk-survey"] = FORMAT
    version: Literal[1] = VERSION
    site: of_site.SiteFields
    contacts: Rows[of_site.ContactFields]
    access_points: Rows[of_site.AccessPointFields]
    utilities: Rows[of_site.UtilityFields]
    water_supplies: Rows[of_site.WaterSupplyFields]
    protection_systems: Rows[of_site.ProtectionSystemFields]
    impairments: Rows[of_site.ImpairmentFields]
    kit_items: Rows[of_site.KitItemFields]
    walkthroughs: Rows[of_site.WalkthroughFields]
    floors: Rows[on_floor.FloorFields]
    outdoor_surfaces: Rows[on_floor.OutdoorSurfaceFields]
    walls: Rows[on_floor.WallFields]
    doors: Rows[on_floor.DoorFields]
    bunds: Rows[on_floor.BundFields]
    sumps: Rows[on_floor.SumpFields]
    drains: Rows[on_floor.DrainFields]
    pipes: Rows[on_floor.PipeFields]
    levels: Rows[on_floor.LevelFields]
    racks: Rows[on_floor.RackFields]
    heat_sources: Rows[on_floor.HeatSourceFields]
    water_ingress: Rows[on_floor.WaterIngressFields]
    storage_zones: Rows[on_floor.StorageZoneFields]
    sheet_products: Rows[from_sheet.SheetProductFields]
    pallets: Rows[in_stock.PalletFields]
    readings: Rows[in_stock.ReadingFields]
    drums: Rows[in_stock.DrumFields]
    photos: Rows[of_site.PhotoFields]

    @model_validator(mode="after")
    def _whole_and_in_order(self) -> Self:
        # Before sorting, while places in the lists are still places in the document.
        refuse_contradictions(self)
        for noun in NOUNS:
            if noun.parent is not None:
                getattr(self, noun.plural).sort(key=attrgetter("id"))
        return self


def entries(survey: Survey) -> Iterator[tuple[Noun, Sequence[Entry]]]:
    """Give each noun with its entries, parents before children; the site is the one entry of its noun."""
    for noun in NOUNS:
        yield noun, [survey.site] if noun.parent is None else getattr(survey, noun.plural)


def parse(data: bytes, *, max_bytes: int) -> Survey:
    """Read a survey file.

    Raises
    ------
    SurveyRefused
        With every fault found: its path in the document, what was expected and what was found.
    """
    text, document = read_object(data, max_bytes=max_bytes, format_=FORMAT, version=VERSION)
    unnamed = list(_without_id(document))
    try:
        survey = Survey.model_validate_json(text, strict=True)
    except ValidationError as error:
        raise SurveyRefused(unnamed + faults_of(error)) from error
    if unnamed:
        raise SurveyRefused(unnamed)
    return survey


def _without_id(document: Mapping[str, Any]) -> Iterator[Fault]:
    """Find entries without an id: the model would make one up, and the next import of the file another."""
    for noun in NOUNS:
        rows = document.get(noun.plural) if noun.parent else [document.get("site")]
        for index, row in enumerate(rows if isinstance(rows, list) else ()):
            if isinstance(row, dict) and "id" not in row:
                yield Fault(f"{_place(noun, index)}.id", "a UUID", "nothing")


def refuse_contradictions(survey: Survey) -> None:
    """Raise `SurveyRefused` where entries contradict each other: ids twice, references to nothing, circles."""
    faults = contradictions(_located(survey))
    if faults:
        raise SurveyRefused(faults)


def _located(survey: Survey) -> Iterator[tuple[str, Noun, Entry]]:
    for noun, rows in entries(survey):
        for index, row in enumerate(rows):
            yield _place(noun, index), noun, row


def _place(noun: Noun, index: int) -> str:
    return "site" if noun.parent is None else f"{noun.plural}[{index}]"


def dump(survey: Survey) -> bytes:
    """Write a survey file: one spelling for each survey, entries in the order of their ids, UTF-8."""
    document = survey.model_dump(mode="json")
    return (json.dumps(document, ensure_ascii=False, allow_nan=False, indent=1) + "\n").encode()


def snapshot_sha256(survey: Survey) -> str:
    """Give the hash that names this state of the record, as lower-case hexadecimal."""
    return hashlib.sha256(dump(survey)).hexdigest()


def json_schema() -> dict[str, Any]:
    """Give the JSON Schema (draft 2020-12) of the survey file; what it cannot say, `parse` still checks."""
    schema = Survey.model_json_schema(mode="validation")
    for shape in schema["$defs"].values():
        if "id" in shape.get("properties", {}):
            # An entry made in the program may have its id made for it; one in a file has it.
            shape["required"] = ["id", *shape["required"]]
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "$id": f"urn:{FORMAT}:{VERSION}",
        **schema,
        "title": f"Drumwalk survey file, version {VERSION}",
        "required": ["format", "version", "site"],
    }
