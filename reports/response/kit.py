"""What to take a product up with, what never, and the kit list: take, have on site, have on the apparatus, missing."""

import re
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache

from reports.facts import KitFact
from reports.response.advice import AbsorbentAdvice, Cite, KitLine, OverpackRow
from reports.response.rule_rows import choices, cite, rule_rows
from survey.catalogue.product import Form, Product
from survey.vocabulary import KitKind, KitPlace

STAYS_HAZARDOUS = "What has been taken up stays as hazardous as the product."


@dataclass(frozen=True, slots=True)
class _Rule:
    cite: Cite
    asks: tuple[str, ...]
    use: str
    never: str
    allowed_kinds: frozenset[str]
    because: str

    def takes(self, product: Product) -> bool:
        return _asks_for(self.asks, product)


def _asks_for(asks: tuple[str, ...], product: Product) -> bool:
    return any(
        ask == "any" or (ask == "unidentified" and not product.identified) or ask in product.traits for ask in asks
    )


@dataclass(frozen=True, slots=True)
class _Kind:
    kind: str
    words: tuple[str, ...]


def absorbent_advice(products: Sequence[Product]) -> tuple[AbsorbentAdvice, ...]:
    """Return, for each product once, what may and what must not be used to take it up, strictest first."""
    order = {rule.cite.rule: place for place, rule in enumerate(_rules())}
    pairs = {product.key: (product, _rule_for(product)) for product in products}
    return tuple(
        AbsorbentAdvice(cite=rule.cite, product=product.name, use=rule.use, never=rule.never)
        for product, rule in sorted(pairs.values(), key=lambda pair: (order[pair[1].cite.rule], pair[0].name))
    )


def absorbent_conflict(kit_item: KitFact, product: Product) -> str | None:
    """Say why an absorbent must not be used on a product, or None where its kind is among those allowed.

    Notes
    -----
    An absorbent whose kind cannot be told from its name and material is a conflict: not known is not allowed.
    """
    if kit_item.kind is not KitKind.ABSORBENT:
        return None
    rule = _rule_for(product)
    kind = absorbent_kind(kit_item)
    if kind is None:
        return (
            f"{kit_item.name}: what it is made of is not on record. Do not use it on {product.name} until it is; "
            f"use {rule.use}."
        )
    if kind in rule.allowed_kinds:
        return None
    return f"{kit_item.name} must not be used on {product.name}: {rule.because}. Use {rule.use}."


def absorbent_kind(kit_item: KitFact) -> str | None:
    """Return what an absorbent is made of, by the words of its name and material; None where they do not say."""
    words = f"{kit_item.material} {kit_item.name}".lower()
    return next((kind.kind for kind in _kinds() if any(_said(word, words) for word in kind.words)), None)


def _said(word: str, words: str) -> bool:
    """Whether a word of the table begins a word of the record: `rag` is in *rags*, not in *storage*."""
    return re.search(rf"\b{re.escape(word)}", words) is not None


def kit_lines(
    kit: Sequence[KitFact],
    *,
    drains_to_cover: int,
    products: Sequence[Product],
    overpacks: Sequence[OverpackRow],
    spill_l: float,
) -> tuple[KitLine, ...]:
    """Return the kit list of a site.

    Parameters
    ----------
    kit : sequence of KitFact
        What is on record on site and on the apparatus.
    drains_to_cover : int
        Number of drains that liquid reaches or may reach.
    products : sequence of Product
        Every product held.
    overpacks : sequence of OverpackRow
        Salvage drums needed and held.
    spill_l : float
        The spill to be taken up [L]: one drum.

    Returns
    -------
    tuple of KitLine
        `needed` and `missing` are None where nothing on record allows a number.

    Notes
    -----
    Absorbent capacity is taken from the stocked item only; no published litres per bag stands in for it. Solids are
    scooped up and ask for none.
    """
    lines = [
        _counted(
            "drain cover or mat", "drains that liquid reaches or may reach", drains_to_cover, KitKind.DRAIN_COVER, kit
        )
    ]
    liquids = [product for product in products if product.form is not Form.SOLID]
    lines.extend(_absorbent_line(rule, members, kit, spill_l) for rule, members in _by_rule(liquids))
    lines.extend(
        KitLine(
            item=f"{row.size_label} {row.material} salvage drum{', vented' if row.vented else ''}",
            why="worst single pallet of " + ", ".join(row.products),
            needed=row.needed,
            on_site=row.on_site,
            on_apparatus=row.on_apparatus,
            missing=row.missing,
            remark=row.remark,
        )
        for row in overpacks
    )
    lines.extend(_tool_line(row, products, kit) for row in _tools() if row.wanted(products))
    return tuple(lines)


def _absorbent_line(rule: _Rule, members: Sequence[Product], kit: Sequence[KitFact], spill_l: float) -> KitLine:
    """Count the litres that the fit absorbents on record take up; one without a capacity counts as none."""
    fit = [
        item
        for item in kit
        if item.kind is KitKind.ABSORBENT and all(absorbent_conflict(item, product) is None for product in members)
    ]
    site = sum(int(item.quantity * (item.capacity_l or 0)) for item in fit if item.place is KitPlace.SITE)
    apparatus = sum(int(item.quantity * (item.capacity_l or 0)) for item in fit if item.place is not KitPlace.SITE)
    needed = int(spill_l + 0.5)
    uncounted = [item.name for item in fit if item.capacity_l is None]
    remarks = [f"Never: {rule.never}."] if rule.never else []
    if uncounted:
        remarks.append(f"No capacity on record, not counted: {', '.join(uncounted)}.")
    return KitLine(
        item=f"absorbent [L]: {rule.use}",
        why=", ".join(sorted(product.name for product in members)),
        needed=needed,
        on_site=site,
        on_apparatus=apparatus,
        missing=max(0, needed - site - apparatus),
        remark=" ".join(remarks),
    )


def _by_rule(products: Sequence[Product]) -> list[tuple[_Rule, list[Product]]]:
    grouped: dict[str, list[Product]] = {}
    for product in {product.key: product for product in products}.values():
        grouped.setdefault(_rule_for(product).cite.rule, []).append(product)
    return [(rule, grouped[rule.cite.rule]) for rule in _rules() if rule.cite.rule in grouped]


def _counted(item: str, why: str, needed: int, kind: KitKind, kit: Sequence[KitFact]) -> KitLine:
    site, apparatus = _quantities([entry for entry in kit if entry.kind is kind])
    return KitLine(item, why, needed, site, apparatus, max(0, needed - site - apparatus), "")


def _quantities(items: Sequence[KitFact]) -> tuple[int, int]:
    site = sum(item.quantity for item in items if item.place is KitPlace.SITE)
    return site, sum(item.quantity for item in items) - site


@dataclass(frozen=True, slots=True)
class _Tool:
    cite: Cite
    item: str
    why: str
    needed: int
    kind: KitKind
    words: tuple[str, ...]
    asks: tuple[str, ...]

    def wanted(self, products: Sequence[Product]) -> bool:
        return bool(self.drivers(products)) or self.asks == ("any",)

    def drivers(self, products: Sequence[Product]) -> list[str]:
        """Name the products that ask for it."""
        return sorted({product.name for product in products if _asks_for(self.asks, product)})


def _tool_line(tool: _Tool, products: Sequence[Product], kit: Sequence[KitFact]) -> KitLine:
    held = [
        item
        for item in kit
        if item.kind is tool.kind and any(_said(word, f"{item.name} {item.material}".lower()) for word in tool.words)
    ]
    site, apparatus = _quantities(held)
    drivers = tool.drivers(products)
    why = tool.why + (f": {', '.join(drivers)}" if drivers and tool.asks != ("any",) else "")
    return KitLine(
        tool.item,
        why,
        tool.needed,
        site,
        apparatus,
        max(0, tool.needed - site - apparatus),
        "verify" if tool.cite.verify else "",
    )


def _rule_for(product: Product) -> _Rule:
    """Return the first rule that takes a product: the table runs from the strictest down."""
    return next(rule for rule in _rules() if rule.takes(product))


@cache
def _rules() -> tuple[_Rule, ...]:
    return tuple(
        _Rule(
            cite(row),
            choices(row["traits"]),
            row["use"],
            row["never"],
            frozenset(choices(row["allowed_kinds"])),
            row["because"],
        )
        for row in rule_rows("absorbent_rules.csv")
    )


@cache
def _kinds() -> tuple[_Kind, ...]:
    return tuple(_Kind(row["kind"], choices(row["words"])) for row in rule_rows("absorbent_kinds.csv"))


@cache
def _tools() -> tuple[_Tool, ...]:
    return tuple(
        _Tool(
            cite(row),
            row["item"],
            row["why"],
            int(row["needed"]),
            KitKind(row["kind"]),
            choices(row["words"]),
            choices(row["traits"]),
        )
        for row in rule_rows("kit_items.csv")
    )
