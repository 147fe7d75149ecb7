"""The rows of the method tables: which breach on which wall, and the steps with what bars them."""

from dataclasses import dataclass
from functools import cache

from reports.facts import DrumFact
from reports.response.advice import Cite
from reports.response.rule_rows import choices, cite, rule_rows
from survey.catalogue.containers import Head, Wall
from survey.catalogue.product import Form, Product, Trait
from survey.vocabulary import BreachKind, Closure, ConditionSign

_METAL = (Wall.STEEL, Wall.STAINLESS, Wall.ALUMINIUM, Wall.OTHER_METAL)


@dataclass(frozen=True, slots=True)
class MethodRule:
    """Which kinds of breach, on which walls, heads and forms of product, one row answers."""

    cite: Cite
    label: str
    breaches: tuple[BreachKind, ...]
    """The first is the one a row is written for where none is on record."""
    walls: frozenset[Wall]
    heads: frozenset[Head]
    forms: frozenset[Form]

    def suits(self, drum: DrumFact) -> bool:
        return (
            drum.container.wall in self.walls
            and drum.container.head in self.heads
            and drum.product.form in self.forms
            and (self.breaches != (BreachKind.VALVE,) or drum.closure is Closure.VALVE)
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

    def belongs(self, kind: BreachKind, product: Product, wall: Wall) -> bool:
        """Whether the step is part of a row on this kind of breach at all."""
        return (
            kind in self.breaches
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


@cache
def method_rules() -> tuple[MethodRule, ...]:
    """Return the rows of the method table."""
    return tuple(
        MethodRule(
            cite=cite(row),
            label=row["label"],
            breaches=tuple(BreachKind(kind) for kind in choices(row["breaches"])),
            walls=_walls(row["walls"]),
            heads=frozenset(Head) if row["heads"] == "any" else frozenset(Head(head) for head in choices(row["heads"])),
            forms=_forms(row["forms"]),
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
            forms=_forms(row["forms"]),
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


def _forms(cell: str) -> frozenset[Form]:
    """Read a cell of forms; a product of which nobody knows whether it runs is worked on as a liquid."""
    if cell == "any":
        return frozenset(Form)
    found = frozenset(map(Form, choices(cell)))
    return found | {Form.UNKNOWN} if Form.LIQUID in found else found


def _walls(cell: str) -> frozenset[Wall]:
    if cell == "any":
        return frozenset(Wall)
    found: set[Wall] = set()
    for word in choices(cell):
        found |= set(_METAL) if word == "metal" else {Wall(word)}
    return frozenset(found)
