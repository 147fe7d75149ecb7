"""The examples of potentially incompatible waste of 40 CFR 264 and 265, Appendix V: a second source beside the chart.

The appendix names groups of waste in words and says itself that it is not exhaustive. Which products belong to its
lists is our reading; that it does not name two products means nothing.
"""

from dataclasses import dataclass
from functools import cache

from survey.catalogue.named_pairs import Side, side
from survey.catalogue.product import Mark, Product
from survey.catalogue.rows import rows


@dataclass(frozen=True, slots=True)
class Example:
    """One of its pairs of lists, and what mixing the two may do."""

    group: str
    a: Side
    b: Side
    consequence: str
    source: str
    mark: Mark

    def joins(self, one: Product, other: Product) -> bool:
        """Whether one product is on the first list and the other on the second."""
        return (self.a.takes(one) and self.b.takes(other)) or (self.a.takes(other) and self.b.takes(one))


def examples(a: Product, b: Product) -> tuple[Example, ...]:
    """Return the examples of the appendix that name two products.

    Parameters
    ----------
    a, b : Product
        In either order.

    Returns
    -------
    tuple of Example
        By group, each once; empty for two drums of one product, and where one is not identified.
    """
    if a.key == b.key or not (a.identified and b.identified):
        return ()
    one, other = a.as_answered, b.as_answered
    found = {example.group: example for example in reversed(_examples()) if example.joins(one, other)}
    return tuple(found[group] for group in sorted(found))


@cache
def _examples() -> tuple[Example, ...]:
    name = "appendix_v.csv"
    return tuple(
        Example(
            group=row["group"],
            a=side(row["side_a"], name),
            b=side(row["side_b"], name),
            consequence=row["consequence"],
            source=row["source"],
            mark=Mark(row["mark"]),
        )
        for row in rows(name)
    )
