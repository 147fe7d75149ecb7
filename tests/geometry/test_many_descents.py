"""Many spills down one floor at once: what each alone does; places that share a cell share a way; refusals."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import LineString, Point, box
from shapely.geometry.base import BaseGeometry

from geometry.descent import NARROW, WIDE, Descents, FallingFloor
from geometry.errors import GeometryRefused
from geometry.floor import FloorPlan
from geometry.many_descents import ManyDescents, arriving_m3, joined
from geometry.relief import Fall
from geometry.running import Running
from geometry.spill_reach import joint_shape
from tests.geometry.floors import places, room, rooms, stand_clear, wall
from tests.geometry.slopes import WATER, dished, falling

PLACES = [Point(4.03, 2.02), Point(4.07, 2.04), Point(16.5, 6.1), Point(9.03, 7.52), Point(2.22, 6.6)]
TARGETS: list[BaseGeometry] = [
    Point(12, 4), LineString([(2, 7.5), (6, 7.5)]), box(18, 1, 18.5, 1.5), Point(8.2, 2), Point(50, 4)
]  # fmt: skip


def bent() -> FallingFloor:
    """Walls of which one may pass, a low lip, an open edge, a dish: no two readings alike."""
    plan = room(
        20, 8, perimeter_tight=None,
        barriers=(wall((8, 0), (8, 5), tight=None), wall((14, 0.3), (12.1, 8), height_m=0.002), wall((0, 5), (5, 5))),
    )  # fmt: skip
    return dished(plan, Fall("D", Point(12, 4), 0.02, 3.0), Fall("E", Point(5, 7), 0.01, None))


@pytest.mark.parametrize("cautious", [True, False])
@pytest.mark.parametrize(("film_m", "run"), [(0.001, NARROW), (0.003, WIDE)])
def test_needs_of_many_are_those_of_each_alone(film_m: float, run: Running, *, cautious: bool) -> None:
    floor = bent()
    place = np.array([0, 1, 2, 3, 4, 0, 3])
    volume_m3 = np.array([0.2, 0.2, 0.2, 0.06, 0.01, 0.05, 0.2])
    tolerance_m = np.where((np.arange(7)[:, None] + np.arange(5)) % 3 == 0, 0.5, 0.0)
    found = ManyDescents(floor, PLACES).needed_m3(
        place, volume_m3, TARGETS, tolerance_m, film_m, run, cautious=cautious
    )
    alone = [
        [
            Descents(floor, PLACES[at]).needed_m3(
                volume, target, film_m, run, cautious=cautious, tolerance_m=float(tolerance_m[row, column])
            )
            for column, target in enumerate(TARGETS)
        ]
        for row, (at, volume) in enumerate(zip(place.tolist(), volume_m3.tolist(), strict=True))
    ]
    assert found.tolist() == [[math.inf if one is None else one for one in each] for each in alone]
    assert 0 < np.isfinite(found).sum() < found.size


def test_critical_depths_of_many_are_those_of_each_alone() -> None:
    floor = bent()
    many = ManyDescents(floor, PLACES)
    place, volume_m3 = np.arange(5), np.full(5, 0.15)
    from_m = np.zeros((5, 5))
    from_m[2, 1] = math.inf
    exact, unknown = np.zeros((5, 5)), np.full((5, 5), math.inf)
    found = many.critical_depths_m(place, volume_m3, TARGETS, exact, from_m, unknown, NARROW, cautious=True)
    for row, column in np.argwhere(from_m == 0).tolist():
        alone = Descents(floor, PLACES[row]).critical_depth_m(0.15, TARGETS[column], NARROW, cautious=True)
        assert found[row, column] == pytest.approx(math.nan if alone is None else alone, rel=0, abs=0, nan_ok=True)
    assert math.isnan(found[2, 1])


@settings(max_examples=15)
@given(rooms(2), st.lists(places(), min_size=1, max_size=3), st.floats(0.004, 0.03), st.floats(0.001, 0.2))
def test_law_what_many_wet_is_what_each_alone_wets(
    plan: FloorPlan, at: list[Point], slope: float, volume_m3: float
) -> None:
    at = [each for each in at if stand_clear(plan, each)]
    floor = falling(plan, -slope, slope / 3, cell_m=0.2)
    place, volumes = np.arange(len(at)), np.full(len(at), volume_m3)
    many = ManyDescents(floor, at)
    for each, wet in zip(at, many.wet(place, volumes, 0.001, WATER, readings=(True, False)), strict=True):
        alone = [Descents(floor, each).descent(volume_m3, 0.001, WATER, cautious=how) for how in (True, False)]
        assert wet.area_m2 == max(one.area_m2 for one in alone)
        assert wet.depth_m == max(one.depth_m for one in alone)
        assert wet.lost_m3 == max(one.lost_m3 for one in alone)
        joint = joint_shape(one.shape for one in alone)
        assert wet.shape.is_valid
        assert wet.shape.symmetric_difference(joint).area < 1e-6
        assert wet.shape.area == pytest.approx(joint.area, abs=1e-6)


def test_spills_of_one_volume_from_one_cell_are_one() -> None:
    many = ManyDescents(falling(room(), -0.01, 0.0), PLACES[:2])
    same, other, more = many.wet(np.array([0, 1, 0]), np.array([0.1, 0.1, 0.2]), 0.001, WATER, readings=(True,))
    assert same is other
    assert more.area_m2 > same.area_m2


@pytest.mark.parametrize("cautious", [True, False])
def test_what_is_known_to_have_got_nowhere_near_is_told_as_by_running_again(*, cautious: bool) -> None:
    place, volume_m3 = np.arange(5), np.array([0.2, 0.02, 0.2, 0.002, 0.05])
    asked = place, volume_m3, TARGETS, np.full((5, 5), 0.3)
    anew = ManyDescents(bent(), PLACES).needed_m3(*asked, 0.001, WATER, cautious=cautious)
    many = ManyDescents(bent(), PLACES)
    many.wet(place, volume_m3, 0.001, WATER, readings=many.readings)
    assert len(many.falling.traces) > 5
    assert many.needed_m3(*asked, 0.001, WATER, cautious=cautious).tolist() == anew.tolist()
    # The second time most of them did not run.
    assert np.isinf(anew).any()
    assert np.isfinite(anew).any()


@pytest.mark.parametrize("known", [True, False])
def test_the_most_of_a_range_is_above_nothing_where_any_film_gets_there(*, known: bool) -> None:
    floor = bent()
    many = ManyDescents(floor, PLACES)
    place, volume_m3 = np.arange(5), np.array([0.2, 0.02, 0.2, 0.03, 0.05])
    if known:
        many.wet(place, volume_m3, 0.001, WATER, readings=many.readings)
    for cautious in many.readings:
        most, unknown = many.most_m3(
            place, volume_m3, TARGETS, np.full((5, 5), 0.3), 0.001, 0.004, WATER, cautious=cautious
        )
        for row, at in enumerate(PLACES):
            here = Descents(floor, at)
            for column, target in enumerate(TARGETS):
                reached = here.reaches_within(
                    float(volume_m3[row]), target, 0.001, 0.004, WATER, cautious=cautious, tolerance_m=0.3
                )
                assert (most[row, column] > 0) == reached
        assert (most <= volume_m3[:, None]).all()
        assert unknown.any()


def test_what_comes_beside_nothing_unknown_runs_once_for_both_readings() -> None:
    plan = room(20, 8, barriers=(wall((16, 0), (16, 8), tight=None),))
    many = ManyDescents(falling(plan, -0.01, 0.0), [Point(2.03, 4.02), Point(14.03, 4.02), Point(17.03, 4.02)])
    assert many.readings == (True, False)
    place, volume_m3 = np.arange(3), np.full(3, 0.02)
    near, stopped, beyond = many.wet(place, volume_m3, 0.001, WATER, readings=(True, False))
    _, unknown = many.most_m3(place, volume_m3, TARGETS[:1], np.zeros((3, 1)), 0.001, 0.002, WATER, cautious=True)
    assert unknown.tolist() == [False, True, False]
    assert [len(each._on) for each in (near, stopped, beyond)] == [1, 2, 1]
    # Where the wall holds the liquid stands before it, where it does not it runs on: both ways it wets what is above.
    assert stopped.shape.bounds[2] > 16.5
    assert stopped.common_shape.bounds[2] <= 16
    assert stopped.common_shape.bounds[2] > 15.5
    assert stopped.common_m2 == pytest.approx(stopped.common_shape.area, abs=1e-6)
    assert near.common_shape.equals(near.shape)


def test_tongues_joined_are_wet_where_any_is() -> None:
    many = ManyDescents(falling(room(20, 8), -0.01, 0.0), [Point(2.03, 4.02)])
    one = np.array([0]), np.array([0.05])
    wide, narrow = (many.wet(*one, 0.001, each, readings=(True,))[0] for each in (WIDE, NARROW))
    both = joined([wide, narrow])
    assert both.shape.symmetric_difference(wide.shape.union(narrow.shape)).area < 1e-6
    assert both.common_shape.symmetric_difference(wide.shape.intersection(narrow.shape)).area < 1e-6
    assert both.area_m2 == max(wide.area_m2, narrow.area_m2)
    assert joined([wide]).shape.equals(wide.shape)
    with pytest.raises(GeometryRefused, match="wet areas to join: expected some with one film, found 0"):
        joined([])
    with pytest.raises(GeometryRefused, match="found 2 with several"):
        joined([wide, many.wet(*one, 0.002, WIDE, readings=(True,))[0]])


def test_what_arrives_with_the_last_drop_is_more_than_nothing() -> None:
    found = arriving_m3(np.array([0.2, 0.1]), np.array([[0.05, math.inf], [0.1, 0.0]]))
    assert found[0].tolist() == pytest.approx([0.15, 0.0])
    assert 0 < found[1, 0] < 1e-12
    assert found[1, 1] == 0.1


def test_a_kerb_across_the_slope_by_hand() -> None:
    # 4 m of a room 8 m wide lie above a kerb 20 mm high across 1 %: it holds 8 × 0.02² / (2 × 0.01) = 0.16 m³, and what
    # is just below it gets its first liquid then.
    plan = room(20, 8, barriers=(wall((8, 0), (8, 8), height_m=0.02),))
    many = ManyDescents(falling(plan, -0.01, 0.0), [Point(4.03, 4.02)])
    targets = [box(8.1, 0, 8.2, 8)]
    (needed,) = many.needed_m3(
        np.array([0]), np.array([0.3]), targets, np.zeros((1, 1)), 1e-4, WATER, cautious=True
    ).tolist()
    assert needed[0] == pytest.approx(0.16, rel=0.05)
    assert many.lips_m(1e-4, 0.03, cautious=True) == (0.02,)
    assert many.lips_m(0.02, 0.03, cautious=True) == ()


def test_readings_that_are_the_same_are_asked_once() -> None:
    assert ManyDescents(falling(room(), -0.01, 0.0), []).readings == (True,)
    assert ManyDescents(bent(), []).readings == (True, False)


def test_nothing_asked_is_nothing_found() -> None:
    many = ManyDescents(falling(room(), -0.01, 0.0), PLACES[:1])
    none, one = np.array([], dtype=np.int64), np.array([0])
    assert many.needed_m3(none, np.array([]), TARGETS, np.zeros((0, 5)), 0.001, WATER, cautious=True).shape == (0, 5)
    assert many.needed_m3(one, np.array([0.1]), [], np.zeros((1, 0)), 0.001, WATER, cautious=True).shape == (1, 0)
    assert many.wet(none, np.array([]), 0.001, WATER, readings=(True,)) == []
    (dry,) = many.wet(one, np.array([0.0]), 0.001, WATER, readings=(True,))
    assert dry.shape.is_empty
    assert dry.area_m2 == dry.depth_m == dry.lost_m3 == 0


@pytest.mark.parametrize(
    ("volume_m3", "tolerance_m", "film_m", "words"),
    [
        ([-0.1], [[0.0]], 0.001, "spilt volumes: expected 0 m³ or more"),
        ([math.nan], [[0.0]], 0.001, "spilt volumes"),
        ([0.1], [[-1.0]], 0.001, "tolerance: expected 0 m or more"),
        ([0.1, 0.1], [[0.0]], 0.001, "expected 1 volumes and 1 × 1 tolerances, found 2 and 1 × 1"),
        ([0.1], [[0.0]], 0.0, "film depth"),
        ([0.1], [[0.0]], math.nan, "film depth"),
    ],
)
def test_refused(volume_m3: list[float], tolerance_m: list[list[float]], film_m: float, words: str) -> None:
    many = ManyDescents(falling(room(), -0.01, 0.0), PLACES[:1])
    with pytest.raises(GeometryRefused, match=words):
        many.needed_m3(
            np.array([0]), np.array(volume_m3), [Point(3, 3)], np.array(tolerance_m), film_m, WATER, cautious=True
        )


def test_refused_place_and_range() -> None:
    floor = falling(room(), -0.01, 0.0)
    with pytest.raises(GeometryRefused, match="expected free floor within"):
        ManyDescents(floor, [Point(-5, 4)])
    with pytest.raises(GeometryRefused, match="thin end first"):
        ManyDescents(floor, []).lips_m(0.002, 0.001, cautious=True)
