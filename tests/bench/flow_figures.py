"""What ten minutes of flow cost, held against the same law written in numpy over whole arrays.

The numpy scheme takes the same laws, the same cells (those that are wet at the end, and a margin) and as many steps; it
knows no walls, no drains and no falls. It is run for a few steps and its time scaled. Seconds are those of one core;
with each case stands how many cells per second were swept.
"""

import math
import time
from collections.abc import Iterator
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray
from shapely import LineString, Point, box

from geometry.constants import GRAVITY_M_S2
from geometry.floor import Barrier, FloorPlan, SpillFloor
from geometry.kernels.flow import stable_step_s
from geometry.leak import DrumShape, Hole, Leak, leak, sudden
from geometry.similarity import MANNING_CONCRETE
from geometry.spill_flow import FlowCase, FlowResult, run_flow
from tests.bench.figures import Figure, median_s, section

Floats = NDArray[np.float64]

DRUM = DrumShape(0.5715, 0.8509)
CONTENT_M3 = 0.208198
MARGIN = 4
NUMPY_STEPS = 20


def store() -> SpillFloor:
    """A store of 60 × 36 m with two walls across it."""
    walls = (LineString([(20, 0), (20, 30)]), LineString([(42, 36), (42, 6)]))
    return SpillFloor(
        FloorPlan(
            outline=box(0, 0, 60, 36),
            perimeter_tight=True,
            barriers=tuple(Barrier("wall", line, math.inf, tight=True) for line in walls),
        )
    )


def leaks() -> Iterator[tuple[str, Leak]]:
    """A full upright drum, vented, with a hole at its foot: round, a slot, an open bung."""
    for name, area_m2, coefficient in (
        ("10 mm hole", math.pi / 4 * 0.010**2, 0.61),
        ("slot 100 × 10 mm", 1e-3, 0.64),
        ("open 2 in bung", math.pi / 4 * 0.0508**2, 0.61),
    ):
        yield name, leak(DRUM, CONTENT_M3, Hole(area_m2, coefficient, 0.0), posture="upright", vented=True)


def faces(old: Floats, one: Floats, other: Floats, grip: Floats, step_s: float, case: FlowCase) -> Floats:
    """Fluxes through the faces between two sets of cells, by the same laws as the kernel."""
    up, down = np.maximum(one, other), np.minimum(one, other)
    mobility = 0.25 * (up + down) * (up * up + down * down)
    friction = np.maximum(3 * case.viscosity_m2_s, GRAVITY_M_S2 * case.manning**2 * np.abs(old) * grip)
    push = GRAVITY_M_S2 * step_s / case.cell_m
    square = up * up
    found: Floats = (old * square + push * mobility * (one - other)) / (square + step_s * friction)
    return found


def numpy_steps(depth: Floats, case: FlowCase, steps: int) -> Floats:
    """Make some steps over a padded array of depths."""
    flux_x, flux_y = np.zeros_like(depth), np.zeros_like(depth)
    for _ in range(steps):
        step_s = stable_step_s(case.cell_m, float(depth.max()), case.viscosity_m2_s, 2)
        seen = np.maximum(depth, case.film_m)
        grip = np.cbrt(1 / seen)
        flux_x[:, :-1] = faces(flux_x[:, :-1], seen[:, :-1], seen[:, 1:], grip[:, :-1], step_s, case)
        flux_y[:-1] = faces(flux_y[:-1], seen[:-1], seen[1:], grip[:-1], step_s, case)
        ratio = step_s / case.cell_m
        out = np.maximum(flux_x, 0) + np.maximum(flux_y, 0)
        out[:, 1:] -= np.minimum(flux_x[:, :-1], 0)
        out[1:] -= np.minimum(flux_y[:-1], 0)
        share = np.minimum(np.maximum(depth - case.film_m, 0) / (ratio * out + 1e-40), 1)
        flux_x[:, :-1] *= np.where(flux_x[:, :-1] > 0, share[:, :-1], share[:, 1:])
        flux_y[:-1] *= np.where(flux_y[:-1] > 0, share[:-1], share[1:])
        depth -= ratio * (flux_x + flux_y)
        depth[:, 1:] += ratio * flux_x[:, :-1]
        depth[1:] += ratio * flux_y[:-1]
    return depth


def in_numpy_s(found: FlowResult, case: FlowCase) -> float:
    """What the numpy scheme would take for the same steps over the same cells [s]."""
    rows, columns = np.nonzero(np.isfinite(found.arrival_s))
    wet = found.depth_m[
        max(rows.min() - MARGIN, 0) : rows.max() + MARGIN, max(columns.min() - MARGIN, 0) : columns.max() + MARGIN
    ]
    return median_s(lambda: numpy_steps(wet.copy(), case, NUMPY_STEPS), rounds=3) * found.steps / NUMPY_STEPS


def measured(name: str, case: FlowCase) -> Figure:
    """Measure one case on one core, the process's own time, since the machine may be shared."""
    run_flow(case)
    taken = []
    for _ in range(3):
        start = time.process_time()
        found = run_flow(case)
        taken.append(time.process_time() - start)
    seconds = sorted(taken)[1]
    swept = found.cell_updates
    what = (
        f"{name}: {found.steps:,} steps, {swept / 1e6:.1f} million cells swept, {swept / seconds / 1e6:.0f} million/s"
    )
    return Figure(what, seconds, "numpy over whole arrays, scaled", in_numpy_s(found, case))


@section("flow", "ten minutes of flow from one drum on 60 × 36 m, against the same law in numpy")
def flow() -> Iterator[Figure]:
    """Measure throughput on a floor that is wet all over, then three leaks of two liquids on two grids."""
    floor = store()
    hall = SpillFloor(FloorPlan(outline=box(0, 0, 24, 16), perimeter_tight=True))
    one = next(leaks())[1]
    usual = FlowCase(hall, Point(12, 8), one, 1e-6, 0.0007, cautious=True, manning=MANNING_CONCRETE)
    yield measured("wet all over, 24 × 16 m, 0.1 m", replace(usual, leak=sudden(1.0), film_m=0.0))
    for name, what in leaks():
        for liquid, viscosity, film in (("thin solvent", 4e-7, 0.0007), ("oil", 1e-4, 0.0028)):
            for cell_m in (0.1, 0.2):
                case = FlowCase(
                    floor, Point(30, 18), what, viscosity, film, cautious=True, cell_m=cell_m, manning=MANNING_CONCRETE
                )
                yield measured(f"{name}, {liquid}, {cell_m:g} m", case)
