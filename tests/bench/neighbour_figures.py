"""What neighbours cost, held against a tree of points that gives pairs of numbers and nothing else."""

from collections.abc import Iterator
from functools import partial

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import cKDTree

from geometry.incompatible_neighbours import nearest_by_group, reacting_pairs
from reports.floors.chemistry import chemistry
from survey.catalogue.separation import SEPARATION
from tests.bench.figures import Figure, median_s, section
from tests.bench.stores import large_store

DRUM_M = 0.58
"""A drum across; what is nearer than the limit edge to edge has its middle nearer by as much more."""


@section("neighbours", "all reacting pairs of a large store within the separation, against a tree of its points alone")
def neighbours() -> Iterator[Figure]:
    """Measure pairs of pallets edge to edge, and their reduction to storage zones."""
    (floor,) = large_store().floors
    pallets = floor.pallets
    drums = np.array([[drum.at.x, drum.at.y] for pallet in pallets for drum in pallet.drums])
    middles = np.array([[pallet.at.x, pallet.at.y] for pallet in pallets])
    footprints = [pallet.footprint for pallet in pallets]
    known = chemistry(drum.product for pallet in pallets for drum in pallet.drums)
    kinds = np.array([known.numbers[pallet.drums[0].product.key] for pallet in pallets])
    numbers = {zone.id: number for number, zone in enumerate(floor.zones)}
    zones = np.array([numbers[pallet.zone_id] for pallet in pallets if pallet.zone_id is not None])
    limit_m = SEPARATION.value

    def reduced() -> int:
        return len(nearest_by_group(reacting_pairs(footprints, kinds, known.reacts, limit_m), zones))

    ours_s = median_s(reduced)
    wide_m = float(np.hypot(*np.ptp(footprints[0].exterior.coords, axis=0)))
    count = len(reacting_pairs(footprints, kinds, known.reacts, limit_m))
    what = f"{len(drums):,} drums on {len(pallets):,} pallets: {count:,} reacting pairs, {reduced()} pairs of zones"
    for against, points, reach_m in (
        (f"tree of {len(drums):,} drums", drums, limit_m + DRUM_M),
        (f"tree of {len(pallets):,} pallets", middles, limit_m + wide_m),
    ):
        alone = partial(_tree_alone, points, reach_m)
        yield Figure(what, ours_s, f"{against}, {alone():,} pairs", median_s(alone))


def _tree_alone(points: NDArray[np.float64], reach_m: float) -> int:
    return len(cKDTree(points).query_pairs(reach_m, output_type="ndarray"))
