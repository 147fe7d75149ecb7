"""Spills on falling floors: round the source, down a tongue, level in hollows; what stops them and what they reach."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import LineString, Point, affinity, box
from shapely.geometry.base import BaseGeometry

from geometry.constants import GRAVITY_M_S2
from geometry.descent import NARROW, WIDE, Descents, Running
from geometry.errors import GeometryRefused
from geometry.floor import FloorPlan
from geometry.relief import Fall
from geometry.spill_reach import spread
from tests.geometry.floors import DEPTH_M, DRUM_M3, WIDTH_M, door, places, room, rooms, stand_clear, wall
from tests.geometry.slopes import ACETONE, STEADY, WATER, dished, falling

FILM_M = 0.0028


def tongue_m(volume_m3: float, film_m: float, running: Running, slope: float) -> float:
    """Length of the tongue that takes a volume, worked out by hand: disc of radius H/s, then width 2 e x^(3/7)."""
    e = (
        3 * running.viscosity_m2_s * running.flow_m3_s / (GRAVITY_M_S2 * slope) * 35 / 32 * (14 / (3 * slope)) ** 3
    ) ** (1 / 7)
    disc_m = (3 * running.viscosity_m2_s * running.flow_m3_s / GRAVITY_M_S2) ** 0.25 / slope
    beyond_m2 = volume_m3 / film_m - math.pi * disc_m**2
    return float((disc_m ** (10 / 7) + beyond_m2 / (1.4 * e)) ** 0.7)


@pytest.mark.parametrize("angle_deg", [0, 17, 45, 118])
def test_tongue_of_one_drum_down_an_even_slope(angle_deg: float) -> None:
    turn = math.radians(angle_deg)
    floor = falling(room(60, 60), -0.01 * math.cos(turn), -0.01 * math.sin(turn))
    found = Descents(floor, Point(30.03, 30.02)).descent(DRUM_M3, FILM_M, STEADY, cautious=True)
    assert found.area_m2 == pytest.approx(DRUM_M3 / FILM_M, rel=1e-3)
    assert found.shape.area == pytest.approx(found.area_m2, rel=1e-6)
    assert found.way_m == pytest.approx(tongue_m(DRUM_M3, FILM_M, STEADY, 0.01), rel=0.015)
    end = found.way.coords[-1]
    heading_deg = math.degrees(math.atan2(end[1] - 30.02, end[0] - 30.03))
    assert heading_deg == pytest.approx(angle_deg, abs=0.6)
    assert found.depth_m == FILM_M
    assert found.hollows == ()
    assert (found.drained_m3, found.drain, found.lost_m3) == (0.0, None, 0.0)


def test_thin_film_and_narrow_tongue_go_farther() -> None:
    here = Descents(falling(room(60, 20), -0.01, 0.0), Point(5.03, 10.02))
    far = [here.descent(0.1, film, run, cautious=True).way_m for film, run in ((0.0007, NARROW), (0.0007, WIDE))]
    assert far[0] > far[1] > here.descent(0.1, 0.0028, WIDE, cautious=True).way_m


def test_no_liquid_is_a_dry_floor() -> None:
    found = Descents(falling(room(), -0.01, 0.0), Point(2, 4)).descent(0.0, FILM_M, WATER, cautious=True)
    assert found.shape.is_empty
    assert (found.area_m2, found.depth_m, found.on_floor_m3, found.way_m) == (0.0, 0.0, 0.0, 0.0)
    assert not found.depths_m.any()


def test_pond_at_the_wall_at_the_foot_of_the_slope() -> None:
    # 1 % over a room 8 m wide: V = W s L² / 2, L = √(2 × 0.1 / (8 × 0.01)) = 1.58 m, 15.8 mm deep at the wall.
    found = Descents(falling(room(10, 8), -0.01, 0.0), Point(9.5, 4.03)).descent(0.1, 1e-5, NARROW, cautious=True)
    (pond,) = found.hollows
    assert pond.lip_at is None
    assert found.depth_m == pytest.approx(0.0158, rel=0.05)
    assert 10 - found.shape.bounds[0] == pytest.approx(1.58, abs=0.1)
    assert pond.volume_m3 == pytest.approx(0.1, rel=0.001)


def test_kerb_across_the_slope_spills_over() -> None:
    # A kerb 20 mm high across 1 %: it holds W h² / (2 s) = 8 × 0.0004 / 0.02 = 0.16 m³, and the rest runs on.
    plan = room(20, 8, barriers=(wall((8, 0), (8, 8), height_m=0.02),))
    here = Descents(falling(plan, -0.01, 0.0), Point(4.03, 4.02))
    kept = here.descent(0.1, 1e-4, WATER, cautious=True)
    assert kept.shape.bounds[2] <= 8 + 1e-9
    over = here.descent(0.3, 1e-4, WATER, cautious=True)
    first = over.hollows[0]
    assert first.volume_m3 == pytest.approx(0.16, rel=0.05)
    assert first.lip_at is not None
    assert first.lip_at.x == pytest.approx(7.95)
    assert not first.off_map
    assert over.hollows[-1].at.x == pytest.approx(19.95)
    assert over.on_floor_m3 == pytest.approx(0.3, abs=1e-9)
    # A film as deep as the kerb does not notice it.
    assert [pond.at.x for pond in here.descent(0.3, 0.02, WATER, cautious=True).hollows] == pytest.approx([19.95])


def test_two_hollows_that_fill_up_stand_as_one() -> None:
    # Two dishes of 1 m at 2 % hold π s R³ / 3 = 21 L each, one beside the other on a level floor.
    falls = [Fall("A", Point(3, 4), 0.02, 1.0), Fall("B", Point(6, 4), 0.02, 1.0)]
    here = Descents(dished(room(10, 8), *falls), Point(3.03, 4.02))
    found = here.descent(0.208, 0.0007, NARROW, cautious=True)
    assert found.on_floor_m3 == pytest.approx(0.208, abs=1e-12)
    one = [hollow for hollow in found.hollows if hollow.lip_at is not None]
    assert one[0].volume_m3 >= math.pi * 0.02 / 3 * 0.98
    assert found.depths_m[40, 60] > 0.015


def test_open_edge_of_the_map_takes_what_runs_to_it() -> None:
    floor = falling(room(10, 8, perimeter_tight=False), -0.01, 0.0)
    found = Descents(floor, Point(8.03, 4.02)).descent(0.2, 0.001, WATER, cautious=True)
    assert found.lost_m3 > 0.1
    assert found.on_floor_m3 + found.lost_m3 == pytest.approx(0.2, abs=1e-12)
    assert found.hollows[-1].off_map


def test_unknown_wall_passes_on_the_cautious_floor_and_holds_on_the_hopeful_one() -> None:
    floor = falling(room(20, 8, barriers=(wall((8, 0), (8, 8), tight=None),)), -0.01, 0.0)
    here = Descents(floor, Point(4.03, 4.02))
    beyond = Point(15, 4)
    assert here.reaches(0.2, beyond, 0.001, WATER, cautious=True)
    assert not here.reaches(0.2, beyond, 0.001, WATER, cautious=False)


def test_way_round_a_wall_and_through_its_door() -> None:
    plan = room(20, 8, barriers=(wall((8, 0), (8, 8)),), openings=(door((8, 6), (8, 7), tight=False),))
    found = Descents(falling(plan, -0.01, 0.0), Point(4.03, 2.02)).descent(0.2, 0.0007, WATER, cautious=True)
    # It stands at the wall until it has got to the door, and runs on from there.
    assert found.shape.bounds[2] > 12
    assert found.shape.intersects(LineString([(8, 6), (8, 7)]))
    assert not found.shape.buffer(-1e-6).intersects(LineString([(8, 0), (8, 5.5)]))


class TestTargets:
    """A drain in a dish 5 m from the source, which stands on level floor."""

    DRAIN = Point(12, 4)

    def here(self) -> Descents:
        return Descents(dished(room(20, 8), Fall("D", self.DRAIN, 0.02, 2.0)), Point(7.0, 4.0))

    def test_needed_is_the_level_floor_up_to_the_rim_and_the_tongue(self) -> None:
        # 3 m of level floor round the source lie before the rim: π 9 × 1 mm = 28 L. The disc ends 0.11 m farther, where
        # the dish has fallen by the liquid's thickness of 2.2 mm: 30.4 L; the tongue from there is 1.9 m long and up to
        # 2 × 0.73 m wide: about 2 L.
        needed = self.here().needed_m3(0.2, self.DRAIN, 0.001, ACETONE, cautious=True)
        assert needed is not None
        assert 0.0304 < needed < 0.0304 + 0.004
        assert self.here().litres_to(0.2, self.DRAIN, 0.001, ACETONE, cautious=True) == pytest.approx(
            200 - needed * 1000
        )

    def test_reaches_from_the_needed_volume_on(self) -> None:
        here = self.here()
        needed = here.needed_m3(0.2, self.DRAIN, 0.001, ACETONE, cautious=True)
        assert needed is not None
        assert here.reaches(needed * 1.001, self.DRAIN, 0.001, ACETONE, cautious=True)
        assert not here.reaches(needed * 0.999, self.DRAIN, 0.001, ACETONE, cautious=True)
        assert here.litres_to(needed * 0.999, self.DRAIN, 0.001, ACETONE, cautious=True) == 0

    def test_critical_depth(self) -> None:
        here = self.here()
        depth_m = here.critical_depth_m(0.2, self.DRAIN, ACETONE, cautious=True)
        needed = here.needed_m3(0.2, self.DRAIN, 0.001, ACETONE, cautious=True)
        assert depth_m is not None
        assert needed is not None
        # On the way to it lies nothing but film, most of it round the source, where its area is that of any other film.
        assert depth_m == pytest.approx(0.2 / (needed / 0.001), rel=0.05)
        assert here.reaches(0.2, self.DRAIN, depth_m * 0.99, ACETONE, cautious=True)
        assert not here.reaches(0.2, self.DRAIN, depth_m * 1.01, ACETONE, cautious=True)

    def test_critical_depth_over_a_lip_is_found_though_thinner_films_are_held(self) -> None:
        # 3 mm of lip all round 2 m × 4 m hold 5 L of a thin film; one of 3 mm or more goes over it.
        plan = room(20, 8, barriers=(wall((9, 0), (9, 8), height_m=0.003),))
        here = Descents(falling(plan, -1e-5, 0.0), Point(8.0, 4.0))
        target = LineString([(9.5, 0), (9.5, 8)])
        assert not here.reaches(0.03, target, 0.0005, ACETONE, cautious=True)
        depth_m = here.critical_depth_m(0.03, target, ACETONE, cautious=True)
        assert depth_m is not None
        assert depth_m >= 0.003
        assert here.reaches(0.03, target, depth_m * 0.99, ACETONE, cautious=True)

    def test_critical_depth_from_a_film_on(self) -> None:
        here = self.here()
        depth_m = here.critical_depth_m(0.2, self.DRAIN, ACETONE, cautious=True)
        assert depth_m is not None
        told = here.critical_depth_m(
            0.2, self.DRAIN, ACETONE, cautious=True, from_m=depth_m * 0.9, short_m=depth_m * 1.02
        )
        assert told == pytest.approx(depth_m, rel=0.011)
        assert here.critical_depth_m(0.2, self.DRAIN, ACETONE, cautious=True, from_m=depth_m * 1.02) is None

    def test_critical_depth_at_the_source_and_behind_a_wall(self) -> None:
        plan = room(20, 8, barriers=(wall((9, 0), (9, 8)),))
        here = Descents(dished(plan, Fall("D", self.DRAIN, 0.02, 2.0)), Point(7.0, 4.0))
        assert here.critical_depth_m(0.2, Point(7, 4), ACETONE, cautious=True) == math.inf
        assert here.critical_depth_m(0.2, self.DRAIN, ACETONE, cautious=True) is None

    def test_a_deep_film_gets_over_a_lip_that_holds_a_thin_one(self) -> None:
        plan = room(20, 8, barriers=(wall((9, 0), (9, 8), height_m=0.003),))
        here = Descents(dished(plan, Fall("D", self.DRAIN, 0.02, 2.0)), Point(7.0, 4.0))
        assert not here.reaches(0.15, self.DRAIN, 0.001, ACETONE, cautious=True)
        assert here.reaches_within(0.15, self.DRAIN, 0.001, 0.003, ACETONE, cautious=True)
        assert not here.reaches_within(0.15, self.DRAIN, 0.001, 0.002, ACETONE, cautious=True)

    def test_open_drain_takes_the_rest(self) -> None:
        found = self.here().descent(0.2, 0.001, ACETONE, cautious=True, drains=[("D", self.DRAIN)])
        needed = self.here().needed_m3(0.2, self.DRAIN, 0.001, ACETONE, cautious=True)
        assert needed is not None
        assert found.drain == "D"
        assert found.drained_m3 == pytest.approx(0.2 - needed, abs=1e-9)
        assert found.on_floor_m3 + found.drained_m3 == pytest.approx(0.2, abs=1e-12)

    def test_tolerance_goes_round_walls_and_not_through(self) -> None:
        floor = falling(room(20, 8, barriers=(wall((0, 5), (15, 5)),)), -0.01, 0.0)
        here = Descents(floor, Point(4.03, 4.02))
        behind, before = Point(8, 5.2), Point(8, 4.9)
        assert here.reaches(0.05, before, 0.001, WATER, cautious=True, tolerance_m=0.5)
        assert not here.reaches(0.05, behind, 0.001, WATER, cautious=True, tolerance_m=0.5)

    def test_target_off_the_map_is_reached_by_what_runs_off_it(self) -> None:
        here = Descents(falling(room(10, 8, perimeter_tight=False), -0.01, 0.0), Point(8.03, 4.02))
        assert here.reaches(0.2, Point(50, 4), 0.001, WATER, cautious=True)
        held = Descents(falling(room(10, 8), -0.01, 0.0), Point(8.03, 4.02))
        assert not held.reaches(0.2, Point(50, 4), 0.001, WATER, cautious=True)


@pytest.mark.parametrize(
    ("volume_m3", "film_m", "running", "words"),
    [
        (-0.1, 0.001, WATER, "spilt volume: expected 0 m³ or more, found -0.1"),
        (math.nan, 0.001, WATER, "spilt volume"),
        (0.1, 0.0, WATER, "film depth: expected more than 0 m, found 0"),
        (0.1, math.inf, WATER, "film depth"),
        (0.1, 0.001, Running(0.0, 1e-4), "viscosity"),
        (0.1, 0.001, Running(1e-6, math.nan), "leak"),
    ],
)
def test_refused_spills(volume_m3: float, film_m: float, running: Running, words: str) -> None:
    here = Descents(falling(room(), -0.01, 0.0), Point(2, 4))
    with pytest.raises(GeometryRefused, match=words):
        here.descent(volume_m3, film_m, running, cautious=True)


def test_refused_range_and_place() -> None:
    floor = falling(room(), -0.01, 0.0)
    with pytest.raises(GeometryRefused, match="thin end first"):
        Descents(floor, Point(2, 4)).reaches_within(0.1, Point(5, 4), 0.002, 0.001, WATER, cautious=True)
    with pytest.raises(GeometryRefused, match="expected free floor within"):
        Descents(floor, Point(-5, 4))


slopes = st.floats(-0.03, 0.03)


@settings(max_examples=25)
@given(rooms(3), places(), slopes, slopes, st.floats(0.001, 0.3))
def test_law_volume_is_kept_and_no_tight_wall_is_crossed(
    plan: FloorPlan, at: Point, east: float, north: float, volume_m3: float
) -> None:
    if not stand_clear(plan, at) or max(abs(east), abs(north)) < 0.002:
        return
    here = Descents(falling(plan, east, north, cell_m=0.2), at)
    found = here.descent(volume_m3, 0.001, WATER, cautious=True)
    total_m3 = found.on_floor_m3 + found.lost_m3 + found.drained_m3
    assert total_m3 == pytest.approx(volume_m3, abs=1e-11, rel=1e-9)
    layout = here.falling.floor.passing.layout()
    index = layout.compartment_at(here.source)
    assert index is not None
    assert found.shape.is_valid
    assert found.shape.difference(layout.compartments[index].buffer(1e-5)).area < 1e-9


@settings(max_examples=25)
@given(rooms(2), places(), slopes, slopes, st.floats(0.001, 0.2), st.floats(1.0, 2.0))
def test_law_more_liquid_never_wets_less(
    plan: FloorPlan, at: Point, east: float, north: float, volume_m3: float, factor: float
) -> None:
    if not stand_clear(plan, at) or max(abs(east), abs(north)) < 0.002:
        return
    here = Descents(falling(plan, east, north, cell_m=0.2), at)
    less = here.descent(volume_m3, 0.001, WATER, cautious=True).depths_m
    more = here.descent(volume_m3 * factor, 0.001, WATER, cautious=True).depths_m
    assert (more >= less - 1e-9).all()


@settings(max_examples=20)
@given(st.floats(0.002, 0.03), st.floats(1.05, 3.0))
def test_law_a_steeper_fall_needs_less_to_reach_the_drain(slope: float, factor: float) -> None:
    drain = box(15.9, 3.9, 16.1, 4.1)
    needs = [
        Descents(falling(room(20, 8), -steep, 0.0), Point(6.03, 4.02)).needed_m3(
            0.5, drain, 0.001, WATER, cautious=True
        )
        for steep in (slope, min(slope * factor, 0.09))
    ]
    assert needs[0] is not None
    assert needs[1] is not None
    assert needs[1] <= needs[0]


@settings(max_examples=15)
@given(rooms(2), places(), slopes, slopes)
def test_law_a_mirrored_or_turned_floor_gives_the_mirrored_answer(
    plan: FloorPlan, at: Point, east: float, north: float
) -> None:
    if not stand_clear(plan, at) or min(abs(east), abs(north), abs(abs(east) - abs(north))) < 0.002:
        return
    straight = Descents(falling(plan, east, north), at).descent(0.05, 0.001, WATER, cautious=True)
    mirrored_plan = _moved(plan, [-1, 0, 0, 1, WIDTH_M, 0])
    mirrored = Descents(falling(mirrored_plan, -east, north), Point(WIDTH_M - at.x, at.y))
    found = mirrored.descent(0.05, 0.001, WATER, cautious=True)
    _as_good_as(found.shape, affinity.affine_transform(straight.shape, [-1, 0, 0, 1, WIDTH_M, 0]), straight.area_m2)
    turned_plan = _moved(plan, [0, -1, 1, 0, DEPTH_M, 0])
    turned = Descents(falling(turned_plan, -north, east), Point(DEPTH_M - at.y, at.x))
    found = turned.descent(0.05, 0.001, WATER, cautious=True)
    _as_good_as(found.shape, affinity.affine_transform(straight.shape, [0, -1, 1, 0, DEPTH_M, 0]), straight.area_m2)


def _moved(plan: FloorPlan, matrix: list[float]) -> FloorPlan:
    return FloorPlan(
        outline=affinity.affine_transform(plan.outline, matrix),
        perimeter_tight=plan.perimeter_tight,
        barriers=tuple(
            wall(*affinity.affine_transform(barrier.line, matrix).coords, tight=barrier.tight)
            for barrier in plan.barriers
        ),
    )


def _as_good_as(one: BaseGeometry, other: BaseGeometry, area_m2: float) -> None:
    """Two shapes differ by no more than cells along their edge, where equal distances are ordered by chance."""
    assert one.symmetric_difference(other).area <= 0.1 * area_m2 + 0.2


@pytest.mark.parametrize("slope", [1e-6, 1e-5])
def test_limit_without_slope_is_the_level_pool(slope: float) -> None:
    floor = falling(room(20, 16), -slope, 0.0)
    found = Descents(floor, Point(10.03, 8.02)).descent(DRUM_M3, FILM_M, WATER, cautious=True)
    level = spread(floor.floor, Point(10.03, 8.02)).pool(DRUM_M3, FILM_M, cautious=True)
    assert found.area_m2 == pytest.approx(level.area_m2, rel=1e-3)
    assert level.shape.difference(found.shape.buffer(0.1)).area < 1e-6


def test_cells_of_the_grid_carry_the_depths() -> None:
    found = Descents(falling(room(10, 8), -0.01, 0.0), Point(2.05, 4.05)).descent(0.01, 0.001, WATER, cautious=True)
    assert found.depths_m.shape == (80, 100)
    assert np.count_nonzero(found.depths_m > 1e-9) == round(0.01 / 0.001 / 0.01)
    assert found.depths_m[40, 20] == pytest.approx(0.001)
