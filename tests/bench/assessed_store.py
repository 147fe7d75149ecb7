"""Assesses one large store in a process of its own, whose memory can be told, and prints what it took as JSON."""

import json
import resource
import sys
import time
from collections.abc import Callable
from dataclasses import replace
from statistics import median

from shapely import Point

from reports.assessor import assess, floor_view
from reports.facts import FloorFact
from reports.floors.lot_table import Pools
from reports.floors.moved import moved, placed
from reports.floors.spills import FloorSpills
from tests.bench.stores import large_store

MOVES = 9


def measured(footprints: int, *, doubtful: bool) -> dict[str, float]:
    """Assess a store; compiled code is loaded before the clock runs."""
    assess(large_store(2))
    facts = large_store(footprints, doubtful=doubtful)
    found: dict[str, float] = {}
    start = time.perf_counter()
    assessment = assess(facts)
    found["whole_s"] = time.perf_counter() - start
    found["peak_mb"] = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    pairs = assessment.floors[0].pairs
    found["listed"], found["counted"] = len(pairs), sum(pair.more for pair in pairs)
    found["findings"] = len(assessment.findings)
    del assessment
    (floor,) = facts.floors
    found["tilt_s"] = _timed(lambda: _tilts(floor))
    found["pallets_s"] = _timed(lambda: _whole_pallets(floor))
    view = floor_view(facts, floor)
    west, south, east, north = floor.outline.bounds
    found["moved_s"] = median(
        _timed(lambda at=at, number=number: moved(view, placed(floor, floor.pallets[number], at)))  # type: ignore[misc]
        for number, at in enumerate(
            Point(west + share * (east - west), south + share * (north - south) * 0.9)
            for share in ((step + 1) / (MOVES + 1) for step in range(MOVES))
        )
    )
    return found


def _timed(work: Callable[[], object]) -> float:
    start = time.perf_counter()
    work()
    return time.perf_counter() - start


def _tilts(floor: FloorFact) -> None:
    """The worst case within the tolerance of a level floor, for every pallet."""
    pools = Pools(FloorSpills(floor))
    for pallet in floor.pallets:
        pools.tilted(pallet.drums, pallet.at)


def _whole_pallets(floor: FloorFact) -> None:
    """All drums of a pallet at once, for every pallet: as one drum in its middle that holds as much."""
    FloorSpills(floor).prepare(
        replace(
            pallet,
            drums=(replace(pallet.drums[0], at=pallet.at, fill_l=pallet.most(lambda drum: drum.fill_l)),),
        )
        for pallet in floor.pallets
    )


if __name__ == "__main__":
    print(json.dumps(measured(int(sys.argv[1]), doubtful=sys.argv[2:] == ["doubtful"])))
