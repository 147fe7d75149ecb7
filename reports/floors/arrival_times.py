"""When the liquid of one drum first gets to each drain and door: closed laws over the finished reach of a floor.

Which places are reached, and with how much film, was found before; here they only get their time.
"""

from collections import defaultdict
from collections.abc import Iterator, Sequence
from math import inf, isfinite, pi

import numpy as np

from geometry.film import FilmRange
from geometry.first_arrival import Spreading, falling_arrival, level_arrival
from geometry.leak import Leak
from reports.assessment import DrainTime, LeakTime
from reports.floors.arrival_asks import ArrivalAsks, Ask
from reports.floors.leaks import (
    THICK_VISCOSITY_M2_S,
    THIN_VISCOSITY_M2_S,
    NamedLeak,
    drum_leaks,
    drum_shape,
    reference_leaks,
    viscosity_m2_s,
)
from reports.floors.view import FloorView
from survey.catalogue.product import Product


class ArrivalTimes:
    """The times on one floor."""

    def __init__(self, view: FloorView) -> None:
        self._view = view
        self._asks = ArrivalAsks(view)

    def all(self) -> tuple[DrainTime, ...]:
        """Give every time, by place, whoever gets there soonest first."""
        asks = self._asks.all()
        return tuple(
            sorted(self._timed(asks), key=lambda time: (time.target, time.early_min, _last(time), time.pallet))
        )

    def soonest_min(self, named: NamedLeak) -> dict[str, float]:
        """Give how soon one leak may get to each drain and door [min], with the fall there may be.

        Where several lots or ways lead to one, the soonest of them; what the leak does not get to is left out.
        """
        found: dict[str, float] = {}
        for ask in self._asks.all():
            for time in self._leak_times(named, [ask], spreading(ask.lot.product, self._view.spills.film)):
                soonest = min(_soonest(time), found.get(ask.target, inf))
                if isfinite(soonest):
                    found[ask.target] = soonest
        return found

    def _timed(self, asks: Sequence[Ask]) -> Iterator[DrainTime]:
        references = self._reference_times(asks)
        for ask, reference in zip(asks, references, strict=True):
            recorded = self._recorded_times(ask)
            leaks = [each for each in (*reference, *recorded) if each.early_min is not None]
            if leaks:
                yield self._drain_time(ask, leaks)

    def _reference_times(self, asks: Sequence[Ask]) -> list[list[LeakTime]]:
        """Work the reference leaks out for all places at once, drums of one kind together."""
        alike: dict[tuple[float, float, Spreading], list[int]] = defaultdict(list)
        film = self._view.spills.film
        for place, ask in enumerate(asks):
            key = (ask.drum.capacity_l, ask.drum.fill_l, spreading(ask.lot.product, film))
            alike[key].append(place)
        found: list[list[LeakTime]] = [[] for _ in asks]
        for (capacity_l, fill_l, how), places in alike.items():
            for named in reference_leaks(capacity_l, fill_l):
                several = [asks[place] for place in places]
                for place, time in zip(places, self._leak_times(named, several, how), strict=True):
                    found[place].append(time)
        return found

    def _recorded_times(self, ask: Ask) -> Iterator[LeakTime]:
        """Work out the breaches on record of every drum that gets there, each from where it stands."""
        how = spreading(ask.lot.product, self._view.spills.film)
        for each in ask.leaking:
            for named in drum_leaks(each.drum):
                if named.recorded:
                    yield from self._leak_times(named, [each], how)

    def _leak_times(self, named: NamedLeak, asks: Sequence[Ask], how: Spreading) -> Iterator[LeakTime]:
        level = _level(named.leak, asks, how)
        falling = _falling(named.leak, asks, how)
        first = None if named.leak.stop_s == 0 else float(named.leak.flow_m3_s[0]) * 60_000
        for ask, (early_s, late_s), (fast_s, slow_s) in zip(asks, level, falling, strict=True):
            apart = self._asks.recorded_level and fast_s < early_s
            soonest_s = early_s if self._asks.recorded_level else min(early_s, fast_s)
            latest_s = slow_s if ask.gentle > 0 else (inf if ask.rises else late_s)
            yield LeakTime(
                leak=named.name,
                why=named.why,
                recorded=named.recorded,
                first_l_min=first,
                leaves_l=named.leak.leaves_m3 * 1000,
                early_min=_minutes(soonest_s),
                late_min=_minutes(latest_s) if ask.bounded else None,
                falling_min=_minutes(fast_s) if apart else None,
            )

    def _drain_time(self, ask: Ask, leaks: Sequence[LeakTime]) -> DrainTime:
        recorded = [each for each in leaks if each.recorded]
        slowest = next((each.late_min for each in leaks if not each.recorded), None)
        return DrainTime(
            pallet=ask.lot.pallet.name,
            zone=None if ask.lot.pallet.zone_id is None else self._view.zone_of(ask.lot.pallet).name,
            product=ask.lot.product.name,
            target=ask.target,
            way=ask.way,
            verdict=ask.verdict,
            leaks=tuple(leaks),
            early_min=0.0 if recorded else min(_soonest(each) for each in leaks),
            late_min=_first_latest(recorded) if recorded else slowest,
            litres=ask.litres,
            viscosity_known=viscosity_m2_s(ask.lot.product) is not None,
        )


def spreading(product: Product, film: FilmRange) -> Spreading:
    """Say how a product spreads on a floor; of unknown viscosity from a solvent's to an oil's."""
    known = viscosity_m2_s(product)
    thin, thick = (THIN_VISCOSITY_M2_S, THICK_VISCOSITY_M2_S) if known is None else (known, known)
    return Spreading(thin, thick, film.thin_m, film.thick_m)


def _level(leak: Leak, asks: Sequence[Ask], how: Spreading) -> list[tuple[float, float]]:
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
    way = np.array([ask.late_m for ask in asks])
    nearer = np.array([pi * ask.late_m**2 if ask.late_nearer_m2 is None else ask.late_nearer_m2 for ask in asks])
    known = np.array([ask.late_nearer_m2 is not None for ask in asks])
    late = level_arrival(leak, way, how, nearer_m2=nearer, start_radius_m=start_m).late_s
    return list(zip(early.tolist(), np.where(known, late, inf).tolist(), strict=True))


def _falling(leak: Leak, asks: Sequence[Ask], how: Spreading) -> list[tuple[float, float]]:
    """Give the early end for the steepest fall there may be and the late end for the gentlest [s]; else infinite."""
    start_m = drum_shape(asks[0].drum).diameter_m / 2
    found = []
    for steep in (True, False):
        falls = np.array([ask.steep if steep else ask.gentle for ask in asks])
        way = np.array([_within_tolerance_m(ask) if steep else ask.late_m for ask in asks])
        there = falls > 0
        arrival = falling_arrival(leak, way, np.where(there, falls, 1.0), how, start_radius_m=start_m)
        found.append(np.where(there, arrival.early_s if steep else arrival.late_s, inf).tolist())
    return list(zip(*found, strict=True))


def _within_tolerance_m(ask: Ask) -> float:
    return max(ask.distance_m - ask.tolerance_m, 0.0)


def _minutes(seconds: float) -> float | None:
    return seconds / 60 if isfinite(seconds) else None


def _last(time: DrainTime) -> float:
    return inf if time.late_min is None else time.late_min


def _first_latest(leaks: Sequence[LeakTime]) -> float | None:
    """Give by when the first of several running leaks is there at the latest; None where there is no latest."""
    return min((each.late_min for each in leaks if each.late_min is not None), default=None)


def _soonest(time: LeakTime) -> float:
    return min(inf if each is None else each for each in (time.early_min, time.falling_min))
