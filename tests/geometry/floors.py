"""Floors to try things on, built by hand or drawn by Hypothesis."""

from math import inf

from hypothesis import strategies as st
from shapely import LineString, Point, Polygon, box

from geometry.floor import Barrier, Basin, FloorPlan, Opening

DRUM_M3 = 0.208198
"""55 US gallons."""


def room(
    width_m: float = 10.0,
    depth_m: float = 8.0,
    *,
    perimeter_tight: bool | None = True,
    barriers: tuple[Barrier, ...] = (),
    openings: tuple[Opening, ...] = (),
    basins: tuple[Basin, ...] = (),
    outdoors: tuple[Polygon, ...] = (),
) -> FloorPlan:
    """A rectangular room with its south-west corner at the origin."""
    return FloorPlan(
        outline=box(0, 0, width_m, depth_m),
        outdoors=outdoors,
        perimeter_tight=perimeter_tight,
        barriers=barriers,
        openings=openings,
        basins=basins,
    )


def wall(*corners: tuple[float, float], tight: bool | None = True, height_m: float = inf) -> Barrier:
    """A wall through some corners."""
    return Barrier("wall", LineString(corners), height_m, tight)


def door(
    a: tuple[float, float],
    b: tuple[float, float],
    *,
    tight: bool | None = None,
    shut: bool | None = None,
    sill_m: float = 0.0,
) -> Opening:
    """A door from jamb to jamb."""
    return Opening("door", LineString([a, b]), sill_m, tight, shut)


def kerb(
    west_m: float, south_m: float, east_m: float, north_m: float, lip_m: float, *, lip_at: Point | None = None
) -> Basin:
    """A tight rectangular kerb."""
    return Basin("kerb", box(west_m, south_m, east_m, north_m), lip_m, lip_at, tight=True)


WIDTH_M, DEPTH_M = 8.0, 6.0
"""Size of the rooms that Hypothesis draws."""


def _lattice(length_m: float) -> st.SearchStrategy[float]:
    return st.integers(0, int(2 * length_m)).map(lambda halves: halves / 2)


def corners() -> st.SearchStrategy[tuple[float, float]]:
    """Corners on a half-metre lattice, so that walls meet, cross, touch and lie on one another."""
    return st.tuples(_lattice(WIDTH_M), _lattice(DEPTH_M))


def places() -> st.SearchStrategy[Point]:
    """Places off that lattice, at least 0.05 m from the walls that run along it."""
    along = st.tuples(st.integers(0, int(2 * WIDTH_M) - 1), st.integers(0, int(2 * DEPTH_M) - 1))
    within = st.tuples(st.floats(0.07, 0.43), st.floats(0.07, 0.43))
    return st.builds(lambda cell, off: Point(cell[0] / 2 + off[0], cell[1] / 2 + off[1]), along, within)


def stand_clear(plan: FloorPlan, *at: Point) -> bool:
    """Whether places lie off every wall; a source on a wall is moved to either side of it."""
    return all(barrier.line.distance(place) > 0.01 for barrier in plan.barriers for place in at)


def walls(most: int = 4, *, tight: bool | None = True) -> st.SearchStrategy[tuple[Barrier, ...]]:
    """Straight walls between lattice corners."""
    one = st.tuples(corners(), corners()).filter(lambda ends: ends[0] != ends[1])
    return st.lists(one.map(lambda ends: wall(*ends, tight=tight)), max_size=most).map(tuple)


def rooms(most: int = 4) -> st.SearchStrategy[FloorPlan]:
    """Rooms of one size with tight walls in them."""
    return walls(most).map(lambda drawn: room(WIDTH_M, DEPTH_M, barriers=drawn))
