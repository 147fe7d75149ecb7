"""Pure substances of the catalogue against the tables of the open `chemicals` library (1.5.2, MIT licence).

Perry's handbook, 8th edition, tables 2-32 (density), 2-8 (vapour pressure) and 2-313 (viscosity); flash points of
NFPA 497 (2008) and IEC 60079-20-1 (2010). Flash and density of the catalogue were partly taken from the same standards,
so that this checks the copying; vapour pressure and viscosity come by other correlations and check one another.
Where sources disagree the disagreement is listed here, so that a new one fails.
"""

from collections.abc import Callable
from typing import Any

import pytest
from chemicals import safety, vapor_pressure, viscosity, volume
from chemicals.dippr import EQ101, EQ105
from chemicals.identifiers import MW

from survey.catalogue.product import Cited, Form, Product
from survey.catalogue.products import catalogue

T_K = 293.15
WATER_GROUP = 106
COEFFICIENTS = ("C1", "C2", "C3", "C4", "C5")

# What is sold under the CAS number of a pure substance without being it.
SOLD_DILUTED = {
    "formic-acid-85",
    "nitric-acid-60",
    "nitric-acid-68",
    "mek-peroxide-solution",
    "hydrazine-hydrate",
    "kerosene",
}

VAPOUR_PRESSURE_DISAGREES = {
    "acetic-anhydride": "catalogue 556 Pa, Perry 473 Pa",
    "cumene": "catalogue 495 Pa, Perry 444 Pa",
    "n-butyl-acetate": "catalogue 1218 Pa, Perry 1098 Pa",
    "propylene-glycol": "catalogue 13 Pa, Perry 10.7 Pa",
    "ethylene-glycol": "catalogue 8 Pa, Perry 7.5 Pa: rounding",
    "propionic-acid": "catalogue 390 Pa (recalled), Perry 354 Pa",
}
FLASH_DISAGREES = {"isobutanol": "NFPA 497 copy prints -40 C, IEC 28 C: taken as a misprint of the copy"}
NOT_COMBUSTIBLE = {
    "perchloroethylene": "a public data set gives 45 C; does not burn (NIOSH Pocket Guide, recalled)",
    "trichloroethylene": "a prediction gives 8 C; no flash point by the usual test (NIOSH Pocket Guide, recalled)",
}


def pure() -> list[Product]:
    return [
        product
        for product in catalogue().products
        if product.form is Form.LIQUID
        and len(product.cas_numbers) == 1
        and WATER_GROUP not in product.reaction_groups
        and product.key not in SOLD_DILUTED
    ]


def compared(
    value: Callable[[Product], Cited | None], table: Any, predict: Callable[[str, Any], float]
) -> dict[str, float]:
    """Give the ratio of table to catalogue for every pure product that both know."""
    return {
        product.key: predict(product.cas_numbers[0], table.loc[product.cas_numbers[0]]) / cited.value
        for product in pure()
        if (cited := value(product)) is not None and product.cas_numbers[0] in table.index
    }


def off_by_more_than(share: float, ratios: dict[str, float]) -> set[str]:
    return {key for key, ratio in ratios.items() if abs(ratio - 1) > share}


def test_densities_agree_within_one_per_cent() -> None:
    ratios = compared(
        lambda product: product.density_kg_m3,
        volume.rho_data_Perry_8E_105_l,
        lambda cas, row: float(EQ105(T_K, *row[list(COEFFICIENTS[:4])])) * float(MW(cas)) / 1000,  # type: ignore[no-untyped-call]
    )
    assert len(ratios) >= 35
    assert off_by_more_than(0.01, ratios) == set()


def test_viscosities_agree_within_ten_per_cent() -> None:
    ratios = compared(
        lambda product: product.viscosity_pa_s,
        viscosity.mu_data_Perrys_8E_2_313,
        lambda _, row: float(EQ101(T_K, *row[list(COEFFICIENTS)])),  # type: ignore[no-untyped-call]
    )
    assert len(ratios) >= 30
    assert off_by_more_than(0.1, ratios) == set()


def test_vapour_pressures_agree_within_five_per_cent_but_for_those_listed() -> None:
    ratios = compared(
        lambda product: product.vapour_pressure_pa,
        vapor_pressure.Psat_data_Perrys2_8,
        lambda _, row: float(EQ101(T_K, *row[list(COEFFICIENTS)])),  # type: ignore[no-untyped-call]
    )
    assert len(ratios) >= 35
    assert off_by_more_than(0.05, ratios) == set(VAPOUR_PRESSURE_DISAGREES)


@pytest.mark.parametrize("method", ["NFPA 497 (2008)", "IEC 60079-20-1 (2010)"])
def test_flash_point_acted_on_is_never_above_the_standards(method: str) -> None:
    above = {}
    count = 0
    for product in pure():
        cas = product.cas_numbers[0]
        if product.flash_c is None or method not in safety.T_flash_methods(cas):
            continue
        count += 1
        published_c = safety.T_flash(cas, method=method) - 273.15
        if product.flash_c.value > published_c + 0.6:
            above[product.key] = published_c
    assert count >= 35
    assert set(above) <= set(FLASH_DISAGREES)


def test_listed_flash_disagreement_still_stands() -> None:
    cas = catalogue().by_key["isobutanol"].cas_numbers[0]
    assert safety.T_flash(cas, method="NFPA 497 (2008)") - 273.15 == pytest.approx(-40, abs=1)
    assert safety.T_flash(cas, method="IEC 60079-20-1 (2010)") - 273.15 == pytest.approx(28, abs=1)


def test_no_flash_point_is_missing_but_for_what_does_not_burn() -> None:
    missing = {
        product.key for product in pure() if product.flash_c is None and safety.T_flash_methods(product.cas_numbers[0])
    }
    assert missing == set(NOT_COMBUSTIBLE)


def test_class_three_liquids_flash_below_sixty_degrees() -> None:
    # UN class 3 runs to 60 C (49 CFR 173.120, recalled)
    hot = [
        product.key
        for product in catalogue().products
        if product.hazard_class == "3" and product.flash_c is not None and product.flash_c.value > 60
    ]
    assert hot == []
