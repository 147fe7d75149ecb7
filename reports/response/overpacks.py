"""Which salvage drum one drum would go into: by product, geometry, capacity, mass and gas.

The object is a salvage drum in the words of the transport rules (49 CFR 173.3(c)); crews say overpack.
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import date
from functools import cache, lru_cache
from math import ceil

from reports.facts import DrumFact
from reports.response.advice import Cite, OverpackNeed
from reports.response.conditions import Condition, Situation, Surroundings, holds, parse, situation
from reports.response.handling import SMALL_CONTAINER, DrumSize, GrossMass, drum_size, gross_mass, lift_words
from reports.response.lifting import KG_PER_LB, LiftCheck, lift_over_lip
from reports.response.overpack_ways import Place, ways_in
from reports.response.rule_rows import NOTHING, YES_OR_NO, cite, filled, rule_rows
from reports.response.salvage import MAX_SALVAGE_L, Fit, SalvageDrum, free_liquid_l, padding_for, salvage_drums
from survey.catalogue.containers import Wall
from survey.catalogue.materials import resistance
from survey.catalogue.product import Form
from survey.catalogue.rows import CatalogueFault
from survey.vocabulary import ConditionSign

NO_PLACE = Place(room_m=None, stacked=True)
"""A drum of which nobody says where it stands: in the worst place."""

_CHART = {"steel": "carbon steel", "poly": "HDPE"}
_OWN = "as its own drum"
_ANSWERS = {"stop": ("no",), "material": (*_CHART, _OWN), "vent": tuple(YES_OR_NO)}
"""What a row may decide, and the words it may do so in."""
_LIKE = {
    Wall.STEEL: "steel",
    Wall.STAINLESS: "steel",
    Wall.ALUMINIUM: "steel",
    Wall.OTHER_METAL: "steel",
    Wall.PLASTIC: "poly",
    Wall.COMPOSITE: "poly",
}


@dataclass(frozen=True, slots=True)
class _Rule:
    cite: Cite
    when: Condition
    answer: str
    remark: str


@dataclass(frozen=True, slots=True)
class _Chosen:
    """What the rules say of one drum before it is measured and weighed."""

    cite: Cite
    stopped: bool
    material: str
    vented: bool
    remarks: tuple[str, ...]
    vent: Cite | None = None


@dataclass(frozen=True, slots=True)
class _Packed:
    """One drum in one salvage drum: clearance, mass and what stands round it."""

    salvage: SalvageDrum
    fit: Fit
    padding_kg: float
    padding: str
    free_liquid_l: float
    cites: tuple[Cite, ...]


def overpack_need(drum: DrumFact, as_of: date, *, place: Place = NO_PLACE) -> OverpackNeed:
    """Return the salvage drum that one drum would go into, or why none is planned.

    Parameters
    ----------
    drum : DrumFact
        The drum as recorded.
    as_of : date
        The date at which inhibitor dates are judged.
    place : Place, optional
        Where it stands and the gear on record; not known counts as the worst.

    Returns
    -------
    OverpackNeed
        `possible` is False where the drum must not be overpacked or nothing fits; `remark` then says why.

    Notes
    -----
    Chosen in this order: may it be overpacked at all, material by product, vent by gas, then the smallest size of that
    material that the drum goes into by geometry and capacity. Mass counts drum, contents, padding and salvage drum, the
    padding being the lightest absorbent that the product allows, in all the room round the drum. A drum whose mass is
    certain and that is too heavy has no salvage drum until part of it is pumped over; one whose mass is not certain is
    weighed first.
    """
    chosen = _chosen(drum, as_of)
    size, mass = drum_size(drum), gross_mass(drum)
    packed = _packed(drum, size, chosen.material)
    check = _lift_check(mass, size, packed)
    net_kg = mass.kg + (packed.padding_kg if packed else 0.0)
    heavy = packed is not None and net_kg > packed.salvage.max_net_kg
    possible = not chosen.stopped and packed is not None and not (heavy and mass.certain)
    remarks = [*_fault(drum, chosen, packed, mass), *chosen.remarks, _grade_remark(chosen.material, drum)]
    if not mass.certain:
        remarks.append(f"Mass is a worst case: {mass.basis}.")
    return OverpackNeed(
        cite=chosen.cite,
        drum=drum.name,
        product=drum.product.name,
        size_l=packed.salvage.size_l if packed else 0.0,
        size_label=packed.salvage.label if packed else "none",
        material=chosen.material,
        vented=chosen.vented,
        gross_kg=net_kg + (packed.salvage.tare_kg if packed else 0.0),
        handling=check.handling if check else lift_words(mass.kg),
        remark=" ".join(remark for remark in remarks if remark),
        possible=possible,
        pallet_id=drum.pallet_id,
        fit=packed.fit.words if packed else "",
        net_kg=net_kg,
        free_liquid_l=packed.free_liquid_l if packed and possible else 0.0,
        padding=packed.padding if packed and possible else "",
        ways=ways_in(drum, mass.kg, place, by_hand=check.allowed if check else None) if possible else (),
        rests_on=tuple(each for each in (chosen.vent, *(packed.cites if packed else ())) if each),
    )


def _chosen(drum: DrumFact, as_of: date) -> _Chosen:
    """Go through the rules: the first that stops, the first on material, the first on a vent."""
    case = situation(drum, _nothing_around(as_of))
    stop, material, vent = _rules_for(case)
    if stop is not None:
        return _Chosen(stop.cite, stopped=True, material=NOTHING, vented=True, remarks=(stop.remark,))
    made_of = _LIKE.get(drum.container.wall, NOTHING) if material.answer == _OWN else material.answer
    open_answer = _open_answer(drum, as_of, material)
    unlike = made_of == NOTHING and "What its own drum is made of is not on record either: none is chosen."
    stopped = bool(open_answer or unlike)
    return _Chosen(
        material.cite,
        stopped=stopped,
        material=NOTHING if stopped else made_of,
        vented=YES_OR_NO[vent.answer],
        remarks=(material.remark, vent.remark, open_answer or unlike or ""),
        vent=vent.cite,
    )


def _open_answer(drum: DrumFact, as_of: date, material: _Rule) -> str:
    """Say so where the material hangs on something that a safety data sheet leaves open."""
    if not drum.product.presumed:
        return ""
    _, answered, _ = _rules_for(situation(replace(drum, product=drum.product.as_answered), _nothing_around(as_of)))
    if answered.answer == material.answer:
        return ""
    return "Its safety data sheet leaves open what decides between steel and poly: none is chosen until it is answered."


def _packed(drum: DrumFact, size: DrumSize | None, material: str) -> _Packed | None:
    """Put a drum into the smallest salvage drum of the material that takes it."""
    if size is None or drum.capacity_l > MAX_SALVAGE_L:
        return None
    taking = (each for each in salvage_drums() if each.material == material and each.takes(size, drum.capacity_l))
    salvage = next(taking, None)
    if salvage is None:
        return None
    fit, padding = salvage.fit(size), padding_for(drum.product)
    return _Packed(
        salvage,
        fit,
        padding_kg=padding.kg_per_l * fit.free_l,
        padding=f"{fit.free_l:.0f} L of {padding.kind}",
        free_liquid_l=free_liquid_l(drum.product, drum.fill_l, fit),
        cites=(size.cite, salvage.cite, padding.cite),
    )


def _fault(drum: DrumFact, chosen: _Chosen, packed: _Packed | None, mass: GrossMass) -> Iterator[str]:
    """Say why a salvage drum does not do: size, capacity, mass."""
    if chosen.stopped:
        return
    if packed is None:
        yield (
            f"No {chosen.material} salvage drum on record takes it (limit {MAX_SALVAGE_L:.0f} L): "
            "transfer by technicians."
        )
        return
    limit_kg = packed.salvage.max_net_kg
    over_kg = mass.kg + packed.padding_kg - limit_kg
    if over_kg > 0:
        too = f"by {_kilograms(over_kg)} for a salvage drum, which may hold {_kilograms(limit_kg)} net"
        yield (
            f"Too heavy {too}: {_lighten(drum, mass, over_kg)}."
            if mass.certain
            else f"At worst too heavy {too}: weigh it first."
        )
    if ConditionSign.PATCHED in drum.signs or drum.breaches:
        yield "Cut plugs and wedges flush: nothing may stand out beyond the hoops."


def _lighten(drum: DrumFact, mass: GrossMass, over_kg: float) -> str:
    if drum.product.form is Form.SOLID or mass.net_kg <= 0:
        return "technicians move part of it into a second drum first"
    litres = drum.fill_l * over_kg / mass.net_kg
    return f"technicians pump at least {ceil(litres)} L over into a sound drum first"


def _kilograms(kg: float) -> str:
    return f"{ceil(kg)} kg ({ceil(kg / KG_PER_LB)} lb)"


def _lift_check(mass: GrossMass, size: DrumSize | None, packed: _Packed | None) -> LiftCheck | None:
    """Check a lift by one person where that is even thinkable: of a small container."""
    if packed is None or size is None or size.size != SMALL_CONTAINER:
        return None
    return lift_over_lip(mass.kg, size.outside_diameter_m, size.outside_height_m, packed.salvage.inside_height_m)


def _grade_remark(material: str, drum: DrumFact) -> str:
    """Say so where the chart has doubts about the material chosen, or says nothing of it."""
    if material not in _CHART:
        return ""
    grade = resistance(_CHART[material], drum.product)
    if grade.refused:
        return f"Chart grade of {material}: {grade.as_published} ({grade.words}): short-term only, verify."
    if not grade.acceptable:
        return f"No chart grade of {material} for it: ask its supplier."
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
def _rules_for(case: Situation) -> tuple[_Rule | None, _Rule, _Rule]:
    """Return the first row that stops, if any, the first on material and the first on a vent."""
    rules = _rules()
    stop = next((rule for rule in rules["stop"] if holds(rule.when, case)), None)
    material, vent = (next(rule for rule in rules[each] if holds(rule.when, case)) for each in ("material", "vent"))
    return stop, material, vent


@cache
def _rules() -> dict[str, tuple[_Rule, ...]]:
    found: dict[str, list[_Rule]] = {decides: [] for decides in _ANSWERS}
    for row in filled(rule_rows("overpack_rules.csv")):
        if row["answer"] not in _ANSWERS[row["decides"]]:
            raise CatalogueFault(
                f"overpack_rules.csv, {row['rule']}: {row['answer']!r} is no answer to {row['decides']}"
            )
        remark = "" if row["remark"] == NOTHING else row["remark"]
        found[row["decides"]].append(_Rule(cite(row), parse(row["when"]), row["answer"], remark))
    return {decides: tuple(rules) for decides, rules in found.items()}
