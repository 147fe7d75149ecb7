"""What the catalogue knows of a product entered from its safety data sheet: the same number, or a name like its own."""

import re
from collections.abc import Iterable, Sequence
from functools import lru_cache

from survey.catalogue.names import folded
from survey.catalogue.product import Product
from survey.catalogue.products import catalogue

NEAR_NAME = 0.6
"""Closeness from which a name is warned of; our own choice, tried on the catalogue's and invented names."""
MOST_NEAR = 3
"""Names in one warning."""
SHORTEST_NAME = 5
"""Letters of a catalogue name that is looked for inside a longer one; shorter ones stand in many."""


def un_number(typed: str | None) -> str | None:
    """Give the four digits of a UN number; None where it is none."""
    digits = re.fullmatch(r"(?:un)?\s*(\d{4})", (typed or "").strip(), re.IGNORECASE)
    return digits[1] if digits else None


def valid_cas(typed: Iterable[str]) -> tuple[str, ...]:
    """Give the CAS numbers of which the check digit is right, once each."""
    return tuple(dict.fromkeys(each.strip() for each in typed if _checks(each.strip())))


def _checks(number: str) -> bool:
    if not re.fullmatch(r"[0-9]{2,7}-[0-9]{2}-[0-9]", number):
        return False
    digits = [int(digit) for digit in reversed(number.replace("-", ""))]
    return sum(place * digit for place, digit in enumerate(digits)) % 10 == digits[0]


def catalogue_matches(number: str | None, cas: Sequence[str]) -> tuple[Product, ...]:
    """Find the catalogue's products of a UN number or, of a sheet that lists one substance, of its CAS number.

    A sheet with several CAS numbers is one of a mixture: what the catalogue says of one part of it says little of the
    whole.
    """
    known = catalogue()
    by_un = known.by_un.get(number or "", ())
    by_cas = known.by_cas.get(cas[0], ()) if len(cas) == 1 else ()
    both = tuple(product for product in by_un if product in by_cas)
    return both or by_un or by_cas


def class_contradiction(of_sheet: str | None, same: Sequence[Product]) -> str:
    """Say how the class of the sheet differs from the one of every catalogue product of its number; empty if not."""
    if of_sheet is None or not same or any(product.hazard_class in (None, of_sheet) for product in same):
        return ""
    listed = ", ".join(sorted(f"{product.name} (class {product.hazard_class})" for product in same))
    return f"class {of_sheet} for the number of {listed}"


@lru_cache(maxsize=256)
def near_names(name: str) -> tuple[tuple[Product, bool], ...]:
    """Find the catalogue's products whose name is near to this one, nearest first, and whether it is the same."""
    known = catalogue()
    words = folded(name).split()
    near = {
        each.product.key: each.closeness
        for each in known.near(name)
        if each.closeness >= NEAR_NAME and each.product.identified
    }
    for product in known.products:
        if any(_inside(folded(own).split(), words) for own in (product.name, *product.synonyms)):
            near.setdefault(product.key, NEAR_NAME)
    nearest = sorted(near, key=lambda key: (-near[key], key))[:MOST_NEAR]
    return tuple((known.by_key[key], near[key] == 1) for key in nearest)


def _inside(name: Sequence[str], words: Sequence[str]) -> bool:
    """Whether a name stands whole within longer words."""
    long_enough = sum(map(len, name)) >= SHORTEST_NAME
    return long_enough and any(
        list(words[start : start + len(name)]) == list(name) for start in range(len(words) - len(name) + 1)
    )
