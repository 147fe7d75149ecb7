from math import inf, nan, pi

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from geometry.drum import DrumShape, Posture, held_m3, level_of_m, lying_volume_m3
from geometry.errors import GeometryRefused

DRUM = DrumShape(0.5715, 0.8509)


def test_a_drum_of_one_metre() -> None:
    drum = DrumShape(1.0, 2.0)
    assert drum.head_m2 == pytest.approx(pi / 4)
    assert drum.capacity_m3 == pytest.approx(pi / 2)
    assert (drum.height_m("upright"), drum.height_m("lying")) == (2.0, 1.0)


def test_empty_half_and_full() -> None:
    for posture in ("upright", "lying"):
        levels = np.array([0.0, 0.5, 1.0]) * DRUM.height_m(posture)
        assert held_m3(DRUM, levels, posture) == pytest.approx(np.array([0.0, 0.5, 1.0]) * DRUM.capacity_m3)
        for share in (0.0, 0.5, 1.0):
            found = level_of_m(DRUM, share * DRUM.capacity_m3, posture)
            assert found == pytest.approx(share * DRUM.height_m(posture), abs=1e-12)
    assert lying_volume_m3(0.5715, 0.8509, 0.28575) == pytest.approx(DRUM.capacity_m3 / 2)


def test_a_film_in_a_lying_drum_is_not_rounded_away() -> None:
    # A shallow segment is 4/3 √D h^1.5 per length, here of 1 µm.
    expected = 4 / 3 * 0.5715**0.5 * 1e-9 * 0.8509
    assert lying_volume_m3(0.5715, 0.8509, 1e-6) == pytest.approx(expected, rel=1e-5)
    assert level_of_m(DRUM, expected, "lying") == pytest.approx(1e-6, rel=1e-5)


@pytest.mark.parametrize(
    ("refused", "message"),
    [
        (lambda: DrumShape(0, 0.85), "drum diameter: expected more than 0 m, found 0"),
        (lambda: DrumShape(0.57, nan), "drum length: expected more than 0 m, found nan"),
        (lambda: DrumShape(inf, 0.85), "drum diameter: expected more than 0 m, found inf"),
        (lambda: DRUM.height_m("leaning"), "posture of drum: expected upright or lying, found 'leaning'"),  # type: ignore[arg-type]
        (lambda: level_of_m(DRUM, 0.2184, "upright"), "expected at most the 0.2183 m³ it holds, found 0.2184"),
        (lambda: level_of_m(DRUM, -0.1, "lying"), "content of drum: expected 0 m³ or more, found -0.1"),
        (lambda: level_of_m(DRUM, nan, "lying"), "content of drum: expected 0 m³ or more, found nan"),
        (lambda: held_m3(DRUM, np.array([0.1, 0.9]), "upright"), "level in upright drum: expected 0 to 0.8509 m"),
        (lambda: held_m3(DRUM, np.array([nan]), "lying"), "level in lying drum: expected 0 to 0.5715 m"),
        (lambda: lying_volume_m3(0.5715, 0.85, 0.6), "level in lying drum: expected 0 to 0.5715 m, found .*0.6"),
    ],
)
def test_a_drum_that_cannot_be_is_refused(refused, message: str) -> None:  # type: ignore[no-untyped-def]
    with pytest.raises(GeometryRefused, match=message):
        refused()


LAW = settings(max_examples=60, derandomize=True, deadline=None)
POSTURES = st.sampled_from(["upright", "lying"])


@LAW
@given(st.floats(0.0, 1.0), POSTURES)
def test_level_and_content_are_one_the_inverse_of_the_other(share: float, posture: Posture) -> None:
    level = level_of_m(DRUM, share * DRUM.capacity_m3, posture)
    assert held_m3(DRUM, np.array([level]), posture)[0] == pytest.approx(share * DRUM.capacity_m3, abs=1e-14)


@LAW
@given(st.floats(0.0, 1.0), st.floats(0.0, 1.0), POSTURES)
def test_a_higher_level_holds_more(one: float, other: float, posture: Posture) -> None:
    low, high = held_m3(DRUM, np.array(sorted((one, other))) * DRUM.height_m(posture), posture)
    assert low <= high
