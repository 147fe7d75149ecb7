"""The answer to a search: what fits, what that may be taken for, and whether a second key from the label is needed."""

from dataclasses import dataclass

from survey.catalogue.product import Product
from survey.catalogue.products import UNIDENTIFIED, Catalogue, Near
from survey.catalogue.second_key import Checked, about_equally, check_keys, tells_apart

MOST_RIVALS = 6
"""Of the products found about equally, so many are named beside each."""

IF_NONE_FITS = (
    "If none of these is what the label says, or the label cannot be read, the drum is not identified: every rule "
    f"takes the worst case (product key: {UNIDENTIFIED.key})."
)


@dataclass(frozen=True, slots=True)
class Rival:
    """A product that the one found may be taken for, why, and what on a label or sheet tells the two apart."""

    key: str
    name: str
    why: str
    tells_apart: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Hit:
    """A product found: the name or number that fitted, how near it is (1 is the same), what it may be taken for.

    `checked` says what the second key, if one was given, says of this product.
    """

    product: Product
    matched: str
    closeness: float
    second_key_needed: bool
    rivals: tuple[Rival, ...]
    checked: Checked | None


@dataclass(frozen=True, slots=True)
class Answer:
    """What a search found, best first, and what to do where that is not enough."""

    items: tuple[Hit, ...]
    second_key_needed: bool
    words: str
    if_none_fits: str


def answer(catalogue: Catalogue, text: str, *, limit: int, second_key: str | None = None) -> Answer:
    """Search the catalogue and say of each hit whether a second key is needed.

    Parameters
    ----------
    catalogue : Catalogue
    text : str
        Name, UN number or CAS number, or part of it, as typed.
    limit : int
        Most hits to give.
    second_key : str, optional
        UN number, CAS number or hazard class read from the same label, to hold against each hit.

    Returns
    -------
    Answer
    """
    near = catalogue.near(text)
    hits = tuple(_hit(catalogue, each, near, second_key) for each in near[:limit])
    needed = bool(hits) and hits[0].second_key_needed
    return Answer(hits, needed, _words(hits, needed=needed), IF_NONE_FITS)


def _hit(catalogue: Catalogue, found: Near, near: tuple[Near, ...], second_key: str | None) -> Hit:
    product = found.product
    rivals = [
        Rival(other.key, other.name, pair.why, tells_apart(product, other))
        for pair in catalogue.confusable(product.key)
        for other in (catalogue.by_key[key] for key in pair.keys if key != product.key)
    ]
    named = {product.key, *(rival.key for rival in rivals)}
    equal = [each for each in near if each.product.key not in named and about_equally(found.closeness, each.closeness)]
    rivals += [
        Rival(each.product.key, each.product.name, _why(product, each.product), tells_apart(product, each.product))
        for each in equal[:MOST_RIVALS]
    ]
    return Hit(
        product=product,
        matched=found.matched,
        closeness=round(found.closeness, 3),
        second_key_needed=bool(rivals) or not product.identified,
        rivals=tuple(rivals),
        checked=None if second_key is None else check_keys(catalogue, product.key, second_key),
    )


def _why(product: Product, other: Product) -> str:
    if {*product.cas_numbers} & {*other.cas_numbers}:
        return "the same substance in another strength or form fits what was typed about as well"
    return "fits what was typed about as well"


def _words(hits: tuple[Hit, ...], *, needed: bool) -> str:
    if not hits:
        return "Nothing in the catalogue is near to what was typed."
    if not hits[0].product.identified:
        return "A drum that nobody identified: look for any key on the label, and take the worst case until two agree."
    if not needed:
        return "One key is one source: a drum counts as identified when a second, read from its label, agrees."
    names = ", ".join(dict.fromkeys(rival.name for rival in hits[0].rivals))
    return (
        "A second key is needed: the UN number, the CAS number or the class on the label. "
        f"{hits[0].product.name} may be taken for {names}."
    )
