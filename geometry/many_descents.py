"""Spills from many places on one falling floor at once: what they reach, how thin a film has to be, what they wet.

The same questions as `descent.Descents` answers for one place, with the same answers. Liquid let out in one cell runs
one way, whatever drum it comes from; one run answers for every target.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray
from shapely import MultiPolygon, Point, Polygon
from shapely.geometry.base import BaseGeometry

from geometry.arrival import aim_at
from geometry.descent import Descents, FallingFloor
from geometry.errors import GeometryRefused
from geometry.ground import Ground, common_cells, common_shape_of, joint_shape_of
from geometry.rest import Rest, contacts_m3, run_to_rest
from geometry.running import Running

Floats = NDArray[np.float64]
Numbers = NDArray[np.int64]
Flags = NDArray[np.bool_]


@dataclass(frozen=True)
class Wet:
    """What one spill wets, under one or both readings of what is unknown and as one tongue or several.

    Parameters
    ----------
    area_m2 : float
        Wet area [m²], as cells; the largest of them.
    depth_m : float
        Greatest depth at rest [m].
    lost_m3 : float
        The most that runs off the mapped floor [m³].
    """

    area_m2: float
    depth_m: float
    lost_m3: float
    _on: tuple[tuple[Ground, Numbers], ...]
    _film_m: float

    @cached_property
    def shape(self) -> Polygon | MultiPolygon:
        """What is wet in any of them [m]; drawn when it is first asked for."""
        return joint_shape_of(self._on, self._film_m)

    @cached_property
    def common_shape(self) -> Polygon | MultiPolygon:
        """What is wet in all of them [m]; drawn when it is first asked for."""
        return common_shape_of(self._on, self._film_m)

    @property
    def common_m2(self) -> float:
        """Area that is wet in all of them [m²], as cells."""
        return len(common_cells(self._on)) * self._on[0][0].cell_m2


def joined(wet: Sequence[Wet]) -> Wet:
    """Put together what one spill wets as one tongue or another.

    Parameters
    ----------
    wet : sequence of Wet
        On one floor, with one film.

    Returns
    -------
    Wet

    Raises
    ------
    GeometryRefused
        If there is none, or the films differ.
    """
    if len({each._film_m for each in wet}) != 1:
        raise GeometryRefused(f"wet areas to join: expected some with one film, found {len(wet)} with several or none")
    return Wet(
        area_m2=max(each.area_m2 for each in wet),
        depth_m=max(each.depth_m for each in wet),
        lost_m3=max(each.lost_m3 for each in wet),
        _on=tuple(one for each in wet for one in each._on),
        _film_m=wet[0]._film_m,
    )


class ManyDescents:
    """Spills from many places on one falling floor.

    Parameters
    ----------
    falling : FallingFloor
        The floor.
    places : sequence of Point
        Where liquid is let out [m]; moved at most 0.2 m where they lie on a barrier. Spills name a place by its row.

    Raises
    ------
    GeometryRefused
        If there is no free floor within 0.2 m of one of them.
    """

    def __init__(self, falling: FallingFloor, places: Sequence[Point]) -> None:
        self.falling = falling
        self._sources = [falling.floor.free_place(place) for place in places]
        self._cells: dict[tuple[bool, int], Numbers] = {}

    @property
    def readings(self) -> tuple[bool, ...]:
        """The readings of what is unknown that differ: `cautious` or not."""
        return (True,) if self.falling.floor.passing is self.falling.floor.holding else (True, False)

    def needed_m3(
        self,
        place: Numbers,
        volume_m3: Floats,
        targets: Sequence[BaseGeometry],
        tolerance_m: Floats,
        film_m: float,
        running: Running,
        *,
        cautious: bool,
    ) -> Floats:
        """Find how much lies on the floor before the liquid of many spills gets to targets.

        Parameters
        ----------
        place : (k,) array of int
            Row of the place of each spill.
        volume_m3 : (k,) array
            How much is let out there [m³].
        targets : sequence of BaseGeometry
            Drains, doors or footprints, m of them [m].
        tolerance_m : (k, m) array
            By how much each may be nearer than recorded [m].
        film_m, running, cautious : float, Running, bool
            As in `Descents.descent`.

        Returns
        -------
        (k, m) array
            As `Descents.needed_m3` says one by one [m³]; infinite where this much does not get there.

        Raises
        ------
        GeometryRefused
            If a number is out of range or a target empty.
        """
        return self._needed_m3(place, volume_m3, targets, tolerance_m, film_m, running, cautious=cautious)[0]

    def most_m3(
        self,
        place: Numbers,
        volume_m3: Floats,
        targets: Sequence[BaseGeometry],
        tolerance_m: Floats,
        thin_m: float,
        thick_m: float,
        running: Running,
        *,
        cautious: bool,
    ) -> tuple[Floats, Flags]:
        """Find the most of many spills that gets to targets with any film of a range.

        Parameters
        ----------
        place, volume_m3, targets, tolerance_m : array, array, sequence, array
            As in `needed_m3`.
        thin_m, thick_m : float
            Ends of the range [m].
        running, cautious : Running, bool
            As in `needed_m3`.

        Returns
        -------
        (k, m) array
            What does not lie on the way [m³], an upper bound; above 0 wherever `Descents.reaches_within` says that it
            gets there, else 0.
        (k,) array of bool
            Whether it comes near anything of which nobody knows whether it is tight. What does not runs the same way
            under both readings.

        Raises
        ------
        GeometryRefused
            If a number is out of range, the ends are the wrong way round, or a target is empty.

        Notes
        -----
        A film as deep as a lip is tried only for what comes near a lip with the thin film, which goes farther.
        """
        lips_m = self.lips_m(thin_m, thick_m, cautious=cautious)
        needed, beside = self._needed_m3(place, volume_m3, targets, tolerance_m, thin_m, running, cautious=cautious)
        most = arriving_m3(volume_m3, needed)
        rows = np.flatnonzero(beside[:, 1])
        for lip_m in lips_m if len(rows) else ():
            over = self.needed_m3(
                place[rows], volume_m3[rows], targets, tolerance_m[rows], lip_m, running, cautious=cautious
            )
            most[rows] = np.maximum(most[rows], arriving_m3(volume_m3[rows], over))
        return most, beside[:, 0]

    def lips_m(self, thin_m: float, thick_m: float, *, cautious: bool) -> tuple[float, ...]:
        """Find the films of a range that go over something a thinner one does not.

        Parameters
        ----------
        thin_m, thick_m : float
            Ends of the range [m].
        cautious : bool
            As in `needed_m3`.

        Returns
        -------
        tuple of float
            Every lip height above the thin end [m]: with that end they are what `Descents.reaches_within` tries.

        Raises
        ------
        GeometryRefused
            If the ends are the wrong way round.
        """
        if thin_m > thick_m:
            raise GeometryRefused(f"film range: expected the thin end first, found {thin_m} to {thick_m} m")
        return tuple(step for step in self.falling.floor.flow(cautious=cautious).steps_m if thin_m < step <= thick_m)

    def critical_depths_m(
        self,
        place: Numbers,
        volume_m3: Floats,
        targets: Sequence[BaseGeometry],
        tolerance_m: Floats,
        from_m: Floats,
        short_m: Floats,
        running: Running,
        *,
        cautious: bool,
    ) -> Floats:
        """Find the deepest films with which many spills just reach targets.

        Parameters
        ----------
        place, volume_m3, targets, tolerance_m : array, array, sequence, array
            As in `needed_m3`.
        from_m : (k, m) array
            Films thinner than this are not tried [m]; infinite where none is.
        short_m : (k, m) array
            Films known not to get there [m]; infinite where none is known.
        running, cautious : Running, bool
            As in `needed_m3`.

        Returns
        -------
        (k, m) array
            As `Descents.critical_depth_m` says one by one [m]; not a number where no film that is tried gets there.

        Raises
        ------
        GeometryRefused
            If a number is out of range or a target empty.
        """
        near_m = _checked(place, volume_m3, tolerance_m, len(targets))
        found = np.full(near_m.shape, math.nan)
        first_cells = (
            self._cells_at(self.falling.ground(cautious=cautious), 1e-9) if np.isfinite(from_m).any() else None
        )
        known: dict[tuple[int, float, int, float, float, float], float] = {}
        for row, column in np.argwhere(np.isfinite(from_m)).tolist():
            source = int(place[row])
            # Drums in one cell share their ways; a deeper film may begin in another cell beside a low lip.
            cell = -1 - source if first_cells is None or self._has_lips(cautious=cautious) else int(first_cells[source])
            tolerance, least, short = (float(each[row, column]) for each in (near_m, from_m, short_m))
            key = cell, float(volume_m3[row]), column, tolerance, least, short
            if key not in known:
                depth_m = Descents(self.falling, self._sources[source]).critical_depth_m(
                    key[1],
                    targets[column],
                    running,
                    cautious=cautious,
                    tolerance_m=key[3],
                    from_m=key[4],
                    short_m=key[5],
                )
                known[key] = math.nan if depth_m is None else depth_m
            found[row, column] = known[key]
        return found

    def wet(
        self,
        place: Numbers,
        volume_m3: Floats,
        film_m: float,
        running: Running,
        *,
        readings: Sequence[bool],
    ) -> list[Wet]:
        """Let many volumes come to rest, each alone.

        Parameters
        ----------
        place, volume_m3 : array, array
            As in `needed_m3`.
        film_m, running : float, Running
            As in `needed_m3`.
        readings : sequence of bool
            What `cautious` is: one reading, or both together.

        Returns
        -------
        list of Wet
            As `Descents.descent` says one by one. Spills of one volume from one cell share one.

        Raises
        ------
        GeometryRefused
            If a number is out of range.
        """
        _checked(place, volume_m3, np.zeros((len(place), 0)), 0)
        grounds = list({id(each): each for each in (self.falling.ground(cautious=how) for how in readings)}.values())
        sources = np.column_stack([self._cells_at(ground, film_m)[place] for ground in grounds])
        known: dict[tuple[object, ...], Wet] = {}
        found = []
        for cells, volume in zip(sources.tolist(), volume_m3.tolist(), strict=True):
            key = (*cells, volume)
            if key not in known:
                known[key] = self._wet(list(zip(grounds, cells, strict=True)), volume, film_m, running)
            found.append(known[key])
        return found

    def _needed_m3(
        self,
        place: Numbers,
        volume_m3: Floats,
        targets: Sequence[BaseGeometry],
        tolerance_m: Floats,
        film_m: float,
        running: Running,
        *,
        cautious: bool,
    ) -> tuple[Floats, Flags]:
        """Find what `needed_m3` says, and whether each spill comes beside what is marked on the floor."""
        asked = _checked(place, volume_m3, tolerance_m, len(targets))
        if not asked.size:
            return np.zeros(asked.shape), np.zeros((len(place), 2), dtype=np.bool_)
        ground = self.falling.ground(cautious=cautious)
        pairs = [(column, each) for column in range(len(targets)) for each in np.unique(asked[:, column]).tolist()]
        aims = [aim_at(self.falling.floor.mapped, targets[column], each) for column, each in pairs]
        spills = np.column_stack([self._cells_at(ground, film_m)[place], volume_m3])
        alone, row = np.unique(spills, axis=0, return_inverse=True)
        on_map = [ground.cells_touching(aim.target, film_m, widened_m=aim.tolerance_m) for aim in aims if aim.target]
        needed, lost_at, beside = self._contacts_m3(
            ground, alone[:, 0].astype(np.int64), np.ascontiguousarray(alone[:, 1]), film_m, running, on_map
        )
        found, columns = np.full(asked.shape, math.inf), iter(needed.T)
        for (column, each), aim in zip(pairs, aims, strict=True):
            whole = lost_at if aim.target is None else next(columns)
            found[:, column] = np.where(asked[:, column] == each, whole[row.ravel()], found[:, column])
        return found, beside[row.ravel()]

    def _contacts_m3(
        self,
        ground: Ground,
        sources: Numbers,
        volume_m3: Floats,
        film_m: float,
        running: Running,
        targets: Sequence[Numbers],
    ) -> tuple[Floats, Floats, Flags]:
        """Find contacts as `rest.contacts_m3` does; what is known to have got nowhere near them does not run again."""
        needed, lost_at = np.full((len(sources), len(targets)), math.inf), np.full(len(sources), math.inf)
        there = np.zeros(ground.tiles, dtype=np.bool_)
        for cells in targets:
            there[ground.tiles_of(cells)] = True
        again, beside = np.ones(len(sources), dtype=np.bool_), np.zeros((len(sources), 2), dtype=np.bool_)
        for row, (cell, volume) in enumerate(zip(sources.tolist(), volume_m3.tolist(), strict=True)):
            trace = self.falling.traces.get(self._key(ground, cell, volume, film_m, running))
            if trace is not None:
                again[row], lost_at[row] = there[trace.tiles].any(), trace.lost_at_m3
                beside[row] = trace.unknown, trace.low
        if again.any():
            some, lost_at[again] = contacts_m3(
                ground, sources[again], volume_m3[again], film_m, running, [*targets, *self.falling.marked]
            )
            needed[again], beside[again] = some[:, :-2], np.isfinite(some[:, -2:])
        return needed, lost_at, beside

    def _wet(self, sources: Sequence[tuple[Ground, int]], volume_m3: float, film_m: float, running: Running) -> Wet:
        runs: list[tuple[Ground, Rest]] = []
        for ground, cell in sources:
            first = self.falling.traces.get(self._key(*sources[0], volume_m3, film_m, running)) if runs else None
            if first is None or first.unknown or cell != sources[0][1]:
                runs.append((ground, run_to_rest(ground, cell, volume_m3, film_m, running)))
                first = self.falling.trace_of(*runs[-1])
            # What comes near nothing unknown runs the same way under both readings.
            self.falling.traces.put(self._key(ground, cell, volume_m3, film_m, running), first)
        wet = [(ground, rest.cells[rest.depths_m > 0]) for ground, rest in runs]
        return Wet(
            area_m2=max(len(cells) * ground.cell_m2 for ground, cells in wet),
            depth_m=max(float(rest.depths_m.max(initial=0.0)) for _, rest in runs),
            lost_m3=max(rest.lost_m3 for _, rest in runs),
            _on=tuple(wet),
            _film_m=film_m,
        )

    def _key(self, ground: Ground, cell: int, volume_m3: float, film_m: float, running: Running) -> tuple[object, ...]:
        return film_m, running, ground.flow is self.falling.floor.passing, cell, volume_m3

    def _has_lips(self, *, cautious: bool) -> bool:
        return len(self.falling.floor.flow(cautious=cautious).steps_m) > 1

    def _cells_at(self, ground: Ground, film_m: float) -> Numbers:
        """Cells in which liquid from each place begins to run."""
        key = ground.flow is self.falling.floor.passing, ground.flow.step_at(film_m)
        if key not in self._cells:
            self._cells[key] = np.array([ground.cell_of(each, film_m) for each in self._sources], dtype=np.int64)
        return self._cells[key]


def arriving_m3(volume_m3: Floats, needed_m3: Floats) -> Floats:
    """Find the most of spills that gets to targets from what it takes to get there.

    Parameters
    ----------
    volume_m3 : (k,) array
        What is let out [m³].
    needed_m3 : (k, m) array
        What lies on the floor before it is there [m³]; infinite where it does not get there.

    Returns
    -------
    (k, m) array
        In cubic metres; 0 where it does not get there, and above 0 where it does, be it with the last drop.
    """
    volumes = volume_m3[:, None]
    left = np.maximum(volumes - needed_m3, np.spacing(volumes))
    return np.asarray(np.where(np.isfinite(needed_m3), left, 0.0))


def _checked(place: Numbers, volume_m3: Floats, tolerance_m: Floats, targets: int) -> Floats:
    if not np.isfinite(volume_m3).all() or (volume_m3 < 0).any():
        raise GeometryRefused("spilt volumes: expected 0 m³ or more, found less or not a number")
    if not np.isfinite(tolerance_m).all() or (tolerance_m < 0).any():
        raise GeometryRefused("tolerance: expected 0 m or more, found less or not a number")
    if len(volume_m3) != len(place) or tolerance_m.shape != (len(place), targets):
        raise GeometryRefused(
            f"spills: expected {len(place)} volumes and {len(place)} × {targets} tolerances, found {len(volume_m3)} "
            f"and {' × '.join(map(str, tolerance_m.shape))}"
        )
    return tolerance_m
