from math import inf, nan

import pytest

from geometry.errors import GeometryRefused
from geometry.ranges import above_zero, not_negative, share_above_zero


def test_what_lies_in_its_range_comes_back_as_it_is() -> None:
    assert [not_negative("depth", value) for value in (0.0, 1e-300, 7)] == [0.0, 1e-300, 7]
    assert [above_zero("depth", value) for value in (1e-300, 7)] == [1e-300, 7]
    assert [share_above_zero("share", value) for value in (1e-300, 0.5, 1)] == [1e-300, 0.5, 1]


@pytest.mark.parametrize("wrong", [-1e-300, -inf, inf, nan])
def test_what_does_not_is_refused_by_name(wrong: float) -> None:
    with pytest.raises(GeometryRefused, match=f"^depth: expected 0 or more, found {wrong}$"):
        not_negative("depth", wrong)
    with pytest.raises(GeometryRefused, match=f"^depth: expected more than 0, found {wrong}$"):
        above_zero("depth", wrong)
    with pytest.raises(GeometryRefused, match=f"^share: expected more than 0 and at most 1, found {wrong}$"):
        share_above_zero("share", wrong)


def test_zero_and_more_than_all_are_refused_where_they_have_no_meaning() -> None:
    with pytest.raises(GeometryRefused, match="found 0"):
        above_zero("depth", 0)
    for wrong in (0.0, 1.01):
        with pytest.raises(GeometryRefused, match=f"found {wrong}"):
            share_above_zero("share", wrong)
