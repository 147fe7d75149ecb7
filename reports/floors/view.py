"""One floor while it is being judged: its facts beside everything computed so far."""

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cached_property
from uuid import UUID

from reports.assessment import (
    ContainmentAssessment,
    DrainAssessment,
    PairAssessment,
    UnlistedPairs,
)
from reports.facts import FloorFact, PalletFact, SiteFacts, ZoneFact
from reports.floors.hydraulics import Hydraulics
from reports.floors.lot_table import LotTable, Pools
from reports.floors.lots import Lot, LotArrival
from reports.floors.nearby import Nearby
from reports.floors.spills import FloorSpills
from reports.response.advice import StopLine

__all__ = ["FloorView", "LotArrival"]


@dataclass(frozen=True)
class FloorView:
    """What the rules of a floor look at."""

    site: SiteFacts
    floor: FloorFact
    spills: FloorSpills
    hydraulics: Hydraulics
    lots: tuple[Lot, ...]
    drain_arrivals: tuple[LotArrival, ...]
    drains: tuple[DrainAssessment, ...]
    pools: Pools
    table: LotTable
    pairs: tuple[PairAssessment, ...]
    unlisted: Mapping[UUID, UnlistedPairs]
    """What the list of pairs only counts, by the pallet's id."""
    containment: tuple[ContainmentAssessment, ...]
    nearby: Nearby
    stops: Mapping[UUID, tuple[StopLine, ...]]

    def zone_of(self, pallet: PalletFact) -> ZoneFact:
        """Give the storage zone a pallet stands in."""
        return self._zones[pallet.zone_id]

    def pallet(self, name: str) -> PalletFact:
        """Give the pallet of this name."""
        return self._pallets[name]

    def zones_of(self, names: Iterable[str]) -> tuple[str, ...]:
        """Name the storage zones of these pallets, each once."""
        return tuple(sorted({self.zone_of(self.pallet(name)).name for name in names}))

    @cached_property
    def arrivals_of(self) -> Mapping[UUID, tuple[LotArrival, ...]]:
        """What the lots of each pallet get to, by the pallet's id; a pallet whose lots get nowhere is not in it."""
        found: dict[UUID, list[LotArrival]] = defaultdict(list)
        for arrival in self.drain_arrivals:
            found[arrival.lot.pallet.id].append(arrival)
        return {pallet: tuple(arrivals) for pallet, arrivals in found.items()}

    @cached_property
    def arrivals_at(self) -> Mapping[str, tuple[LotArrival, ...]]:
        """What gets to each drain or sump, by its name with what it is."""
        found: dict[str, list[LotArrival]] = defaultdict(list)
        for arrival in self.drain_arrivals:
            found[arrival.target].append(arrival)
        return {target: tuple(arrivals) for target, arrivals in found.items()}

    @cached_property
    def _zones(self) -> Mapping[UUID | None, ZoneFact]:
        return {zone.id: zone for zone in self.floor.zones}

    @cached_property
    def _pallets(self) -> Mapping[str, PalletFact]:
        return {pallet.name: pallet for pallet in self.floor.pallets}
