from math import inf, nan, pi, sqrt

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from geometry.drum import DrumShape
from geometry.errors import GeometryRefused
from geometry.first_arrival import FirstArrival, Spreading, falling_arrival, level_arrival
from geometry.leak import Leak, leak, sudden
from geometry.orifice import open_bung, round_hole, slot
from geometry.similarity import (
    axisymmetric_radius_m,
    axisymmetric_time_s,
    inertial_time_s,
    slope_front_time_s,
)

DRUM = DrumShape(0.5715, 0.8509)
FULL_M3 = 0.2082
WATER = Spreading(1e-6, 1e-6, 0.0, 0.0)
"""Water whose film never rests: the bare laws."""
SOLVENT = Spreading(4e-7, 4e-7, 0.0028, 0.005)
OIL = Spreading(1e-4, 1e-4, 0.0028, 0.005)


def steady(flow_m3_s: float, lasts_s: float = 1e5) -> Leak:
    volume = flow_m3_s * lasts_s
    return Leak(
        np.array([0.0, lasts_s]),
        np.array([flow_m3_s, flow_m3_s]),
        np.array([volume, 0.0]),
        volume,
        lasts_s / 2,
        lasts_s,
        "steady, for checks",
    )


def hole(width_m: float = 0.010, content_m3: float = FULL_M3) -> Leak:
    return leak(DRUM, content_m3, round_hole(width_m), posture="upright", vented=True)


def ends(found: FirstArrival) -> tuple[float, float]:
    (early,), (late,) = found.early_s, found.late_s
    return float(early), float(late)


def test_a_steady_leak_without_a_film_arrives_by_the_bare_law() -> None:
    # 0.19 L/s of water to 2.906 m: 240 s by Huppert's law, whatever the end.
    early, late = ends(level_arrival(steady(0.19e-3), 2.906, WATER))
    assert early == pytest.approx(240, rel=0.001)
    assert late == pytest.approx(240, rel=0.001)


def test_a_steady_leak_down_a_slope_lies_between_the_hard_bounds() -> None:
    # 0.19 L/s of water, 5 m down 1 %: 52.7 to 76.8 s; near the source the front has a start of 6 cm on its law.
    early, late = ends(falling_arrival(steady(0.19e-3), 5.0, 0.01, WATER))
    assert early == pytest.approx(52.7, rel=0.02)
    assert early < 52.7
    assert late == pytest.approx(76.8, rel=0.005)


def test_late_waits_until_the_thick_film_covers_the_nearer_floor() -> None:
    # π × 2² m² at 5 mm are 62.8 L; a 10 mm hole lets them out in about 6 min.
    leaking = hole()
    _, late = ends(level_arrival(leaking, 2.0, SOLVENT))
    assert late == pytest.approx(leaking.when_out_s(pi * 4 * 0.005))
    assert 300 < late < 420


def test_a_pool_that_rests_before_the_place_never_gets_there() -> None:
    # 208.2 L at 5 mm rest within 3.64 m, at 2.8 mm within 4.87 m.
    found = level_arrival(hole(), [3.6, 4.0, 5.0], SOLVENT)
    assert np.isfinite(found.early_s).tolist() == [True, True, False]
    assert np.isfinite(found.late_s).tolist() == [True, False, False]


def test_a_thick_oil_is_late_by_its_viscosity_and_not_by_its_film() -> None:
    leaking = leak(DRUM, FULL_M3, slot(0.1, 0.01), posture="upright", vented=True)
    _, late = ends(level_arrival(leaking, 3.0, Spreading(1e-3, 1e-3, 0.0028, 0.005)))
    assert late > 10 * leaking.when_out_s(pi * 9 * 0.005)
    assert axisymmetric_radius_m(late, nu_m2_s=1e-3, volume_m3=FULL_M3) > 3.0


def test_walls_that_hem_in_make_it_sooner() -> None:
    # Along a wall the same leak fills half a disc, as twice the flow would fill a whole one.
    open_floor, by_a_wall = (
        level_arrival(steady(0.19e-3), 3.0, WATER, nearer_m2=pi * 9 * share) for share in (1.0, 0.5)
    )
    assert ends(by_a_wall)[0] == pytest.approx(float(axisymmetric_time_s(3.0, nu_m2_s=1e-6, flow_m3_s=0.38e-3)))
    assert ends(by_a_wall)[0] < ends(open_floor)[0]
    assert ends(by_a_wall)[1] == pytest.approx(ends(by_a_wall)[0], rel=1e-6)


def test_a_sudden_loss_is_never_sooner_than_its_weight_allows() -> None:
    early, late = ends(level_arrival(sudden(FULL_M3), 3.0, OIL, start_radius_m=0.28575))
    assert early == pytest.approx(float(inertial_time_s(3.0, FULL_M3, 0.28575)))
    # 60 s of gear oil spread to 3.036 m by the law of fixed volume.
    assert late == pytest.approx(60 * (3 / 3.036) ** 8, rel=0.01)
    at_once = leak(DRUM, FULL_M3, open_bung(0.5), posture="upright", vented=True)
    assert ends(level_arrival(at_once, 1.0, WATER))[0] == pytest.approx(float(inertial_time_s(1.0, FULL_M3, 0)))


def test_a_sudden_loss_slides_down_a_slope_faster_than_it_spreads_on_the_level() -> None:
    level, _ = ends(level_arrival(sudden(FULL_M3), 6.0, WATER))
    falling, _ = ends(falling_arrival(sudden(FULL_M3), 6.0, 0.02, WATER))
    assert 0.3 * level < falling < level
    # A volume that stands as a point slides as a body does: x = g s t² / 2 beside the spreading.
    spread = sqrt(falling * sqrt(8 * 9.80665 * FULL_M3 / pi))
    assert spread + 9.80665 * 0.02 * falling**2 / 2 == pytest.approx(6.0)


def test_a_place_at_the_leak_is_reached_at_once_and_an_empty_leak_reaches_nothing() -> None:
    assert ends(level_arrival(hole(), 0.0, SOLVENT)) == (0, 0)
    assert ends(level_arrival(hole(), 0.0, SOLVENT, nearer_m2=0.0)) == (0, 0)
    assert ends(falling_arrival(hole(), 0.0, 0.01, SOLVENT)) == (0, 0)
    dry = leak(DRUM, 0.1, round_hole(0.01, 0.8), posture="upright", vented=True)
    assert ends(level_arrival(dry, 0.0, SOLVENT)) == (inf, inf)
    assert ends(falling_arrival(dry, 1.0, 0.01, SOLVENT)) == (inf, inf)


def test_answers_many_places_at_once_as_it_does_one() -> None:
    ways = [0.5, 2.0, 3.3]
    together = level_arrival(hole(), ways, SOLVENT, nearer_m2=[0.5, 9.0, 30.0])
    for place, (way, nearer) in enumerate(zip(ways, (0.5, 9.0, 30.0), strict=True)):
        alone = level_arrival(hole(), way, SOLVENT, nearer_m2=nearer)
        assert ends(alone) == (together.early_s[place], together.late_s[place])


@pytest.mark.parametrize("bad", [nan, inf, -1.0])
def test_refuses_what_is_no_number_or_negative(bad: float) -> None:
    with pytest.raises(GeometryRefused, match=r"distance: expected 0 or more, found"):
        level_arrival(hole(), [1.0, bad], SOLVENT)
    with pytest.raises(GeometryRefused, match=r"nearer floor: expected 0 or more, found"):
        level_arrival(hole(), 1.0, SOLVENT, nearer_m2=bad)
    with pytest.raises(GeometryRefused, match=r"fall: expected 0 or more, found"):
        falling_arrival(hole(), 1.0, bad, SOLVENT)
    with pytest.raises(GeometryRefused, match="viscosity range"):
        Spreading(bad, 1e-4, 0.001, 0.002)
    with pytest.raises(GeometryRefused, match="film range"):
        Spreading(1e-6, 1e-4, 0.001, bad)


def test_refuses_contradictions() -> None:
    with pytest.raises(GeometryRefused, match="expected more than 0 m² where there is a way"):
        level_arrival(hole(), 1.0, SOLVENT, nearer_m2=0.0)
    with pytest.raises(GeometryRefused, match="fall: expected more than 0, found 0"):
        falling_arrival(hole(), 1.0, 0.0, SOLVENT)
    with pytest.raises(GeometryRefused, match="film range: expected the thin end first"):
        Spreading(1e-6, 1e-4, 0.005, 0.002)
    with pytest.raises(GeometryRefused, match="expected more than 0 m²/s"):
        Spreading(0.0, 1e-4, 0.001, 0.002)


@pytest.mark.filterwarnings("error")
@pytest.mark.parametrize("slower", [1e40, 1e100])
def test_a_liquid_ever_so_slow_takes_ever_so_long(slower: float) -> None:
    # The laws keep their form where flow, time and viscosity change by one factor; so does a sudden loss but for flow.
    thick = Spreading(1e-4 * slower, 1e-4 * slower, 0.0028, 0.005)
    as_slow = steady(0.19e-3 / slower, 1e3 * slower)
    for found, usual in (
        (level_arrival(as_slow, [1.0, 3.0, 9.0], thick), level_arrival(steady(0.19e-3, 1e3), [1.0, 3.0, 9.0], OIL)),
        (
            falling_arrival(as_slow, [1.0, 3.0, 9e3], 0.02, thick),
            falling_arrival(steady(0.19e-3, 1e3), [1.0, 3.0, 9e3], 0.02, OIL),
        ),
    ):
        assert found.early_s == pytest.approx(usual.early_s * slower, rel=1e-9)
        assert found.late_s == pytest.approx(usual.late_s * slower, rel=1e-9)
    _, late = ends(level_arrival(sudden(FULL_M3), 3.0, thick))
    assert late == pytest.approx(ends(level_arrival(sudden(FULL_M3), 3.0, OIL))[1] * slower)


@pytest.mark.filterwarnings("error")
def test_what_falls_next_to_nothing_or_is_next_to_nothing_gets_there_late_or_never() -> None:
    slightest = 1e-300
    for found in (
        falling_arrival(sudden(FULL_M3), 3.0, slightest, SOLVENT),
        falling_arrival(sudden(slightest), 3.0, 0.02, SOLVENT),
        falling_arrival(hole(), 3.0, slightest, SOLVENT),
        falling_arrival(steady(slightest, 1.0), 3.0, 0.02, SOLVENT),
        level_arrival(sudden(slightest), 3.0, SOLVENT),
        level_arrival(steady(slightest, 1.0), 3.0, SOLVENT),
    ):
        early, late = ends(found)
        assert 0 <= early <= late


widths = st.floats(0.002, 0.05)
ways = st.floats(0.0, 8.0)
liquids = st.sampled_from([WATER, SOLVENT, OIL, Spreading(4e-7, 1e-4, 0.0007, 0.010)])


@given(widths, widths, ways, ways, liquids, st.floats(0.2, 1.0), st.floats(0.002, 0.05))
def test_farther_is_never_earlier_and_more_flow_never_later(
    a: float, b: float, near: float, far: float, liquid: Spreading, share: float, fall: float
) -> None:
    (small, large), (near, far) = sorted((a, b)), sorted((near, far))
    slack = 1 - 1e-9
    for leaking in (hole(small), sudden(FULL_M3)):
        for found in (
            level_arrival(leaking, [near, far], liquid, nearer_m2=[pi * near**2 * share, pi * far**2 * share]),
            falling_arrival(leaking, [near, far], fall, liquid),
        ):
            assert found.early_s[0] * slack <= found.early_s[1]
            assert found.late_s[0] * slack <= found.late_s[1]
            assert (found.early_s <= found.late_s).all()
    for slow, fast in (
        (level_arrival(hole(small), far, liquid), level_arrival(hole(large), far, liquid)),
        (falling_arrival(hole(small), far, fall, liquid), falling_arrival(hole(large), far, fall, liquid)),
    ):
        assert fast.early_s * slack <= slow.early_s
        assert fast.late_s * 0.999 <= slow.late_s  # tables of 256 steps


@given(widths, st.floats(0.5, 6.0), st.floats(0.002, 0.05))
def test_the_early_end_on_a_slope_never_lags_the_law_itself(width: float, way: float, fall: float) -> None:
    leaking = hole(width)
    flow = float(leaking.flow_m3_s[0])
    early, late = ends(falling_arrival(leaking, way, fall, WATER))
    likely = float(slope_front_time_s(way, flow, 1e-6, fall))
    assert early <= likely
    assert late >= likely
