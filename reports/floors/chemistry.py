"""What the products of one floor do with one another, looked up once."""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from functools import cached_property
from itertools import combinations_with_replacement

import numpy as np
from numpy.typing import NDArray

from survey.catalogue.compatibility import Reaction, reactions
from survey.catalogue.product import Product


@dataclass(frozen=True)
class Chemistry:
    """Products by number, and the worst reaction of every two; what is not in `worst` has no listed reaction."""

    numbers: Mapping[str, int]
    """By the product's key."""
    worst: Mapping[tuple[int, int], Reaction]
    """Both ways round."""
    names: tuple[int, ...]
    """Place of each product in the order of names."""

    @cached_property
    def reacts(self) -> NDArray[np.bool_]:
        """Whether two react."""
        return self._table(lambda _: 1).astype(bool)

    @cached_property
    def certain(self) -> NDArray[np.bool_]:
        """Whether two react and both are identified."""
        return self._table(lambda reaction: reaction.certain).astype(bool)

    @cached_property
    def grade(self) -> NDArray[np.int64]:
        """Order of pairs before it is asked how surely they meet: lethal gas first, then what is certain."""
        return self._table(lambda reaction: 2 * (not reaction.lethal) + (not reaction.certain))

    @cached_property
    def rule(self) -> NDArray[np.int64]:
        """Order of the rules of lethal gas, which are numbered worst first; 0 for everything else."""
        rules = sorted({reaction.rule for reaction in self.worst.values() if reaction.lethal})
        return self._table(lambda reaction: 1 + rules.index(reaction.rule) if reaction.lethal else 0)

    def _table(self, value: Callable[[Reaction], int]) -> NDArray[np.int64]:
        found = np.zeros((len(self.numbers), len(self.numbers)), dtype=np.int64)
        for pair, reaction in self.worst.items():
            found[pair] = value(reaction)
        return found


def chemistry(products: Iterable[Product]) -> Chemistry:
    """Look up every two products.

    Parameters
    ----------
    products : iterable of Product
        May name one several times.

    Returns
    -------
    Chemistry
        Numbers in the order of the products' keys.
    """
    by_key = {product.key: product for product in products}
    ordered = [by_key[key] for key in sorted(by_key)]
    worst: dict[tuple[int, int], Reaction] = {}
    for (i, one), (j, other) in combinations_with_replacement(enumerate(ordered), 2):
        found = reactions(one, other)
        if found:
            worst[i, j] = worst[j, i] = found[0]
    names = sorted({product.name for product in ordered})
    return Chemistry(
        numbers={product.key: number for number, product in enumerate(ordered)},
        worst=worst,
        names=tuple(names.index(product.name) for product in ordered),
    )
