"""The protective ensemble of a storage zone, and the product that drives it."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache

from reports.response.advice import Cite, Ensemble
from reports.response.contents import written_for
from reports.response.rule_rows import NOTHING, choices, cite, filled, rule_rows
from survey.catalogue.product import Product, Trait
from survey.catalogue.products import UNIDENTIFIED

FLASH_FIRE = (
    "Chemical suits do not protect from flash fire: measure first, and leave at 10 % of the lower flammable limit."
)
PICK_BY_CHEMICAL = (
    "Suit material is picked by chemical from its maker's data; a level alone says nothing of resistance."
)

_FLASHES = frozenset({Trait.FLAMMABLE, Trait.ORGANIC_PEROXIDE})
_LEVELS = "ABCD"
_LOWEST_FROM_A_SHEET = "B"
"""One sheet typed in by hand allows nothing less than breathing apparatus: a judgement, since nobody checked it."""


@dataclass(frozen=True, slots=True)
class _Rule:
    cite: Cite
    level: str
    asks: tuple[str, ...]
    because: str
    caution: str

    def takes(self, product: Product) -> bool:
        if product.from_sheet and self.level > _LOWEST_FROM_A_SHEET:
            return False
        return written_for(self.asks, product.traits, identified=product.identified)

    def because_of(self, product: Product) -> str:
        """Say why, and that nobody answered what it rests on where that is so."""
        if self.takes(product.as_answered) or not product.presumed:
            return self.because
        left_open = " or ".join(ask for ask in self.asks if ask in product.presumed)
        return f"its safety data sheet leaves open whether it is not {left_open}"


def ensemble(products: Sequence[Product]) -> Ensemble:
    """Return the highest ensemble that any of these products asks for, with the product that drives it.

    Parameters
    ----------
    products : sequence of Product
        The products of a storage zone; none at all counts as one that is not identified.

    Returns
    -------
    Ensemble
        Level A to D of 29 CFR 1910.120 appendix B, what it consists of, its driver and the cautions.

    Notes
    -----
    For work at the drum. People who stay outside and cover drains wear what the incident commander orders for there.
    Of products that ask for the same, the one with most hazards on record is named.
    An unidentified content always asks for level A, so that putting one in place of a known product never lowers it.
    A product from a safety data sheet never asks for less than level B; what nobody answered of it counts as yes.
    """
    asked = [(rule, product) for product in products or (UNIDENTIFIED,) for rule in (_rule_for(product),)]
    order = {rule.cite.rule: place for place, rule in enumerate(_rules())}
    rule, driver = min(
        asked,
        key=lambda pair: (
            _LEVELS.index(pair[0].level),
            order[pair[0].cite.rule],
            -len(pair[1].traits),
            pair[1].name,
        ),
    )
    flash = any(not product.identified or product.traits & _FLASHES for product in products)
    cautions = [rule.caution, FLASH_FIRE if flash or not products else "", PICK_BY_CHEMICAL]
    return Ensemble(
        cite=rule.cite,
        level=rule.level,
        consists_of=_consists()[rule.level],
        driver=driver.name,
        because=rule.because_of(driver),
        caution=" ".join(caution for caution in cautions if caution),
    )


def _rule_for(product: Product) -> _Rule:
    """Return the first rule that takes a product: the table runs from the highest level down."""
    return next(rule for rule in _rules() if rule.takes(product))


@cache
def _rules() -> tuple[_Rule, ...]:
    return tuple(
        _Rule(
            cite(row),
            row["level"],
            choices(row["traits"]),
            row["because"],
            "" if row["caution"] == NOTHING else row["caution"],
        )
        for row in filled(rule_rows("ensemble_rules.csv"))
    )


@cache
def _consists() -> dict[str, str]:
    return {row["level"]: row["consists_of"] for row in filled(rule_rows("ensembles.csv"))}
