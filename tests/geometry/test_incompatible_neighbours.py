from itertools import combinations, product
from math import inf, nan
from typing import TypeVar

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import LineString, MultiPolygon, Point, Polygon, box
from shapely.affinity import rotate, scale
from shapely.geometry.base import BaseGeometry

from geometry.errors import GeometryRefused
from geometry.floor import SpillFloor
from geometry.incompatible_neighbours import (
    Neighbour,
    Pairs,
    joined,
    liquids_meet,
    meeting,
    meeting_m2,
    meeting_pairs,
    near_pairs,
    nearest_by_group,
    pairs_within,
    parted,
    reacting_pairs,
    separation_m,
    stacks,
    stands_above,
)
from geometry.shapes import footprint
from geometry.spill_reach import spread
from tests.geometry.floors import room, wall

Shape = TypeVar("Shape", bound=BaseGeometry)


def pallet(x: float, y: float, turn: float = 0.0) -> Polygon:
    return footprint((x, y), width_m=1.2, depth_m=1.2, turn_deg=turn)


def always(_i: int, _j: int) -> bool:
    return True


def test_pairs_of_the_small_demo_store() -> None:
    # demo_ideas.md, site A: gaps A01–A02 0.40 m, A01–A03 2.8 m, A02–A03 1.2 m.
    standing = [pallet(2.0, 13.0), pallet(3.6, 13.0), pallet(6.0, 13.0)]
    found = pairs_within(standing, always, 6.1)
    assert [(pair.i, pair.j) for pair in found] == [(0, 1), (1, 2), (0, 2)]
    assert [pair.separation_m for pair in found] == pytest.approx([0.4, 1.2, 2.8])
    assert separation_m(standing[0], standing[1]) == pytest.approx(0.4)


def test_only_those_that_react() -> None:
    standing = [pallet(2.0, 13.0), pallet(3.6, 13.0), pallet(6.0, 13.0)]
    assert [(pair.i, pair.j) for pair in pairs_within(standing, {(2, 0)}, 6.1)] == [(0, 2)]
    assert [(pair.i, pair.j) for pair in pairs_within(standing, lambda i, j: (i, j) == (1, 2), 6.1)] == [(1, 2)]
    assert pairs_within(standing, [], 6.1) == []


def test_the_limit_itself_counts_and_touching_is_no_gap() -> None:
    standing = [pallet(2.0, 13.0), pallet(3.6, 13.0)]
    assert len(pairs_within(standing, always, 0.4)) == 1
    assert pairs_within(standing, always, 0.399) == []
    assert pairs_within([box(0, 0, 1, 1), box(1, 0, 2, 1)], always, 0) == [Neighbour(0, 1, 0.0)]
    assert pairs_within([box(0, 0, 2, 2), box(1, 1, 3, 3)], always, 0) == [Neighbour(0, 1, 0.0)]


def test_without_a_limit_every_pair_counts() -> None:
    assert len(pairs_within([pallet(0, 0), pallet(500, 0), pallet(0, 900)], always, inf)) == 3


def test_nothing_and_one_alone_have_no_neighbour() -> None:
    assert pairs_within([], always, 5) == []
    assert pairs_within([pallet(1, 1)], always, 5) == []
    assert stacks([], []) == []


@pytest.mark.parametrize("limit", [-1.0, nan])
def test_a_limit_that_is_none_is_refused(limit: float) -> None:
    with pytest.raises(GeometryRefused, match="separation limit: expected 0 m or more"):
        pairs_within([], always, limit)


def test_a_footprint_that_is_none_is_refused() -> None:
    with pytest.raises(GeometryRefused, match="footprint 1: expected a shape"):
        pairs_within([pallet(0, 0), Polygon()], always, 1)
    with pytest.raises(GeometryRefused, match="footprint: expected a shape"):
        separation_m(pallet(0, 0), Polygon())
    with pytest.raises(GeometryRefused, match="heights: expected 1, one per footprint, found 0"):
        stacks([pallet(0, 0)], [])
    with pytest.raises(GeometryRefused, match="height of footprint 0: expected a finite height"):
        stacks([pallet(0, 0)], [nan])


def test_what_stands_above_what() -> None:
    low, high, higher, beside = pallet(2, 2), pallet(2.5, 2), pallet(2, 2), pallet(3.2, 2)
    assert stands_above(high, 1.5, low, 0.0)
    assert not stands_above(low, 0.0, high, 1.5)
    assert not stands_above(high, 0.0, low, 0.0)
    assert not stands_above(beside, 4.5, low, 0.0)  # edge on edge
    found = stacks([low, high, higher, beside], [0.0, 1.5, 3.0, 4.5])
    assert [(pair.upper, pair.lower) for pair in found] == [(1, 0), (2, 0), (2, 1), (3, 1)]
    assert [pair.overlap_m2 for pair in found] == pytest.approx([0.7 * 1.2, 1.44, 0.7 * 1.2, 0.5 * 1.2])


def test_liquids_meet_where_pools_share_floor_and_not_along_a_wall_between_them() -> None:
    open_floor, divided = SpillFloor(room()), SpillFloor(room(barriers=(wall((5, 0), (5, 8)),)))
    pools = {
        floor: [spread(floor, Point(x, 4)).pool(0.02, 0.005, cautious=True) for x in (4.2, 5.8)]
        for floor in (open_floor, divided)
    }
    one, other = pools[open_floor]
    # Two discs of 4 m², radius 1.128 m, whose middles are 1.6 m apart: 2 r² acos(d/2r) - d/2 √(4r² - d²).
    assert liquids_meet(one, other)
    assert meeting_m2(one, other) == pytest.approx(0.7203, rel=5e-3)
    west, east = pools[divided]
    assert west.shape.distance(east.shape) < 1e-6
    assert not liquids_meet(west, east)
    assert not liquids_meet(west.shape, box(20, 20, 21, 21))
    assert not liquids_meet(Polygon(), one)
    assert liquids_meet(one.shape, one)


def test_two_bunds_on_one_sump_are_joined() -> None:
    # demo_ideas.md, site B: sumps S1 and S2 are joined by a pipe and discharge to D2; D3 stands alone.
    links = [("S1", "S2"), ("S2", "D2"), ("Z2", "S1"), ("Z3", "S2")]
    assert joined(["Z2", "Z3", "S1", "S2", "D2", "D3"], links) == [
        frozenset({"Z2", "Z3", "S1", "S2", "D2"}),
        frozenset({"D3"}),
    ]
    assert joined(["a", "b"], []) == [frozenset({"a"}), frozenset({"b"})]
    assert joined([], []) == []
    with pytest.raises(GeometryRefused, match="expected an end that is listed, found 'S9'"):
        joined(["S1"], [("S1", "S9")])


ACID, LYE, OIL = range(3)
REACTS = np.array([[False, True, False], [True, False, False], [False, False, False]])


def plain(pairs: Pairs) -> list[tuple[int, int, float]]:
    return [
        (i, j, round(gap, 9))
        for i, j, gap in zip(pairs.first.tolist(), pairs.second.tolist(), pairs.gap_m.tolist(), strict=True)
    ]


def test_reacting_kinds_within_the_limit_stacked_ones_too() -> None:
    # Two on one spot, one 0.4 m beside, one 2.8 m beside: 1.2 m pallets with middles at 2.0, 3.6 and 6.0 m.
    standing = [pallet(2.0, 1.0), pallet(2.0, 1.0), pallet(3.6, 1.0), pallet(6.0, 1.0)]
    found = reacting_pairs(standing, [ACID, LYE, LYE, ACID], REACTS, 2.0)
    assert plain(found) == [(0, 1, 0.0), (0, 2, 0.4), (2, 3, 1.2)]
    assert plain(reacting_pairs(standing, [OIL] * 4, REACTS, 2.0)) == []
    assert [pair[:2] for pair in plain(near_pairs(standing, 2.8))] == list(combinations(range(4), 2))


def test_a_partition_across_the_straight_line_ends_the_separation() -> None:
    standing = [pallet(2.0, 2.0), pallet(5.0, 2.0), pallet(5.0, 8.0)]
    kinds = [ACID, LYE, LYE]

    def beside(*walls: LineString) -> list[tuple[int, int]]:
        return [pair[:2] for pair in plain(reacting_pairs(standing, kinds, REACTS, 6.1, partitions=walls))]

    assert beside() == [(0, 1), (0, 2)]
    assert beside(LineString([(3.5, 0), (3.5, 4)])) == [(0, 2)]
    # Straight from (2.6, 2.6) to (4.4, 7.4): crosses x = 3.5 at y = 5.
    assert beside(LineString([(3.5, 0), (3.5, 5.1)])) == []
    assert beside(LineString([(3.5, 2.7), (3.5, 4.9)])) == [(0, 1), (0, 2)]


def test_a_partition_before_half_of_two_facing_sides_does_not_part_them() -> None:
    one, other = pallet(2.0, 2.0), pallet(5.0, 2.2)
    half, whole = LineString([(3.5, 0), (3.5, 2.1)]), LineString([(3.5, 0), (3.5, 3)])
    upper = LineString([(3.5, 2.1), (3.5, 4)])
    for turn in (0.0, 0.7, 90.0, 213.0):
        for flip in (1, -1):

            def moved(shape: Shape, turn: float = turn, flip: int = flip) -> Shape:
                return rotate(scale(shape, flip, 1, origin=(0, 0)), turn, origin=(0, 0))

            standing = [moved(one), moved(other)]
            for walls, says in (([half], False), ([upper], False), ([whole], True), ([], False)):
                drawn = [moved(wall) for wall in walls]
                assert parted(standing, np.array([0]), np.array([1]), drawn).tolist() == [says]
                assert parted(standing[::-1], np.array([0]), np.array([1]), drawn).tolist() == [says]
    # Set down half a degree askew they face each other all the same.
    askew = [one, pallet(5.0, 2.2, turn=0.5)]
    assert parted(askew, np.array([0]), np.array([1]), [whole]).all()
    assert not parted(askew, np.array([0]), np.array([1]), [half]).any()
    assert not parted(askew, np.array([0]), np.array([1]), [upper]).any()


def test_nothing_stands_between_what_touches() -> None:
    one, other = box(0, 0, 1, 1), box(1, 0, 2, 1)
    wall = LineString([(1, -1), (1, 2)])
    assert parted([one, other], np.array([0]), np.array([1]), [wall]).tolist() == [False]
    assert parted([one, box(1.2, 0, 2, 1)], np.array([0]), np.array([1]), [LineString([(1.1, -1), (1.1, 2)])]).all()


def test_pairs_are_reduced_to_the_nearest_of_each_two_groups() -> None:
    # Pallets 0 and 1 in zone 0, 2 and 3 in zone 1: 0.4, 1.2 and 0.4 m apart in a row.
    standing = [pallet(x, 1.0) for x in (2.0, 3.6, 6.0, 7.6)]
    near = near_pairs(standing, 3.0)
    assert plain(nearest_by_group(near, [0, 0, 1, 1])) == [(0, 0, 0.4), (0, 1, 1.2), (1, 1, 0.4)]
    assert plain(nearest_by_group(near, [1, 0, 0, 0])) == [(0, 0, 0.4), (0, 1, 0.4)]
    assert len(nearest_by_group(near_pairs([], 3.0), [])) == 0
    with pytest.raises(GeometryRefused, match="groups: expected one for each of 4, found 3"):
        nearest_by_group(near, [0, 0, 1])


@pytest.mark.parametrize(
    ("kinds", "reacts", "says"),
    [
        ([0], REACTS, "kinds: expected 2, one per footprint, found 1"),
        ([0, 3], REACTS, "kinds: expected 0 to 2, found 0 to 3"),
        ([0, 1], [[False, True], [False, False]], "table of reactions: expected a symmetric one"),
    ],
)
def test_kinds_that_do_not_fit_the_table_are_refused(kinds: list[int], reacts: object, says: str) -> None:
    with pytest.raises(GeometryRefused, match=says):
        reacting_pairs([pallet(0, 0), pallet(3, 0)], kinds, reacts, 1.0)  # type: ignore[arg-type]


def test_bulk_says_of_pools_what_one_by_one_says() -> None:
    # Sharing 1.5 cm² and 0.5 cm², touching only, in the hole of a ring, inside, empty: on either side of a square cm.
    ring = Polygon(box(10, 0, 14, 4).exterior, [box(11, 1, 13, 3).exterior.coords])
    shapes: list[Polygon | MultiPolygon] = [
        box(0, 0, 4, 4),
        box(4 - 1.5e-4, 0, 8, 1),
        box(4 - 0.5e-4, 2, 8, 3),
        box(4, 3.5, 6, 4),
        ring,
        box(11.5, 1.5, 12.5, 2.5),
        box(1, 1, 2, 2),
        Polygon(),
        MultiPolygon([box(3, 3, 3.2, 3.2), box(12, 1.9, 12.2, 2.1)]),
    ]
    expected = [(i, j) for i, j in combinations(range(len(shapes)), 2) if liquids_meet(shapes[i], shapes[j])]
    first, second = meeting_pairs(shapes)
    assert list(zip(first.tolist(), second.tolist(), strict=True)) == expected
    assert (0, 1) in expected
    assert (0, 2) not in expected
    few = meeting(shapes, np.array([0, 0]), np.array([1, 2]))
    assert few.tolist() == [True, False]
    empty = meeting_pairs([])
    assert [len(each) for each in empty] == [0, 0]


def test_of_many_pools_those_that_nearly_meet_do_not() -> None:
    # Ten pools over one another, so that most meet; one ends 10 mm before them, one 5 mm inside, one in their hole.
    hole = box(1, 1, 2, 2).exterior
    many = [Polygon(box(0, 0, 4, 4 + 0.1 * number).exterior, [hole]) for number in range(10)]
    shapes = [*many, box(4.01, 0, 5, 4), box(3.995, 0, 5, 4), box(1.01, 1.01, 1.99, 1.99)]
    found = set(zip(*(each.tolist() for each in meeting_pairs(shapes)), strict=True))
    assert found == {*combinations(range(10), 2), *((number, 11) for number in range(11))}


squares = st.builds(
    lambda x, y, side, turn: footprint((x, y), width_m=side, depth_m=side / 2, turn_deg=turn),
    st.floats(0, 20),
    st.floats(0, 20),
    st.floats(0.3, 4),
    st.floats(0, 180),
)


@settings(max_examples=60, derandomize=True, deadline=None)
@given(st.lists(squares, max_size=9), st.floats(0, 12))
def test_finds_the_pairs_that_looking_at_each_one_finds(footprints: list[Polygon], limit: float) -> None:
    found = {(pair.i, pair.j): pair.separation_m for pair in pairs_within(footprints, always, limit)}
    for i, j in combinations(range(len(footprints)), 2):
        apart = footprints[i].distance(footprints[j])
        if abs(apart - limit) > 1e-6:
            assert ((i, j) in found) == (apart < limit)
    assert all(gap == footprints[i].distance(footprints[j]) for (i, j), gap in found.items())


@settings(max_examples=60, derandomize=True, deadline=None)
@given(st.integers(1, 8), st.lists(st.tuples(st.integers(0, 7), st.integers(0, 7)), max_size=8))
def test_groups_share_out_all_members_and_no_link_leads_out_of_one(size: int, links: list[tuple[int, int]]) -> None:
    inside = [(a % size, b % size) for a, b in links]
    groups = joined(range(size), inside)
    assert sorted(member for group in groups for member in group) == list(range(size))
    assert all(any(a in group and b in group for group in groups) for a, b in inside)


def turned(shape: Polygon, turn_deg: float, *, mirrored: bool) -> Polygon:
    """The same floor seen from elsewhere."""
    there: Polygon = rotate(shape, turn_deg, origin=(7, 3))
    return scale(there, -1, 1, origin=(0, 0)) if mirrored else there


@settings(max_examples=60, derandomize=True, deadline=None)
@given(
    st.lists(st.tuples(squares, st.integers(0, 2)), max_size=9),
    st.floats(0, 12),
    st.lists(st.integers(0, 8), max_size=4),
    st.integers(0, 3),
    st.booleans(),
)
def test_reacting_pairs_are_those_of_looking_at_each_two_however_the_floor_is_turned(
    lots: list[tuple[Polygon, int]],
    limit: float,
    stacked: list[int],
    quarters: int,
    mirrored: bool,  # noqa: FBT001 - drawn
) -> None:
    lots = lots + [lots[number] for number in stacked if number < len(lots)]
    shapes, kinds = [shape for shape, _ in lots], np.array([kind for _, kind in lots], dtype=np.int64)
    found = {(i, j): gap for i, j, gap in plain(reacting_pairs(shapes, kinds, REACTS, limit))}
    there = [turned(shape, 90 * quarters + 7, mirrored=mirrored) for shape in shapes]
    seen = {(i, j): gap for i, j, gap in plain(reacting_pairs(there, kinds, REACTS, limit))}
    order = list(reversed(range(len(lots))))
    backward = plain(reacting_pairs([shapes[at] for at in order], kinds[order], REACTS, limit))
    turned_round = {(order[j], order[i]) for i, j, _ in backward}
    for i, j in combinations(range(len(lots)), 2):
        apart = shapes[i].distance(shapes[j])
        if abs(apart - limit) > 1e-6:
            within = bool(REACTS[kinds[i], kinds[j]]) and apart < limit
            assert ((i, j) in found) is within
            assert ((i, j) in seen) is within
            assert ((i, j) in turned_round) is within
            assert not within or (found[i, j], seen[i, j]) == pytest.approx((apart, apart), abs=1e-6)


pools = st.builds(
    lambda x, y, radius, side, cut: (
        Point(x, y)
        .buffer(radius, 8)
        .union(box(x, y, x + side, y + side))
        .difference(box(x - 0.1, y + cut, x + 9, y + cut + 0.3))
    ),
    st.floats(0, 9),
    st.floats(0, 9),
    st.floats(0.02, 2),
    st.floats(0.1, 4),
    st.floats(0, 3),
)


@settings(max_examples=40, derandomize=True, deadline=None)
@given(st.lists(pools, max_size=12), st.floats(0, 360), st.booleans())
def test_pools_meet_in_bulk_as_they_do_one_by_one(
    shapes: list[Polygon],
    turn_deg: float,
    mirrored: bool,  # noqa: FBT001 - drawn
) -> None:
    shared = {(i, j): meeting_m2(shapes[i], shapes[j]) for i, j in combinations(range(len(shapes)), 2)}
    for floor in (shapes, [turned(shape, turn_deg, mirrored=mirrored) for shape in shapes]):
        found = set(zip(*(each.tolist() for each in meeting_pairs(floor)), strict=True))
        asked = np.array(list(product(range(len(shapes)), repeat=2)), dtype=np.int64).reshape(-1, 2).T
        every = dict(zip(zip(*asked.tolist(), strict=True), meeting(floor, *asked).tolist(), strict=True))
        for (i, j), area_m2 in shared.items():
            if abs(area_m2 - 1e-4) > 1e-9:
                assert ((i, j) in found) is (area_m2 > 1e-4)
                assert every[i, j] is every[j, i] is (area_m2 > 1e-4)


@settings(max_examples=40, derandomize=True, deadline=None)
@given(
    st.lists(st.tuples(squares, st.sampled_from([0.0, 1.2, 2.4])), max_size=8), st.lists(st.integers(0, 7), max_size=4)
)
def test_stacks_are_those_of_looking_at_each_two(each: list[tuple[Polygon, float]], again: list[int]) -> None:
    each = each + [(each[number][0], 3.6) for number in again if number < len(each)]
    found = {(pair.upper, pair.lower) for pair in stacks([shape for shape, _ in each], [base for _, base in each])}
    for i, j in combinations(range(len(each)), 2):
        (one, low), (other, high) = each[i], each[j]
        shared = one.intersection(other).area
        if abs(shared - 1e-4) > 1e-9:
            upper, lower = (i, j) if low > high else (j, i)
            assert ((upper, lower) in found) is (shared > 1e-4 and low != high)
            assert (lower, upper) not in found
