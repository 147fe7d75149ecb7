"""How lots stand to one another: near, one above the other, with pools that wet common floor."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Protocol

import numpy as np
import shapely
from numpy.typing import NDArray
from scipy.sparse import csr_array
from shapely.geometry.base import BaseGeometry

from geometry.constants import TOUCH_M2
from geometry.incompatible_neighbours import meeting, meeting_pairs, near_pairs, stacks
from reports.floors.lot_table import LotTable, Mask, Numbers, shape_array
from survey.catalogue.separation import SEPARATION


@dataclass(frozen=True, slots=True, eq=False)
class Ways:
    """How some lots stand to all lots of a floor: (rows, lots), True where it is so.

    `near` is a first look: what may stand within the separation. `thick` and `thin` say that the pools of one drum of
    each meet, or the pool of the one and the place of the other; two lots that do not run do not meet.
    """

    near: Mask
    above: Mask
    thick: Mask
    thin: Mask


class Standing(Protocol):
    """Whatever can say how some lots stand to all."""

    def ways(self, rows: Numbers) -> Ways:
        """Give the ways of these rows of the table."""


class EveryLot:
    """How all lots of a floor stand to one another, worked out at once."""

    def __init__(self, table: LotTable) -> None:
        """Work it out."""
        self._table = table
        near = near_pairs(table.outlines, _near_m(table))
        self._near = _both_ways(near.first, near.second, len(table.outlines), own=np.arange(len(table.outlines)))
        self._above = _both_ways(*_stacked(table), len(table.pallets))
        self._thick = _met(table, [area.thick for area in table.wetted])
        self._thin = _met(table, [area.thin for area in table.wetted])

    def ways(self, rows: Numbers) -> Ways:
        """Give the ways of these rows of the table."""
        table = self._table
        return Ways(
            near=self._near[table.outline[rows]].toarray()[:, table.outline],
            above=self._above[table.pallet[rows]].toarray()[:, table.pallet],
            thick=self._thick[table.wet[rows]].toarray()[:, table.wet],
            thin=self._thin[table.wet[rows]].toarray()[:, table.wet],
        )


class FewLots:
    """How few lots stand to all others, worked out for them alone: those of a pallet that was moved."""

    def __init__(self, table: LotTable) -> None:
        """Make ready."""
        self._table = table
        self._outlines = shape_array(table.outlines)
        self._runs = np.array([area.runs for area in table.wetted], dtype=bool)
        self._thick = shape_array([area.thick for area in table.wetted])
        self._thin = shape_array([area.thin for area in table.wetted])

    def ways(self, rows: Numbers) -> Ways:
        """Give the ways of these rows of the table."""
        wet = self._table.wet
        return Ways(
            near=np.array([self._near(row) for row in rows.tolist()]),
            above=np.array([self._above(row) for row in rows.tolist()]),
            thick=np.array([self._meets(self._thick, number)[wet] for number in wet[rows].tolist()]),
            thin=np.array([self._meets(self._thin, number)[wet] for number in wet[rows].tolist()]),
        )

    def _near(self, row: int) -> Mask:
        outline = self._table.outline
        gaps: NDArray[np.float64] = shapely.distance(self._outlines[outline[row]], self._outlines)
        return (gaps <= _near_m(self._table))[outline]

    def _above(self, row: int) -> Mask:
        """Mark what stands above a lot or below it, by height or by record."""
        table, outline = self._table, self._table.outline
        own = table.lots[row].pallet
        shared = np.zeros(len(self._outlines), dtype=bool)
        close = np.flatnonzero(_boxes_meet(self._outlines, int(outline[row])))
        areas = shapely.area(shapely.intersection(self._outlines[outline[row]], self._outlines[close]))
        shared[close] = areas > TOUCH_M2
        higher = np.array([pallet.base_height_m != own.base_height_m for pallet in table.pallets], dtype=bool)
        stands = np.array(
            [own.id == pallet.stands_on_id or pallet.id == own.stands_on_id for pallet in table.pallets], dtype=bool
        )
        over: Mask = (shared[outline] & higher[table.pallet]) | stands[table.pallet]
        return over

    def _meets(self, shapes: NDArray[Any], number: int) -> Mask:
        found: Mask = np.zeros(len(shapes), dtype=bool)
        close = np.flatnonzero(_boxes_meet(shapes, number) & (self._runs | self._runs[number]))
        found[close] = meeting(shapes, np.full(len(close), number), close)
        return found


def _near_m(table: LotTable) -> float:
    return SEPARATION.value + float(table.either_m.max(initial=0.0))


def _stacked(table: LotTable) -> tuple[Numbers, Numbers]:
    """Give what stands above what, by the numbers of the pallets: by height or by record."""
    pallets = table.pallets
    found = [
        (pair.upper, pair.lower)
        for pair in stacks([pallet.footprint for pallet in pallets], [pallet.base_height_m for pallet in pallets])
    ]
    numbers = {pallet.id: number for number, pallet in enumerate(pallets)}
    found += [
        (number, numbers[pallet.stands_on_id])
        for number, pallet in enumerate(pallets)
        if pallet.stands_on_id is not None and pallet.stands_on_id in numbers
    ]
    upper, lower = np.array(found, dtype=np.int64).reshape(-1, 2).T
    return upper, lower


def _met(table: LotTable, areas: Sequence[BaseGeometry]) -> csr_array:
    shapes = shape_array(areas)
    runs = np.array([area.runs for area in table.wetted], dtype=bool)
    first, second = meeting_pairs(shapes)
    liquid = runs[first] | runs[second]
    own = np.flatnonzero(runs & (shapely.area(shapes) > TOUCH_M2))
    return _both_ways(first[liquid], second[liquid], len(shapes), own=own)


def _both_ways(first: Numbers, second: Numbers, count: int, *, own: Numbers | None = None) -> csr_array:
    diagonal = np.empty(0, dtype=np.int64) if own is None else own
    rows, columns = np.concatenate([first, second, diagonal]), np.concatenate([second, first, diagonal])
    return csr_array((np.ones(len(rows), dtype=bool), (rows, columns)), shape=(count, count))


def _boxes_meet(shapes: NDArray[Any], number: int) -> Mask:
    west, south, east, north = shapely.bounds(shapes).T
    found: Mask = (west <= east[number]) & (west[number] <= east) & (south <= north[number]) & (south[number] <= north)
    return found
