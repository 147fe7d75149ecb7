from math import inf, nan, pi

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import Point, Polygon

from geometry.errors import GeometryRefused
from geometry.shapes import checked_area, disc, footprint, line, point, ring, trace


def test_ring_closes_by_itself_and_turns_anticlockwise() -> None:
    clockwise = ring([(0, 0), (0, 3), (4, 3), (4, 0)])
    assert clockwise.area == 12
    assert clockwise.exterior.is_ccw
    assert clockwise.equals(ring([(0, 0), (4, 0), (4, 3), (0, 3), (0, 0)]))


@pytest.mark.parametrize(
    ("corners", "fault"),
    [
        ([], "at least 3 different corners, found 0"),
        ([(0, 0), (1, 0)], "at least 3 different corners, found 2"),
        ([(0, 0), (1, 0), (0, 0), (1, 0)], "at least 3 different corners, found 2"),
        ([(0, 0), (1, 0), (2, 0)], "an area, found"),
        ([(0, 0), (4, 4), (4, 0), (0, 4)], r"does not cross itself, found Self-intersection"),
        ([(0, 0), (4, 0), (2, 2), (4, 4), (0, 4), (2, 2)], "does not cross itself, found"),
        ([(0, 0), (1, 0), (nan, 1)], "finite coordinates, found nan"),
        ([(0, 0), (1, 0), (1, inf)], "finite coordinates, found inf"),
        ([(0, 0), (1, 0), (1, 1, 1)], "x and y, found 3 numbers"),
    ],
)
def test_ring_refuses_and_names_the_fault(corners: list[tuple[float, ...]], fault: str) -> None:
    with pytest.raises(GeometryRefused, match=f"^yard: .*{fault}"):
        ring(corners, name="yard")


def test_line_takes_a_repeated_corner_once_and_refuses_a_mere_point() -> None:
    assert line([(0, 0), (0, 0), (3, 4)]).length == 5
    with pytest.raises(GeometryRefused, match="at least 2 different corners, found 1"):
        line([(1, 1), (1, 1)])
    with pytest.raises(GeometryRefused, match="at least 2 different corners, found 0"):
        line([])


def test_trace_is_a_gully_or_a_trench() -> None:
    assert trace([(12.0, 7.5)]).equals(Point(12, 7.5))
    assert trace([(23.8, 5), (23.8, 10)]).length == 5
    with pytest.raises(GeometryRefused, match="D3: expected at least 1 corner, found none"):
        trace([], name="D3")


def test_point_refuses_what_is_not_finite() -> None:
    assert point((1, 2)).coords[0] == (1, 2)
    with pytest.raises(GeometryRefused, match="finite"):
        point((nan, 0))


def test_footprint_turned_by_a_quarter_swaps_its_sides() -> None:
    lying = footprint((2, 13), width_m=1.2, depth_m=0.8, turn_deg=90)
    assert lying.bounds == pytest.approx((1.6, 12.4, 2.4, 13.6))
    assert footprint((2, 13), width_m=1.2, depth_m=1.2).bounds == pytest.approx((1.4, 12.4, 2.6, 13.6))


@pytest.mark.parametrize("side", [0.0, -1.2, nan, inf])
def test_footprint_refuses_a_side_that_is_none(side: float) -> None:
    with pytest.raises(GeometryRefused, match="width of footprint"):
        footprint((0, 0), width_m=side, depth_m=1)
    with pytest.raises(GeometryRefused, match="depth of footprint"):
        footprint((0, 0), width_m=1, depth_m=side)


@settings(max_examples=40, derandomize=True, deadline=None)
@given(st.floats(-360, 360), st.floats(0.1, 5), st.floats(0.1, 5), st.floats(-50, 50))
def test_turning_a_footprint_keeps_its_area_and_its_middle(turn: float, width: float, depth: float, x: float) -> None:
    turned = footprint((x, -x), width_m=width, depth_m=depth, turn_deg=turn)
    assert turned.area == pytest.approx(width * depth, rel=1e-9)
    assert turned.centroid.distance(Point(x, -x)) < 1e-9


def test_disc_has_the_area_of_its_circle_and_lies_close_to_it() -> None:
    made = disc(Point(1, 1), 2.574)
    assert made.area == pytest.approx(pi * 2.574**2, rel=1e-9)
    assert max(Point(1, 1).distance(Point(corner)) for corner in made.exterior.coords) < 2.574 * 1.0003
    assert disc(Point(0, 0), 0).area == 0
    with pytest.raises(GeometryRefused, match="radius"):
        disc(Point(0, 0), -1)


def test_checked_area_refuses_an_empty_one() -> None:
    with pytest.raises(GeometryRefused, match="found an empty one"):
        checked_area(Polygon())
