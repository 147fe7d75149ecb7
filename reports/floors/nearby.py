"""What stands near each drum that a stop rule asks for: drums nobody identified, drums that may burst."""

from collections.abc import Collection, Hashable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from heapq import nsmallest
from math import hypot
from typing import Any
from uuid import UUID

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import MultiPolygon, Polygon

from geometry.incompatible_neighbours import meeting
from reports.alarms import alarming
from reports.facts import DrumFact, PalletFact
from reports.floors.lot_table import Mask, Numbers, Pools, shape_array
from reports.floors.together import NEARBY_M


@dataclass(frozen=True, slots=True)
class Around:
    """What stands near one drum: how many that nobody identified, the nearest of them, and whether any may burst."""

    nearest: tuple[tuple[str, float], ...]
    """Its name, and how far apart the two pallets are, edge to edge [m]; empty where there is none."""
    more: int
    """How many unidentified ones beside that."""
    alarming: bool


@dataclass(slots=True)
class _Stand:
    """A place that pallets stand on and what one drum of them wets, with the drums there that others are told of.

    Stacked pallets that would spill alike share one.
    """

    footprint: Polygon
    pool: Polygon | MultiPolygon
    tolerance_m: float
    unidentified: list[tuple[str, UUID]] = field(default_factory=list)
    alarming: list[UUID] = field(default_factory=list)

    def add(self, pallet: PalletFact) -> None:
        """Note the drums of a pallet that others are told of."""
        self.unidentified += [(drum.name, drum.id) for drum in pallet.drums if _unidentified(drum)]
        self.alarming += [drum.id for drum in pallet.drums if alarming(drum)]

    @property
    def told(self) -> bool:
        return bool(self.unidentified or self.alarming)


@dataclass(frozen=True, slots=True)
class _Near:
    """All drums near one place that others are told of; of the unidentified the nearest two, as a drum may be one."""

    unidentified: int
    nearest: Sequence[tuple[float, str, UUID]]
    alarming: int

    def around(self, drum: DrumFact) -> Around:
        """Give what of it a drum of that place has round it: all but itself."""
        others = [(name, metres) for metres, name, key in self.nearest if key != drum.id]
        return Around(
            nearest=tuple(others[:1]),
            more=max(self.unidentified - _unidentified(drum) - 1, 0),
            alarming=self.alarming > bool(alarming(drum)),
        )


class Nearby:
    """What stands nearby on one floor.

    *Nearby* is the same pallet, a pallet within 2 m, above or below, or in either one's thick-film pool.
    """

    def __init__(self, pallets: Sequence[PalletFact], pools: Pools) -> None:
        """Sort pallets by the places they stand on."""
        self._pools = pools
        self._stands: dict[Hashable, _Stand] = {}
        for pallet in pallets:
            key = _key(pallet)
            if key not in self._stands:
                self._stands[key] = self._stand(pallet)
            self._stands[key].add(pallet)
        self._kept: dict[Hashable, _Near] = {}

    def around(self, pallet: PalletFact) -> Mapping[UUID, Around]:
        """Say what stands near each drum of a pallet, by the drum's id."""
        key = _key(pallet)
        if key not in self._kept:
            self._kept[key] = _near(self._neighbours[key])
        return {drum.id: self._kept[key].around(drum) for drum in pallet.drums}

    def around_moved(self, pallet: PalletFact) -> Mapping[UUID, Around]:
        """Say it of one of these pallets that stands elsewhere now, while all others stand where they stood."""
        own = self._stand(pallet)
        own.add(pallet)
        stands = [own, *(stand for stand in self._stands.values() if stand.told)]
        first, second = np.zeros(len(stands), dtype=np.int64), np.arange(len(stands))
        gone = {drum.id for drum in pallet.drums}
        near = _near(
            (stands[number], metres, frozenset() if number == 0 else gone)
            for _, number, metres in _nearby(stands, first, second)
        )
        return {drum.id: near.around(drum) for drum in pallet.drums}

    @cached_property
    def _neighbours(self) -> Mapping[Hashable, Sequence[tuple[_Stand, float, Collection[UUID]]]]:
        """For each stand those nearby of which it is told something, and how far they are."""
        keys, stands = list(self._stands), list(self._stands.values())
        found: dict[Hashable, list[tuple[_Stand, float, Collection[UUID]]]] = {key: [] for key in keys}
        told = np.array([number for number, stand in enumerate(stands) if stand.told], dtype=np.int64)
        if len(told):
            boxes = _boxes(stands)
            first, second = shapely.STRtree(boxes[told]).query(boxes)
            for one, other, metres in _nearby(stands, first, told[second]):
                found[keys[one]].append((stands[other], metres, ()))
        return found

    def _stand(self, pallet: PalletFact) -> _Stand:
        pool = self._pools.thick_film([drum for drum in pallet.drums if drum.fill_l > 0])
        return _Stand(pallet.footprint, pool, pallet.tolerance_m)


def _key(pallet: PalletFact) -> Hashable:
    liquid = tuple((drum.at.x, drum.at.y, drum.fill_l) for drum in pallet.drums if drum.fill_l > 0)
    return pallet.footprint.wkb, pallet.tolerance_m, liquid


def _unidentified(drum: DrumFact) -> bool:
    return drum.contents_unknown and not drum.empty_uncleaned


def _near(neighbours: Iterable[tuple[_Stand, float, Collection[UUID]]]) -> _Near:
    unidentified, alarms = 0, 0
    nearest: list[tuple[float, str, UUID]] = []
    for stand, metres, gone in neighbours:
        here = [(metres, name, key) for name, key in stand.unidentified if key not in gone]
        unidentified += len(here)
        nearest = nsmallest(2, [*nearest, *here])
        alarms += sum(key not in gone for key in stand.alarming)
    return _Near(unidentified, nearest, alarms)


def _boxes(stands: Sequence[_Stand]) -> NDArray[Any]:
    """Boxes round footprints and pools, so wide that what is nearby lies in touching ones."""
    west, south, east, north = shapely.bounds(shape_array([stand.footprint for stand in stands])).T
    pools = shapely.bounds(shape_array([stand.pool for stand in stands])).T
    grown_m = NEARBY_M / 2 + max(stand.tolerance_m for stand in stands)
    boxes: NDArray[Any] = shapely.box(
        np.fmin(west - grown_m, pools[0]),
        np.fmin(south - grown_m, pools[1]),
        np.fmax(east + grown_m, pools[2]),
        np.fmax(north + grown_m, pools[3]),
    )
    return boxes


def _nearby(stands: Sequence[_Stand], first: Numbers, second: Numbers) -> Iterator[tuple[int, int, float]]:
    """Choose those of the pairs of stands that are nearby, and say how far apart they are [m]."""
    footprints = shape_array([stand.footprint for stand in stands])
    apart_m = shapely.distance(footprints[first], footprints[second])
    either_m = np.array(
        [
            hypot(stands[one].tolerance_m, stands[other].tolerance_m)
            for one, other in zip(first.tolist(), second.tolist(), strict=True)
        ]
    )
    near: Mask = apart_m - either_m <= NEARBY_M
    shapes = np.concatenate([footprints, shape_array([stand.pool for stand in stands])])
    for one, other in ((first, second), (second, first)):
        far = np.flatnonzero(~near)
        near[far] = meeting(shapes, one[far] + len(stands), other[far])
    chosen = np.flatnonzero(near)
    yield from zip(first[chosen].tolist(), second[chosen].tolist(), apart_m[chosen].tolist(), strict=True)
