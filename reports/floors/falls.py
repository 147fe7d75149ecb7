"""Facts → geometry on a floor that falls: which way it falls, what one drum's liquid reaches on it, and how far."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from shapely import Point
from shapely.geometry.base import BaseGeometry

from geometry.descent import FallingFloor
from geometry.errors import GeometryRefused
from geometry.film import FilmRange
from geometry.floor import SpillFloor
from geometry.many_descents import ManyDescents, Wet
from geometry.relief import Fall, Relief, relief_of
from geometry.running import NARROW, WIDE
from geometry.spill_reach import joint_shape
from reports.assessment import Pool
from reports.facts import FloorFact

Floats = NDArray[np.float64]
Spilt = tuple[Point, float]
"""Where liquid is let out, and how much [L]."""


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

    `critical_m` is the film depth at which liquid just gets there, under whichever reading it is deeper: infinite at
    the source, not a number where the thin film does not get there. `litres_thick` and `litres_thin` are upper bounds
    of what arrives.
    """

    surely: NDArray[np.bool_]
    perhaps: NDArray[np.bool_]
    critical_m: Floats
    litres_thick: Floats
    litres_thin: Floats


class Falls:
    """What liquid does on one falling floor.

    Certain is what a thick film of a slow, wide tongue reaches on the hopeful floor. Possible is what a thin film of a
    narrow tongue reaches under either reading: what passes one wall is missing behind another.
    """

    def __init__(self, plan: SpillFloor, relief: Relief, film: FilmRange) -> None:
        self._floor = FallingFloor(plan, relief)
        self._film = film
        self._refusals: dict[tuple[float, float], str | None] = {}

    def refuses(self, at: Point) -> str | None:
        """Say why nothing can be computed from a place; None where it can."""
        key = at.x, at.y
        if key not in self._refusals:
            self._refusals[key] = self._refusal(at)
        return self._refusals[key]

    def _refusal(self, at: Point) -> str | None:
        try:
            source = self._floor.floor.free_place(at)
            for film_m, cautious in (
                (self._film.thin_m, True),
                (self._film.thin_m, False),
                (self._film.thick_m, False),
            ):
                self._floor.ground(cautious=cautious).cell_of(source, film_m)
        except GeometryRefused as refusal:
            return str(refusal)
        return None

    def arrivals(self, spills: Sequence[Spilt], targets: Sequence[BaseGeometry], tolerance_m: Floats) -> "Arriving":
        """Find what spills do to targets, each of which may be nearer by its tolerance (a row for each spill) [m]."""
        places, place, volume_m3 = _told_apart(spills)
        many = ManyDescents(self._floor, places)
        thin_m, thick_m = self._film.thin_m, self._film.thick_m
        exact = np.zeros((len(spills), len(targets)))
        surely = np.isfinite(many.needed_m3(place, volume_m3, targets, exact, thick_m, WIDE, cautious=False))
        perhaps = np.zeros(exact.shape, dtype=np.bool_)
        critical_m = np.full(exact.shape, math.nan)
        thick, thin = exact.copy(), exact.copy()
        for cautious in many.readings:
            # One run answers for the targets where they are recorded and as near as they may be.
            both = many.needed_m3(
                place,
                volume_m3,
                [*targets, *targets],
                np.hstack([exact, tolerance_m]),
                thin_m,
                NARROW,
                cautious=cautious,
            )
            needed, near = np.hsplit(both, 2)
            perhaps |= np.isfinite(near)
            for lip_m in many.lips_m(thin_m, thick_m, cautious=cautious):
                over = many.needed_m3(place, volume_m3, targets, tolerance_m, lip_m, NARROW, cautious=cautious)
                perhaps |= np.isfinite(over)
            thin = np.maximum(thin, _litres(volume_m3, needed))
            deep = many.needed_m3(place, volume_m3, targets, exact, thick_m, NARROW, cautious=cautious)
            thick = np.maximum(thick, _litres(volume_m3, deep))
            # A film thinner than any published one may get there: which one is not worked out.
            reached = np.isfinite(needed)
            depths_m = many.critical_depths_m(place, volume_m3, targets, reached, NARROW, cautious=cautious)
            critical_m = np.fmax(critical_m, np.where(reached & np.isnan(depths_m), 0.0, depths_m))
        return Arriving(surely, perhaps, critical_m, thick, thin)

    def pools(self, spills: Sequence[Spilt]) -> list[tuple[Pool, Pool]]:
        """Give the pools of the thick and the thin film of spills; the thin one under both readings together."""
        places, place, volume_m3 = _told_apart(spills)
        many = ManyDescents(self._floor, places)
        thick = many.wet(place, volume_m3, self._film.thick_m, WIDE, readings=(False,))
        thin = many.wet(place, volume_m3, self._film.thin_m, NARROW, readings=many.readings)
        return [(_pool(one), _pool(other)) for one, other in zip(thick, thin, strict=True)]


def _told_apart(spills: Sequence[Spilt]) -> tuple[list[Point], NDArray[np.int64], Floats]:
    """Give the places once each, the row of each spill's place, and the volumes [m³]."""
    rows: dict[tuple[float, float], int] = {}
    points: list[Point] = []
    for at, _ in spills:
        if (at.x, at.y) not in rows:
            rows[at.x, at.y] = len(points)
            points.append(at)
    place = np.array([rows[at.x, at.y] for at, _ in spills], dtype=np.int64)
    return points, place, np.array([litres for _, litres in spills], dtype=np.float64) / 1000


def _litres(volume_m3: Floats, needed_m3: Floats) -> Floats:
    return np.asarray(np.maximum(volume_m3[:, None] - needed_m3, 0.0) * 1000)


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
