"""The conditions that rule rows ask for: a small grammar over one drum and what stands around it.

A row's `when` is a list of clauses joined by ` & `, all of which must hold; a clause is a list of terms joined by
` or `, one of which must hold; a term is `name=value|value`. Where the contents are in doubt a drum has every trait
that a rule asks for. The grammar is small so that a tablet can evaluate the same rows without a network.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date
from math import inf
from types import MappingProxyType

from reports.facts import DrumFact
from reports.response.rule_rows import choices
from survey.catalogue.product import Trait
from survey.vocabulary import ConditionSign, LabelState


@dataclass(frozen=True, slots=True)
class Surroundings:
    """What stands around a drum, as far as a stop rule asks.

    `unidentified` and `heat_sources` hold a name and a distance [m]; `technicians_min` is their travel time [min],
    None where not on record; `wetted` says that water is known to reach the drum. Of many unidentified drums it is
    enough to name the nearest and to say in `unidentified_more` how many there are beside those named.
    """

    unidentified: tuple[tuple[str, float], ...]
    bulging_nearby: bool
    stack_unstable: bool
    stack_not_inspected: bool
    heat_sources: tuple[tuple[str, float], ...]
    technicians_min: float | None
    as_of: date
    wetted: bool = False
    unidentified_more: int = 0


@dataclass(frozen=True, slots=True)
class Situation:
    """Everything that a term may ask of a drum and its surroundings: where two are equal the same rules hold.

    `heat_m` is the distance of the nearest heat source [m], infinite where there is none.
    """

    signs: frozenset[ConditionSign]
    product: str
    traits: frozenset[Trait]
    product_identified: bool
    contents_unknown: bool
    identified: bool
    label: LabelState
    inhibitor_until: date | None
    hidden: bool
    unidentified_nearby: bool
    bulging_nearby: bool
    stack_unstable: bool
    stack_not_inspected: bool
    heat_m: float
    wetted: bool
    as_of: date

    @property
    def contents_doubted(self) -> bool:
        """Whether the contents are unknown or the drum's own label contradicts them."""
        return self.contents_unknown or self.label is LabelState.CONTRADICTS_CONTENT


def situation(drum: DrumFact, around: Surroundings) -> Situation:
    """Give what a condition may ask of a drum and what stands around it."""
    return Situation(
        signs=drum.signs,
        product=drum.product.key,
        traits=drum.product.traits,
        product_identified=drum.product.identified,
        contents_unknown=drum.contents_unknown,
        identified=drum.identified,
        label=drum.label,
        inhibitor_until=drum.inhibitor_until,
        hidden=drum.hidden,
        unidentified_nearby=bool(around.unidentified),
        bulging_nearby=around.bulging_nearby,
        stack_unstable=around.stack_unstable,
        stack_not_inspected=around.stack_not_inspected,
        heat_m=min((metres for _, metres in around.heat_sources), default=inf),
        wetted=around.wetted,
        as_of=around.as_of,
    )


@dataclass(frozen=True, slots=True)
class Term:
    """One thing asked for: its name and the values of which one must be met."""

    name: str
    values: tuple[str, ...]


Condition = tuple[tuple[Term, ...], ...]


def parse(when: str) -> Condition:
    """Read a `when` cell.

    Raises
    ------
    ValueError
        If the cell is blank (it would hold for every drum) or names a term that does not exist.
    """
    if not when:
        raise ValueError("a rule's when is blank, which would hold for every drum")
    return tuple(tuple(_term(text) for text in clause.split(" or ")) for clause in when.split(" & "))


def holds(condition: Condition, case: Situation) -> bool:
    """Whether a condition holds."""
    return all(any(_TERMS[term.name](term.values, case) for term in clause) for clause in condition)


def _term(text: str) -> Term:
    name, _, values = text.partition("=")
    if name not in _TERMS:
        raise ValueError(f"{name!r} is not a term; known are {', '.join(_TERMS)}")
    return Term(name, choices(values))


def _has_sign(values: tuple[str, ...], case: Situation) -> bool:
    return any(ConditionSign(value) in case.signs for value in values)


def _has_trait(values: tuple[str, ...], case: Situation) -> bool:
    return case.contents_doubted or any(Trait(value) in case.traits for value in values)


def _content(values: tuple[str, ...], case: Situation) -> bool:
    states = {
        "unidentified": not case.product_identified,
        "no source": case.contents_unknown,
        "not identified twice": not case.identified or case.contents_doubted,
    }
    return any(states[value] for value in values)


def _label(values: tuple[str, ...], case: Situation) -> bool:
    return any(case.label is LabelState(value) for value in values)


def _inhibitor(values: tuple[str, ...], case: Situation) -> bool:
    until = case.inhibitor_until
    states = {"past": until is not None and until < case.as_of, "not on record": until is None}
    return any(states[value] for value in values)


_TERMS: Mapping[str, Callable[[tuple[str, ...], Situation], bool]] = MappingProxyType(
    {
        "sign": _has_sign,
        "trait": _has_trait,
        "product": lambda values, case: case.product in values,
        "any": lambda _values, _case: True,
        "content": _content,
        "label": _label,
        "inhibitor": _inhibitor,
        "heat_within_m": lambda values, case: case.heat_m <= float(values[0]),
        "wetted": lambda _values, case: case.wetted,
        "bulging_neighbour": lambda _values, case: case.bulging_nearby,
        "unidentified_neighbour": lambda _values, case: case.unidentified_nearby,
        "unstable_stack": lambda _values, case: case.stack_unstable,
        "not_inspected": lambda _values, case: case.stack_not_inspected or case.hidden,
    }
)
