from itertools import combinations
from math import inf, nan

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import Point, Polygon, box

from geometry.errors import GeometryRefused
from geometry.floor import SpillFloor
from geometry.incompatible_neighbours import (
    Neighbour,
    joined,
    liquids_meet,
    meeting_m2,
    pairs_within,
    separation_m,
    stacks,
    stands_above,
)
from geometry.shapes import footprint
from geometry.spill_reach import spread
from tests.geometry.floors import room, wall


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
