"""Two keys of one drum, a name and a number for example, held against each other: agree, contradict, cannot tell."""

import re
from dataclasses import dataclass
from enum import StrEnum

from survey.catalogue.product import Product
from survey.catalogue.products import Catalogue

ABOUT_EQUALLY = 0.1
"""Two names whose closeness differs by no more than this were matched about equally: the same, and one that only holds
all that was typed. Our own choice."""

NEITHER = "Label and content that differ are neither: the drum counts as not identified until this is settled."
ONE_SOURCE = "One key is one source: the drum does not count as identified by it."


class Agreement(StrEnum):
    """What two keys say of each other."""

    AGREE = "agree"
    CONTRADICT = "contradict"
    CANNOT_TELL = "cannot tell"


class Kind(StrEnum):
    """What sort of key a text is."""

    UN = "UN number"
    CAS = "CAS number"
    CLASS = "hazard class"
    NAME = "name"


@dataclass(frozen=True, slots=True)
class Checked:
    """What two keys say of each other, in words too, and the keys of the products that both fit."""

    agreement: Agreement
    words: str
    fits: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class _Key:
    kind: Kind
    text: str
    products: tuple[Product, ...]

    @property
    def shown(self) -> str:
        return {Kind.UN: "UN ", Kind.CAS: "CAS ", Kind.CLASS: "class ", Kind.NAME: ""}[self.kind] + self.text


def about_equally(closeness: float, other: float) -> bool:
    """Say whether the second of two names was matched about as well as the first, or better."""
    return other > closeness - ABOUT_EQUALLY - 1e-9


def cas_number_checks(text: str) -> bool:
    """Say whether the last digit of a CAS registry number fits the others."""
    digits = text.replace("-", "")
    total = sum(place * int(digit) for place, digit in enumerate(reversed(digits[:-1]), start=1))
    return total % 10 == int(digits[-1])


def tells_apart(one: Product, other: Product) -> tuple[str, ...]:
    """Return what a label or sheet can show that holds for one of two products and not for the other."""
    ways = []
    if one.un_number != other.un_number:
        ways.append(f"UN number: {_listed(one.un_number)} or {_listed(other.un_number)}")
    if one.cas_numbers and other.cas_numbers and not {*one.cas_numbers} & {*other.cas_numbers}:
        ways.append(f"CAS number: {', '.join(one.cas_numbers)} or {', '.join(other.cas_numbers)}")
    if _labels(one) != _labels(other):
        ways.append(f"class on the label: {_listed(_labels(one))} or {_listed(_labels(other))}")
    if one.form is not other.form and not ways:
        ways.append(f"form: {one.form} or {other.form}")
    if _same_substance(one, other):
        ways.append("strength on the label or the safety data sheet")
    return tuple(ways) or ("nothing on record: only the safety data sheet or a sample tells them apart",)


def check_keys(catalogue: Catalogue, first: str, second: str) -> Checked:
    """Hold two keys against each other.

    Parameters
    ----------
    catalogue : Catalogue
    first, second : str
        A product's key in the catalogue, its name as typed, UN number, CAS number or hazard class.

    Returns
    -------
    Checked
        *Agree* only where both fit one product, and the second would not fit what the first is easily taken for.
    """
    one, other = _read(catalogue, first), _read(catalogue, second)
    for key in (one, other):
        if key.kind is Kind.CAS and not cas_number_checks(key.text):
            return _cannot_tell(f"{key.text} is no CAS number: its last digit does not fit the others. Read it again.")
    if one.kind is other.kind and one.text == other.text:
        return _cannot_tell(f"Both keys are {one.shown}. {ONE_SOURCE}", one.products)
    fits = tuple(product for product in one.products if product in other.products)
    if Kind.NAME is one.kind is other.kind:
        return _cannot_tell("Both keys are names: take a number or the class from the label as the second.", fits)
    if any(not product.identified for product in (*one.products, *other.products)):
        return _cannot_tell(f"One of the keys names no product. {ONE_SOURCE}")
    if not fits:
        return _apart(one, other)
    return _together(catalogue, one, other, fits)


def _read(catalogue: Catalogue, text: str) -> _Key:
    text = text.strip()
    if un := re.fullmatch(r"(?:un|na|id)?\s*(\d{4})", text, re.IGNORECASE):
        return _Key(Kind.UN, un[1], catalogue.by_un.get(un[1], ()))
    if re.fullmatch(r"\d{2,7}-\d\d-\d", text):
        return _Key(Kind.CAS, text, catalogue.by_cas.get(text, ()))
    if hazard := re.fullmatch(r"(?:class|division|div\.?)?\s*([1-9](?:\.[1-6])?)", text, re.IGNORECASE):
        members = (product for product in catalogue.products if hazard[1] in _classes(product))
        return _Key(Kind.CLASS, hazard[1], tuple(members))
    picked = catalogue.get(text)
    if picked is not None:
        return _Key(Kind.NAME, picked.name, (picked,))
    near = catalogue.near(text)
    best = tuple(each.product for each in near if about_equally(near[0].closeness, each.closeness))
    return _Key(Kind.NAME, text, best)


def _apart(one: _Key, other: _Key) -> Checked:
    """Judge two keys that no product fits together."""
    unknown = [key for key in (one, other) if not key.products]
    if len(unknown) == 2 or (unknown and not _excluded(unknown[0], one if unknown[0] is other else other)):
        names = " and ".join(key.shown for key in unknown)
        return _cannot_tell(f"The catalogue has nothing for {names}: look it up on the safety data sheet.")
    if any(key.kind is Kind.CAS for key in (one, other)) and any(map(_collective, (*one.products, *other.products))):
        return _cannot_tell("A mixture has no CAS number of its own: the one given may be that of a part of it.")
    generic = [key for key in (one, other) if key.kind is Kind.UN and any(map(_collective, key.products))]
    if generic and _share_a_class(one, other):
        return _cannot_tell(
            f"{generic[0].shown} is a collective entry that many products are carried under: it neither proves nor "
            "excludes. Take the CAS number or the name on the safety data sheet."
        )
    told = "; ".join(map(_told, (one, other)))
    return Checked(Agreement.CONTRADICT, f"{told}. {NEITHER}", ())


def _told(key: _Key) -> str:
    if not key.products:
        return f"{key.shown} is listed for no product of the catalogue"
    if key.kind is not Kind.NAME:
        return f"{key.shown} is listed for {_named(key.products)}"
    return "; ".join(
        f"{product.name} has {_numbered('UN', product.un_number)}, "
        f"{_numbered('CAS', ', '.join(product.cas_numbers))} and {_numbered('class', _labels(product))}"
        for product in key.products[:2]
    )


def _numbered(kind: str, value: str | None) -> str:
    return f"{kind} {value}" if value else f"no {kind} on record"


def _excluded(unknown: _Key, known: _Key) -> bool:
    """Whether a number that no product has is excluded for products by the numbers they do have."""
    if unknown.kind is Kind.UN:
        return not any(map(_collective, known.products))
    if unknown.kind is Kind.CAS:
        return all(product.cas_numbers for product in known.products)
    return unknown.kind is Kind.CLASS


def _together(catalogue: Catalogue, one: _Key, other: _Key, fits: tuple[Product, ...]) -> Checked:
    """Judge two keys that fit at least one product together."""
    if len(fits) > 1:
        ways = dict.fromkeys(way for product in fits[1:] for way in tells_apart(fits[0], product))
        return _cannot_tell(
            f"{one.shown} and {other.shown} fit {_named(fits)}. What tells them apart: {'; '.join(ways)}.", fits
        )
    product = fits[0]
    rivals = [catalogue.by_key[key] for key in product.confusable_with]
    left = [
        rival
        for rival in rivals
        if not (one.kind is not Kind.NAME and rival not in one.products)
        and not (other.kind is not Kind.NAME and rival not in other.products)
    ]
    if left:
        ways = dict.fromkeys(way for rival in left for way in tells_apart(product, rival))
        return _cannot_tell(
            f"{one.shown} and {other.shown} fit {product.name}, but would fit {_named(left)} too, whose name is "
            f"easily taken for it. What tells them apart: {'; '.join(ways)}.",
            fits,
        )
    excluded = f" Not {_named(rivals)}, for which it is easily taken." if rivals else ""
    same = [each for each in catalogue.products if each is not product and _same_substance(each, product)]
    strengths = f" The strength is another question: {_named([product, *same])} are on record." if same else ""
    return Checked(
        Agreement.AGREE, f"{one.shown} and {other.shown} both fit {product.name}.{excluded}{strengths}", (product.key,)
    )


def _cannot_tell(words: str, fits: tuple[Product, ...] = ()) -> Checked:
    return Checked(Agreement.CANNOT_TELL, words, tuple(product.key for product in fits))


def _classes(product: Product) -> tuple[str, ...]:
    return (*((product.hazard_class,) if product.hazard_class else ()), *product.subsidiary)


def _labels(product: Product) -> str:
    return " and ".join(_classes(product))


def _listed(value: str | None) -> str:
    return value or "none listed"


def _same_substance(one: Product, other: Product) -> bool:
    return bool({*one.cas_numbers} & {*other.cas_numbers})


def _collective(product: Product) -> bool:
    """Whether a product stands for whatever is carried under a collective entry of the transport list."""
    return not product.cas_numbers


def _share_a_class(one: _Key, other: _Key) -> bool:
    return any({*_classes(a)} & {*_classes(b)} for a in one.products for b in other.products)


def _named(products: "list[Product] | tuple[Product, ...]", most: int = 4) -> str:
    names = [product.name for product in products[:most]]
    more = f" and {len(products) - most} more" if len(products) > most else ""
    return f"{', '.join(names)}{more}"
