"""A small builder of readable, valid surveys: ids that never change, one fixed day, one named inspector.

    build = SurveyBuilder("Harbour store")
    build.floor("Ground floor", width_m=20, depth_m=10)
    build.pallet("P1", at=(3, 4))
    build.drum("P1-1", product="toluene")
    survey = build.survey()

Each call adds one entry below the newest parent (a drum to the newest reading, a pallet to the newest floor) and
gives it back. A pallet comes with one reading. Any field can be given by name; `add` makes entries of any noun.
"""

from collections.abc import Mapping
from datetime import UTC, datetime
from typing import Any, TypeVar
from uuid import UUID, uuid5

from survey.bundle import Survey
from survey.nouns import BY_PLURAL
from survey.tables.entry import Entry
from survey.tables.floor import (
    BundFields,
    DoorFields,
    DrainFields,
    FloorFields,
    LevelFields,
    OutdoorSurfaceFields,
    PipeFields,
    StorageZoneFields,
    SumpFields,
    WallFields,
)
from survey.tables.sheet import SheetProductFields
from survey.tables.site import SiteFields
from survey.tables.stock import DrumFields, PalletFields, ReadingFields

NAMESPACE = UUID("6f0e7f0a-3f5c-4a0e-9a51-0d1f6b1c2d3e")
DAY = datetime(2026, 3, 2, 9, 30, tzinfo=UTC)
INSPECTOR = "R. Example"

ENTRY_ARRANGED = {"backup_crew": "yes", "way_out": "yes", "decontamination": "yes"}
"""What an entry rests on, without which every drum of a site has a stop line."""

F = TypeVar("F", bound=Entry)
Corners = list[tuple[float, float]]


def rectangle(x_m: float, y_m: float, width_m: float, depth_m: float) -> Corners:
    """Give the corners of an upright rectangle from its south-west corner."""
    return [(x_m, y_m), (x_m + width_m, y_m), (x_m + width_m, y_m + depth_m), (x_m, y_m + depth_m)]


class SurveyBuilder:
    """Collects entries of one site; `survey` gives them as a checked survey."""

    def __init__(self, name: str = "Example store", **fields: Any) -> None:
        """Begin a site of this name."""
        self._rows: dict[str, list[Entry]] = {plural: [] for plural in BY_PLURAL}
        self._name = name
        self.site = self.add(
            "sites",
            SiteFields,
            name=name,
            **{"operator": "Example Ltd", "address": "1 Example Road", **ENTRY_ARRANGED, **fields},
        )

    def survey(self) -> Survey:
        """Give what was collected; raises as the survey file would where it does not hold together."""
        lists = {plural: list(rows) for plural, rows in self._rows.items() if plural != "sites"}
        return Survey.model_validate({"site": self.site, **lists})

    def add(self, plural: str, fields_of: type[F], /, **fields: Any) -> F:
        """Add one entry below the newest entry of its parent noun."""
        noun = BY_PLURAL[plural]
        place = len(self._rows[plural]) + 1
        common: dict[str, Any] = {
            "id": uuid5(NAMESPACE, f"{self._name}/{plural}/{place}"),
            "recorded_at": DAY,
            "recorded_by": INSPECTOR,
            "source": "seen",
        }
        if noun.parent is not None and noun.parent not in fields:
            common[noun.parent] = self._rows[_PARENTS[noun.parent]][-1].id
        entry = fields_of.model_validate(common | fields)
        self._rows[plural].append(entry)
        return entry

    def floor(
        self, name: str = "Ground floor", *, width_m: float = 20, depth_m: float = 10, **fields: Any
    ) -> FloorFields:
        """Add a rectangular floor with its origin in the south-west corner, unless `outline` is given."""
        return self.add("floors", FloorFields, name=name, **{"outline": rectangle(0, 0, width_m, depth_m), **fields})

    def outdoor_surface(self, name: str, outline: Corners, **fields: Any) -> OutdoorSurfaceFields:
        """Add a yard to the newest floor."""
        return self.add("outdoor_surfaces", OutdoorSurfaceFields, name=name, outline=outline, **fields)

    def wall(self, name: str, line: Corners, **fields: Any) -> WallFields:
        """Add an inner wall, of unknown tightness unless told."""
        return self.add("walls", WallFields, name=name, line=line, **fields)

    def door(self, name: str, line: Corners, **fields: Any) -> DoorFields:
        """Add a door from jamb to jamb."""
        return self.add("doors", DoorFields, name=name, line=line, **{"kind": "personnel door", **fields})

    def bund(self, name: str, outline: Corners, height_mm: float = 100, **fields: Any) -> BundFields:
        """Add a bund."""
        return self.add("bunds", BundFields, name=name, outline=outline, height_mm=height_mm, **fields)

    def sump(self, name: str, at: tuple[float, float], **fields: Any) -> SumpFields:
        """Add a sump."""
        return self.add("sumps", SumpFields, name=name, at=at, **fields)

    def drain(self, name: str, *points: tuple[float, float], **fields: Any) -> DrainFields:
        """Add a drain at a point or along a line; without points it is known of and not found."""
        return self.add("drains", DrainFields, name=name, line=list(points), **{"kind": "gully", **fields})

    def pipe(self, name: str, start: SumpFields, end: SumpFields | DrainFields, **fields: Any) -> PipeFields:
        """Add a pipe from a sump to another sump or to a drain."""
        field = "to_sump_id" if isinstance(end, SumpFields) else "to_drain_id"
        return self.add("pipes", PipeFields, name=name, **{"from_sump_id": start.id, field: end.id, **fields})

    def level(self, at: tuple[float, float], level_mm: float, **fields: Any) -> LevelFields:
        """Add a surveyed level of the newest floor."""
        return self.add("levels", LevelFields, at=at, level_mm=level_mm, **fields)

    def sheet_product(self, name: str, said: Mapping[str, str] | None = None, /, **fields: Any) -> SheetProductFields:
        """Add a product from a safety data sheet: nothing known but its name and what is `said` of traits."""
        answers = [{"trait": trait, "answer": answer} for trait, answer in (said or {}).items()]
        return self.add(
            "sheet_products", SheetProductFields, name=name, **{"source": "document", "answers": answers, **fields}
        )

    def zone(self, name: str, outline: Corners, **fields: Any) -> StorageZoneFields:
        """Add a storage zone."""
        return self.add("storage_zones", StorageZoneFields, name=name, outline=outline, **fields)

    def pallet(self, name: str, at: tuple[float, float], *, read: bool = True, **fields: Any) -> PalletFields:
        """Add a pallet and, unless `read` is False, one empty reading of it."""
        pallet = self.add("pallets", PalletFields, name=name, at=at, **{"position_source": "measured", **fields})
        if read:
            self.reading()
        return pallet

    def reading(self, author: str = INSPECTOR, **fields: Any) -> ReadingFields:
        """Add a reading of the newest pallet."""
        return self.add("readings", ReadingFields, author=author, **{"taken_at": DAY, **fields})

    def drum(self, name: str, product: str | None = None, **fields: Any) -> DrumFields:
        """Add a drum to the newest reading."""
        return self.add("drums", DrumFields, name=name, product=product, **fields)


_PARENTS = {"site_id": "sites", "floor_id": "floors", "pallet_id": "pallets", "reading_id": "readings"}
