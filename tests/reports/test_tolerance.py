"""Tolerance: a distance is written no finer than the positions it was taken from allow."""

import pytest

from reports.tolerance import between, distance_text, position_tolerance_m
from survey.vocabulary import PositionSource


@pytest.mark.parametrize(
    ("source", "text"),
    [
        (PositionSource.MEASURED, "0.40 ± 0.07 m"),
        (PositionSource.DRAWN, "0.4 ± 0.3 m"),
        (PositionSource.TAPPED, "0.4 ± 0.5 m"),
    ],
)
def test_forty_centimetres_by_source(source: PositionSource, text: str) -> None:
    tolerance_m = position_tolerance_m(source, None)
    assert distance_text(between(0.40, tolerance_m, tolerance_m)) == text


def test_a_stated_tolerance_wins() -> None:
    assert position_tolerance_m(PositionSource.TAPPED, 0.02) == 0.02
    assert position_tolerance_m(PositionSource.TAPPED, 0.0) == 0.0


def test_errors_of_both_ends_add_as_independent_ones() -> None:
    assert between(1.0, 0.3, 0.4).tolerance_m == pytest.approx(0.5)
