"""Levels on one line: elevations along it, how it falls, and what does not lie higher along it."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely import MultiPolygon, Point, Polygon, box

from geometry.errors import GeometryRefused
from geometry.line_fall import LineFall, line_of

ROOM = box(0, 0, 20, 10)


def line(places: list[tuple[float, float]], heights_m: list[float]) -> LineFall:
    found = line_of(places, heights_m)
    assert found is not None
    return found


def test_two_levels_by_hand() -> None:
    # From (16, 2) at 0.10 m to (4, 2) at 0.04 m: 6 cm over 12 m.
    found = line([(16, 2), (4, 2)], [0.10, 0.04])
    assert (found.high, found.low) == (Point(16, 2), Point(4, 2))
    assert found.fall == pytest.approx(0.005)
    assert found.steepest == pytest.approx(0.005)
    assert found.along == pytest.approx([1, 0])
    at = np.array([[10.0, 9.0], [0.0, 0.0], [20.0, 2.0]])
    assert found.elevation_at(at) == pytest.approx([0.07, 0.04, 0.10])
    assert found.across_m(at) == pytest.approx([7, -2, 0])


def test_a_valley_between_three_levels() -> None:
    found = line([(0, 5), (10, 5.02), (20, 5)], [0.1, 0.0, 0.3])
    assert found.steepest == pytest.approx(0.03, rel=1e-3)
    assert found.fall == pytest.approx(0.03, rel=1e-3)
    # 0.05 m up: 5 m to the west of the lowest place, 1.67 m to the east of it.
    assert found.not_above(0.05, ROOM).bounds == pytest.approx((5, 0, 11.667, 10), abs=0.05)
    assert found.not_above(0.3, ROOM).area == pytest.approx(200)


def test_hills_leave_two_sides() -> None:
    found = line([(0, 5), (10, 5), (20, 5)], [0.0, 0.1, 0.0])
    both = found.not_above(0.02, ROOM)
    assert isinstance(both, MultiPolygon)
    assert both.area == pytest.approx(40)
    assert found.not_above(-0.01, ROOM).is_empty
    assert found.not_above(0.02, Polygon()).is_empty


def test_levels_too_near_to_tell_anything() -> None:
    assert line_of([], []) is None
    assert line_of([(1, 1)], [0.0]) is None
    assert line_of([(1, 1), (1.04, 1)], [0.0, 0.1]) is None
    merged = line([(1, 1), (1.04, 1), (5, 1)], [0.0, -0.1, 0.2])
    assert merged.height_m.tolist() == [-0.1, 0.2]


@given(
    st.floats(0, math.tau),
    st.lists(
        st.tuples(st.integers(0, 40), st.integers(-50, 50)), min_size=2, max_size=6, unique_by=lambda each: each[0]
    ),
)
def test_law_turning_the_line_turns_what_it_tells(angle: float, levels: list[tuple[int, int]]) -> None:
    turn = np.array([[math.cos(angle), -math.sin(angle)], [math.sin(angle), math.cos(angle)]])
    places = np.array([[at / 2.0, 3.0] for at, _ in levels])
    heights_m = np.array([mm / 1000 for _, mm in levels])
    found = line_of(places @ turn.T, heights_m)
    assert found is not None
    assert found.elevation_at(places @ turn.T) == pytest.approx(heights_m, abs=1e-9)
    aside = (places + np.array([0.0, 4.0])) @ turn.T
    assert found.elevation_at(aside) == pytest.approx(heights_m, abs=1e-9)
    assert abs(found.across_m(aside)) == pytest.approx(np.full(len(levels), 4.0), abs=1e-9)


def test_refused() -> None:
    with pytest.raises(GeometryRefused, match="found 2 places and 1 heights"):
        line_of([(0, 0), (1, 1)], [0.0])
    with pytest.raises(GeometryRefused, match="one that is not finite"):
        line_of([(0, 0), (1, 1)], [0.0, math.nan])
    with pytest.raises(GeometryRefused, match="expected a finite number, found nan"):
        line([(0, 0), (1, 1)], [0.0, 0.1]).not_above(math.nan, ROOM)
