"""How far a spill may run on a floor that is level only within its tolerance."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad
from shapely import Point

from geometry.constants import GRAVITY_M_S2
from geometry.descent import NARROW, WIDE, Descents, Running
from geometry.errors import GeometryRefused
from geometry.floor import SpillFloor
from geometry.line_fall import line_of
from geometry.tilt import DROP_M, fan_reach_m, fan_slope, tilted_area, tilted_reach_m, worst_tilt
from tests.geometry.floors import DRUM_M3, room, wall
from tests.geometry.slopes import STEADY, WATER, falling


def test_reach_down_one_per_cent() -> None:
    # 208.2 L of a water-like leak of 0.19 L/s at 1 mm. H = 2.76 mm, disc of 0.276 m; e = 0.9396; the tongue beyond the
    # disc takes 2 e ∫ x^(3/7) dx.
    reach_m = tilted_reach_m(DRUM_M3, 0.001, 1e-6, 1.9e-4, 0.01, steady=True)
    half_m = (3e-6 * 1.9e-4 / (GRAVITY_M_S2 * 0.01) * 35 / 32 * (14 / 0.03) ** 3) ** (1 / 7)
    disc_m = (3e-6 * 1.9e-4 / GRAVITY_M_S2) ** 0.25 / 0.01
    beyond_m2 = quad(lambda x: 2 * half_m * x ** (3 / 7), disc_m, reach_m)[0]
    assert (math.pi * disc_m**2 + beyond_m2) * 0.001 == pytest.approx(DRUM_M3, rel=1e-4)
    assert reach_m == pytest.approx(34.64, abs=0.01)


def test_without_slope_it_is_the_level_pool() -> None:
    assert tilted_reach_m(DRUM_M3, 0.001, 1e-6, 1.9e-4, 0.0) == pytest.approx(math.sqrt(DRUM_M3 / 0.001 / math.pi))
    assert tilted_reach_m(0.0, 0.001, 1e-6, 1.9e-4, 0.01) == 0


@pytest.mark.parametrize("running", [STEADY, WATER])
def test_descent_on_a_grid_agrees(running: Running) -> None:
    found = Descents(falling(room(60, 20), -0.01, 0.0), Point(5.03, 10.02)).descent(0.1, 0.001, running, cautious=True)
    reach_m = tilted_reach_m(0.1, 0.001, 1e-6, 1.9e-4, 0.01, steady=running.steady)
    assert found.way_m == pytest.approx(reach_m, rel=0.02)


@pytest.mark.parametrize(
    ("volume_m3", "film_m", "running"), [(DRUM_M3, 0.0007, NARROW), (0.02, 0.005, NARROW), (DRUM_M3, 0.003, WIDE)]
)
def test_worst_tilt_uses_up_the_whole_tolerance(volume_m3: float, film_m: float, running: Running) -> None:
    tilt = worst_tilt(volume_m3, film_m, running)
    assert tilt.slope * tilt.reach_m == pytest.approx(DROP_M)
    assert tilt.reach_m == pytest.approx(
        tilted_reach_m(
            volume_m3,
            film_m,
            running.viscosity_m2_s,
            float(running.flow_of_m3_s(volume_m3)),
            tilt.slope,
            steady=running.steady,
        ),
        rel=2e-3,
    )


@pytest.mark.parametrize("volume_m3", [0.0, 5e-324, 1e-300, 1e-100, 1e-16])
def test_what_wets_nothing_runs_nowhere(volume_m3: float) -> None:
    tilt = worst_tilt(volume_m3, 0.0007, NARROW)
    assert tilt.slope == 0
    assert tilt.reach_m < 1e-6


def test_a_liquid_thicker_than_the_tolerance_does_not_notice_it() -> None:
    level_m = math.sqrt(DRUM_M3 / 0.01 / math.pi)
    assert worst_tilt(DRUM_M3, 0.01, Running(1e-2, 1e-2)).reach_m == pytest.approx(level_m)
    assert worst_tilt(0.0, 0.01, NARROW).reach_m == 0


@given(
    st.floats(1e-4, 1.0),
    st.floats(5e-4, 0.01),
    st.floats(1e-7, 1e-3),
    st.floats(1e-6, 5e-3),
    st.floats(1e-4, 0.05),
    st.floats(1.01, 3.0),
)
def test_law_more_slope_and_less_film_thickness_or_leak_go_farther(
    volume_m3: float, film_m: float, viscosity_m2_s: float, flow_m3_s: float, slope: float, factor: float
) -> None:
    here = tilted_reach_m(volume_m3, film_m, viscosity_m2_s, flow_m3_s, slope)
    assert tilted_reach_m(volume_m3, film_m, viscosity_m2_s, flow_m3_s, slope * factor) >= here * (1 - 1e-3)
    assert tilted_reach_m(volume_m3, film_m / factor, viscosity_m2_s, flow_m3_s, slope) >= here * (1 - 1e-3)
    assert tilted_reach_m(volume_m3 * factor, film_m, viscosity_m2_s, flow_m3_s, slope) >= here * (1 - 1e-3)
    assert tilted_reach_m(volume_m3, film_m, viscosity_m2_s / factor, flow_m3_s, slope) >= here * (1 - 1e-3)
    assert tilted_reach_m(volume_m3, film_m, viscosity_m2_s, flow_m3_s / factor, slope) >= here * (1 - 1e-3)
    assert here >= math.sqrt(volume_m3 / film_m / math.pi) * (1 - 1e-3)


def test_a_fan_runs_down_the_diagonal_of_the_known_fall_and_one_as_steep_across() -> None:
    line = line_of([(0, 0), (10, 0)], [0.1, 0.0])
    assert line is not None
    assert fan_slope(line) == pytest.approx(0.01 * math.sqrt(2))
    assert fan_reach_m(0.02, 0.001, WATER, line) == pytest.approx(
        tilted_reach_m(0.02, 0.001, 1e-6, 1.9e-4, 0.01 * math.sqrt(2))
    )
    steep = line_of([(0, 0), (1, 0)], [1.0, 0.0])
    assert steep is not None
    assert fan_slope(steep) == pytest.approx(0.25 * math.sqrt(2))
    assert fan_reach_m(0.0, 0.001, NARROW, line) == 0
    with pytest.raises(GeometryRefused, match="film depth"):
        fan_reach_m(0.1, 0.0, NARROW, line)


def test_area_ends_at_walls() -> None:
    floor = SpillFloor(room(20, 10, barriers=(wall((8, 0), (8, 10)),)))
    reach_m = worst_tilt(0.003, 0.001, NARROW).reach_m
    area = tilted_area(floor, Point(4, 5), reach_m, 0.001)
    assert 4.5 < reach_m < 7
    assert area.bounds == pytest.approx((0, max(5 - reach_m, 0), 8, min(5 + reach_m, 10)), abs=0.01)


@pytest.mark.parametrize(
    ("numbers", "words"),
    [
        ((-1.0, 0.001, 1e-6, 1e-4, 0.01), "spilt volume"),
        ((0.1, 0.0, 1e-6, 1e-4, 0.01), "film depth"),
        ((0.1, 0.001, math.nan, 1e-4, 0.01), "viscosity"),
        ((0.1, 0.001, 1e-6, 0.0, 0.01), "leak"),
        ((0.1, 0.001, 1e-6, 1e-4, -0.01), "slope: expected 0 or more, found -0.01"),
    ],
)
def test_refused_numbers(numbers: tuple[float, float, float, float, float], words: str) -> None:
    with pytest.raises(GeometryRefused, match=words):
        tilted_reach_m(*numbers)


def test_refused_drop() -> None:
    with pytest.raises(GeometryRefused, match="drop of the floor"):
        worst_tilt(0.1, 0.001, NARROW, drop_m=0.0)


def test_refused_reach() -> None:
    with pytest.raises(GeometryRefused, match="reach: expected 0 or more, found nan"):
        tilted_area(SpillFloor(room()), Point(4, 5), math.nan, 0.001)
