"""How far apart incompatible products are to be kept inside a building."""

from functools import cache

from survey.catalogue.product import Cited
from survey.catalogue.rows import cited, rows


@cache
def separation_rules() -> dict[str, tuple[str, Cited]]:
    """Return every separation limit on record by name: what it asks for, and the value."""
    return {row["rule"]: (row["meaning"], cited(row)) for row in rows("separation.csv")}


SEPARATION = separation_rules()["separation"][1]
"""Or a noncombustible partition above and beside, or approved cabinets, not two incompatibles in one."""

PARTITION_RISE = separation_rules()["partition rise"][1]
"""How far a partition must stand above and beside what it separates."""
