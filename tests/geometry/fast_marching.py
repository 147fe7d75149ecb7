"""First-order fast marching on a grid, as first published: an outside look at lengths along the floor.

J. A. Sethian, A fast marching level set method for monotonically advancing fronts, PNAS 93 (1996) 1591 (recalled).
"""

from heapq import heappop, heappush
from math import inf, sqrt

import numpy as np
from numpy.typing import NDArray


def travelled_m(free: NDArray[np.bool_], start: tuple[int, int], cell_m: float) -> NDArray[np.float64]:
    """Lengths from a cell to all others [m], infinite in what is solid and behind it."""
    rows, columns = free.shape
    found = np.full((rows, columns), inf)
    done = np.zeros((rows, columns), dtype=bool)
    queue = [(0.0, start)]
    found[start] = 0.0
    while queue:
        _, (row, column) = heappop(queue)
        if done[row, column]:
            continue
        done[row, column] = True
        for r, c in ((row - 1, column), (row + 1, column), (row, column - 1), (row, column + 1)):
            if 0 <= r < rows and 0 <= c < columns and free[r, c] and not done[r, c]:
                along_y = min(_at(found, r - 1, c), _at(found, r + 1, c))
                along_x = min(_at(found, r, c - 1), _at(found, r, c + 1))
                length = _meeting(along_x, along_y, cell_m)
                if length < found[r, c]:
                    found[r, c] = length
                    heappush(queue, (length, (r, c)))
    return found


def _at(found: NDArray[np.float64], row: int, column: int) -> float:
    rows, columns = found.shape
    return float(found[row, column]) if 0 <= row < rows and 0 <= column < columns else inf


def _meeting(one: float, other: float, cell_m: float) -> float:
    """Solve (t - one)² + (t - other)² = cell², taking one side alone where the other comes too late."""
    if abs(one - other) >= cell_m:
        return min(one, other) + cell_m
    return (one + other + sqrt(2 * cell_m**2 - (one - other) ** 2)) / 2
