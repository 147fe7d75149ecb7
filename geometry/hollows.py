"""How much each part of a floor holds before it spills over its lowest lip, and where it does."""

from dataclasses import dataclass

import numpy as np
from shapely import Polygon
from shapely.geometry.base import BaseGeometry

from geometry.descent import FallingFloor, Hollow, hollow_of
from geometry.errors import GeometryRefused
from geometry.floor import SpillFloor
from geometry.stretches import as_lines

LEAST_HOLLOW_M3 = 0.001
"""Hollows that hold less than a litre are not told of: judgement; the triangles of a survey make many."""

_MOST_HOLLOWS = 4096
_PLENTY_M3 = 1e4  # no floor that fits the grid and no kerb on it holds as much


@dataclass(frozen=True, slots=True)
class Tray:
    """A part of a level floor that fills to its lowest lip.

    Parameters
    ----------
    outline : Polygon
        In metres.
    lip_m : float
        Height of its lowest lip [m].
    volume_m3 : float
        The volume at which it spills over [m³].
    lips : BaseGeometry
        The lines over which it does [m].
    off_map : bool
        Whether it may spill off the mapped floor.
    """

    outline: Polygon
    lip_m: float
    volume_m3: float
    lips: BaseGeometry
    off_map: bool


def trays(floor: SpillFloor, *, cautious: bool) -> tuple[Tray, ...]:
    """Find the parts of a level floor that hold liquid, each taken alone and its neighbours empty.

    Parameters
    ----------
    floor : SpillFloor
        The floor, taken as level.
    cautious : bool
        True: what is not known to be tight holds nothing. False: it does.

    Returns
    -------
    tuple of Tray
        The one that spills over first comes first. A part that is open, and one that nothing lets out of, are left out.
    """
    layout = floor.flow(cautious=cautious).layout()
    found = []
    for outline, ways in zip(layout.compartments, layout.outlets, strict=True):
        lip_m = min((way.height_m for way in ways), default=0.0)
        if lip_m <= 0:
            continue
        lowest = [way for way in ways if way.height_m <= lip_m]
        chosen = np.zeros(len(layout.stretches), dtype=np.bool_)
        for way in lowest:
            chosen[list(way.stretches)] = True
        lips = as_lines(layout.stretches, chosen)
        found.append(Tray(outline, lip_m, outline.area * lip_m, lips, any(way.into is None for way in lowest)))
    return tuple(sorted(found, key=lambda tray: (tray.volume_m3, tray.outline.bounds)))


def hollows(falling: FallingFloor, *, cautious: bool, least_m3: float = LEAST_HOLLOW_M3) -> tuple[Hollow, ...]:
    """Find the hollows of a falling floor, each filled alone until it spills over.

    Parameters
    ----------
    falling : FallingFloor
        The floor.
    cautious : bool
        True: what is not known to be tight holds nothing. False: it does.
    least_m3 : float
        Those that hold less are left out [m³].

    Returns
    -------
    tuple of Hollow
        The one that spills over first comes first; its volume is that at which it does. A hollow inside a larger one
        counts by itself, and the larger one as filled from its other lowest places; what nothing lets out of is left
        out.

    Raises
    ------
    GeometryRefused
        If the least volume is not above zero.
    """
    if not least_m3 > 0:
        raise GeometryRefused(f"least hollow: expected more than 0 m³, found {least_m3}")
    from geometry.kernels.descent import first_spills  # noqa: PLC0415 - compiled code is loaded where computing begins

    ground = falling.ground(cautious=cautious)
    rows = np.zeros((_MOST_HOLLOWS, 5))
    count = first_spills(
        ground.bed_m,
        ground.on_map,
        ground.east_m,
        ground.north_m,
        ground.width,
        ground.grid.cell_m,
        ground.cell_m2,
        least_m3,
        _PLENTY_M3,
        rows,
    )
    found = [hollow_of(ground, row) for row in rows[:count]]
    return tuple(sorted(found, key=lambda hollow: (hollow.volume_m3, hollow.at.x, hollow.at.y)))
