"""Closed drums and turned ones against published laws; P-numbers are those of the project's list of checks.

The source stands beside each check. *Recalled* means that the value was known by heart and the document not read.
"""

from math import pi, sqrt

import numpy as np
import pytest
from scipy.integrate import quad

from geometry.closed_drum import (
    flooding_m3_s,
    glug_m3_s,
    glug_time_s,
    holding_diameter_m,
    stall,
)
from geometry.constants import ATMOSPHERE_PA, DRUM_55_GALLON_M3, INCH_M
from geometry.drum import level_of_m
from geometry.film import capillary_length_m
from geometry.leak import DrumShape, Hole, leak
from geometry.orifice import SHARP_ROUND, round_hole, round_hole_m2, slot

DRUM = DrumShape(22.5 * INCH_M, 33.5 * INCH_M)
"""Inside of a 55 gallon steel drum. Source: a published drum table."""

WATER_KG_M3 = 998.2
BUNG = Hole(round_hole_m2(2 * INCH_M), SHARP_ROUND, 0.0)


def test_p09_closed_drum_stalls() -> None:
    # Isothermal gas balance (Boyle's law against the head; derived): 10.076 L of headspace, 0.8116 m of water: 0.853 L.
    headspace = DRUM.capacity_m3 - DRUM_55_GALLON_M3
    assert headspace * 1000 == pytest.approx(10.076, rel=0.005)
    found = stall(DRUM, DRUM_55_GALLON_M3, 0.0, posture="upright", density_kg_m3=WATER_KG_M3)
    assert found.out_m3 * 1000 == pytest.approx(0.853, rel=0.03)
    stretched = ATMOSPHERE_PA * found.out_m3 / (headspace + found.out_m3)
    assert stretched == pytest.approx(WATER_KG_M3 * 9.80665 * found.head_m, rel=1e-9)


def test_p10_drum_on_its_head_glugs_or_pours() -> None:
    # C. Clanet and G. Searby, J. Fluid Mech. 510 (2004) (recalled): 458 s closed; Torricelli at 0.61: 86.4 s vented.
    assert glug_time_s(DRUM, 2 * INCH_M) == pytest.approx(458, rel=0.01)
    vented, closed = (
        leak(DRUM, DRUM.capacity_m3, BUNG, posture="upright", vented=vented, density_kg_m3=WATER_KG_M3)
        for vented in (True, False)
    )
    assert vented.stop_s == pytest.approx(86.4, rel=0.01)
    assert closed.stop_s == pytest.approx(458, rel=0.01)
    assert closed.stop_s / vented.stop_s == pytest.approx(5.3, rel=0.02)


def test_p10_flooding_gives_the_same_size_of_glugging() -> None:
    # G. B. Wallis's correlation with P. B. Whalley's constants, 1987 (recalled): 0.5 to 1.0 L/s for a 2 in bung.
    low, high = flooding_m3_s(2 * INCH_M, WATER_KG_M3)
    assert low * 1000 == pytest.approx(0.5, rel=0.05)
    assert high * 1000 == pytest.approx(1.0, rel=0.05)
    assert glug_m3_s(2 * INCH_M) == pytest.approx(low, rel=0.2)


@pytest.mark.parametrize(
    ("liquid", "tension", "density", "width_mm"),
    [
        ("water", 0.0728, 998.2, 10.0),
        ("acetone", 0.0235, 790.0, 6.4),
    ],
)
def test_p11_widest_hole_that_may_hold(liquid: str, tension: float, density: float, width_mm: float) -> None:
    # Rayleigh and Taylor in a tube, 3.682 = 2 × 1.841 capillary lengths (recalled); 1.841 is the first zero of J1'.
    width = holding_diameter_m(tension, density)
    assert width * 1000 == pytest.approx(width_mm, rel=0.03), liquid
    assert width / capillary_length_m(tension, density) == pytest.approx(2 * 1.8412, rel=1e-3)


@pytest.mark.parametrize("height", [0.0, 0.05, 0.2, 0.4])
def test_lying_drum_with_its_hole_above_the_lowest_line(height: float) -> None:
    # Torricelli's law over the surface of a lying cylinder (textbook geometry), by quadrature with h = z + u².
    content, hole = 0.9 * DRUM.capacity_m3, round_hole(0.025, height)
    level, wide = level_of_m(DRUM, content, "lying"), DRUM.diameter_m
    per_root = hole.coefficient * hole.area_m2 * sqrt(2 * 9.80665)

    def slowness(root: float) -> float:
        depth = height + root**2
        return 4 * DRUM.length_m * sqrt(depth * max(wide - depth, 0.0)) / per_root

    summed, _ = quad(slowness, 0, sqrt(level - height))
    found = leak(DRUM, content, hole, posture="lying", vented=True)
    assert found.stop_s == pytest.approx(summed, rel=1e-4)
    halved, _ = quad(
        slowness, sqrt(level_of_m(DRUM, content - found.leaves_m3 / 2, "lying") - height), sqrt(level - height)
    )
    assert found.half_s == pytest.approx(halved, rel=1e-4)


@pytest.mark.parametrize(
    ("hole", "coefficient", "first_l_min", "half_min", "empty_min"),
    [
        (0.002, 0.61, 0.46, 266, 908),
        (0.005, 0.61, 2.87, 42.5, 145),
        (0.010, 0.61, 11.5, 10.6, 36.3),
        (0.01905, 0.61, 41.6, 2.93, 10.0),
        (0.025, 0.61, 71.7, 1.70, 5.81),
        (0.0508, 0.61, 296, 0.41, 1.41),
        ((0.050, 0.002), 0.65, 15.6, 7.8, 26.8),
        ((0.100, 0.010), 0.64, 153, 0.80, 2.7),
    ],
)
def test_leaks_of_an_upright_drum(
    hole: float | tuple[float, float], coefficient: float, first_l_min: float, half_min: float, empty_min: float
) -> None:
    # Computed from Torricelli's closed form for 55 gal in an upright drum, hole at the base; no published table.
    area = round_hole_m2(hole) if isinstance(hole, float) else hole[0] * hole[1]
    found = leak(DRUM, DRUM_55_GALLON_M3, Hole(area, coefficient, 0.0), posture="upright", vented=True)
    assert found.flow_m3_s[0] * 60_000 == pytest.approx(first_l_min, rel=0.01)
    assert found.half_s / 60 == pytest.approx(half_min, rel=0.02)
    assert found.stop_s / 60 == pytest.approx(empty_min, rel=0.01)


def test_slots_by_the_printed_table() -> None:
    # Encyclopaedia Britannica, 11th edition, Hydraulics, coefficient table (read): 4 to 1 0.642-0.643 under a foot of
    # head and 0.634-0.636 under two; 16 to 1 0.663-0.664 and 0.650-0.651. Ours are the upper ones.
    assert 0.634 <= slot(0.04, 0.01).coefficient <= 0.6431
    assert 0.650 <= slot(0.16, 0.01).coefficient <= 0.6641


def test_a_closed_drum_spurts_its_first_litre_as_summed_by_steps() -> None:
    # The same isothermal balance stepped through time in small steps, up to the stall, without the glugging.
    area, section, headspace = pi * 0.005**2, DRUM.head_m2, DRUM.capacity_m3 - DRUM_55_GALLON_M3
    out, time, step = 0.0, 0.0, 0.002
    while (
        drive := 9.80665 * (DRUM_55_GALLON_M3 - out) / section - ATMOSPHERE_PA * out / (headspace + out) / WATER_KG_M3
    ) > 0.5:
        out += 0.61 * area * sqrt(2 * drive) * step
        time += step
    found = leak(DRUM, DRUM_55_GALLON_M3, round_hole(0.010), posture="upright", vented=False, density_kg_m3=WATER_KG_M3)
    assert float(np.asarray(found.out_m3(time))) == pytest.approx(out, rel=2e-3)
