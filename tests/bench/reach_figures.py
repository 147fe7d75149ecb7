"""What a spill costs on the floors of the demo sites, held against the plain way: steps from cell to cell of a grid.

The grid takes the same cells and the same tight walls, and goes to eight neighbours with scipy's Dijkstra. It is the
quick way, and too long by up to 8.2 % (the octagon in place of the circle: 1 / cos(π/8)), which is the unsafe side.
"""

import math
from collections.abc import Iterator, Sequence
from datetime import date
from functools import partial

import numpy as np
import shapely
from scipy.sparse import coo_array
from scipy.sparse.csgraph import dijkstra
from shapely import Point
from shapely.geometry.base import BaseGeometry

from geometry.drain_proximity import along_floor_m
from geometry.floor import FloorPlan, SpillFloor
from geometry.spill_reach import spread
from reports.facts import FloorFact
from reports.floors.spills import floor_plan
from reports.gather import gather
from seed_demo.loader import MAX_FILE_BYTES, survey_files
from survey.bundle import parse
from tests.bench.figures import Figure, median_s, section

DRUM_M3 = 0.2
FILM_M = 0.003


def demo_floors() -> Iterator[tuple[str, FloorFact]]:
    """Give the floors of the demo sites that hold a pallet, with a name for each."""
    for file in survey_files():
        facts = gather(parse(file.read_bytes(), max_bytes=MAX_FILE_BYTES), as_of=date(2026, 1, 1))
        yield from ((f"{facts.name}, {floor.name}", floor) for floor in facts.floors if floor.pallets)


def stepped_pool_m2(plan: FloorPlan, start: Point, cell_m: float) -> float:
    """Wet area of one drum by steps from cell to cell [m²]."""
    mapped = shapely.union_all([plan.outline, *plan.outdoors])
    walls = shapely.union_all([barrier.line for barrier in plan.barriers if barrier.tight])
    gaps = shapely.union_all([opening.line.buffer(cell_m) for opening in plan.openings])
    west, south, east, north = mapped.bounds
    x, y = np.meshgrid(np.arange(west + cell_m / 2, east, cell_m), np.arange(south + cell_m / 2, north, cell_m))
    free = shapely.contains_xy(mapped, x, y)
    if not walls.is_empty:
        free &= ~shapely.contains_xy(walls.difference(gaps).buffer(0.6 * cell_m), x, y)
    names = np.where(free, np.cumsum(free.ravel()).reshape(free.shape) - 1, -1)
    rows, columns, lengths = [], [], []
    for down, right in ((0, 1), (1, 0), (1, 1), (1, -1)):
        one = names[: names.shape[0] - down, max(-right, 0) : names.shape[1] - max(right, 0)]
        other = names[down:, max(right, 0) : names.shape[1] - max(-right, 0)]
        both = (one >= 0) & (other >= 0)
        rows.append(one[both])
        columns.append(other[both])
        lengths.append(np.full(int(both.sum()), cell_m * math.hypot(down, right)))
    count = int(free.sum())
    steps = coo_array(
        (np.concatenate(lengths), (np.concatenate(rows), np.concatenate(columns))), shape=(count, count)
    ).tocsr()
    nearest = int(np.argmin((x[free] - start.x) ** 2 + (y[free] - start.y) ** 2))
    away = dijkstra(steps, directed=False, indices=[nearest])[0]
    wanted = int(DRUM_M3 / FILM_M / cell_m**2)
    return float(np.isfinite(np.sort(away)[:wanted]).sum()) * cell_m**2


@section("reach", "where one drum ends up on each demo floor, and how far it is to the drains")
def reach() -> Iterator[Figure]:
    """Measure a first spill on a fresh floor, the same one again, and the ways to every drain."""
    for name, fact in demo_floors():
        plan = floor_plan(fact)
        floor = SpillFloor(plan)
        start = floor.free_place(fact.pallets[0].at)
        drains = [drain.shape for drain in fact.drains if drain.shape is not None]
        against = f"{floor.grid.cell_m:g} m grid"
        stepped_s = median_s(partial(stepped_pool_m2, plan, start, floor.grid.cell_m), rounds=3)
        for what, work in (
            ("first spill on a fresh floor", partial(fresh_pool_m2, plan, start)),
            ("the same spill again", partial(pool_m2, floor, start)),
            (f"ways to {len(drains)} drains", partial(ways_m, floor, start, drains)),
        ):
            yield Figure(f"{name}: {what}", median_s(work), against, stepped_s)


def pool_m2(floor: SpillFloor, start: Point) -> float:
    """Wet area of one drum [m²]."""
    return spread(floor, start).pool(DRUM_M3, FILM_M, cautious=True).area_m2


def fresh_pool_m2(plan: FloorPlan, start: Point) -> float:
    """Wet area of one drum on a floor that has answered nothing yet [m²]."""
    return pool_m2(SpillFloor(plan), start)


def ways_m(floor: SpillFloor, start: Point, drains: Sequence[BaseGeometry]) -> list[float | None]:
    """Lengths along the floor to drains [m]."""
    return [along_floor_m(floor, start, drain, cautious=True) for drain in drains]
