"""Outlines and lines: which have a meaning.

Simple and not simple polygons as in OGC 06-103r4 (Simple Feature Access), 6.1.11.1, figures of valid and invalid ones.
"""

import pytest
from pydantic_core import PydanticCustomError

from survey.tables.shapes import Corner, closed_ring, closed_ring_or_none, extended_line


@pytest.mark.parametrize(
    "corners",
    [
        [(0, 0), (4, 0), (4, 3)],
        [(0, 0), (0, 3), (4, 3), (4, 0)],
        [(0, 0), (4, 0), (4, 4), (2, 1), (0, 4)],
        [(0, 0), (2, 0), (4, 0), (4, 4)],
        [(0, 0), (0, 0), (4, 0), (4, 4)],
        [(0, 0), (1e-9, 0), (0, 1e-9)],
    ],
    ids=["triangle", "clockwise", "notched", "corner in a side", "double tap", "tiny"],
)
def test_ring_is_given_back_as_it_is(corners: list[Corner]) -> None:
    assert closed_ring(corners) is corners
    assert closed_ring_or_none(corners) is corners


@pytest.mark.parametrize(
    ("corners", "expected"),
    [
        ([(0, 0), (4, 4), (4, 0), (0, 4)], "not cross"),
        ([(0, 0), (4, 0), (4, 4), (2, 0), (0, 4)], "not cross or touch"),
        ([(0, 0), (4, 0), (4, 4), (4, 0), (8, 0), (0, 8)], "not cross or touch"),
        ([(0, 0), (4, 0), (4, 4), (0, 0)], "not repeated"),
        ([(0, 0), (4, 0)], "different corners"),
        ([(0, 0), (4, 0), (0, 0), (4, 0)], "different corners"),
        ([(0, 0), (1, 1), (2, 2), (3, 3)], "encloses an area"),
        ([(1, 1), (1, 1), (1, 1)], "not repeated"),
    ],
    ids=[
        "bow tie",
        "touches itself",
        "spike",
        "closed twice",
        "two corners",
        "there and back",
        "one line",
        "one point",
    ],
)
def test_ring_is_refused(corners: list[Corner], expected: str) -> None:
    with pytest.raises(PydanticCustomError, match=expected):
        closed_ring(corners)
    with pytest.raises(PydanticCustomError, match=expected):
        closed_ring_or_none(corners)


def test_no_ring_at_all_is_allowed_only_where_it_is_optional() -> None:
    assert closed_ring_or_none([]) == []
    with pytest.raises(PydanticCustomError, match="different corners"):
        closed_ring([])


@pytest.mark.parametrize("points", [[], [(1, 1)], [(0, 0), (1, 0)], [(0, 0), (0, 0), (1, 0)], [(0, 0), (1, 0), (0, 0)]])
def test_line_is_given_back_as_it_is(points: list[Corner]) -> None:
    assert extended_line(points) is points


def test_line_that_goes_nowhere_is_refused() -> None:
    with pytest.raises(PydanticCustomError, match="3 times"):
        extended_line([(1, 2), (1, 2), (1, 2)])
