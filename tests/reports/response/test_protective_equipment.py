"""Ensembles: the level of 29 CFR 1910.120 appendix B (read in copies) and the product that drives it."""

import pytest

from reports.response.protective_equipment import FLASH_FIRE, ensemble
from survey.catalogue.products import catalogue

# products, level, driver: which product calls for which level is recalled practice, the levels are of appendix B
ENSEMBLES = [
    (["unidentified"], "A", "not identified"),
    (["toluene", "unidentified"], "A", "not identified"),
    (["hydrofluoric-acid", "sodium-hydroxide-50"], "A", "Hydrofluoric acid, not over 60 %"),
    (["sodium-cyanide-solution-30", "hydraulic-oil"], "A", "Sodium cyanide solution 30 %"),
    (["toluene-diisocyanate"], "A", "Toluene di-isocyanate (TDI)"),
    (["hydrochloric-acid-32", "sodium-hydroxide-50"], "A", "Hydrochloric acid 32 %"),
    (["nitric-acid-68", "acetic-acid-glacial"], "A", "Nitric acid 68 %"),
    (["mek-peroxide-solution"], "A", "Methyl ethyl ketone peroxide solution"),
    (["sodium-hydroxide-50", "toluene"], "B", "Sodium hydroxide 50 %"),
    (["mdi", "toluene"], "B", "Diphenylmethane di-isocyanate (MDI)"),
    (["toluene"], "B", "Toluene"),
    (["hydraulic-oil", "ethylene-glycol"], "C", "Ethylene glycol"),
    ([], "A", "not identified"),
]


@pytest.mark.parametrize(("keys", "level", "driver"), ENSEMBLES)
def test_level_and_driver(keys: list[str], level: str, driver: str) -> None:
    found = ensemble([catalogue().by_key[key] for key in keys])
    assert (found.level, found.driver) == (level, driver)
    assert found.consists_of
    assert found.because


def test_order_of_products_makes_no_difference() -> None:
    products = [catalogue().by_key[key] for key in ("toluene", "sodium-hydroxide-50", "mdi")]
    assert ensemble(products) == ensemble(products[::-1])


@pytest.mark.parametrize(("key", "flash"), [("toluene", True), ("unidentified", True), ("sodium-hydroxide-50", False)])
def test_flash_fire_is_warned_of_where_something_can_flash(key: str, *, flash: bool) -> None:
    assert (FLASH_FIRE in ensemble([catalogue().by_key[key]]).caution) is flash


def test_every_product_has_a_level() -> None:
    assert {ensemble([product]).level for product in catalogue().products} <= {"A", "B", "C"}


def test_no_product_is_worked_on_in_plain_work_clothing() -> None:
    assert "D" not in {ensemble([product]).level for product in catalogue().products}
