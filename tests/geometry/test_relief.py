"""How a floor falls: flat triangles between levels, dishes and wedges round drains, and what tells no slope."""

import math
import random

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import LineString, Point, box

from geometry.errors import GeometryRefused
from geometry.raster import grid_over
from geometry.relief import (
    LEVEL_ACCURACY_M,
    SLAB_TOLERANCE_M,
    STEEPEST_FALL,
    Fall,
    Relief,
    line_told,
    relief_of,
    tells_a_slope,
)

ROOM = box(0, 0, 20, 10)
CORNERS = [(0.0, 0.0), (20.0, 0.0), (20.0, 10.0), (0.0, 10.0)]


def plane(east: float, north: float) -> list[tuple[Point, float]]:
    """Levels in the corners of the room, on an even slope."""
    return [(Point(x, y), east * x + north * y) for x, y in CORNERS]


def made(levels: list[tuple[Point, float]], falls: list[Fall]) -> Relief:
    relief = relief_of(levels, falls, ROOM)
    assert relief is not None
    return relief


def test_even_slope_between_levels() -> None:
    relief = made(plane(0.01, -0.02), [])
    assert relief.elevation_at(np.array([[10.0, 5.0], [20.0, 0.0]])) == pytest.approx([0.0, 0.2])
    assert relief.slope_at(np.array([[10.0, 5.0]]))[0] == pytest.approx([0.01, -0.02])
    assert relief.tolerance_m == LEVEL_ACCURACY_M
    # Cell centres run from 0.5 m on: 0.01 × 0.5 − 0.02 × 0.5.
    grid = grid_over(ROOM, 1.0)
    assert relief.elevation_m(grid).shape == (10, 20)
    assert relief.elevation_m(grid)[0, 0] == pytest.approx(-0.005)
    assert relief.elevation_m(grid)[0, 19] == pytest.approx(0.185)


def test_beyond_the_levels_no_slope_is_made_up() -> None:
    levels = [(Point(5, 2), 0.0), (Point(15, 2), 0.1), (Point(15, 8), 0.1), (Point(5, 8), 0.0)]
    relief = made(levels, [])
    at = np.array([[1.0, 5.0], [18.0, 5.0], [10.0, 9.5], [2.0, 0.5]])
    assert relief.elevation_at(at) == pytest.approx([0.0, 0.1, 0.05, 0.0], abs=1e-6)


def test_dish_round_a_gully() -> None:
    relief = made([], [Fall("D1", Point(5, 5), 0.02, 3.0)])
    at = np.array([[5.0, 5.0], [6.0, 5.0], [5.0, 7.0], [9.0, 5.0]])
    assert relief.elevation_at(at) == pytest.approx([-0.06, -0.04, -0.02, 0.0])
    assert relief.slope_at(np.array([[6.5, 5.0]]))[0] == pytest.approx([0.02, 0.0], abs=1e-6)
    assert relief.tolerance_m == SLAB_TOLERANCE_M


def test_a_dish_too_small_to_draw_or_with_its_rim_off_the_map() -> None:
    assert made([], [Fall("D", Point(5, 5), 0.02, 1e-300)]).elevation_at(np.array([[5.0, 5.0]])) == pytest.approx([0.0])
    wide = made([], [Fall("D", Point(5, 5), 0.02, 500.0)])
    assert wide.elevation_at(np.array([[5.0, 5.0], [6.0, 5.0]])) == pytest.approx([-10.0, -9.98])


def test_wedge_along_a_trench() -> None:
    relief = made([], [Fall("T", LineString([(10, 0), (10, 10)]), 0.01, 4.0)])
    assert relief.elevation_at(np.array([[12.0, 1.0], [12.0, 9.0], [3.0, 5.0]])) == pytest.approx([-0.02, -0.02, 0.0])


def test_falls_from_everywhere_share_the_floor_between_drains() -> None:
    relief = made([], [Fall("D1", Point(4, 5), 0.01, None), Fall("D2", Point(14, 5), 0.01, None)])
    assert relief.elevation_at(np.array([[4.0, 5.0], [9.0, 5.0], [11.0, 5.0], [14.0, 9.0]])) == pytest.approx(
        [0.0, 0.05, 0.03, 0.04]
    )


def test_a_fall_is_cut_into_surveyed_levels() -> None:
    # The floor falls 1 % to the west; round the drain at x = 10 m it falls to it by 2 % within 2 m on every side. The
    # lowest place of the rim is at x = 8 m, 0.08 m up, so that the drain lies 0.04 m up.
    relief = made(plane(0.01, 0.0), [Fall("D", Point(10, 5), 0.02, 2.0)])
    at = np.array([[10.0, 5.0], [9.0, 5.0], [11.0, 5.0], [13.0, 5.0]])
    assert relief.elevation_at(at) == pytest.approx([0.04, 0.06, 0.06, 0.13], abs=1e-4)


def test_a_fall_from_everywhere_starts_at_the_surveyed_level_of_its_drain() -> None:
    relief = made(plane(0.01, 0.0), [Fall("D", Point(0, 5), 0.005, None)])
    assert relief.elevation_at(np.array([[0.0, 5.0], [10.0, 5.0]])) == pytest.approx([0.0, 0.05])


@pytest.mark.parametrize(
    "levels",
    [
        [],
        [(Point(0, 0), 0.0)],
        [(Point(0, 0), 0.0), (Point(0, 0), 0.1)],
        [(Point(0, 0), 0.0), (Point(0.04, 0), 0.1)],
        [(Point(0, 0), 0.0), (Point(20, 0), 2 * LEVEL_ACCURACY_M)],
        [(Point(0, 0), 0.0), (Point(20, 0), 2 * LEVEL_ACCURACY_M), (Point(0, 10), 0.001)],
    ],
    ids=["none", "one", "one place twice", "too near", "two alike", "within the accuracy"],
)
def test_what_tells_no_slope(levels: list[tuple[Point, float]]) -> None:
    assert not tells_a_slope(levels)
    assert line_told(levels) is None
    assert relief_of(levels, [], ROOM) is None
    assert relief_of(levels, [Fall("D", Point(5, 5), 0.0, None)], ROOM) is None
    assert made(levels, [Fall("D", Point(5, 5), 0.01, 2.0)]).tolerance_m == SLAB_TOLERANCE_M


@pytest.mark.parametrize(
    "levels",
    [
        [(Point(0, 0), 0.0), (Point(20, 0), 0.2)],
        [(Point(0, 0), 0.0), (Point(10, 0), 0.1), (Point(20, 0.01), 0.2)],
        [(Point(20, 0), 0.2), (Point(0, 0), 0.0), (Point(0, 0), 0.1)],
    ],
    ids=["two", "three on one line", "one place twice"],
)
def test_levels_on_one_line_tell_how_the_floor_falls_along_it(levels: list[tuple[Point, float]]) -> None:
    assert not tells_a_slope(levels)
    line = line_told(levels)
    assert line is not None
    assert line.fall == pytest.approx(0.01, rel=1e-5)
    assert (line.high.x, line.low.x) == pytest.approx((20, 0), abs=1e-5)
    relief = made(levels, [])
    assert relief.line is not None
    at = np.array([[10.0, 0.0], [10.0, 9.0], [5.0, 5.0]])
    assert relief.elevation_at(at) == pytest.approx([0.1, 0.1, 0.05], abs=1e-2 * 0.01)
    # Across it the floor may fall as steeply either way: 1 % over 10 m.
    assert relief.tolerance_m == pytest.approx(LEVEL_ACCURACY_M + 0.1, rel=1e-2)
    falling = sorted(float(each.slope_at(at[2:])[0, 1]) for each in relief.turned)
    assert falling == pytest.approx([-0.01, 0.01], rel=1e-2)
    assert all(each.line is None for each in relief.turned)


def test_a_fall_to_a_drain_is_cut_into_a_floor_that_falls_along_a_line() -> None:
    relief = made([(Point(0, 5), 0.0), (Point(20, 5), 0.2)], [Fall("D", Point(10, 5), 0.02, 2.0)])
    at = np.array([[10.0, 5.0], [9.0, 5.0], [13.0, 5.0]])
    assert relief.elevation_at(at) == pytest.approx([0.04, 0.06, 0.13], abs=1e-4)
    assert len(relief.turned) == 2


def test_levels_that_span_a_plane_leave_nothing_unknown_across() -> None:
    assert line_told(plane(0.01, 0.0)) is None
    assert made(plane(0.01, 0.0), []).line is None
    assert made(plane(0.01, 0.0), []).turned == ()


def test_three_levels_just_off_a_line_tell_a_slope() -> None:
    assert tells_a_slope([(Point(0, 0), 0.0), (Point(10, 0), 0.1), (Point(20, 0.3), 0.2)])


def test_of_two_levels_at_one_place_the_lower_counts() -> None:
    relief = made([*plane(0.01, 0.0), (Point(20, 0), 0.1)], [])
    assert relief.elevation_at(np.array([[20.0, 0.0]])) == pytest.approx([0.1])


@pytest.mark.parametrize(
    ("fall", "words"),
    [
        (Fall("D", Point(5, 5), STEEPEST_FALL + 0.01, None), "expected 0 to 25%"),
        (Fall("D", Point(5, 5), -0.01, None), "fall to D"),
        (Fall("D", Point(5, 5), math.nan, None), "fall to D"),
        (Fall("D", Point(5, 5), 0.01, 0.0), "more than 0 m, found 0"),
        (Fall("D", Point(), 0.01, None), "drain D: expected a shape"),
    ],
)
def test_refused_falls(fall: Fall, words: str) -> None:
    with pytest.raises(GeometryRefused, match=words):
        relief_of([], [fall], ROOM)


def test_refused_levels_and_places() -> None:
    with pytest.raises(GeometryRefused, match="expected a finite height, found nan"):
        tells_a_slope([(Point(1, 1), math.nan)])
    with pytest.raises(GeometryRefused, match="finite coordinates"):
        made(plane(0.01, 0.0), []).elevation_at(np.array([[math.nan, 0.0]]))


places = st.tuples(st.integers(0, 40), st.integers(0, 20)).map(lambda at: Point(at[0] / 2, at[1] / 2))
surveys = st.lists(st.tuples(places, st.integers(0, 100).map(lambda mm: mm / 1000)), min_size=3, max_size=12)


@settings(max_examples=40)
@given(surveys, st.randoms(use_true_random=False))
def test_the_order_of_levels_does_not_matter_and_none_is_exceeded(
    levels: list[tuple[Point, float]], shuffle: random.Random
) -> None:
    relief = relief_of(levels, [], ROOM)
    mixed = list(levels)
    shuffle.shuffle(mixed)
    again = relief_of(mixed, [], ROOM)
    if relief is None or again is None:
        assert relief is again
        return
    grid = grid_over(ROOM, 0.5)
    found = relief.elevation_m(grid)
    assert np.array_equal(found, again.elevation_m(grid))
    heights = [height for _, height in levels]
    assert min(heights) - 1e-9 <= found.min() <= found.max() <= max(heights) + 1e-9
