"""Reacting pairs that a person wants to read as one: the same products in the same storage zones."""

from collections import defaultdict
from collections.abc import Iterable, Sequence

from reports import wording
from reports.assessment import PairAssessment, Verdict
from reports.wording import listed
from survey.catalogue.compatibility import LEFT_OPEN, NO_GROUPS
from survey.catalogue.products import UNIDENTIFIED

Key = tuple[frozenset[str], frozenset[str], str, Verdict]


def group_key(pair: PairAssessment) -> Key:
    """Say which pairs belong together.

    Parameters
    ----------
    pair : PairAssessment

    Returns
    -------
    Key
        Products, storage zones, reaction and verdict. Where places in a block are not known, storage zones tell
        nothing and are left out; what is not identified belongs together with all its neighbours, and so do pairs of
        which one is in no group of the chart.
    """
    products = frozenset((pair.product_a, pair.product_b))
    zones = frozenset((pair.zone_a or "", pair.zone_b or ""))
    if not pair.certain:
        return frozenset(), frozenset() if pair.separation is None else zones, pair.cite.rule, Verdict.MAY_REACH
    if pair.separation is None:
        return products, frozenset(), pair.reaction, Verdict.MAY_REACH
    return products, zones, pair.reaction, pair.meets


def grouped(pairs: Iterable[PairAssessment]) -> tuple[tuple[PairAssessment, ...], ...]:
    """Sort pairs into groups, each in the order given and in the place of its first.

    Parameters
    ----------
    pairs : iterable of PairAssessment

    Returns
    -------
    tuple of tuple of PairAssessment
    """
    groups: dict[Key, list[PairAssessment]] = defaultdict(list)
    for pair in pairs:
        groups[group_key(pair)].append(pair)
    return tuple(tuple(group) for group in groups.values())


def named(pairs: Sequence[PairAssessment]) -> str:
    """Name the products of a group with their pallets; the unidentified first, the rest is read against it.

    Pallets past what a sentence bears are counted.

    Parameters
    ----------
    pairs : sequence of PairAssessment

    Returns
    -------
    str
    """
    pallets: dict[str, set[str]] = defaultdict(set)
    for pair in pairs:
        pallets[pair.product_a].add(pair.a)
        pallets[pair.product_b].add(pair.b)
    products = sorted(pallets, key=lambda product: (product != UNIDENTIFIED.name, product))
    return listed([f"{product} ({wording.named(sorted(pallets[product]))})" for product in products])


def places(pairs: Sequence[PairAssessment]) -> tuple[str, ...]:
    """Name every place at which liquids of a group meet, those of pairs that are only counted too.

    Parameters
    ----------
    pairs : sequence of PairAssessment

    Returns
    -------
    tuple of str
        In the order in which they come first.
    """
    return tuple(dict.fromkeys(place for pair in pairs for place in (*pair.where, *pair.more_where)))


def more_of(pairs: Sequence[PairAssessment]) -> str:
    """Say how many pairs like these are only counted.

    Parameters
    ----------
    pairs : sequence of PairAssessment

    Returns
    -------
    str
        *214 more pairs like it in these storage zones*; empty where all are listed.
    """
    more = sum(pair.more for pair in pairs)
    if not more:
        return ""
    return f"{more:,} more {'pair' if more == 1 else 'pairs'} like it in these storage zones"


def clause(pair: PairAssessment) -> str:
    """Give what finishes “together they …”, for a group that is headed by this pair.

    Parameters
    ----------
    pair : PairAssessment

    Returns
    -------
    str
    """
    if pair.certain or pair.cite.rule == NO_GROUPS:
        return pair.reaction
    if pair.cite.rule == LEFT_OPEN:
        return "may react in any way, since a safety data sheet leaves open what one of them is"
    return "may react in any way, since one is not identified"
