"""Writes an invented survey down, with the same ids, times and authors on every run."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any
from uuid import UUID, uuid5

from survey.bundle import Survey
from survey.nouns import BY_PLURAL, NOUNS
from survey.tables.entry import Entry
from survey.vocabulary import Source

NAMESPACE = UUID("c5b0a1de-6f0b-5c5e-9d53-7e2f6a1b8d40")
"""Root of every demo id; changing it gives every demo entry a new id."""

Fields = Mapping[str, Any]
"""Field values of one entry, checked when the entry is made."""
Spot = tuple[float, float]
Ring = list[Spot]

PALLET_CORNERS: tuple[Spot, ...] = ((-0.3, -0.3), (0.3, -0.3), (-0.3, 0.3), (0.3, 0.3))
"""Four drums on a pallet, from its centre [m]: south-west, south-east, north-west, north-east."""


@dataclass(frozen=True, slots=True)
class Origin:
    """When and by whom something was written down, and where it comes from."""

    at: datetime
    by: str
    source: Source = Source.SEEN

    def says(self, source: Source) -> "Origin":
        """Give the same time and author with another source."""
        return Origin(self.at, self.by, source)


class Recorder:
    """Collects the entries of one site; each hangs on the parent that was written last."""

    def __init__(self, slug: str, origin: Origin) -> None:
        self._slug = slug
        self._origin = origin
        self._rows: dict[str, list[Entry]] = {noun.plural: [] for noun in NOUNS}

    def add(self, plural: str, key: str, *, origin: Origin | None = None, **fields: Any) -> UUID:
        """Write one entry and give its id, which follows from the site, the noun and `key` alone.

        `key` is also the entry's name where its noun has one and `fields` does not give another.
        """
        noun = BY_PLURAL[plural]
        written = origin or self._origin
        values: dict[str, Any] = {
            "id": self.id_of(plural, key),
            "recorded_at": written.at,
            "recorded_by": written.by,
            "source": written.source,
        }
        if "name" in noun.fields.model_fields:
            values["name"] = key
        if noun.parent is not None:
            values[noun.parent] = self._last_id(noun.parent)
        entry = noun.fields.model_validate(values | fields)
        self._rows[plural].append(entry)
        return entry.id

    def id_of(self, plural: str, key: str) -> UUID:
        """Give the id of an entry, written or not."""
        return uuid5(NAMESPACE, f"{self._slug}/{plural}/{key}")

    def reading(self, pallet: str, drums: Sequence[Fields], *, origin: Origin | None = None, **fields: Any) -> UUID:
        """Write what one person read on the pallet written last, drum by drum in the order of its corners."""
        read = origin or self._origin
        reading_id = self.add(
            "readings",
            f"{pallet} {read.by} {read.at.isoformat()}",
            origin=read,
            author=read.by,
            taken_at=read.at,
            **fields,
        )
        for number, drum in enumerate(drums, start=1):
            name = f"{pallet}-{number}"
            corner = {} if "offset" in drum else {"offset": PALLET_CORNERS[number - 1]}
            self.add("drums", f"{reading_id} {name}", origin=read, **{"name": name} | corner | dict(drum))
        return reading_id

    def survey(self) -> Survey:
        """Give everything written as one survey."""
        (site,) = self._rows["sites"]
        lists = {plural: rows for plural, rows in self._rows.items() if plural != "sites"}
        return Survey.model_validate({"site": site, **lists})

    def _last_id(self, parent: str) -> UUID:
        return self._rows[f"{parent.removesuffix('_id')}s"][-1].id


def box(west: float, south: float, east: float, north: float) -> Ring:
    """Give the corners of an upright rectangle [m]."""
    return [(west, south), (east, south), (east, north), (west, north)]
