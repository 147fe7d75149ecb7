"""What may take up a product, walked over the whole catalogue against what is published of absorbents.

One university spill guide (read): no cellulose and no ground corn cobs on oxidisers, no clay on acids, calcium
carbonate for hydrofluoric acid. EPA-600/2-80-076 pairs 2-101, 30-101 and 104-101 (read): oxidising acids, organic
peroxides and strong oxidisers set combustible matter on fire. One institute's guide (read): hydrofluoric acid reacts
with the silicates of clay and mineral absorbents. Organic absorbent on nitrate is the case of 2014 at a waste plant
(read in summaries).
"""

import pytest

from reports.response.absorbents import absorbing
from survey.catalogue.product import Product, Trait
from survey.catalogue.products import UNIDENTIFIED, catalogue

ORGANIC = {"cellulose", "polymer"}
SILICATE = {"clay", "sand", "inert mineral"}
FIRE = {
    Trait.OXIDISER,
    Trait.OXIDISING_ACID,
    Trait.NITRATE,
    Trait.HYPOCHLORITE,
    Trait.CHLORITE,
    Trait.ORGANIC_PEROXIDE,
}


def having(*traits: Trait) -> list[Product]:
    return [product for product in catalogue().products if product.traits & {*traits}]


@pytest.mark.parametrize("product", having(*FIRE), ids=lambda product: product.key)
def test_nothing_organic_on_what_sets_it_on_fire(product: Product) -> None:
    assert not absorbing(product).kinds & ORGANIC


@pytest.mark.parametrize("product", having(Trait.HYDROFLUORIC), ids=lambda product: product.key)
def test_no_silicate_on_hydrofluoric_acid(product: Product) -> None:
    kinds = absorbing(product).kinds
    assert not kinds & SILICATE
    assert "calcium carbonate" in kinds


@pytest.mark.parametrize("product", having(Trait.ACID), ids=lambda product: product.key)
def test_no_clay_on_an_acid(product: Product) -> None:
    assert "clay" not in absorbing(product).kinds


@pytest.mark.parametrize("key", ["nitric-acid-68", "sodium-nitrate", "sodium-chlorate", "hydrogen-peroxide-35"])
def test_sawdust_is_named_among_what_is_never_used(key: str) -> None:
    assert "sawdust" in absorbing(catalogue().by_key[key]).never


def test_solvent_may_be_taken_up_with_what_an_oxidiser_may_not() -> None:
    assert absorbing(catalogue().by_key["toluene"]).kinds & ORGANIC


def test_nothing_organic_on_what_nobody_identified() -> None:
    assert not absorbing(UNIDENTIFIED).kinds & ORGANIC
