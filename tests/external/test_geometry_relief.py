"""Ponds and tongues on falling floors, as cells, against closed forms; P-numbers are those of the list of checks."""

from math import pi, sqrt

import numpy as np
import pytest
from shapely import Point

from geometry.constants import DRUM_55_GALLON_M3
from geometry.descent import NARROW, Descents, Running
from geometry.drum import DrumShape
from geometry.leak import Leak, leak
from geometry.orifice import round_hole
from geometry.relief import SLAB_TOLERANCE_M, Fall
from geometry.spill_flow import FlowCase, flow_grid, run_flow
from geometry.tilt import DROP_M, tilted_reach_m, worst_tilt
from tests.geometry.floors import room
from tests.geometry.slopes import dished, falling

FILM_M = 1e-5
"""Thin beside every depth compared here."""


@pytest.mark.parametrize(("slope", "length_m", "depth_m"), [(0.01, 2.041, 0.0204), (0.005, 2.886, 0.0144)])
def test_p29_pond_at_the_wall(slope: float, length_m: float, depth_m: float) -> None:
    # Geometry: L = √(2 V / (W s)), depth s L, for 208.2 L over 10 m of wall. Cells of 0.1 m: 4 %.
    floor = falling(room(20, 10), -slope, 0.0)
    found = Descents(floor, Point(19.6, 5.03)).descent(DRUM_55_GALLON_M3, FILM_M, NARROW, cautious=True)
    assert found.area_m2 / 10 == pytest.approx(length_m, rel=0.04)
    assert 20 - found.shape.bounds[0] == pytest.approx(length_m, abs=0.1)
    assert found.depth_m == pytest.approx(depth_m, rel=0.04)
    # The level itself, which no cell rounds: where it meets the slope.
    assert 20 + found.hollows[-1].level_m / slope == pytest.approx(length_m, rel=0.005)


def test_p29_cone_round_a_drain() -> None:
    # Geometry: V = π s R³ / 3 at 1 %: R = 2.709 m.
    floor = dished(room(10, 10), Fall("D", Point(5, 5), 0.01, None))
    found = Descents(floor, Point(5.02, 5.03)).descent(DRUM_55_GALLON_M3, FILM_M, NARROW, cautious=True)
    assert sqrt(found.area_m2 / pi) == pytest.approx(2.709, rel=0.01)
    assert found.depth_m == pytest.approx(0.02709, rel=0.04)


@pytest.mark.parametrize("x_m", [3.0, 5.0, 8.0])
def test_p23_width_of_the_tongue(x_m: float) -> None:
    # Half-width 1.873 m at 5 m for 0.19 L/s, 1e-6 m²/s and 1 %: closed form after P. C. Smith, J. Fluid Mech. 58 (1973)
    # 275, abstract (width as x^(3/7)), factor derived from the flux; its width as cells.
    floor = falling(room(30, 20), -0.01, 0.0)
    found = Descents(floor, Point(5.05, 10.05)).descent(
        DRUM_55_GALLON_M3, 0.0028, Running(1e-6, 1.9e-4, steady=True), cautious=True
    )
    column = round((5.05 + x_m) / 0.1)
    assert (found.depths_m[:, column] > 0).sum() * 0.1 / 2 == pytest.approx(1.873 * (x_m / 5) ** (3 / 7), abs=0.11)


@pytest.mark.slow
@pytest.mark.parametrize(
    ("viscosity_m2_s", "flow_m3_s", "volume_m3", "film_m", "slope"),
    [
        (1e-6, 1.9e-4, 0.02, 0.0007, 0.01),
        (1e-6, 1.9e-4, 0.05, 0.001, 0.01),
        (4e-7, 1.9e-4, 0.02, 0.0007, 0.005),
        (1e-6, 1.9e-4, 0.02, 0.002, 0.01),
        (1e-4, 4.9e-3, 0.2, 0.005, 0.01),
        (1e-5, 1e-3, 0.1, 0.002, 0.02),
        (1e-4, 1.9e-4, 0.05, 0.0028, 0.01),
    ],
)
def test_way_down_an_even_slope_beside_the_flow_on_a_grid(
    viscosity_m2_s: float, flow_m3_s: float, volume_m3: float, film_m: float, slope: float
) -> None:
    # The flow solves the film equation in time, with arrest at the film depth: another law on the same question. The
    # young tongue may fall short of it by no more than a tenth; the steady one must, since it is what is said to be
    # reached for certain.
    floor = falling(room(50, 16), -slope, 0.0)
    source = Point(5.05, 8.05)
    ways_m = [
        Descents(floor, source)
        .descent(volume_m3, film_m, Running(viscosity_m2_s, flow_m3_s, steady=steady), cautious=True)
        .way_m
        for steady in (False, True)
    ]
    grid = flow_grid(floor.floor, 0.1)
    lasts_s = volume_m3 / flow_m3_s
    even = Leak(
        time_s=np.array([0.0, lasts_s]),
        flow_m3_s=np.array([flow_m3_s, flow_m3_s]),
        left_m3=np.array([volume_m3, 0.0]),
        leaves_m3=volume_m3,
        half_s=lasts_s / 2,
        stop_s=lasts_s,
        model="steady",
    )
    flow = run_flow(
        FlowCase(
            floor.floor,
            source,
            even,
            viscosity_m2_s,
            film_m,
            cautious=True,
            cell_m=0.1,
            relief=floor.relief.elevation_m(grid),
            until_s=3000.0,
        )
    )
    columns = np.flatnonzero(np.isfinite(flow.arrival_s).any(axis=0))
    flown_m = float(grid.x_m(grid.everything)[columns[-1]]) - source.x
    assert 0.9 * flown_m < ways_m[0] < 1.4 * flown_m
    assert ways_m[1] < flown_m


def flown_m(fill: float, slope: float, film_m: float, cell_m: float = 0.1) -> float:
    """How far down an even slope the flow on a grid gets from a drum that runs out through a 10 mm hole."""
    length_m = max(1.6 * tilted_reach_m(fill * DRUM_55_GALLON_M3, film_m, 4e-7, 1.9e-4, slope), 20.0)
    # Wide enough that no side of the room holds the liquid together.
    floor = falling(room(length_m, 24), -slope, 0.0, cell_m=cell_m)
    source = Point(3.05, 12.05)
    grid = flow_grid(floor.floor, cell_m)
    drum = DrumShape(diameter_m=0.5715, length_m=0.8509)
    content_m3 = fill * DRUM_55_GALLON_M3
    flow = run_flow(
        FlowCase(
            floor.floor,
            source,
            leak(drum, content_m3, round_hole(0.01), posture="upright", vented=True),
            4e-7,
            film_m,
            cautious=True,
            cell_m=cell_m,
            relief=floor.relief.elevation_m(grid),
            until_s=20000.0,
        )
    )
    assert flow.lost_m3 == 0
    assert flow.in_drum_m3 < 1e-6
    columns = np.flatnonzero(np.isfinite(flow.arrival_s).any(axis=0))
    return float(grid.x_m(grid.everything)[columns[-1]]) - source.x


SLOW_DRUMS = [
    pytest.param(fill, slope, film_m, marks=pytest.mark.slow)
    for fill in (0.1, 0.25, 1.0)
    for slope in (0.005, 0.01, 0.02)
    for film_m in (0.0007, 0.0028)
]


@pytest.mark.parametrize(("fill", "slope", "film_m"), [(0.1, 0.005, 0.0007), *SLOW_DRUMS])
def test_the_narrow_tongue_of_a_leaking_drum_is_no_shorter_than_the_flow_on_a_grid(
    fill: float, slope: float, film_m: float
) -> None:
    # The leak falls off as the drum runs out: Torricelli's law summed over the level. 20.8 L on 0.5 %: 17.1 m.
    volume_m3 = fill * DRUM_55_GALLON_M3
    flow_m = flown_m(fill, slope, film_m, cell_m=0.1 if fill < 1 else 0.2)
    by_tilt_m = tilted_reach_m(volume_m3, film_m, 4e-7, float(NARROW.flow_of_m3_s(volume_m3)), slope)
    here = Descents(falling(room(3.05 + 1.2 * by_tilt_m, 8), -slope, 0.0), Point(3.05, 4.05))
    assert here.descent(volume_m3, film_m, NARROW, cautious=True).way_m >= flow_m
    assert by_tilt_m >= flow_m


@pytest.mark.parametrize(
    "fill", [0.1, pytest.param(0.25, marks=pytest.mark.slow), pytest.param(1.0, marks=pytest.mark.slow)]
)
def test_what_a_level_slab_may_hide_is_no_shorter_than_the_flow_on_a_grid(fill: float) -> None:
    tilt = worst_tilt(fill * DRUM_55_GALLON_M3, 0.0007, NARROW)
    assert tilt.reach_m >= flown_m(fill, tilt.slope, 0.0007)
    # Nor on a steeper one that ends sooner, within the same drop.
    steeper_m = flown_m(fill, 1.3 * tilt.slope, 0.0007)
    assert tilt.reach_m >= min(steeper_m, DROP_M / (1.3 * tilt.slope))


def test_tolerance_of_a_level_slab() -> None:
    # ACI 117-90, elevation of slabs on grade, ±3/4 in, as quoted by Concrete Construction, Recommended floor slope and
    # tolerance (read there).
    assert pytest.approx(0.01905) == SLAB_TOLERANCE_M
