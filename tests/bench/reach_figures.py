"""What the reach of a spill costs, held against what one would otherwise use, each on the same floor at 0.1 m.

The others find lengths from cell to cell and count the cells that are near enough; they are given, beforehand and
free, how far the spill gets, and only the part of the floor within that. scipy's Dijkstra and scikit-image's
minimum-cost path (which has no limit that will stay, and gets the window alone) go to eight neighbours, and so are up
to 8.2 % too long (the octagon in place of the circle: 1 / cos(π/8)), which is the unsafe side. scikit-fmm has no wheel
for Linux: where it is not installed its lines are left out and that is said.
"""

import importlib.util
import math
import statistics
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from functools import partial
from typing import Any

import numpy as np
import shapely
from numpy.typing import NDArray
from scipy.sparse import coo_array, csr_array
from scipy.sparse.csgraph import dijkstra
from shapely import LineString, Point, box
from shapely.geometry.base import BaseGeometry
from skimage.graph import MCP_Geometric

from geometry.drain_proximity import along_floor_m
from geometry.floor import Barrier, FloorPlan, SpillFloor
from geometry.many_reaches import ManyReaches, places_on
from geometry.spill_reach import spread
from reports.facts import FloorFact
from reports.floors.spills import floor_plan
from reports.gather import gather
from seed_demo.loader import MAX_FILE_BYTES, survey_files
from survey.bundle import parse
from tests.bench.figures import Figure, median_s, section

DRUM_M3 = 0.2
FILM_M, THICK_M = 0.0028, 0.005
STORE_M = (100.0, 60.0)
SPACING_M = 0.9
"""Places on the large store: about one per drum of 1,700 pallets."""
COMPARED = 15
"""Places for which the others are asked, one by one."""


def demo_floors() -> Iterator[tuple[str, FloorFact]]:
    """Give the floors of the demo sites that hold a pallet, with a name for each."""
    for file in survey_files():
        facts = gather(parse(file.read_bytes(), max_bytes=MAX_FILE_BYTES), as_of=date(2026, 1, 1))
        yield from ((f"{facts.name}, {floor.name}", floor) for floor in facts.floors if floor.pallets)


def store() -> FloorPlan:
    """A store of 100 × 60 m in three bays, each partition with a gap of 10 m."""
    width, depth = STORE_M
    lines = [[(x, y0), (x, y1)] for x in (33, 66) for y0, y1 in ((0, 25), (35, depth))]
    return FloorPlan(
        outline=box(0, 0, width, depth),
        perimeter_tight=True,
        barriers=tuple(Barrier("partition", LineString(line), math.inf, tight=True) for line in lines),
    )


def stores() -> Iterator[tuple[str, FloorPlan, NDArray[np.float64]]]:
    """Give each floor with the places liquid is let out at."""
    for name, fact in demo_floors():
        drums = [drum.at for pallet in fact.pallets for drum in pallet.drums]
        yield name, floor_plan(fact), np.unique(shapely.get_coordinates(drums), axis=0)
    x, y = np.meshgrid(*(np.arange(SPACING_M, side, SPACING_M) for side in STORE_M))
    yield f"{STORE_M[0]:g} × {STORE_M[1]:g} m store", store(), np.column_stack([x.ravel(), y.ravel()])


@dataclass(frozen=True)
class Cells:
    """The part of a floor within some length of a place, as the others see it."""

    free: NDArray[np.bool_]
    start: tuple[int, int]
    cell_m: float
    limit_m: float


def free_cells(floor: SpillFloor) -> NDArray[np.bool_]:
    """Cells that no tight wall stands in, at the thickness that closes it to eight neighbours."""
    layout = floor.passing.layout()
    grid = floor.grid
    x, y = np.meshgrid(grid.x_m(grid.everything), grid.y_m(grid.everything))
    lines = [LineString(ends.reshape(2, 2)) for ends in layout.stretches.ends[layout.stops]]
    walls = shapely.union_all(lines).buffer(0.6 * grid.cell_m)
    shapely.prepare(walls)
    return np.asarray((layout.compartment_of >= 0) & ~shapely.contains_xy(walls, x, y))


def cells_about(floor: SpillFloor, free: NDArray[np.bool_], at: NDArray[np.float64], limit_m: float) -> Cells:
    """Cut the window of a spill out of a floor; the source stands on the nearest free cell."""
    top, past_row, left, past_column = window = floor.grid.window(*(at - limit_m), *(at + limit_m))
    part = free[top:past_row, left:past_column]
    away = np.hypot(floor.grid.x_m(window)[None, :] - at[0], floor.grid.y_m(window)[:, None] - at[1])
    start = np.unravel_index(np.argmin(np.where(part, away, math.inf)), part.shape)
    return Cells(part, (int(start[0]), int(start[1])), floor.grid.cell_m, limit_m)


def stepping(cells: Cells) -> tuple[csr_array, int]:
    """Steps to eight neighbours as a graph, and the number of the source."""
    free = cells.free
    names = np.where(free, np.cumsum(free.ravel()).reshape(free.shape) - 1, -1)
    rows, columns, lengths = [], [], []
    for down, right in ((0, 1), (1, 0), (1, 1), (1, -1)):
        one = names[: names.shape[0] - down, max(-right, 0) : names.shape[1] - max(right, 0)]
        other = names[down:, max(right, 0) : names.shape[1] - max(-right, 0)]
        both = (one >= 0) & (other >= 0)
        rows.append(one[both])
        columns.append(other[both])
        lengths.append(np.full(int(both.sum()), cells.cell_m * math.hypot(down, right)))
    shape = (int(free.sum()),) * 2
    graph = coo_array((np.concatenate(lengths), (np.concatenate(rows), np.concatenate(columns))), shape=shape).tocsr()
    return graph, int(names[cells.start])


def stepped_m2(graph: csr_array, source: int, cells: Cells) -> float:
    """Area within the limit by scipy's Dijkstra [m²]."""
    away = dijkstra(graph, directed=False, indices=[source], limit=cells.limit_m)
    return float(np.isfinite(away).sum()) * cells.cell_m**2


def cheapest_m2(cost: NDArray[np.float64], cells: Cells) -> float:
    """Area within the limit by scikit-image's minimum-cost path [m²]."""
    away, _ = MCP_Geometric(cost).find_costs([cells.start])
    return float((away <= cells.limit_m).sum()) * cells.cell_m**2


def marched_m2(skfmm: Any, front: Any, cells: Cells) -> float:
    """Area within the limit by scikit-fmm [m²]."""
    away = skfmm.distance(front, dx=cells.cell_m, narrow=cells.limit_m)
    return float((np.ma.filled(away, math.inf) <= cells.limit_m).sum()) * cells.cell_m**2


def front_at(cells: Cells) -> Any:
    """What scikit-fmm marches from: the source cell inside, everything else outside, walls masked."""
    front = np.ones(cells.free.shape)
    front[cells.start] = -1
    return np.ma.MaskedArray(front, ~cells.free)


def others(windows: Sequence[Cells]) -> Iterator[tuple[str, float]]:
    """Give each of the others with its time for one spill [s], the median over the windows, each made ready before."""
    works: list[tuple[str, Callable[[Cells], Callable[[], float]]]] = [
        ("scipy Dijkstra with a limit", lambda cells: partial(stepped_m2, *stepping(cells), cells)),
        (
            "scikit-image minimum-cost path in the window",
            lambda cells: partial(cheapest_m2, np.where(cells.free, cells.cell_m, -1.0), cells),
        ),
    ]
    if importlib.util.find_spec("skfmm") is not None:
        skfmm = importlib.import_module("skfmm")
        works.append(
            ("scikit-fmm, narrow to the limit", lambda cells: partial(marched_m2, skfmm, front_at(cells), cells))
        )
    for name, prepared in works:
        yield name, statistics.median(median_s(prepared(cells), rounds=3) for cells in windows)


@section(
    "reach", "how far one drum gets, one place after another, against lengths from cell to cell with the same limit"
)
def reach() -> Iterator[Figure]:
    """Measure the demo floors and a large store."""
    if importlib.util.find_spec("skfmm") is None:
        print("  scikit-fmm is not installed here; its lines are left out")
    for name, plan, recorded in stores():
        floor = SpillFloor(plan)
        at_m = places_on(floor, recorded).at_m
        at_m = at_m[np.isfinite(at_m).all(axis=1)]
        rows, volumes = np.arange(len(at_m)), np.full(len(at_m), DRUM_M3)
        radius_m = ManyReaches(floor, at_m).pools(rows, volumes, FILM_M, cautious=True).radius_m
        chosen = np.linspace(0, len(at_m) - 1, min(COMPARED, len(at_m))).astype(int)
        limits = np.where(np.isfinite(radius_m), radius_m, math.sqrt(DRUM_M3 / FILM_M / math.pi))
        free = free_cells(floor)
        windows = [cells_about(floor, free, at_m[index], float(limits[index])) for index in chosen.tolist()]
        size = f"{name}, {floor.grid.columns:,} × {floor.grid.rows:,} cells"
        # Nothing asked before, but the floor made ready; what that costs stands below.
        pools_s = median_s(partial(all_m2, floor, at_m), rounds=3) / len(at_m)
        alone_s = median_s(partial(alone_m2, floor, at_m[chosen[0]]), rounds=3)
        for against, spill_s in others(windows):
            yield Figure(f"{size}: pools of {len(at_m):,} places, each", pools_s, against, spill_s)
            yield Figure(f"{name}: one place asked alone", alone_s, against, spill_s)
        ready_s = median_s(partial(fresh_m2, plan, at_m[chosen[0]]), rounds=3) - alone_s
        yield Figure(
            f"{name}: floor made ready", ready_s, "its free cells found", median_s(partial(free_cells, floor), rounds=3)
        )


def all_m2(floor: SpillFloor, at_m: NDArray[np.float64]) -> float:
    """Wet areas of one drum from each of many places, added up [m²]."""
    pools = ManyReaches(floor, at_m).pools(np.arange(len(at_m)), np.full(len(at_m), DRUM_M3), FILM_M, cautious=True)
    return float(pools.area_m2.sum())


def alone_m2(floor: SpillFloor, at: NDArray[np.float64]) -> float:
    """Wet area of one drum from one place [m²]."""
    pools = ManyReaches(floor, at[None, :]).pools(np.array([0]), np.array([DRUM_M3]), FILM_M, cautious=True)
    return float(pools.area_m2[0])


def fresh_m2(plan: FloorPlan, at: NDArray[np.float64]) -> float:
    """Wet area of one drum on a floor that has answered nothing yet [m²]."""
    return alone_m2(SpillFloor(plan), at)


@section("drains", "every drum and every drain of the demo floors at once, against one by one")
def drains() -> Iterator[Figure]:
    """Measure exact lengths, and litres with critical depths, on floors on which nothing was asked before."""
    for name, fact in demo_floors():
        plan = floor_plan(fact)
        targets = [drain.shape for drain in fact.drains if drain.shape is not None]
        recorded = shapely.get_coordinates([drum.at for pallet in fact.pallets for drum in pallet.drums])
        at_m = np.unique(places_on(SpillFloor(plan), recorded).at_m, axis=0)
        at_m = at_m[np.isfinite(at_m).all(axis=1)]
        what = f"{name}: {len(at_m)} places, {len(targets)} drains"
        for asked, together, alone in (
            ("lengths", lengths_together, lengths_alone),
            ("litres and critical depths", litres_together, litres_alone),
        ):
            yield Figure(
                f"{what}: {asked}",
                median_s(partial(together, plan, at_m, targets), rounds=3),
                "one by one",
                median_s(partial(alone, plan, at_m, targets), rounds=1),
            )


Targets = Sequence[BaseGeometry]


def lengths_together(plan: FloorPlan, at_m: NDArray[np.float64], targets: Targets) -> object:
    """Lengths from all places to all targets."""
    return ManyReaches(SpillFloor(plan), at_m).distances_m(targets, cautious=True)


def lengths_alone(plan: FloorPlan, at_m: NDArray[np.float64], targets: Targets) -> object:
    """The same, pair by pair."""
    floor = SpillFloor(plan)
    return [along_floor_m(floor, Point(at), to, cautious=True) for at in at_m for to in targets]


def litres_together(plan: FloorPlan, at_m: NDArray[np.float64], targets: Targets) -> object:
    """What one drum from each place does to each target."""
    rows, volumes = np.arange(len(at_m)), np.full(len(at_m), DRUM_M3)
    exact = np.zeros((len(at_m), len(targets)))
    return ManyReaches(SpillFloor(plan), at_m).arrivals(rows, volumes, targets, exact, FILM_M, THICK_M)


def litres_alone(plan: FloorPlan, at_m: NDArray[np.float64], targets: Targets) -> object:
    """The same, pair by pair."""
    floor = SpillFloor(plan)
    ways = [spread(floor, Point(at)) for at in at_m]
    return [
        (
            way.reaches(DRUM_M3, to, THICK_M, cautious=False),
            way.reaches_within(DRUM_M3, to, FILM_M, THICK_M, cautious=True),
            way.critical_depth_m(DRUM_M3, to, cautious=True),
            [way.litres_to(DRUM_M3, to, film_m, cautious=True) for film_m in (FILM_M, THICK_M)],
        )
        for way in ways
        for to in targets
    ]
