"""Facts → geometry: the floor as the spill engine sees it, and where one drum's liquid ends on it."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property, reduce
from math import inf, isfinite, isnan, pi
from uuid import UUID

import numpy as np
from shapely import MultiPolygon, Point, Polygon, get_coordinates, intersection_all, prepare, unary_union
from shapely.geometry.base import BaseGeometry

from geometry.drain_proximity import along_floor_between_m
from geometry.errors import GeometryRefused
from geometry.film import FilmRange, film_for
from geometry.floor import Barrier, Basin, FloorPlan, Opening, SpillFloor
from geometry.layout import areas_of, quickly_joined
from geometry.many_reaches import ManyReaches, Pools
from geometry.relief import Relief
from geometry.spill_reach import Spread, joint_shape, spread
from reports.assessment import Pool, Reach, Verdict
from reports.facts import DrumFact, FloorFact, PalletFact
from reports.floors.falls import Arriving, Falls, Spilt, deeper, relief_on, with_level
from reports.floors.free_places import FreePlaces, Place
from survey.vocabulary import NormalPosition, YesNoUnknown

_TIGHT = {YesNoUnknown.YES: True, YesNoUnknown.NO: False, YesNoUnknown.UNKNOWN: None}
_SHUT = {NormalPosition.SHUT: True, NormalPosition.OPEN: False, NormalPosition.UNKNOWN: None}


DRUM_SECTION_M2 = pi * (0.5715 / 2) ** 2
"""Inside section of a 55 gal drum, 22.5 in across: no film is deeper than the liquid stood in the drum."""


@dataclass(frozen=True, slots=True)
class Arrival:
    """Whether and how one drum's liquid gets to a place on the floor.

    `critical_mm` is the deepest film with which it may just get there; `litres_thick` and `litres_thin` are upper
    bounds of what arrives at the two ends of the film range, within the tolerance of both positions. `way_m` is the
    shortest way there may be along the floor, `far_m` the longest, and `far_m2` the most floor that may lie nearer,
    whichever of the barriers that nobody knows to be tight are; None where there may be no way.
    """

    verdict: Verdict
    critical_mm: float | None
    litres_thick: float
    litres_thin: float
    way_m: float | None = None
    far_m: float | None = None
    far_m2: float | None = None


@dataclass(frozen=True, slots=True)
class Disc:
    """A pool that nothing stops at either end of the film range: where from, and how far both films reach [m]."""

    at: Point
    thick_m: float
    thin_m: float


@dataclass(frozen=True, slots=True)
class Rested:
    """One spill at rest: what it wets for certain, what it may wet, and every pool that it may be with its film [m].

    Where a floor has barriers that nobody knows to be tight, the thick pool is what is wet whichever of them are, and
    the thin one what is wet where all of them are or none is.
    """

    thick: Pool
    thin: Pool
    each: tuple[tuple[Pool, float], ...]


@dataclass(frozen=True, slots=True)
class _Level:
    """One spill at rest on a level floor, and the radii of the thick and thin disc [m] where nothing stops it."""

    rested: Rested
    disc_m: tuple[float, float] | None


Target = tuple[BaseGeometry, float]
"""A drain, sump or door, and how far its position may be off [m]."""
_Spill = tuple[Place, float, float]
"""Place of a drum, what it holds [L], and how far its position may be off [m]."""
_VERDICTS = (Verdict.REACHES, Verdict.MAY_REACH, Verdict.NOT_REACHED)
_FEW = 10  # of so many places one: not worth asking the engine for all of them


class FloorSpills:
    """The spill engine on one floor: what it found is kept per place, since drums share places and rules ask again."""

    def __init__(self, floor: FloorFact) -> None:
        self.floor = floor
        self.film: FilmRange = film_for(floor.finish)
        self._places = FreePlaces(lambda: self.plan, lambda: self.ground)
        self._engine: tuple[dict[Place, int], ManyReaches] | None = None
        self._falls: Falls | None = None
        self._kept: dict[tuple[Place, float], Rested | None] = {}
        self._discs: dict[tuple[Place, float], Disc] = {}
        self._joint: dict[tuple[tuple[Place, float], ...], Reach | None] = {}

    @property
    def refused(self) -> dict[str, str]:
        """Places from which no spread could be computed, and why."""
        return self._places.refused

    @property
    def moved_m(self) -> dict[str, float]:
        """Places on a barrier, and how far beside them their liquid is taken to start at the nearest [m].

        It is taken to start on every side that there may be: what it does is the worst of them.
        """
        return self._places.moved_m

    @cached_property
    def plan(self) -> SpillFloor:
        """The floor with its barriers, on the engine's grid."""
        return SpillFloor(floor_plan(self.floor))

    @property
    def unknown(self) -> bool:
        """Whether the floor has barriers that nobody knows to be tight or not."""
        return self.plan.passing is not self.plan.holding

    @cached_property
    def ground(self) -> BaseGeometry:
        """Floor and yard."""
        ground = unary_union([self.floor.outline, *(surface.outline for surface in self.floor.surfaces)])
        prepare(ground)
        return ground

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
        (place,) = self._places.of([at])
        free = self._places.free(place)
        return None if free is None else spread(self.plan, free)

    def prepare(self, pallets: Iterable[PalletFact]) -> None:
        """Let one drum of everything on some pallets, and every whole pallet, come to rest all at once."""
        asked: list[tuple[Point, float]] = []
        for pallet in pallets:
            asked.extend((drum.at, drum.fill_l) for drum in pallet.drums if drum.fill_l > 0)
            most = pallet.worst_by(lambda drum: drum.fill_l)
            asked.append((pallet.at, sum(drum.fill_l for drum in most if drum.fill_l > 0)))
        self._lay(asked)

    def arrival(self, drum: DrumFact, target: BaseGeometry, target_tolerance_m: float) -> Arrival:
        """Say whether one drum's liquid gets to `target`, as `arrivals` does for many."""
        return self.arrivals([drum], [(target, target_tolerance_m)])[0][0]

    def arrivals(self, drums: Sequence[DrumFact], targets: Sequence[Target]) -> list[tuple[Arrival, ...]]:
        """Say of each drum whether its liquid gets to each target.

        It *reaches* where the thick film on the most hopeful floor gets there, *may reach* where the thin film on
        the most cautious floor gets within the tolerance of both positions. Where nothing can be computed it may
        reach, with all it holds. On a falling floor the liquid runs down it, and also *may reach* what it would reach
        on a level floor. From a place on a barrier it *reaches* only what it reaches from every side.
        """
        liquid = [drum for drum in drums if drum.fill_l > 0]
        spills: dict[UUID, list[_Spill]] = {}
        rows: dict[_Spill, Point] = {}
        for drum, place in zip(liquid, self._places.of([drum.at for drum in liquid]), strict=True):
            at = self._starts(place, drum.at)
            spills[drum.id] = [(side, drum.fill_l, drum.tolerance_m) for side in at]
            rows |= {
                spill: start for spill, start in zip(spills[drum.id], at.values(), strict=True) if start is not None
            }
        level = self._level(list(rows), targets)
        if self.relief is not None:
            level = self._falling({spill: (rows[spill], each) for spill, each in level.items()}, targets)
        found = []
        for drum in drums:
            nowhere = Arrival(Verdict.MAY_REACH if drum.fill_l > 0 else Verdict.NOT_REACHED, None, 0.0, drum.fill_l)
            known = [level[spill] for spill in spills.get(drum.id, ()) if spill in level]
            sides = zip(*known, strict=True) if known else ((nowhere,) for _ in targets)
            found.append(tuple(_from_any_side(each) for each in sides))
        return found

    def _starts(self, place: Place, recorded: Point) -> dict[Place, Point | None]:
        """Give where liquid from a place may start, by name: where it is recorded, or on each side of its barrier."""
        sides = self._places.sides(place)
        if len(sides) == 1:
            return {place: None if self._places.free(place) is None else recorded}
        return {side: self._places.free(side) for side in sides}

    def _level(self, spills: Sequence[_Spill], targets: Sequence[Target]) -> dict[_Spill, tuple[Arrival, ...]]:
        if not spills or not targets:
            return dict.fromkeys(spills, ())
        row_of, engine = self._on([place for place, _, _ in spills])
        volume_m3 = np.array([litres for _, litres, _ in spills]) / 1000
        tolerance_m = np.array([tolerance for _, _, tolerance in spills])
        found = engine.arrivals(
            np.array([row_of[place] for place, _, _ in spills]),
            volume_m3,
            [target for target, _ in targets],
            np.hypot(tolerance_m[:, None], np.array([tolerance for _, tolerance in targets])),
            self.film.thin_m,
            self.film.thick_m,
        )
        verdicts = np.where(found.surely, 0, np.where(found.perhaps, 1, 2))
        critical_mm = np.minimum(found.critical_m, (volume_m3 / DRUM_SECTION_M2)[:, None]) * 1000
        columns = (
            verdicts,
            critical_mm,
            found.thick_m3 * 1000,
            found.thin_m3 * 1000,
            found.distance_m,
            found.far_m,
            found.far_m2,
        )
        return {
            spill: tuple(
                Arrival(_VERDICTS[verdict], _known(mm), thick, thin, _known(way), _known(far), _known(far_m2))
                for verdict, mm, thick, thin, way, far, far_m2 in zip(*row, strict=True)
            )
            for spill, *row in zip(spills, *(column.tolist() for column in columns), strict=True)
        }

    def _falling(
        self, level: Mapping[_Spill, tuple[Point, tuple[Arrival, ...]]], targets: Sequence[Target]
    ) -> dict[_Spill, tuple[Arrival, ...]]:
        """Say whether liquid gets to targets on a falling floor, from what it would do on a level one."""
        found = {}
        running = {spill: falls for spill, (at, _) in level.items() if (falls := self._falls_from(at))}
        for spill in level:
            found[spill] = (Arrival(Verdict.MAY_REACH, None, 0.0, spill[1]),) * len(targets)
        if not running or not targets:
            return found
        falls = next(iter(running.values()))
        down = falls.arrivals(
            [(level[spill][0], spill[1]) for spill in running],
            [target for target, _ in targets],
            np.hypot(
                np.array([spill[2] for spill in running])[:, None],
                np.array([tolerance_m for _, tolerance_m in targets]),
            ),
        )
        for row, spill in enumerate(running):
            found[spill] = tuple(
                _running_down(each, down, row, column, spill[1] / 1000) for column, each in enumerate(level[spill][1])
            )
        return found

    def _on(self, places: Sequence[Place]) -> tuple[dict[Place, int], ManyReaches]:
        """Give the engine for some places, and the row of each: the one for the whole floor, unless they are few."""
        asked = dict.fromkeys(places)
        if (
            self._engine is not None
            and len(asked) * _FEW > len(self._engine[0])
            and asked.keys() <= self._engine[0].keys()
        ):
            return self._engine
        rows = {place: row for row, place in enumerate(asked)}
        engine = rows, ManyReaches(self.plan, get_coordinates([self._places.free(place) for place in rows]))
        if self._engine is None or len(rows) > len(self._engine[0]):
            self._engine = engine
        return engine

    def between_m(self, a: Polygon, b: Polygon) -> float | None:
        """Give the way along the cautious floor between two footprints [m], edge to edge; None where there is none."""
        try:
            return along_floor_between_m(self.plan, a, b, cautious=True)
        except GeometryRefused:
            return None

    def one_drum(self, drums: Sequence[DrumFact]) -> Reach | None:
        """Give the union of the pools of these drums, each taken alone; None where none of them holds liquid."""
        key = self._spilt(drums)
        if key not in self._joint:
            rested = {each: rested for each in dict.fromkeys(key) if (rested := self._kept[each]) is not None}
            free = rested.keys() <= self._discs.keys()
            thick, thin = [each.thick for each in rested.values()], [each.thin for each in rested.values()]
            most = max((litres for _, litres in key), default=0.0)
            self._joint[key] = Reach(most, _union(thick, free=free), _union(thin, free=free)) if rested else None
        return self._joint[key]

    def rested(self, drum: DrumFact) -> Rested | None:
        """Give one drum's liquid at rest; None where nothing can be computed or it holds no liquid."""
        (key,) = self._spilt([drum])
        return self._kept[key]

    def thick_film(self, drums: Sequence[DrumFact]) -> Polygon | MultiPolygon:
        """Give what the thick film of these drums wets under any reading of what is unknown, each taken alone."""
        reach = self.one_drum(drums)
        if reach is None:
            return Polygon()
        rested = [self._kept[each] for each in dict.fromkeys(self._spilt(drums))]
        pools = [
            pool for each in rested if each is not None for pool, film_m in each.each if film_m == self.film.thick_m
        ]
        # Nothing unknown, level ground and no wall under a drum: then there is one thick pool of each.
        return reach.thick.shape if len(pools) == len(rested) else joint_shape(pool.shape for pool in pools)

    def discs(self, drums: Sequence[DrumFact]) -> tuple[Disc, ...] | None:
        """Give the pools of these drums as discs, one per place; None where one of them is none or is stopped."""
        found = [self._discs.get(each) for each in dict.fromkeys(self._spilt(drums))]
        return tuple(disc for disc in found if disc is not None) if None not in found else None

    def _spilt(self, drums: Sequence[DrumFact]) -> tuple[tuple[Place, float], ...]:
        return self._lay([(drum.at, drum.fill_l) for drum in drums])

    def whole(self, drums: Sequence[DrumFact], at: Point) -> Reach | None:
        """Give the pool of all these drums let go at once from the middle of their pallet."""
        litres = sum(drum.fill_l for drum in drums)
        (key,) = self._lay([(at, litres)])
        rested = self._kept[key]
        return None if rested is None else Reach(litres, rested.thick, rested.thin)

    def _lay(self, asked: Sequence[tuple[Point, float]]) -> tuple[tuple[Place, float], ...]:
        """Let volumes [L] come to rest that have not yet; give what each is kept under."""
        places = self._places.of([at for at, _ in asked])
        keys = tuple((place, litres) for place, (_, litres) in zip(places, asked, strict=True))
        new = {key: self._starts(key[0], at) for key, (at, _) in zip(keys, asked, strict=True) if key not in self._kept}
        self._kept |= dict.fromkeys(new)
        spilt = {
            (side, litres): start
            for (_, litres), sides in new.items()
            for side, start in sides.items()
            if litres > 0 and start is not None and self._kept.get((side, litres)) is None
        }
        if spilt:
            down = self._down([(at, litres) for (_, litres), at in spilt.items()])
            for key, level, falling in zip(spilt, self._resting(list(spilt)), down, strict=True):
                self._kept[key] = level.rested if falling is None else _on_both(level.rested, falling, self.film)
                if falling is None and level.disc_m is not None:
                    self._discs[key] = Disc(spilt[key], *level.disc_m)
        for key, sides in new.items():
            if len(sides) > 1 and key[1] > 0:
                rested = [self._kept[side, key[1]] for side in sides]
                self._kept[key] = _on_any_side([each for each in rested if each is not None])
        return keys

    def _resting(self, spilt: Sequence[tuple[Place, float]]) -> Iterator[_Level]:
        """Let volumes come to rest on the level floor: under both readings where they differ."""
        row_of, engine = self._on([place for place, _ in spilt])
        rows = np.array([row_of[place] for place, _ in spilt])
        volume_m3 = np.array([litres for _, litres in spilt]) / 1000
        films_m = (self.film.thick_m, self.film.thin_m)
        thick, thin = (engine.pools(rows, volume_m3, film_m, cautious=True) for film_m in films_m)
        free = thick.free & thin.free
        radii = zip(thick.radius_m.tolist(), thin.radius_m.tolist(), strict=True)
        rested = [
            Rested(*both, tuple(zip(both, films_m, strict=True)))
            for both in zip(_pools(thick), _pools(thin), strict=True)
        ]
        if self.unknown:
            held = [engine.pools(rows, volume_m3, film_m, cautious=False) for film_m in films_m]
            sure = zip(*engine.sure_pools(rows, volume_m3, self.film.thick_m), strict=True)
            free &= held[0].free & held[1].free
            both = zip(rested, zip(*(_pools(each) for each in held), strict=True), sure, strict=True)
            rested = [_under_both(passing, holding, films_m, *certain) for passing, holding, certain in both]
        for each, is_free, reach_m in zip(rested, free.tolist(), radii, strict=True):
            yield _Level(each, reach_m if is_free else None)

    def _down(self, spilt: Sequence[Spilt]) -> list[tuple[Pool, Pool] | None]:
        """Give the pools that run down a falling floor; None where it is level or nothing can be computed."""
        running = [row for row, (at, _) in enumerate(spilt) if self._falls_from(at) is not None]
        found: list[tuple[Pool, Pool] | None] = [None] * len(spilt)
        if self._falls is not None and running:
            for row, pools in zip(running, self._falls.pools([spilt[row] for row in running]), strict=True):
                found[row] = pools
        return found


def _from_any_side(sides: Sequence[Arrival]) -> Arrival:
    """Join what liquid does that may start on any side of a barrier."""
    if len(sides) == 1:
        return sides[0]
    verdicts = {side.verdict for side in sides}
    ways = [side.way_m for side in sides if side.way_m is not None]
    far = [side.far_m for side in sides if side.far_m is not None]
    far_m2 = [side.far_m2 for side in sides if side.far_m2 is not None]
    return Arrival(
        verdicts.pop() if len(verdicts) == 1 else Verdict.MAY_REACH,
        reduce(deeper, [side.critical_mm for side in sides]),
        max(side.litres_thick for side in sides),
        max(side.litres_thin for side in sides),
        min(ways, default=None),
        max(far) if len(far) == len(sides) else None,
        max(far_m2) if len(far_m2) == len(sides) else None,
    )


def _on_any_side(sides: Sequence[Rested]) -> Rested:
    """Join where liquid rests that may start on any side of a barrier: for certain is what is wet from all of them."""
    thick = _union([side.thick for side in sides], free=False)
    shape = areas_of(intersection_all([side.thick.shape for side in sides]))
    return Rested(
        replace(thick, shape=shape, area_m2=shape.area),
        _union([side.thin for side in sides], free=False),
        tuple(each for side in sides for each in side.each),
    )


def _known(number: float) -> float | None:
    return number if isfinite(number) else None


def _running_down(level: Arrival, down: Arriving, row: int, column: int, volume_m3: float) -> Arrival:
    if down.surely[row, column]:
        verdict = Verdict.REACHES
    elif level.verdict is not Verdict.NOT_REACHED or down.perhaps[row, column]:
        verdict = Verdict.MAY_REACH
    else:
        verdict = Verdict.NOT_REACHED
    likely = float(down.critical_m[row, column])
    down_mm = None if isnan(likely) else min(likely, volume_m3 / DRUM_SECTION_M2) * 1000
    return Arrival(
        verdict,
        deeper(level.critical_mm, down_mm),
        max(level.litres_thick, float(down.litres_thick[row, column])),
        max(level.litres_thin, float(down.litres_thin[row, column])),
        level.way_m,
    )


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


def _pools(found: Pools) -> Iterator[Pool]:
    columns = (found.area_m2, found.depth_m * 1000, found.off_map_m3 * 1000)
    for shape, area_m2, depth_mm, off_map_l in zip(found.shapes, *(column.tolist() for column in columns), strict=True):
        yield Pool(shape, area_m2, depth_mm, off_map_l)


def _under_both(
    passing: Rested,
    holding: tuple[Pool, Pool],
    films_m: tuple[float, float],
    shape: Polygon | MultiPolygon,
    area_m2: float,
) -> Rested:
    """Join what is wet under both readings of what is unknown; for certain is what is wet whichever barriers hold."""
    thick, thin = holding
    return Rested(
        Pool(
            shape, area_m2, max(passing.thick.depth_mm, thick.depth_mm), max(passing.thick.off_map_l, thick.off_map_l)
        ),
        with_level(thin, passing.thin),
        (*passing.each, *zip(holding, films_m, strict=True)),
    )


def _on_both(level: Rested, falling: tuple[Pool, Pool], film: FilmRange) -> Rested:
    """Join what a spill wets running down with what it may wet where the floor is as good as level."""
    thick, thin = falling
    return Rested(thick, with_level(thin, level.thin), (*level.each, (thick, film.thick_m), (thin, film.thin_m)))


def _union(pools: Sequence[Pool], *, free: bool) -> Pool:
    shapes = [pool.shape for pool in pools]
    return Pool(
        # Discs need no care for edges that nearly coincide, and are many.
        areas_of(quickly_joined(shapes)) if free else joint_shape(shapes),
        max(pool.area_m2 for pool in pools),
        max(pool.depth_mm for pool in pools),
        max(pool.off_map_l for pool in pools),
    )
