"""Leaks, films and containment against published examples; P-numbers are those of the project's list of checks.

The source stands beside each check. *Recalled* means that the value was known by heart and the document not read.
"""

from math import cos, pi, radians, sqrt

import pytest
from fluids.geometry import V_from_h
from scipy.integrate import quad
from shapely import Point, box

from geometry.constants import DRUM_55_GALLON_M3, FOOT_M, INCH_M, US_GALLON_M3
from geometry.containment import drum_rules_l, waste_store_need_l
from geometry.drum import lying_volume_m3
from geometry.emptying import lying_time_to_empty_s, time_between_levels_s
from geometry.film import puddle_depth_m, spreads_for_s
from geometry.floor import FloorPlan, SpillFloor
from geometry.leak import DrumShape, Hole, Leak, leak
from geometry.orifice import jet_speed_m_s, outflow_m3_s, round_hole_m2, unwin_coefficient
from geometry.spill_reach import spread
from geometry.spill_rules import (
    REGULATORY_DEPTH_FEET_M,
    regulatory_area_m2,
    roughness_area_m2,
    thin_spill_area_m2,
    thin_spill_area_printed_m2,
)

DRUM_M, DRUM_LENGTH_M, LIQUID_M = 0.5715, 0.8509, 0.8116
"""Inside of a 55 gallon steel drum, and 55 gallons in it. Source: a published drum table (22.5 × 33.5 in)."""


def upright(hole_m: float) -> Leak:
    drum = DrumShape(DRUM_M, DRUM_LENGTH_M)
    hole = Hole(round_hole_m2(hole_m), 0.61, 0.0)
    return leak(drum, drum.head_m2 * LIQUID_M, hole, posture="upright", vented=True)


def test_p01_jet_and_flow_under_800_mm() -> None:
    # Torricelli's law; coefficient 0.61 recalled from the usual safety handbooks.
    assert jet_speed_m_s(0.80) == pytest.approx(3.961, rel=0.005)
    assert outflow_m3_s(0.80, round_hole_m2(0.010), 0.61) * 1000 == pytest.approx(0.18978, rel=0.005)


def test_p02_tank_of_four_feet() -> None:
    # Engineering Prep, problem 435 (read): 4 ft across, 5 in² hole, coefficient 1, from 6 to 2 ft: 94 s printed.
    time = time_between_levels_s(
        pi * (4 * FOOT_M) ** 2 / 4, 6 * FOOT_M, 2 * FOOT_M, hole_m2=5 * INCH_M**2, coefficient=1.0
    )
    assert time == pytest.approx(94, rel=0.01)


def test_p03_benzene_tank_under_pressure() -> None:
    # Crowl and Louvar, Chemical Process Safety, example 4-2 (recalled): 8 ft tank, 17 ft of benzene, 1 in hole 5 ft up,
    # 1 atm of padding, coefficient 0.61; printed 4,506 gal, 3,386 s, 10.4 lb/s.
    density, pad, hole = 876.6, 101_325.0, round_hole_m2(1 * INCH_M)
    section, head = pi * (8 * FOOT_M) ** 2 / 4, 12 * FOOT_M
    assert section * head / US_GALLON_M3 == pytest.approx(4506, rel=0.01)
    flow = outflow_m3_s(head, hole, 0.61, gauge_pa=pad, density_kg_m3=density)
    assert flow * density / 0.45359237 == pytest.approx(10.4, rel=0.01)
    time = time_between_levels_s(section, head, 0, hole_m2=hole, coefficient=0.61, gauge_pa=pad, density_kg_m3=density)
    assert time == pytest.approx(3386, rel=0.01)


def test_p04_upright_drum_through_a_25_mm_hole() -> None:
    # Closed form of Torricelli's law over the level.
    found = upright(0.025)
    assert found.flow_m3_s[0] * 1000 == pytest.approx(1.195, rel=0.005)
    assert found.stop_s == pytest.approx(348.5, rel=0.005)
    assert found.half_s == pytest.approx(102.1, rel=0.005)
    assert found.leaves_m3 == pytest.approx(DRUM_55_GALLON_M3, rel=0.001)


def test_p05_time_goes_with_the_square_of_the_hole() -> None:
    fine, wide = (upright(hole).stop_s for hole in (0.010, 0.025))
    assert fine == pytest.approx(2178, rel=0.005)
    assert fine / wide == pytest.approx(6.25, rel=1e-12)


def test_p06_lying_drum_brimful() -> None:
    # Closed form, and the same integral by quadrature: dt = surface dh / outflow.
    hole = round_hole_m2(0.025)
    time = lying_time_to_empty_s(DRUM_M, DRUM_LENGTH_M, DRUM_M, hole_m2=hole, coefficient=0.61)
    assert time == pytest.approx(369.6, rel=0.005)
    summed, _ = quad(lambda h: 2 * DRUM_LENGTH_M * sqrt(h * (DRUM_M - h)) / outflow_m3_s(h, hole, 0.61), 0, DRUM_M)
    assert time == pytest.approx(summed, rel=1e-6)
    drum = DrumShape(DRUM_M, DRUM_LENGTH_M)
    table = leak(drum, drum.capacity_m3, Hole(hole, 0.61, 0.0), posture="lying", vented=True)
    assert table.stop_s == pytest.approx(time, rel=1e-4)


@pytest.mark.parametrize("depth", [0.001, 0.05, 0.15, 0.28575, 0.4, 0.5715])
def test_p07_lying_drum_agrees_with_the_fluids_library(depth: float) -> None:
    volume = lying_volume_m3(DRUM_M, DRUM_LENGTH_M, depth)
    assert volume == pytest.approx(V_from_h(h=depth, D=DRUM_M, L=DRUM_LENGTH_M, horizontal=True), rel=1e-9)
    if depth == 0.15:
        assert volume * 1000 == pytest.approx(45.70, rel=0.002)


def test_p08_unwin_coefficient() -> None:
    # Encyclopaedia Britannica, 11th edition, Hydraulics, section 18 (read).
    assert unwin_coefficient(1 * FOOT_M, 1 * INCH_M) == pytest.approx(0.6136, rel=0.001)


def test_p12_one_drum_a_centimetre_deep() -> None:
    # US EPA on 40 CFR 68.25 and DOE-STD-3014-96, page 86 (read): pool of 1 cm. The 0.033 ft is recalled.
    area = regulatory_area_m2(DRUM_55_GALLON_M3)
    assert area == pytest.approx(20.82, rel=0.005)
    assert sqrt(area / pi) == pytest.approx(2.574, rel=0.005)
    assert area / FOOT_M**2 == pytest.approx(224.1, rel=0.005)
    assert pytest.approx(222.8, rel=0.005) == DRUM_55_GALLON_M3 / REGULATORY_DEPTH_FEET_M / FOOT_M**2


def test_p13_one_drum_on_rough_concrete() -> None:
    # TNO Yellow Book, CPR 14E, chapter 3, roughness table (recalled).
    area = roughness_area_m2(DRUM_55_GALLON_M3, "concrete")
    assert area == pytest.approx(41.64, rel=0.005)
    assert sqrt(area / pi) == pytest.approx(3.641, rel=0.005)


def test_p14_twenty_litres_by_the_thin_spill_rule() -> None:
    # SFPE Handbook, Gottuk and White (recalled).
    area = thin_spill_area_printed_m2(0.020)
    assert area == pytest.approx(28.0, rel=0.01)
    assert 2 * sqrt(area / pi) == pytest.approx(5.97, rel=0.01)
    assert 0.020 / area * 1000 == pytest.approx(0.714, rel=0.01)


def test_p15_one_drum_by_the_thin_spill_rule_as_printed_and_mended() -> None:
    # SFPE Handbook, Gottuk and White (recalled); the mending at 95 L is ours.
    area = thin_spill_area_printed_m2(0.2082)
    assert area == pytest.approx(74.95, rel=0.01)
    assert 2 * sqrt(area / pi) == pytest.approx(9.77, rel=0.01)
    assert 0.2082 / area * 1000 == pytest.approx(2.78, rel=0.01)
    mended = [thin_spill_area_m2(litres / 1000) for litres in range(1000)]
    assert mended == sorted(mended)
    printed = [thin_spill_area_printed_m2(litres / 1000) for litres in range(1000)]
    assert printed != sorted(printed)


@pytest.mark.parametrize(("angle", "depth_mm"), [(30, 1.412), (60, 2.727), (90, 3.857)])
def test_p16_puddle_of_water(angle: float, depth_mm: float) -> None:
    # After de Gennes and others, as quoted on public physics pages (read); the two published forms are one.
    depth = puddle_depth_m(0.0728, 998.2, angle)
    assert depth * 1000 == pytest.approx(depth_mm, rel=0.005)
    assert depth == pytest.approx(sqrt(2 * 0.0728 * (1 - cos(radians(angle))) / (998.2 * 9.80665)), rel=1e-12)


@pytest.mark.parametrize(
    ("viscosity_m2_s", "depth_mm", "seconds"),
    [
        (4e-7, 2, 40),
        (4e-7, 1, 11 * 60),
        (1e-6, 2, 100),
        (1e-6, 1, 27 * 60),
        (1e-5, 5, 26),
        (1e-5, 2, 17 * 60),
        (1e-5, 1, 4.4 * 3600),
        (1e-4, 5, 4.3 * 60),
        (1e-4, 2, 2.8 * 3600),
        (1e-4, 1, 45 * 3600),
        (1e-3, 5, 43 * 60),
        (1e-3, 2, 28 * 3600),
        (1e-3, 1, 19 * 86_400),
    ],
)
def test_one_drum_thins_out(viscosity_m2_s: float, depth_mm: float, seconds: float) -> None:
    # Huppert, J. Fluid Mech. 121 (1982) 43 (abstract read; factor recalled and integrated anew), from acetone to syrup.
    found = spreads_for_s(DRUM_55_GALLON_M3, depth_mm / 1000, viscosity_m2_s=viscosity_m2_s)
    assert found == pytest.approx(seconds, rel=0.03)


def test_p37_inside_of_a_drum() -> None:
    # A published drum table (read): 22.5 × 33.5 in are 13,320 in³, 57.66 gal, 218.3 L.
    volume = round_hole_m2(22.5 * INCH_M) * 33.5 * INCH_M
    assert volume / INCH_M**3 == pytest.approx(13_320, rel=0.001)
    assert volume / US_GALLON_M3 == pytest.approx(57.66, rel=0.001)
    assert volume * 1000 == pytest.approx(218.3, rel=0.001)
    assert pytest.approx(208.198, abs=5e-4) == DRUM_55_GALLON_M3 * 1000


def test_p39_containment_of_forty_and_of_eight_drums() -> None:
    # 40 CFR 264.175(b) (read): the larger of the largest and 10 %.
    # MIL-HDBK-1022A, page 185 (read): 110 % of the largest or 10 %.
    assert waste_store_need_l([208.2] * 40) == pytest.approx(832.8)
    assert waste_store_need_l([208.2] * 8) == pytest.approx(208.2)
    for drums, expected in ((40, 832.8), (8, 229.02)):
        rules = drum_rules_l([208.2] * drums)
        assert max(rules["110 % of largest"], rules["10 % of all"]) == pytest.approx(expected)


@pytest.mark.parametrize(
    ("depth_mm", "area_m2", "radius_m"), [(0.714, 291, 9.6), (2.8, 75, 4.9), (5, 42, 3.6), (10, 21, 2.6)]
)
def test_one_drum_on_an_open_floor(depth_mm: float, area_m2: float, radius_m: float) -> None:
    # Volume over depth is area, and a disc on open floor: the four published depths side by side.
    floor = SpillFloor(FloorPlan(outline=box(0, 0, 30, 30), perimeter_tight=True))
    pool = spread(floor, Point(15, 15)).pool(DRUM_55_GALLON_M3, depth_mm / 1000, cautious=True)
    assert pool.area_m2 == pytest.approx(area_m2, rel=0.02)
    assert pool.shape.area == pytest.approx(pool.area_m2, rel=2e-3)
    west, south, east, north = pool.shape.bounds
    assert (east - west) / 2 == pytest.approx(radius_m, abs=0.06)
    assert (north - south) / 2 == pytest.approx(radius_m, abs=0.06)
