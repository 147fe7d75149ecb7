"""What runs and how fast: how thick it is round its source, and what is refused."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from geometry.constants import DRUM_55_GALLON_M3
from geometry.drum import DrumShape
from geometry.errors import GeometryRefused
from geometry.leak import leak
from geometry.orifice import round_hole
from geometry.running import NARROW, WIDE, Running, checked_run

INSIDE_55_GALLON = DrumShape(diameter_m=0.5715, length_m=0.8509)


def test_thickness_by_hand() -> None:
    # (3 × 1e-6 × 1.9e-4 / 9.80665)^(1/4) = (5.8124e-11)^(1/4) = 2.761 mm
    assert Running(1e-6, 1.9e-4).thickness_m(0.2) == pytest.approx(2.761e-3, rel=1e-3)
    assert NARROW.thickness_m(1.0) < WIDE.thickness_m(1.0)


@given(st.floats(1e-7, 1e-2), st.floats(1e-6, 1e-1))
def test_law_sixteen_times_the_flow_is_twice_as_thick(viscosity_m2_s: float, flow_m3_s: float) -> None:
    thin, thick = Running(viscosity_m2_s, flow_m3_s), Running(viscosity_m2_s, 16 * flow_m3_s)
    assert thick.thickness_m(0.2) == pytest.approx(2 * thin.thickness_m(0.2))


def test_a_quarter_of_a_drum_leaks_half_as_fast_and_two_drums_no_faster_than_one() -> None:
    # Torricelli: the head of a quarter is a quarter, its root a half. 4.8e-5 m³/s is a quarter of 1.9e-4.
    full_m3 = DRUM_55_GALLON_M3
    assert NARROW.flow_of_m3_s([full_m3, full_m3 / 4, 2 * full_m3, 0.0]) == pytest.approx([4.8e-5, 2.4e-5, 4.8e-5, 0])
    assert Running(1e-6, 1.9e-4).flow_of_m3_s([0.001, 1.0]) == pytest.approx([1.9e-4, 1.9e-4])


@given(st.floats(1e-6, 1.0), st.floats(1e-6, 1.0))
def test_law_the_flow_of_the_narrow_tongue_is_the_mean_one_of_the_last_quarter(one_m3: float, other_m3: float) -> None:
    less_m3, more_m3 = sorted((one_m3, other_m3))
    assert NARROW.thickness_m(less_m3) <= NARROW.thickness_m(more_m3)
    hole = round_hole(0.01)
    content_m3 = min(less_m3, 0.2)
    table = leak(INSIDE_55_GALLON, content_m3, hole, posture="upright", vented=True)
    lasts_s = table.stop_s - table.when_out_s(content_m3 * 3 / 4)
    assert NARROW.flow_of_m3_s(content_m3) == pytest.approx(content_m3 / 4 / lasts_s, rel=0.02)


def test_nothing_spilt_is_taken() -> None:
    checked_run(0.0, 0.001, NARROW)


@pytest.mark.parametrize(
    ("volume_m3", "film_m", "running", "words"),
    [
        (math.inf, 0.001, NARROW, "spilt volume: expected 0 m³ or more, found inf"),
        (0.1, -0.001, NARROW, "film depth: expected more than 0 m, found -0.001"),
        (0.1, 0.001, Running(math.nan, 1e-4), "viscosity: expected more than 0 m²/s, found nan"),
        (0.1, 0.001, Running(1e-6, 1e-4, full_m3=0.0), "content of a full drum: expected more than 0 m³, found 0"),
        (0.1, 0.001, Running(1e-6, 0.0), "leak: expected more than 0 m³/s, found 0.0"),
    ],
)
def test_refused(volume_m3: float, film_m: float, running: Running, words: str) -> None:
    with pytest.raises(GeometryRefused, match=words):
        checked_run(volume_m3, film_m, running)
