"""Which lots get to which drains and doors, and what the times of each are worked out from."""

from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from math import inf, pi

import numpy as np
from shapely import Point, STRtree
from shapely.geometry.base import BaseGeometry
from shapely.ops import nearest_points

from geometry.relief import SLAB_TOLERANCE_M, STEEPEST_FALL
from reports.assessment import OVER_THE_FLOOR, DrainReach, Verdict
from reports.facts import DrumFact
from reports.floors.doors import AT_DOOR_M
from reports.floors.lots import Lot
from reports.floors.spills import Arrival
from reports.floors.view import FloorView
from survey.vocabulary import Levelness, YesNoUnknown

USUAL_FALL = 1 / 48
"""Taken towards a drain where nobody recorded how a floor falls: 1/4 in per foot. Source: Concrete Construction,
*Recommended floor slope and tolerance*, and building-code threads: common practice for floors with drains."""

_LEAST_WAY_M = 1e-3
_ROUNDING_L = 1e-6  # so little off the map is none


@dataclass(frozen=True, slots=True)
class Ask:
    """One lot, or one leaking drum of it, and one place: what its time is worked out from.

    `drum` is the fullest of those that get there and `distance_m` the way of the nearest of them; `late_m` is the way
    of the nearest one that surely does. `nearer_m2` and `late_nearer_m2` are the floor that lies nearer than the place,
    None where that is not known. `steep` and `gentle` are the falls towards the place, 0 where the floor may be level
    or rise. `bounded` is whether there is a latest at all. `leaking` asks of each drum that leaks already, from where
    it stands itself.
    """

    lot: Lot
    target: str
    way: str
    verdict: Verdict
    drum: DrumFact
    distance_m: float
    tolerance_m: float
    nearer_m2: float | None
    late_m: float
    late_nearer_m2: float | None
    steep: float
    gentle: float
    rises: bool
    bounded: bool
    litres: float | None
    leaking: tuple["Ask", ...] = ()


@dataclass(frozen=True, slots=True)
class _Getting:
    """One drum that gets to a place: how far it is along the floor at the least and at the most, and the floor nearer.

    `far_m2` is None where there is no latest that the floor alone sets.
    """

    drum: DrumFact
    verdict: Verdict
    way_m: float
    nearer_m2: float | None
    far_m: float
    far_m2: float | None


class ArrivalAsks:
    """What to ask on one floor: over the floor to each drain and door, and through sumps."""

    def __init__(self, view: FloorView) -> None:
        self._view = view
        self._floor = view.floor
        self.recorded_level = view.floor.levelness is Levelness.RECORDED_LEVEL and view.spills.relief is None
        self._tight = view.floor.perimeter_tight is YesNoUnknown.YES and all(
            door.tight is YesNoUnknown.YES for door in view.floor.doors
        )
        self._edges: dict[str, BaseGeometry] = {}

    def all(self) -> list[Ask]:
        """Give everything there is to ask."""
        return [*self._over_floor(), *self._through_sumps(), *self._doors()]

    def _over_floor(self) -> Iterator[Ask]:
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
            getting = _getting(arrival.arrivals, drain.shape)
            yield self._lot_ask(lot, arrival.target, getting, drain.shape, reach.gap.tolerance_m, reach.litres.high)

    def _lot_ask(
        self,
        lot: Lot,
        target: str,
        getting: Sequence[_Getting],
        shape: BaseGeometry,
        tolerance_m: float,
        litres: float | None,
    ) -> Ask:
        """Ask of all drums of a lot that get to a place, and of each of them that leaks already by itself."""
        ask = self._ask(lot, target, getting, shape, tolerance_m, litres)
        leaking = tuple(
            self._ask(lot, target, [each], shape, tolerance_m, litres) for each in getting if each.drum.leaking
        )
        return replace(ask, leaking=leaking)

    def _ask(
        self,
        lot: Lot,
        target: str,
        getting: Sequence[_Getting],
        shape: BaseGeometry,
        tolerance_m: float,
        litres: float | None,
    ) -> Ask:
        verdict = min((each.verdict for each in getting), key=list(Verdict).index)
        nearest = min(getting, key=_nearer)
        sure = min((each for each in getting if each.verdict is verdict), key=_nearer)
        distance_m = min(each.way_m for each in getting)
        steep, gentle, rises = self._falls(nearest.drum.at, shape, distance_m)
        return Ask(
            lot=lot,
            target=target,
            way=OVER_THE_FLOOR,
            verdict=verdict,
            drum=max((each.drum for each in getting), key=lambda drum: drum.fill_l),
            distance_m=distance_m,
            tolerance_m=tolerance_m,
            nearer_m2=None if nearest.nearer_m2 is None else min(nearest.nearer_m2, pi * distance_m**2),
            late_m=sure.far_m,
            late_nearer_m2=None if sure.far_m2 is None else min(sure.far_m2, pi * sure.far_m**2),
            steep=steep,
            gentle=gentle,
            rises=rises,
            bounded=verdict is Verdict.REACHES and self._stays(lot, sure, target, shape),
            litres=litres,
        )

    def _stays(self, lot: Lot, sure: _Getting, target: str, shape: BaseGeometry) -> bool:
        """Whether no thick pool leaves the map before it is there: else the floor that lies nearer bounds no time.

        Where the outer wall or a door in it is not recorded tight, a pool that gets to the edge of the map may leave.
        """
        reach = self._view.pools.reach(lot.liquid)
        if reach is None:
            return False
        if reach.thick.off_map_l <= _ROUNDING_L and (
            self._tight or not reach.thick.shape.dwithin(self._view.spills.ground.boundary, AT_DOOR_M)
        ):
            return True
        if target not in self._edges:  # what leaves beside the place itself has got there
            self._edges[target] = self._view.spills.ground.boundary.difference(shape.buffer(AT_DOOR_M))
        return sure.drum.at.distance(self._edges[target]) > sure.far_m

    def _falls(self, at: Point, shape: BaseGeometry, distance_m: float) -> tuple[float, float, bool]:
        """Give the most and the least that the floor falls from a drum to a place, and whether it may rise instead."""
        way_m = max(distance_m, _LEAST_WAY_M)
        if self._view.spills.relief is None:
            usual = 0.0 if self.recorded_level else USUAL_FALL
            return min(max(2 * SLAB_TOLERANCE_M / way_m, usual), STEEPEST_FALL), 0.0, False
        place = nearest_points(at, shape)[1]
        high, low = self._view.spills.relief.elevation_at(np.array([[at.x, at.y], [place.x, place.y]]))
        drop_m, off_m = float(high - low), self._view.spills.relief.tolerance_m
        most, least = (drop_m + off_m) / way_m, (drop_m - off_m) / way_m
        return min(max(most, 0.0), STEEPEST_FALL), min(max(least, 0.0), STEEPEST_FALL), drop_m < -off_m

    def _through_sumps(self) -> Iterator[Ask]:
        """Ask for every lot whose liquid leaves through a sump; in the sump's bund it does so from any place."""
        sumps = {f"sump {sump.name}": sump for sump in self._floor.sumps}
        for arrival in self._view.drain_arrivals:
            sump = sumps.get(arrival.target)
            if sump is None or arrival.verdict is Verdict.NOT_REACHED or not arrival.arrivals:
                continue
            goals = [each for each in self._view.hydraulics.from_sump(sump).items() if each[0].startswith("drain ")]
            if not goals:
                continue
            getting = [
                replace(each, nearer_m2=None, far_m2=None)
                for each in _getting(arrival.arrivals, sump.at, everything=True)
            ]
            tolerance_m = max(each.drum.tolerance_m for each in getting)
            ask = self._lot_ask(arrival.lot, arrival.target, getting, sump.at, tolerance_m, None)
            for goal, verdict in goals:
                weakest = max(verdict, arrival.verdict, key=list(Verdict).index)
                yield _by_way_of(ask, goal, f"through sump {sump.name}", weakest)

    def _doors(self) -> Iterator[Ask]:
        """Ask for every lot whose thin pool wets a door, or of which none could be computed."""
        lots = [lot for lot in self._view.lots if lot.liquid]
        doors = self._floor.doors
        if not lots or not doors:
            return
        pools = [self._view.pools.of(lot) for lot in lots]
        # Past unknown barriers liquid may get farther than any pool that is drawn.
        everywhere = any(pool.runs for pool in pools) and self._view.spills.unknown
        unknown = {number for number, pool in enumerate(pools) if everywhere or not pool.runs}
        tree = STRtree([pool.thin for pool in pools])
        near = [
            sorted(unknown.union(tree.query(door.line, predicate="dwithin", distance=AT_DOOR_M).tolist()))
            for door in doors
        ]
        drums = {drum.id: drum for numbers in near for number in numbers for drum in lots[number].liquid}
        arrivals = self._view.spills.arrivals(list(drums.values()), [(door.line, 0.0) for door in doors])
        found = dict(zip(drums, arrivals, strict=True))
        for place, (door, numbers) in enumerate(zip(doors, near, strict=True)):
            for lot in (lots[number] for number in numbers):
                getting = _getting([(drum, found[drum.id][place]) for drum in lot.liquid], door.line)
                if getting:
                    tolerance_m = max(each.drum.tolerance_m for each in getting)
                    litres = max(found[each.drum.id][place].litres_thin for each in getting)
                    yield self._lot_ask(lot, f"door {door.name}", getting, door.line, tolerance_m, litres)


def _nearer_m2(drum: DrumFact, arrival: Arrival) -> float | None:
    """Give the floor that lies nearer than a place: the drum's content over the film at which it just gets there."""
    critical_mm = arrival.critical_mm
    return None if critical_mm is None or critical_mm == 0 else drum.fill_l / critical_mm


def _getting(
    arrivals: Sequence[tuple[DrumFact, Arrival]], shape: BaseGeometry, *, everything: bool = False
) -> list[_Getting]:
    """Give the drums that get to a place, of a lot that does, or `everything` of it where none need run over the floor.

    A way that is not mapped is taken straight.
    """
    found = []
    for drum, arrival in arrivals:
        straight_m = drum.at.distance(shape)
        way_m = straight_m if arrival.way_m is None else arrival.way_m
        far_m = way_m if arrival.far_m is None else arrival.far_m
        far_m2 = None if arrival.far_m is None else arrival.far_m2
        found.append(_Getting(drum, arrival.verdict, way_m, _nearer_m2(drum, arrival), far_m, far_m2))
    return found if everything else [each for each in found if each.verdict is not Verdict.NOT_REACHED]


def _nearer(each: _Getting) -> tuple[float, float]:
    return inf if each.nearer_m2 is None else each.nearer_m2, each.way_m


def _by_way_of(ask: Ask, target: str, way: str, verdict: Verdict) -> Ask:
    leaking = tuple(_by_way_of(each, target, way, verdict) for each in ask.leaking)
    return replace(ask, target=target, way=way, verdict=verdict, bounded=False, leaking=leaking)
