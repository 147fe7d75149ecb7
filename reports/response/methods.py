"""Methods: how technicians would deal with each kind of breach, for drums that no stop rule holds.

Rows of `data/methods.csv` say which breach on which wall; rows of `data/method_steps.csv` are the steps in the order
crews work: reposition, prepare, tighten, plug, patch, overpack, re-inspect. Each step is checked against the product
before it is printed; one that fails is printed as *not here, because …*. All of it is for the hazardous-materials
technician level: plugging and patching are temporary.
"""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from uuid import UUID

from reports.facts import BreachFact, DrumFact
from reports.response.advice import Cite, MethodRow, MethodTable, StopLine, Who
from reports.response.rule_rows import choices, cite, rule_rows
from survey.catalogue.containers import Head, Wall
from survey.catalogue.materials import SHORT_TERM, resistance, wall_resistance
from survey.catalogue.product import Form, Mark, Product, Trait
from survey.vocabulary import BreachKind, Closure, ConditionSign

TECHNICIANS_ONLY = (
    "For hazardous-materials technicians only, with a back-up crew, an escape route and decontamination ready. "
    "Plugging and patching are temporary."
)

_METAL = (Wall.STEEL, Wall.STAINLESS, Wall.ALUMINIUM, Wall.OTHER_METAL)
_OPEN_SIGNS = frozenset({ConditionSign.MISSING_BUNG, ConditionSign.OPEN_FUNNEL})


@dataclass(frozen=True, slots=True)
class MethodRule:
    """Which kinds of breach, on which walls, heads and forms of product, one row answers."""

    cite: Cite
    label: str
    breaches: frozenset[BreachKind]
    walls: frozenset[Wall]
    heads: frozenset[Head]
    forms: frozenset[Form]

    def suits(self, drum: DrumFact) -> bool:
        return (
            drum.container.wall in self.walls
            and drum.container.head in self.heads
            and drum.product.form in self.forms
            and (self.breaches != {BreachKind.VALVE} or drum.closure is Closure.VALVE)
        )


@dataclass(frozen=True, slots=True)
class Step:
    """One step, what it needs and what bars it."""

    cite: Cite
    stage: str
    breaches: frozenset[BreachKind]
    walls: frozenset[Wall]
    forms: frozenset[Form]
    short: str
    text: str
    materials: tuple[str, ...]
    used_as: str
    only_traits: frozenset[Trait]
    barred_traits: frozenset[Trait]
    barred_walls: frozenset[Wall]
    barred_signs: frozenset[ConditionSign]
    max_size_mm: float | None
    because: str

    def belongs(self, rule: MethodRule, product: Product, wall: Wall) -> bool:
        """Whether the step is part of this row at all."""
        return (
            bool(self.breaches & rule.breaches)
            and wall in self.walls
            and product.form in self.forms
            and (not self.only_traits or bool(self.only_traits & product.traits))
        )

    def barred(self, product: Product, wall: Wall, signs: frozenset[ConditionSign], size_mm: float | None) -> bool:
        """Whether product, wall, condition or size speaks against it."""
        too_big = self.max_size_mm is not None and size_mm is not None and size_mm > self.max_size_mm
        return (
            bool(self.barred_traits & product.traits)
            or wall in self.barred_walls
            or bool(self.barred_signs & signs)
            or too_big
        )


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
        if not stops[drum.id] and drum.product.identified and drum.fill_l > 0:
            free[drum.product.key, drum.container.wall].append(drum)
    return tuple(_table(members) for _, members in sorted(free.items(), key=lambda item: item[0]))


def _table(drums: Sequence[DrumFact]) -> MethodTable:
    product, wall = drums[0].product, drums[0].container.wall
    signs = frozenset(sign for drum in drums for sign in drum.signs)
    present = [row for drum in drums for row in _present_rows(drum)]
    said = {(row.cite.rule, row.method, row.not_here) for row in present}
    possible = [
        _row(rule, product, wall, signs, None, present_on="")
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
    wall, form = drum.container.wall, drum.product.form
    return [
        _row(rule, drum.product, wall, drum.signs, size_mm, present_on=drum.name)
        for kind, size_mm in breaches
        for rule in method_rules()
        if kind in rule.breaches and wall in rule.walls and form in rule.forms
    ]


def _largest_mm(breach: BreachFact) -> float | None:
    return max((size for size in (breach.size_mm, breach.length_mm) if size is not None), default=None)


def _row(
    rule: MethodRule,
    product: Product,
    wall: Wall,
    signs: frozenset[ConditionSign],
    size_mm: float | None,
    *,
    present_on: str,
) -> MethodRow:
    """Sort the steps of one row into those that may be taken and those that are refused here."""
    first: list[str] = []
    steps: list[str] = []
    materials: list[str] = []
    refused: list[str] = []
    for step in method_steps():
        if not step.belongs(rule, product, wall):
            continue
        if step.barred(product, wall, signs, size_mm):
            refused.append(f"{step.short}: not here, because {step.because}")
            continue
        fitting, unfit = _materials(step, product)
        if step.materials and not fitting:
            refused.append(f"{step.short}: not here, because {unfit}")
            continue
        materials.extend(fitting)
        (first if step.stage == "reposition" else steps).append(step.text)
    return MethodRow(
        cite=rule.cite,
        breach=f"{rule.label} ({present_on}, now)" if present_on else rule.label,
        wall=str(wall),
        first_move=" ".join(first),
        method=" ".join(steps),
        materials=tuple(dict.fromkeys(materials)),
        not_here=tuple(dict.fromkeys(refused)),
        who=Who.TECHNICIAN,
        present=bool(present_on),
    )


def _materials(step: Step, product: Product) -> tuple[list[str], str]:
    """Name the materials of a step that stand up to the product, or why none does."""
    grades = [resistance(material, product) for material in step.materials]
    fitting = [
        f"{grade.material} {step.used_as}: {grade.words} ({SHORT_TERM}{'' if grade.mark is Mark.READ else '; verify'})"
        for grade in grades
        if grade.acceptable
    ]
    refused = [grade.material for grade in grades if grade.refused]
    if refused:
        return (
            fitting,
            f"{' and '.join(refused)} {'does' if len(refused) == 1 else 'do'} not stand up to {product.name}",
        )
    return fitting, f"nothing on record says what stands up to {product.name}: ask its supplier"


def _caution(drums: Sequence[DrumFact]) -> str:
    product = drums[0].product
    said = [TECHNICIANS_ONLY]
    once = [drum.name for drum in drums if not drum.identified]
    if once:
        said.append(
            f"Known from one source only: {', '.join(once)}. Confirm what they hold from a second source first."
        )
    if Trait.TOXIC_BY_INHALATION in product.traits:
        said.append("Toxic by inhalation: vapour-protective suits or no entry.")
    if Trait.FLAMMABLE in product.traits:
        said.append(
            "Flammable: leave at 10 % of the lower flammable limit; chemical suits do not protect from flash fire."
        )
    if Trait.POLYMERISES in product.traits:
        said.append("Monomer: check its temperature first and leave if it is warm.")
    grade = wall_resistance(drums[0].container.wall, product)
    if grade.refused:
        said.append(
            f"Chart grade of {grade.material} for this product: {grade.as_published} ({grade.words}). "
            "Check that drum and name belong together; expect a thinned or brittle wall. Verify."
        )
    patched = [drum.name for drum in drums if ConditionSign.PATCHED in drum.signs]
    if patched:
        said.append(f"Patched before: {', '.join(patched)}. Look for the old breach and do not roll.")
    return " ".join(said)


@cache
def method_rules() -> tuple[MethodRule, ...]:
    """Return the rows of the method table."""
    return tuple(
        MethodRule(
            cite=cite(row),
            label=row["label"],
            breaches=frozenset(BreachKind(kind) for kind in choices(row["breaches"])),
            walls=_walls(row["walls"]),
            heads=frozenset(Head) if row["heads"] == "any" else frozenset(Head(head) for head in choices(row["heads"])),
            forms=frozenset(Form(form) for form in choices(row["forms"])),
        )
        for row in rule_rows("methods.csv")
    )


@cache
def method_steps() -> tuple[Step, ...]:
    """Return all steps in the order crews work."""
    return tuple(
        Step(
            cite=cite(row),
            stage=row["stage"],
            breaches=frozenset(BreachKind)
            if row["breaches"] == "any"
            else frozenset(map(BreachKind, choices(row["breaches"]))),
            walls=_walls(row["walls"]),
            forms=frozenset(Form) if row["forms"] == "any" else frozenset(map(Form, choices(row["forms"]))),
            short=row["short"],
            text=row["text"],
            materials=choices(row["materials"]),
            used_as=row["used_as"],
            only_traits=frozenset(map(Trait, choices(row["only_traits"]))),
            barred_traits=frozenset(map(Trait, choices(row["barred_traits"]))),
            barred_walls=_walls(row["barred_walls"]),
            barred_signs=frozenset(map(ConditionSign, choices(row["barred_signs"]))),
            max_size_mm=float(row["max_size_mm"]) if row["max_size_mm"] else None,
            because=row["because"],
        )
        for row in rule_rows("method_steps.csv")
    )


def _walls(cell: str) -> frozenset[Wall]:
    if cell == "any":
        return frozenset(Wall)
    found: set[Wall] = set()
    for word in choices(cell):
        found |= set(_METAL) if word == "metal" else {Wall(word)}
    return frozenset(found)
