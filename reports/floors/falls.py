"""Facts → geometry on a floor that falls: which way it falls, what one drum's liquid reaches on it, and how far."""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray
from shapely import Point
from shapely.geometry.base import BaseGeometry

from geometry.descent import FallingFloor
from geometry.errors import GeometryRefused
from geometry.film import FilmRange
from geometry.floor import SpillFloor
from geometry.many_descents import ManyDescents, Wet, arriving_m3, joined
from geometry.relief import Fall, Relief, relief_of
from geometry.running import TONGUES, WIDE, Running
from geometry.spill_reach import joint_shape
from reports.assessment import Pool
from reports.facts import FloorFact
from reports.floors.fans import Fan

Floats = NDArray[np.float64]
Spilt = tuple[Point, float]
"""Where liquid is let out, and how much [L]."""

_AT_ONCE = 64  # spills


def relief_on(floor: FloorFact, ground: BaseGeometry) -> Relief | None:
    """Give how a floor falls by its surveyed levels and the falls to its drains; None where it is nominally level."""
    falls = [
        Fall(drain.name, drain.shape, drain.fall, drain.fall_out_m)
        for drain in floor.drains
        if drain.shape is not None and drain.fall is not None
    ]
    return relief_of(floor.levels, falls, ground)


@dataclass(frozen=True, slots=True)
class Arriving:
    """What spills do to targets running down a floor; one row per spill, one column per target.

    `critical_m` is the deepest film with which liquid may just get there, infinite at the source and not a number where
    it does not get there. `litres_thick` and `litres_thin` are upper bounds of what arrives with the thick film and
    with any film of the range: as any tongue, under any reading, with the target as near as it may be. There are some
    wherever liquid may get, with the thick film wherever it surely does, and never fewer with any film.
    """

    surely: NDArray[np.bool_]
    perhaps: NDArray[np.bool_]
    critical_m: Floats
    litres_thick: Floats
    litres_thin: Floats


class Falls:
    """What liquid does on one falling floor.

    Certain is what a thick film of a slow, wide tongue reaches whether all that is unknown holds or none of it does.
    Possible is what any film of the range reaches as any tongue under either reading: what passes one wall is missing
    behind another, and what runs wide wets beside the way what runs far does not. Where nobody knows how the floor
    falls across a line of levels, certain is what is so whether it falls one way, the other or neither, and possible
    what is so in any of these, and everything that a tongue may get to (`fans.Fan`).
    """

    def __init__(self, plan: SpillFloor, relief: Relief, film: FilmRange) -> None:
        self._floors = [FallingFloor(plan, each) for each in (relief, *relief.turned)]
        self._fan = None if relief.line is None else Fan(plan, relief.line, film)
        self._film = film
        self._refusals: dict[tuple[float, float], str | None] = {}

    def refuses(self, at: Point) -> str | None:
        """Say why nothing can be computed from a place; None where it can."""
        key = at.x, at.y
        if key not in self._refusals:
            self._refusals[key] = self._refusal(at)
        return self._refusals[key]

    def _refusal(self, at: Point) -> str | None:
        floor = self._floors[0]
        try:
            source = floor.floor.free_place(at)
            for cautious in ManyDescents(floor, ()).readings:
                lips_m = ManyDescents(floor, ()).lips_m(self._film.thin_m, self._film.thick_m, cautious=cautious)
                for film_m in (self._film.thin_m, *lips_m, self._film.thick_m):
                    floor.ground(cautious=cautious).cell_of(source, film_m)
        except GeometryRefused as refusal:
            return str(refusal)
        return None

    def arrivals(self, spills: Sequence[Spilt], targets: Sequence[BaseGeometry], tolerance_m: Floats) -> "Arriving":
        """Find what spills do to targets, each of which may be nearer by its tolerance (a row for each spill) [m]."""
        surely = np.ones(tolerance_m.shape, dtype=np.bool_)
        thin_m3, thick_m3 = np.zeros(tolerance_m.shape), np.zeros(tolerance_m.shape)
        critical_m = np.full(tolerance_m.shape, math.nan)
        for floor in self._floors:
            asked = _Asked(*_told_apart(floor, spills), targets, tolerance_m, self._film)
            rows = np.arange(len(spills))
            for cautious in asked.many.readings:
                found, unknown = asked.only(rows).under(critical_m[rows], cautious=cautious)
                surely[rows] &= found.surely
                thin_m3[rows] = np.maximum(thin_m3[rows], found.litres_thin / 1000)
                thick_m3[rows] = np.maximum(thick_m3[rows], found.litres_thick / 1000)
                critical_m[rows] = np.fmax(critical_m[rows], found.critical_m)
                # The others run the same way under the other reading.
                rows = rows[unknown]
        if self._fan is not None:
            volume_m3 = np.array([litres for _, litres in spills]) / 1000
            fanned = self._fan.reaches([at for at, _ in spills], volume_m3, targets, tolerance_m)
            for most_m3, film_m, flags in zip(
                (thin_m3, thick_m3), (self._film.thin_m, self._film.thick_m), fanned, strict=True
            ):
                # How much of it nobody can tell: all of it at the most.
                most_m3[flags] = np.broadcast_to(volume_m3[:, None], flags.shape)[flags]
                critical_m = np.fmax(critical_m, np.where(flags, film_m, math.nan))
        return Arriving(surely, thin_m3 > 0, critical_m, thick_m3 * 1000, thin_m3 * 1000)

    def pools(self, spills: Sequence[Spilt]) -> list[tuple[Pool, Pool]]:
        """Give the pools of the thick and the thin film of spills.

        Of the thick film it is what is wet for certain, of the thin one what any tongue wets; of a fan the three ways
        that are run down.
        """
        found: list[tuple[Pool, Pool]] = []
        # What is wet is large until it is drawn.
        for first in range(0, len(spills), _AT_ONCE):
            thick: list[list[Wet]] = []
            thin: list[list[Wet]] = []
            for floor in self._floors:
                many, place, volume_m3 = _told_apart(floor, spills[first : first + _AT_ONCE])
                some = place, volume_m3
                thick.append(many.wet(*some, self._film.thick_m, WIDE, readings=many.readings))
                thin += [many.wet(*some, self._film.thin_m, each, readings=many.readings) for each in TONGUES]
            found.extend(
                (_common_pool(joined(sure)), _pool(joined(any_of)))
                for sure, any_of in zip(zip(*thick, strict=True), zip(*thin, strict=True), strict=True)
            )
        return found


@dataclass(frozen=True, slots=True)
class _Asked:
    """Spills and targets, and what the films and tongues do."""

    many: ManyDescents
    place: NDArray[np.int64]
    volume_m3: Floats
    targets: Sequence[BaseGeometry]
    tolerance_m: Floats
    film: FilmRange

    def only(self, rows: NDArray[np.int64]) -> "_Asked":
        """Ask of some of the spills."""
        return replace(self, place=self.place[rows], volume_m3=self.volume_m3[rows], tolerance_m=self.tolerance_m[rows])

    def under(self, critical_m: Floats, *, cautious: bool) -> tuple[Arriving, NDArray[np.bool_]]:
        """Say what they do under one reading, and which of them come near what is read one way or another.

        `critical_m` is the deepest film known by now to get there.
        """
        thin_m3, thick_m3 = np.zeros(self.tolerance_m.shape), np.zeros(self.tolerance_m.shape)
        surely = np.zeros(self.tolerance_m.shape, dtype=np.bool_)
        unknown = np.zeros(len(self.place), dtype=np.bool_)
        for running in TONGUES:
            most_m3, beside = self.many.most_m3(
                *self._spills, self.tolerance_m, self.film.thin_m, self.film.thick_m, running, cautious=cautious
            )
            unknown |= beside
            exact_m3, near_m3 = self._thick_m3(most_m3 > 0, running, cautious=cautious)
            surely |= (running == WIDE) & (exact_m3 > 0)
            thin_m3 = np.maximum(thin_m3, np.maximum(most_m3, near_m3))
            thick_m3 = np.maximum(thick_m3, near_m3)
            known_m = np.where(near_m3 > 0, self.film.thick_m, np.where(most_m3 > 0, self.film.thin_m, math.nan))
            critical_m = np.fmax(critical_m, known_m)
            # Of what gets there at all, whether a film gets there that is deeper than any known by now.
            depth_m = self.many.critical_depths_m(
                *self._spills,
                self.tolerance_m,
                np.where(most_m3 > 0, critical_m, math.inf),
                np.where(near_m3 > 0, math.inf, self.film.thick_m),
                running,
                cautious=cautious,
            )
            critical_m = np.fmax(critical_m, depth_m)
        return Arriving(surely, thin_m3 > 0, critical_m, thick_m3 * 1000, thin_m3 * 1000), unknown

    def _thick_m3(self, where: NDArray[np.bool_], running: Running, *, cautious: bool) -> tuple[Floats, Floats]:
        """The most that gets with the thick film to targets as they are recorded and as near as they may be [m³].

        Asked only where the same tongue gets with a thin film or one that goes over a lip: it goes farther.
        """
        exact_m3, near_m3 = np.zeros(where.shape), np.zeros(where.shape)
        rows = np.flatnonzero(where.any(axis=1))
        volume_m3, near_m = self.volume_m3[rows], self.tolerance_m[rows]
        needed_m3 = self.many.needed_m3(
            self.place[rows],
            volume_m3,
            [*self.targets, *self.targets],
            np.hstack([np.zeros(near_m.shape), near_m]),
            self.film.thick_m,
            running,
            cautious=cautious,
        )
        exact_m3[rows], near_m3[rows] = np.hsplit(arriving_m3(volume_m3, needed_m3), 2)
        return exact_m3, near_m3

    @property
    def _spills(self) -> tuple[NDArray[np.int64], Floats, Sequence[BaseGeometry]]:
        return self.place, self.volume_m3, self.targets


def _told_apart(floor: FallingFloor, spills: Sequence[Spilt]) -> tuple[ManyDescents, NDArray[np.int64], Floats]:
    """Give the places once each, the row of each spill's place, and the volumes [m³]."""
    rows: dict[tuple[float, float], int] = {}
    points: list[Point] = []
    for at, _ in spills:
        if (at.x, at.y) not in rows:
            rows[at.x, at.y] = len(points)
            points.append(at)
    place = np.array([rows[at.x, at.y] for at, _ in spills], dtype=np.int64)
    return ManyDescents(floor, points), place, np.array([litres for _, litres in spills], dtype=np.float64) / 1000


def with_level(falling: Pool, level: Pool) -> Pool:
    """Join what a spill wets running down with what it wets standing where the floor is as good as level."""
    return Pool(
        joint_shape([falling.shape, level.shape]),
        max(falling.area_m2, level.area_m2),
        max(falling.depth_mm, level.depth_mm),
        max(falling.off_map_l, level.off_map_l),
    )


def deeper(one: float | None, other: float | None) -> float | None:
    """Give the deeper of two film depths, either of which may be none."""
    return None if one is None and other is None else max(one or 0.0, other or 0.0)


def _pool(wet: Wet) -> Pool:
    return Pool(wet.shape, wet.area_m2, wet.depth_m * 1000, wet.lost_m3 * 1000)


def _common_pool(wet: Wet) -> Pool:
    return Pool(wet.common_shape, wet.common_m2, wet.depth_m * 1000, wet.lost_m3 * 1000)
