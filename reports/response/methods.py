"""Methods: how technicians would deal with each kind of breach, for drums that no stop rule holds.

Rows of `data/methods.csv` say which breach on which wall; rows of `data/method_steps.csv` are the steps in the order
crews work: reposition, prepare, tighten, plug, patch, overpack, re-inspect. Each step is checked against the product
before it is printed; one that fails is printed as *not here, because …*. All of it is for the hazardous-materials
technician level: plugging and patching are temporary.
"""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from uuid import UUID

from reports.facts import BreachFact, DrumFact
from reports.response.advice import MethodRow, MethodTable, StopLine, Who
from reports.response.method_rules import MethodRule, Step, method_rules, method_steps
from survey.catalogue.containers import Wall
from survey.catalogue.materials import resistance, wall_resistance
from survey.catalogue.product import Mark, Product, Trait
from survey.vocabulary import BreachKind, ConditionSign

TECHNICIANS_ONLY = (
    "For hazardous-materials technicians only, with a back-up crew, an escape route and decontamination ready. "
    "Plugging and patching are temporary, and grades of materials are for a short time without guarantee."
)

MATERIALS_NAMED = 3
"""How many materials a step names: the best graded ones."""

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
    return tuple(_table(members) for _, members in sorted(free.items(), key=lambda item: item[0]))


def _table(drums: Sequence[DrumFact]) -> MethodTable:
    product, wall = drums[0].product, drums[0].container.wall
    signs = frozenset(sign for drum in drums for sign in drum.signs)
    present = [row for drum in drums for row in _present_rows(drum)]
    said = {(row.cite.rule, row.method, row.not_here) for row in present}
    possible = [
        _row(rule, rule.breaches[0], _Case(product, wall, signs, None), present_on="")
        for rule in method_rules()
        if BreachKind.UNKNOWN not in rule.breaches and any(map(rule.suits, drums))
    ]
    possible = [row for row in possible if (row.cite.rule, row.method, row.not_here) not in said]
    return MethodTable(
        product=product.name,
        wall=str(wall),
        drums=tuple(drum.name for drum in drums),
        rows=(*present, *possible),
        caution=_caution(drums),
    )


def _present_rows(drum: DrumFact) -> list[MethodRow]:
    """Make the rows for what is breached now; a leak without a breach on record is one not found yet."""
    breaches = [(breach.kind, _largest_mm(breach)) for breach in drum.breaches]
    if drum.signs & _OPEN_SIGNS and BreachKind.BUNG_WEEP not in {kind for kind, _ in breaches}:
        breaches.append((BreachKind.BUNG_WEEP, None))
    if not breaches and drum.leaking:
        breaches.append((BreachKind.UNKNOWN, None))
    rows: list[MethodRow] = []
    for kind, size_mm in breaches:
        case = _Case(drum.product, drum.container.wall, drum.signs, size_mm)
        rows.extend(_row(rule, kind, case, present_on=drum.name) for rule in _rules_for(kind, drum))
    return rows


def _rules_for(kind: BreachKind, drum: DrumFact) -> list[MethodRule]:
    """Find the rules for a breach on record; one that this wall cannot have is one not found yet."""
    wall, form = drum.container.wall, drum.product.form
    fitting = [rule for rule in method_rules() if wall in rule.walls and form in rule.forms]
    named = [rule for rule in fitting if kind in rule.breaches]
    return named or [rule for rule in fitting if BreachKind.UNKNOWN in rule.breaches]


def _largest_mm(breach: BreachFact) -> float | None:
    return max((size for size in (breach.size_mm, breach.length_mm) if size is not None), default=None)


@dataclass(frozen=True, slots=True)
class _Case:
    """What a step is checked against; `size_mm` is None where no breach is on record or its size is not."""

    product: Product
    wall: Wall
    signs: frozenset[ConditionSign]
    size_mm: float | None


@dataclass(slots=True)
class _Sorted:
    """Steps that may be taken, by stage, the materials they need, and the steps refused."""

    texts: dict[str, list[str]]
    materials: list[str]
    refused: list[str]


def _sorted(kind: BreachKind, case: _Case, *, common: bool) -> _Sorted:
    """Sort the steps for one kind of breach into those that may be taken and those that are refused here."""
    found = _Sorted(defaultdict(list), [], [])
    for step in method_steps():
        if (step.stage in _COMMON_STAGES) is not common or not step.belongs(kind, case.product, case.wall):
            continue
        if step.barred(case.product, case.wall, case.signs, case.size_mm):
            found.refused.append(f"{step.short}: not here, because {step.because}")
            continue
        fitting, unfit = _materials(step, case.product)
        if step.materials and not fitting:
            found.refused.append(f"{step.short}: not here, because {unfit}")
            continue
        found.materials.extend(fitting)
        found.texts[step.stage].append(step.text)
    return found


def _row(rule: MethodRule, kind: BreachKind, case: _Case, *, present_on: str) -> MethodRow:
    found = _sorted(kind, case, common=False)
    first = found.texts.pop("reposition", [])
    return MethodRow(
        cite=rule.cite,
        breach=f"{rule.label} ({present_on}, now)" if present_on else rule.label,
        wall=str(case.wall),
        first_move=" ".join(first),
        method=" ".join(text for texts in found.texts.values() for text in texts),
        materials=tuple(dict.fromkeys(found.materials)),
        not_here=tuple(dict.fromkeys(found.refused)),
        who=Who.TECHNICIAN,
        present=bool(present_on),
    )


def _materials(step: Step, product: Product) -> tuple[list[str], str]:
    """Name the materials of a step that stand up to the product best, or why none does."""
    grades = [resistance(material, product) for material in step.materials]
    fit = sorted((grade for grade in grades if grade.acceptable), key=lambda grade: grade.place)
    fitting = [
        f"{grade.material} {step.used_as}".rstrip() + f": {grade.words}{'' if grade.mark is Mark.READ else ' (verify)'}"
        for grade in fit[:MATERIALS_NAMED]
    ]
    refused = [grade.material for grade in grades if grade.refused]
    if refused:
        return (
            fitting,
            f"{' and '.join(refused)} {'does' if len(refused) == 1 else 'do'} not stand up to {product.name}",
        )
    return fitting, f"nothing on record says what stands up to {product.name}: ask its supplier"


def _caution(drums: Sequence[DrumFact]) -> str:
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
    signs = frozenset(sign for drum in drums for sign in drum.signs)
    common = _sorted(BreachKind.UNKNOWN, _Case(product, wall, signs, None), common=True)
    said.append("Before: " + " ".join(common.texts["before"]))
    said.extend(f"{refusal[0].upper()}{refusal[1:]}." for refusal in common.refused)
    said.append("After: " + " ".join(common.texts["after"]))
    return " ".join(said)
