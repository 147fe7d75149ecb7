"""The kit list: take, have on site, have on the apparatus, missing."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache

from reports.facts import KitFact
from reports.response.absorbents import AbsorbentRule, absorbent_conflict, absorbing, said, strictness
from reports.response.advice import Cite, KitLine, OverpackRow
from reports.response.contents import asks_for
from reports.response.method_rules import Step, method_steps
from reports.response.rule_rows import choices, cite, filled, rule_rows
from survey.catalogue.materials import resistance
from survey.catalogue.product import Form, Mark, Product
from survey.vocabulary import KitKind, KitPlace

DRAIN_COVERS = Cite(
    "drain-covers", "29 CFR 1910.120(q)(6)(ii): operations level contains; one for each drain is our measure", Mark.READ
)
_TOUCHES = frozenset({KitKind.PLUG, KitKind.PATCH, KitKind.DRAIN_COVER})
"""Kit that lies in the product; tools and monitors do not."""


def kit_lines(
    kit: Sequence[KitFact],
    *,
    drains_to_cover: int,
    products: Sequence[Product],
    overpacks: Sequence[OverpackRow],
    largest_l: Mapping[str, float],
) -> tuple[KitLine, ...]:
    """Return the kit list of a site or of one storage zone.

    Parameters
    ----------
    kit : sequence of KitFact
        What is on record on site and on the apparatus.
    drains_to_cover : int
        Number of drains that liquid reaches or may reach.
    products : sequence of Product
        Every product to be ready for; the unidentified one asks for every item.
    overpacks : sequence of OverpackRow
        Salvage drums needed and held.
    largest_l : mapping of str to float
        What the fullest drum of each product holds [L], by the product's key: the spill to be taken up is one drum. A
        product that is not in it counts with the fullest of all.

    Returns
    -------
    tuple of KitLine
        `needed` and `missing` are None where nothing on record allows a number.

    Notes
    -----
    Absorbent capacity is taken from the stocked item only; no published litres per bag stands in for it. Solids are
    scooped up and ask for none. Kit that a product attacks, or of which nobody knows whether it does, is not counted.
    """
    lines = [_drain_covers(drains_to_cover, products, kit)]
    liquids = [product for product in products if product.form is not Form.SOLID]
    lines.extend(_absorbent_line(rule, members, kit, largest_l) for rule, members in _by_rule(liquids))
    lines.extend(
        KitLine(
            cite=row.cite,
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
    lines.extend(_tool_line(tool, products, kit) for tool in _tools() if tool.wanted(products))
    return tuple(lines)


def kit_material_conflict(item: KitFact, product: Product) -> str | None:
    """Say why kit that lies in the product must not be used on it; None where its material may touch it.

    Notes
    -----
    The same as a method's steps are checked by: the grade of the material, and what bars every step that uses it. So a
    material that a method refuses is not counted as kit for it, and the other way round. Kit of a material without a
    grade is a conflict: not known is not allowed.
    """
    if item.kind not in _TOUCHES:
        return None
    material = kit_material(item)
    if material is None:
        return f"{item.name}: how its material stands up to {product.name} is not on record"
    grade = resistance(material, product)
    if not grade.acceptable:
        return f"{item.name}: {material} against {product.name} is {grade.words}"
    refused = "" if item.kind is KitKind.DRAIN_COVER else material_refused(material, product)
    return f"{item.name}: {refused}" if refused else None


def material_refused(material: str, product: Product) -> str:
    """Say why no method uses a material on a product, whatever its grade; empty where some step may use it."""
    using = [
        step
        for step in method_steps()
        if any(material in need.materials for need in step.needs) and (not step.only or step.only & product.traits)
    ]
    speaking = [_against(step, product) for step in using]
    if not using:
        return f"no method uses {material} on {product.name}"
    return speaking[0] if all(speaking) else ""


def _against(step: Step, product: Product) -> str:
    """Say what in the product speaks against a step that would use a material: a bar, or a partner that fails."""
    for bar in step.bars:
        if bar.asks == "trait" and bar.words & product.traits:
            return bar.because
    for need in step.needs:
        if not any(resistance(each, product).acceptable for each in need.materials):
            return f"nothing on record stands up to {product.name} as {need.used_as or 'its partner'}"
    return ""


def kit_material(item: KitFact) -> str | None:
    """Return the graded material that an item is made of, by its recorded words; None where they name none."""
    words = f"{item.material} {item.name}"
    named = [(word, material) for material, known in _materials() for word in known if said(word, words)]
    return max(named, key=lambda pair: len(pair[0]))[1] if named else None


def _drain_covers(needed: int, products: Sequence[Product], kit: Sequence[KitFact]) -> KitLine:
    """Count covers; what they are made of is said, since a cover that dissolves still holds for the first minutes."""
    covers = [item for item in kit if item.kind is KitKind.DRAIN_COVER]
    site, apparatus = _quantities(covers)
    doubts = sorted(
        {item.name for item in covers if item.quantity and any(kit_material_conflict(item, each) for each in products)}
    )
    return KitLine(
        DRAIN_COVERS,
        "drain cover or mat",
        "drains that liquid reaches or may reach",
        needed,
        site,
        apparatus,
        max(0, needed - site - apparatus),
        f"Material against what is stored here not known or not fit, check before it is relied on: {', '.join(doubts)}."
        if doubts
        else "",
    )


def _absorbent_line(
    rule: AbsorbentRule, members: Sequence[Product], kit: Sequence[KitFact], largest_l: Mapping[str, float]
) -> KitLine:
    """Count the litres that the fit absorbents on record take up; one without a capacity counts as none."""
    fit = [
        item
        for item in kit
        if item.kind is KitKind.ABSORBENT and all(absorbent_conflict(item, product) is None for product in members)
    ]
    site = sum(int(item.quantity * (item.capacity_l or 0)) for item in fit if item.place is KitPlace.SITE)
    apparatus = sum(int(item.quantity * (item.capacity_l or 0)) for item in fit if item.place is not KitPlace.SITE)
    most_l = max(largest_l.values(), default=0.0)
    needed = int(max(largest_l.get(product.key, most_l) for product in members) + 0.5)
    uncounted = [item.name for item in fit if item.capacity_l is None]
    never = "; ".join(
        dict.fromkeys(each for product in members for each in absorbing(product).never.split("; ") if each)
    )
    remarks = [f"Never: {never}."] if never else []
    if uncounted:
        remarks.append(f"No capacity on record, not counted: {', '.join(uncounted)}.")
    return KitLine(
        cite=rule.cite,
        item=f"absorbent [L]: {absorbing(members[0]).use}",
        why=", ".join(sorted(product.name for product in members)),
        needed=needed,
        on_site=site,
        on_apparatus=apparatus,
        missing=max(0, needed - site - apparatus),
        remark=" ".join(remarks),
    )


def _by_rule(products: Sequence[Product]) -> list[tuple[AbsorbentRule, list[Product]]]:
    grouped: dict[tuple[str, str], tuple[AbsorbentRule, list[Product]]] = {}
    for product in {product.key: product for product in products}.values():
        found = absorbing(product)
        grouped.setdefault((found.rule.cite.rule, found.use), (found.rule, []))[1].append(product)
    return sorted(grouped.values(), key=lambda pair: strictness(pair[0]))


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
        return bool(self.drivers(products)) or "any" in self.asks

    def drivers(self, products: Sequence[Product]) -> list[str]:
        """Name the products that ask for it."""
        return sorted({product.name for product in products if asks_for(self.asks, product)})


def _tool_line(tool: _Tool, products: Sequence[Product], kit: Sequence[KitFact]) -> KitLine:
    held = [
        item
        for item in kit
        if item.kind is tool.kind and any(said(word, f"{item.name} {item.material}") for word in tool.words)
    ]
    unfit = [item for item in held if any(kit_material_conflict(item, product) for product in products)]
    site, apparatus = _quantities([item for item in held if item not in unfit])
    drivers = tool.drivers(products)
    why = tool.why + (f": {', '.join(drivers)}" if drivers and "any" not in tool.asks else "")
    return KitLine(tool.cite, tool.item, why, tool.needed, site, apparatus, max(0, tool.needed - site - apparatus), "")


@cache
def _materials() -> tuple[tuple[str, tuple[str, ...]], ...]:
    return tuple((row["material"], choices(row["words"])) for row in filled(rule_rows("kit_materials.csv")))


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
        for row in filled(rule_rows("kit_items.csv"))
    )
