"""What to take a product up with, and what never: by every rule that takes the product, never by one alone."""

import re
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache, lru_cache

from reports.facts import KitFact
from reports.response.advice import AbsorbentAdvice, Cite
from reports.response.contents import written_for
from reports.response.rule_rows import NOTHING, choices, cite, filled, rule_rows
from survey.catalogue.product import Product, Trait
from survey.vocabulary import KitKind

NOTHING_SUITS = "nothing until what is open about it is answered: no absorbent suits everything it may be; hold it"


@dataclass(frozen=True, slots=True)
class AbsorbentRule:
    """One row: what it takes, what it allows and what it forbids."""

    cite: Cite
    asks: tuple[str, ...]
    use: str
    never: str
    allowed_kinds: frozenset[str]
    because: str


@dataclass(frozen=True, slots=True)
class Absorbing:
    """What may take up one product: the first rule's words, and only the kinds that every rule allows."""

    rule: AbsorbentRule
    kinds: frozenset[str]
    """Empty where the rules leave none in common: then nothing is put on it."""
    never: str
    because: str

    @property
    def use(self) -> str:
        """What to take it up with."""
        return self.rule.use if self.kinds else NOTHING_SUITS


@dataclass(frozen=True, slots=True)
class _Kind:
    kind: str
    words: tuple[str, ...]


def absorbing(product: Product) -> Absorbing:
    """Return what may take up a product.

    Parameters
    ----------
    product : Product

    Returns
    -------
    Absorbing
        A kind is allowed only where every rule that takes the product allows it, so that a further trait never allows
        what was forbidden. A product that no rule is written for falls to the last, which allows least.
    """
    return _absorbing(product.known_traits, product.presumed, product.identified)


@lru_cache(maxsize=1024)
def _absorbing(known: frozenset[Trait], left_open: frozenset[Trait], identified: bool) -> Absorbing:  # noqa: FBT001 - the key of a cache
    own = _own(known, identified=identified)
    every = own
    if _own(known | left_open, identified=identified) != own:
        # What a safety data sheet leaves open would change the choice: what holds for the unidentified holds as well.
        named = [rule for rule in own if "any" not in rule.asks]
        every = sorted({*named, *_own(known, identified=False)}, key=strictness)
    # Where no kind suits both, what is known decides.
    decides = every if _kinds_of(every) else own
    return Absorbing(
        rule=decides[0],
        kinds=_kinds_of(decides),
        never="; ".join(dict.fromkeys(rule.never for rule in every if rule.never)),
        because=", and ".join(dict.fromkeys(rule.because for rule in every if rule.because)),
    )


def _kinds_of(rules: Sequence[AbsorbentRule]) -> frozenset[str]:
    return frozenset.intersection(*(rule.allowed_kinds for rule in rules))


def _own(traits: frozenset[Trait], *, identified: bool) -> list[AbsorbentRule]:
    """Give the rules written for these traits; the last of the table where none is."""
    taking = [rule for rule in absorbent_rules() if written_for(rule.asks, traits, identified=identified)]
    return [rule for rule in taking if "any" not in rule.asks] or taking


def absorbent_advice(products: Sequence[Product]) -> tuple[AbsorbentAdvice, ...]:
    """Return, for each product once, what may and what must not be used to take it up, strictest first."""
    found = {product.key: (product, absorbing(product)) for product in products}
    return tuple(
        AbsorbentAdvice(cite=each.rule.cite, product=product.name, use=each.use, never=each.never)
        for product, each in sorted(found.values(), key=lambda pair: (strictness(pair[1].rule), pair[0].name))
    )


def absorbent_conflict(kit_item: KitFact, product: Product) -> str | None:
    """Say why an absorbent must not be used on a product, or None where its kind is among those allowed.

    Notes
    -----
    An absorbent whose kind cannot be told from its name and material is a conflict: not known is not allowed.
    """
    if kit_item.kind is not KitKind.ABSORBENT:
        return None
    allowed = absorbing(product)
    kind = absorbent_kind(kit_item)
    if kind is None:
        return (
            f"{kit_item.name}: what it is made of is not on record. Do not use it on {product.name} until it is; "
            f"use {allowed.use}."
        )
    if kind in allowed.kinds:
        return None
    return f"{kit_item.name} must not be used on {product.name}: {allowed.because}. Use {allowed.use}."


def absorbent_kind(kit_item: KitFact) -> str | None:
    """Return what an absorbent is made of, by the words of its name and material; None where they do not say."""
    words = f"{kit_item.material} {kit_item.name}"
    return next((kind.kind for kind in _kinds() if any(said(word, words) for word in kind.words)), None)


def said(word: str, words: str) -> bool:
    """Whether a word of a table begins a word of the record: `rag` is in *rags*, not in *storage*."""
    return re.search(rf"\b{re.escape(word)}", words.lower()) is not None


def strictness(rule: AbsorbentRule) -> int:
    """Give the place of a rule in its table, which runs from the strictest down."""
    return [each.cite.rule for each in absorbent_rules()].index(rule.cite.rule)


@cache
def absorbent_rules() -> tuple[AbsorbentRule, ...]:
    """Return the rows of the table, strictest first."""
    return tuple(
        AbsorbentRule(
            cite(row),
            choices(row["traits"]),
            row["use"],
            "" if row["never"] == NOTHING else row["never"],
            frozenset(choices(row["allowed_kinds"])),
            "" if row["because"] == NOTHING else row["because"],
        )
        for row in filled(rule_rows("absorbent_rules.csv"))
    )


@cache
def _kinds() -> tuple[_Kind, ...]:
    return tuple(_Kind(row["kind"], choices(row["words"])) for row in filled(rule_rows("absorbent_kinds.csv")))
