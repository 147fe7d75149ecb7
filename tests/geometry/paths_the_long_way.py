"""Shortest ways found without the code under test: every pair of corners, each looked at by shapely alone."""

from itertools import combinations
from math import hypot

import numpy as np
from scipy.sparse.csgraph import dijkstra
from shapely import LineString, Point, Polygon, prepare, union_all

STAND_OFF_M = 1e-4


def shortest_way_m(outline: Polygon, walls: list[LineString], a: Point, b: Point) -> float:
    """Length of the shortest way from a to b inside the outline, round walls widened by a tenth of a millimetre."""
    solid = union_all([wall.buffer(STAND_OFF_M, cap_style="square", join_style="mitre") for wall in walls])
    floor = outline.difference(solid)
    rings = [ring for part in getattr(floor, "geoms", [floor]) for ring in (part.exterior, *part.interiors)]
    corners = [(a.x, a.y), (b.x, b.y), *(corner for ring in rings for corner in ring.coords[:-1])]
    # A way may lie on the edge of the floor, where rounding would decide; so the floor is a hair wider here.
    seen_through = floor.buffer(STAND_OFF_M / 100, join_style="mitre")
    prepare(seen_through)
    lengths = np.zeros((len(corners), len(corners)))
    for i, j in combinations(range(len(corners)), 2):
        length = hypot(corners[i][0] - corners[j][0], corners[i][1] - corners[j][1])
        # Two corners on one spot are the same corner; scipy takes a length of nothing for no way at all.
        if length == 0 or seen_through.covers(LineString([corners[i], corners[j]])):
            lengths[i, j] = max(length, 1e-6)
    return float(np.asarray(dijkstra(lengths, directed=False))[0, 1])
