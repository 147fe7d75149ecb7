"""Stop rules: what must not be done at a drum, read before any method is looked up.

The rules are rows of `data/stop_rules.csv`. Every row can only add a line: no sign, neighbour or doubt ever takes one
away.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from functools import cache, lru_cache
from math import floor

from geometry.units import recorded_minutes
from reports.facts import DrumFact
from reports.response.advice import Cite, StopLine
from reports.response.conditions import Condition, Situation, Surroundings, holds, parse, situation
from reports.response.rule_rows import YES_OR_NO, cite, filled, rule_rows
from survey.vocabulary import YesNoUnknown

__all__ = ["StopRule", "Surroundings", "stop_lines", "stop_rules", "stop_words"]

ANY_DRAIN = "every drain it can run to"
"""What is covered where the assessment does not know which drain comes first."""


@dataclass(frozen=True, slots=True)
class StopRule:
    """One row of the rule table."""

    cite: Cite
    weight: int
    when: Condition
    covered_when_unidentified: bool
    sentence: str
    because: str
    instead: str

    def holds(self, case: Situation) -> bool:
        if self.covered_when_unidentified and case.contents_unknown:
            return False
        return holds(self.when, case)


def stop_lines(drum: DrumFact, around: Surroundings) -> tuple[StopLine, ...]:
    """Return every stop line of one drum, worst first; while there is one, no method is printed for the drum.

    Parameters
    ----------
    drum : DrumFact
        The drum as recorded.
    around : Surroundings
        What stands around it.

    Returns
    -------
    tuple of StopLine
        Sorted by weight, then rule.

    Notes
    -----
    Adding a condition sign never removes a line. Replacing a known product by an unidentified one never shortens the
    list: the rule on unidentified contents stands in for the one rule that is marked as covered by it.
    """
    case = situation(drum, around)
    holding = _holding(case)
    if not holding:
        return ()
    words = stop_words(drum, around)
    lines = (
        StopLine(
            cite=rule.cite,
            drum=drum.name,
            sentence=rule.sentence.format(**words),
            because=rule.because.format(**words) + _left_open(rule, drum, case),
            instead=rule.instead.format(**words),
            weight=rule.weight,
        )
        for rule in holding
    )
    return tuple(sorted(lines, key=lambda line: (line.weight, line.cite.rule)))


def stop_words(drum: DrumFact, around: Surroundings) -> Mapping[str, str]:
    """Give the words that stand in the sentences of stop lines, by the name in curly brackets."""
    return {
        "drum": drum.name,
        "neighbours": _nearest(around.unidentified, around.unidentified_more),
        "heat": _nearest(around.heat_sources),
        "technicians": _travel(around.technicians_min),
        "drain": around.first_drain or ANY_DRAIN,
        "missing": _missing(around),
    }


def _left_open(rule: StopRule, drum: DrumFact, case: Situation) -> str:
    """Say that a rule rests on what nobody answered from a safety data sheet; empty where it holds without that."""
    presumed = drum.product.presumed
    if not presumed or rule.holds(replace(case, traits=drum.product.known_traits)):
        return ""
    asked = {value for clause in rule.when for term in clause if term.name == "trait" for value in term.values}
    return f" Its safety data sheet leaves open, and so counts as yes: {', '.join(sorted(asked & presumed))}."


@lru_cache(maxsize=4096)
def _holding(case: Situation) -> tuple[StopRule, ...]:
    return tuple(rule for rule in stop_rules() if rule.holds(case))


@cache
def stop_rules() -> tuple[StopRule, ...]:
    """Return all stop rules."""
    return read_stop_rules(rule_rows("stop_rules.csv"))


def read_stop_rules(rows: Iterable[Mapping[str, str]]) -> tuple[StopRule, ...]:
    """Read rows of the table of stop rules; a blank cell is refused."""
    return tuple(
        StopRule(
            cite=cite(row),
            weight=int(row["weight"]),
            when=parse(row["when"]),
            covered_when_unidentified=YES_OR_NO[row["covered_when_unidentified"]],
            sentence=row["sentence"],
            because=row["because"],
            instead=row["instead"],
        )
        for row in filled(rows)
    )


def _travel(minutes: float | None) -> str:
    return "travel time not on record" if minutes is None else f"{recorded_minutes(minutes)} away"


def _missing(around: Surroundings) -> str:
    """Name what an entry rests on and is not there or not on record."""
    needed = (
        ("back-up crew", around.backup_crew),
        ("way out", around.way_out),
        ("decontamination place", around.decontamination),
    )
    said = [
        f"{name}: {'none' if there is YesNoUnknown.NO else 'not on record'}" for name, there in needed if there != "yes"
    ]
    return "; ".join(said) or "nothing"


def _nearest(named: tuple[tuple[str, float], ...], more: int = 0) -> str:
    """Name the nearest one, and how many more there are, `more` of them not even named here.

    Centimetres are rounded half up, which every language a tablet may use does alike.
    """
    if not named:
        return "none on record"
    name, metres = min(named, key=lambda entry: (entry[1], entry[0]))
    whole_m, cm = divmod(floor(metres * 100 + 0.5), 100)
    where = f"{whole_m}.{cm:02d} m" if metres > 0 else "touching"
    others = len(named) - 1 + more
    return f"{name}, {where}{f' and {others} more' if others else ''}"
