from math import nan

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from geometry.drum import DrumShape, lying_volume_m3
from geometry.errors import GeometryRefused
from geometry.leak import leak
from geometry.orifice import round_hole
from geometry.turning import Breach, Standing, best_turn, turns

DRUM = DrumShape(0.5715, 0.8509)
FULL_M3 = 0.208198
RADIUS_M = 0.28575


def test_a_hole_low_in_the_wall_of_an_upright_drum() -> None:
    # 0.8116 m of liquid. Hole at 0.1 m: 0.7116 m can leave; on its head the hole is at 0.7509 m: 0.0607 m can;
    # lying with the hole at the top nothing can, since the drum is not full.
    found = turns(DRUM, FULL_M3, Breach(0.1, RADIUS_M), standing="upright")
    assert [turn.position for turn in found] == ["as it is", "lying, hole at the top", "on its head"]
    assert [turn.leaves_m3 for turn in found] == [
        pytest.approx(DRUM.head_m2 * 0.7116, rel=1e-3),
        0,
        pytest.approx(DRUM.head_m2 * 0.0607, rel=1e-2),
    ]
    best = best_turn(DRUM, FULL_M3, Breach(0.1, RADIUS_M), standing="upright")
    assert (best.position, best.posture, best.hole_height_m) == ("lying, hole at the top", "lying", 0.5715)
    assert best.saved_m3 == pytest.approx(found[0].leaves_m3)


def test_a_lying_drum_is_rolled_or_stood_up() -> None:
    # Hole a quarter round: half the drum can leave; rolled to the top nothing.
    side = Breach(0.4, RADIUS_M)
    now, rolled, *_ = turns(DRUM, DRUM.capacity_m3, side, standing="lying", clock_deg=90)
    assert now.leaves_m3 == pytest.approx(DRUM.capacity_m3 / 2)
    assert (rolled.position, rolled.leaves_m3) == ("lying, hole at the top", 0)
    assert best_turn(DRUM, DRUM.capacity_m3, side, standing="lying", clock_deg=90) == rolled
    # A bung in the head, on the axis: rolling does nothing, standing the drum up keeps everything.
    bung = Breach(0.8509, 0.0)
    assert best_turn(DRUM, FULL_M3, bung, standing="lying").position == "upright"
    assert best_turn(DRUM, FULL_M3, Breach(0.0, 0.0), standing="lying").position == "on its head"


def test_a_drum_that_keeps_its_liquid_is_left_as_it_is() -> None:
    for standing, breach, clock in (
        ("upright", Breach(0.84, RADIUS_M), 180.0),
        ("lying", Breach(0.4, RADIUS_M), 0.0),
    ):
        best = best_turn(DRUM, FULL_M3, breach, standing=standing, clock_deg=clock)  # type: ignore[arg-type]
        assert (best.position, best.leaves_m3, best.saved_m3) == ("as it is", 0, 0)


def test_the_lowest_edge_of_the_hole_counts() -> None:
    found = turns(DRUM, DRUM.capacity_m3, Breach(0.4, RADIUS_M, 0.1), standing="upright")
    assert [turn.hole_height_m for turn in found] == pytest.approx([0.35, 0.5215, 0.4009])
    assert found[1].leaves_m3 == pytest.approx(DRUM.capacity_m3 - lying_volume_m3(0.5715, 0.8509, 0.5215))
    low = turns(DRUM, FULL_M3, Breach(0.01, RADIUS_M, 0.1), standing="upright")
    assert low[0].hole_height_m == 0


def test_a_drum_on_its_head_is_stood_up() -> None:
    best = best_turn(DRUM, 0.1, Breach(0.8509, 0.2), standing="on its head")
    # Half full it keeps everything lying too, and lying comes first.
    assert (best.position, best.leaves_m3) == ("lying, hole at the top", 0)
    assert best_turn(DRUM, DRUM.capacity_m3, Breach(0.8509, 0.2), standing="on its head").position == "upright"


@pytest.mark.parametrize(
    ("refused", "message"),
    [
        (lambda: best_turn(DRUM, 0.3, Breach(0.1, 0.2), standing="upright"), "expected at most the 0.2183 m³ it holds"),
        (lambda: best_turn(DRUM, nan, Breach(0.1, 0.2), standing="upright"), "content of drum: .* found nan"),
        (
            lambda: best_turn(DRUM, 0.1, Breach(0.9, 0.2), standing="upright"),
            "hole along the drum: expected 0 to 0.8509 m, found 0.9",
        ),
        (
            lambda: best_turn(DRUM, 0.1, Breach(0.1, 0.3), standing="upright"),
            "hole off the drum's axis: expected 0 to 0.28575 m, found 0.3",
        ),
        (
            lambda: best_turn(DRUM, 0.1, Breach(0.1, 0.2, nan), standing="upright"),
            "hole from edge to edge: expected 0 to 0.5715 m, found nan",
        ),
        (
            lambda: best_turn(DRUM, 0.1, Breach(0.1, 0.2), standing="lying", clock_deg=nan),
            "hole round the drum: expected a number of degrees, found nan",
        ),
        (
            lambda: best_turn(DRUM, 0.1, Breach(0.1, 0.2), standing="askew"),  # type: ignore[arg-type]
            "drum: expected one upright, on its head or lying, found 'askew'",
        ),
    ],
)
def test_a_turning_that_cannot_be_is_refused(refused, message: str) -> None:  # type: ignore[no-untyped-def]
    with pytest.raises(GeometryRefused, match=message):
        refused()


@settings(max_examples=80, derandomize=True, deadline=None)
@given(
    st.floats(0.0, 1.0),
    st.floats(0.0, 0.8509),
    st.floats(0.0, RADIUS_M),
    st.sampled_from(["upright", "on its head", "lying"]),
    st.floats(0.0, 360.0),
)
def test_turning_never_saves_less_than_nothing(
    share: float, along: float, off_axis: float, standing: Standing, clock: float
) -> None:
    content, breach = share * DRUM.capacity_m3, Breach(along, off_axis)
    best = best_turn(DRUM, content, breach, standing=standing, clock_deg=clock)
    assert 0 <= best.saved_m3 <= content
    every = turns(DRUM, content, breach, standing=standing, clock_deg=clock)
    assert best.leaves_m3 <= min(turn.leaves_m3 for turn in every) + 1e-9
    # What a position lets out is what the leak itself lets out.
    if content > 0:
        hole = round_hole(0.01, min(best.hole_height_m, DRUM.height_m(best.posture)))
        found = leak(DRUM, content, hole, posture=best.posture, vented=True)
        assert found.leaves_m3 == pytest.approx(best.leaves_m3, abs=1e-12)
