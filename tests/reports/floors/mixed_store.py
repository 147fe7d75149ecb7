"""A small store with something of everything that neighbours are judged by, at places drawn by a seed."""

from functools import cache
from random import Random

from reports.assessor import floor_view
from reports.floors.view import FloorView
from reports.gather import gather
from tests.builders import SurveyBuilder, rectangle
from tests.demo_sites import DAY
from tests.reports.judged import a_store, stock

LIQUIDS = (
    "toluene",
    "acetone",
    "hydrochloric-acid-32",
    "sodium-hypochlorite-12-5",
    "nitric-acid-68",
    "sodium-cyanide-solution-30",
)
SOLIDS = ("calcium-hypochlorite-dry", "sodium-hydrosulphite")


def mixed_store(seed: int, pallets: int = 24) -> SurveyBuilder:
    """Draw a store: stacks, a block, a bund with a sump, a partition, alternatives, drums nobody identified."""
    draw = Random(seed)  # noqa: S311 - places, no secrets
    build = a_store(perimeter_tight="yes")
    build.zone("East", rectangle(10, 0, 10, 10))
    build.wall("W", [(10, 0), (10, 6)], tight_at_floor="yes", meets_partition_rule="yes")
    build.wall("V", [(5, 4), (9, 4)], tight_at_floor="unknown")
    build.bund("K", rectangle(15, 1, 4, 8), height_mm=100, tight_at_floor="yes")
    sump = build.sump("S", (16, 5))
    drain = build.drain("D1", (2, 9), position_source="measured")
    build.drain("D2", (12, 8), position_source="measured")
    build.pipe("S-D1", sump, drain, valve="no valve")
    places: list[tuple[float, float]] = []
    for number in range(pallets):
        stacked = places and draw.random() < 0.3
        at = draw.choice(places) if stacked else (draw.uniform(0.8, 19.2), draw.uniform(0.8, 9.2))
        places.append(at)
        product = draw.choice((*LIQUIDS, *LIQUIDS, *SOLIDS, None))
        sign = draw.choice(([], [], [], [], ["bulging"]))
        name = f"P{draw.randrange(1000):03d}-{number}"
        height_m = 1.2 if stacked else 0.0
        kind = "block" if draw.random() < 0.15 else "pallet"
        stock(build, name, at, product, base_height_m=height_m, kind=kind, signs=sign)
        if draw.random() < 0.4:
            build.drum(f"{name}-2", draw.choice(LIQUIDS), fill_pct=50, capacity_l=208, offset=(0.3, 0.3))
        if draw.random() < 0.2:
            build.reading("B. Other", inclusion=draw.choice(("additional", "alternative")))
            build.drum(f"{name}-3", draw.choice(LIQUIDS), fill_pct=100, capacity_l=208, offset=(-0.3, 0.3))
    return build


@cache
def mixed_view(seed: int, pallets: int = 24) -> FloorView:
    """Give the only floor of such a store, judged once per test process."""
    facts = gather(mixed_store(seed, pallets).survey(), as_of=DAY)
    return floor_view(facts, facts.floors[0])
