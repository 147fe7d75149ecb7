"""What is tight holds, on floors that run along no axis and on no lattice: seeded, so that every run asks the same."""

from math import inf
from random import Random

import numpy as np
import pytest
import shapely
from shapely import LineString, MultiPoint, Point, Polygon, box
from shapely.geometry.base import BaseGeometry
from shapely.ops import substring

from geometry.constants import SNAP_M
from geometry.floor import Barrier, Basin, FloorPlan, SpillFloor
from geometry.many_reaches import ManyReaches, places_on

FLOORS = 400
_HULL = ((0.0, 0.0), (8.0, 0.5), (7.5, 6.0), (0.3, 5.6))
_TOUCH_M = 5 * SNAP_M


def skew_floor(draw: Random) -> FloorPlan:
    """A floor of odd shape whose tight walls meet, cross and end in one another anywhere, and every third a kerb."""
    outline = MultiPoint([*_HULL, *((draw.uniform(0, 8), draw.uniform(0, 6)) for _ in range(draw.randint(3, 7)))])
    floor = Polygon(shapely.get_coordinates(outline.convex_hull))
    drawn: list[LineString] = []
    for _ in range(draw.randint(1, 5)):
        corners = [(draw.uniform(-1, 9), draw.uniform(-1, 7)) for _ in range(draw.randint(2, 3))]
        if drawn and draw.random() < 0.5:
            start = draw.choice(drawn).interpolate(draw.random(), normalized=True)
            corners[0] = (start.x, start.y)
        drawn.append(LineString(corners))
    walls = [
        part
        for line in drawn
        for part in shapely.get_parts(line.intersection(floor))
        if part.geom_type == "LineString" and part.length > 0.01
    ]
    corner = place_in(floor, draw)
    kerb = Polygon([(corner.x, corner.y), (corner.x + 0.9, corner.y + 0.2), (corner.x + 0.3, corner.y + 0.8)])
    return FloorPlan(
        outline=floor,
        perimeter_tight=True,
        barriers=tuple(Barrier("wall", line, inf, tight=True) for line in walls),
        basins=(Basin("kerb", Polygon(shapely.get_coordinates(kerb.intersection(floor))), 0.02, None, tight=True),)
        if draw.random() < 1 / 3
        else (),
    )


def place_in(floor: BaseGeometry, draw: Random) -> Point:
    west, south, east, north = floor.bounds
    while not floor.contains(place := Point(draw.uniform(west, east), draw.uniform(south, north))):
        pass
    return place


def targets_on(plan: FloorPlan, draw: Random) -> list[BaseGeometry]:
    """Gullies, trenches and footprints anywhere, and some that lie on walls."""
    found: list[BaseGeometry] = [place_in(plan.outline, draw) for _ in range(4)]
    for _ in range(3):
        one, other = place_in(plan.outline, draw), place_in(plan.outline, draw)
        found.append(substring(LineString([one, other]), 0, 0.2, normalized=True))
        found.append(box(one.x, one.y, one.x + 0.4, one.y + 0.3))
    for wall in plan.barriers[:3]:
        found.append(Point(wall.line.interpolate(draw.random(), normalized=True)))
        found.append(substring(wall.line, 0.2, 0.6, normalized=True))
    return [target for target in found if plan.outline.intersects(target)]


@pytest.mark.parametrize("first", range(0, FLOORS, 100))
def test_there_is_a_way_to_what_touches_the_compartment_and_to_nothing_else(first: int) -> None:
    for seed in range(first, first + 100):
        draw = Random(seed)  # noqa: S311 - places, no secrets
        plan = skew_floor(draw)
        floor = SpillFloor(plan)
        places = places_on(floor, np.array([[at.x, at.y] for at in (place_in(plan.outline, draw) for _ in range(6))]))
        at_m = places.at_m[np.isfinite(places.moved_m)]
        targets = targets_on(plan, draw)
        found = np.isfinite(ManyReaches(floor, at_m).distances_m(targets, cautious=True))
        layout = floor.passing.layout()
        own = np.array(layout.compartments)[layout.compartments_at(at_m)]
        touched = shapely.distance(own[:, None], np.array(targets)[None, :]) <= _TOUCH_M
        assert (found == touched).all(), f"floor {seed}: {np.argwhere(found != touched).tolist()}"
        assert found.any()
