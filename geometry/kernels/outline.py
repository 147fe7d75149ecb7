"""Edges of areas made of cells, as closed rings of corners."""

import numpy as np
from numpy.typing import NDArray

from geometry.kernels.jit import kernel

Integers = NDArray[np.int64]
Mask = NDArray[np.bool_]


@kernel
def outline_rings(inside: Mask) -> tuple[Integers, Integers, Integers]:
    """Trace the edges of cells, with the cells on the left.

    `inside` is padded by cells outside on every side. Gives the corners (counted row by row, in a grid that is larger
    by one both ways), where each ring begins among them (and where the last one ends), and a cell on the inner side of
    each. No ring touches itself: where cells meet in a corner alone they are apart, and a ring that would come to a
    corner twice is given as two.
    """
    rows, columns = inside.shape
    flat = inside.ravel()
    steps = np.array([-columns, 1, columns, -1])  # beyond the southern, eastern, northern and western side
    sides = 0
    for cell in range(columns, flat.size - columns):
        if flat[cell]:
            for step in steps:
                sides += not flat[cell + step]
    corners, owners = np.empty(sides, np.int64), np.empty(sides, np.int64)
    starts = np.zeros(sides + 1, np.int64)
    done = np.zeros(flat.size, np.bool_)  # southern sides; every ring has one
    along = np.empty(sides, np.int64)  # corners of the ring that is being traced
    place = np.full((rows + 1) * (columns + 1), -1, np.int64)  # of a corner among them
    rings = 0
    for first in range(columns, flat.size - columns):
        if not flat[first] or flat[first - columns] or done[first]:
            continue
        cell, side, count = first, 0, 0
        while side != 0 or not done[cell]:
            if side == 0:
                done[cell] = True
            ahead = cell + steps[(side + 1) % 4]
            beside = ahead + steps[side]
            if flat[ahead] and not flat[beside]:
                cell = ahead
                continue
            east, north = side < 2, side in (1, 2)
            corner = (cell // columns + north) * (columns + 1) + cell % columns + east
            if place[corner] >= 0:
                begin = place[corner]
                _put(along[begin:count], corners, starts, rings, place)
                owners[rings] = first
                rings += 1
                count = begin
            place[corner] = count
            along[count] = corner
            count += 1
            if flat[ahead]:
                cell, side = beside, (side + 3) % 4
            else:
                side = (side + 1) % 4
        _put(along[:count], corners, starts, rings, place)
        owners[rings] = first
        rings += 1
    return corners[: starts[rings]].copy(), starts[: rings + 1].copy(), owners[:rings].copy()


@kernel
def _put(ring: Integers, corners: Integers, starts: Integers, number: int, place: Integers) -> None:
    """Add a ring to those that are done."""
    begin = starts[number]
    starts[number + 1] = begin + ring.size
    for index in range(ring.size):
        corners[begin + index] = ring[index]
        place[ring[index]] = -1
