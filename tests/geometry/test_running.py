"""What runs and how fast: how thick it is round its source, and what is refused."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from geometry.errors import GeometryRefused
from geometry.running import NARROW, WIDE, Running, checked_run


def test_thickness_by_hand() -> None:
    # (3 × 1e-6 × 1.9e-4 / 9.80665)^(1/4) = (5.8124e-11)^(1/4) = 2.761 mm
    assert Running(1e-6, 1.9e-4).thickness_m == pytest.approx(2.761e-3, rel=1e-3)
    assert NARROW.thickness_m < WIDE.thickness_m


@given(st.floats(1e-7, 1e-2), st.floats(1e-6, 1e-1))
def test_law_sixteen_times_the_flow_is_twice_as_thick(viscosity_m2_s: float, flow_m3_s: float) -> None:
    thin, thick = Running(viscosity_m2_s, flow_m3_s), Running(viscosity_m2_s, 16 * flow_m3_s)
    assert thick.thickness_m == pytest.approx(2 * thin.thickness_m)


def test_nothing_spilt_is_taken() -> None:
    checked_run(0.0, 0.001, NARROW)


@pytest.mark.parametrize(
    ("volume_m3", "film_m", "running", "words"),
    [
        (math.inf, 0.001, NARROW, "spilt volume: expected 0 m³ or more, found inf"),
        (0.1, -0.001, NARROW, "film depth: expected more than 0 m, found -0.001"),
        (0.1, 0.001, Running(math.nan, 1e-4), "viscosity: expected more than 0 m²/s, found nan"),
        (0.1, 0.001, Running(1e-6, 0.0), "leak: expected more than 0 m³/s, found 0.0"),
    ],
)
def test_refused(volume_m3: float, film_m: float, running: Running, words: str) -> None:
    with pytest.raises(GeometryRefused, match=words):
        checked_run(volume_m3, film_m, running)
