"""Areas made of whole cells, by their edges."""

import numpy as np
import shapely
from numpy.typing import NDArray
from scipy import ndimage
from shapely import MultiPolygon, Polygon

from geometry.raster import Grid

Integers = NDArray[np.int64]


def area_of_cells(grid: Grid, rows: Integers, columns: Integers) -> Polygon | MultiPolygon:
    """Put whole cells together as an area.

    Parameters
    ----------
    grid : Grid
        The cells.
    rows, columns : (n,) array of int
        Which of them; each may come more than once.

    Returns
    -------
    Polygon or MultiPolygon
        In metres; empty where there are none. Cells that meet in a corner alone are parts of their own.
    """
    if not len(rows):
        return MultiPolygon()
    from geometry.kernels.outline import outline_rings  # noqa: PLC0415 - compiled code is loaded where computing begins

    south, west = int(rows.min()), int(columns.min())
    inside = np.zeros((int(rows.max()) - south + 3, int(columns.max()) - west + 3), dtype=np.bool_)
    inside[rows - south + 1, columns - west + 1] = True
    corners, starts, owners = outline_rings(inside)
    across = inside.shape[1] + 1
    x_m = grid.west_m + (corners % across + west - 1) * grid.cell_m
    y_m = grid.south_m + (corners // across + south - 1) * grid.cell_m
    ring_of = np.repeat(np.arange(len(owners)), np.diff(starts))
    rings = np.asarray(shapely.linearrings(x_m, y_m, indices=ring_of), dtype=np.object_)
    outer = shapely.is_ccw(rings)
    if outer.all():
        parts = [Polygon(ring) for ring in rings.tolist()]
    else:
        part = ndimage.label(inside)[0].ravel()[owners]
        parts = [Polygon(rings[shell], rings[~outer & (part == part[shell])]) for shell in np.flatnonzero(outer)]
    return parts[0] if len(parts) == 1 else MultiPolygon(parts)
