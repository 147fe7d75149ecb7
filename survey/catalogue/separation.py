"""How far apart incompatible products are to be kept inside a building, and what may stand in place of distance."""

from dataclasses import dataclass
from functools import cache

from survey.catalogue.named_pairs import side
from survey.catalogue.product import Cited, Mark, Product
from survey.catalogue.rows import cited, rows


@dataclass(frozen=True, slots=True)
class Way:
    """One way in which a rule is met, or one thing it asks for."""

    way: str
    says: str
    source: str
    mark: Mark


@cache
def separation_rules() -> dict[str, tuple[str, Cited]]:
    """Return every separation limit on record by name: what it asks for, and the value."""
    return {row["rule"]: (row["meaning"], cited(row)) for row in rows("separation.csv")}


@cache
def separation_ways() -> dict[str, Way]:
    """Return the ways to keep incompatible products apart in a building, with their limits in words."""
    limits = {name: f"{limit.value:g} {limit.unit}" for name, (_, limit) in separation_rules().items()}
    return {
        row["way"]: Way(row["way"], row["says"].format_map(limits), row["source"], Mark(row["mark"]))
        for row in rows("separation_ways.csv")
    }


SEPARATION = separation_rules()["separation"][1]
"""Or a noncombustible partition above and beside, or approved cabinets, not two incompatibles in one."""

PARTITION_RISE = separation_rules()["partition rise"][1]
"""How far a partition must stand above and beside what it separates."""

AMMONIUM_NITRATE = separation_rules()["ammonium nitrate"][1]
"""Or a tight noncombustible partition of one hour."""

_NITRATE = side("product:ammonium-nitrate", "separation.py")
_KEPT_FROM_NITRATE = side("organic|acid|flammable|combustible|group:21|group:22", "separation.py")


def asks_nitrate_distance(a: Product, b: Product) -> bool:
    """Whether two products are ammonium nitrate and something that it is kept farther from than others.

    Parameters
    ----------
    a, b : Product
        In either order.

    Returns
    -------
    bool
        True too where the other is not identified: that it is none of those is not known.
    """
    return any(
        _NITRATE.takes(one) and not _NITRATE.takes(other) and (_KEPT_FROM_NITRATE.takes(other) or not other.identified)
        for one, other in ((a, b), (b, a))
    )
