"""Reactions listed by name rather than by group: the makers of lethal gas, and the others that a chart would miss."""

from dataclasses import dataclass
from functools import cache

from survey.catalogue.product import NOT_PRESUMED, Mark, Product, Trait
from survey.catalogue.products import catalogue
from survey.catalogue.rows import CatalogueFault, rows


@dataclass(frozen=True, slots=True)
class Side:
    """One side of a listed pair: any of these products or groups, or every trait of any of these sets."""

    keys: frozenset[str]
    groups: frozenset[int]
    trait_sets: tuple[frozenset[Trait], ...]

    def takes(self, product: Product) -> bool:
        return (
            product.key in self.keys
            or not self.groups.isdisjoint(product.reaction_groups)
            or any(traits <= product.traits for traits in self.trait_sets)
        )

    def may_take(self, product: Product) -> bool:
        """Whether it takes a product, or one from a safety data sheet may be what it names.

        Such a product may be in a group where none is on record, and be one named by key where no answer tells it from
        that one.
        """
        if not product.from_sheet or self.takes(product):
            return self.takes(product)
        return (bool(self.groups) and not product.reaction_groups) or any(_like(key, product) for key in self.keys)


def _like(key: str, product: Product) -> bool:
    return catalogue().by_key[key].traits - NOT_PRESUMED <= product.traits


@dataclass(frozen=True, slots=True)
class NamedPair:
    """A reaction listed by name rather than by group."""

    rule: str
    rank: int
    a: Side
    b: Side
    gas: str | None
    clause: str
    source: str
    mark: Mark

    def joins(self, one: Product, other: Product) -> bool:
        return (self.a.takes(one) and self.b.takes(other)) or (self.a.takes(other) and self.b.takes(one))

    def may_join(self, one: Product, other: Product) -> bool:
        """Whether it joins them, or what a safety data sheet leaves open of one of them does not exclude that."""
        return (self.a.may_take(one) and self.b.may_take(other)) or (self.a.may_take(other) and self.b.may_take(one))

    def wants(self, product: Product) -> bool:
        """Whether this product is one side of the pair."""
        return self.a.takes(product) or self.b.takes(product)


@cache
def lethal_pairs() -> tuple[NamedPair, ...]:
    """Return the named makers of lethal gas, worst first."""
    return _read_pairs("lethal_gas.csv")


@cache
def named_pairs() -> tuple[NamedPair, ...]:
    """Return the other pairs listed by name, worst first."""
    return _read_pairs("named_pairs.csv")


def side(cell: str, where: str) -> Side:
    """Read one side of a listed pair.

    Parameters
    ----------
    cell : str
        Alternatives joined by `|`, each a `product:key`, a `group:number` or traits joined by `+`.
    where : str
        The file, for the message.

    Returns
    -------
    Side

    Raises
    ------
    CatalogueFault
        If an alternative is blank, or names a trait or a number that is none.
    """
    keys, groups, trait_sets = set(), set(), []
    for alternative in cell.split("|"):
        kind, named, value = alternative.partition(":")
        try:
            if named and kind == "product" and value:
                keys.add(value)
            elif named:
                groups.add({"group": int}[kind](value))
            else:
                trait_sets.append(frozenset(Trait(trait) for trait in alternative.split("+")))
        except (KeyError, ValueError):
            raise CatalogueFault(
                f"{where}: a side is a product, a group or traits, found {alternative!r} in {cell!r}"
            ) from None
    return Side(frozenset(keys), frozenset(groups), tuple(trait_sets))


def _read_pairs(name: str) -> tuple[NamedPair, ...]:
    return tuple(
        NamedPair(
            rule=row["rule"],
            rank=int(row["rank"]),
            a=side(row["side_a"], name),
            b=side(row["side_b"], name),
            gas=row["gas"] or None,
            clause=row["clause"],
            source=row["source"],
            mark=Mark(row["mark"]),
        )
        for row in rows(name)
    )
