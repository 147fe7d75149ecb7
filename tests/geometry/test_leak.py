from math import inf, nan, sqrt

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from geometry.errors import GeometryRefused
from geometry.leak import (
    RunOut,
    jet_speed_m_s,
    lying_time_to_empty_s,
    lying_volume_m3,
    outflow_m3_s,
    round_hole_m2,
    time_between_levels_s,
    unwin_coefficient,
    upright_run_out,
)

DRUM_M = 0.5715
HOLE_M2 = round_hole_m2(0.01)


def upright(level_m: float = 0.8116, hole_height_m: float = 0.0, hole_m2: float = HOLE_M2) -> RunOut:
    return upright_run_out(DRUM_M, level_m, hole_height_m=hole_height_m, hole_m2=hole_m2, coefficient=0.61)


def test_a_jet_under_pressure_is_faster() -> None:
    # 9.80665 × 1 m and 9806.65 Pa of water are one head each: √2 as fast.
    assert jet_speed_m_s(1.0) == pytest.approx(sqrt(2 * 9.80665))
    assert jet_speed_m_s(1.0, gauge_pa=9806.65) == pytest.approx(sqrt(4 * 9.80665))
    assert jet_speed_m_s(0) == 0


def test_only_what_stands_above_the_hole_can_leave() -> None:
    assert upright(0.8, 0.3).leaves_m3 == pytest.approx(round_hole_m2(DRUM_M) * 0.5)
    assert upright(0.8, 0.8) == RunOut(0, 0, 0, 0)
    assert upright(0.8, 0.85) == RunOut(0, 0, 0, 0)


def test_half_is_gone_long_before_half_the_time() -> None:
    found = upright()
    assert found.half_s / found.empty_s == pytest.approx(1 - sqrt(0.5))


def test_a_level_that_does_not_fall_takes_no_time() -> None:
    assert time_between_levels_s(0.25, 0.5, 0.5, hole_m2=HOLE_M2, coefficient=0.61) == 0


def test_lying_drum_empty_half_and_full() -> None:
    full = round_hole_m2(DRUM_M) * 0.8509
    assert lying_volume_m3(DRUM_M, 0.8509, 0) == 0
    assert lying_volume_m3(DRUM_M, 0.8509, DRUM_M / 2) == pytest.approx(full / 2)
    assert lying_volume_m3(DRUM_M, 0.8509, DRUM_M) == pytest.approx(full)
    assert lying_volume_m3(0, 0.8509, 0) == 0


@pytest.mark.parametrize(
    ("refused", "message"),
    [
        (lambda: upright(level_m=0), "expected a drum with liquid in it, found an empty one"),
        (lambda: upright(hole_m2=1.0), "hole area: expected less than the drum's 0.2565 m², found 1"),
        (lambda: upright(hole_m2=0), "hole area: expected more than 0 m², found 0"),
        (lambda: upright(level_m=nan), "level: expected 0 or more, found nan"),
        (lambda: upright(hole_height_m=-0.1), "height of hole: expected 0 or more, found -0.1"),
        (lambda: jet_speed_m_s(-1), "head: expected 0 or more, found -1"),
        (lambda: jet_speed_m_s(1, gauge_pa=-5), "pressure: expected 0 or more, found -5"),
        (lambda: jet_speed_m_s(1, density_kg_m3=0), "density: expected more than 0 kg/m³, found 0"),
        (lambda: outflow_m3_s(1, inf, 0.61), "hole area: expected 0 or more, found inf"),
        (lambda: outflow_m3_s(1, HOLE_M2, 1.1), "discharge coefficient: .* found 1.1"),
        (lambda: outflow_m3_s(1, HOLE_M2, nan), "discharge coefficient: .* found nan"),
        (
            lambda: time_between_levels_s(0.25, 0.1, 0.5, hole_m2=HOLE_M2, coefficient=0.61),
            "level: expected one that falls, found 0.1 to 0.5 m",
        ),
        (lambda: lying_volume_m3(DRUM_M, 0.85, 0.6), "depth in lying drum: expected at most 0.5715 m, found 0.6"),
        (
            lambda: lying_time_to_empty_s(DRUM_M, 0.85, 0, hole_m2=HOLE_M2, coefficient=0.61),
            "expected a drum with liquid in it",
        ),
        (
            lambda: lying_time_to_empty_s(DRUM_M, 0.85, 0.3, hole_m2=0.3, coefficient=0.61),
            "hole area: expected less than the drum's",
        ),
        (lambda: unwin_coefficient(0, 0.025), "head: expected more than 0 m, found 0"),
        (lambda: round_hole_m2(-0.01), "hole diameter: expected 0 or more, found -0.01"),
    ],
)
def test_a_leak_that_cannot_be_is_refused(refused, message: str) -> None:  # type: ignore[no-untyped-def]
    with pytest.raises(GeometryRefused, match=message):
        refused()


def test_no_hole_lets_nothing_out() -> None:
    assert outflow_m3_s(1, 0, 0.61) == 0


LAW = settings(max_examples=60, derandomize=True, deadline=None)


@LAW
@given(st.floats(0.1, 0.85), st.floats(0.002, 0.1))
def test_what_flows_out_over_time_is_what_leaves(level: float, hole: float) -> None:
    # Flow falls in a straight line with time, so that half the first flow over the whole time is the volume.
    found = upright(level, 0.0, round_hole_m2(hole))
    assert found.first_m3_s * found.empty_s / 2 == pytest.approx(found.leaves_m3, rel=1e-9)


@LAW
@given(st.floats(0.0, DRUM_M), st.floats(0.0, DRUM_M))
def test_a_deeper_lying_drum_holds_more_and_takes_longer(one: float, other: float) -> None:
    shallow, deep = sorted((one, other))
    assert lying_volume_m3(DRUM_M, 0.85, shallow) <= lying_volume_m3(DRUM_M, 0.85, deep)
    if shallow > 0.01:
        times = [
            lying_time_to_empty_s(DRUM_M, 0.85, depth, hole_m2=HOLE_M2, coefficient=0.61) for depth in (shallow, deep)
        ]
        assert times[0] <= times[1]


@LAW
@given(st.floats(0.2, 0.8), st.floats(0.0, 0.7))
def test_a_higher_hole_lets_out_less(level: float, height: float) -> None:
    assert upright(level, height).leaves_m3 <= upright(level, 0.0).leaves_m3
    assert upright(level, height).first_m3_s <= upright(level, 0.0).first_m3_s
