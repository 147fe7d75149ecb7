"""The least liquid it takes to get to a target where nobody knows which walls, doors and kerbs are tight.

Neither of the two readings of a floor is the worst for every target: what lets liquid through shortens the way, what
stops it narrows the floor that has to be wetted first, and one wall may do this while the next does that. The bound
here holds whichever of them do which, and wherever in one of them a gap may be.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise
from math import inf, isinf, nan

import numpy as np
import shapely
from shapely import MultiLineString, Point

from geometry.arrival import Aim
from geometry.constants import SNAP_M
from geometry.layout import CREST_STEP_M, Layout, Outlet
from geometry.origins import Flags, Floats, Numbers, Origins
from geometry.stretches import as_lines

_THINNEST_M, _DEEPEST_M = 1e-5, 1.0  # films between which the critical one is looked for
_RATIO = 1.2  # of one of them to the next


@dataclass(frozen=True, slots=True)
class Portal:
    """Where liquid may get from one compartment into the next.

    Parameters
    ----------
    inside, beyond : int
        Compartments of the floor on which everything unknown stops liquid; `beyond` is -1 off the mapped floor.
    height_m : float
        How high liquid stands inside before it gets over [m]; 0 where nothing known stops it.
    line : MultiLineString
        Where [m].
    stretches : tuple of int
        Indices of its stretches on that floor.
    """

    inside: int
    beyond: int
    height_m: float
    line: MultiLineString
    stretches: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Leg:
    """What it takes from rows of places, or from beyond each portal, to the next portal.

    Parameters
    ----------
    rows : (r,) array of int
        Which places or portals.
    area_m2 : (r,) array
        Floor wet before the liquid is there [m²].
    full_m3 : float
        What the compartment holds before it gets over [m³]; 0 where nothing known stops it.
    """

    rows: Numbers
    area_m2: Floats
    full_m3: float

    def volume_m3(self, film_m: float) -> Floats:
        """Find what it takes with a film of one depth.

        Parameters
        ----------
        film_m : float
            Depth of the film [m].

        Returns
        -------
        (r,) array
            Volumes [m³].
        """
        return np.maximum(film_m * self.area_m2, self.full_m3)


@dataclass(frozen=True, slots=True)
class Needs:
    """What it takes, at the least, from k places to m targets, by n portals.

    Parameters
    ----------
    direct_m2, direct_m3 : (k, m) array
        To a target in the compartment of the place: floor wet before [m²], and what else it takes [m³].
    settled : (k, m) array of bool
        Where that floor is wet whichever way the liquid comes.
    first : tuple of Leg
        From places to each portal of their compartment.
    between : tuple of Leg
        From beyond portals to each portal of the compartment there.
    last_m2, last_m3 : (n, m) array
        From beyond each portal to a target there: floor wet before [m²], and what else it takes [m³].
    """

    direct_m2: Floats
    direct_m3: Floats
    settled: Flags
    first: tuple[Leg, ...]
    between: tuple[Leg, ...]
    last_m2: Floats
    last_m3: Floats

    def volume_m3(self, film_m: float) -> Floats:
        """Find what lies on the floor, at the least, before liquid gets to targets.

        Parameters
        ----------
        film_m : float
            Depth of the film [m].

        Returns
        -------
        (k, m) array
            In cubic metres; infinite where it never gets there.
        """
        found = np.minimum(film_m * self.direct_m2, self.direct_m3)
        beyond = self._beyond_m3(film_m)
        for portal, leg in enumerate(self.first):
            through = np.where(self.settled[leg.rows], inf, leg.volume_m3(film_m)[:, None] + beyond[portal])
            found[leg.rows] = np.minimum(found[leg.rows], through)
        return found

    def critical_m(self, volume_m3: Floats, low_m: float, high_m: float) -> Floats:
        """Find the deepest film between two depths with which volumes get to targets.

        Parameters
        ----------
        volume_m3 : (k,) array
            What is let out at each place [m³].
        low_m, high_m : float
            Ends of a step of films [m].

        Returns
        -------
        (k, m) array
            In metres; `high_m` where the volume gets there with every film of the step, not a number where it does so
            with none. By way of portals a few per cent too deep at the most.
        """
        films_m = _films_m(low_m, high_m)
        volumes = volume_m3[:, None]
        needed = self.volume_m3(films_m[0])
        found = np.where(needed < volumes, films_m[0], nan)
        for thinner_m, deeper_m in pairwise(films_m):
            before, needed = needed, self.volume_m3(deeper_m)
            # The least of straight lines bends downward: a chord lies below it and gives a film that is too deep.
            with np.errstate(invalid="ignore", divide="ignore"):
                share = np.clip((volumes - before) / (needed - before), 0.0, 1.0)
            depth = np.where(needed < volumes, deeper_m, thinner_m + share * (deeper_m - thinner_m))
            found = np.where(before < volumes, depth, found)
        found = np.where((found >= films_m[-1]) & (films_m[-1] < high_m), high_m, found)
        with np.errstate(divide="ignore", invalid="ignore"):
            straight = np.where(self.direct_m2 > 0, volumes / self.direct_m2, inf)
        straight = np.where(np.isfinite(self.direct_m2) & (volumes > 0) & (straight >= low_m), straight, nan)
        return np.fmax(np.where(self.settled, nan, found), np.minimum(straight, high_m))

    def _beyond_m3(self, film_m: float) -> Floats:
        """What it takes from beyond each portal to each target, through any others (portals, targets)."""
        portals = len(self.first)
        through = np.full((portals, portals), inf)
        for number, leg in enumerate(self.between):
            through[leg.rows, number] = leg.volume_m3(film_m)
        np.fill_diagonal(through, 0.0)
        for number in range(portals):
            np.minimum(through, through[:, number, None] + through[number], out=through)
        last = np.minimum(film_m * self.last_m2, self.last_m3)
        found = np.full_like(last, inf)
        for number in range(portals):
            np.minimum(found, through[:, number, None] + last[number], out=found)
        return found


@dataclass(frozen=True, slots=True)
class _Entries:
    """Points just beyond every portal, on both readings; whose they are; how far apart those of a portal are [m]."""

    passing: Origins
    holding: Origins
    owner: Numbers
    apart_m: Floats


class UnknownBarriers:
    """Both readings of a floor under one step of films, and the least that has to lie between a place and a target.

    Parameters
    ----------
    passing : Origins
        The places where what is not known to be tight lets liquid through.
    holding : Origins
        The same places where it stops liquid.

    Notes
    -----
    Take any choice of which unknown barriers hold. Of each compartment that the liquid crosses, at least that floor is
    wet which lies, with everything in the way, nearer to where it came in than the way on lies with nothing unknown in
    the way. Over something known to be tight it gets only once the compartment before it is full to that height. What
    it takes is therefore never less than the least sum of these over all sequences of compartments. Where liquid comes
    in along a line, the sum is taken at points along it and lessened by their spacing.
    """

    def __init__(self, passing: Origins, holding: Origins) -> None:
        self._passing = passing
        self._holding = holding
        everywhere = _portals(passing.layout, holding.layout)
        self._portals = tuple(portal for portal in everywhere if portal.beyond >= 0)
        leaving = [portal for portal in everywhere if portal.beyond < 0]
        off_map = [line for portal in leaving if portal.height_m == 0 for line in portal.line.geoms]
        self._off_map = Aim(MultiLineString(off_map)) if off_map else None
        self._over_edge_m3 = np.full(len(holding.faces_m2), inf)  # to run off the map over something tight
        for portal in leaving:
            if portal.height_m > 0:
                full_m3 = self._full_m3(portal)
                self._over_edge_m3[portal.inside] = min(self._over_edge_m3[portal.inside], full_m3)

    def needs(self, place: Numbers, aims: Sequence[Aim], tolerance_m: float = 0.0) -> Needs:
        """Find what it takes, at the least, from places to targets.

        Parameters
        ----------
        place : (k,) array of int
            Rows of the places.
        aims : sequence of Aim
            m targets; their own tolerance is not used.
        tolerance_m : float
            By how much each may be nearer than recorded [m].

        Returns
        -------
        Needs
        """
        direct_m2 = np.full((len(place), len(aims)), inf)
        direct_m3 = direct_m2.copy()
        last_m2 = np.full((len(self._portals), len(aims)), inf)
        last_m3 = last_m2.copy()
        for column, aim in enumerate(aims):
            direct_m2[:, column] = self._to_m2(self._passing, self._holding, place, aim, tolerance_m)
            last_m2[:, column] = self._entered_m2(aim, tolerance_m)
            if aim.target is None:
                direct_m3[:, column] = self._over_edge_m3[self._holding.compartment[place]]
                last_m3[:, column] = [self._over_edge_m3[portal.beyond] for portal in self._portals]
        mapped = np.array([aim.target is not None for aim in aims], dtype=np.bool_)
        settled = np.isfinite(direct_m2) & mapped
        first, between = self._first(place, tolerance_m), self._between(tolerance_m)
        return Needs(direct_m2, direct_m3, settled, first, between, last_m2, last_m3)

    def _first(self, place: Numbers, tolerance_m: float) -> tuple[Leg, ...]:
        here = self._holding.compartment[place]
        legs = []
        for portal in self._portals:
            rows = np.flatnonzero(here == portal.inside)
            area_m2 = self._to_m2(self._passing, self._holding, place[rows], Aim(portal.line), tolerance_m)
            legs.append(Leg(rows, area_m2, self._full_m3(portal)))
        return tuple(legs)

    def _between(self, tolerance_m: float) -> tuple[Leg, ...]:
        legs = []
        for portal in self._portals:
            rows = np.flatnonzero([other.beyond == portal.inside for other in self._portals])
            area_m2 = self._entered_m2(Aim(portal.line), tolerance_m)[rows]
            legs.append(Leg(rows, area_m2, self._full_m3(portal)))
        return tuple(legs)

    def _full_m3(self, portal: Portal) -> float:
        return portal.height_m * float(self._holding.faces_m2[portal.inside])

    @cached_property
    def _entries(self) -> _Entries:
        layout = self._holding.layout
        found, owners = [np.zeros((0, 2))], []
        apart_m = np.full(len(self._portals), CREST_STEP_M)
        for number, portal in enumerate(self._portals):
            points = (
                layout.entry(Outlet(portal.beyond, portal.height_m, portal.stretches)).eyes
                if portal.height_m > 0
                else layout.crest(portal.stretches, portal.beyond)
            )
            # In the corner of a very acute angle a point beside one barrier lies beyond the other.
            inside = layout.compartments_at(points) == portal.beyond
            inside &= self._passing.layout.compartments_at(points) >= 0
            kept, lost = points[inside], shapely.points(points[~inside])
            if len(lost):
                apart_m[number] += 2 * shapely.distance(lost, shapely.multipoints(kept)).max() if len(kept) else inf
            found.append(kept)
            owners.extend([number] * len(kept))
        at_m = np.concatenate(found)
        return _Entries(
            Origins(self._passing.layout, at_m, self._passing.step),
            Origins(layout, at_m, self._holding.step),
            np.array(owners, dtype=np.int64),
            apart_m,
        )

    def _entered_m2(self, aim: Aim, tolerance_m: float) -> Floats:
        """Floor wet before liquid that came in by each portal gets to a target there, from the nearest point [m²]."""
        entries = self._entries
        rows = np.arange(len(entries.owner))
        slack_m = tolerance_m + entries.apart_m[entries.owner]
        # By a portal of which no point can be looked from, liquid may come in right beside the target.
        found = np.where(np.isinf(entries.apart_m), 0.0, inf)
        np.minimum.at(found, entries.owner, self._to_m2(entries.passing, entries.holding, rows, aim, slack_m))
        return found

    def _to_m2(self, passing: Origins, holding: Origins, rows: Numbers, aim: Aim, slack_m: Floats | float) -> Floats:
        """Floor of their own compartment wet before liquid from places gets to a target in it; infinite elsewhere."""
        found = np.full(len(rows), inf)
        if aim.target is None:
            if self._off_map is None:
                return found
            aim = self._off_map
        there = holding.lies_in(aim)[rows]
        # Where no way is seen, as along the foot of a wall, all of the compartment has to be wet.
        length_m = np.maximum((passing.distance_m(aim)[rows] - slack_m)[there], 0.0)
        found[there] = holding.areas_m2(rows[there], length_m[:, None])[:, 0]
        return found


def _films_m(low_m: float, high_m: float) -> list[float]:
    """Films of a step from thin to deep, close enough that what it takes may be taken as straight in between [m]."""
    least_m, most_m = max(low_m, _THINNEST_M), min(high_m, _DEEPEST_M)
    if most_m <= least_m:
        return [least_m]
    count = max(math.ceil(math.log(most_m / least_m) / math.log(_RATIO)), 1)
    return [float(film_m) for film_m in np.geomspace(least_m, most_m, count + 1)]


def _portals(passing: Layout, holding: Layout) -> tuple[Portal, ...]:
    """Group what parts the compartments of the holding floor by the two it parts and by what is known of it."""
    known = passing.stretches
    tight = shapely.STRtree([shapely.LineString(ends.reshape(2, 2)) for ends in known.ends])
    grouped: dict[tuple[int, int, float], list[int]] = {}
    for index in np.flatnonzero(holding.stops).tolist():
        sides = [-1 if side is None else side for side in holding.sides(index)]
        if sides[0] == sides[1]:
            continue
        middle = Point(holding.stretches.ends[index].reshape(2, 2).mean(axis=0))
        over = tight.query(middle, predicate="dwithin", distance=5 * SNAP_M)
        height_m = float(known.height_m[over].max(initial=0.0))
        height_m = height_m if height_m > passing.film_m else 0.0
        if isinf(height_m):
            continue
        for inside, beyond in (sides, sides[::-1]):
            if inside >= 0:
                grouped.setdefault((inside, beyond, height_m), []).append(index)
    found = []
    for (inside, beyond, height_m), stretches in sorted(grouped.items()):
        chosen = np.zeros(len(holding.stretches), dtype=np.bool_)
        chosen[stretches] = True
        found.append(Portal(inside, beyond, height_m, as_lines(holding.stretches, chosen), tuple(stretches)))
    return tuple(found)
