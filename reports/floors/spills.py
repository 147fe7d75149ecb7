"""Facts → geometry: the floor as the spill engine sees it, and where one drum's liquid ends on it."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from math import hypot, inf, pi

from shapely import Point, Polygon, unary_union
from shapely.geometry.base import BaseGeometry

from geometry.drain_proximity import along_floor_between_m
from geometry.errors import GeometryRefused
from geometry.film import FilmRange, film_for
from geometry.floor import Barrier, Basin, FloorPlan, Opening, SpillFloor
from geometry.relief import Relief
from geometry.spill_reach import Spread, joint_shape, spread
from reports.assessment import Pool, Reach, Verdict
from reports.facts import DrumFact, FloorFact
from reports.floors.falls import Falls, deeper, relief_on, with_level
from survey.vocabulary import NormalPosition, YesNoUnknown

_TIGHT = {YesNoUnknown.YES: True, YesNoUnknown.NO: False, YesNoUnknown.UNKNOWN: None}
_SHUT = {NormalPosition.SHUT: True, NormalPosition.OPEN: False, NormalPosition.UNKNOWN: None}


DRUM_SECTION_M2 = pi * (0.5715 / 2) ** 2
"""Inside section of a 55 gal drum, 22.5 in across: no film is deeper than the liquid stood in the drum."""


@dataclass(frozen=True, slots=True)
class Arrival:
    """Whether and how one drum's liquid gets to a place on the floor.

    `critical_mm` is the film depth at which it just gets there on the cautious floor; `litres_thick` and
    `litres_thin` are upper bounds of what arrives at the two ends of the film range.
    """

    verdict: Verdict
    critical_mm: float | None
    litres_thick: float
    litres_thin: float


_Place = tuple[float, float]


def _place(at: Point) -> _Place:
    return round(at.x, 3), round(at.y, 3)


class FloorSpills:
    """The spill engine on one floor: what it found is kept per place, since drums share places and rules ask again."""

    def __init__(self, floor: FloorFact) -> None:
        self.floor = floor
        self.film: FilmRange = film_for(floor.finish)
        self.refused: dict[str, str] = {}
        """Places from which no spread could be computed, and why."""
        self._spreads: dict[_Place, Spread | None] = {}
        self._falls: Falls | None = None
        self._kept: dict[tuple[_Place, float], tuple[Pool, Pool] | None] = {}

    @cached_property
    def plan(self) -> SpillFloor:
        """The floor with its barriers, on the engine's grid."""
        return SpillFloor(floor_plan(self.floor))

    @cached_property
    def ground(self) -> BaseGeometry:
        """Floor and yard."""
        return unary_union([self.floor.outline, *(surface.outline for surface in self.floor.surfaces)])

    @cached_property
    def relief(self) -> Relief | None:
        """How the floor falls by its record; None where it is nominally level."""
        return relief_on(self.floor, self.ground)

    def _falls_from(self, at: Point) -> Falls | None:
        """Give what liquid does on a falling floor; None where it is level or nothing can be computed from there."""
        if self.relief is None:
            return None
        if self._falls is None:
            self._falls = Falls(self.plan, self.relief, self.film)
        why = self._falls.refuses(at)
        if why is not None:
            self.refused[f"({at.x:g}, {at.y:g})"] = why
        return self._falls if why is None else None

    def spread_from(self, at: Point) -> Spread | None:
        """Give the way liquid spreads from a place, or None where that cannot be computed; `refused` then says why."""
        key = _place(at)
        if key not in self._spreads:
            self._spreads[key] = self._spread(at)
        return self._spreads[key]

    def _spread(self, at: Point) -> Spread | None:
        where = f"({at.x:g}, {at.y:g})"
        if not self.ground.covers(at):
            self.refused[where] = "off the mapped floor"
            return None
        try:
            return spread(self.plan, at)
        except GeometryRefused as refusal:
            self.refused[where] = str(refusal)
            return None

    def arrival(self, drum: DrumFact, target: BaseGeometry, target_tolerance_m: float) -> Arrival:
        """Say whether one drum's liquid gets to `target`.

        It *reaches* where the thick film on the most hopeful floor gets there, *may reach* where the thin film on
        the most cautious floor gets within the tolerance of both positions. Where nothing can be computed it may
        reach, with all it holds. On a falling floor the liquid runs down it, and also *may reach* what it would reach
        on a level floor.
        """
        if drum.fill_l <= 0:
            return Arrival(Verdict.NOT_REACHED, None, 0.0, 0.0)
        way = self.spread_from(drum.at)
        if way is None:
            return Arrival(Verdict.MAY_REACH, None, 0.0, drum.fill_l)
        volume_m3 = drum.fill_l / 1000
        thin_m, thick_m = self.film.thin_m, self.film.thick_m
        either_m = hypot(drum.tolerance_m, target_tolerance_m)
        if way.reaches(volume_m3, target, thick_m, cautious=False):
            verdict = Verdict.REACHES
        elif way.reaches_within(volume_m3, target, thin_m, thick_m, cautious=True, tolerance_m=either_m):
            verdict = Verdict.MAY_REACH
        else:
            verdict = Verdict.NOT_REACHED
        likely = way.critical_depth_m(volume_m3, target, cautious=True)
        thick = way.litres_to(volume_m3, target, self.film.thick_m, cautious=True)
        thin = way.litres_to(volume_m3, target, self.film.thin_m, cautious=True)
        deepest_m = volume_m3 / DRUM_SECTION_M2
        level = Arrival(verdict, None if likely is None else min(likely, deepest_m) * 1000, thick, thin)
        if self.relief is None:
            return level
        falls = self._falls_from(drum.at)
        if falls is None:
            return Arrival(Verdict.MAY_REACH, None, 0.0, drum.fill_l)
        return self._running_down(falls, level, drum, target, either_m)

    def _running_down(
        self, falls: Falls, level: Arrival, drum: DrumFact, target: BaseGeometry, tolerance_m: float
    ) -> Arrival:
        """Say whether one drum's liquid gets to `target` on a falling floor, from what it would do on a level one."""
        volume_m3 = drum.fill_l / 1000
        if falls.reaches(drum.at, volume_m3, target):
            verdict = Verdict.REACHES
        elif level.verdict is not Verdict.NOT_REACHED or falls.may_reach(drum.at, volume_m3, target, tolerance_m):
            verdict = Verdict.MAY_REACH
        else:
            verdict = Verdict.NOT_REACHED
        likely = falls.critical_m(drum.at, volume_m3, target)
        down_mm = None if likely is None else min(likely, volume_m3 / DRUM_SECTION_M2) * 1000
        return Arrival(
            verdict,
            deeper(level.critical_mm, down_mm),
            max(level.litres_thick, falls.litres_to(drum.at, volume_m3, target, self.film.thick_m)),
            max(level.litres_thin, falls.litres_to(drum.at, volume_m3, target, self.film.thin_m)),
        )

    def between_m(self, a: Polygon, b: Polygon) -> float | None:
        """Give the way along the cautious floor between two footprints [m], edge to edge; None where there is none."""
        try:
            return along_floor_between_m(self.plan, a, b, cautious=True)
        except GeometryRefused:
            return None

    def one_drum(self, drums: Sequence[DrumFact]) -> Reach | None:
        """Give the union of the pools of these drums, each taken alone; None where none of them holds liquid."""
        pools = [pools for drum in drums if (pools := self._pools(drum.at, drum.fill_l)) is not None]
        if not pools:
            return None
        thick, thin = zip(*pools, strict=True)
        return Reach(max(drum.fill_l for drum in drums), _union(thick), _union(thin))

    def whole(self, drums: Sequence[DrumFact], at: Point) -> Reach | None:
        """Give the pool of all these drums let go at once from the middle of their pallet."""
        litres = sum(drum.fill_l for drum in drums)
        pools = self._pools(at, litres)
        return None if pools is None else Reach(litres, *pools)

    def _pools(self, at: Point, litres: float) -> tuple[Pool, Pool] | None:
        key = (_place(at), litres)
        if key not in self._kept:
            self._kept[key] = self._rest(at, litres)
        return self._kept[key]

    def _rest(self, at: Point, litres: float) -> tuple[Pool, Pool] | None:
        way = self.spread_from(at)
        if way is None or litres <= 0:
            return None
        volume_m3 = litres / 1000
        thick = way.pool(volume_m3, self.film.thick_m, cautious=False)
        thin = way.pool(volume_m3, self.film.thin_m, cautious=True)
        level = (
            Pool(thick.shape, thick.area_m2, thick.depth_m * 1000, thick.off_map_m3 * 1000),
            Pool(thin.shape, thin.area_m2, thin.depth_m * 1000, thin.off_map_m3 * 1000),
        )
        falls = self._falls_from(at)
        if falls is None:
            return level
        down = falls.pools(at, volume_m3)
        return down[0], with_level(down[1], level[1])


def floor_plan(floor: FloorFact) -> FloorPlan:
    """Give the floor as the spill engine wants it: what is unknown stays unknown."""
    return FloorPlan(
        outline=floor.outline,
        outdoors=tuple(surface.outline for surface in floor.surfaces),
        perimeter_tight=_TIGHT[floor.perimeter_tight],
        barriers=tuple(
            Barrier(wall.name, wall.line, inf if wall.height_m is None else wall.height_m, _TIGHT[wall.tight])
            for wall in floor.walls
        ),
        # An unknown sill holds nothing back.
        openings=tuple(
            Opening(door.name, door.line, door.sill_m or 0.0, _TIGHT[door.tight], _SHUT[door.normally])
            for door in floor.doors
        ),
        basins=tuple(
            Basin(bund.name, bund.outline, bund.lip_m, bund.lip_at, _TIGHT[bund.tight]) for bund in floor.bunds
        ),
    )


def _union(pools: Sequence[Pool]) -> Pool:
    return Pool(
        joint_shape(pool.shape for pool in pools),
        max(pool.area_m2 for pool in pools),
        max(pool.depth_mm for pool in pools),
        max(pool.off_map_l for pool in pools),
    )
