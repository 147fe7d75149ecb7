"""The lots of a floor as columns: what each is, where it stands, what it wets, and what it gets to below ground."""

from collections import defaultdict
from collections.abc import Hashable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from math import hypot
from typing import Any, Generic, TypeVar

import numpy as np
from numpy.typing import NDArray
from shapely import LineString, MultiPolygon, Point, Polygon
from shapely.geometry.base import BaseGeometry

from reports.assessment import Reach, TiltedReach, Verdict
from reports.facts import DrumFact, FloorFact, PalletFact
from reports.floors.chemistry import Chemistry, chemistry
from reports.floors.hydraulics import OFF_FLOOR
from reports.floors.lots import Lot, LotArrival
from reports.floors.spills import FloorSpills
from reports.floors.tilts import tilted_reach
from survey.vocabulary import YesNoUnknown

Numbers = NDArray[np.int64]
Mask = NDArray[np.bool_]
Bits = NDArray[np.uint64]
Key = TypeVar("Key", bound=Hashable)

_WORD = 64


@dataclass(frozen=True, slots=True)
class Wetted:
    """The floor a lot takes up: its thick and thin pool where it runs, else the place it stands on."""

    thick: Polygon | MultiPolygon
    thin: Polygon | MultiPolygon
    runs: bool


class Pools:
    """What each lot takes up. Lots that would spill alike from the same places, as stacked ones, share it."""

    def __init__(self, spills: FloorSpills) -> None:
        self._spills = spills
        self._reaches: dict[Hashable, Reach | None] = {}
        self._thick: dict[Hashable, Polygon | MultiPolygon] = {}
        self._tilted: dict[Hashable, TiltedReach | None] = {}
        self._kept: dict[Hashable, Wetted] = {}

    def reach(self, drums: Sequence[DrumFact]) -> Reach | None:
        """Give the union of the pools of these drums, each taken alone; None where none of them runs."""
        key = tuple((drum.at.x, drum.at.y, drum.fill_l) for drum in drums)
        if key not in self._reaches:
            self._reaches[key] = self._spills.one_drum(drums) if drums else None
        return self._reaches[key]

    def thick_film(self, drums: Sequence[DrumFact]) -> Polygon | MultiPolygon:
        """Give what the thick film of these drums may wet, each taken alone; empty where none of them runs."""
        key = tuple((drum.at.x, drum.at.y, drum.fill_l) for drum in drums)
        if key not in self._thick:
            self._thick[key] = self._spills.thick_film(drums)
        return self._thick[key]

    def tilted(self, drums: Sequence[DrumFact], at: Point) -> TiltedReach | None:
        """Give every place that one of these drums may get to if the floor happens to fall towards it."""
        key = (at.x, at.y, tuple((drum.at.x, drum.at.y, drum.fill_l) for drum in drums))
        if key not in self._tilted:
            self._tilted[key] = tilted_reach(self._spills, drums, at)
        return self._tilted[key]

    def of(self, lot: Lot) -> Wetted:
        """Give the pools of one drum of a lot; its footprint where nothing in it runs or nothing can be computed."""
        place, liquid = lot.pallet.footprint, lot.liquid
        reach = self.reach(liquid)
        key = place.wkb if reach is None else id(reach)
        if key not in self._kept:
            self._kept[key] = (
                Wetted(place, place, runs=False)
                if reach is None
                else Wetted(reach.thick.shape, reach.thin.shape, runs=True)
            )
        return self._kept[key]


@dataclass(frozen=True)
class LotTable:
    """The lots of a floor, and beside each, in arrays of one length, the numbers of what it is and has.

    `pallet` and `place_known` speak for themselves; `name` and `order` are places in the order of pallet names, and
    of pallet names and product keys; `reaches` and `may_reach` hold one bit per drain or sump, in words of 64.
    """

    lots: tuple[Lot, ...]
    pallets: tuple[PalletFact, ...]
    chemistry: Chemistry
    zones: tuple[str | None, ...]
    outlines: tuple[Polygon, ...]
    wetted: tuple[Wetted, ...]
    tolerances_m: tuple[float, ...]
    places: tuple[str, ...]
    """Drains and sumps, in the order of their names."""
    partitions: tuple[LineString, ...]
    """Walls that meet the partition rule."""
    product: Numbers
    pallet: Numbers
    name: Numbers
    order: Numbers
    zone: Numbers
    outline: Numbers
    wet: Numbers
    tolerance: Numbers
    place_known: Mask
    reaches: Bits
    may_reach: Bits

    @cached_property
    def either_m(self) -> NDArray[np.float64]:
        """How far two places may be off together [m], by the numbers of their tolerances."""
        return np.array([[hypot(a, b) for b in self.tolerances_m] for a in self.tolerances_m])

    @cached_property
    def outline_array(self) -> NDArray[Any]:
        """The different footprints as an array."""
        return shape_array(self.outlines)

    @cached_property
    def rows(self) -> Mapping[str, Numbers]:
        """The rows of each pallet, by its name."""
        found: dict[str, list[int]] = defaultdict(list)
        for row, lot in enumerate(self.lots):
            found[lot.pallet.name].append(row)
        return {name: np.array(rows, dtype=np.int64) for name, rows in found.items()}

    def places_of(self, bits: Bits) -> tuple[str, ...]:
        """Name the places of which a row of bits holds some."""
        return tuple(
            place for number, place in enumerate(self.places) if int(bits[number // _WORD]) >> (number % _WORD) & 1
        )

    def moved(self, floor: FloorFact, lots: Sequence[Lot], pools: Pools, arrivals: Sequence[LotArrival]) -> "LotTable":
        """Give the table with one pallet at another place.

        Parameters
        ----------
        floor : FloorFact
            The floor they are on, for its storage zones.
        lots : sequence of Lot
            Those of the pallet as it stands now: of the same products, in the same order.
        pools : Pools
        arrivals : sequence of LotArrival
            Where they get to.

        Returns
        -------
        LotTable
            The other columns are shared with this one.
        """
        pallet = lots[0].pallet
        rows = self.rows[pallet.name]
        zones, tolerances = _Numbered(self.zones), _Numbered(self.tolerances_m)
        changed = {name: getattr(self, name).copy() for name in ("zone", "outline", "wet", "tolerance")}
        changed["zone"][rows] = zones.number(_zone_name(floor, pallet))
        changed["tolerance"][rows] = tolerances.number(pallet.tolerance_m)
        changed["outline"][rows] = len(self.outlines)
        changed["wet"][rows] = len(self.wetted) + np.arange(len(rows))
        reaches, may_reach = self.reaches.copy(), self.may_reach.copy()
        reaches[rows], may_reach[rows] = _bits(self.places, lots, arrivals)
        every = list(self.lots)
        for row, lot in zip(rows.tolist(), lots, strict=True):
            every[row] = lot
        pallets = list(self.pallets)
        pallets[int(self.pallet[rows[0]])] = pallet
        return replace(
            self,
            lots=tuple(every),
            pallets=tuple(pallets),
            zones=tuple(zones.every),
            tolerances_m=tuple(tolerances.every),
            outlines=(*self.outlines, pallet.footprint),
            wetted=(*self.wetted, *(pools.of(lot) for lot in lots)),
            reaches=reaches,
            may_reach=may_reach,
            **changed,
        )


def lot_table(floor: FloorFact, lots: Sequence[Lot], pools: Pools, arrivals: Sequence[LotArrival]) -> LotTable:
    """Set the lots of a floor in columns.

    Parameters
    ----------
    floor : FloorFact
    lots : sequence of Lot
    pools : Pools
    arrivals : sequence of LotArrival
        Where each lot's liquid gets to below ground: drains, and through sumps whatever those join.

    Returns
    -------
    LotTable
    """
    known = chemistry(lot.product for lot in lots)
    at = {pallet.id: number for number, pallet in enumerate(floor.pallets)}
    names = {name: number for number, name in enumerate(sorted({lot.pallet.name for lot in lots}))}
    by_name = sorted(range(len(lots)), key=lambda row: (lots[row].pallet.name, lots[row].product.key))
    order = np.empty(len(lots), dtype=np.int64)
    order[by_name] = np.arange(len(lots))
    zone_of = {pallet.id: _zone_name(floor, pallet) for pallet in floor.pallets}
    zones: _Numbered[str | None] = _Numbered()
    outlines: _Numbered[bytes] = _Numbered()
    wetted: _Numbered[int] = _Numbered()
    tolerances: _Numbered[float] = _Numbered()
    areas = [pools.of(lot) for lot in lots]
    places = _places(floor)
    reaches, may_reach = _bits(places, lots, arrivals)
    columns = {
        "product": [known.numbers[lot.product.key] for lot in lots],
        "pallet": [at[lot.pallet.id] for lot in lots],
        "name": [names[lot.pallet.name] for lot in lots],
        "zone": [zones.number(zone_of[lot.pallet.id]) for lot in lots],
        "outline": [outlines.number(lot.pallet.footprint.wkb) for lot in lots],
        "wet": [wetted.number(id(area)) for area in areas],
        "tolerance": [tolerances.number(lot.pallet.tolerance_m) for lot in lots],
    }
    arrays = {name: np.array(values, dtype=np.int64) for name, values in columns.items()}
    return LotTable(
        lots=tuple(lots),
        pallets=floor.pallets,
        chemistry=known,
        zones=tuple(zones.every),
        outlines=tuple(_firsts(arrays["outline"], [lot.pallet.footprint for lot in lots])),
        wetted=tuple(_firsts(arrays["wet"], areas)),
        tolerances_m=tuple(tolerances.every),
        places=places,
        partitions=tuple(wall.line for wall in floor.walls if wall.meets_partition_rule is YesNoUnknown.YES),
        order=order,
        place_known=np.array([lot.place_known for lot in lots], dtype=bool),
        reaches=reaches,
        may_reach=may_reach,
        **arrays,
    )


def shape_array(shapes: Sequence[BaseGeometry]) -> NDArray[Any]:
    """Give shapes as an array of objects, as they are measured many at once."""
    found = np.empty(len(shapes), dtype=object)
    found[:] = shapes
    return found


class _Numbered(Generic[Key]):
    """Numbers things in the order in which they come first."""

    def __init__(self, every: Iterable[Key] = ()) -> None:
        self.every = {each: number for number, each in enumerate(every)}

    def number(self, each: Key) -> int:
        return self.every.setdefault(each, len(self.every))


T = TypeVar("T")


def _firsts(numbers: Numbers, values: Sequence[T]) -> list[T]:
    """Give the first value of each number."""
    _, rows = np.unique(numbers, return_index=True)
    return [values[row] for row in rows.tolist()]


def _zone_name(floor: FloorFact, pallet: PalletFact) -> str | None:
    return next((zone.name for zone in floor.zones if zone.id == pallet.zone_id), None)


def _places(floor: FloorFact) -> tuple[str, ...]:
    """Name everything below ground at which liquids may meet."""
    drains = {f"drain {drain.name}" for drain in floor.drains}
    return tuple(sorted({OFF_FLOOR, *drains, *(f"sump {sump.name}" for sump in floor.sumps)}))


def _bits(places: Sequence[str], lots: Sequence[Lot], arrivals: Sequence[LotArrival]) -> tuple[Bits, Bits]:
    """Mark the places that each lot reaches, and those that it reaches or may reach."""
    rows = {id(lot): row for row, lot in enumerate(lots)}
    numbers = {place: number for number, place in enumerate(places)}
    shape = (len(lots), -(-len(places) // _WORD))
    reaches, may_reach = np.zeros(shape, dtype=np.uint64), np.zeros(shape, dtype=np.uint64)
    for arrival in arrivals:
        if arrival.verdict is Verdict.NOT_REACHED:
            continue
        row, (word, bit) = rows[id(arrival.lot)], divmod(numbers[arrival.target], _WORD)
        may_reach[row, word] |= np.uint64(1 << bit)
        if arrival.verdict is Verdict.REACHES:
            reaches[row, word] |= np.uint64(1 << bit)
    return reaches, may_reach
