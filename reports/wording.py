"""How names and counts are put into sentences."""

from collections.abc import Iterable, Sequence

from survey.catalogue.product import Product


def listed(names: Sequence[str]) -> str:
    """Join names as a sentence does: *a*, *a and b*, *a, b and c*; empty for none."""
    if len(names) < 2:
        return "".join(names)
    return f"{', '.join(names[:-1])} and {names[-1]}"


def counted(count: int, noun: str) -> str:
    """Give a count with its noun: *1 drum*, *4 drums*."""
    return f"{count} {noun}" if count == 1 else f"{count:,} {noun}s"


def phrase(note: str) -> str:
    """Give a recorded note as it goes into a sentence: without the full stop it ends in."""
    return note.strip().rstrip(".")


MOST_NAMED = 12
"""Names in one sentence before the rest is counted; a judgement: nobody reads on, and each has an entry of its own."""


def named(names: Sequence[str], most: int = MOST_NAMED) -> str:
    """Join names, counting those past `most`: *a, b and 3 more*."""
    if len(names) <= most + 1:
        return listed(names)
    return listed([*names[:most], f"{len(names) - most} more"])


def contents(products: Iterable[Product]) -> str:
    """Name what drums hold, each product once."""
    names = {product.name if product.identified else "contents not identified" for product in products}
    return listed(sorted(names))
