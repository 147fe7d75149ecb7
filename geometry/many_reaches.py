"""Spills from many places on one floor at once: what they reach, how thin a film has to be for it, and their pools.

The same questions as `spill_reach.Spread` answers for one place. Lengths come from the same visibility graph. Areas
have a closed form (see `kernels.reach`) in place of counted cells, so that they do not depend on the grid or on how the
floor is turned. Where a floor has barriers of which nobody knows whether they are tight, what is said here holds
whichever of them are (see `unknown_barriers`).
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from shapely import MultiPolygon, Point, Polygon
from shapely.geometry.base import BaseGeometry

from geometry.arrival import Aim, aim_at
from geometry.errors import GeometryRefused
from geometry.floor import SpillFloor
from geometry.origins import Flags, Floats, Numbers, Spills, columns, deepest
from geometry.reading import Reading
from geometry.unknown_barriers import Needs, UnknownBarriers


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
        Whether the thick film gets there whichever of the unknown barriers hold. Where there are any, nothing that
        has to rise over a barrier is said to be sure.
    perhaps : (k, m) array of bool
        Whether any film of the range may get there within the tolerances; always where `thin_m3` is above nothing.
    critical_m : (k, m) array
        Deepest film with which it may just get there [m]; infinite where the target lies at the source, not a number
        where thin films do not get there.
    thick_m3, thin_m3 : (k, m) array
        The most that may get there at the thick end of the range, and with any film of it, within the tolerances [m³].
    distance_m : (k, m) array
        Shortest way there may be along the floor [m]; infinite where there is none.
    far_m, far_m2 : (k, m) array
        Longest way there may be, and the most floor that may lie nearer [m, m²]; infinite where there may be none.
    """

    surely: Flags
    perhaps: Flags
    critical_m: Floats
    thick_m3: Floats
    thin_m3: Floats
    distance_m: Floats
    far_m: Floats
    far_m2: Floats


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
        self._passing = Reading(floor, self.at_m, cautious=True)
        same = floor.passing is floor.holding
        self._holding = self._passing if same else Reading(floor, self.at_m, cautious=False)
        self._unknown: dict[tuple[int, int], UnknownBarriers] = {}

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
        ground = self._reading(cautious=cautious).on_step(0)
        return ground.distances_m([self._aim(target) for target in targets], np.arange(len(self.at_m)))

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
        return self._reading(cautious=cautious).on_step(0).areas_m2(np.arange(len(self.at_m)), radii)

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
            By how much each may be nearer than recorded [m]; counts for `perhaps` and what gets there.
        thin_m, thick_m : float
            Ends of the range of films [m].

        Returns
        -------
        Arrivals
            Where all is known, as `Spread.reaches`, `reaches_within`, `critical_depth_m`, `litres_to` and `distance_m`
            say one by one.

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
        films_m = thick_m, thin_m, *self._lips_m(thin_m, thick_m)
        thick_m3, *others = (
            np.maximum(spills.volume_m3[:, None] - needed, 0.0)
            for needed in self._needed_m3(spills, aims, tolerances, films_m)
        )
        thin_m3 = np.maximum.reduce([thick_m3, *others])
        far_m, far_m2 = self._farthest(spills, aims, thick_m)
        return Arrivals(
            surely=self._surely(spills, aims, thick_m),
            perhaps=thin_m3 > 0,
            critical_m=self._critical_m(spills, aims),
            thick_m3=thick_m3,
            thin_m3=thin_m3,
            distance_m=self._passing.on_step(0).distances_m(aims, spills.place),
            far_m=far_m,
            far_m2=far_m2,
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
        reading = self._reading(cautious=cautious)
        ground = reading.on_film(depth_m)
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
            whole = reading.covering(spills, index, depth_m)
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

    def sure_pools(
        self, place: Numbers, volume_m3: Floats, depth_m: float
    ) -> tuple[tuple[Polygon | MultiPolygon, ...], Floats]:
        """Find what is wet whichever of the unknown barriers hold, as `Arrivals.surely` says of targets.

        Parameters
        ----------
        place : (k,) array of int
            Row of the place of each spill.
        volume_m3 : (k,) array
            How much is let out there [m³].
        depth_m : float
            Depth at which it rests on open floor [m].

        Returns
        -------
        tuple of Polygon or MultiPolygon
            What is wet in the compartment of each place [m]; empty where nothing was spilt.
        (k,) array
            Its area [m²].

        Raises
        ------
        GeometryRefused
            If a number is out of range.
        """
        spills = _checked_spills(place, volume_m3, len(self.at_m))
        _checked_range(depth_m, depth_m)
        passing, holding = self._passing.on_film(depth_m), self._holding.on_film(depth_m)
        covers = passing.covers(spills, depth_m)
        radius_m, _ = passing.fronts_m(spills, depth_m)
        _, clear_m = holding.fronts_m(spills, depth_m)
        length_m = np.where(covers, math.inf, radius_m)
        area_m2 = holding.areas_m2(spills.place, length_m[:, None])[:, 0]
        shapes = holding.shapes(spills, area_m2, np.where(covers, 0.0, radius_m), clear_m)
        for index in np.flatnonzero(covers).tolist():
            shapes[index] = holding.layout.compartments[int(holding.compartment[spills.place[index]])]
        return tuple(shapes), area_m2

    def _reading(self, *, cautious: bool) -> Reading:
        return self._passing if cautious else self._holding

    def _aim(self, target: BaseGeometry) -> Aim:
        return aim_at(self.floor.mapped, target)

    def _lips_m(self, thin_m: float, thick_m: float) -> list[float]:
        """Heights between two films that a film as deep goes over, under either reading [m]."""
        steps = {step for flow in (self.floor.passing, self.floor.holding) for step in flow.steps_m}
        return sorted(step for step in steps if thin_m < step <= thick_m)

    def _needed_m3(
        self, spills: Spills, aims: Sequence[Aim], tolerance_m: Floats, films_m: Sequence[float]
    ) -> list[Floats]:
        """The least that lies on the floor before liquid gets there, whatever is unknown, for each film; else infinite.

        Films of one step find the same floor: what lies between is measured once for them.
        """
        if self._passing is self._holding:
            return self._passing.needed_m3(spills, aims, tolerance_m, films_m)
        found = [np.full(tolerance_m.shape, math.inf) for _ in films_m]
        for each_m in np.unique(tolerance_m).tolist():
            alike: Flags = tolerance_m == each_m
            rows, asked = np.flatnonzero(alike.any(axis=1)), np.flatnonzero(alike.any(axis=0))
            some = np.ix_(rows, asked)
            place, targets = spills.place[rows], [aims[column] for column in asked.tolist()]
            known: dict[UnknownBarriers, Needs] = {}
            for film_m, needed in zip(films_m, found, strict=True):
                floor = self._unknown_at(film_m)
                if floor not in known:
                    known[floor] = floor.needs(place, targets, each_m)
                needed[some] = np.where(alike[some], known[floor].volume_m3(film_m), needed[some])
        return found

    def _unknown_at(self, depth_m: float) -> UnknownBarriers:
        passing, holding = self._passing.on_film(depth_m), self._holding.on_film(depth_m)
        key = passing.step, holding.step
        if key not in self._unknown:
            self._unknown[key] = UnknownBarriers(passing, holding)
        return self._unknown[key]

    def _critical_m(self, spills: Spills, aims: Sequence[Aim]) -> Floats:
        """Film depth at which liquid just gets there, whatever is unknown; not a number where no thin film does."""
        if self._passing is self._holding:
            return self._passing.critical_m(spills, aims)

        def on_step(some: Spills, _asked: Flags, low_m: float, high_m: float) -> Floats:
            return self._unknown_at(low_m).needs(some.place, aims).critical_m(some.volume_m3, low_m, high_m)

        return deepest([0.0, *self._lips_m(0.0, math.inf)], spills, len(aims), on_step)

    def _surely(self, spills: Spills, aims: Sequence[Aim], depth_m: float) -> Flags:
        """Whether liquid gets there whichever unknown barriers hold; over no lip where some are unknown."""
        volumes = spills.volume_m3[:, None]
        if self._passing is self._holding:
            exact = np.zeros((len(spills.place), len(aims)))
            return np.asarray(self._passing.needed_m3(spills, aims, exact, [depth_m])[0] < volumes)
        passing, holding = self._passing.on_film(depth_m), self._holding.on_film(depth_m)
        length_m = holding.distances_m(aims, spills.place)
        there: Flags = np.isfinite(length_m)
        return there & (depth_m * passing.areas_m2(spills.place, np.where(there, length_m, 0.0)) < volumes)

    def _farthest(self, spills: Spills, aims: Sequence[Aim], thick_m: float) -> tuple[Floats, Floats]:
        """The longest way there may be, and the most floor that any film of the range may wet nearer [m, m²]."""
        holding, passing = self._holding.on_step(0), self._passing.on_film(thick_m)
        length_m = holding.distances_m(aims, spills.place)
        if passing is holding:
            return length_m, columns([near[spills.place] for near in passing.near_m2(aims)], len(spills.place))
        return length_m, passing.areas_m2(spills.place, length_m)


def _checked_spills(place: Numbers, volume_m3: Floats, places: int) -> Spills:
    rows, volumes = np.asarray(place, dtype=np.int64), np.ascontiguousarray(volume_m3, dtype=np.float64)
    if rows.shape != volumes.shape or rows.ndim != 1:
        raise GeometryRefused(f"spills: expected one volume for each place, found {volumes.shape} for {rows.shape}")
    if len(rows) and not 0 <= rows.min() <= rows.max() < places:
        raise GeometryRefused(f"spills: expected places 0 to {places - 1}, found {rows.min()} to {rows.max()}")
    if not np.isfinite(volumes).all() or (volumes < 0).any():
        wrong = volumes[~(np.isfinite(volumes) & (volumes >= 0))][0]
        raise GeometryRefused(f"spilt volume: expected 0 m³ or more, found {wrong}")
    return Spills(rows, volumes)


def _checked_range(thin_m: float, thick_m: float) -> None:
    for depth_m in (thin_m, thick_m):
        if not math.isfinite(depth_m) or depth_m <= 0:
            raise GeometryRefused(f"film depth: expected more than 0 m, found {depth_m}")
    if thin_m > thick_m:
        raise GeometryRefused(f"film range: expected the thin end first, found {thin_m} to {thick_m} m")
