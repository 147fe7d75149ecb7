"""The worst case within the tolerance of a level floor: wider than the thin pool, and behind no tight wall."""

import pytest
from shapely import Point

from tests.builders import SurveyBuilder
from tests.reports.judged import a_store, judged_floor, stock


def test_it_holds_the_thin_level_pool_and_ends_at_tight_walls() -> None:
    build = a_store(perimeter_tight="yes")
    build.wall("W", [(12, 0), (12, 10)], tight_at_floor="yes")
    stock(build, "P1", (6, 5), "toluene", capacity_l=30)
    floor = judged_floor(build)
    (pallet,) = floor.pallets
    assert pallet.one_drum is not None
    assert pallet.tilted is not None
    assert pallet.tilted.shape.buffer(1e-6).covers(pallet.one_drum.thin.shape)
    assert not pallet.tilted.shape.intersects(Point(12.1, 5))
    assert pallet.tilted.litres == 30
    # 38.1 mm over the length of the way.
    assert pallet.tilted.tilt_pct / 100 * pallet.tilted.reach_m == pytest.approx(0.0381)
    assert "±19 mm" in floor.tilt_model
    assert "38 mm lower" in floor.tilt_model


def test_it_begins_wherever_a_drum_of_the_pallet_stands() -> None:
    build = a_store()
    stock(build, "P1", (10, 5), "toluene", capacity_l=5)
    middle = judged_floor(build).pallets[0].tilted
    beside = SurveyBuilder()
    beside.floor(width_m=20, depth_m=10, finish="bare concrete", levelness="recorded level", perimeter_tight="no")
    stock(beside, "P1", (10, 5), "toluene", capacity_l=5, offset=(0.4, 0.3))
    off = judged_floor(beside).pallets[0].tilted
    assert middle is not None
    assert off is not None
    assert off.reach_m == pytest.approx(middle.reach_m + 0.5)


def test_a_part_filled_drum_trickles_and_so_gets_farther_than_by_the_flow_of_a_full_one() -> None:
    build = a_store(finish="sealed")
    stock(build, "P1", (10, 5), "toluene", capacity_l=208.198, fill_pct=10)
    tilted = judged_floor(build).pallets[0].tilted
    assert tilted is not None
    # The flow on a grid gets 13.9 m down that slope (tests/external); by the first flow of a full drum it were 11.2 m.
    assert tilted.reach_m > 13.9


def test_a_corridor_that_holds_a_pool_together_is_in_it() -> None:
    build = SurveyBuilder()
    build.floor(width_m=60, depth_m=1, finish="sealed", levelness="recorded level", perimeter_tight="yes")
    stock(build, "P1", (2, 0.5), "toluene", capacity_l=30)
    (pallet,) = judged_floor(build).pallets
    assert pallet.one_drum is not None
    assert pallet.tilted is not None
    # 30 L at 0.7 mm fill 43 m of it.
    assert pallet.one_drum.thin.shape.bounds[2] > 40
    assert pallet.tilted.shape.buffer(1e-6).covers(pallet.one_drum.thin.shape)


def test_there_is_none_without_liquid_and_where_the_floor_falls_by_its_record() -> None:
    build = a_store()
    stock(build, "P1", (6, 5), "toluene", fill_pct=0)
    assert judged_floor(build).pallets[0].tilted is None
    falling = a_store()
    falling.drain("D", (2, 2), fall_pct=1)
    stock(falling, "P1", (6, 5), "toluene")
    floor = judged_floor(falling)
    assert floor.pallets[0].tilted is None
    assert floor.tilt_model == "the floor falls by its record"


def test_levels_on_one_line_leave_everything_that_lies_no_higher_along_it() -> None:
    build = SurveyBuilder()
    build.floor(width_m=60, depth_m=60, finish="bare concrete", levelness="surveyed", perimeter_tight="yes")
    build.level((0, 30), 0)
    build.level((60, 30), 300)
    stock(build, "P1", (40, 30), "toluene", fill_pct=10)
    floor = judged_floor(build)
    (pallet,) = floor.pallets
    assert pallet.tilted is not None
    assert pallet.one_drum is not None
    assert pallet.tilted.tilt_pct == pytest.approx(0.5 * 2**0.5)
    west, south, east, north = pallet.tilted.shape.bounds
    assert 40 - west == pytest.approx(pallet.tilted.reach_m, rel=0.01)
    assert north - south == pytest.approx(2 * pallet.tilted.reach_m, rel=0.01)
    # Two readings of one level may differ by 6 mm, 1.2 m on 0.5 %; the level pool of 20.8 L reaches 1.54 m.
    assert east - 40 == pytest.approx(1.54, abs=0.1)
    assert "on one line" in floor.tilt_model
