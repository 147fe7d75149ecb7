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
from geometry.ground import Ground, joint_shape_of
from geometry.rest import contacts_m3, run_to_rest
from geometry.running import Running

Floats = NDArray[np.float64]
Numbers = NDArray[np.int64]
Flags = NDArray[np.bool_]


@dataclass(frozen=True)
class Wet:
    """What one spill wets under one or both readings of what is unknown.

    Parameters
    ----------
    area_m2 : float
        Wet area [m²], as cells; the larger of both.
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
        """What is wet under either [m]; drawn when it is first asked for."""
        return joint_shape_of(self._on, self._film_m)


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
        asked = _checked(place, volume_m3, tolerance_m, len(targets))
        if not asked.size:
            return np.full(asked.shape, math.inf)
        ground = self.falling.ground(cautious=cautious)
        pairs = [(column, each) for column in range(len(targets)) for each in np.unique(asked[:, column]).tolist()]
        aims = [aim_at(self.falling.floor.mapped, targets[column], each) for column, each in pairs]
        spills = np.column_stack([self._cells_at(ground, film_m)[place], volume_m3])
        alone, row = np.unique(spills, axis=0, return_inverse=True)
        on_map = [ground.cells_touching(aim.target, film_m, widened_m=aim.tolerance_m) for aim in aims if aim.target]
        needed, lost_at = contacts_m3(
            ground, alone[:, 0].astype(np.int64), np.ascontiguousarray(alone[:, 1]), film_m, running, on_map
        )
        found, columns = np.full(asked.shape, math.inf), iter(needed.T)
        for (column, each), aim in zip(pairs, aims, strict=True):
            whole = lost_at if aim.target is None else next(columns)
            found[:, column] = np.where(asked[:, column] == each, whole[row.ravel()], found[:, column])
        return found

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
        wanted: Flags,
        running: Running,
        *,
        cautious: bool,
    ) -> Floats:
        """Find the film depths at which many spills just reach targets.

        Parameters
        ----------
        place, volume_m3, targets : array, array, sequence
            As in `needed_m3`.
        wanted : (k, m) array of bool
            Which of them are worked out.
        running, cautious : Running, bool
            As in `needed_m3`.

        Returns
        -------
        (k, m) array
            As `Descents.critical_depth_m` says one by one [m]; not a number where not even a film of a micrometre gets
            there, and where it is not wanted.

        Raises
        ------
        GeometryRefused
            If a number is out of range or a target empty.
        """
        found = np.full((len(place), len(targets)), math.nan)
        first_cells = self._cells_at(self.falling.ground(cautious=cautious), 1e-9) if wanted.any() else None
        known: dict[tuple[int, float, int], float] = {}
        for row, column in np.argwhere(wanted).tolist():
            source = int(place[row])
            # Drums in one cell share their ways; a deeper film may begin in another cell beside a low lip.
            cell = -1 - source if first_cells is None or self._has_lips(cautious=cautious) else int(first_cells[source])
            key = cell, float(volume_m3[row]), column
            if key not in known:
                depth_m = Descents(self.falling, self._sources[source]).critical_depth_m(
                    key[1], targets[column], running, cautious=cautious
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
                known[key] = _wet(list(zip(grounds, cells, strict=True)), volume, film_m, running)
            found.append(known[key])
        return found

    def _has_lips(self, *, cautious: bool) -> bool:
        return len(self.falling.floor.flow(cautious=cautious).steps_m) > 1

    def _cells_at(self, ground: Ground, film_m: float) -> Numbers:
        """Cells in which liquid from each place begins to run."""
        key = ground.flow is self.falling.floor.passing, ground.flow.step_at(film_m)
        if key not in self._cells:
            self._cells[key] = np.array([ground.cell_of(each, film_m) for each in self._sources], dtype=np.int64)
        return self._cells[key]


def _wet(sources: Sequence[tuple[Ground, int]], volume_m3: float, film_m: float, running: Running) -> Wet:
    rests = [run_to_rest(ground, cell, volume_m3, film_m, running) for ground, cell in sources]
    under = [rest.depths_m > 0 for rest in rests]
    return Wet(
        area_m2=max(
            float(np.count_nonzero(wet)) * ground.cell_m2 for (ground, _), wet in zip(sources, under, strict=True)
        ),
        depth_m=max(float(rest.depths_m.max(initial=0.0)) for rest in rests),
        lost_m3=max(rest.lost_m3 for rest in rests),
        _on=tuple((ground, rest.cells[wet]) for (ground, _), rest, wet in zip(sources, rests, under, strict=True)),
        _film_m=film_m,
    )


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
