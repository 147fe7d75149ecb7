"""Stop rules: what must not be done at a drum, read before any method is looked up.

The rules are rows of `data/stop_rules.csv`. Every row can only add a line: no sign, neighbour or doubt ever takes one
away.
"""

from dataclasses import dataclass
from functools import cache, lru_cache

from geometry.units import recorded_minutes
from reports.facts import DrumFact
from reports.response.advice import Cite, StopLine
from reports.response.conditions import Condition, Situation, Surroundings, holds, parse, situation
from reports.response.rule_rows import cite, rule_rows

__all__ = ["StopRule", "Surroundings", "stop_lines", "stop_rules"]


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
    holding = _holding(situation(drum, around))
    if not holding:
        return ()
    words = {
        "drum": drum.name,
        "product": drum.product.name,
        "neighbours": _nearest(around.unidentified, around.unidentified_more),
        "heat": _nearest(around.heat_sources),
        "technicians": _travel(around.technicians_min),
    }
    lines = (
        StopLine(
            cite=rule.cite,
            drum=drum.name,
            sentence=rule.sentence.format(**words),
            because=rule.because.format(**words),
            instead=rule.instead.format(**words),
            weight=rule.weight,
        )
        for rule in holding
    )
    return tuple(sorted(lines, key=lambda line: (line.weight, line.cite.rule)))


@lru_cache(maxsize=4096)
def _holding(case: Situation) -> tuple[StopRule, ...]:
    return tuple(rule for rule in stop_rules() if rule.holds(case))


@cache
def stop_rules() -> tuple[StopRule, ...]:
    """Return all stop rules."""
    return tuple(
        StopRule(
            cite=cite(row),
            weight=int(row["weight"]),
            when=parse(row["when"]),
            covered_when_unidentified=row["covered_when_unidentified"] == "yes",
            sentence=row["sentence"],
            because=row["because"],
            instead=row["instead"],
        )
        for row in rule_rows("stop_rules.csv")
    )


def _travel(minutes: float | None) -> str:
    return "travel time not on record" if minutes is None else f"{recorded_minutes(minutes)} away"


def _nearest(named: tuple[tuple[str, float], ...], more: int = 0) -> str:
    """Name the nearest one, and how many more there are, `more` of them not even named here."""
    if not named:
        return "none on record"
    name, metres = min(named, key=lambda entry: (entry[1], entry[0]))
    where = f"{metres:.2f} m" if metres > 0 else "touching"
    others = len(named) - 1 + more
    return f"{name}, {where}{f' and {others} more' if others else ''}"
