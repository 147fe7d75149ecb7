"""Which of many footprints are too near one another, stand above one another, or whose liquids meet."""

import math
from collections.abc import Callable, Collection, Hashable, Iterable, Sequence
from dataclasses import dataclass
from typing import TypeVar

import numpy as np
import shapely
from scipy.spatial import cKDTree
from shapely import MultiPolygon, Polygon

from geometry.constants import TOUCH_M2
from geometry.errors import GeometryRefused
from geometry.shapes import checked_shape
from geometry.spill_reach import Pool

Reacting = Callable[[int, int], bool] | Collection[tuple[int, int]]
Key = TypeVar("Key", bound=Hashable)

_ROUNDING_M = 1e-9  # so that 0.40 m apart counts as within 0.40 m


@dataclass(frozen=True, slots=True)
class Neighbour:
    """Two footprints that react and how far apart they are.

    Parameters
    ----------
    i, j : int
        Their indices, the smaller first.
    separation_m : float
        Straight gap, edge to edge [m]; 0 where they touch or overlap.
    """

    i: int
    j: int
    separation_m: float


@dataclass(frozen=True, slots=True)
class Stacked:
    """One footprint above another.

    Parameters
    ----------
    upper, lower : int
        Their indices.
    overlap_m2 : float
        Area over which one stands above the other [m²].
    """

    upper: int
    lower: int
    overlap_m2: float


def pairs_within(footprints: Sequence[Polygon], reacting: Reacting, limit_m: float) -> list[Neighbour]:
    """Find all reacting pairs that stand no farther apart than a limit.

    Parameters
    ----------
    footprints : sequence of Polygon
        In metres; may be empty.
    reacting : callable or collection of (int, int)
        Whether two indices react, asked with the smaller first; or the pairs that do, in either order.
    limit_m : float
        Largest gap, edge to edge [m]; a pair exactly that far apart is among them.

    Returns
    -------
    list of Neighbour
        Nearest first.

    Raises
    ------
    GeometryRefused
        If the limit is negative or not a number, or a footprint empty or not finite.

    Notes
    -----
    Straight distance through whatever stands between. Chemistry comes from the caller.
    """
    if math.isnan(limit_m) or limit_m < 0:
        raise GeometryRefused(f"separation limit: expected 0 m or more, found {limit_m}")
    for number, footprint in enumerate(footprints):
        checked_shape(footprint, name=f"footprint {number}")
    first, second = _candidates(footprints, limit_m)
    if not len(first):
        return []
    shapes = np.array(footprints, dtype=object)
    gaps = shapely.distance(shapes[first], shapes[second])
    reacts = _asked(reacting)
    found = [
        Neighbour(i, j, gap)
        for i, j, gap in zip(first.tolist(), second.tolist(), gaps.tolist(), strict=True)
        if gap <= limit_m + _ROUNDING_M and reacts(i, j)
    ]
    return sorted(found, key=lambda pair: (pair.separation_m, pair.i, pair.j))


def separation_m(a: Polygon, b: Polygon) -> float:
    """Straight gap between two footprints, edge to edge, through whatever stands between.

    Parameters
    ----------
    a, b : Polygon
        Footprints [m].

    Returns
    -------
    float
        In metres; 0 where they touch or overlap.

    Raises
    ------
    GeometryRefused
        If one is empty or not finite.
    """
    return checked_shape(a, name="footprint").distance(checked_shape(b, name="footprint"))


def stands_above(upper: Polygon, upper_base_m: float, lower: Polygon, lower_base_m: float) -> bool:
    """Whether something stands above something else, so that what leaks from it drips there.

    Parameters
    ----------
    upper, lower : Polygon
        Footprints [m].
    upper_base_m, lower_base_m : float
        Heights of their undersides above the floor [m].

    Returns
    -------
    bool
        True if the first is higher and the footprints share more than a square centimetre.

    Raises
    ------
    GeometryRefused
        If a footprint is empty, or a number not finite.
    """
    return bool(stacks([upper, lower], [upper_base_m, lower_base_m])[:1] == [Stacked(0, 1, _shared_m2(upper, lower))])


def stacks(footprints: Sequence[Polygon], bases_m: Sequence[float]) -> list[Stacked]:
    """Find everything that stands above something else.

    Parameters
    ----------
    footprints : sequence of Polygon
        In metres; may be empty.
    bases_m : sequence of float
        Height of the underside of each above the floor [m].

    Returns
    -------
    list of Stacked
        In order of the upper index, then the lower. Everything below counts, not only what is next below.

    Raises
    ------
    GeometryRefused
        If there are not as many heights as footprints, one is not finite, or a footprint is empty.
    """
    if len(footprints) != len(bases_m):
        raise GeometryRefused(f"heights: expected {len(footprints)}, one per footprint, found {len(bases_m)}")
    for number, (footprint, base_m) in enumerate(zip(footprints, bases_m, strict=True)):
        checked_shape(footprint, name=f"footprint {number}")
        if not math.isfinite(base_m):
            raise GeometryRefused(f"height of footprint {number}: expected a finite height, found {base_m}")
    first, second = _candidates(footprints, 0.0)
    found = []
    for i, j in zip(first.tolist(), second.tolist(), strict=True):
        shared = _shared_m2(footprints[i], footprints[j])
        if shared > TOUCH_M2 and bases_m[i] != bases_m[j]:
            upper, lower = (i, j) if bases_m[i] > bases_m[j] else (j, i)
            found.append(Stacked(upper, lower, shared))
    return sorted(found, key=lambda pair: (pair.upper, pair.lower))


def liquids_meet(pool_a: Pool | Polygon | MultiPolygon, pool_b: Pool | Polygon | MultiPolygon) -> bool:
    """Whether two pools wet common floor.

    Parameters
    ----------
    pool_a, pool_b : Pool, Polygon or MultiPolygon
        Pools or their shapes [m]; an empty one meets nothing.

    Returns
    -------
    bool
        True if they share more than a square centimetre. Pools that touch along a wall between them do not meet.
    """
    return meeting_m2(pool_a, pool_b) > TOUCH_M2


def meeting_m2(pool_a: Pool | Polygon | MultiPolygon, pool_b: Pool | Polygon | MultiPolygon) -> float:
    """Area that two pools both wet.

    Parameters
    ----------
    pool_a, pool_b : Pool, Polygon or MultiPolygon
        Pools or their shapes [m].

    Returns
    -------
    float
        Area [m²].
    """
    a, b = (pool.shape if isinstance(pool, Pool) else pool for pool in (pool_a, pool_b))
    return float(a.intersection(b).area) if shapely.intersects(a, b) else 0.0


def joined(members: Iterable[Key], links: Iterable[tuple[Key, Key]]) -> list[frozenset[Key]]:
    """Group what is joined, directly or through others: sumps by pipes, pools by drains.

    Parameters
    ----------
    members : iterable
        Everything there is. What has no link is a group by itself.
    links : iterable of pairs
        What is joined to what; both ends must be members.

    Returns
    -------
    list of frozenset
        In the order in which the first member of each group was given.

    Raises
    ------
    GeometryRefused
        If a link has an end that is no member.
    """
    order = list(dict.fromkeys(members))
    leader: dict[Key, Key] = {member: member for member in order}

    def leader_of(member: Key) -> Key:
        while leader[member] != member:
            leader[member] = leader[leader[member]]
            member = leader[member]
        return member

    for a, b in links:
        for end in (a, b):
            if end not in leader:
                raise GeometryRefused(f"link: expected an end that is listed, found {end!r}")
        leader[leader_of(b)] = leader_of(a)
    groups: dict[Key, list[Key]] = {}
    for member in order:
        groups.setdefault(leader_of(member), []).append(member)
    return [frozenset(group) for group in groups.values()]


def _candidates(footprints: Sequence[Polygon], limit_m: float) -> tuple[np.ndarray, np.ndarray]:
    """Pairs whose enclosing circles come within the limit: far cheaper than distances between areas."""
    nothing = np.empty(0, dtype=np.int64)
    if len(footprints) < 2:
        return nothing, nothing
    bounds = np.array([footprint.bounds for footprint in footprints])
    centres = (bounds[:, :2] + bounds[:, 2:]) / 2
    radii = np.hypot(*(bounds[:, 2:] - bounds[:, :2]).T) / 2
    if math.isinf(limit_m):
        first, second = np.triu_indices(len(footprints), 1)
        return first, second
    pairs = cKDTree(centres).query_pairs(limit_m + 2 * radii.max() + _ROUNDING_M, output_type="ndarray")
    first, second = pairs[:, 0], pairs[:, 1]
    apart = np.hypot(*(centres[first] - centres[second]).T)
    near = apart <= limit_m + radii[first] + radii[second] + _ROUNDING_M
    return np.minimum(first, second)[near], np.maximum(first, second)[near]


def _asked(reacting: Reacting) -> Callable[[int, int], bool]:
    if callable(reacting):
        return reacting
    listed = {(min(pair), max(pair)) for pair in reacting}
    return lambda i, j: (i, j) in listed


def _shared_m2(a: Polygon, b: Polygon) -> float:
    return float(a.intersection(b).area)
