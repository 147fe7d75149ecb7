from math import inf, nan

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from geometry.emptying import lying_time_to_empty_s, time_between_levels_s
from geometry.errors import GeometryRefused
from geometry.orifice import round_hole_m2

DRUM_M = 0.5715
HOLE_M2 = round_hole_m2(0.01)


def lying(depth_m: float, hole_m2: float = HOLE_M2, coefficient: float = 0.61) -> float:
    return lying_time_to_empty_s(DRUM_M, 0.8509, depth_m, hole_m2=hole_m2, coefficient=coefficient)


def test_a_tank_of_one_square_metre() -> None:
    # 1 m² through 1 cm² at coefficient 1 from 1.2 m: 2 × 10⁴ × √1.2 / √19.6133 s.
    assert time_between_levels_s(1, 1.2, 0, hole_m2=1e-4, coefficient=1) == pytest.approx(4947.04, abs=0.01)


def test_a_level_that_does_not_fall_takes_no_time() -> None:
    assert time_between_levels_s(0.25, 0.5, 0.5, hole_m2=HOLE_M2, coefficient=0.61) == 0


@pytest.mark.parametrize(
    ("refused", "message"),
    [
        (
            lambda: time_between_levels_s(0.25, 0.1, 0.5, hole_m2=HOLE_M2, coefficient=0.61),
            "level: expected one that falls, found 0.1 to 0.5 m",
        ),
        (
            lambda: time_between_levels_s(0.25, 0.5, 0.1, hole_m2=0.25, coefficient=0.61),
            "hole area: expected less than the vessel's 0.25 m², found 0.25",
        ),
        (lambda: lying(0), "expected a drum with liquid in it"),
        (lambda: lying(0.6), "level in lying drum: expected 0 to 0.5715 m, found .*0.6"),
        (lambda: lying(nan), "level in lying drum: expected 0 to 0.5715 m, found .*nan"),
        (lambda: lying(0.3, hole_m2=0.3), "hole area: expected less than the drum's"),
        (lambda: lying(0.3, hole_m2=0), "hole area: expected more than 0, found 0"),
        (lambda: lying(0.3, hole_m2=inf), "hole area: expected more than 0, found inf"),
        (lambda: lying(0.3, coefficient=0), "discharge coefficient: .* found 0"),
    ],
)
def test_an_emptying_that_cannot_be_is_refused(refused, message: str) -> None:  # type: ignore[no-untyped-def]
    with pytest.raises(GeometryRefused, match=message):
        refused()


@settings(max_examples=60, derandomize=True, deadline=None)
@given(st.floats(0.01, DRUM_M), st.floats(0.01, DRUM_M))
def test_a_deeper_lying_drum_takes_longer(one: float, other: float) -> None:
    shallow, deep = sorted((one, other))
    assert lying(shallow) <= lying(deep)
