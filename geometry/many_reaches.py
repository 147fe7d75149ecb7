"""Spills from many places on one floor at once: what they reach, how thin a film has to be for it, and their pools.

The same questions as `spill_reach.Spread` answers for one place, with the same meanings. Lengths come from the same
visibility graph. Areas have a closed form (see `kernels.reach`) in place of counted cells, so that they do not depend
on the grid or on how the floor is turned. Whatever covers a compartment and spills on no longer depends on the place
in it; `Spread` answers that once for each compartment.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import MultiPolygon, Point, Polygon
from shapely.geometry.base import BaseGeometry

from geometry.arrival import Aim, aim_at, needed_m3, reached
from geometry.errors import GeometryRefused
from geometry.floor import SpillFloor
from geometry.layout import Layout, Origin, area_inside, areas_of, joined
from geometry.shapes import disc
from geometry.spill_reach import Pool, critical_on_step_m, spread
from geometry.turns import Approach

Floats = NDArray[np.float64]
Numbers = NDArray[np.int64]
Flags = NDArray[np.bool_]

_LOST = 1e-3  # more than that share of a pool is no rounding of its arcs
_QUARTER = 32  # corners of a drawn pool to a quarter turn, as `shapes.disc` draws them


@dataclass(frozen=True, slots=True)
class Places:
    """Where liquid is let out.

    Parameters
    ----------
    at_m : (n, 2) array
        Places on free floor [m]; not a number where a place was refused.
    moved_m : (n,) array
        How far each was moved off a barrier [m]; not a number where it was refused.
    refused : dict of int to str
        Why, by index.
    """

    at_m: Floats
    moved_m: Floats
    refused: dict[int, str]


@dataclass(frozen=True, slots=True)
class Arrivals:
    """What many spills reach; one row per spill, one column per target.

    Parameters
    ----------
    surely : (k, m) array of bool
        Whether the thick film gets there where everything not known to be tight stops it.
    perhaps : (k, m) array of bool
        Whether any film of the range gets there, within the tolerances, where only what is known to be tight stops it.
    critical_m : (k, m) array
        Film depth at which it just gets there where only what is known to be tight stops it [m]; infinite where the
        target lies at the source, not a number where thin films do not get there.
    thick_m3, thin_m3 : (k, m) array
        The most that gets there at both ends of the range, on the same floor [m³].
    distance_m : (k, m) array
        Length along that floor [m]; infinite where there is no way.
    """

    surely: Flags
    perhaps: Flags
    critical_m: Floats
    thick_m3: Floats
    thin_m3: Floats
    distance_m: Floats


@dataclass(frozen=True, slots=True)
class Pools:
    """Many spills at rest.

    Parameters
    ----------
    radius_m : (k,) array
        Length along the floor up to which it is wet [m]; infinite where a compartment is covered all over.
    free : (k,) array of bool
        Whether nothing stops it within that radius, so that the pool is a disc.
    area_m2 : (k,) array
        Wet area [m²].
    depth_m : (k,) array
        Deepest resting depth [m].
    off_map_m3 : (k,) array
        The most that may leave the mapped floor [m³].
    on_floor_m3, lost_m3 : (k,) array
        What lies on the mapped floor, and what no mapped floor takes [m³]; together what was spilt.
    shapes : tuple of Polygon or MultiPolygon
        What is wet [m]; empty where nothing was spilt.
    """

    radius_m: Floats
    free: Flags
    area_m2: Floats
    depth_m: Floats
    off_map_m3: Floats
    on_floor_m3: Floats
    lost_m3: Floats
    shapes: tuple[Polygon | MultiPolygon, ...]


def places_on(floor: SpillFloor, at_m: Floats) -> Places:
    """Move places off barriers where they are near enough to free floor.

    Parameters
    ----------
    floor : SpillFloor
        The floor.
    at_m : (n, 2) array
        Places [m].

    Returns
    -------
    Places
        As `SpillFloor.free_place` moves them. One that it refuses is refused alone, with its reason.
    """
    found = np.array(at_m, dtype=np.float64).reshape(-1, 2)
    clear: Flags = np.asarray(np.isfinite(found).all(axis=1))
    for layout in (floor.passing.layout(), floor.holding.layout()):
        clear[clear] &= layout.are_clear_of_barriers(found[clear])
    moved_m = np.zeros(len(found))
    refused = {}
    for index in np.flatnonzero(~clear).tolist():
        recorded = Point(found[index])
        try:
            free = floor.free_place(recorded)
        except GeometryRefused as refusal:
            refused[index] = str(refusal)
            found[index], moved_m[index] = math.nan, math.nan
            continue
        found[index], moved_m[index] = (free.x, free.y), free.distance(recorded)
    return Places(found, moved_m, refused)


class ManyReaches:
    """Spills from many places on one floor.

    Parameters
    ----------
    floor : SpillFloor
        The floor.
    at_m : (n, 2) array
        Places on free floor [m], such as `places_on` gives. Spills name a place by its row, and may share one.

    Raises
    ------
    GeometryRefused
        If a place is not finite or lies on no free floor.
    """

    def __init__(self, floor: SpillFloor, at_m: Floats) -> None:
        self.floor = floor
        self.at_m = np.ascontiguousarray(at_m, dtype=np.float64).reshape(-1, 2)
        if not np.isfinite(self.at_m).all():
            raise GeometryRefused("places: expected finite coordinates, found some that are not")
        self._grounds: dict[tuple[bool, int], _Ground] = {}
        self._reached_once: dict[tuple[bool, int, int, float, float, Aim], bool] = {}
        self._needed_once: dict[tuple[bool, int, int, float, float, Aim], float | None] = {}
        self._critical_once: dict[tuple[bool, int, int, float, float, Aim], float | None] = {}
        self._pools_once: dict[tuple[bool, int, int, float, float], Pool] = {}

    def distances_m(self, targets: Sequence[BaseGeometry], *, cautious: bool) -> Floats:
        """Exact lengths along the floor to targets; every barrier with any height counts as in the way.

        Parameters
        ----------
        targets : sequence of BaseGeometry
            Drains, doors or footprints [m].
        cautious : bool
            True: what is not known to be tight lets liquid through. False: it stops it.

        Returns
        -------
        (n, m) array
            In metres; infinite where there is no way. To the nearest way off the map where a target lies off it.

        Raises
        ------
        GeometryRefused
            If a target is empty or not finite.
        """
        ground = self._ground(0, cautious=cautious)
        return _columns([ground.distance_m(self._aim(target)) for target in targets], len(self.at_m))

    def areas_within_m2(self, radius_m: Floats, *, cautious: bool) -> Floats:
        """Find the areas that lie no farther than lengths along the floor.

        Parameters
        ----------
        radius_m : (n, m) array
            Those lengths [m], one row per place; infinite takes in everything that can be got to.
        cautious : bool
            True: what is not known to be tight lets liquid through. False: it stops it.

        Returns
        -------
        (n, m) array
            Areas [m²].

        Raises
        ------
        GeometryRefused
            If a length is not a number.
        """
        radii = np.asarray(radius_m, dtype=np.float64)
        if np.isnan(radii).any():
            raise GeometryRefused("radius: expected a length, found not a number")
        return self._ground(0, cautious=cautious).areas_m2(np.arange(len(self.at_m)), radii)

    def arrivals(
        self,
        place: Numbers,
        volume_m3: Floats,
        targets: Sequence[BaseGeometry],
        tolerance_m: Floats,
        thin_m: float,
        thick_m: float,
    ) -> Arrivals:
        """Find what many spills reach.

        Parameters
        ----------
        place : (k,) array of int
            Row of the place of each spill.
        volume_m3 : (k,) array
            How much is let out there [m³].
        targets : sequence of BaseGeometry
            Drains, doors or footprints, m of them [m].
        tolerance_m : (k, m) array
            By how much each may be nearer than recorded [m]; counts for `perhaps` alone.
        thin_m, thick_m : float
            Ends of the range of films [m].

        Returns
        -------
        Arrivals
            As `Spread.reaches`, `reaches_within`, `critical_depth_m`, `litres_to` and `distance_m` say one by one.

        Raises
        ------
        GeometryRefused
            If a number is out of range or a target empty.
        """
        spills = _checked_spills(place, volume_m3, len(self.at_m))
        tolerances = np.asarray(tolerance_m, dtype=np.float64)
        if not np.isfinite(tolerances).all() or (tolerances < 0).any():
            raise GeometryRefused("tolerance: expected 0 m or more, found less or not a number")
        _checked_range(thin_m, thick_m)
        aims = [self._aim(target) for target in targets]
        shape = (len(spills.place), len(aims))
        exact = np.zeros(shape)
        surely = self._reached(spills, aims, exact, thick_m, cautious=False)
        perhaps = np.zeros(shape, dtype=np.bool_)
        lips = [step for step in self.floor.flow(cautious=True).steps_m if thin_m < step <= thick_m]
        for depth_m in (thin_m, *lips):
            perhaps |= self._reached(spills, aims, tolerances, depth_m, cautious=True)
        return Arrivals(
            surely=surely,
            perhaps=perhaps,
            critical_m=self._critical_m(spills, aims),
            thick_m3=self._arriving_m3(spills, aims, thick_m),
            thin_m3=self._arriving_m3(spills, aims, thin_m),
            distance_m=_columns(
                [self._ground(0, cautious=True).distance_m(aim)[spills.place] for aim in aims], len(spills.place)
            ),
        )

    def pools(self, place: Numbers, volume_m3: Floats, depth_m: float, *, cautious: bool) -> Pools:
        """Let many volumes come to rest, each taken alone.

        Parameters
        ----------
        place : (k,) array of int
            Row of the place of each spill.
        volume_m3 : (k,) array
            How much is let out there [m³].
        depth_m : float
            Depth at which it rests on open floor [m].
        cautious : bool
            True: what is not known to be tight lets liquid through. False: it stops it.

        Returns
        -------
        Pools
            As `Spread.pool` says one by one.

        Raises
        ------
        GeometryRefused
            If a number is out of range.
        """
        spills = _checked_spills(place, volume_m3, len(self.at_m))
        _checked_range(depth_m, depth_m)
        ground = self._ground_at(depth_m, cautious=cautious)
        covers = ground.covers(spills, depth_m)
        radius_m, clear_m = ground.fronts_m(spills, depth_m)
        off_m = ground.distance_m(Aim(None))[spills.place]
        near_m3 = depth_m * ground.near_m2([Aim(None)])[0][spills.place]
        may_leave = np.isfinite(off_m) & (near_m3 <= spills.volume_m3)
        off_map_m3 = np.where(may_leave, spills.volume_m3 - near_m3, 0.0)
        area_m2, on_floor_m3 = spills.volume_m3 / depth_m, spills.volume_m3.copy()
        deepest_m, lost_m3 = np.where(spills.volume_m3 > 0, depth_m, 0.0), np.zeros(len(covers))
        shapes = ground.shapes(spills, area_m2, np.where(covers, 0.0, radius_m), clear_m)
        for index in np.flatnonzero(covers).tolist():
            whole = self._covering(ground, spills, index, depth_m)
            area_m2[index], deepest_m[index], lost_m3[index] = whole.area_m2, whole.depth_m, whole.lost_m3
            on_floor_m3[index] = whole.on_floor_m3
            off_map_m3[index] = max(off_map_m3[index], whole.lost_m3) if may_leave[index] else whole.off_map_m3
            shapes[index] = whole.shape
        return Pools(
            radius_m=np.where(covers, math.inf, radius_m),
            free=~covers & (radius_m <= clear_m),
            area_m2=area_m2,
            depth_m=deepest_m,
            off_map_m3=off_map_m3,
            on_floor_m3=on_floor_m3,
            lost_m3=lost_m3,
            shapes=tuple(shapes),
        )

    def _ground(self, step: int, *, cautious: bool) -> "_Ground":
        flow = self.floor.flow(cautious=cautious)
        key = (flow is self.floor.passing, step)
        if key not in self._grounds:
            self._grounds[key] = _Ground(flow.layout(step), self.at_m, key)
        return self._grounds[key]

    def _ground_at(self, depth_m: float, *, cautious: bool) -> "_Ground":
        return self._ground(self.floor.flow(cautious=cautious).step_at(depth_m), cautious=cautious)

    def _aim(self, target: BaseGeometry) -> Aim:
        return aim_at(self.floor.mapped, target)

    def _reached(
        self, spills: "_Spills", aims: Sequence[Aim], tolerance_m: Floats, depth_m: float, *, cautious: bool
    ) -> Flags:
        ground = self._ground_at(depth_m, cautious=cautious)
        covers = ground.covers(spills, depth_m)
        radius_m, _ = ground.fronts_m(spills, depth_m)
        found = np.zeros((len(covers), len(aims)), dtype=np.bool_)
        for column, aim in enumerate(aims):
            nearer_m = np.maximum(ground.distance_m(aim)[spills.place] - tolerance_m[:, column], 0.0)
            found[:, column] = np.where(covers, ground.lies_in(aim)[spills.place], nearer_m <= radius_m)
            for index in np.flatnonzero(covers & ~found[:, column]).tolist():
                found[index, column] = self._reached_beyond(
                    ground, spills, index, depth_m, Aim(aim.target, float(tolerance_m[index, column]))
                )
        return found & (spills.volume_m3 > 0)[:, None]

    def _arriving_m3(self, spills: "_Spills", aims: Sequence[Aim], depth_m: float) -> Floats:
        """The most that gets to each target: what is not needed on the way."""
        ground = self._ground_at(depth_m, cautious=True)
        covers = ground.covers(spills, depth_m)
        found = np.zeros((len(covers), len(aims)))
        for column, (aim, near) in enumerate(zip(aims, ground.near_m2(aims), strict=True)):
            way = np.isfinite(ground.distance_m(aim))[spills.place]
            near_m2 = near[spills.place]
            found[:, column] = np.where(way, np.maximum(spills.volume_m3 - depth_m * near_m2, 0.0), 0.0)
            for index in np.flatnonzero(covers & ~way).tolist():
                needed = self._needed_beyond(ground, spills, index, depth_m, aim)
                found[index, column] = 0.0 if needed is None else max(spills.volume_m3[index] - needed, 0.0)
        return found

    def _critical_m(self, spills: "_Spills", aims: Sequence[Aim]) -> Floats:
        flow = self.floor.flow(cautious=True)
        best = np.full((len(spills.place), len(aims)), math.nan)
        asked = np.ones(best.shape, dtype=np.bool_)
        for step, low in enumerate(flow.steps_m):
            high = flow.steps_m[step + 1] if step + 1 < len(flow.steps_m) else math.inf
            rows = np.flatnonzero(asked.any(axis=1))
            if not len(rows):
                break
            some = _Spills(spills.place[rows], spills.volume_m3[rows])
            found = self._critical_on_step(some, aims, asked[rows], step, low, high)
            known = asked[rows] & ~np.isnan(found)
            best[rows] = np.where(known, found, best[rows])
            asked[rows] = known & (found >= high)
        return best

    def _critical_on_step(
        self, spills: "_Spills", aims: Sequence[Aim], asked: Flags, step: int, low_m: float, high_m: float
    ) -> Floats:
        """As `Spread.critical_depth_m` asks each step of films; not a number where none is found on it."""
        ground = self._ground(step, cautious=True)
        found = np.full((len(spills.place), len(aims)), math.nan)
        lengths = _columns([ground.distance_m(aim)[spills.place] for aim in aims], len(spills.place))
        # Beyond the first step few places are left, so only theirs are measured.
        near = (
            _columns([areas[spills.place] for areas in ground.near_m2(aims)], len(spills.place))
            if step == 0
            else ground.areas_m2(spills.place, lengths)
        )
        for column, aim in enumerate(aims):
            way, near_m2 = np.isfinite(lengths[:, column]), near[:, column]
            with np.errstate(divide="ignore", invalid="ignore"):
                depth = np.where(near_m2 > 0, spills.volume_m3 / near_m2, math.inf)
            reaches = way & (spills.volume_m3 > 0) & (depth >= low_m)
            found[reaches, column] = np.minimum(depth, high_m)[reaches]
            beyond = asked[:, column] & ~way & ground.has_outlet[spills.place]
            for index in np.flatnonzero(beyond).tolist():
                depth_m = self._critical_beyond(ground, spills, index, high_m, aim)
                found[index, column] = math.nan if depth_m is None else depth_m
        return found

    def _reached_beyond(self, ground: "_Ground", spills: "_Spills", index: int, depth_m: float, aim: Aim) -> bool:
        """What has covered a compartment has forgotten its place in it: one answer for all of them."""
        key = (*ground.whence(spills, index), depth_m, aim)
        if key not in self._reached_once:
            volume_m3, origin = float(spills.volume_m3[index]), self._origin(ground, spills, index)
            self._reached_once[key] = reached(ground.layout, origin, volume_m3, depth_m, aim)
        return self._reached_once[key]

    def _needed_beyond(
        self, ground: "_Ground", spills: "_Spills", index: int, depth_m: float, aim: Aim
    ) -> float | None:
        key = (*ground.whence(spills, index), depth_m, aim)
        if key not in self._needed_once:
            volume_m3, origin = float(spills.volume_m3[index]), self._origin(ground, spills, index)
            self._needed_once[key] = needed_m3(ground.layout, origin, volume_m3, depth_m, aim)
        return self._needed_once[key]

    def _critical_beyond(
        self, ground: "_Ground", spills: "_Spills", index: int, high_m: float, aim: Aim
    ) -> float | None:
        key = (*ground.whence(spills, index), high_m, aim)
        if key not in self._critical_once:
            volume_m3, origin = float(spills.volume_m3[index]), self._origin(ground, spills, index)
            self._critical_once[key] = critical_on_step_m(origin, high_m, volume_m3, aim)
        return self._critical_once[key]

    def _covering(self, ground: "_Ground", spills: "_Spills", index: int, depth_m: float) -> Pool:
        key = (*ground.whence(spills, index), depth_m)
        if key not in self._pools_once:
            way = spread(self.floor, Point(self.at_m[spills.place[index]]))
            self._pools_once[key] = way.pool(float(spills.volume_m3[index]), depth_m, cautious=ground.key[0])
        return self._pools_once[key]

    def _origin(self, ground: "_Ground", spills: "_Spills", index: int) -> Origin:
        cautious, step = ground.key
        return self.floor.origin(Point(self.at_m[spills.place[index]]), cautious=cautious, step=step)


@dataclass(frozen=True, slots=True)
class _Spills:
    """How much is let out where: rows of places, and volumes [m³]."""

    place: Numbers
    volume_m3: Floats


class _Ground:
    """All places on one layout; `key` is which reading of what is unknown, and which step of films."""

    def __init__(self, layout: Layout, at_m: Floats, key: tuple[bool, int]) -> None:
        self.layout = layout
        self.key = key
        self._at_m = at_m
        self.compartment = layout.compartments_at(at_m)
        if (self.compartment < 0).any():
            x, y = at_m[int(np.argmin(self.compartment))].tolist()
            raise GeometryRefused(f"source at ({x:g}, {y:g}): expected free floor, found none")
        self._faces_m2 = np.array([face.area for face in layout.compartments])
        self.area_m2: Floats = self._faces_m2[self.compartment]
        self.has_outlet: Flags = np.array([bool(ways) for ways in layout.outlets], dtype=np.bool_)[self.compartment]
        self._distances: dict[BaseGeometry | None, Floats] = {}
        self._near: dict[BaseGeometry | None, Floats] = {}
        self._lies_in: dict[BaseGeometry | None, Flags] = {}
        self._fronts: dict[tuple[float, bytes, bytes], tuple[Floats, Floats]] = {}

    @cached_property
    def _approach(self) -> Approach:
        return self.layout.turns.approach(self._at_m)

    def whence(self, spills: _Spills, index: int) -> tuple[bool, int, int, float]:
        """What a spill that covers its compartment is known by."""
        return (*self.key, int(self.compartment[spills.place[index]]), float(spills.volume_m3[index]))

    def covers(self, spills: _Spills, depth_m: float) -> Flags:
        """Whether each spill covers its compartment with a film."""
        return np.asarray(spills.volume_m3 >= self.area_m2[spills.place] * depth_m)

    def distance_m(self, aim: Aim) -> Floats:
        """Lengths along the floor from every place to a target [m], infinite where there is no way."""
        if aim.target not in self._distances:
            self._distances[aim.target] = (
                self._off_map_m() if aim.target is None else self._to_m(aim.target, np.arange(len(self._at_m)))
            )
        return self._distances[aim.target]

    def _off_map_m(self) -> Floats:
        found = np.full(len(self._at_m), math.inf)
        for compartment in np.unique(self.compartment).tolist():
            leaving = self.layout.leaves_at(compartment, self.layout.film_m)
            if leaving is not None:
                here = np.flatnonzero(self.compartment == compartment)
                found[here] = self._to_m(leaving, here)
        return found

    def _to_m(self, target: BaseGeometry, rows: Numbers) -> Floats:
        clear = isinstance(target, Point) and self.layout.clear_of_barriers(target)
        turns = self.layout.turns
        found = turns.straight_m(self._at_m[rows], target, clear=clear)
        if len(turns.bends):
            beyond = turns.straight_m(turns.bends, target, clear=clear)
            seen = np.flatnonzero(np.isfinite(beyond))
            if len(seen):
                found = np.minimum(found, (self._approach.to_bend_m[np.ix_(rows, seen)] + beyond[seen]).min(axis=1))
        return found

    def lies_in(self, aim: Aim) -> Flags:
        """Whether liquid that covers the compartment of each place has got to a target."""
        if aim.target not in self._lies_in:
            faces = [aim.lies_in(self.layout, index) for index in range(len(self.layout.compartments))]
            self._lies_in[aim.target] = np.array(faces, dtype=np.bool_)[self.compartment]
        return self._lies_in[aim.target]

    def near_m2(self, aims: Sequence[Aim]) -> list[Floats]:
        """For each target: the floor that lies nearer than it, from every place [m²]; measured for all at once."""
        asked = list({aim.target: aim for aim in aims if aim.target not in self._near}.values())
        if asked:
            lengths = np.column_stack([self.distance_m(aim) for aim in asked])
            areas = self.areas_m2(np.arange(len(self._at_m)), lengths)
            self._near |= {aim.target: areas[:, column] for column, aim in enumerate(asked)}
        return [self._near[aim.target] for aim in aims]

    def areas_m2(self, place: Numbers, radius_m: Floats) -> Floats:
        """Areas within lengths of places, one row for each [m²]."""
        areas, _, _ = self._measured(place, radius_m, np.zeros((len(place), 0)))
        return areas

    def fronts_m(self, spills: _Spills, depth_m: float) -> tuple[Floats, Floats]:
        """How far each spill gets if it does not cover its compartment, and how far nothing is in the way [m]."""
        key = (depth_m, spills.place.tobytes(), spills.volume_m3.tobytes())
        if key not in self._fronts:
            areas = np.ascontiguousarray(spills.volume_m3 / depth_m)[:, None]
            _, radii, clear = self._measured(spills.place, np.zeros((len(areas), 0)), areas)
            # Nothing is farther than all stretches end to end. Only rounding parts what just covers from what does not.
            longest_m = float(np.hypot(*(self.layout.turns.ends[:, 2:] - self.layout.turns.ends[:, :2]).T).sum())
            self._fronts[key] = (np.minimum(radii[:, 0], longest_m), clear)
        return self._fronts[key]

    def _measured(self, place: Numbers, radius_m: Floats, area_m2: Floats) -> tuple[Floats, Floats, Floats]:
        from geometry.kernels import reach  # noqa: PLC0415 - compiled code is loaded where computing begins

        turns, approach = self.layout.turns, self._approach
        areas, radii, clear = reach.areas_and_radii(
            self._at_m[place],
            approach.length_m[place],
            approach.at[place],
            approach.before[place],
            self.area_m2[place],
            np.ascontiguousarray(radius_m),
            np.ascontiguousarray(area_m2),
            turns.ends,
            turns.corner_m,
            turns.free_rad,
            turns.bends,
            *turns.views,
        )
        return areas, radii, clear

    def shapes(
        self, spills: _Spills, area_m2: Floats, radius_m: Floats, clear_m: Floats
    ) -> list[Polygon | MultiPolygon]:
        """Draw what lies within a length of each place, which holds that area; empty where the length is none."""
        from geometry.kernels import reach  # noqa: PLC0415 - compiled code is loaded where computing begins

        found: list[Polygon | MultiPolygon] = [Polygon()] * len(radius_m)
        at_m = self._at_m[spills.place]
        step = math.pi / (2 * _QUARTER)
        bulge = math.sqrt(step / math.sin(step))
        free = np.flatnonzero((radius_m > 0) & (radius_m <= clear_m))
        discs = shapely.buffer(shapely.points(at_m[free]), radius_m[free] * bulge, quad_segs=_QUARTER)
        for index, shape in zip(free.tolist(), discs.tolist(), strict=True):
            found[index] = shape
        cut = np.flatnonzero(radius_m > clear_m)
        begins, corners = reach.rims(at_m[cut], radius_m[cut], 4 * _QUARTER, bulge, self.layout.turns.ends)
        for number, index in enumerate(cut.tolist()):
            seen = area_inside(corners[begins[number] : begins[number + 1]])
            found[index] = self._with_hidden(
                seen, int(spills.place[index]), float(radius_m[index]), float(area_m2[index])
            )
        return found

    def _with_hidden(self, seen: BaseGeometry, place: int, radius_m: float, area_m2: float) -> Polygon | MultiPolygon:
        lengths = self._approach.to_bend_m[place]
        parts = [seen]
        for bend in np.flatnonzero(lengths < radius_m).tolist():
            around = disc(Point(self.layout.bends[bend]), radius_m - float(lengths[bend]))
            parts.append(shapely.intersection(self.layout.bend_view(bend), around))
        if len(parts) == 1:
            return areas_of(seen)
        # The area is known, so that a quick union in which pieces were lost (see `joined`) gives itself away.
        quick = shapely.union_all(parts)
        return areas_of(quick if abs(quick.area - area_m2) <= _LOST * area_m2 else joined(parts))


def _columns(columns: Sequence[Floats], rows: int) -> Floats:
    return np.column_stack(columns) if columns else np.zeros((rows, 0))


def _checked_spills(place: Numbers, volume_m3: Floats, places: int) -> _Spills:
    rows, volumes = np.asarray(place, dtype=np.int64), np.ascontiguousarray(volume_m3, dtype=np.float64)
    if rows.shape != volumes.shape or rows.ndim != 1:
        raise GeometryRefused(f"spills: expected one volume for each place, found {volumes.shape} for {rows.shape}")
    if len(rows) and not 0 <= rows.min() <= rows.max() < places:
        raise GeometryRefused(f"spills: expected places 0 to {places - 1}, found {rows.min()} to {rows.max()}")
    if not np.isfinite(volumes).all() or (volumes < 0).any():
        wrong = volumes[~(np.isfinite(volumes) & (volumes >= 0))][0]
        raise GeometryRefused(f"spilt volume: expected 0 m³ or more, found {wrong}")
    return _Spills(rows, volumes)


def _checked_range(thin_m: float, thick_m: float) -> None:
    for depth_m in (thin_m, thick_m):
        if not math.isfinite(depth_m) or depth_m <= 0:
            raise GeometryRefused(f"film depth: expected more than 0 m, found {depth_m}")
    if thin_m > thick_m:
        raise GeometryRefused(f"film range: expected the thin end first, found {thin_m} to {thick_m} m")
