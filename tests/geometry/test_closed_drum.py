from math import inf, nan

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from geometry.closed_drum import (
    Stall,
    closed_flow_m3_s,
    closed_heads_m,
    flooding_m3_s,
    glug_m3_s,
    glug_time_s,
    holding_diameter_m,
    stall,
)
from geometry.constants import ATMOSPHERE_PA
from geometry.drum import DrumShape, Posture
from geometry.errors import GeometryRefused
from geometry.orifice import round_hole

DRUM = DrumShape(0.5715, 0.8509)
WATER_KG_M3 = 998.2


def test_a_drum_of_one_square_metre_stalls() -> None:
    # 1 m² by 2 m, 1 m of a liquid whose metre weighs a tenth of the air: P x / (1 + x) = P (1 - x) / 10, where
    # x² + 10 x - 1 = 0.
    drum, density = DrumShape(1.1283791670955126, 2.0), ATMOSPHERE_PA / 98.0665
    found = stall(drum, 1.0, 0.0, posture="upright", density_kg_m3=density)
    assert found.out_m3 == pytest.approx(26**0.5 - 5)
    assert found.head_m == pytest.approx(1 - found.out_m3)
    assert found.suction_pa == pytest.approx(ATMOSPHERE_PA / 10 * found.head_m)


def test_a_drum_without_headspace_lets_nothing_go_and_a_dry_hole_nothing_either() -> None:
    brim = stall(DRUM, DRUM.capacity_m3, 0.0, posture="upright", density_kg_m3=WATER_KG_M3)
    assert (brim.out_m3, brim.head_m) == (0, 0.8509)
    assert stall(DRUM, 0.1, 0.6, posture="upright", density_kg_m3=WATER_KG_M3) == Stall(0, 0, 0)
    assert stall(DRUM, 0.0, 0.0, posture="lying", density_kg_m3=WATER_KG_M3) == Stall(0, 0, 0)


def test_levels_are_added_down_to_the_stall() -> None:
    heads = closed_heads_m(np.array([1.0, 0.5, 0.0]), 0.9)
    assert heads[0] == 1.0
    assert heads[-1] == 0.0
    assert {0.5, 0.9} <= set(heads.tolist())
    assert np.all(np.diff(heads) < 0)
    assert np.count_nonzero(heads >= 0.9) == 33


def test_flow_falls_from_vented_to_glugging() -> None:
    # 2 in bung of 0.61: 4.93 L/s at first under 0.8116 m, then 0.477 L/s, at last as vented.
    heads = np.array([0.8116, 0.7, 0.4, 0.001, 0.0])
    flow = closed_flow_m3_s(DRUM, round_hole(0.0508), heads, DRUM.head_m2 * heads, WATER_KG_M3) * 1000
    assert flow == pytest.approx(np.array([4.933, 0.4769, 0.4769, 0.1731, 0.0]), rel=1e-3)


def test_glugging_by_hand() -> None:
    # π/12 √9.80665 0.0508^2.5 = 0.2618 × 3.1316 × 5.816e-4.
    assert glug_m3_s(0.0508) == pytest.approx(4.768e-4, rel=1e-3)
    assert DRUM.capacity_m3 / glug_m3_s(0.0508) == pytest.approx(glug_time_s(DRUM, 0.0508))
    # √(9.80665 × 0.0508 × 997.0) = 22.29; over (1.0475 + 5.6209)² = 44.47; times 2.0268e-3 m² and C².
    assert flooding_m3_s(0.0508, WATER_KG_M3) == pytest.approx((0.49 * 1.0158e-3, 1.0158e-3), rel=1e-3)


@pytest.mark.parametrize(
    ("refused", "message"),
    [
        (
            lambda: stall(DRUM, 0.3, 0, posture="upright", density_kg_m3=1000),
            "content of drum: expected at most the 0.2183 m³ it holds",
        ),
        (
            lambda: stall(DRUM, 0.1, 0.9, posture="upright", density_kg_m3=1000),
            "height of hole: expected 0 to the drum's 0.8509 m, found 0.9",
        ),
        (lambda: stall(DRUM, 0.1, nan, posture="upright", density_kg_m3=1000), "height of hole: .* found nan"),
        (lambda: stall(DRUM, 0.1, 0, posture="upright", density_kg_m3=0), "density: expected more than 0, found 0"),
        (lambda: glug_m3_s(-0.05), "hole diameter: expected more than 0, found -0.05"),
        (lambda: glug_time_s(DRUM, 0.6), "hole diameter: expected less than the drum's 0.5715 m, found 0.6"),
        (lambda: flooding_m3_s(0.05, 1.0), "density: expected more than that of air, 1.204 kg/m³, found 1.0"),
        (lambda: flooding_m3_s(nan, 1000), "hole diameter: expected more than 0, found nan"),
        (lambda: holding_diameter_m(0, 1000), "surface tension: expected more than 0, found 0"),
        (lambda: holding_diameter_m(0.07, inf), "density: expected more than 0, found inf"),
    ],
)
def test_a_closed_drum_that_cannot_be_is_refused(refused, message: str) -> None:  # type: ignore[no-untyped-def]
    with pytest.raises(GeometryRefused, match=message):
        refused()


LAW = settings(max_examples=60, derandomize=True, deadline=None)


@LAW
@given(st.floats(0.01, 1.0), st.floats(0.0, 1.0), st.sampled_from(["upright", "lying"]), st.floats(600, 2000))
def test_suction_and_head_are_alike_where_it_stalls(
    share: float, height: float, posture: Posture, density: float
) -> None:
    content = share * DRUM.capacity_m3
    found = stall(DRUM, content, height * DRUM.height_m(posture), posture=posture, density_kg_m3=density)
    assert 0 <= found.out_m3 <= content
    headspace = DRUM.capacity_m3 - content
    if found.head_m > 1e-6 and headspace > 1e-6:
        stretched = ATMOSPHERE_PA * found.out_m3 / (headspace + found.out_m3)
        assert stretched == pytest.approx(found.suction_pa, rel=1e-6, abs=1e-3)


@LAW
@given(st.floats(0.005, 0.2), st.floats(0.005, 0.2), st.floats(600, 2000))
def test_a_wider_opening_glugs_faster_and_floods_faster(one: float, other: float, density: float) -> None:
    fine, wide = sorted((one, other))
    assert glug_m3_s(fine) <= glug_m3_s(wide)
    assert flooding_m3_s(fine, density)[0] <= flooding_m3_s(wide, density)[0]
    low, high = flooding_m3_s(wide, density)
    assert low < high
