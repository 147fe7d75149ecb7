"""Stores of any size, invented: stacked pallets of four drums in rows, on a floor of 100 by 60 m with drains, walls."""

from reports.facts import SiteFacts
from reports.gather import gather
from tests.builders import SurveyBuilder, rectangle
from tests.demo_sites import DAY

PRODUCTS = (
    "toluene",
    "acetone",
    "hydrochloric-acid-32",
    "sodium-hydroxide-50",
    "isopropanol",
    "lubricating-oil",
    "nitric-acid-68",
    "ethylene-glycol",
    "hydrogen-peroxide-35",
    "xylenes",
)
COLUMNS, ACROSS_M, ALONG_M = 55, 1.78, 1.85
LEVELS, LEVEL_M = 3, 1.1
FOOTPRINTS = 1700
"""With three levels 20,400 drums on 5,100 pallets: as many as the floor takes in such rows."""
_OFFSETS = ((-0.3, -0.3), (0.3, -0.3), (-0.3, 0.3), (0.3, 0.3))
_ALIKE = 7  # footprints in a row with one product
_NOT_IDENTIFIED, _LEAKING, _BULGING = 37, 211, 997  # one drum of so many, where a store is in doubt


def large_store(footprints: int = FOOTPRINTS, *, doubtful: bool = False) -> SiteFacts:
    """Give the facts of a store with pallets on so many footprints, three on each.

    With `doubtful` some drums are not identified, leak or bulge; else every drum has its label.
    """
    build = SurveyBuilder("Large store")
    build.floor(width_m=100, depth_m=60, finish="bare concrete", levelness="recorded level", perimeter_tight="yes")
    for number in range(12):
        build.drain(f"D{number}", (5 + number * 8, 30), joins="storm", position_source="measured")
    walls: tuple[tuple[str, list[tuple[float, float]], str], ...] = (
        ("W1", [(33, 0), (33, 25)], "yes"),
        ("W2", [(33, 35), (33, 60)], "yes"),
        ("W3", [(66, 0), (66, 25)], "yes"),
        ("W4", [(66, 35), (66, 60)], "no"),
    )
    for name, corners, tight in walls:
        build.wall(name, corners, tight_at_floor=tight)
    for column in range(5):
        for row in range(2):
            build.zone(f"Z{column}{row}", rectangle(column * 20, row * 30, 20, 30))
    for footprint in range(footprints):
        for level in range(LEVELS):
            _pallet(build, footprint, level, doubtful=doubtful)
    return gather(build.survey(), as_of=DAY)


def drums_of(footprints: int) -> int:
    """Give the number of drums in a store of so many footprints."""
    return footprints * LEVELS * len(_OFFSETS)


def _pallet(build: SurveyBuilder, footprint: int, level: int, *, doubtful: bool) -> None:
    row, column = divmod(footprint, COLUMNS)
    at = (1.2 + column * ACROSS_M, 1.2 + row * ALONG_M)
    build.pallet(f"P{footprint}-{level}", at, stack_level=level + 1, base_height_m=level * LEVEL_M)
    product = PRODUCTS[(footprint // _ALIKE + level) % len(PRODUCTS)]
    for place, offset in enumerate(_OFFSETS):
        number = (footprint * LEVELS + level) * len(_OFFSETS) + place
        unknown = doubtful and number % _NOT_IDENTIFIED == 0
        signs = [
            sign for sign, share in (("leaking", _LEAKING), ("bulging", _BULGING)) if doubtful and number % share == 0
        ]
        build.drum(
            f"P{footprint}-{level}-{place}",
            None if unknown else product,
            offset=offset,
            container_code="1A1",
            fill_pct=100,
            label="none" if unknown else "legible",
            identity_sources=[] if unknown else ["label"],
            signs=signs,
            signs_checked=True,
        )
