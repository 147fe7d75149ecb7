"""Spills from many places on a floor of which everything is known, or taken as known: what it takes to get somewhere.

Whatever covers a compartment and spills on no longer depends on the place in it: that is worked out once for each
compartment and volume.
"""

import math
from collections.abc import Sequence

import numpy as np
from shapely import Point

from geometry.arrival import Aim, needed_m3
from geometry.floor import SpillFloor
from geometry.layout import Origin
from geometry.origins import Flags, Floats, Origins, Spills, columns, deepest
from geometry.spill_reach import Pool, critical_on_step_m, spread


class Reading:
    """Many places under one reading of what is unknown.

    Parameters
    ----------
    floor : SpillFloor
        The floor.
    at_m : (n, 2) array
        Places on free floor [m].
    cautious : bool
        True: what is not known to be tight lets liquid through. False: it stops it.
    """

    def __init__(self, floor: SpillFloor, at_m: Floats, *, cautious: bool) -> None:
        self._floor = floor
        self._at_m = at_m
        self._cautious = cautious
        self._flow = floor.flow(cautious=cautious)
        self._steps: dict[int, Origins] = {}
        self._needed_once: dict[tuple[int, int, float, float, Aim], float | None] = {}
        self._critical_once: dict[tuple[int, int, float, float, Aim], float | None] = {}
        self._pools_once: dict[tuple[int, int, float, float], Pool] = {}

    def on_step(self, step: int) -> Origins:
        """Give the places as films of one step find them.

        Parameters
        ----------
        step : int
            Index in `Flow.steps_m`.

        Returns
        -------
        Origins
            Made once and kept.
        """
        if step not in self._steps:
            self._steps[step] = Origins(self._flow.layout(step), self._at_m, step)
        return self._steps[step]

    def on_film(self, depth_m: float) -> Origins:
        """Give the places as a film of one depth finds them.

        Parameters
        ----------
        depth_m : float
            Depth of the film [m].

        Returns
        -------
        Origins
            Made once for each step of films and kept.
        """
        return self.on_step(self._flow.step_at(depth_m))

    def needed_m3(
        self, spills: Spills, aims: Sequence[Aim], tolerance_m: Floats, films_m: Sequence[float]
    ) -> list[Floats]:
        """Find how much lies on the floor before liquid gets to targets.

        Parameters
        ----------
        spills : Spills
            k volumes and their places.
        aims : sequence of Aim
            m targets; their own tolerance is not used.
        tolerance_m : (k, m) array
            By how much each may be nearer than recorded [m].
        films_m : sequence of float
            Depths of films [m].

        Returns
        -------
        list of (k, m) array
            For each film, in cubic metres; infinite where this much does not get there.
        """
        nearer_m2: dict[int, Floats] = {}  # films of one step find the same floor
        found = []
        for depth_m in films_m:
            ground = self.on_film(depth_m)
            if ground.step not in nearer_m2:
                nearer_m2[ground.step] = self._nearer_m2(ground, spills, aims, tolerance_m)
            found.append(self._with_film(ground, spills, aims, tolerance_m, depth_m, nearer_m2[ground.step]))
        return found

    def _with_film(
        self,
        ground: Origins,
        spills: Spills,
        aims: Sequence[Aim],
        tolerance_m: Floats,
        depth_m: float,
        nearer_m2: Floats,
    ) -> Floats:
        way: Flags = np.isfinite(ground.distances_m(aims, spills.place))
        needed = depth_m * nearer_m2
        found = np.where(way & (needed <= spills.volume_m3[:, None]), needed, math.inf)
        for index, column in np.argwhere(ground.covers(spills, depth_m)[:, None] & ~way).tolist():
            aim = Aim(aims[column].target, float(tolerance_m[index, column]))
            beyond = self._needed_beyond(ground, spills, index, depth_m, aim)
            found[index, column] = math.inf if beyond is None else beyond
        return found

    def _nearer_m2(self, ground: Origins, spills: Spills, aims: Sequence[Aim], tolerance_m: Floats) -> Floats:
        """Floor that lies nearer than each target less its tolerance [m²], measured once for drums that share both."""
        if not tolerance_m.any():
            return columns([near[spills.place] for near in ground.near_m2(aims)], len(spills.place))
        alike, whose = np.unique(np.column_stack([spills.place, tolerance_m]), axis=0, return_inverse=True)
        place = alike[:, 0].astype(np.int64)
        nearer_m = np.maximum(ground.distances_m(aims, place) - alike[:, 1:], 0.0)
        return ground.areas_m2(place, nearer_m)[whose.reshape(-1)]

    def critical_m(self, spills: Spills, aims: Sequence[Aim]) -> Floats:
        """Find the film depths at which volumes just reach targets.

        Parameters
        ----------
        spills : Spills
            k volumes and their places.
        aims : sequence of Aim
            m targets, where they are recorded.

        Returns
        -------
        (k, m) array
            As `Spread.critical_depth_m` finds each [m]; not a number where thin films do not get there.
        """
        return deepest(
            self._flow.steps_m,
            spills,
            len(aims),
            lambda some, asked, low_m, high_m: self._critical_on_step(some, aims, asked, low_m, high_m),
        )

    def _critical_on_step(
        self, spills: Spills, aims: Sequence[Aim], asked: Flags, low_m: float, high_m: float
    ) -> Floats:
        """As `Spread.critical_depth_m` asks each step of films; not a number where none is found on it."""
        ground = self.on_film(low_m)
        found = np.full((len(spills.place), len(aims)), math.nan)
        lengths = ground.distances_m(aims, spills.place)
        # Beyond the first step few places are left, so only theirs are measured.
        near = (
            columns([areas[spills.place] for areas in ground.near_m2(aims)], len(spills.place))
            if low_m == 0
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

    def covering(self, spills: Spills, index: int, depth_m: float) -> Pool:
        """Give the pool of a spill that covers its compartment.

        Parameters
        ----------
        spills : Spills
            What is let out where.
        index : int
            Which of them.
        depth_m : float
            Depth of the film [m].

        Returns
        -------
        Pool
            Kept for all that let out as much in that compartment.
        """
        key = (*self.on_film(depth_m).whence(spills, index), depth_m)
        if key not in self._pools_once:
            way = spread(self._floor, Point(self._at_m[spills.place[index]]))
            self._pools_once[key] = way.pool(float(spills.volume_m3[index]), depth_m, cautious=self._cautious)
        return self._pools_once[key]

    def _needed_beyond(self, ground: Origins, spills: Spills, index: int, depth_m: float, aim: Aim) -> float | None:
        key = (*ground.whence(spills, index), depth_m, aim)
        if key not in self._needed_once:
            volume_m3, origin = float(spills.volume_m3[index]), self._origin(ground, spills, index)
            self._needed_once[key] = needed_m3(ground.layout, origin, volume_m3, depth_m, aim)
        return self._needed_once[key]

    def _critical_beyond(self, ground: Origins, spills: Spills, index: int, high_m: float, aim: Aim) -> float | None:
        key = (*ground.whence(spills, index), high_m, aim)
        if key not in self._critical_once:
            volume_m3, origin = float(spills.volume_m3[index]), self._origin(ground, spills, index)
            self._critical_once[key] = critical_on_step_m(origin, high_m, volume_m3, aim)
        return self._critical_once[key]

    def _origin(self, ground: Origins, spills: Spills, index: int) -> Origin:
        place = Point(self._at_m[spills.place[index]])
        return self._floor.origin(place, cautious=self._cautious, step=ground.step)
