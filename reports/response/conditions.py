"""The conditions that rule rows ask for: a small grammar over one drum and what stands around it.

A row's `when` is a list of clauses joined by ` & `, all of which must hold; a clause is a list of terms joined by
` or `, one of which must hold; a term is `name=word|word`. Nothing can be asked to be absent, so that a further sign,
trait or neighbour only ever adds a rule. Where the contents are in doubt a drum has every trait that a rule asks for.
The grammar is small so that a tablet can evaluate the same rows without a network (`rules_document.py`).
"""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from enum import StrEnum
from math import inf
from types import MappingProxyType

from reports.facts import DrumFact
from reports.response.rule_rows import choices
from survey.catalogue.product import Trait
from survey.catalogue.products import catalogue
from survey.vocabulary import ConditionSign, LabelState, YesNoUnknown


@dataclass(frozen=True, slots=True)
class Surroundings:
    """What stands around a drum and what crews can count on, as far as a stop rule asks.

    `unidentified` and `heat_sources` hold a name and a distance [m]; `technicians_min` is their travel time [min],
    None where not on record; `wetted` says that water is known to reach the drum. Of many unidentified drums it is
    enough to name the nearest and to say in `unidentified_more` how many there are beside those named. `backup_crew`,
    `way_out` and `decontamination` say whether each is arranged, and `vapour_suits` whether enough of them are on
    record: what nobody recorded is not there. `first_drain` names the drain that the drum's liquid gets to first,
    empty where none is known.
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
    backup_crew: YesNoUnknown = YesNoUnknown.UNKNOWN
    way_out: YesNoUnknown = YesNoUnknown.UNKNOWN
    decontamination: YesNoUnknown = YesNoUnknown.UNKNOWN
    vapour_suits: bool = False
    first_drain: str = ""


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
    backup_crew: YesNoUnknown
    way_out: YesNoUnknown
    decontamination: YesNoUnknown
    vapour_suits: bool
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
        backup_crew=around.backup_crew,
        way_out=around.way_out,
        decontamination=around.decontamination,
        vapour_suits=around.vapour_suits,
        as_of=around.as_of,
    )


@dataclass(frozen=True, slots=True)
class Term:
    """One thing asked for: its name and the words of which one must hold."""

    name: str
    values: tuple[str, ...]


Condition = tuple[tuple[Term, ...], ...]


@dataclass(frozen=True, slots=True)
class Asked:
    """What a term asks: the words a row may use, and which of them hold in a situation."""

    says: str
    words: Callable[[], frozenset[str]]
    hold: Callable[[Situation], Iterable[str]]


DISTANCE = "heat_within_m"
"""The one term whose word is a number: the nearest heat source stands within so many metres."""


def parse(when: str) -> Condition:
    """Read a `when` cell.

    Raises
    ------
    ValueError
        If the cell is blank (it would hold for every drum), or names a term or a word that does not exist.
    """
    if not when:
        raise ValueError("a rule's when is blank, which would hold for every drum")
    return tuple(tuple(_term(text) for text in clause.split(" or ")) for clause in when.split(" & "))


def holds(condition: Condition, case: Situation) -> bool:
    """Whether a condition holds."""
    return all(any(_met(term, case) for term in clause) for clause in condition)


def _met(term: Term, case: Situation) -> bool:
    if term.name == DISTANCE:
        return case.heat_m <= float(term.values[0])
    return not set(term.values).isdisjoint(TERMS[term.name].hold(case))


def _term(text: str) -> Term:
    name, _, values = text.partition("=")
    words = choices(values)
    if name == DISTANCE:
        if len(words) != 1 or not 0 <= float(words[0]) < inf:
            raise ValueError(f"{text!r} asks for one distance in metres")
        return Term(name, words)
    if name not in TERMS:
        raise ValueError(f"{name!r} is not a term; known are {', '.join((*TERMS, DISTANCE))}")
    unknown = [word for word in words if word not in TERMS[name].words()]
    if unknown or not words:
        raise ValueError(f"{text!r}: {', '.join(unknown) or 'nothing'} is not a word of the term {name}")
    return Term(name, words)


def _of(kind: type[StrEnum]) -> Callable[[], frozenset[str]]:
    return lambda: frozenset(kind)


def _yes() -> frozenset[str]:
    return frozenset({"yes"})


def _lacking() -> frozenset[str]:
    """What a rule may ask of a thing that crews need: never that it is there, which might take a line away."""
    return frozenset({YesNoUnknown.NO, YesNoUnknown.UNKNOWN})


def _flag(says: str, read: Callable[[Situation], bool]) -> Asked:
    return Asked(says, _yes, lambda case: _yes() if read(case) else ())


def _content(case: Situation) -> Iterable[str]:
    if not case.product_identified:
        yield "unidentified"
    if case.contents_unknown:
        yield "no source"
    if not case.identified or case.contents_doubted:
        yield "not identified twice"


def _inhibitor(case: Situation) -> Iterable[str]:
    if case.inhibitor_until is None:
        yield "not on record"
    elif case.inhibitor_until < case.as_of:
        yield "past"


TERMS: Mapping[str, Asked] = MappingProxyType(
    {
        "sign": Asked("a sign recorded on the drum", _of(ConditionSign), lambda case: case.signs),
        "trait": Asked(
            "a trait of the product; every trait where the contents are in doubt",
            _of(Trait),
            lambda case: Trait if case.contents_doubted else case.traits,
        ),
        "product": Asked(
            "the product, by its key", lambda: frozenset(catalogue().by_key), lambda case: (case.product,)
        ),
        "any": Asked("always holds", lambda: frozenset({"any"}), lambda _case: ("any",)),
        "content": Asked(
            "how surely the contents are known",
            lambda: frozenset({"unidentified", "no source", "not identified twice"}),
            _content,
        ),
        "label": Asked("what the label can tell", _of(LabelState), lambda case: (case.label,)),
        "inhibitor": Asked(
            "what is on record of the inhibitor date", lambda: frozenset({"past", "not on record"}), _inhibitor
        ),
        "wetted": _flag("water is known to reach the drum", lambda case: case.wetted),
        "bulging_neighbour": _flag("a drum nearby may burst or react now", lambda case: case.bulging_nearby),
        "unidentified_neighbour": _flag("a drum nearby is not identified", lambda case: case.unidentified_nearby),
        "unstable_stack": _flag("the stack is recorded as unstable", lambda case: case.stack_unstable),
        "not_inspected": _flag(
            "the drum or its stack has not been inspected", lambda case: case.stack_not_inspected or case.hidden
        ),
        "backup_crew": Asked("what is recorded of a back-up crew", _lacking, lambda case: (case.backup_crew,)),
        "way_out": Asked("what is recorded of a way out", _lacking, lambda case: (case.way_out,)),
        "decontamination": Asked("what is recorded of decontamination", _lacking, lambda case: (case.decontamination,)),
        "vapour_suits": Asked(
            "whether enough vapour suits are on record",
            lambda: frozenset({"not on record"}),
            lambda case: () if case.vapour_suits else ("not on record",),
        ),
    }
)
