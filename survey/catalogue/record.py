"""All that the catalogue has on one product, side by side, with sources and with what is yet to be verified."""

from dataclasses import dataclass
from typing import Literal

from survey.catalogue.product import (
    INHIBITOR_DATE_MEANS,
    Cited,
    Mark,
    Product,
    Rating,
    StorageLimit,
    Trait,
)
from survey.catalogue.products import Catalogue
from survey.catalogue.properties import PROPERTIES
from survey.catalogue.search import Rival
from survey.catalogue.second_key import tells_apart

WORST_CASE = (
    "Nobody knows what is in it. Every blank here means unknown, never harmless.",
    "Rules take it to burn, to poison through the air, to corrode, to oxidise, to react with water and with whatever "
    "stands beside it, and to make gas in the drum.",
    "It stays under a stop rule, as do drums near it, until two sources agree on what it is.",
)
"""What it means that a drum is not identified."""

_WITH_WATER = (
    (Trait.WATER_REACTIVE, "reacts with water"),
    (Trait.WATER_MISCIBLE, "mixes with water"),
    (Trait.PARTLY_MISCIBLE, "partly mixes with water"),
    (Trait.FLOATS, "floats on water"),
    (Trait.SINKS, "sinks in water"),
)


@dataclass(frozen=True, slots=True)
class Sourced:
    """A value as a source gives it; `verify` says that it was recalled, not read, and has to be checked."""

    value: float
    unit: str
    temperature_c: float | None
    source: str
    mark: Mark
    verify: bool


@dataclass(frozen=True, slots=True)
class PropertyRecord:
    """One property: the value acted on, which end of several is cautious and why, and all values on record."""

    property: str
    acted_on: Sourced
    cautious: Literal["lowest", "highest"]
    because: str
    all: tuple[Sourced, ...]


@dataclass(frozen=True, slots=True)
class TraitRecord:
    """A trait with its source."""

    trait: Trait
    source: str
    mark: Mark
    verify: bool


@dataclass(frozen=True, slots=True)
class RatingRecord:
    """An NFPA 704 rating as one list gives it."""

    rating: Rating
    verify: bool


@dataclass(frozen=True, slots=True)
class StorageRecord:
    """How long the product keeps, by one source."""

    limit: StorageLimit
    verify: bool


@dataclass(frozen=True, slots=True)
class ProductRecord:
    """A product with every value on record.

    `unknown` names the properties without any value. `worst_case` is filled for a drum that is not identified.
    `with_water` is empty where nothing is known of it.
    """

    product: Product
    identity_verify: bool
    values: tuple[PropertyRecord, ...]
    unknown: tuple[str, ...]
    traits: tuple[TraitRecord, ...]
    nfpa_704: tuple[RatingRecord, ...]
    storage_limits: tuple[StorageRecord, ...]
    inhibitor_date_means: str | None
    with_water: tuple[str, ...]
    confusable_with: tuple[Rival, ...]
    worst_case: tuple[str, ...]


def product_record(catalogue: Catalogue, product: Product) -> ProductRecord:
    """Gather what the catalogue has on one product."""
    values = catalogue.values.get(product.key, ())
    known = {value.prop for value in values}
    return ProductRecord(
        product=product,
        identity_verify=product.identity_mark is Mark.RECALLED,
        values=tuple(
            PropertyRecord(
                property=value.prop,
                acted_on=_sourced(value.acted_on),
                cautious=PROPERTIES[value.prop].cautious,
                because=PROPERTIES[value.prop].because,
                all=tuple(map(_sourced, value.all)),
            )
            for value in values
        ),
        unknown=tuple(prop for prop in PROPERTIES if prop not in known),
        traits=tuple(_trait(catalogue, product, trait) for trait in sorted(product.traits)),
        nfpa_704=tuple(
            RatingRecord(rating, rating.mark is Mark.RECALLED) for rating in catalogue.ratings.get(product.key, ())
        ),
        storage_limits=tuple(StorageRecord(limit, limit.mark is Mark.RECALLED) for limit in product.storage_limits),
        inhibitor_date_means=INHIBITOR_DATE_MEANS if Trait.POLYMERISES in product.traits else None,
        with_water=tuple(words for trait, words in _WITH_WATER if trait in product.traits),
        confusable_with=tuple(
            Rival(other.key, other.name, pair.why, tells_apart(product, other))
            for pair in catalogue.confusable(product.key)
            for other in (catalogue.by_key[key] for key in pair.keys if key != product.key)
        ),
        worst_case=() if product.identified else WORST_CASE,
    )


def _sourced(cited: Cited) -> Sourced:
    verify = cited.mark is Mark.RECALLED
    return Sourced(cited.value, cited.unit, cited.temperature_c, cited.source, cited.mark, verify)


def _trait(catalogue: Catalogue, product: Product, trait: Trait) -> TraitRecord:
    source, mark = catalogue.trait_sources[product.key, trait]
    return TraitRecord(trait, source, mark, mark is Mark.RECALLED)
