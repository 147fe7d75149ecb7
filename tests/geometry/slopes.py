"""Falling floors to try things on."""

import numpy as np

from geometry.descent import FallingFloor, Running
from geometry.floor import FloorPlan, SpillFloor
from geometry.relief import LEVEL_ACCURACY_M, Fall, Relief, relief_of

WATER = Running(1e-6, 1.9e-4)
"""Water-like, through a 10 mm hole."""

ACETONE = Running(4e-7, 1.9e-4)
"""Acetone-like, through a 10 mm hole under a full drum, whatever the content."""

STEADY = Running(1e-6, 1.9e-4, steady=True)
"""The same at its steady width from the start, for which there are closed forms."""


def even(east: float, north: float) -> Relief:
    """An even slope; the numbers are rises per metre."""
    return Relief(lambda at: at @ np.array([east, north]), LEVEL_ACCURACY_M)


def falling(plan: FloorPlan, east: float, north: float, *, cell_m: float = 0.1) -> FallingFloor:
    """A floor on an even slope."""
    return FallingFloor(SpillFloor(plan, cell_m), even(east, north))


def dished(plan: FloorPlan, *falls: Fall) -> FallingFloor:
    """A level floor with falls to drains."""
    relief = relief_of([], falls, plan.outline)
    assert relief is not None
    return FallingFloor(SpillFloor(plan), relief)
