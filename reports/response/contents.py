"""Which products count where contents are in doubt: the one named, and one that nobody identified."""

from collections.abc import Collection, Iterable
from collections.abc import Set as AbstractSet

from reports.facts import DrumFact
from survey.catalogue.product import Product, Trait
from survey.catalogue.products import UNIDENTIFIED
from survey.vocabulary import LabelState


def products_acted_on(drums: Iterable[DrumFact]) -> tuple[Product, ...]:
    """Give the products that people and kit are chosen for, each once, by key.

    Parameters
    ----------
    drums : iterable of DrumFact

    Returns
    -------
    tuple of Product
        Every product named, and the unidentified one beside it where no source says that a drum holds what is named, or
        its label says otherwise.
    """
    found: dict[str, Product] = {}
    for drum in drums:
        found[drum.product.key] = drum.product
        if drum.contents_unknown or drum.label is LabelState.CONTRADICTS_CONTENT:
            found[UNIDENTIFIED.key] = UNIDENTIFIED
    return tuple(found[key] for key in sorted(found))


def asks_for(asks: Collection[str], product: Product) -> bool:
    """Whether a row that asks for these traits is needed for a product: for one not identified every row is."""
    return not product.identified or written_for(asks, product.traits, identified=True)


def written_for(asks: Collection[str], traits: AbstractSet[Trait], *, identified: bool) -> bool:
    """Whether a row is written for a product of these traits, or for *unidentified* as such."""
    return "any" in asks or ("unidentified" in asks and not identified) or any(ask in traits for ask in asks)
