"""Which of many footprints are too near one another, stand above one another, or whose liquids meet."""

import math
from collections.abc import Callable, Collection, Hashable, Iterable, Sequence
from dataclasses import dataclass
from typing import Any, TypeVar

import numpy as np
import shapely
from numpy.typing import ArrayLike, NDArray
from scipy.spatial import cKDTree
from shapely import LineString, MultiPolygon, Polygon

from geometry.constants import TOUCH_M2
from geometry.errors import GeometryRefused
from geometry.shapes import checked_shape
from geometry.spill_reach import Pool

Reacting = Callable[[int, int], bool] | Collection[tuple[int, int]]
Key = TypeVar("Key", bound=Hashable)
Indices = NDArray[np.int64]
Shapes = NDArray[Any]
"""Shapes in an array of objects."""

_ROUNDING_M = 1e-9  # so that 0.40 m apart counts as within 0.40 m
_SIMPLER_M, _INSIDE_M = 0.02, 0.05
_FACING_M = 0.05  # sides that run so nearly alike face each other: nobody sets pallets down more truly (judgement)
"""How far the edge of a core may stray when it is made simpler, and by how much a core is smaller than its pool."""


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


@dataclass(frozen=True, slots=True, eq=False)
class Pairs:
    """Many pairs of things and how far apart they are, as arrays of one length.

    Parameters
    ----------
    first, second : (n,) array of int
        Indices of the two; the first is never the larger.
    gap_m : (n,) array of float
        Straight gap, edge to edge [m]; 0 where they touch or overlap.
    """

    first: Indices
    second: Indices
    gap_m: NDArray[np.float64]

    def __len__(self) -> int:
        return len(self.first)


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
    near = near_pairs(footprints, limit_m)
    reacts = _asked(reacting)
    found = [
        Neighbour(i, j, gap)
        for i, j, gap in zip(near.first.tolist(), near.second.tolist(), near.gap_m.tolist(), strict=True)
        if reacts(i, j)
    ]
    return sorted(found, key=lambda pair: (pair.separation_m, pair.i, pair.j))


def near_pairs(footprints: Sequence[Polygon], limit_m: float) -> Pairs:
    """Find all pairs that stand no farther apart than a limit.

    Parameters
    ----------
    footprints : sequence of Polygon
        In metres; may be empty.
    limit_m : float
        Largest gap, edge to edge [m]; a pair exactly that far apart is among them.

    Returns
    -------
    Pairs
        In order of the first index, then the second.

    Raises
    ------
    GeometryRefused
        If the limit is negative or not a number, or a footprint empty or not finite.

    Notes
    -----
    Straight distance through whatever stands between. Footprints that are equal, as those of stacked pallets are, are
    measured once.
    """
    every = np.zeros(len(footprints), dtype=np.int64)
    return reacting_pairs(footprints, every, np.array([[True]]), limit_m)


def reacting_pairs(
    footprints: Sequence[Polygon],
    kinds: ArrayLike,
    reacts: ArrayLike,
    limit_m: float,
    *,
    partitions: Sequence[LineString] = (),
) -> Pairs:
    """Find all pairs of reacting kinds that stand no farther apart than a limit.

    Parameters
    ----------
    footprints : sequence of Polygon
        In metres; may be empty.
    kinds : (n,) array_like of int
        The kind of what stands on each.
    reacts : (k, k) array_like of bool
        Whether one kind reacts with another; symmetric.
    limit_m : float
        Largest gap, edge to edge [m]; a pair exactly that far apart is among them.
    partitions : sequence of LineString
        Walls [m] that end the separation of what stands on their two sides: a pair whose straight line is crossed by
        one is left out.

    Returns
    -------
    Pairs
        In order of the first index, then the second.

    Raises
    ------
    GeometryRefused
        If the limit is negative or not a number, a footprint empty or not finite, there is not one kind per footprint,
        a kind is not in the table, or the table is not symmetric.

    Notes
    -----
    Chemistry comes from the caller. A wall that is no partition shortens and lengthens nothing.
    """
    kind = _checked_kinds(kinds, reacts, len(footprints))
    table = np.asarray(reacts, dtype=bool)
    if math.isnan(limit_m) or limit_m < 0:
        raise GeometryRefused(f"separation limit: expected 0 m or more, found {limit_m}")
    places, members = _distinct(footprints)
    one, other = _candidates(places, limit_m)
    gaps = shapely.distance(places[one], places[other])
    near = gaps <= limit_m + _ROUNDING_M
    one, other, gaps = one[near], other[near], gaps[near]
    if partitions:
        kept = ~parted(places, one, other, partitions)
        one, other, gaps = one[kept], other[kept], gaps[kept]
    first, second, which = _unfolded(members, one, other)
    gap_m = np.append(gaps, 0.0)[which]
    both = table[kind[first], kind[second]]
    first, second, gap_m = first[both], second[both], gap_m[both]
    order = np.argsort(first * len(footprints) + second, kind="stable")
    return Pairs(first[order], second[order], gap_m[order])


def parted(
    footprints: Sequence[Polygon] | Shapes, first: Indices, second: Indices, partitions: Sequence[LineString]
) -> NDArray[np.bool_]:
    """Whether a partition stands in every shortest straight line between two footprints.

    Parameters
    ----------
    footprints : sequence of Polygon
        In metres.
    first, second : (n,) array of int
        Indices of the two of each pair.
    partitions : sequence of LineString
        Walls that meet the partition rule [m].

    Returns
    -------
    (n,) array of bool
        False where the two touch: nothing stands between them.

    Notes
    -----
    Sides that face each other have many lines as short, or nearly so: one partition has to cross the first and the
    last of them. A wall that a line only touches with an end does not part them.
    """
    shapes = _array(footprints)
    ways = shapely.shortest_line(shapes[first], shapes[second])
    apart = shapely.length(ways) > 0
    found = np.zeros(len(first), dtype=bool)
    for partition in partitions:
        shapely.prepare(partition)
        for index in np.flatnonzero(apart & ~found & shapely.crosses(partition, ways)).tolist():
            between = _outermost(shapes[first[index]], shapes[second[index]], ways[index])
            found[index] = shapely.crosses(partition, between).all()
    return found


def _outermost(one: Polygon, other: Polygon, way: LineString) -> Shapes:
    """The first and the last of the straight lines between two footprints that are as good as the shortest one."""
    start, end = shapely.get_coordinates(way)
    along = (end - start) / math.hypot(*(end - start))
    across = np.array([-along[1], along[0]])
    sides = []
    for shape, place, towards in ((one, start, along), (other, end, -along)):
        corners = shapely.get_coordinates(shape) - place
        sides.append(corners[corners @ towards >= -_FACING_M] @ across)
    low = max(min(side.min(initial=0.0), 0.0) for side in sides)
    high = min(max(side.max(initial=0.0), 0.0) for side in sides)
    return _array([LineString([start + shift * across, end + shift * across]) for shift in (low, high)])


def nearest_by_group(pairs: Pairs, groups: ArrayLike) -> Pairs:
    """Reduce pairs to pairs of groups: of pallets, of storage zones.

    Parameters
    ----------
    pairs : Pairs
        Pairs of things.
    groups : (n,) array_like of int
        The group of each thing, 0 or more.

    Returns
    -------
    Pairs
        One per pair of groups, in order of the first, then the second; the gap is that of the nearest pair [m]. What
        is near within one group is a pair of that group with itself.

    Raises
    ------
    GeometryRefused
        If a thing of a pair has no group.
    """
    of = np.asarray(groups, dtype=np.int64)
    if len(pairs) and (int(pairs.second.max()) >= len(of) or (len(of) and of.min() < 0)):
        raise GeometryRefused(f"groups: expected one for each of {int(pairs.second.max()) + 1}, found {len(of)}")
    if not len(pairs):
        return pairs
    one, other = of[pairs.first], of[pairs.second]
    count = int(of.max()) + 1
    keys = np.minimum(one, other) * count + np.maximum(one, other)
    order = np.argsort(keys, kind="stable")
    found, starts = np.unique(keys[order], return_index=True)
    return Pairs(found // count, found % count, np.minimum.reduceat(pairs.gap_m[order], starts))


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
    return any(pair.upper == 0 for pair in stacks([upper, lower], [upper_base_m, lower_base_m]))


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
    bases = np.asarray(bases_m, dtype=np.float64)
    if not np.isfinite(bases).all():
        number = int(np.flatnonzero(~np.isfinite(bases))[0])
        raise GeometryRefused(f"height of footprint {number}: expected a finite height, found {bases_m[number]}")
    places, members = _distinct(footprints)
    one, other = _candidates(places, 0.0)
    first, second, which = _unfolded(members, one, other)
    shared = np.append(_shared_m2(places[one], places[other]), np.nan)[which]
    same = which == len(one)
    shared[same] = shapely.area(_array(footprints)[first[same]])
    above = (shared > TOUCH_M2) & (bases[first] != bases[second])
    upper = np.where(bases[first] > bases[second], first, second)[above]
    lower = np.where(bases[first] > bases[second], second, first)[above]
    found = zip(upper.tolist(), lower.tolist(), shared[above].tolist(), strict=True)
    return sorted((Stacked(*each) for each in found), key=lambda pair: (pair.upper, pair.lower))


def meeting_pairs(shapes: Sequence[Polygon | MultiPolygon] | Shapes) -> tuple[Indices, Indices]:
    """Find all pairs of pools that wet common floor.

    Parameters
    ----------
    shapes : sequence of Polygon or MultiPolygon
        Pools [m]; an empty one meets nothing.

    Returns
    -------
    first, second : (n,) array of int
        Their indices, the smaller first, in order of the first, then the second.

    Notes
    -----
    Says of each pair what `liquids_meet` says of it.
    """
    pools = _array(shapes)
    first, second = shapely.STRtree(pools).query(pools) if len(pools) else np.empty((2, 0), dtype=np.int64)
    ahead = first < second
    first, second = first[ahead], second[ahead]
    meets = meeting(pools, first, second)
    first, second = first[meets], second[meets]
    order = np.lexsort((second, first))
    return first[order], second[order]


def meeting(shapes: Sequence[Polygon | MultiPolygon] | Shapes, first: Indices, second: Indices) -> NDArray[np.bool_]:
    """Whether pools wet common floor, for many pairs at once.

    Parameters
    ----------
    shapes : sequence of Polygon or MultiPolygon
        Pools [m]; an empty one meets nothing.
    first, second : (n,) array of int
        Indices of the two of each pair.

    Returns
    -------
    (n,) array of bool
        What `liquids_meet` says of each.

    Notes
    -----
    Where pairs are many, a core is cut from each pool first: its edge made simpler by at most 20 mm, then moved
    inward by 50 mm (35 mm beside an inner corner). A point of two cores lies 15 mm or more inside both pools, so that
    they share at least π (15 mm)² = 7 cm² there. Only pools that touch and whose cores do not are cut with one another.
    """
    pools = _array(shapes)
    meets = np.zeros(len(first), dtype=bool)
    west, south, east, north = shapely.bounds(pools).T
    unsure = np.flatnonzero(
        (west[first] <= east[second])
        & (west[second] <= east[first])
        & (south[first] <= north[second])
        & (south[second] <= north[first])
    )
    if len(unsure) > len(pools):
        cores = shapely.buffer(shapely.simplify(pools, _SIMPLER_M), -_INSIDE_M, quad_segs=1, join_style="mitre")
        shapely.prepare(cores)
        meets[unsure] = shapely.intersects(cores[first[unsure]], cores[second[unsure]])
        unsure = unsure[~meets[unsure]]
    asked = pools[np.unique(first[unsure])]
    shapely.prepare(asked)
    unsure = unsure[shapely.intersects(pools[first[unsure]], pools[second[unsure]])]
    meets[unsure] = _shared_m2(pools[first[unsure]], pools[second[unsure]]) > TOUCH_M2
    shapely.destroy_prepared(asked)  # an index beside every pool would outlive the question
    return meets


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


def _checked_kinds(kinds: ArrayLike, reacts: ArrayLike, count: int) -> Indices:
    kind = np.asarray(kinds, dtype=np.int64)
    table = np.asarray(reacts, dtype=bool)
    if kind.shape != (count,):
        raise GeometryRefused(f"kinds: expected {count}, one per footprint, found {kind.size}")
    if table.ndim != 2 or table.shape[0] != table.shape[1] or not np.array_equal(table, table.T):
        raise GeometryRefused(f"table of reactions: expected a symmetric one, found {table.shape} that is not")
    if count and not 0 <= kind.min() <= kind.max() < len(table):
        raise GeometryRefused(f"kinds: expected 0 to {len(table) - 1}, found {kind.min()} to {kind.max()}")
    return kind


def _array(shapes: Sequence[Any] | Shapes) -> Shapes:
    if isinstance(shapes, np.ndarray):
        return shapes
    found = np.empty(len(shapes), dtype=object)
    found[:] = shapes
    return found


def _distinct(footprints: Sequence[Polygon]) -> tuple[Shapes, list[Indices]]:
    """Give the different footprints, and for each the indices of those that are equal to it."""
    shapes = _array(footprints)
    if len(shapes):
        faulty = shapely.is_empty(shapes) | ~np.isfinite(shapely.bounds(shapes)).all(axis=1)
        for number in np.flatnonzero(faulty).tolist():
            checked_shape(footprints[number], name=f"footprint {number}")
    members: dict[bytes, list[int]] = {}
    for number, outline in enumerate(shapely.to_wkb(shapes).tolist()):
        members.setdefault(outline, []).append(number)
    of_each = [np.array(each, dtype=np.int64) for each in members.values()]
    return shapes[[int(each[0]) for each in of_each]], of_each


def _unfolded(members: Sequence[Indices], one: Indices, other: Indices) -> tuple[Indices, Indices, Indices]:
    """Turn pairs of distinct footprints into pairs of all footprints, those on one footprint included.

    The third array says from which pair each comes; for two on one footprint it is the number of pairs.
    """
    counts = np.array([len(each) for each in members], dtype=np.int64)
    starts = np.cumsum(counts) - counts
    every = np.concatenate(members) if members else np.empty(0, dtype=np.int64)
    wide = counts[other]
    sizes = counts[one] * wide
    which = np.repeat(np.arange(len(one)), sizes)
    place = np.arange(int(sizes.sum())) - np.repeat(np.cumsum(sizes) - sizes, sizes)
    a = every[starts[one][which] + place // wide[which]]
    b = every[starts[other][which] + place % wide[which]]
    for count in np.unique(counts[counts > 1]).tolist():
        alike = every[starts[counts == count][:, None] + np.arange(count)]
        rows, columns = np.triu_indices(count, 1)
        a, b = np.append(a, alike[:, rows]), np.append(b, alike[:, columns])
    which = np.append(which, np.full(len(a) - len(which), len(one)))
    return np.minimum(a, b), np.maximum(a, b), which


def _candidates(footprints: Shapes, limit_m: float) -> tuple[Indices, Indices]:
    """Pairs whose enclosing circles come within the limit: far cheaper than distances between areas."""
    nothing = np.empty(0, dtype=np.int64)
    if len(footprints) < 2:
        return nothing, nothing
    if math.isinf(limit_m):
        rows, columns = np.triu_indices(len(footprints), 1)
        return rows, columns
    bounds = shapely.bounds(footprints)
    centres = (bounds[:, :2] + bounds[:, 2:]) / 2
    radii = np.hypot(*(bounds[:, 2:] - bounds[:, :2]).T) / 2
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


def _shared_m2(one: Shapes, other: Shapes) -> NDArray[np.float64]:
    shared: NDArray[np.float64] = shapely.area(shapely.intersection(one, other))
    return shared
