"""The worst pairs of each kind, and how many more there are: a large store has hundreds of thousands."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, fields
from math import inf

import numpy as np
from numpy.typing import NDArray

from reports.floors.lot_table import Bits, LotTable, Mask, Numbers
from reports.floors.together import NOT_REACHED, Together, joined

LISTED = 8
"""Pairs of one kind that are listed: as many gaps as a drawing letters and as a page shows before a tap. A judgement:
more of one kind tell a crew nothing new, and they are counted."""


@dataclass(frozen=True, slots=True, eq=False)
class Kinds:
    """Every kind of pair there is: its number, how many pairs are of it, and where any of them meet."""

    kind: Numbers
    pairs: Numbers
    on_floor: Mask
    placeless: Mask
    below: Bits


@dataclass(frozen=True, slots=True, eq=False)
class Glances:
    """For each pallet with pairs that are not listed the worst of them: numbers of pallets, each once."""

    pallet: Numbers
    pairs: Together


@dataclass(frozen=True, slots=True, eq=False)
class Worst:
    """The pairs that are listed with their kinds, all kinds, and what is not listed of each pallet."""

    listed: Together
    kind: Numbers
    kinds: Kinds
    unlisted: Numbers
    """For each pallet of the table, how many of its pairs are not listed."""
    glances: Glances


def worst_pairs(table: LotTable, parts: Iterable[Together], most: int = LISTED) -> Worst | None:
    """Choose the worst pairs of each kind.

    Parameters
    ----------
    table : LotTable
    parts : iterable of Together
        All pairs, some at a time.
    most : int
        How many of each kind.

    Returns
    -------
    Worst or None
        None where there is no pair.

    Notes
    -----
    Of one kind are pairs of the same products in the same storage zones (whichever stands in which) that meet as
    surely, whose places are known or not, that stand one above the other or not, on one pallet or not. So every kind
    of danger keeps its worst pair, and what is said of a group of pairs holds for those that are only counted.
    """
    kept: list[Together] = []
    kinds: list[Kinds] = []
    glances: list[Glances] = []
    count = np.zeros(len(table.pallets), dtype=np.int64)
    for part in parts:
        if len(part):
            count += _by_pallet(table, part)
            chosen, dropped, found = _cut(table, part, most)
            kept.append(chosen)
            kinds.append(found)
            glances.append(_glances(table, dropped))
    if not kept:
        return None
    listed, dropped, _ = _cut(table, joined(kept), most)
    glances.append(_glances(table, dropped))
    return Worst(
        listed=listed,
        kind=_kind(table, listed),
        kinds=_merged(kinds),
        unlisted=count - _by_pallet(table, listed),
        glances=_worst_glances(table, glances),
    )


def not_listed(worst: Worst) -> Kinds:
    """Give what is only counted: of each kind the pairs left over, and the places at which only those meet.

    Parameters
    ----------
    worst : Worst

    Returns
    -------
    Kinds
        In the order of `worst.kinds`.
    """
    shown = _summed(worst.kind, worst.listed)
    every = worst.kinds
    return Kinds(
        every.kind,
        every.pairs - shown.pairs,
        every.on_floor & ~shown.on_floor,
        every.placeless & ~shown.placeless,
        every.below & ~shown.below,
    )


def in_order(table: LotTable, pairs: Together) -> tuple[Numbers, Numbers]:
    """Put the two of each pair in the order of the pallets' names, then of the products' keys.

    Parameters
    ----------
    table : LotTable
    pairs : Together

    Returns
    -------
    first, second : array of int
        Rows of the table.
    """
    turned = table.order[pairs.one] > table.order[pairs.other]
    return np.where(turned, pairs.other, pairs.one), np.where(turned, pairs.one, pairs.other)


def _cut(table: LotTable, pairs: Together, most: int) -> tuple[Together, Together, Kinds]:
    """Part the worst of each kind from the others, and sum up each kind."""
    kind = _kind(table, pairs)
    order = np.lexsort((_names(table, pairs), _gap_m(table, pairs), _unjoined(pairs), kind))
    kind, pairs = kind[order], pairs.take(order)
    _, starts, counts = np.unique(kind, return_index=True, return_counts=True)
    worst = np.arange(len(pairs)) - np.repeat(starts, counts) < most
    return pairs.take(worst), pairs.take(~worst), _summed(kind, pairs)


def _summed(kind: Numbers, pairs: Together) -> Kinds:
    """Sum up pairs that are sorted by kind."""
    every, starts, counts = np.unique(kind, return_index=True, return_counts=True)
    return Kinds(
        every,
        counts,
        np.logical_or.reduceat(pairs.on_floor, starts),
        np.logical_or.reduceat(pairs.placeless, starts),
        np.bitwise_or.reduceat(pairs.below, starts, axis=0),
    )


def _merged(parts: Sequence[Kinds]) -> Kinds:
    every = Kinds(*(np.concatenate([getattr(part, field.name) for part in parts]) for field in fields(Kinds)))
    order = np.argsort(every.kind, kind="stable")
    kind, starts = np.unique(every.kind[order], return_index=True)
    return Kinds(
        kind,
        np.add.reduceat(every.pairs[order], starts),
        np.logical_or.reduceat(every.on_floor[order], starts),
        np.logical_or.reduceat(every.placeless[order], starts),
        np.bitwise_or.reduceat(every.below[order], starts, axis=0),
    )


def _kind(table: LotTable, pairs: Together) -> Numbers:
    one, other = pairs.one, pairs.other
    known = table.place_known[one] & table.place_known[other]
    zones = _either_way(table.zone[one], table.zone[other], len(table.zones))
    products = _either_way(table.product[one], table.product[other], len(table.chemistry.names))
    number = zones * len(table.chemistry.names) ** 2 + products
    for column, values in (
        (pairs.meets, NOT_REACHED + 1),
        (known, 2),
        (pairs.above, 2),
        (table.pallet[one] == table.pallet[other], 2),
    ):
        number = number * values + column
    return number


def _either_way(one: Numbers, other: Numbers, count: int) -> Numbers:
    return np.minimum(one, other) * count + np.maximum(one, other)


def _gap_m(table: LotTable, pairs: Together) -> NDArray[np.float64]:
    return np.where(table.place_known[pairs.one] & table.place_known[pairs.other], pairs.apart_m, inf)


def _unjoined(pairs: Together) -> Mask:
    unjoined: Mask = pairs.placeless | (pairs.meets == NOT_REACHED)
    return unjoined


def _names(table: LotTable, pairs: Together) -> Numbers:
    """Order by the names of pallets, then of products."""
    first, second = in_order(table, pairs)
    products = np.array(table.chemistry.names, dtype=np.int64)
    number = table.name[first] * len(table.pallets) + table.name[second]
    return (number * len(products) + products[table.product[first]]) * len(products) + products[table.product[second]]


def _by_pallet(table: LotTable, pairs: Together) -> Numbers:
    one, other = table.pallet[pairs.one], table.pallet[pairs.other]
    count = len(table.pallets)
    return np.bincount(one, minlength=count) + np.bincount(other[one != other], minlength=count)


def _glances(table: LotTable, pairs: Together) -> Glances:
    pallets = np.concatenate([table.pallet[pairs.one], table.pallet[pairs.other]])
    return _worst_glances(table, [Glances(pallets, pairs.take(np.tile(np.arange(len(pairs)), 2)))])


def _worst_glances(table: LotTable, glances: Sequence[Glances]) -> Glances:
    """Choose the worst pair of each pallet, in the order in which pairs are listed."""
    pallet = np.concatenate([each.pallet for each in glances])
    pairs = joined([each.pairs for each in glances])
    severity = _severity(table, pairs)
    least = np.full(len(table.pallets), np.iinfo(np.int64).max)
    np.minimum.at(least, pallet, severity)
    worst = severity == least[pallet]
    pallet, pairs = pallet[worst], pairs.take(worst)
    order = np.lexsort((_names(table, pairs), _gap_m(table, pairs), pallet))
    numbers, firsts = np.unique(pallet[order], return_index=True)
    return Glances(numbers, pairs.take(order[firsts]))


def _severity(table: LotTable, pairs: Together) -> Numbers:
    """Order of pairs up to the distance: lethal, certain, how surely they meet, joined or not, rule of lethal gas."""
    products = table.product[pairs.one], table.product[pairs.other]
    rules = table.chemistry.rule
    number = table.chemistry.grade[products] * (NOT_REACHED + 1) + pairs.meets
    severity: Numbers = (number * 2 + _unjoined(pairs)) * (int(rules.max(initial=0)) + 1) + rules[products]
    return severity
