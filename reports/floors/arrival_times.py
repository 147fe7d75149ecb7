"""When the liquid of one drum first gets to each drain and door: closed laws over the finished reach of a floor.

Which places are reached, and with how much film, was found before; here they only get their time.
"""

from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from math import inf, isfinite, pi

import numpy as np
from shapely import Point, STRtree
from shapely.geometry.base import BaseGeometry
from shapely.ops import nearest_points

from geometry.film import FilmRange
from geometry.first_arrival import Spreading, falling_arrival, level_arrival
from geometry.leak import Leak
from geometry.relief import SLAB_TOLERANCE_M, STEEPEST_FALL, Relief
from reports.assessment import OVER_THE_FLOOR, DrainReach, DrainTime, LeakTime, Verdict
from reports.facts import DoorFact, DrumFact, PalletFact, SumpFact
from reports.floors.doors import AT_DOOR_M
from reports.floors.falls import relief_on
from reports.floors.leaks import (
    THICK_VISCOSITY_M2_S,
    THIN_VISCOSITY_M2_S,
    NamedLeak,
    drum_leaks,
    drum_shape,
    reference_leaks,
    viscosity_m2_s,
)
from reports.floors.lots import Lot
from reports.floors.spills import Arrival
from reports.floors.view import FloorView
from survey.catalogue.product import Product
from survey.vocabulary import Levelness

USUAL_FALL = 1 / 48
"""Taken towards a drain where nobody recorded how a floor falls: 1/4 in per foot. Source: Concrete Construction,
*Recommended floor slope and tolerance*, and building-code threads: common practice for floors with drains."""

_LEAST_WAY_M = 1e-3


@dataclass(frozen=True, slots=True)
class _Ask:
    """One drum and one place: what its time is worked out from.

    `nearer_m2` is the floor that lies nearer than the place, None where that is not known; `steep` and `gentle` are the
    falls towards the place, 0 where the floor may be level or rise.
    """

    pallet: PalletFact
    product: Product
    target: str
    way: str
    verdict: Verdict
    drum: DrumFact
    distance_m: float
    tolerance_m: float
    nearer_m2: float | None
    steep: float
    gentle: float
    rises: bool
    litres: float | None


class ArrivalTimes:
    """The times on one floor."""

    def __init__(self, view: FloorView) -> None:
        self._view = view
        self._floor = view.floor
        self._recorded_level = view.floor.levelness is Levelness.RECORDED_LEVEL and self._relief is None

    @cached_property
    def _relief(self) -> Relief | None:
        return relief_on(self._floor, self._view.spills.ground)

    def all(self) -> tuple[DrainTime, ...]:
        """Give every time, by place, whoever gets there soonest first."""
        asks = [*self._over_floor(), *self._through_sumps(), *self._doors()]
        return tuple(
            sorted(self._timed(asks), key=lambda time: (time.target, time.early_min, _last(time), time.pallet))
        )

    def _over_floor(self) -> Iterator[_Ask]:
        shapes = {f"drain {drain.name}": drain for drain in self._floor.drains}
        reaches: dict[tuple[str, str], list[DrainReach]] = defaultdict(list)
        for assessed in self._view.drains:
            for reach in assessed.reaches:
                reaches[f"drain {assessed.name}", reach.pallet].append(reach)
        for arrival in self._view.drain_arrivals:
            drain = shapes.get(arrival.target)
            if drain is None or drain.shape is None or not arrival.arrivals or arrival.verdict is Verdict.NOT_REACHED:
                continue
            lot = arrival.lot
            reach = next(each for each in reaches[arrival.target, lot.pallet.name] if lot.product.name in each.products)
            drum, nearest = min(arrival.arrivals, key=lambda each: _nearer_m2(*each) or inf)
            fullest = max((drum for drum, _ in arrival.arrivals), key=lambda drum: drum.fill_l)
            yield self._ask(
                lot,
                arrival.target,
                arrival.verdict,
                fullest,
                _nearer_m2(drum, nearest),
                reach.drum_distance_m.low,
                reach.gap.tolerance_m,
                drain.shape,
                reach.litres.high,
            )

    def _ask(
        self,
        lot: Lot,
        target: str,
        verdict: Verdict,
        drum: DrumFact,
        nearer_m2: float | None,
        distance_m: float,
        tolerance_m: float,
        shape: BaseGeometry,
        litres: float | None,
        way: str = OVER_THE_FLOOR,
    ) -> _Ask:
        steep, gentle, rises = self._falls(drum.at, shape, distance_m)
        return _Ask(
            pallet=lot.pallet,
            product=lot.product,
            target=target,
            way=way,
            verdict=verdict,
            drum=drum,
            distance_m=distance_m,
            tolerance_m=tolerance_m,
            nearer_m2=None if nearer_m2 is None else min(nearer_m2, pi * distance_m**2),
            steep=steep,
            gentle=gentle,
            rises=rises,
            litres=litres,
        )

    def _falls(self, at: Point, shape: BaseGeometry, distance_m: float) -> tuple[float, float, bool]:
        """Give the most and the least that the floor falls from a drum to a place, and whether it may rise instead."""
        way_m = max(distance_m, _LEAST_WAY_M)
        if self._relief is None:
            usual = 0.0 if self._recorded_level else USUAL_FALL
            return min(max(2 * SLAB_TOLERANCE_M / way_m, usual), STEEPEST_FALL), 0.0, False
        place = nearest_points(at, shape)[1]
        high, low = self._relief.elevation_at(np.array([[at.x, at.y], [place.x, place.y]]))
        drop_m, off_m = float(high - low), self._relief.tolerance_m
        most, least = (drop_m + off_m) / way_m, (drop_m - off_m) / way_m
        return min(max(most, 0.0), STEEPEST_FALL), min(max(least, 0.0), STEEPEST_FALL), drop_m < -off_m

    def _through_sumps(self) -> Iterator[_Ask]:
        """Ask for the nearest pallet of each storage zone whose liquid leaves through a sump."""
        sumps = {f"sump {sump.name}": sump for sump in self._floor.sumps}
        chosen: dict[tuple[object, str, str], tuple[float, Lot, SumpFact, Verdict]] = {}
        for arrival in self._view.drain_arrivals:
            sump = sumps.get(arrival.target)
            if sump is None or arrival.verdict is Verdict.NOT_REACHED or not arrival.lot.liquid:
                continue
            for goal, verdict in self._view.hydraulics.from_sump(sump).items():
                if not goal.startswith("drain "):
                    continue
                straight_m = arrival.lot.pallet.footprint.distance(sump.at)
                key = (arrival.lot.pallet.zone_id, goal, sump.name)
                weakest = max(verdict, arrival.verdict, key=list(Verdict).index)
                if key not in chosen or straight_m < chosen[key][0]:
                    chosen[key] = (straight_m, arrival.lot, sump, weakest)
        for (_, goal, name), (_, lot, sump, verdict) in chosen.items():
            drum, distance_m = min(
                ((drum, self._way_m(drum, sump.at)) for drum in lot.liquid), key=lambda each: each[1]
            )
            way = f"through sump {name}"
            yield self._ask(lot, goal, verdict, drum, None, distance_m, drum.tolerance_m, sump.at, None, way=way)

    def _doors(self) -> Iterator[_Ask]:
        """Ask for the nearest pallet of each storage zone whose thin pool wets a door."""
        lots = [lot for lot in self._view.lots if lot.liquid]
        if not lots or not self._floor.doors:
            return
        pools = STRtree([self._view.pools.of(lot).thin for lot in lots])
        for door in self._floor.doors:
            near: dict[object, Lot] = {}
            wet = [lots[place] for place in pools.query(door.line, predicate="dwithin", distance=AT_DOOR_M)]
            for lot in sorted(wet, key=lambda lot: (lot.pallet.footprint.distance(door.line), lot.pallet.name)):
                near.setdefault(lot.pallet.zone_id, lot)
            for lot in near.values():
                yield from self._door(door, lot)

    def _door(self, door: DoorFact, lot: Lot) -> Iterator[_Ask]:
        drum = min(lot.liquid, key=lambda drum: drum.at.distance(door.line))
        arrival = self._view.spills.arrival(drum, door.line, 0.0)
        if arrival.verdict is not Verdict.NOT_REACHED:
            yield self._ask(
                lot,
                f"door {door.name}",
                arrival.verdict,
                drum,
                _nearer_m2(drum, arrival),
                self._way_m(drum, door.line),
                drum.tolerance_m,
                door.line,
                arrival.litres_thin,
            )

    def _way_m(self, drum: DrumFact, shape: BaseGeometry) -> float:
        """Length along the floor [m]; straight where no way is mapped."""
        spread = self._view.spills.spread_from(drum.at)
        along = None if spread is None else spread.distance_m(shape, cautious=True)
        return drum.at.distance(shape) if along is None else along

    def _timed(self, asks: Sequence[_Ask]) -> Iterator[DrainTime]:
        references = self._reference_times(asks)
        for ask, reference in zip(asks, references, strict=True):
            recorded = self._recorded_times(ask)
            leaks = [each for each in (*reference, *recorded) if each.early_min is not None]
            if leaks:
                yield self._drain_time(ask, leaks)

    def _reference_times(self, asks: Sequence[_Ask]) -> list[list[LeakTime]]:
        """Work the reference leaks out for all places at once, drums of one kind together."""
        alike: dict[tuple[float, float, Spreading], list[int]] = defaultdict(list)
        film = self._view.spills.film
        for place, ask in enumerate(asks):
            key = (ask.drum.capacity_l, ask.drum.fill_l, spreading(ask.product, film))
            alike[key].append(place)
        found: list[list[LeakTime]] = [[] for _ in asks]
        for (capacity_l, fill_l, how), places in alike.items():
            for named in reference_leaks(capacity_l, fill_l):
                several = [asks[place] for place in places]
                for place, time in zip(places, self._leak_times(named, several, how), strict=True):
                    found[place].append(time)
        return found

    def _recorded_times(self, ask: _Ask) -> Iterator[LeakTime]:
        """Work out the breaches on record of every drum of the lot, as if each stood where the nearest does."""
        how = spreading(ask.product, self._view.spills.film)
        for drum in ask.pallet.drums:
            if drum.product.key == ask.product.key and drum.leaking:
                for named in drum_leaks(drum):
                    if named.recorded:
                        yield from self._leak_times(named, [ask], how)

    def _leak_times(self, named: NamedLeak, asks: Sequence[_Ask], how: Spreading) -> Iterator[LeakTime]:
        level = _level(named.leak, asks, how)
        falling = _falling(named.leak, asks, how)
        first = None if named.leak.stop_s == 0 else float(named.leak.flow_m3_s[0]) * 60_000
        for ask, (early_s, late_s), (fast_s, slow_s) in zip(asks, level, falling, strict=True):
            apart = self._recorded_level and fast_s < early_s
            soonest_s = early_s if self._recorded_level else min(early_s, fast_s)
            latest_s = slow_s if ask.gentle > 0 else (inf if ask.rises else late_s)
            yield LeakTime(
                leak=named.name,
                why=named.why,
                recorded=named.recorded,
                first_l_min=first,
                leaves_l=named.leak.leaves_m3 * 1000,
                early_min=_minutes(soonest_s),
                late_min=None if ask.way != OVER_THE_FLOOR else _minutes(latest_s),
                falling_min=_minutes(fast_s) if apart else None,
            )

    def _drain_time(self, ask: _Ask, leaks: Sequence[LeakTime]) -> DrainTime:
        recorded = any(each.recorded for each in leaks)
        return DrainTime(
            pallet=ask.pallet.name,
            zone=None if ask.pallet.zone_id is None else self._view.zone_of(ask.pallet).name,
            product=ask.product.name,
            target=ask.target,
            way=ask.way,
            verdict=ask.verdict,
            leaks=tuple(leaks),
            early_min=0.0 if recorded else min(_soonest(each) for each in leaks),
            late_min=next((each.late_min for each in leaks if not each.recorded), None),
            litres=ask.litres,
            viscosity_known=viscosity_m2_s(ask.product) is not None,
        )


def spreading(product: Product, film: FilmRange) -> Spreading:
    """Say how a product spreads on a floor; of unknown viscosity from a solvent's to an oil's."""
    known = viscosity_m2_s(product)
    thin, thick = (THIN_VISCOSITY_M2_S, THICK_VISCOSITY_M2_S) if known is None else (known, known)
    return Spreading(thin, thick, film.thin_m, film.thick_m)


def _level(leak: Leak, asks: Sequence[_Ask], how: Spreading) -> list[tuple[float, float]]:
    """Give both ends on a level floor [s]: early within the tolerance of the positions, late where they are recorded.

    A place that is reached for another reason than a film over open floor, such as a lip that is overrun, is not waited
    for until the film covers that floor.
    """
    way = np.array([ask.distance_m for ask in asks])
    near = np.array([_within_tolerance_m(ask) for ask in asks])
    shrink = np.divide(near, way, out=np.zeros_like(way), where=way > 0) ** 2
    nearer = np.array([pi * ask.distance_m**2 if ask.nearer_m2 is None else ask.nearer_m2 for ask in asks])
    start_m = drum_shape(asks[0].drum).diameter_m / 2
    bare = Spreading(how.thin_viscosity_m2_s, how.thick_viscosity_m2_s, 0.0, 0.0)
    early = level_arrival(leak, near, how, nearer_m2=nearer * shrink, start_radius_m=start_m).early_s
    at_all = level_arrival(leak, near, bare, nearer_m2=nearer * shrink, start_radius_m=start_m).early_s
    known = np.array([ask.nearer_m2 is not None for ask in asks])
    early = np.where(known & np.isfinite(early), early, at_all)
    late = level_arrival(leak, way, how, nearer_m2=nearer, start_radius_m=start_m).late_s
    return list(zip(early.tolist(), np.where(known, late, inf).tolist(), strict=True))


def _falling(leak: Leak, asks: Sequence[_Ask], how: Spreading) -> list[tuple[float, float]]:
    """Give the early end for the steepest fall there may be and the late end for the gentlest [s]; else infinite."""
    start_m = drum_shape(asks[0].drum).diameter_m / 2
    found = []
    for steep in (True, False):
        falls = np.array([ask.steep if steep else ask.gentle for ask in asks])
        way = np.array([_within_tolerance_m(ask) if steep else ask.distance_m for ask in asks])
        there = falls > 0
        arrival = falling_arrival(leak, way, np.where(there, falls, 1.0), how, start_radius_m=start_m)
        found.append(np.where(there, arrival.early_s if steep else arrival.late_s, inf).tolist())
    return list(zip(*found, strict=True))


def _within_tolerance_m(ask: _Ask) -> float:
    return max(ask.distance_m - ask.tolerance_m, 0.0)


def _nearer_m2(drum: DrumFact, arrival: Arrival) -> float | None:
    """Give the floor that lies nearer than a place: the drum's content over the film at which it just gets there."""
    critical_mm = arrival.critical_mm
    return None if critical_mm is None or critical_mm == 0 else drum.fill_l / critical_mm


def _minutes(seconds: float) -> float | None:
    return seconds / 60 if isfinite(seconds) else None


def _last(time: DrainTime) -> float:
    return inf if time.late_min is None else time.late_min


def _soonest(time: LeakTime) -> float:
    return min(inf if each is None else each for each in (time.early_min, time.falling_min))
