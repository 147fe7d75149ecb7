"""What operations-level crews do from a distance, apart from what technicians do at the drum."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache

from reports.response.advice import Cite, DutyLine, Who
from reports.response.contents import written_for
from reports.response.rule_rows import choices, cite, filled, rule_rows
from reports.wording import MOST_NAMED, named
from survey.catalogue.product import Product, Trait

_STATES = frozenset({"drains", "no drains", "free", "stopped"})


@dataclass(frozen=True, slots=True)
class _Rule:
    cite: Cite
    who: Who
    asks: tuple[str, ...]
    text: str


def duty_lines(
    products: Sequence[Product], *, drains: Sequence[str], stopped: bool, free: bool
) -> tuple[DutyLine, ...]:
    """Return the tasks of a storage zone by training level.

    Parameters
    ----------
    products : sequence of Product
        What is stored there.
    drains : sequence of str
        Drains that its liquid reaches or may reach.
    stopped, free : bool
        Whether some of its drums have a STOP line, and whether some have none.

    Returns
    -------
    tuple of DutyLine
        Operations level first. Technicians are sent to no drum that has a STOP line.
    """
    states = {
        "drains": bool(drains),
        "no drains": not drains,
        "free": free,
        "stopped": stopped,
    }
    found = []
    for rule in _rules():
        takers = [each for each in products if written_for(rule.asks, each.traits, identified=each.identified)]
        state = next((ask for ask in rule.asks if ask in _STATES), None)
        if "any" in rule.asks or (states[state] if state else bool(takers)):
            names = sorted({product.name for product in takers})
            text = rule.text.format(products=named(names, MOST_NAMED), drains=named(list(drains), MOST_NAMED))
            found.append(DutyLine(rule.cite, rule.who, text))
    return tuple(found)


@cache
def _rules() -> tuple[_Rule, ...]:
    known = {*Trait, "any", "unidentified", *_STATES}
    found = []
    for row in filled(rule_rows("duties.csv")):
        asks = choices(row["when"])
        if not set(asks) <= known:
            raise ValueError(f"duties.csv, {row['rule']}: {row['when']!r} is no trait and no state of a storage zone")
        found.append(_Rule(cite(row), Who(row["who"]), asks, row["text"]))
    return tuple(found)
