"""Methods: how technicians would deal with each kind of breach, for drums that no stop rule holds.

Rows of `data/methods.csv` say which breach on which wall; rows of `data/method_steps.csv` are the steps in the order
crews work: reposition, prepare, tighten, plug, patch, overpack, re-inspect. Each step is checked against the product
before it is printed; one that fails is printed as *not here, because …*. All of it is for the hazardous-materials
technician level: plugging and patching are temporary.
"""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from uuid import UUID

from reports.facts import BreachFact, DrumFact
from reports.response.advice import MethodRow, MethodTable, StepLine, StopLine, Who
from reports.response.method_rules import Case, MethodRule, Need, State, Step, method_rules, method_steps
from reports.wording import named
from survey.catalogue.containers import Wall
from survey.catalogue.materials import Grade, resistance, wall_resistance
from survey.catalogue.product import Mark, Product, Trait
from survey.vocabulary import BreachKind, ConditionSign

TECHNICIANS_ONLY = (
    "For hazardous-materials technicians only, with a back-up crew, an escape route and decontamination ready. "
    "Plugging and patching are temporary, and grades of materials are for a short time without guarantee."
)

MATERIALS_NAMED = 3
"""How many materials a step names: the best graded ones."""

FULL_SHARE = 0.5
"""Above this share of its capacity a drum counts as full when people would upend it: our judgement, about 120 kg."""

_COMMON_STAGES = frozenset({"before", "after"})
"""Stages that are the same for every breach of a table, and are said once in its caution."""

_TRAIT_CAUTIONS = (
    (Trait.TOXIC_BY_INHALATION, "Toxic by inhalation: vapour-protective suits or no entry."),
    (
        Trait.FLAMMABLE,
        "Flammable: leave at 10 % of the lower flammable limit; chemical suits do not protect from flash fire.",
    ),
    (Trait.POLYMERISES, "Monomer: check its temperature first and leave if it is warm."),
    (Trait.ORGANIC_PEROXIDE, "Organic peroxide: check its temperature first and leave if it is warm."),
    (Trait.HYDROFLUORIC, "Hydrofluoric acid: calcium gluconate at hand before anyone goes near."),
)

_MAY_BURN = frozenset(
    {Trait.FLAMMABLE, Trait.ORGANIC_PEROXIDE, Trait.WATER_REACTIVE, Trait.SELF_HEATING, Trait.SULPHIDE, Trait.PHOSPHIDE}
)
"""What may give off vapour or gas that an engine can light: our reading of *no flammable vapour possible*."""

_HARSH = frozenset({Trait.CORROSIVE, Trait.ACID, Trait.BASE, Trait.OXIDISER, Trait.OXIDISING_ACID, Trait.ATTACKS_STEEL})
"""What may attack a wall where no chart has a grade; organic liquids may attack plastic and aluminium."""

_OPEN_SIGNS = frozenset({ConditionSign.MISSING_BUNG, ConditionSign.OPEN_FUNNEL})


def method_tables(drums: Sequence[DrumFact], stops: Mapping[UUID, tuple[StopLine, ...]]) -> tuple[MethodTable, ...]:
    """Return the method tables of the drums of one storage zone, one per product and wall.

    Parameters
    ----------
    drums : sequence of DrumFact
        The drums of the zone.
    stops : mapping of UUID to tuple of StopLine
        The stop lines of every one of these drums, empty where none holds.

    Returns
    -------
    tuple of MethodTable
        Rows for breaches on record come first; then those that this wall can have. Nothing for a drum with a stop line.

    Raises
    ------
    KeyError
        If `stops` holds no answer for a drum: not having asked is not having none.
    """
    free: dict[tuple[str, Wall], list[DrumFact]] = defaultdict(list)
    for drum in drums:
        if not stops[drum.id] and drum.product.identified and not drum.empty_uncleaned:
            free[drum.product.key, drum.container.wall].append(drum)
    vapour = _may_burn(drums)
    return tuple(_table(members, vapour) for _, members in sorted(free.items(), key=lambda item: item[0]))


def _may_burn(drums: Sequence[DrumFact]) -> str:
    """Name what may give off vapour that burns; drums that nobody identified and emptied ones count."""
    burning = [
        drum.product.name if drum.product.identified else "drums not identified"
        for drum in drums
        if drum.contents_unknown or drum.product.traits & _MAY_BURN
    ]
    return named(list(dict.fromkeys(sorted(burning))))


def _table(drums: Sequence[DrumFact], vapour: str) -> MethodTable:
    whole = _case(drums, vapour)
    present = [row for drum in drums for row in _present_rows(drum, vapour)]
    said = {(row.cite.rule, row.method, row.not_here) for row in present}
    possible = [
        _row(rule, rule.breaches[0], whole, vapour)
        for rule in method_rules()
        if BreachKind.UNKNOWN not in rule.breaches and any(map(rule.suits, drums))
    ]
    possible = [row for row in possible if (row.cite.rule, row.method, row.not_here) not in said]
    common = _steps(BreachKind.UNKNOWN, whole, vapour, common=True)
    return MethodTable(
        product=whole.product.name,
        wall=str(whole.wall),
        drums=tuple(drum.name for drum in drums),
        rows=(*present, *possible),
        caution=_caution(drums, common),
        steps=common,
    )


def _case(drums: Sequence[DrumFact], vapour: str, size_mm: float | None = None, *, present: bool = False) -> Case:
    """Give what steps at any of these drums of one product and wall are checked against."""
    product, wall = drums[0].product, drums[0].container.wall
    states = {
        State.FULL: any(not drum.fill_known or drum.fill_l > FULL_SHARE * drum.capacity_l for drum in drums),
        State.VAPOUR: bool(vapour),
        State.WALL_ATTACKED: _attacked(wall, product),
        State.CORRODED_AREA: any(breach.kind is BreachKind.CORRODED_AREA for drum in drums for breach in drum.breaches),
    }
    return Case(
        product=product,
        wall=wall,
        signs=frozenset(sign for drum in drums for sign in drum.signs),
        states=frozenset(state for state, holds in states.items() if holds),
        size_mm=size_mm,
        present=present,
    )


def _attacked(wall: Wall, product: Product) -> bool:
    """Whether a product attacks the wall it stands in, or may: where no chart says, by the nature of both."""
    grade = wall_resistance(wall, product)
    if grade.acceptable or grade.refused:
        return grade.refused
    iron = wall in (Wall.STEEL, Wall.STAINLESS)
    return bool(product.traits & _HARSH) or (Trait.ORGANIC in product.traits and not iron)


def _present_rows(drum: DrumFact, vapour: str) -> list[MethodRow]:
    """Make the rows for what is breached now; a leak without a breach on record is one not found yet."""
    breaches = [(breach.kind, _largest_mm(breach)) for breach in drum.breaches]
    if drum.signs & _OPEN_SIGNS and BreachKind.BUNG_WEEP not in {kind for kind, _ in breaches}:
        breaches.append((BreachKind.BUNG_WEEP, None))
    if not breaches and drum.leaking:
        breaches.append((BreachKind.UNKNOWN, None))
    return [
        _row(rule, kind, _case([drum], vapour, _taken_mm(rule, size_mm), present=True), vapour, present_on=drum.name)
        for kind, size_mm in breaches
        for rule in _rules_for(kind, drum)
    ]


def _taken_mm(rule: MethodRule, size_mm: float | None) -> float | None:
    """Take a breach whose size nobody recorded to be as large as its kind gets."""
    return rule.up_to_mm if size_mm is None else size_mm


def _rules_for(kind: BreachKind, drum: DrumFact) -> list[MethodRule]:
    """Find the rules for a breach on record; one that this wall cannot have is one not found yet."""
    wall, form = drum.container.wall, drum.product.form
    fitting = [rule for rule in method_rules() if wall in rule.walls and form in rule.forms]
    named = [rule for rule in fitting if kind in rule.breaches]
    return named or [rule for rule in fitting if BreachKind.UNKNOWN in rule.breaches]


def _largest_mm(breach: BreachFact) -> float | None:
    return max((size for size in (breach.size_mm, breach.length_mm) if size is not None), default=None)


def _steps(kind: BreachKind, case: Case, vapour: str, *, common: bool) -> tuple[StepLine, ...]:
    """Give the steps for one kind of breach in the order of work, those refused here among them."""
    return tuple(
        _line(step, case, vapour)
        for step in method_steps()
        if (step.stage in _COMMON_STAGES) is common and step.belongs(kind, case)
    )


def _line(step: Step, case: Case, vapour: str) -> StepLine:
    """Check one step against product, wall, condition and size, then its materials against the product."""
    speaking = [(bar, because) for bar in step.bars if (because := bar.speaks(case))]
    if speaking:
        reasons = [f"{because} of {vapour}" if State.VAPOUR in bar.words else because for bar, because in speaking]
        first, _ = speaking[0]
        return StepLine(first.cite, step.stage, step.short, "", refused=True, because="; ".join(dict.fromkeys(reasons)))
    fitting: list[str] = []
    for need in step.needs:
        fit, unfit = _materials(need, case.product)
        if not fit:
            return StepLine(step.cite, step.stage, step.short, "", refused=True, because=unfit)
        fitting.extend(fit)
    return StepLine(step.cite, step.stage, step.text, "; ".join(fitting), refused=False, because="")


def _row(rule: MethodRule, kind: BreachKind, case: Case, vapour: str, *, present_on: str = "") -> MethodRow:
    steps = _steps(kind, case, vapour, common=False)
    taken = [step for step in steps if not step.refused]
    return MethodRow(
        cite=rule.cite,
        breach=f"{rule.label} ({present_on}, now)" if present_on else rule.label,
        wall=str(case.wall),
        first_move=" ".join(step.text for step in taken if step.stage == "reposition"),
        method=" ".join(step.text for step in taken if step.stage != "reposition"),
        materials=tuple(dict.fromkeys(named for step in taken for named in step.material.split("; ") if named)),
        not_here=_not_here(steps),
        who=Who.TECHNICIAN,
        present=bool(present_on),
        steps=steps,
    )


def _not_here(steps: Sequence[StepLine]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(f"{step.text}: not here, because {step.because}" for step in steps if step.refused))


def _materials(need: Need, product: Product) -> tuple[list[str], str]:
    """Name the materials that stand up to the product best, or say why none does."""
    grades = [resistance(material, product) for material in need.materials]
    fit = sorted((grade for grade in grades if grade.acceptable), key=lambda grade: grade.place)
    fitting = [
        f"{grade.material} {need.used_as}".rstrip() + f": {grade.words}{'' if grade.mark is Mark.READ else ' (verify)'}"
        for grade in fit[:MATERIALS_NAMED]
    ]
    return fitting, _unfit([grade for grade in grades if grade.refused], product)


def _unfit(refused: Sequence[Grade], product: Product) -> str:
    if not refused:
        return f"nothing on record says what stands up to {product.name}: ask its supplier"
    names = " and ".join(grade.material for grade in refused)
    never = list(dict.fromkeys(grade.note for grade in refused if grade.never))
    why = f" ({'; '.join(never)})" if never else ""
    return f"{names} {'does' if len(refused) == 1 else 'do'} not stand up to {product.name}{why}"


def _caution(drums: Sequence[DrumFact], common: Sequence[StepLine]) -> str:
    """Say what holds for every row of a table: who, before, after, and what to check about these drums."""
    product, wall = drums[0].product, drums[0].container.wall
    said = [TECHNICIANS_ONLY]
    once = [drum.name for drum in drums if not drum.identified]
    if once:
        said.append(
            f"Known from one source only: {', '.join(once)}. Confirm what they hold from a second source first."
        )
    if product.presumed:
        said.append(f"Its safety data sheet leaves open, and so counts as yes: {', '.join(sorted(product.presumed))}.")
    said.extend(text for trait, text in _TRAIT_CAUTIONS if trait in product.traits)
    grade = wall_resistance(wall, product)
    if grade.refused:
        said.append(
            f"Chart grade of {grade.material} for this product: {grade.as_published} ({grade.words}). "
            "Check that drum and name belong together; expect a thinned or brittle wall. Verify."
        )
    patched = [drum.name for drum in drums if ConditionSign.PATCHED in drum.signs]
    if patched:
        said.append(f"Patched before: {', '.join(patched)}. Look for the old breach and do not roll.")
    said.append("Before: " + _texts(common, "before"))
    said.extend(f"{refusal[0].upper()}{refusal[1:]}." for refusal in _not_here(common))
    said.append("After: " + _texts(common, "after"))
    return " ".join(said)


def _texts(steps: Sequence[StepLine], stage: str) -> str:
    return " ".join(step.text for step in steps if step.stage == stage and not step.refused)
