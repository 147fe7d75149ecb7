"""How people and tools are cleaned, where, and what becomes of the run-off; no place is made up."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cache

from reports.response.advice import Cite, DecontaminationLine
from reports.response.contents import written_for
from reports.response.rule_rows import NOTHING, choices, cite, filled, rule_rows
from survey.catalogue.product import Mark, Product

RECORD = Cite("decontamination-place", "what the survey records; nothing is added to it", Mark.DERIVED)


@dataclass(frozen=True, slots=True)
class WayOut:
    """A way out on record, with the nearest drain on its floor and how far it is [m]; None where none is recorded."""

    name: str
    drain: str | None
    metres: float | None


@dataclass(frozen=True, slots=True)
class _Rule:
    cite: Cite
    what: str
    asks: tuple[str, ...]
    text: str
    never: str


def decontamination_methods(products: Sequence[Product]) -> tuple[DecontaminationLine, ...]:
    """Return how to clean off these products, strictest first; each product stands under the first row that takes it.

    Parameters
    ----------
    products : sequence of Product

    Returns
    -------
    tuple of DecontaminationLine
        Where products of two rows were met together, the row that stands first is followed first.
    """
    under: dict[str, list[str]] = {}
    for product in sorted(products, key=lambda each: each.name):
        rule = next(
            rule for rule in _rules("method") if written_for(rule.asks, product.traits, identified=product.identified)
        )
        under.setdefault(rule.cite.rule, []).append(product.name)
    return tuple(
        DecontaminationLine(rule.cite, rule.what, tuple(under[rule.cite.rule]), rule.text, rule.never)
        for rule in _rules("method")
        if rule.cite.rule in under
    )


def decontamination_place(
    ways_out: Sequence[WayOut], *, falls_known: bool, arranged: str
) -> tuple[DecontaminationLine, ...]:
    """Say what the place of decontamination has to be, what the record says of it, and what becomes of the run-off.

    Parameters
    ----------
    ways_out : sequence of WayOut
        Main entrances on record.
    falls_known : bool
        Whether levels or falls outside are on record.
    arranged : str
        What is on record of decontamination being arranged: yes, no or unknown.
    """
    asked = [DecontaminationLine(rule.cite, rule.what, (), rule.text, rule.never) for rule in _rules("place")]
    held = [DecontaminationLine(rule.cite, rule.what, (), rule.text, rule.never) for rule in _rules("run-off")]
    record = " ".join(_record(ways_out, falls_known=falls_known, arranged=arranged))
    return (*asked, DecontaminationLine(RECORD, "place", (), record, ""), *held)


def _record(ways_out: Sequence[WayOut], *, falls_known: bool, arranged: str) -> Iterator[str]:
    yield f"By the record: decontamination arranged: {arranged}."
    for way in ways_out:
        if way.drain is None or way.metres is None:
            yield f"{way.name}: no drain recorded near it."
        else:
            yield f"{way.name}: {way.drain} is {way.metres:.1f} m away; cover it first or stand elsewhere."
    if not ways_out:
        yield "No main entrance is recorded."
    yield (
        "Which way the ground falls is recorded in part only: see the levels."
        if falls_known
        else "Which way the ground falls is not recorded."
    )
    yield "The wind is read on the day. No place is recorded: the incident commander chooses it."


@cache
def _rules(what: str) -> tuple[_Rule, ...]:
    return tuple(
        _Rule(
            cite(row),
            row["what"],
            choices(row["traits"]),
            row["text"],
            "" if row["never"] == NOTHING else row["never"],
        )
        for row in filled(rule_rows("decontamination.csv"))
        if row["what"] == what
    )
