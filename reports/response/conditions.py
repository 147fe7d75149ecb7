"""The conditions that rule rows ask for: a small grammar over one drum and what stands around it.

A row's `when` is a list of clauses joined by ` & `, all of which must hold; a clause is a list of terms joined by
` or `, one of which must hold; a term is `name=value|value`. Where the contents are in doubt a drum has every trait
that a rule asks for. The grammar is small so that a tablet can evaluate the same rows without a network.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date
from types import MappingProxyType

from reports.facts import DrumFact
from reports.response.rule_rows import choices
from survey.catalogue.product import Trait
from survey.vocabulary import ConditionSign, LabelState


@dataclass(frozen=True, slots=True)
class Surroundings:
    """What stands around a drum, as far as a stop rule asks.

    `unidentified` and `heat_sources` hold a name and a distance [m]; `technicians_min` is their travel time [min],
    None where not on record; `wetted` says that water is known to reach the drum.
    """

    unidentified: tuple[tuple[str, float], ...]
    bulging_nearby: bool
    stack_unstable: bool
    stack_not_inspected: bool
    heat_sources: tuple[tuple[str, float], ...]
    technicians_min: float | None
    as_of: date
    wetted: bool = False


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


def holds(condition: Condition, drum: DrumFact, around: Surroundings) -> bool:
    """Whether a condition holds for one drum."""
    return all(any(_TERMS[term.name](term.values, drum, around) for term in clause) for clause in condition)


def contents_doubted(drum: DrumFact) -> bool:
    """Whether the contents are unknown or the drum's own label contradicts them."""
    return drum.contents_unknown or drum.label is LabelState.CONTRADICTS_CONTENT


def _term(text: str) -> Term:
    name, _, values = text.partition("=")
    if name not in _TERMS:
        raise ValueError(f"{name!r} is not a term; known are {', '.join(_TERMS)}")
    return Term(name, choices(values))


def _has_sign(values: tuple[str, ...], drum: DrumFact, _: Surroundings) -> bool:
    return any(ConditionSign(value) in drum.signs for value in values)


def _has_trait(values: tuple[str, ...], drum: DrumFact, _: Surroundings) -> bool:
    return contents_doubted(drum) or any(Trait(value) in drum.product.traits for value in values)


def _content(values: tuple[str, ...], drum: DrumFact, _: Surroundings) -> bool:
    states = {
        "unidentified": not drum.product.identified,
        "no source": drum.contents_unknown,
        "not identified twice": not drum.identified or contents_doubted(drum),
    }
    return any(states[value] for value in values)


def _label(values: tuple[str, ...], drum: DrumFact, _: Surroundings) -> bool:
    return any(drum.label is LabelState(value) for value in values)


def _inhibitor(values: tuple[str, ...], drum: DrumFact, around: Surroundings) -> bool:
    until = drum.inhibitor_until
    states = {"past": until is not None and until < around.as_of, "not on record": until is None}
    return any(states[value] for value in values)


def _heat(values: tuple[str, ...], _: DrumFact, around: Surroundings) -> bool:
    return any(metres <= float(values[0]) for _name, metres in around.heat_sources)


_TERMS: Mapping[str, Callable[[tuple[str, ...], DrumFact, Surroundings], bool]] = MappingProxyType(
    {
        "sign": _has_sign,
        "trait": _has_trait,
        "product": lambda values, drum, _around: drum.product.key in values,
        "any": lambda _values, _drum, _around: True,
        "content": _content,
        "label": _label,
        "inhibitor": _inhibitor,
        "heat_within_m": _heat,
        "wetted": lambda _values, _drum, around: around.wetted,
        "bulging_neighbour": lambda _values, _drum, around: around.bulging_nearby,
        "unidentified_neighbour": lambda _values, _drum, around: bool(around.unidentified),
        "unstable_stack": lambda _values, _drum, around: around.stack_unstable,
        "not_inspected": lambda _values, drum, around: around.stack_not_inspected or drum.hidden,
    }
)
