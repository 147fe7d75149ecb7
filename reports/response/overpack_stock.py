"""Salvage drums needed, held and missing, by size, material and vent."""

from collections import Counter, defaultdict
from collections.abc import Sequence
from uuid import UUID

from reports.facts import KitFact
from reports.response.advice import Cite, OverpackNeed, OverpackRow
from reports.response.salvage import MAX_SALVAGE_L
from survey.catalogue.product import Mark
from survey.vocabulary import KitKind, KitPlace, YesNoUnknown

CITE = Cite(
    "overpacks-kept",
    "29 CFR 1910.120(j)(1)(vii): salvage drums and absorbent kept where spills may occur; 49 CFR 173.3(c); the worst "
    "single pallet is our measure",
    Mark.READ,
)
_SAME_MATERIAL = {
    "steel": frozenset({"steel", "carbon steel", "mild steel", "metal"}),
    "poly": frozenset({"poly", "plastic", "hdpe", "pe", "polyethylene", "polythene", "polyethene"}),
}


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
                cite=CITE,
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
            and size_l - 1 <= item.capacity_l <= MAX_SALVAGE_L
            and not (vented and item.vented is YesNoUnknown.NO)
        ):
            if item.place is KitPlace.SITE:
                on_site += item.quantity
            else:
                on_apparatus += item.quantity
    return on_site, on_apparatus, tuple(unsure)
