"""Which salvage drum one drum would go into, and how many are needed, held and missing.

The object is a salvage drum in the words of the transport rules (49 CFR 173.3(c)); crews say overpack.
"""

from collections import Counter, defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from functools import cache, lru_cache
from uuid import UUID

from reports.facts import DrumFact, KitFact
from reports.response.advice import Cite, OverpackNeed, OverpackRow
from reports.response.conditions import Condition, Situation, Surroundings, holds, parse, situation
from reports.response.handling import DrumSize, drum_size, gross_mass, lift_words
from reports.response.rule_rows import cite, rule_rows
from survey.catalogue.containers import Wall
from survey.catalogue.materials import resistance
from survey.catalogue.product import Mark
from survey.vocabulary import KitKind, KitPlace, YesNoUnknown

CLEARANCE_M = 0.0127
"""Half an inch all round, for dents and hoops: our own allowance."""

MAX_SALVAGE_L = 450.0
"""49 CFR 173.3(c): the largest salvage drum (119 gal)."""

_PLASTIC_WALLS = (Wall.PLASTIC, Wall.COMPOSITE)
_SAME_MATERIAL = {
    "steel": frozenset({"steel", "carbon steel", "mild steel", "metal"}),
    "poly": frozenset({"poly", "plastic", "hdpe", "pe", "polyethylene", "polythene", "polyethene"}),
}


@dataclass(frozen=True, slots=True)
class SalvageDrum:
    """A trade size of salvage drum."""

    rule: str
    label: str
    size_l: float
    material: str
    inside_diameter_m: float
    inside_height_m: float
    tare_kg: float
    mark: Mark

    def takes(self, size: DrumSize) -> bool:
        """Whether a drum goes in, with room for dents all round."""
        return (
            size.outside_diameter_m + 2 * CLEARANCE_M <= self.inside_diameter_m
            and size.outside_height_m < self.inside_height_m
        )


@dataclass(frozen=True, slots=True)
class _Rule:
    cite: Cite
    when: Condition
    possible: bool
    material: str
    vented: bool
    remark: str


def overpack_need(drum: DrumFact, as_of: date) -> OverpackNeed:
    """Return the salvage drum that one drum would go into, or why none is planned.

    Parameters
    ----------
    drum : DrumFact
        The drum as recorded.
    as_of : date
        The date at which inhibitor dates are judged.

    Returns
    -------
    OverpackNeed
        `possible` is False where the drum must not be overpacked or nothing fits; `remark` then says why.

    Notes
    -----
    Chosen in this order: may it be overpacked at all, material by product, then the smallest size of that material that
    the drum goes into by geometry. Gross mass counts drum, contents and salvage drum, without absorbent.
    """
    rule = _rule_for(situation(drum, _nothing_around(as_of)))
    material = rule.material
    if material == "as its own drum":
        material = "poly" if drum.container.wall in _PLASTIC_WALLS else "steel"
    size = drum_size(drum)
    fitting = [salvage for salvage in salvage_drums() if salvage.material == material and salvage.takes(size)]
    chosen = fitting[0] if fitting else None
    mass = gross_mass(drum)
    kg = mass.kg + (chosen.tare_kg if chosen else 0.0)
    remarks = [
        rule.remark,
        _grade_remark(material, drum),
        "" if mass.certain else f"Mass is a worst case: {mass.basis}.",
    ]
    if rule.possible and (chosen is None or drum.capacity_l > MAX_SALVAGE_L):
        remarks.insert(
            0, f"No {material} salvage drum on record takes it (limit {MAX_SALVAGE_L:.0f} L): transfer by technicians."
        )
    return OverpackNeed(
        cite=rule.cite,
        drum=drum.name,
        product=drum.product.name,
        size_l=chosen.size_l if chosen else 0.0,
        size_label=chosen.label if chosen else "none",
        material=material,
        vented=rule.vented,
        gross_kg=kg,
        handling=lift_words(kg),
        remark=" ".join(remark for remark in remarks if remark),
        possible=rule.possible and chosen is not None and drum.capacity_l <= MAX_SALVAGE_L,
        pallet_id=drum.pallet_id,
    )


def overpack_rows(needs: Sequence[OverpackNeed], kit: Sequence[KitFact]) -> tuple[OverpackRow, ...]:
    """Return needed, held and missing by size, material and vent.

    Notes
    -----
    Needed is the worst single pallet: one accident is planned for at a time, so the same stock may serve several rows.
    A kit item counts only where its material and capacity are on record and, for a vented need, its vent is.
    """
    grouped: dict[tuple[float, str, str, bool], list[OverpackNeed]] = defaultdict(list)
    for need in needs:
        if need.possible:
            grouped[need.size_l, need.size_label, need.material, need.vented].append(need)
    result = []
    for (size_l, label, material, vented), members in sorted(grouped.items()):
        on_site, on_apparatus, unsure = _held(kit, size_l, material, vented=vented)
        per_pallet: Counter[UUID] = Counter(member.pallet_id for member in members)
        needed = max(per_pallet.values())
        result.append(
            OverpackRow(
                size_label=label,
                material=material,
                vented=vented,
                products=tuple(sorted({member.product for member in members})),
                drums_served=len(members),
                needed=needed,
                on_site=on_site,
                on_apparatus=on_apparatus,
                missing=max(0, needed - on_site - on_apparatus),
                remark=f"not counted, material, size or vent not on record: {', '.join(unsure)}" if unsure else "",
            )
        )
    return tuple(result)


def _held(kit: Sequence[KitFact], size_l: float, material: str, *, vented: bool) -> tuple[int, int, tuple[str, ...]]:
    on_site = on_apparatus = 0
    unsure = []
    for item in kit:
        if item.kind is not KitKind.SALVAGE_DRUM:
            continue
        known = item.material.strip().lower()
        if not known or item.capacity_l is None or (vented and item.vented is YesNoUnknown.UNKNOWN):
            unsure.append(item.name)
        elif (
            known in _SAME_MATERIAL[material]
            and item.capacity_l >= size_l - 1
            and not (vented and item.vented is YesNoUnknown.NO)
        ):
            if item.place is KitPlace.SITE:
                on_site += item.quantity
            else:
                on_apparatus += item.quantity
    return on_site, on_apparatus, tuple(unsure)


def _grade_remark(material: str, drum: DrumFact) -> str:
    """Say so where the chart has doubts about the material chosen."""
    if material not in _SAME_MATERIAL:
        return ""
    grade = resistance("HDPE" if material == "poly" else "carbon steel", drum.product)
    if grade.refused:
        return f"Chart grade of {material}: {grade.as_published} ({grade.words}): short-term only, verify."
    return ""


def _nothing_around(as_of: date) -> Surroundings:
    """Overpack rules ask about the drum alone; its surroundings are the stop rules' business."""
    return Surroundings(
        unidentified=(),
        bulging_nearby=False,
        stack_unstable=False,
        stack_not_inspected=False,
        heat_sources=(),
        technicians_min=None,
        as_of=as_of,
    )


@lru_cache(maxsize=4096)
def _rule_for(case: Situation) -> _Rule:
    return next(rule for rule in _rules() if holds(rule.when, case))


@cache
def salvage_drums() -> tuple[SalvageDrum, ...]:
    """Return the trade sizes, smallest first."""
    found = (
        SalvageDrum(
            row["rule"],
            row["label"],
            float(row["size_l"]),
            row["material"],
            float(row["inside_diameter_m"]),
            float(row["inside_height_m"]),
            float(row["tare_kg"]),
            Mark(row["mark"]),
        )
        for row in rule_rows("salvage_drums.csv")
    )
    return tuple(sorted(found, key=lambda salvage: salvage.size_l))


@cache
def _rules() -> tuple[_Rule, ...]:
    return tuple(
        _Rule(
            cite(row),
            parse(row["when"]),
            row["possible"] == "yes",
            row["material"],
            row["vented"] == "yes",
            row["remark"],
        )
        for row in rule_rows("overpack_rules.csv")
    )
