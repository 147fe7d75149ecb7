from math import inf, nan, sqrt

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from geometry.errors import GeometryRefused
from geometry.orifice import (
    IN_DOUBT,
    SHARP_ROUND,
    SHORT_TUBE,
    Hole,
    hole_reynolds,
    jet_speed_m_s,
    open_bung,
    outflow_m3_s,
    round_hole,
    round_hole_m2,
    slot,
    slot_coefficient,
    unwin_coefficient,
)

HOLE_M2 = round_hole_m2(0.01)


def test_a_jet_under_pressure_is_faster() -> None:
    # 9.80665 × 1 m and 9806.65 Pa of water are one head each: √2 as fast.
    assert jet_speed_m_s(1.0) == pytest.approx(sqrt(2 * 9.80665))
    assert jet_speed_m_s(1.0, gauge_pa=9806.65) == pytest.approx(sqrt(4 * 9.80665))
    assert jet_speed_m_s(0) == 0


def test_no_hole_lets_nothing_out() -> None:
    assert outflow_m3_s(1, 0, 0.61) == 0


def test_each_kind_of_hole_has_its_area_and_coefficient() -> None:
    for hole, area, coefficient, height in (
        (round_hole(0.010, 0.3), 7.854e-5, SHARP_ROUND, 0.3),
        (open_bung(0.0508), 2.0268e-3, SHORT_TUBE, 0.0),
        (slot(0.1, 0.01, 0.2), 1e-3, slot_coefficient(0.1, 0.01), 0.2),
    ):
        assert hole.area_m2 == pytest.approx(area, rel=1e-4)
        assert (hole.coefficient, hole.height_m) == (coefficient, height)
    assert round_hole(0.025).diameter_m == pytest.approx(0.025)


def test_a_slender_slot_lets_more_through_up_to_the_last_printed_value() -> None:
    # Printed: 0.628 for a square, 0.643 for 4 to 1, 0.664 for 16 to 1; 8 to 1 is half way over the logarithm.
    assert slot_coefficient(0.01, 0.01) == pytest.approx(0.628)
    assert slot_coefficient(0.04, 0.01) == slot_coefficient(0.01, 0.04) == pytest.approx(0.643)
    assert slot_coefficient(0.08, 0.01) == pytest.approx((0.643 + 0.664) / 2)
    assert slot_coefficient(0.16, 0.01) == slot_coefficient(1.0, 0.001) == pytest.approx(0.664)


def test_a_thick_liquid_leaves_the_range_of_the_orifice_law() -> None:
    # Jet of 3.961 m/s through 10 mm: 39,610 for 1 mm²/s, 396 for a gear oil of 100 mm²/s.
    assert hole_reynolds(0.8, 0.010, 1e-6) == pytest.approx(39_610, rel=1e-3)
    assert hole_reynolds(0.8, 0.010, 1e-4) == pytest.approx(396.1, rel=1e-3)


@pytest.mark.parametrize(
    ("refused", "message"),
    [
        (lambda: jet_speed_m_s(-1), "head: expected 0 or more, found -1"),
        (lambda: jet_speed_m_s(1, gauge_pa=-5), "pressure: expected 0 or more, found -5"),
        (lambda: jet_speed_m_s(1, density_kg_m3=0), "density: expected more than 0 kg/m³, found 0"),
        (lambda: outflow_m3_s(1, inf, 0.61), "hole area: expected 0 or more, found inf"),
        (lambda: outflow_m3_s(1, HOLE_M2, 1.1), "discharge coefficient: .* found 1.1"),
        (lambda: outflow_m3_s(1, HOLE_M2, nan), "discharge coefficient: .* found nan"),
        (lambda: unwin_coefficient(0, 0.025), "head: expected more than 0, found 0"),
        (lambda: round_hole_m2(-0.01), "hole diameter: expected 0 or more, found -0.01"),
        (lambda: Hole(0, 0.61, 0), "hole area: expected more than 0, found 0"),
        (lambda: Hole(nan, 0.61, 0), "hole area: expected more than 0, found nan"),
        (lambda: Hole(HOLE_M2, 0, 0), "discharge coefficient: .* found 0"),
        (lambda: Hole(HOLE_M2, 0.61, -0.1), "height of hole: expected 0 or more, found -0.1"),
        (lambda: Hole(HOLE_M2, 0.61, nan), "height of hole: expected 0 or more, found nan"),
        (lambda: round_hole(0), "hole area: expected more than 0, found 0"),
        (lambda: slot(0.1, 0), "slot: expected sides of more than 0 m, found 0.1 by 0"),
        (lambda: slot(-0.1, 0.01), "slot length: expected 0 or more, found -0.1"),
        (lambda: slot_coefficient(0, 0.01), "slot: expected sides of more than 0 m"),
        (lambda: open_bung(inf), "hole diameter: expected 0 or more, found inf"),
        (lambda: hole_reynolds(1, 0.01, 0), "viscosity: expected more than 0, found 0"),
    ],
)
def test_a_hole_that_cannot_be_is_refused(refused, message: str) -> None:  # type: ignore[no-untyped-def]
    with pytest.raises(GeometryRefused, match=message):
        refused()


@settings(max_examples=60, derandomize=True, deadline=None)
@given(st.floats(1e-4, 1), st.floats(1e-4, 1))
def test_a_slot_lies_between_the_printed_values_whichever_side_is_named_first(one: float, other: float) -> None:
    assert 0.628 <= slot_coefficient(one, other) <= 0.664 < IN_DOUBT
    assert slot_coefficient(one, other) == slot_coefficient(other, one)
