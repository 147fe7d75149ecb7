"""Many places on the floor as one film finds it: lengths along the floor, areas within them, and pools drawn."""

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import MultiPolygon, Point, Polygon
from shapely.geometry.base import BaseGeometry

from geometry.arrival import Aim
from geometry.errors import GeometryRefused
from geometry.layout import Layout, area_inside, areas_of, joined, quickly_joined
from geometry.shapes import disc
from geometry.turns import Approach

Floats = NDArray[np.float64]
Numbers = NDArray[np.int64]
Flags = NDArray[np.bool_]

_LOST = 1e-3  # more than that share of a pool is no rounding of its arcs
_QUARTER = 32  # corners of a drawn pool to a quarter turn, as `shapes.disc` draws them


@dataclass(frozen=True, slots=True)
class Spills:
    """How much is let out where.

    Parameters
    ----------
    place : (k,) array of int
        Rows of the places.
    volume_m3 : (k,) array
        How much is let out there [m³].
    """

    place: Numbers
    volume_m3: Floats


OnStep = Callable[[Spills, Flags, float, float], Floats]


class Origins:
    """Many places on one layout, which is what films of one step find.

    Parameters
    ----------
    layout : Layout
        The floor.
    at_m : (n, 2) array
        Places on free floor [m].
    step : int
        Which of `Flow.steps_m` the layout is for.

    Raises
    ------
    GeometryRefused
        If a place lies on no free floor.
    """

    def __init__(self, layout: Layout, at_m: Floats, step: int) -> None:
        self.layout = layout
        self.step = step
        self._at_m = at_m
        self.compartment = layout.compartments_at(at_m)
        if (self.compartment < 0).any():
            x, y = at_m[int(np.argmin(self.compartment))].tolist()
            raise GeometryRefused(f"source at ({x:g}, {y:g}): expected free floor, found none")
        self.faces_m2 = np.array([face.area for face in layout.compartments])
        self.area_m2: Floats = self.faces_m2[self.compartment]
        self.has_outlet: Flags = np.array([bool(ways) for ways in layout.outlets], dtype=np.bool_)[self.compartment]
        self._distances: dict[BaseGeometry | None, Floats] = {}
        self._near: dict[BaseGeometry | None, Floats] = {}
        self._lies_in: dict[BaseGeometry | None, Flags] = {}
        self._fronts: dict[tuple[float, bytes, bytes], tuple[Floats, Floats]] = {}

    @cached_property
    def _approach(self) -> Approach:
        return self.layout.turns.approach(self._at_m)

    def whence(self, spills: Spills, index: int) -> tuple[int, int, float]:
        """Say what a spill that covers its compartment is known by.

        Parameters
        ----------
        spills : Spills
            What is let out where.
        index : int
            Which of them.

        Returns
        -------
        tuple of (int, int, float)
            Step of films, compartment and volume [m³]: its place in the compartment no longer counts.
        """
        return (self.step, int(self.compartment[spills.place[index]]), float(spills.volume_m3[index]))

    def covers(self, spills: Spills, depth_m: float) -> Flags:
        """Whether each spill covers its compartment with a film.

        Parameters
        ----------
        spills : Spills
            k of them.
        depth_m : float
            Depth of the film [m].

        Returns
        -------
        (k,) array of bool
        """
        return np.asarray(spills.volume_m3 >= self.area_m2[spills.place] * depth_m)

    def distance_m(self, aim: Aim) -> Floats:
        """Find the lengths along the floor from every place to a target.

        Parameters
        ----------
        aim : Aim
            The target; its tolerance is not used.

        Returns
        -------
        (n,) array
            In metres; infinite where there is no way. Kept.
        """
        if aim.target not in self._distances:
            self._distances[aim.target] = (
                self._off_map_m() if aim.target is None else self._to_m(aim.target, np.arange(len(self._at_m)))
            )
        return self._distances[aim.target]

    def distances_m(self, aims: Sequence[Aim], place: Numbers) -> Floats:
        """Find the lengths along the floor from some of the places to targets.

        Parameters
        ----------
        aims : sequence of Aim
            m targets; their own tolerance is not used.
        place : (k,) array of int
            Rows of the places.

        Returns
        -------
        (k, m) array
            In metres; infinite where there is no way.
        """
        return columns([self.distance_m(aim)[place] for aim in aims], len(place))

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
        """Whether liquid that covers the compartment of each place has got to a target.

        Parameters
        ----------
        aim : Aim
            The target.

        Returns
        -------
        (n,) array of bool
            Kept.
        """
        if aim.target not in self._lies_in:
            faces = [aim.lies_in(self.layout, index) for index in range(len(self.layout.compartments))]
            self._lies_in[aim.target] = np.array(faces, dtype=np.bool_)[self.compartment]
        return self._lies_in[aim.target]

    def near_m2(self, aims: Sequence[Aim]) -> list[Floats]:
        """Find the floor that lies nearer than targets, measured for all at once.

        Parameters
        ----------
        aims : sequence of Aim
            m targets, where they are recorded.

        Returns
        -------
        list of (n,) array
            For each target and from every place [m²]. Kept.
        """
        asked = list({aim.target: aim for aim in aims if aim.target not in self._near}.values())
        if asked:
            lengths = np.column_stack([self.distance_m(aim) for aim in asked])
            areas = self.areas_m2(np.arange(len(self._at_m)), lengths)
            self._near |= {aim.target: areas[:, column] for column, aim in enumerate(asked)}
        return [self._near[aim.target] for aim in aims]

    def areas_m2(self, place: Numbers, radius_m: Floats) -> Floats:
        """Find the areas that lie no farther than lengths along the floor.

        Parameters
        ----------
        place : (k,) array of int
            Rows of places.
        radius_m : (k, m) array
            Lengths from them [m]; infinite takes in all that can be got to.

        Returns
        -------
        (k, m) array
            Areas [m²].
        """
        areas, _, _ = self._measured(place, radius_m, np.zeros((len(place), 0)))
        return areas

    def fronts_m(self, spills: Spills, depth_m: float) -> tuple[Floats, Floats]:
        """Find how far spills get that do not cover their compartments.

        Parameters
        ----------
        spills : Spills
            k of them.
        depth_m : float
            Depth of the film [m].

        Returns
        -------
        (k,) array
            Length along the floor up to which it is wet [m].
        (k,) array
            How far nothing is in the way [m].
        """
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
        self, spills: Spills, area_m2: Floats, radius_m: Floats, clear_m: Floats
    ) -> list[Polygon | MultiPolygon]:
        """Draw what lies within lengths of places.

        Parameters
        ----------
        spills : Spills
            k of them.
        area_m2 : (k,) array
            What each drawing holds [m²].
        radius_m : (k,) array
            The lengths [m].
        clear_m : (k,) array
            How far nothing is in the way [m].

        Returns
        -------
        list of Polygon or MultiPolygon
            In metres; empty where the length is none.
        """
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
        quick = quickly_joined(parts)
        return areas_of(quick if abs(quick.area - area_m2) <= _LOST * area_m2 else joined(parts))


def columns(found: Sequence[Floats], rows: int) -> Floats:
    """Put what was found for each target side by side.

    Parameters
    ----------
    found : sequence of (rows,) array
        For each of m targets.
    rows : int
        How many rows; counts where there are no targets.

    Returns
    -------
    (rows, m) array
    """
    return np.column_stack(found) if found else np.zeros((rows, 0))


def deepest(steps_m: Sequence[float], spills: Spills, targets: int, on_step: OnStep) -> Floats:
    """Find the deepest films with which liquid just gets to targets, from step to step of films.

    Parameters
    ----------
    steps_m : sequence of float
        Film depths at which something ceases to stop liquid, from 0 upward [m].
    spills : Spills
        k of them.
    targets : int
        How many targets, m.
    on_step : callable
        Given spills, which of their targets are still asked for as (k, m) array of bool, and both ends of a step [m],
        gives the deepest film of that step [m]: its upper end where every film gets there, not a number where none
        does.

    Returns
    -------
    (k, m) array
        In metres; not a number where thin films do not get there.
    """
    best = np.full((len(spills.place), targets), math.nan)
    asked = np.ones(best.shape, dtype=np.bool_)
    for low_m, high_m in pairwise([*steps_m, math.inf]):
        rows = np.flatnonzero(asked.any(axis=1))
        if not len(rows):
            break
        found = on_step(Spills(spills.place[rows], spills.volume_m3[rows]), asked[rows], low_m, high_m)
        known = asked[rows] & ~np.isnan(found)
        best[rows] = np.where(known, found, best[rows])
        asked[rows] = known & (found >= high_m)
    return best
