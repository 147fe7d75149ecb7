"""Who must be told: by where drains lead, and by reportable quantity; unknown destinations count as storm."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cache
from math import ceil

from reports.facts import ContactFact, DrumFact
from reports.response.advice import Cite, NotificationLine
from reports.response.contents import products_acted_on
from reports.response.handling import gross_mass
from reports.response.lifting import KG_PER_LB
from reports.response.rule_rows import NOTHING, choices, cite, filled, rule_rows
from reports.wording import listed
from survey.catalogue.product import Mark, Product
from survey.vocabulary import ContactRole, DrainDestination

_TOLD_BY = "product="


@dataclass(frozen=True, slots=True)
class Outlet:
    """A drain that liquid reaches or may reach, with the destination acted on and the products that mix with water."""

    drain: str
    goes_to: DrainDestination
    proven: bool
    miscible: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Reportable:
    """What one drum of a product lets out, against the quantity that has to be reported."""

    product: str
    drum_kg: float
    reportable_kg: float
    reportable_lb: float
    verify: bool

    @property
    def drums(self) -> int:
        """Full drums that reach the quantity: the rule says equal to or more."""
        return ceil(self.reportable_kg / self.drum_kg - 1e-9)

    @property
    def words(self) -> str:
        """The comparison as a clause."""
        count = "one drum reaches it" if self.drums <= 1 else f"{self.drums} drums reach it"
        return (
            f"{self.product}: {self.drum_kg:.0f} kg in one drum, reportable from {self.reportable_kg:,.1f} kg "
            f"({self.reportable_lb:,.0f} lb){' (verify)' if self.verify else ''}: {count}"
        )


@dataclass(frozen=True, slots=True)
class _Rule:
    cite: Cite
    when: str
    role: ContactRole | None
    who: str
    text: str
    by: str


def notification_lines(
    outlets: Sequence[Outlet], drums: Sequence[DrumFact], contacts: Sequence[ContactFact]
) -> tuple[NotificationLine, ...]:
    """Return who must be told if a drum leaks, with the contacts on record.

    Parameters
    ----------
    outlets : sequence of Outlet
        Drains that liquid reaches or may reach.
    drums : sequence of DrumFact
        Every drum with content.
    contacts : sequence of ContactFact
        The contacts on record.

    Returns
    -------
    tuple of NotificationLine
        `contacts` is empty where nobody is recorded in that role.

    Notes
    -----
    A quantity is compared as if the whole content of the fullest drum were the listed substance and all of it left the
    building: a solution reaches it later. A product without a reportable quantity on record counts as one that has to
    be reported until somebody looks it up.
    """
    return tuple(
        NotificationLine(rule.cite, rule.who, why, rule.by, _contacts(rule.role, contacts))
        for rule in _rules()
        for why in _why(rule, outlets, drums)
    )


def reportables(drums: Sequence[DrumFact]) -> tuple[Reportable, ...]:
    """Compare the heaviest drum of each product with its reportable quantity; those without one are left out."""
    found: dict[str, Reportable] = {}
    for drum in drums:
        quantity, kg = drum.product.reportable_lb, gross_mass(drum).net_kg
        if quantity is None or kg <= 0:
            continue
        before = found.get(drum.product.key)
        if before is None or kg > before.drum_kg:
            found[drum.product.key] = Reportable(
                drum.product.name,
                kg,
                quantity.value * KG_PER_LB,
                quantity.value,
                verify=quantity.mark is not Mark.READ,
            )
    return tuple(sorted(found.values(), key=lambda each: (each.drums, each.product)))


def _why(rule: _Rule, outlets: Sequence[Outlet], drums: Sequence[DrumFact]) -> Iterator[str]:
    """Give the reason of one row, or nothing where it does not hold."""
    products = products_acted_on(drums)
    oils = set(choices(_oil_rule().when.removeprefix(_TOLD_BY)))
    if rule.when == "always":
        yield rule.text
    elif rule.when in ("reportable", "not reportable by one drum"):
        one = rule.when == "reportable"
        quantities = [each.words for each in reportables(drums) if (each.drums <= 1) is one]
        if quantities:
            yield rule.text.format(quantities="; ".join(quantities))
    elif rule.when == "no quantity":
        yield from _named(rule, [each for each in products if each.reportable_lb is None and each.key not in oils])
    elif rule.when.startswith(_TOLD_BY):
        yield from _named(rule, [each for each in products if each.key in oils])
    else:
        goals = choices(rule.when)
        reached = [outlet for outlet in outlets if outlet.goes_to in goals]
        if reached:
            mixing = sorted({name for outlet in reached for name in outlet.miscible})
            says = f" ({listed(mixing)} {'mixes' if len(mixing) == 1 else 'mix'} with water)" if mixing else ""
            names = listed([_drain(outlet) for outlet in reached])
            yield rule.text.format(drains=names[:1].upper() + names[1:], miscible=says)


def _named(rule: _Rule, products: Sequence[Product]) -> Iterator[str]:
    if products:
        yield rule.text.format(products=listed([product.name for product in products]))


def _drain(outlet: Outlet) -> str:
    if outlet.goes_to is DrainDestination.UNKNOWN:
        return f"drain {outlet.drain} (destination unknown, taken as storm)"
    return f"drain {outlet.drain} ({outlet.goes_to}{'' if outlet.proven else ', unproven'})"


def _contacts(role: ContactRole | None, contacts: Sequence[ContactFact]) -> tuple[str, ...]:
    return tuple(
        f"{', '.join(part for part in (each.name, each.organisation) if part)}, {each.phone} ({each.availability})"
        for each in contacts
        if role is not None and each.role is role
    )


@cache
def _oil_rule() -> _Rule:
    return next(rule for rule in _rules() if rule.when.startswith(_TOLD_BY))


@cache
def _rules() -> tuple[_Rule, ...]:
    goals = set(DrainDestination)
    found = []
    for row in filled(rule_rows("notifications.csv")):
        when = row["when"]
        plain = when in ("always", "reportable", "not reportable by one drum", "no quantity")
        if not plain and not when.startswith(_TOLD_BY) and not set(choices(when)) <= goals:
            raise ValueError(f"notifications.csv, {row['rule']}: {when!r} is no destination and no state of the stock")
        role = None if row["role"] == NOTHING else ContactRole(row["role"])
        found.append(_Rule(cite(row), when, role, row["who"], row["text"], row["by"]))
    return tuple(found)
