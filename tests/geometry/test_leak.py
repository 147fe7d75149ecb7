from math import inf, nan, sqrt

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from geometry.drum import DrumShape, Posture, lying_volume_m3
from geometry.errors import GeometryRefused
from geometry.leak import SUDDEN, Leak, leak, sudden
from geometry.orifice import SHARP_ROUND, Hole, open_bung, round_hole, round_hole_m2

DRUM = DrumShape(0.5715, 0.8509)
WATER_KG_M3 = 998.2


def upright(level_m: float = 0.8116, height_m: float = 0.0, hole_m: float = 0.01, *, vented: bool = True) -> Leak:
    hole = round_hole(hole_m, height_m)
    density = None if vented else WATER_KG_M3
    return leak(DRUM, DRUM.head_m2 * level_m, hole, posture="upright", vented=vented, density_kg_m3=density)


def test_an_upright_drum_by_hand() -> None:
    # 0.8 m over 10 mm at 0.61: 0.18978 L/s; flow falls in a straight line, so 205.2 L take 2 × 205.2 / 0.18978 s.
    found = upright(0.8)
    assert found.flow_at(0) * 1000 == pytest.approx(0.18978, rel=1e-4)
    assert found.leaves_m3 == pytest.approx(DRUM.head_m2 * 0.8)
    assert found.stop_s == pytest.approx(2 * DRUM.head_m2 * 0.8 / 0.18978e-3, rel=1e-4)
    assert found.half_s / found.stop_s == pytest.approx(1 - sqrt(0.5))
    # Half way in time the flow is half, and a quarter is left.
    assert found.flow_at(found.stop_s / 2) == pytest.approx(found.flow_m3_s[0] / 2)
    assert found.out_m3(found.stop_s / 2) == pytest.approx(0.75 * found.leaves_m3)


def test_only_what_stands_above_the_hole_can_leave() -> None:
    assert upright(0.8, 0.3).leaves_m3 == pytest.approx(DRUM.head_m2 * 0.5)
    assert upright(0.8, 0.3).left_m3[-1] == pytest.approx(DRUM.head_m2 * 0.3)
    assert upright(0.8, 0.8).leaves_m3 == pytest.approx(0, abs=1e-15)
    for height in (0.81, 0.85, 0.8509):
        dry = upright(0.8, height)
        assert (dry.leaves_m3, dry.half_s, dry.stop_s) == (0, 0, 0)
        assert dry.flow_at([0, 1]).tolist() == [0, 0]
        assert dry.left_m3.tolist() == [DRUM.head_m2 * 0.8]


def test_a_lying_drum_keeps_what_lies_below_the_hole() -> None:
    found = leak(DRUM, DRUM.capacity_m3, round_hole(0.01, 0.15), posture="lying", vented=True)
    assert found.left_m3[-1] == pytest.approx(lying_volume_m3(0.5715, 0.8509, 0.15))
    assert found.left_m3[-1] * 1000 == pytest.approx(45.70, rel=0.002)


def test_time_to_a_volume_and_back() -> None:
    found = upright()
    for share in (0.0, 1e-6, 0.3, 0.5, 0.999):
        time = found.when_out_s(share * found.leaves_m3)
        assert found.out_m3(time) == pytest.approx(share * found.leaves_m3, abs=1e-12)
    assert found.when_out_s(found.leaves_m3) == pytest.approx(found.stop_s)
    assert found.when_out_s(found.leaves_m3 * 1.001) == inf
    assert found.when_out_s(0) == 0
    assert found.out_m3([0, inf]).tolist() == [0, pytest.approx(found.leaves_m3)]
    assert found.flow_at([0, found.stop_s + 1, inf])[1:].tolist() == [0, 0]


def test_everything_at_once() -> None:
    found = sudden(0.2)
    assert (found.leaves_m3, found.half_s, found.stop_s, found.model) == (0.2, 0, 0, SUDDEN)
    assert found.out_m3([0, 5]).tolist() == [0.2, 0.2]
    assert found.flow_at([0, 5]).tolist() == [0, 0]
    assert found.when_out_s(0.1) == 0
    assert found.when_out_s(0.3) == inf


def test_a_closed_drum_spurts_and_then_glugs() -> None:
    vented, closed = upright(hole_m=0.0508), upright(hole_m=0.0508, vented=False)
    assert closed.flow_m3_s[0] == pytest.approx(vented.flow_m3_s[0])
    assert closed.flow_at(closed.stop_s / 2) * 1000 == pytest.approx(0.477, rel=0.01)
    assert closed.leaves_m3 == pytest.approx(vented.leaves_m3)
    assert closed.stop_s > 4 * vented.stop_s
    assert "glugging" in closed.model
    assert "vented" in vented.model


def test_a_thick_liquid_is_said_to_be_slower_and_changes_no_number() -> None:
    hole = round_hole(0.01)
    thin, thick = (
        leak(DRUM, 0.2, hole, posture="upright", vented=True, viscosity_m2_s=viscosity) for viscosity in (1e-6, 1e-3)
    )
    assert thick.time_s.tolist() == thin.time_s.tolist()
    assert "more slowly" in thick.model
    assert "more slowly" not in thin.model


def test_a_small_hole_may_hold_but_no_stop_is_promised() -> None:
    small, wide = (
        leak(
            DRUM,
            0.2,
            round_hole(hole),
            posture="upright",
            vented=False,
            density_kg_m3=WATER_KG_M3,
            surface_tension_n_m=0.0728,
        )
        for hole in (0.0099, 0.0102)
    )
    assert "may hold" in small.model
    assert "do not promise a stop" in small.model
    assert "may hold" not in wide.model
    assert small.leaves_m3 == wide.leaves_m3


def test_a_table_cannot_be_written_to() -> None:
    with pytest.raises(ValueError, match="read-only"):
        upright().left_m3[0] = 1


@pytest.mark.parametrize(
    ("refused", "message"),
    [
        (lambda: upright(level_m=0), "expected a drum with liquid in it, found an empty one"),
        (lambda: upright(hole_m=0.5715), "hole area: expected less than the drum's 0.2565 m², found 0.2565"),
        (lambda: upright(level_m=nan), "content of drum: expected 0 m³ or more, found nan"),
        (lambda: upright(level_m=-0.1), "content of drum: expected 0 m³ or more, found -0.02565"),
        (lambda: upright(level_m=0.9), "content of drum: expected at most the 0.2183 m³ it holds, found 0.2309"),
        (lambda: upright(height_m=0.86), "height of hole: expected at most the drum's 0.8509 m, found 0.86"),
        (
            lambda: leak(DRUM, 0.1, round_hole(0.01, 0.6), posture="lying", vented=True),
            "height of hole: expected at most the drum's 0.5715 m, found 0.6",
        ),
        (
            lambda: leak(DRUM, 0.1, round_hole(0.01), posture="upright", vented=False),
            "density in a closed drum: expected more than 0 kg/m³, found None",
        ),
        (
            lambda: leak(DRUM, 0.1, round_hole(0.01), posture="upright", vented=False, density_kg_m3=-1),
            "density in a closed drum: expected more than 0 kg/m³, found -1",
        ),
        (
            lambda: leak(DRUM, 0.1, round_hole(0.01), posture="askew", vented=True),  # type: ignore[arg-type]
            "posture of drum: expected upright or lying, found 'askew'",
        ),
        (lambda: sudden(0), "expected a drum with liquid in it, found 0 m³"),
        (lambda: sudden(nan), "expected a drum with liquid in it, found nan m³"),
        (lambda: upright().flow_at(-1), "time: expected 0 s or more, found -1"),
        (lambda: upright().out_m3([0, nan]), "time: expected 0 s or more, found .*nan"),
        (lambda: upright().when_out_s(-1), "volume out of a drum: expected 0 m³ or more, found -1"),
    ],
)
def test_a_leak_that_cannot_be_is_refused(refused, message: str) -> None:  # type: ignore[no-untyped-def]
    with pytest.raises(GeometryRefused, match=message):
        refused()


LAW = settings(max_examples=60, derandomize=True, deadline=None)


@st.composite
def leaks(draw: st.DrawFn) -> tuple[float, Hole, Posture]:
    """A content and a hole somewhere in the drum, standing or lying."""
    posture: Posture = draw(st.sampled_from(["upright", "lying"]))
    share = draw(st.floats(0.01, 1.0))
    height = draw(st.floats(0.0, 1.0)) * DRUM.height_m(posture)
    hole = draw(st.floats(0.001, 0.2))
    return share * DRUM.capacity_m3, Hole(round_hole_m2(hole), SHARP_ROUND, height), posture


@LAW
@given(leaks(), st.booleans())
def test_volume_is_closed_and_the_flow_never_rises(drawn: tuple[float, Hole, Posture], vented: bool) -> None:  # noqa: FBT001
    content, hole, posture = drawn
    found = leak(DRUM, content, hole, posture=posture, vented=vented, density_kg_m3=WATER_KG_M3)
    assert found.left_m3[0] == pytest.approx(content, rel=1e-12)
    assert found.leaves_m3 + found.left_m3[-1] == pytest.approx(content, rel=1e-12)
    steps = np.diff(found.time_s) * (found.flow_m3_s[:-1] + found.flow_m3_s[1:]) / 2
    assert float(steps.sum()) == pytest.approx(found.leaves_m3, rel=1e-9, abs=1e-15)
    assert np.all(np.diff(found.flow_m3_s) <= 1e-15)
    assert np.all(np.diff(found.time_s) >= 0)
    assert found.flow_m3_s[-1] == 0
    assert 0 <= found.half_s <= found.stop_s
    times = np.linspace(0, found.stop_s, 50)
    out = found.out_m3(times)
    assert np.all(np.diff(out) >= -1e-15)
    assert np.interp(times, found.time_s, found.left_m3) + out == pytest.approx(content, rel=1e-3)


@LAW
@given(leaks(), st.floats(700, 1800))
def test_closing_the_vent_never_lets_more_out(drawn: tuple[float, Hole, Posture], density: float) -> None:
    content, hole, posture = drawn
    vented, closed = (
        leak(DRUM, content, hole, posture=posture, vented=vented, density_kg_m3=density) for vented in (True, False)
    )
    assert closed.leaves_m3 <= vented.leaves_m3 * (1 + 1e-12)
    assert closed.stop_s >= vented.stop_s * (1 - 1e-4)
    times = np.linspace(0, vented.stop_s, 40)
    assert np.all(closed.out_m3(times) <= vented.out_m3(times) + 1e-4 * vented.leaves_m3 + 1e-15)
    # At one and the same level the closed drum's flow is the smaller one.
    left = closed.left_m3
    at_same_level = np.interp(-left, -vented.left_m3, vented.flow_m3_s)
    assert np.all(closed.flow_m3_s <= at_same_level * (1 + 1e-3) + 1e-12)


@LAW
@given(leaks(), st.floats(0.0, 1.0))
def test_a_higher_hole_lets_out_less(drawn: tuple[float, Hole, Posture], share: float) -> None:
    content, hole, posture = drawn
    lower = Hole(hole.area_m2, hole.coefficient, share * hole.height_m)
    high, low = (leak(DRUM, content, each, posture=posture, vented=True) for each in (hole, lower))
    assert high.leaves_m3 <= low.leaves_m3 + 1e-12
    assert high.flow_m3_s[0] <= low.flow_m3_s[0] + 1e-15


@LAW
@given(leaks(), st.floats(1.0, 3.0))
def test_a_larger_hole_is_faster_by_as_much(drawn: tuple[float, Hole, Posture], factor: float) -> None:
    content, hole, posture = drawn
    larger = Hole(hole.area_m2 * factor, hole.coefficient, hole.height_m)
    fine, wide = (leak(DRUM, content, each, posture=posture, vented=True) for each in (hole, larger))
    assert wide.stop_s * factor == pytest.approx(fine.stop_s)
    assert wide.leaves_m3 == pytest.approx(fine.leaves_m3)


def test_an_open_bung_is_faster_than_a_sharp_hole() -> None:
    bung, hole = (
        leak(DRUM, 0.2, each, posture="upright", vented=True) for each in (open_bung(0.0508), round_hole(0.0508))
    )
    assert bung.stop_s / hole.stop_s == pytest.approx(0.61 / 0.80)
