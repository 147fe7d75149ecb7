"""The rows of the method tables: which breach on which wall, the steps, and what bars a step."""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from enum import StrEnum
from functools import cache

from reports.facts import DrumFact
from reports.response.advice import Cite
from reports.response.rule_rows import NOTHING, choices, cite, filled, rule_rows
from survey.catalogue.containers import Head, Wall
from survey.catalogue.product import Form, Product, Trait
from survey.catalogue.rows import CatalogueFault
from survey.vocabulary import BreachKind, Closure, ConditionSign

_METAL = (Wall.STEEL, Wall.STAINLESS, Wall.ALUMINIUM, Wall.OTHER_METAL)

STAGES = ("before", "reposition", "prepare", "tighten", "plug", "patch", "overpack", "after")
"""The order in which crews work."""

HIGHLY_VOLATILE = "highly volatile"
"""What a row may ask of a product beside its traits."""

VOLATILE_PA = 10_000.0
"""From this vapour pressure a product counts as highly volatile: our judgement, about that of hexane or methanol."""


class State(StrEnum):
    """What speaks against a step beside product, wall, signs and size."""

    FULL = "full"
    VAPOUR = "vapour may burn"
    WALL_ATTACKED = "wall attacked"
    CORRODED_AREA = "corroded area"


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
    up_to_mm: float | None
    """How large a breach of these kinds is taken to be where its size is not on record."""

    def suits(self, drum: DrumFact) -> bool:
        return (
            drum.container.wall in self.walls
            and drum.container.head in self.heads
            and drum.product.form in self.forms
            and (self.breaches != (BreachKind.VALVE,) or drum.closure is Closure.VALVE)
        )


@dataclass(frozen=True, slots=True)
class Case:
    """What a step is checked against.

    `size_mm` is that of a breach on record, None where it is not known; `present` says whether there is one.
    """

    product: Product
    wall: Wall
    signs: frozenset[ConditionSign]
    states: frozenset[State]
    size_mm: float | None
    present: bool

    @property
    def traits(self) -> frozenset[str]:
        """What a row may ask of the product."""
        return frozenset(map(str, self.product.traits)) | (
            {HIGHLY_VOLATILE} if highly_volatile(self.product) else set()
        )


@dataclass(frozen=True, slots=True)
class Bar:
    """What speaks against some steps: the words that one of these holds, and why."""

    cite: Cite
    asks: str
    words: frozenset[str]
    larger_than_mm: float | None
    because: str

    def speaks(self, case: Case) -> str:
        """Give why this bar speaks against a step here; empty where it does not."""
        if self.larger_than_mm is not None:
            return self._size(case, self.larger_than_mm)
        held: dict[str, frozenset[str]] = {
            "trait": case.traits,
            "wall": frozenset({str(case.wall)}),
            "sign": frozenset(map(str, case.signs)),
            "state": frozenset(map(str, case.states)),
        }
        return self.because if self.words & held[self.asks] else ""

    def _size(self, case: Case, larger_than_mm: float) -> str:
        if not case.present:
            return ""
        if case.size_mm is None:
            return f"its size is not on record, and this serves up to {larger_than_mm:g} mm only"
        return self.because if case.size_mm > larger_than_mm else ""


@dataclass(frozen=True, slots=True)
class Need:
    """Materials of which one must stand up to the product, and what it is used as."""

    materials: tuple[str, ...]
    used_as: str


@dataclass(frozen=True, slots=True)
class Step:
    """One step, what it needs and what bars it."""

    cite: Cite
    stage: str
    breaches: frozenset[BreachKind]
    walls: frozenset[Wall]
    forms: frozenset[Form]
    only: frozenset[str]
    """Traits of which the product must have one for the step to be said at all; empty for every product."""
    short: str
    text: str
    needs: tuple[Need, ...]
    bars: tuple[Bar, ...]

    def belongs(self, kind: BreachKind, case: Case) -> bool:
        """Whether the step is part of a row on this kind of breach at all."""
        return (
            kind in self.breaches
            and case.wall in self.walls
            and case.product.form in self.forms
            and (not self.only or bool(self.only & case.traits))
        )


def highly_volatile(product: Product) -> bool:
    """Whether a product gives off so much vapour that a spark counts; where no pressure is on record, by its nature.

    An organic product that is not known to flash only when warm, and one entered from a safety data sheet without a
    vapour pressure, count as highly volatile.
    """
    if product.form is Form.SOLID:
        return False
    if product.vapour_pressure_pa is not None:
        return product.vapour_pressure_pa.value >= VOLATILE_PA
    return product.from_sheet or (Trait.ORGANIC in product.traits and Trait.COMBUSTIBLE not in product.known_traits)


def read_rules(rows: Iterable[Mapping[str, str]]) -> Iterator[MethodRule]:
    """Read rows of the method table; a blank cell is refused."""
    for row in filled(rows):
        yield MethodRule(
            cite=cite(row),
            label=row["label"],
            breaches=tuple(BreachKind(kind) for kind in choices(row["breaches"])),
            walls=_walls(row["walls"]),
            heads=frozenset(Head) if row["heads"] == "any" else frozenset(Head(head) for head in choices(row["heads"])),
            forms=_forms(row["forms"]),
            up_to_mm=None if row["up_to_mm"] == NOTHING else float(row["up_to_mm"]),
        )


def read_steps(rows: Iterable[Mapping[str, str]], bars: Mapping[str, tuple[Bar, ...]]) -> Iterator[Step]:
    """Read rows of the table of steps, each with its bars by the step's name; a blank cell is refused."""
    for row in filled(rows):
        if row["stage"] not in STAGES:
            raise CatalogueFault(f"step {row['rule']}: {row['stage']!r} is not a stage of {', '.join(STAGES)}")
        yield Step(
            cite=cite(row),
            stage=row["stage"],
            breaches=frozenset(BreachKind)
            if row["breaches"] == "any"
            else frozenset(map(BreachKind, choices(row["breaches"]))),
            walls=_walls(row["walls"]),
            forms=_forms(row["forms"]),
            only=frozenset() if row["only"] == "any" else _asked(row["only"]),
            short=row["short"],
            text=row["text"],
            needs=_needs(row),
            bars=bars.get(row["rule"], ()),
        )


def read_bars(rows: Iterable[Mapping[str, str]]) -> dict[str, tuple[Bar, ...]]:
    """Read rows of the table of bars, by the steps they speak against; a blank cell is refused."""
    found: dict[str, tuple[Bar, ...]] = {}
    for row in filled(rows):
        bar = _bar(row)
        for step in choices(row["steps"]):
            found[step] = (*found.get(step, ()), bar)
    return found


@cache
def method_rules() -> tuple[MethodRule, ...]:
    """Return the rows of the method table."""
    return tuple(read_rules(rule_rows("methods.csv")))


@cache
def method_steps() -> tuple[Step, ...]:
    """Return all steps in the order crews work."""
    bars = read_bars(rule_rows("method_bars.csv"))
    steps = tuple(read_steps(rule_rows("method_steps.csv"), bars))
    unknown = bars.keys() - {step.cite.rule for step in steps}
    if unknown:
        raise CatalogueFault(f"method_bars.csv bars steps that there are none of: {', '.join(sorted(unknown))}")
    return tuple(sorted(steps, key=lambda step: STAGES.index(step.stage)))


def _bar(row: Mapping[str, str]) -> Bar:
    asks, words = row["asks"], frozenset(choices(row["words"]))
    known: Mapping[str, Iterable[str]] = {
        "trait": (*Trait, HIGHLY_VOLATILE),
        "wall": Wall,
        "sign": ConditionSign,
        "state": State,
        "larger than mm": words,
    }
    if asks == "wall":
        words = frozenset(map(str, _walls(row["words"])))
    if asks not in known or not words or not words <= set(known[asks]):
        raise CatalogueFault(f"bar {row['rule']}: {asks} {row['words']!r} is not known")
    size_mm = float(row["words"]) if asks == "larger than mm" else None
    return Bar(cite=cite(row), asks=asks, words=words, larger_than_mm=size_mm, because=row["because"])


def _asked(cell: str) -> frozenset[str]:
    asked = frozenset(choices(cell))
    if not asked or not asked <= {*Trait, HIGHLY_VOLATILE}:
        raise CatalogueFault(f"{cell!r} is neither any nor a list of traits")
    return asked


def _needs(row: Mapping[str, str]) -> tuple[Need, ...]:
    """Read the materials of a step: groups joined by ` + `, of each of which one is needed."""
    if row["materials"] == NOTHING:
        return ()
    used = [each if each != NOTHING else "" for each in row["used_as"].split(" + ")]
    groups = [choices(group) for group in row["materials"].split(" + ")]
    return tuple(Need(group, use) for group, use in zip(groups, used, strict=True))


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
