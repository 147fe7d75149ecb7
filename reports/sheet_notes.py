"""Where a product entered from its safety data sheet comes from, and what of it nobody answered."""

from collections.abc import Iterable

from reports.wording import named
from survey.catalogue.product import Product

FROM_SHEET = "safety data sheet, verify"
MOST_NAMED = 8
"""Open answers in one note; with many more open it is the count that matters."""


def sheet_notes(products: Iterable[Product]) -> tuple[str, ...]:
    """Say of each product that was entered from a safety data sheet whose that is and what it leaves open.

    Parameters
    ----------
    products : iterable of Product
        Any; those of the catalogue are left out.

    Returns
    -------
    tuple of str
        Sentences in the order of names, each product once.
    """
    sheets = {product.key: product for product in products if product.from_sheet}
    return tuple(_note(each) for each in sorted(sheets.values(), key=lambda product: (product.name, product.key)))


def _note(product: Product) -> str:
    said = f"{product.name}: from the {product.identity_source}; verify."
    if not product.presumed:
        return said
    return f"{said} Left open, and so counted as yes: {named(sorted(product.presumed), MOST_NAMED)}."
