from math import inf, nan

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from geometry.errors import GeometryRefused
from geometry.vapour import (
    EPA,
    Pool,
    crowl_louvar_kg_s,
    epa_kg_s,
    evaporation_rates,
    mackay_matsugu_m_s,
    transferred_kg_s,
)


def acetone(area_m2: float = 20.82) -> Pool:
    # 180 mmHg at 20 °C: a data sheet of the US National Toxicology Program (read).
    return Pool(area_m2, 293.15, 180 * 101_325 / 760, 0.05808)


def test_a_pool_by_hand() -> None:
    # 2.1126e-6 × 1 × 58.08^(2/3) × 10 m² × 23,998 Pa / 293.15 K = 25.94 g/s at 1 m/s.
    assert epa_kg_s(acetone(10), 1.0) * 1000 == pytest.approx(25.94, rel=1e-3)
    # K of 1 cm/s: 0.01 × 10 × 0.05808 × 23,998 / (8.3145 × 293.15) = 57.18 g/s.
    assert transferred_kg_s(acetone(10), 0.01) * 1000 == pytest.approx(57.18, rel=1e-3)
    # 0.83 (18/58.08)^(1/3) = 0.5617 cm/s.
    assert crowl_louvar_kg_s(acetone(10)) * 1000 == pytest.approx(57.18 * 0.5617, rel=1e-3)
    assert acetone().saturated == pytest.approx(0.2368, rel=1e-3)
    assert acetone().diameter_m == pytest.approx(5.149, rel=1e-3)


def test_formulas_stand_side_by_side_with_their_names() -> None:
    rows = evaporation_rates(acetone(), air_m_s=0.1, schmidt=1.43)
    found = {row.name: row.kg_s for row in rows}
    assert [row.kg_s for row in rows] == sorted((row.kg_s or 0.0 for row in rows), reverse=True)
    epa, guide = found["EPA guidance, air at 0.1 m/s"], found["1987 guide, air at 0.1 m/s"]
    textbook = found["Crowl and Louvar, no air speed in it"]
    assert epa is not None
    assert guide is not None
    assert textbook is not None
    assert epa / guide == pytest.approx(0.284 / 0.106)
    assert textbook / epa == pytest.approx(7.5, rel=0.03)
    indoors = found["EPA guidance, indoors: 0.1 of the worst case outdoors"]
    assert indoors == pytest.approx(0.1 * epa_kg_s(acetone(), 1.5))
    half = found["EPA guidance, indoors: 0.05 of the alternative case outdoors"]
    assert half == pytest.approx(0.05 * epa_kg_s(acetone(), 3.0))
    assert {row.source for row in rows if "EPA" in row.name} == {EPA}


def test_what_a_formula_lacks_leaves_it_unknown_and_not_zero() -> None:
    last = evaporation_rates(acetone(), air_m_s=0.1)[-1]
    assert "Mackay" in last.name
    assert last.kg_s is None


def test_no_pool_and_no_vapour_pressure_give_nothing() -> None:
    assert epa_kg_s(acetone(0), 1.0) == 0
    assert crowl_louvar_kg_s(Pool(10, 293.15, 0, 0.1)) == 0


@pytest.mark.parametrize(
    ("refused", "message"),
    [
        (lambda: Pool(-1, 293, 1000, 0.05), "area of pool: expected 0 m² or more, found -1"),
        (lambda: Pool(nan, 293, 1000, 0.05), "area of pool: .* found nan"),
        (lambda: Pool(1, 0, 1000, 0.05), "temperature of pool: expected more than 0, found 0"),
        (
            lambda: Pool(1, 293, 101_325, 0.05),
            "vapour pressure of pool: .* less than the air's 101325 Pa, found 101325",
        ),
        (lambda: Pool(1, 293, nan, 0.05), "vapour pressure of pool: .* found nan"),
        (lambda: Pool(1, 293, 1000, 0), "molar mass: expected more than 0, found 0"),
        (lambda: epa_kg_s(acetone(), 0), "air speed: expected more than 0, found 0"),
        (lambda: evaporation_rates(acetone(), air_m_s=inf), "air speed: expected more than 0, found inf"),
        (lambda: evaporation_rates(acetone(), air_m_s=1, schmidt=0), "Schmidt number: expected more than 0, found 0"),
        (lambda: mackay_matsugu_m_s(1, 0, 1.4), "diameter of pool: expected more than 0, found 0"),
        (lambda: transferred_kg_s(acetone(), -1), "mass transfer: expected more than 0, found -1"),
    ],
)
def test_a_pool_that_cannot_be_is_refused(refused, message: str) -> None:  # type: ignore[no-untyped-def]
    with pytest.raises(GeometryRefused, match=message):
        refused()


@settings(max_examples=60, derandomize=True, deadline=None)
@given(
    st.floats(0.1, 500),
    st.floats(250, 330),
    st.floats(1, 90_000),
    st.floats(0.01, 0.4),
    st.floats(0.05, 10),
    st.floats(1.0, 4.0),
)
def test_more_pool_more_pressure_and_more_wind_never_give_less(
    area: float, kelvin: float, pascal: float, molar: float, wind: float, factor: float
) -> None:
    pool = Pool(area, kelvin, pascal, molar)
    assert epa_kg_s(Pool(area * factor, kelvin, pascal, molar), wind) == pytest.approx(epa_kg_s(pool, wind) * factor)
    assert epa_kg_s(pool, wind * factor) >= epa_kg_s(pool, wind)
    assert crowl_louvar_kg_s(Pool(area, kelvin, pascal / factor, molar)) <= crowl_louvar_kg_s(pool)
    assert mackay_matsugu_m_s(wind * factor, area, 1.4) >= mackay_matsugu_m_s(wind, area, 1.4)
