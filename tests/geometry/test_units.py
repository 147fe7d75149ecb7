from math import inf, nan

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from geometry import units
from geometry.errors import GeometryRefused


@pytest.mark.parametrize(
    ("shown", "expected"),
    [
        (units.metres_and_feet(0.4), "0.40 m (1.3 ft)"),
        (units.metres_and_feet(2.4), "2.4 m (7.9 ft)"),
        (units.metres_and_feet(90), "90 m (295 ft)"),
        (units.metres_and_feet(0), "0.00 m (0.0 ft)"),
        (units.metres_and_feet(6.096, places=0), "6 m (20 ft)"),
        (units.mm_and_inches(2.8), "2.8 mm (0.11 in)"),
        (units.mm_and_inches(60), "60 mm (2.4 in)"),
        (units.square_metres_and_feet(196), "196 m² (2,110 ft²)"),
        (units.square_metres_and_feet(4.24), "4.2 m² (46 ft²)"),
        (units.litres_and_gallons(208.198), "208 L (55 US gal)"),
        (units.litres_and_gallons(48032), "48,032 L (12,689 US gal)"),
        (units.litres_and_gallons(7.5), "7.5 L (2.0 US gal)"),
        (units.l_min_and_gpm(2391.2), "2,391 L/min (632 US gal/min)"),
        (units.l_min_and_gpm(11.5), "11.5 L/min (3.0 US gal/min)"),
        (units.kg_and_lb(318), "318 kg (701 lb)"),
        (units.kg_and_lb(2.0), "2.0 kg (4.4 lb)"),
        (units.celsius_and_fahrenheit(4), "4 °C (39 °F)"),
        (units.celsius_and_fahrenheit(-40), "-40 °C (-40 °F)"),
        (units.mm_min_and_gpm_ft2(12.2), "12.2 mm/min (0.30 US gal/min per ft²)"),
    ],
)
def test_people_see_both_unit_systems(shown: str, expected: str) -> None:
    assert shown == expected


def test_a_gallon_is_the_us_one_and_an_ounce_is_no_volume() -> None:
    assert units.litres_from_gallons(55) == pytest.approx(208.198, abs=5e-4)
    with pytest.raises(GeometryRefused, match="expected ounce as liter"):
        units.converted(1, "ounce", "liter")


def test_units_from_outside() -> None:
    assert units.metres_from_feet(20) == pytest.approx(6.096)
    assert units.metres_from_inches(22.5) == pytest.approx(0.5715)
    assert units.kg_from_lb(40) == pytest.approx(18.1437, abs=1e-4)
    assert units.l_min_from_gpm(1) == pytest.approx(3.785412)
    assert units.m3_from_l(208.198) == pytest.approx(0.208198)


@pytest.mark.parametrize("bad", [nan, inf])
def test_what_is_no_number_is_not_shown(bad: float) -> None:
    for show in (units.metres_and_feet, units.litres_and_gallons, units.kg_and_lb, units.celsius_and_fahrenheit):
        with pytest.raises(GeometryRefused, match="expected a finite number"):
            show(bad)


def test_a_unit_that_does_not_exist_is_refused() -> None:
    with pytest.raises(GeometryRefused, match="expected cubit_royal as meter"):
        units.converted(1, "cubit_royal", "meter")


@settings(max_examples=60, derandomize=True, deadline=None)
@given(st.floats(-1e6, 1e6))
def test_there_and_back_is_where_one_began(value: float) -> None:
    for unit, other in (("meter", "foot"), ("liter", "US_liquid_gallon"), ("kilogram", "pound")):
        assert units.converted(units.converted(value, unit, other), other, unit) == pytest.approx(value, abs=1e-9)


@pytest.mark.parametrize(("minutes", "says"), [(10, "10 min"), (14.5, "14.5 min"), (0.25, "0.25 min")])
def test_a_recorded_time_is_not_rounded(minutes: float, says: str) -> None:
    assert units.recorded_minutes(minutes) == says
    with pytest.raises(GeometryRefused, match="minutes: expected a number, found inf"):
        units.recorded_minutes(inf)
