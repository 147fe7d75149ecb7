"""Spills down a falling floor: many at once, against one by one and against the same store on a level floor.

The store is invented: 60 × 36 m, six drains, and walls and a bund of which not all is known to be tight. One by one
means a run for each place, tongue and reading, and for each film and target that it had not been asked for.
"""

import math
from collections.abc import Iterator, Sequence
from functools import partial
from itertools import product

import numpy as np
from numpy.typing import NDArray
from shapely import LineString, Point, box
from shapely.geometry.base import BaseGeometry

from geometry.descent import WIDE, Descents, FallingFloor
from geometry.film import FilmRange
from geometry.floor import Barrier, Basin, FloorPlan, SpillFloor
from geometry.many_reaches import ManyReaches
from geometry.outlines import area_of_cells
from geometry.raster import Grid
from geometry.relief import LEVEL_ACCURACY_M, Relief
from geometry.running import TONGUES
from geometry.spill_reach import joint_shape
from reports.floors.falls import Falls
from tests.bench.figures import Figure, median_s, section

WIDTH_M, DEPTH_M = 60.0, 36.0
DRUM_L = 208.0
THIN_M, THICK_M = 0.0028, 0.005
DRAINS: tuple[BaseGeometry, ...] = tuple(Point(5 + 10 * number, 8 if number % 2 else 27) for number in range(6))
STORES = (("open store", False), ("store with walls and a bund", True))


def store(*, walled: bool) -> FloorPlan:
    """A store in three bays, or in one."""
    outline = box(0, 0, WIDTH_M, DEPTH_M)
    if not walled:
        return FloorPlan(outline, perimeter_tight=True)
    walls = (
        Barrier("loose", LineString([(20, 0), (20, 24)]), math.inf, tight=None),
        Barrier("tight", LineString([(40, 12), (40, 36)]), math.inf, tight=True),
    )
    bund = Basin("bund", box(24, 10, 32, 18), 0.004, None, tight=None)
    return FloorPlan(outline, perimeter_tight=True, barriers=walls, basins=(bund,))


def relief() -> Relief:
    """0.8 % to the west and 0.3 % to the south."""
    return Relief(lambda at: at @ np.array([0.008, 0.003]), LEVEL_ACCURACY_M)


def drums(count: int) -> list[Point]:
    """Places of drums, none of them on a wall."""
    some = np.random.default_rng(1).uniform([1.0, 1.0], [WIDTH_M - 1, DEPTH_M - 1], (count, 2))
    return [Point(at) for at in np.round(some, 2).tolist()]


def at_once(plan: FloorPlan, at: Sequence[Point]) -> object:
    """What `reports.floors.falls` asks of a floor on which nothing was asked before."""
    falls = Falls(SpillFloor(plan), relief(), FilmRange(THIN_M, THICK_M, "bench", "bench"))
    spills = [(place, DRUM_L) for place in at]
    exact = np.zeros((len(spills), len(DRAINS)))
    return falls.pools(spills), falls.arrivals(spills, DRAINS, exact + 0.1)


def one_by_one(plan: FloorPlan, at: Sequence[Point]) -> object:
    """The same, drum by drum and drain by drain."""
    floor = FallingFloor(SpillFloor(plan), relief())
    return [_alone(floor, place, DRUM_L / 1000) for place in at]


def _alone(floor: FallingFloor, at: Point, volume_m3: float) -> object:
    here = Descents(floor, at)
    both = (True, False)
    found: list[object] = [here.descent(volume_m3, THICK_M, WIDE, cautious=how).shape for how in both]
    thin = [here.descent(volume_m3, THIN_M, tongue, cautious=how) for tongue in TONGUES for how in both]
    found.append(joint_shape(each.shape for each in thin))
    for drain, tongue, how in product(DRAINS, TONGUES, both):
        found.append(here.reaches(volume_m3, drain, THICK_M, tongue, cautious=how))
        found.append(here.reaches_within(volume_m3, drain, THIN_M, THICK_M, tongue, cautious=how, tolerance_m=0.1))
        found.extend(here.litres_to(volume_m3, drain, film, tongue, cautious=how) for film in (THIN_M, THICK_M))
        if here.reaches(volume_m3, drain, THIN_M, tongue, cautious=how):
            found.append(here.critical_depth_m(volume_m3, drain, tongue, cautious=how))
    return found


def level(plan: FloorPlan, at: Sequence[Point]) -> object:
    """What the same store costs where its floor is level."""
    many = ManyReaches(SpillFloor(plan), np.array([(place.x, place.y) for place in at]))
    rows, volumes = np.arange(len(at)), np.full(len(at), DRUM_L / 1000)
    exact = np.zeros((len(at), len(DRAINS)))
    thick = many.pools(rows, volumes, THICK_M, cautious=False)
    thin = many.pools(rows, volumes, THIN_M, cautious=True)
    return thick, thin, many.arrivals(rows, volumes, DRAINS, exact + 0.1, THIN_M, THICK_M)


@section("falls", "drums on a falling floor all at once, against one by one and against a level floor")
def falls() -> Iterator[Figure]:
    """Measure pools and arrivals of 60 and of 800 drums on floors on which nothing was asked before."""
    for name, walled in STORES:
        plan = store(walled=walled)
        few, many = drums(60), drums(800)
        few_s = median_s(partial(at_once, plan, few), rounds=3)
        yield Figure(
            f"{name}: 60 drums, 6 drains", few_s, "one by one", median_s(partial(one_by_one, plan, few), rounds=1)
        )
        yield Figure(
            f"{name}: 60 drums, 6 drains", few_s, "on a level floor", median_s(partial(level, plan, few), rounds=3)
        )
        yield Figure(
            f"{name}: 800 drums, 6 drains",
            median_s(partial(at_once, plan, many), rounds=1),
            "on a level floor",
            median_s(partial(level, plan, many), rounds=1),
        )


@section("outlines", "the area of wet cells, traced, against a union of rows of cells")
def outlines() -> Iterator[Figure]:
    """Measure a disc of 7,400 cells."""
    side = np.arange(100)
    inside = np.hypot(side[:, None] - 49.5, side - 49.5) < 48.5
    rows, columns = np.nonzero(inside)
    yield Figure(
        f"{len(rows):,} cells",
        median_s(partial(area_of_cells, Grid(0.0, 0.0, 0.1, 100, 100), rows, columns)),
        "union of rows",
        median_s(partial(_joined, inside)),
    )


def _joined(inside: NDArray[np.bool_]) -> BaseGeometry:
    rows = np.flatnonzero(inside.any(axis=1))
    return joint_shape(
        box(each.min() * 0.1, row * 0.1, (each.max() + 1) * 0.1, (row + 1) * 0.1)
        for row, each in ((row, np.flatnonzero(inside[row])) for row in rows.tolist())
    )
