"""What to measure before and during an entry, what its reading allows, and when to leave."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from functools import cache

from reports.response.advice import Cite, MonitorLine
from reports.response.contents import asks_for
from reports.response.rule_rows import NOTHING, choices, cite, filled, rule_rows
from survey.catalogue.product import Cited, Mark, Product

_LIMITS: Mapping[str, Callable[[Product], Cited | None]] = {
    NOTHING: lambda _product: None,
    "immediately dangerous concentration": lambda product: product.immediately_dangerous,
    "lower flammable limit": lambda product: product.lower_flammable_vol_pct,
}
"""Which value of a product a reading is held against; none for instruments that need no such value."""


@dataclass(frozen=True, slots=True)
class MonitorRule:
    """One instrument; `kit` names the row of the kit list that counts it."""

    cite: Cite
    monitor: str
    kit: str
    asks: tuple[str, ...]
    how: str
    go_on: str
    leave: str
    limit: str


def monitor_lines(products: Sequence[Product]) -> tuple[MonitorLine, ...]:
    """Return the instruments for these products in the order in which they are read.

    Parameters
    ----------
    products : sequence of Product
        What may be met; the unidentified one asks for every instrument.

    Returns
    -------
    tuple of MonitorLine
        Radiation first, then flammable, oxygen, toxic, pH and what else the products ask for.
    """
    return tuple(line for rule in monitor_rules() for line in _lines(rule, products))


def _lines(rule: MonitorRule, products: Sequence[Product]) -> tuple[MonitorLine, ...]:
    asking = sorted((each for each in products if asks_for(rule.asks, each)), key=lambda each: each.name)
    every = "any" in rule.asks
    if not asking and not every:
        return ()
    limits = tuple(
        f"{product.name} {_value(limit)}"
        for product in asking
        if product.identified and (limit := _LIMITS[rule.limit](product)) is not None
    )
    return (
        MonitorLine(
            rule.cite,
            rule.monitor,
            () if every else tuple(product.name for product in asking),
            rule.how,
            rule.go_on,
            rule.leave,
            limits,
        ),
    )


def _value(limit: Cited) -> str:
    return f"{limit.value:g} {limit.unit}{'' if limit.mark is Mark.READ else ' (verify)'}"


@cache
def monitor_rules() -> tuple[MonitorRule, ...]:
    """Return the rows of the table, in the order in which instruments are read."""
    return tuple(
        MonitorRule(
            cite(row),
            row["monitor"],
            row["kit"],
            choices(row["traits"]),
            row["how"],
            row["go_on"],
            row["leave"],
            row["limits"],
        )
        for row in filled(rule_rows("monitors.csv"))
    )
