from collections.abc import Callable
from dataclasses import replace
from itertools import pairwise
from math import inf, nan, pi, sqrt
from typing import TypeVar

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray
from shapely import LineString, Point, Polygon, affinity, box
from shapely.geometry.base import BaseGeometry

from geometry.errors import GeometryRefused
from geometry.floor import FloorPlan, SpillFloor
from geometry.leak import DrumShape, Hole, Leak, leak, sudden
from geometry.spill_flow import FlowCancelled, FlowCase, FlowResult, flow_grid, run_flow
from geometry.spill_reach import spread
from tests.geometry.floors import DRUM_M3, door, kerb, places, room, rooms, stand_clear, wall

WATER, OIL, SOLVENT = 1e-6, 1e-4, 4e-7
FILM_M = 0.002


def steady(flow_m3_s: float, lasts_s: float = 1e4) -> Leak:
    volume = flow_m3_s * lasts_s
    return Leak(
        time_s=np.array([0.0, lasts_s]),
        flow_m3_s=np.array([flow_m3_s, flow_m3_s]),
        left_m3=np.array([volume, 0.0]),
        leaves_m3=volume,
        half_s=lasts_s / 2,
        stop_s=lasts_s,
        model="steady",
    )


def case(plan: FloorPlan | SpillFloor, at: Point, what: Leak, **more: object) -> FlowCase:
    floor = plan if isinstance(plan, SpillFloor) else SpillFloor(plan)
    usual: dict[str, object] = {
        "viscosity_m2_s": WATER, "film_m": FILM_M, "cautious": True, "cell_m": 0.2, "until_s": 120.0,
    }  # fmt: skip
    return FlowCase(floor=floor, source=at, leak=what, **{**usual, **more})  # type: ignore[arg-type]


def balance_m3(found: FlowResult) -> float:
    drained = sum(float(drain[-1]) for drain in found.drained_m3.values())
    return found.on_floor_m3 + drained + found.lost_m3 + found.in_drum_m3


# ── coming to rest ───────────────────────────────────────────────────────────────────────────────────────────────────


@pytest.mark.parametrize("viscosity", [SOLVENT, 1e-5])
def test_on_a_level_floor_liquid_rests_round_at_the_depth_of_the_film(viscosity: float) -> None:
    floor, film, volume = SpillFloor(room(9, 9)), 0.004, 0.15
    found = run_flow(
        case(
            floor, Point(4.5, 4.5), steady(2e-3, volume / 2e-3), viscosity_m2_s=viscosity, film_m=film, cell_m=0.1,
            until_s=3600,
        )
    )  # fmt: skip
    assert found.rest_s is not None
    assert found.rest_s > volume / 2e-3
    assert found.end_s == found.rest_s
    wet = found.wet(inf)
    assert wet.area == pytest.approx(volume / film, rel=0.03)
    assert found.depth_m.max() == pytest.approx(film, rel=0.01)
    corners = shapely.get_coordinates(wet.convex_hull)
    radii = np.hypot(*(corners - 4.5).T)
    assert radii.max() / radii.min() < 1.1
    # The pool of the resting calculation: same area, same place.
    pool = spread(floor, Point(4.5, 4.5)).pool(volume, film, cautious=True)
    assert wet.symmetric_difference(pool.shape).area < 0.06 * pool.area_m2


def test_a_film_of_nothing_never_rests() -> None:
    found = run_flow(case(room(), Point(5, 4), steady(1e-3, 10), film_m=0.0, until_s=60))
    assert found.rest_s is None
    assert found.end_s == 60


def test_a_walled_room_fills_level() -> None:
    found = run_flow(case(room(2, 2), Point(0.5, 0.5), sudden(0.08), viscosity_m2_s=OIL, until_s=600))
    assert found.depth_m == pytest.approx(np.full((10, 10), 0.02), rel=1e-3)
    assert found.rest_s is not None
    assert found.volume_error < 1e-9


def test_a_thin_liquid_in_a_small_room_calms_down() -> None:
    # 200 L of solvent in 6 m² through an open bung: waves of a few cells must not live on, or rise over a kerb.
    found = run_flow(
        case(room(3, 2), Point(0.5, 0.6), steady(5e-3, 40), viscosity_m2_s=SOLVENT, cell_m=0.1, until_s=180)
    )
    assert found.depth_m.mean() == pytest.approx(0.2 / 6)
    assert np.ptp(found.depth_m) < 0.005
    assert np.abs(np.diff(found.depth_m, axis=0)).max() < 0.001


# ── barriers ─────────────────────────────────────────────────────────────────────────────────────────────────────────


@settings(max_examples=25)
@given(rooms(5), places(), st.sampled_from([0.1, 0.17, 0.2]))
def test_no_wall_is_passed(plan: FloorPlan, at: Point, cell_m: float) -> None:
    if not stand_clear(plan, at):
        return
    floor = SpillFloor(plan)
    found = run_flow(case(floor, at, steady(5e-3, 20), film_m=0.0005, cell_m=cell_m, until_s=30))
    layout = floor.passing.layout()
    home = layout.compartments[layout.compartment_at(at) or 0]
    rows, columns = np.nonzero(np.isfinite(found.arrival_s))
    x, y = found.grid.x_m(found.grid.everything)[columns], found.grid.y_m(found.grid.everything)[rows]
    assert shapely.contains_xy(home.buffer(1e-6), x, y).all()
    assert found.wet(30).difference(home.buffer(1e-5)).area < 1e-9
    assert found.lost_m3 == 0
    assert found.volume_error < 1e-9


def test_what_is_not_known_to_be_tight_splits_the_two_readings() -> None:
    plan = room(6, 4, barriers=(wall((3, 0), (3, 4), tight=None),))
    through, stopped = (
        run_flow(case(plan, Point(1, 2), steady(2e-3), cautious=cautious, until_s=60)) for cautious in (True, False)
    )
    assert through.arrival_at(Point(5, 2)) is not None
    assert stopped.arrival_at(Point(5, 2)) is None


def test_a_dam_stops_the_liquid_and_one_with_a_gap_does_not() -> None:
    plan, at, beyond = room(6, 4), Point(1, 2), Point(5, 2)
    tight = run_flow(case(plan, at, steady(2e-3), dams=(LineString([(3.05, 0), (3.05, 4)]),), until_s=90))
    short = run_flow(case(plan, at, steady(2e-3), dams=(LineString([(3.05, 0), (3.05, 3)]),), until_s=90))
    free = run_flow(case(plan, at, steady(2e-3), until_s=90))
    assert tight.arrival_at(beyond) is None
    slow, quick = short.arrival_at(beyond), free.arrival_at(beyond)
    assert slow is not None
    assert quick is not None
    assert slow > quick
    # A door in the line of the dam does not open it, unlike a door in a wall.
    doorway = room(6, 4, barriers=(wall((3, 0), (3, 4)),), openings=(door((3, 1.5), (3, 2.5)),))
    assert run_flow(case(doorway, at, steady(2e-3), until_s=90)).arrival_at(beyond) is not None
    blocked = case(doorway, at, steady(2e-3), dams=(LineString([(3, 1.4), (3, 2.6)]),), until_s=90)
    assert run_flow(blocked).arrival_at(beyond) is None


def test_a_kerb_fills_to_its_lip_and_then_runs_over() -> None:
    # 4 × 2 m to 20 mm are 160 L; 2 L/s fill them in 80 s.
    plan = room(8, 6, basins=(kerb(2, 2, 6, 4, 0.02),))
    found = run_flow(case(plan, Point(3, 3), steady(2e-3, 120), until_s=200, film_m=0.001))
    outside = [
        found.arrival_at(place) for place in (box(0, 0, 8, 2), box(0, 4, 8, 6), box(0, 2, 2, 4), box(6, 2, 8, 4))
    ]
    first = min(time for time in outside if time is not None)
    assert first == pytest.approx(80, rel=0.1)
    inside = found.depth_m[10:20, 10:30]
    assert inside.sum() * 0.04 == pytest.approx(0.16, rel=0.05)
    assert found.on_floor_m3 == pytest.approx(0.24, rel=1e-9)


@pytest.mark.parametrize("recorded_x", [6.0, 6.8, 5.1])  # on the kerb, and beside it on either side
def test_a_worn_kerb_runs_over_at_its_worn_place(recorded_x: float) -> None:
    plan = room(8, 6, basins=(kerb(2, 2, 6, 4, 0.02, lip_at=Point(recorded_x, 3)),))
    found = run_flow(case(plan, Point(3, 3), steady(2e-3, 85), until_s=90, film_m=0.001))
    beyond = found.wet(90).difference(box(2, 2, 6, 4))
    assert beyond.area > 0.3
    assert beyond.bounds[0] >= 6 - 1e-6
    assert abs(beyond.centroid.y - 3) < 0.2


def test_liquid_is_lost_over_an_open_edge_only() -> None:
    plan = room(
        4, 4, perimeter_tight=False, barriers=(wall((0, 0), (0, 4)), wall((0, 0), (4, 0)), wall((0, 4), (4, 4)))
    )
    found = run_flow(case(plan, Point(1, 2), steady(2e-3, 60), until_s=120))
    assert found.lost_m3 > 0.05
    assert found.lost_by_m3[-1] == found.lost_m3
    assert found.volume_error < 1e-9
    assert balance_m3(found) == pytest.approx(0.12, rel=1e-9)
    kept = run_flow(case(room(4, 4), Point(1, 2), steady(2e-3, 60), until_s=120))
    assert kept.lost_m3 == 0


# ── drains ───────────────────────────────────────────────────────────────────────────────────────────────────────────


def test_a_drain_takes_what_the_balance_says() -> None:
    drains = (("gully", Point(3.5, 2.1)), ("trench", LineString([(5.5, 0.5), (5.5, 3.5)])), ("far", Point(0.1, 3.9)))
    found = run_flow(case(room(6, 4), Point(2, 2), steady(2e-3, 100), drains=drains, until_s=150))
    assert balance_m3(found) == pytest.approx(0.2, rel=1e-9)
    assert found.volume_error < 1e-9
    gully, trench = found.drained_m3["gully"], found.drained_m3["trench"]
    assert gully[-1] > 0.01
    assert trench[-1] > 0.01
    for name in ("gully", "trench"):
        series, first = found.drained_m3[name], found.first_s[name]
        assert first is not None
        assert (np.diff(series) >= 0).all()
        assert (series[found.time_s < first] == 0).all()
        assert series[found.time_s > first][0] > 0
    assert (found.first_s["gully"] or 0) < (found.first_s["trench"] or 0)
    assert found.arrival_at(Point(3.5, 2.1)) == found.first_s["gully"]
    # The drain that is covered is left out; what is not drained runs on.
    without = run_flow(case(room(6, 4), Point(2, 2), steady(2e-3, 100), drains=drains[1:], until_s=150))
    assert "gully" not in without.drained_m3
    assert without.drained_m3["trench"][-1] > trench[-1]
    assert without.first_s["trench"] == pytest.approx(found.first_s["trench"], rel=0.2)


def test_a_drain_behind_a_wall_gets_nothing_however_near() -> None:
    plan = room(6, 4, barriers=(wall((3, 0), (3, 4)),))
    drains = (("beyond", Point(3.04, 2)), ("before", Point(2.96, 2)))
    found = run_flow(case(plan, Point(2, 2), steady(2e-3), drains=drains, until_s=60, cell_m=0.17))
    assert found.first_s["beyond"] is None
    assert found.drained_m3["beyond"][-1] == 0
    assert found.first_s["before"] is not None


def test_at_the_edge_of_a_drain_only_the_film_stands() -> None:
    # A trench across a corridor takes all that comes; on the rim of a pool liquid would stand higher to move on.
    trench = (("trench", LineString([(3.1, 0), (3.1, 1)])),)
    found = run_flow(
        case(room(4, 1), Point(0.5, 0.5), steady(1e-4), viscosity_m2_s=1e-5, film_m=0.004, drains=trench, until_s=600)
    )
    assert found.depth_m[:, 14] == pytest.approx(np.full(5, 0.004), rel=0.05)
    assert found.depth_m[:, 16:].max() == 0
    assert np.diff(found.drained_m3["trench"])[-10:] == pytest.approx(np.full(10, 3e-4), rel=0.02)


def test_the_hydrograph_adds_up_at_every_time() -> None:
    drum = leak(DrumShape(0.5715, 0.8509), DRUM_M3, Hole(5e-4, 0.61, 0.0), posture="upright", vented=True)
    found = run_flow(case(room(6, 4), Point(2, 2), drum, drains=(("gully", Point(3.5, 2.1)),)))
    assert found.time_s[0] == 0
    assert found.time_s[-1] == 120
    assert len(found.time_s) == 201
    assert found.out_by_m3 == pytest.approx(drum.out_m3(found.time_s), rel=1e-4)
    assert (found.drained_m3["gully"] <= found.out_by_m3).all()
    assert found.in_drum_m3 == pytest.approx(drum.leaves_m3 - found.out_by_m3[-1])


# ── arrivals and wet areas ───────────────────────────────────────────────────────────────────────────────────────────


def test_along_a_corridor_liquid_arrives_later_farther_away() -> None:
    found = run_flow(case(room(8, 1), Point(0.5, 0.5), steady(1e-3), until_s=120))
    times = found.arrival_s[2, 3:]
    assert (np.diff(times[np.isfinite(times)]) > 0).all()
    assert np.isfinite(times).sum() > 15
    near, far = found.arrival_at(Point(2, 0.5)), found.arrival_at(box(3.9, 0, 4.1, 1))
    assert near is not None
    assert far is not None
    assert near < far
    assert found.arrival_at(Point(30, 0.5)) is None


def test_isochrones_are_nested_and_valid() -> None:
    plan = room(6, 4, barriers=(wall((3.03, 0), (3.07, 3)),))
    found = run_flow(case(plan, Point(1, 1), steady(2e-3), until_s=90))
    lines = found.isochrones([0.0, 10.0, 30.0, 90.0])
    assert [time for time, _ in lines] == [0, 10, 30, 90]
    for (_, earlier), (_, later) in pairwise(lines):
        assert later.is_valid
        assert earlier.difference(later).area < 1e-9
        assert later.area > earlier.area
    assert found.wet(10).area == pytest.approx(np.sum(found.arrival_s <= 10) * 0.04, rel=0.02)


def test_a_sudden_loss_gives_a_range() -> None:
    found = run_flow(case(room(9, 9), Point(4.5, 4.5), sudden(DRUM_M3), until_s=60))
    # 2 m away: (2² - 0.286²) / √(8·g·V / π) = 1.72 s by inertia, which rules so near.
    near = found.arrival_between(Point(6.5, 4.5))
    assert near is not None
    assert near.earliest_s == pytest.approx((4 - 0.286**2) / sqrt(8 * 9.80665 * DRUM_M3 / pi), rel=1e-6)
    assert near.expected_s == pytest.approx(near.earliest_s, rel=0.1)
    far = found.arrival_between(Point(8.9, 4.5))
    assert far is not None
    assert far.earliest_s == pytest.approx(8.46, rel=0.01)
    assert far.expected_s > far.earliest_s
    assert found.arrival_between(Point(0.1, 0.1)) is None
    leaking = run_flow(case(room(9, 9), Point(4.5, 4.5), steady(2e-3), until_s=60))
    only = leaking.arrival_between(Point(5.5, 4.5))
    assert only is not None
    assert only.earliest_s == only.expected_s


def test_a_sudden_loss_over_a_drain_and_a_short_look() -> None:
    found = run_flow(
        case(room(9, 9), Point(4.5, 4.5), sudden(DRUM_M3), drains=(("gully", Point(5.5, 4.5)),), until_s=2)
    )
    assert found.end_s == 2
    assert found.first_s["gully"] == pytest.approx(0.4, abs=0.1)
    assert found.wet(2).area == pytest.approx(pi * (0.286**2 + 2 * sqrt(8 * 9.80665 * DRUM_M3 / pi)), rel=0.05)
    assert found.volume_error < 1e-9


def test_a_sudden_loss_runs_no_thinner_than_the_film() -> None:
    found = run_flow(case(room(9, 9), Point(4.5, 4.5), sudden(DRUM_M3), film_m=0.01, until_s=60))
    assert found.wet(60).area == pytest.approx(DRUM_M3 / 0.01, rel=0.05)
    assert found.depth_m.max() == pytest.approx(0.01, rel=0.05)


# ── laws ─────────────────────────────────────────────────────────────────────────────────────────────────────────────


Shape = TypeVar("Shape", bound=BaseGeometry)
Turned = Callable[[NDArray[np.float64]], NDArray[np.float64]]


def moved(plan: FloorPlan, turn: list[float]) -> FloorPlan:
    def go(shape: Shape) -> Shape:
        return affinity.affine_transform(shape, turn)

    return replace(
        plan,
        outline=go(plan.outline),
        outdoors=tuple(go(yard) for yard in plan.outdoors),
        barriers=tuple(replace(barrier, line=go(barrier.line)) for barrier in plan.barriers),
        openings=tuple(replace(opening, line=go(opening.line)) for opening in plan.openings),
        basins=tuple(replace(basin, outline=go(basin.outline)) for basin in plan.basins),
    )


UNEVEN = room(
    5.2, 4.1, perimeter_tight=False,
    barriers=(wall((2.2, 0), (2.2, 2.6)), wall((3.3, 4.1), (4.4, 1.3)), wall((0, 3), (0, 0))),
    basins=(kerb(0.4, 0.6, 1.8, 2.4, 0.01),),
)  # fmt: skip


@pytest.mark.parametrize(
    ("turn", "back"),
    [
        ([-1, 0, 0, 1, 0, 0], lambda field: field[:, ::-1]),
        ([1, 0, 0, -1, 0, 0], lambda field: field[::-1]),
        ([0, -1, 1, 0, 0, 0], lambda field: np.rot90(field, -1)),
    ],
)
def test_a_mirrored_or_turned_floor_changes_nothing(turn: list[float], back: Turned) -> None:
    at, gully = Point(1.13, 1.52), Point(2.5, 2.9)
    x, y = np.meshgrid(np.linspace(0, 1, 26), np.linspace(0, 1, 21))
    bed = 0.004 * np.sin(5 * x + 1) * np.cos(4 * y)
    for relief in (None, bed):
        plain = run_flow(case(UNEVEN, at, steady(2e-3), drains=(("gully", gully),), until_s=60, relief=relief))
        assert plain.drained_m3["gully"][-1] > 0
        assert plain.lost_m3 > 0
        other = run_flow(
            case(
                moved(UNEVEN, turn), affinity.affine_transform(at, turn), steady(2e-3),
                drains=(("gully", affinity.affine_transform(gully, turn)),), until_s=60,
                relief=None if relief is None else np.ascontiguousarray(back(relief)),
            )
        )  # fmt: skip
        assert other.depth_m == pytest.approx(back(plain.depth_m), abs=1e-9)
        assert other.arrival_s == pytest.approx(back(plain.arrival_s), abs=1e-6)
        assert other.drained_m3["gully"] == pytest.approx(plain.drained_m3["gully"], abs=1e-9)
        assert other.lost_m3 == pytest.approx(plain.lost_m3, abs=1e-9)


def test_a_floor_turned_by_thirty_degrees_agrees() -> None:
    plan = room(7, 5, barriers=(wall((3.5, 0), (3.5, 3)),))
    turn = [0.75**0.5, -0.5, 0.5, 0.75**0.5, 0, 0]
    at, beyond = Point(2, 2), Point(4.5, 1.5)
    plain, turned = (
        run_flow(case(floor, start, steady(1e-3), film_m=0.001, cell_m=0.1, until_s=180))
        for floor, start in ((plan, at), (moved(plan, turn), affinity.affine_transform(at, turn)))
    )
    assert turned.wet(120).area == pytest.approx(plain.wet(120).area, rel=0.03)
    arrival, other = plain.arrival_at(beyond), turned.arrival_at(affinity.affine_transform(beyond, turn))
    assert arrival is not None
    assert other == pytest.approx(arrival, rel=0.05)


@settings(max_examples=15)
@given(rooms(3), places(), st.floats(1e-4, 2e-3), st.sampled_from([SOLVENT, WATER, OIL]))
def test_a_faster_leak_never_wets_less(plan: FloorPlan, at: Point, flow: float, viscosity: float) -> None:
    if not stand_clear(plan, at):
        return
    floor = SpillFloor(plan)
    slow, fast = (
        run_flow(case(floor, at, steady(rate), viscosity_m2_s=viscosity, until_s=40)) for rate in (flow, 2 * flow)
    )
    for time in (10.0, 20.0, 40.0):
        assert (fast.arrival_s <= time).sum() >= (slow.arrival_s <= time).sum()
    assert slow.volume_error < 1e-9
    assert fast.volume_error < 1e-9


def test_down_a_slope_liquid_runs_to_its_foot_and_leaves_its_film() -> None:
    floor = SpillFloor(room(6, 1))
    grid = flow_grid(floor, 0.1)
    bed = np.tile(-0.01 * grid.x_m(grid.everything), (grid.rows, 1))
    found = run_flow(case(floor, Point(1, 0.5), sudden(0.02), film_m=0.001, relief=bed, cell_m=0.1, until_s=900))
    # 1 mm stays on what became wet; the rest ponds at the foot with a level surface.
    wet = found.depth_m > 5e-4
    pond = found.depth_m[:, -8:] + bed[:, -8:]
    assert np.ptp(pond) < 1e-4
    assert found.depth_m[:, 25:35].max() < 0.0011
    assert wet[:, 20:].all()
    assert found.depth_m[:, -1].mean() == pytest.approx(sqrt(2 * 0.01 * (0.02 - 0.001 * 5.5)), rel=0.1)


def test_the_same_run_gives_the_same_bytes_and_a_coarser_grid_nearly_the_same() -> None:
    floor = SpillFloor(room(6, 4))
    one, two = (run_flow(case(floor, Point(2, 2), steady(1e-3), until_s=60)) for _ in range(2))
    assert one.depth_m.tobytes() == two.depth_m.tobytes()
    assert one.arrival_s.tobytes() == two.arrival_s.tobytes()
    fine = run_flow(case(floor, Point(2, 2), steady(1e-3), cell_m=0.1, until_s=60))
    assert one.wet(60).area == pytest.approx(fine.wet(60).area, rel=0.06)


# ── progress and refusals ────────────────────────────────────────────────────────────────────────────────────────────


def test_progress_is_told_and_a_run_can_be_given_up() -> None:
    shares: list[float] = []

    def told_of(share: float) -> bool:
        shares.append(share)
        return True

    run_flow(case(room(), Point(5, 4), steady(1e-3), until_s=60), on_progress=told_of)
    assert shares == sorted(shares)
    assert len(shares) > 10
    assert shares[-1] == 1.0
    told = iter([True, True, False])
    with pytest.raises(FlowCancelled, match="flow given up at 1 s of 60 s"):
        run_flow(case(room(), Point(5, 4), steady(1e-3), until_s=60), on_progress=lambda _: next(told))


@pytest.mark.parametrize(
    ("wrong", "message"),
    [
        ({"viscosity_m2_s": 0.0}, "viscosity: expected more than 0 m²/s, found 0"),
        ({"viscosity_m2_s": nan}, "viscosity: expected more than 0 m²/s, found nan"),
        ({"film_m": -0.001}, r"film depth: expected 0 or more m, found -0\.001"),
        ({"film_m": inf}, "film depth: expected 0 or more m, found inf"),
        ({"until_s": 0.0}, "time to watch: expected more than 0 s, found 0"),
        ({"until_s": nan}, "time to watch: expected more than 0 s, found nan"),
        ({"manning": -1.0}, "roughness: expected 0 or more"),
        ({"source_radius_m": 0.0}, "radius of the source: expected more than 0 m, found 0"),
        ({"leak": steady(0.0)}, "volume that leaks: expected more than 0 m³, found 0"),
        ({"source": Point(nan, 1)}, "source: expected finite coordinates"),
        ({"source": Point(30, 30)}, "source at .30, 30.: expected free floor within 0.2 m"),
        ({"cell_m": 0.0}, "grid cell: expected more than 0 m"),
        ({"cell_m": 0.001}, "a cell of .* m fits"),
        ({"relief": np.zeros((3, 3))}, r"relief: expected 40 × 50 cells, found \(3, 3\)"),
        ({"relief": np.full((40, 50), nan)}, "relief: expected finite heights on the mapped floor"),
        ({"drains": (("gully", Polygon()),)}, "gully: expected a shape"),
        ({"drains": (("gully", Point(1, 1)), ("gully", Point(2, 1)))}, "drains: expected each name once"),
        ({"dams": (LineString(),)}, "dam: expected a shape"),
    ],
)
def test_what_makes_no_sense_is_refused(wrong: dict[str, object], message: str) -> None:
    good = case(room(10, 8), Point(5, 4), steady(1e-3), until_s=1.0)
    assert run_flow(good).on_floor_m3 > 0
    with pytest.raises(GeometryRefused, match=message):
        run_flow(replace(good, **wrong))  # type: ignore[arg-type]


def test_times_and_places_that_are_none_are_refused() -> None:
    found = run_flow(case(room(), Point(5, 4), steady(1e-3), until_s=1.0))
    with pytest.raises(GeometryRefused, match="time of a wet area: expected 0 s or more, found -1"):
        found.wet(-1)
    with pytest.raises(GeometryRefused, match="time of a wet area: expected 0 s or more, found nan"):
        found.isochrones([nan])
    with pytest.raises(GeometryRefused, match="place: expected a shape"):
        found.arrival_at(Polygon())


def test_a_source_in_a_wall_is_moved_beside_it() -> None:
    plan = room(6, 4, barriers=(wall((3, 0), (3, 4)),))
    found = run_flow(case(plan, Point(3, 2), steady(1e-3), until_s=20))
    west, east = np.isfinite(found.arrival_s[:, :15]).any(), np.isfinite(found.arrival_s[:, 15:]).any()
    assert west != east
