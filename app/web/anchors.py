"""Places on the site page that other lines lead to: an entry of the record keeps its name in the address."""

import re
from collections.abc import Iterable
from typing import Final
from uuid import UUID

from app.web.contexts import Link
from reports.assessment import Assessment, Finding

_NOT_IN_AN_ADDRESS: Final = re.compile(r"[^\w-]+")


class Anchors:
    """One anchor per floor, pallet, storage zone and drain of an assessment; of two with one name, one gets a number.

    An assessment names things by their names; where a name stands twice on a floor, the first one is meant.
    """

    def __init__(self, assessment: Assessment) -> None:
        self._taken: set[str] = set()
        self._by_id: dict[UUID, str] = {}
        self._by_name: dict[tuple[str, str, str], str] = {}
        for floor in assessment.floors:
            self._take("floor", floor.name, floor.name, floor.id)
            for zone in floor.zones:
                self._take("zone", floor.name, zone.name, zone.id)
            for drain in floor.drains:
                self._take("drain", floor.name, drain.name, drain.id)
            for pallet in floor.pallets:
                self._take("pallet", floor.name, pallet.name, pallet.id)

    def _take(self, noun: str, floor: str, name: str, entry_id: UUID) -> None:
        wanted = f"{noun}-{_NOT_IN_AN_ADDRESS.sub('-', name).strip('-') or 'unnamed'}"
        anchor = wanted
        count = 1
        while anchor in self._taken:
            count += 1
            anchor = f"{wanted}-{count}"
        self._taken.add(anchor)
        self._by_id[entry_id] = anchor
        self._by_name.setdefault((noun, floor, name), anchor)

    def of(self, entry_id: UUID) -> str:
        """Give the anchor of a floor, pallet, storage zone or drain."""
        return self._by_id[entry_id]

    def to(self, noun: str, floor: str, names: Iterable[str]) -> tuple[Link, ...]:
        """Link the things of one noun that the floor holds; a name it does not hold stays out."""
        known = ((name, self._by_name.get((noun, floor, name))) for name in names)
        return tuple(Link(name, f"#{anchor}") for name, anchor in known if anchor is not None)

    def one(self, noun: str, floor: str, name: str) -> Link:
        """Link one thing, or the list of its kind where the floor does not hold it."""
        return next(iter(self.to(noun, floor, [name])), Link(name, f"#{noun}s"))

    def places(self, finding: Finding) -> tuple[Link, ...]:
        """Link the storage zones, pallets and drains a finding names, each with what it is: names may be the same."""
        named = (
            ("zone", "storage zone", finding.zones),
            ("pallet", "", finding.pallets),
            ("drain", "drain", finding.drains),
        )
        return tuple(
            Link(f"{what} {link.words}".lstrip(), link.href)
            for noun, what, names in named
            for link in self.to(noun, finding.floor, names)
        )


def finding_anchor(number: int) -> str:
    """Give the anchor of a finding, counted from 1 as on paper."""
    return f"finding-{number}"
