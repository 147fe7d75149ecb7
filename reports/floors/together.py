"""All pairs of lots that react and meet, stand too close or stand one above the other, as columns."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, fields

import numpy as np
import shapely
from numpy.typing import NDArray

from geometry.incompatible_neighbours import parted
from reports.floors.lot_table import Bits, LotTable, Mask, Numbers
from reports.floors.lots import Lot
from reports.floors.ways import EveryLot, FewLots, Standing
from survey.catalogue.separation import SEPARATION

NEARBY_M = 2.0
"""Design rule for *nearby*: a judgement, no published source."""
REACHES, MAY_REACH, NOT_REACHED = range(3)
"""Places of the verdicts in their order."""
_AT_ONCE = 4_000_000
"""Pairs looked at in one go, which takes a few tens of megabytes."""


@dataclass(frozen=True, slots=True, eq=False)
class Together:
    """Pairs of lots by their rows in the table, the smaller first, and beside each what is between the two.

    `meets` is the place of the verdict in its order; `on_floor` says that the liquids meet there; `below` holds one bit
    per drain or sump that joins them; `placeless` says that they may meet since nobody knows where in their blocks
    they stand; `apart_m` is the straight gap, edge to edge, of the pallets.
    """

    one: Numbers
    other: Numbers
    meets: Numbers
    on_floor: Mask
    below: Bits
    placeless: Mask
    above: Mask
    apart_m: NDArray[np.float64]

    def __len__(self) -> int:
        return len(self.one)

    def take(self, chosen: Numbers | Mask) -> "Together":
        """Choose some of them."""
        return Together(*(getattr(self, field.name)[chosen] for field in fields(self)))


def joined(parts: Sequence[Together]) -> Together:
    """Put several in one; there must be one at least."""
    return Together(*(np.concatenate([getattr(part, field.name) for part in parts]) for field in fields(Together)))


def all_together(table: LotTable) -> Iterator[Together]:
    """Give all pairs of a floor, some at a time.

    Parameters
    ----------
    table : LotTable

    Yields
    ------
    Together
    """
    if not table.lots:
        return
    standing = EveryLot(table)
    count = len(table.lots)
    step = max(_AT_ONCE // count, 1)
    for start in range(0, count, step):
        rows = np.arange(start, min(start + step, count))
        yield _together(table, standing, rows, np.arange(count) > rows[:, None])


def together_with(table: LotTable, rows: Numbers) -> Together:
    """Give the pairs of which one is among few lots.

    Parameters
    ----------
    table : LotTable
    rows : array of int
        Their rows in the table.

    Returns
    -------
    Together
    """
    asked = np.ones((len(rows), len(table.lots)), dtype=bool)
    asked[:, rows] = rows > rows[:, None]
    return _together(table, FewLots(table), rows, asked)


def _together(table: LotTable, standing: Standing, rows: Numbers, asked: Mask) -> Together:
    ways = standing.ways(rows)
    chosen = asked & table.chemistry.reacts[table.product[rows]][:, table.product]
    chosen &= ways.near | ways.above | ways.thick | ways.thin | _joined_below(table, rows)
    row, column = np.nonzero(chosen)
    one, other = np.minimum(rows[row], column), np.maximum(rows[row], column)
    below = table.may_reach[one] & table.may_reach[other]
    on_floor = np.where(ways.thick[row, column], REACHES, np.where(ways.thin[row, column], MAY_REACH, NOT_REACHED))
    under = np.where(
        (table.reaches[one] & table.reaches[other]).any(axis=1),
        REACHES,
        np.where(below.any(axis=1), MAY_REACH, NOT_REACHED),
    )
    found = Together(
        one=one,
        other=other,
        meets=np.minimum(on_floor, under),
        on_floor=on_floor < NOT_REACHED,
        below=below,
        placeless=np.zeros(len(one), dtype=bool),
        above=ways.above[row, column] & (table.pallet[one] != table.pallet[other]),
        apart_m=_apart_m(table, one, other),
    )
    return _worth_saying(table, found)


def _joined_below(table: LotTable, rows: Numbers) -> Mask:
    found = np.zeros((len(rows), len(table.lots)), dtype=bool)
    for word in range(table.may_reach.shape[1]):
        column = table.may_reach[:, word]
        found |= (column[rows][:, None] & column[None, :]) != 0
    return found


def _apart_m(table: LotTable, one: Numbers, other: Numbers) -> NDArray[np.float64]:
    """Straight gaps, edge to edge."""
    first, second, which = _outlines(table, one, other)
    outlines = table.outline_array
    gaps: NDArray[np.float64] = shapely.distance(outlines[first], outlines[second])
    return gaps[which]


def _outlines(table: LotTable, one: Numbers, other: Numbers) -> tuple[Numbers, Numbers, Numbers]:
    """Give the pairs of outlines, each once however many lots stand on them, and for each pair of lots which it is."""
    count = len(table.outlines)
    keys, which = np.unique(table.outline[one] * count + table.outline[other], return_inverse=True)
    return keys // count, keys % count, which


def _worth_saying(table: LotTable, found: Together) -> Together:
    """Leave out what is neither close nor above nor meets, and what cannot be there both.

    What is not identified reacts with everything: it is paired only where it stands nearby, since otherwise it would
    hide the rest of the list.
    """
    one, other = found.one, found.other
    nearest_m = found.apart_m - table.either_m[table.tolerance[one], table.tolerance[other]]
    close = nearest_m <= SEPARATION.value
    if table.partitions:
        near = np.flatnonzero(close)
        first, second, which = _outlines(table, one[near], other[near])
        close[near] = ~parted(table.outline_array, first, second, table.partitions)[which]
    certain = table.chemistry.certain[table.product[one], table.product[other]]
    said = (certain | found.above | (nearest_m <= NEARBY_M)) & (close | found.above | (found.meets < NOT_REACHED))
    for at in np.flatnonzero(said & (table.pallet[one] == table.pallet[other])).tolist():
        said[at] = can_be_together(table.lots[one[at]], table.lots[other[at]])
    known = table.place_known[one] & table.place_known[other]
    placeless = ~known & close & (found.meets == NOT_REACHED)
    found.placeless[:] = placeless
    found.meets[placeless] = MAY_REACH
    return found.take(said)


def can_be_together(a: Lot, b: Lot) -> bool:
    """Whether two lots of one pallet can both be there: two alternative readings of it speak of the same drums.

    Parameters
    ----------
    a, b : Lot
        Of one pallet.

    Returns
    -------
    bool
    """
    alternatives = set(a.pallet.alternatives)
    return any(
        one.reading_id == other.reading_id or not {one.reading_id, other.reading_id} <= alternatives
        for one in a.drums
        for other in b.drums
    )
