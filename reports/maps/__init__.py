"""Assessment → SVG: the map of a floor and the map of one storage zone, the same on screen and on paper.

Every pallet is one group with its name in `data-pallet` and its identifier in `id`, so that a page can make it answer
to a tap; drains and storage zones likewise. Sizes are printed points: nothing is lettered under 8 pt.
"""

from reports.maps.drawing import FloorDrawing, floor_drawing, floor_map, zone_map
from reports.maps.grid import Grid, grid_of
from reports.maps.legend import LegendEntry

__all__ = ["FloorDrawing", "Grid", "LegendEntry", "floor_drawing", "floor_map", "grid_of", "zone_map"]
