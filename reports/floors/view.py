"""One floor while it is being judged: its facts beside everything computed so far."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from uuid import UUID

from reports.assessment import (
    ContainmentAssessment,
    DrainAssessment,
    PairAssessment,
    Verdict,
)
from reports.facts import DrumFact, FloorFact, PalletFact, SiteFacts, ZoneFact
from reports.floors.hydraulics import Hydraulics
from reports.floors.lots import Lot
from reports.floors.spills import Arrival, FloorSpills
from reports.response.advice import StopLine


@dataclass(frozen=True, slots=True)
class LotArrival:
    """The arrivals of one lot's drums at one drain, sump or door; the verdict is the lot's most certain one."""

    lot: Lot
    target: str
    verdict: Verdict
    arrivals: tuple[tuple[DrumFact, Arrival], ...]


@dataclass(frozen=True, slots=True)
class FloorView:
    """What the rules of a floor look at."""

    site: SiteFacts
    floor: FloorFact
    spills: FloorSpills
    hydraulics: Hydraulics
    lots: tuple[Lot, ...]
    drain_arrivals: tuple[LotArrival, ...]
    drains: tuple[DrainAssessment, ...]
    pairs: tuple[PairAssessment, ...]
    containment: tuple[ContainmentAssessment, ...]
    stops: Mapping[UUID, tuple[StopLine, ...]]

    def zone_of(self, pallet: PalletFact) -> ZoneFact:
        """Give the storage zone a pallet stands in."""
        return next(zone for zone in self.floor.zones if zone.id == pallet.zone_id)

    def pallet(self, name: str) -> PalletFact:
        """Give the pallet of this name."""
        return next(pallet for pallet in self.floor.pallets if pallet.name == name)

    def zones_of(self, names: Iterable[str]) -> tuple[str, ...]:
        """Name the storage zones of these pallets, each once."""
        return tuple(sorted({self.zone_of(self.pallet(name)).name for name in names}))
