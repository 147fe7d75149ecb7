"""First arrival of one drum's liquid: the closed laws at the distances and films that the floor was judged with."""

from typing import Any

import pytest

from geometry.similarity import axisymmetric_time_s
from reports.assessment import DrainTime, FloorAssessment, LeakTime, Verdict
from reports.floors.leaks import reference_leaks
from tests.builders import SurveyBuilder, rectangle
from tests.reports.judged import a_store, judged_floor, stock

TOLUENE_M2_S = 0.59e-3 / 867
AT: dict[str, Any] = {"position_source": "measured"}


def drain_at(metres: float, product: str | None = "toluene", *, fields: dict[str, Any] | None = None) -> SurveyBuilder:
    """Build a store with one drum in its middle and a gully so far east of it."""
    build = SurveyBuilder()
    given: dict[str, Any] = {"finish": "bare concrete", "levelness": "recorded level", "perimeter_tight": "yes"}
    build.floor(width_m=20, depth_m=20, **(given | (fields or {})))
    build.zone("All", rectangle(0, 0, 20, 20))
    build.drain("D1", (10 + metres, 10), **AT)
    stock(build, "P1", (10, 10), product)
    return build


def the_time(floor: FloorAssessment) -> DrainTime:
    (time,) = (each for each in floor.drain_times if each.target == "drain D1")
    return time


def leak_of(time: DrainTime, name: str) -> LeakTime:
    (found,) = (each for each in time.leaks if each.leak == name)
    return found


def test_late_end_is_when_the_thick_film_covers_the_way() -> None:
    # A disc of 2 m at 5 mm is 62.8 L, out of the 10 mm hole in 5.9 min.
    hole = leak_of(the_time(judged_floor(drain_at(2.0))), "10 mm hole")
    leak = reference_leaks(208.0, 208.0)[0].leak
    assert hole.late_min == pytest.approx(leak.when_out_s(0.0628) / 60, rel=0.02)
    assert hole.first_l_min == pytest.approx(11.5, rel=0.01)


def test_early_end_is_the_thin_film_or_the_spreading_within_the_tolerance_of_positions() -> None:
    time = the_time(judged_floor(drain_at(2.0)))
    near_m = 2.0 - 0.0707
    leaks = {each.name: each.leak for each in reference_leaks(208.0, 208.0)}
    film_s = leaks["10 mm hole"].when_out_s(3.1416 * near_m**2 * 0.0028)
    spread_s = float(
        axisymmetric_time_s(near_m, nu_m2_s=TOLUENE_M2_S, flow_m3_s=float(leaks["10 mm hole"].flow_m3_s[0]))
    )
    assert leak_of(time, "10 mm hole").early_min == pytest.approx(max(film_s, spread_s) / 60, rel=0.02)
    slot = leak_of(time, "100 × 10 mm slot")
    assert slot.early_min is not None
    assert slot.early_min < 1
    assert time.early_min <= slot.early_min


def test_a_fall_within_the_tolerance_of_a_level_floor_is_said_apart_and_counts_in_the_soonest() -> None:
    time = the_time(judged_floor(drain_at(3.0)))
    hole = leak_of(time, "10 mm hole")
    assert hole.falling_min is not None
    assert hole.early_min is not None
    assert hole.falling_min < hole.early_min / 3
    assert time.early_min <= hole.falling_min


def test_where_nobody_recorded_how_the_floor_falls_it_may_fall_that_way() -> None:
    level, unknown = (
        leak_of(the_time(judged_floor(drain_at(3.0, fields={"levelness": levelness}))), "10 mm hole")
        for levelness in ("recorded level", "unknown")
    )
    assert unknown.early_min is not None
    assert unknown.falling_min is None
    assert unknown.early_min <= (level.falling_min or 0.0)
    assert unknown.late_min == level.late_min


def test_a_surveyed_fall_towards_the_drain_brings_it_sooner_and_one_away_from_it_has_no_latest() -> None:
    def with_levels(east_mm: float) -> LeakTime:
        build = drain_at(3.0, fields={"levelness": "surveyed"})
        for x, y in ((0, 0), (20, 0), (20, 20), (0, 20)):
            build.level((x, y), east_mm if x else 0)
        return leak_of(the_time(judged_floor(build)), "10 mm hole")

    level = leak_of(the_time(judged_floor(drain_at(3.0))), "10 mm hole")
    towards, away = with_levels(-400), with_levels(400)
    assert towards.early_min is not None
    assert towards.early_min < (level.early_min or 0.0) / 3
    assert towards.late_min is not None
    assert towards.late_min < (level.late_min or 0.0)
    assert away.late_min is None
    assert away.early_min == level.early_min


def test_a_may_reach_has_no_latest() -> None:
    time = the_time(judged_floor(drain_at(4.2)))
    assert time.verdict is Verdict.MAY_REACH
    assert time.late_min is None


def test_unknown_viscosity_is_a_solvent_for_the_early_end_and_an_oil_for_the_late_one() -> None:
    known, unknown = (the_time(judged_floor(drain_at(3.0, product))) for product in ("toluene", None))
    assert known.viscosity_known
    assert not unknown.viscosity_known
    for name in ("10 mm hole", "100 × 10 mm slot"):
        assert (leak_of(unknown, name).early_min or 9) <= (leak_of(known, name).early_min or 0)
        assert (leak_of(unknown, name).late_min or 0) > (leak_of(known, name).late_min or 9)


def test_a_drum_that_leaks_already_may_be_there_already() -> None:
    build = drain_at(2.0)
    build.pallet("P2", (10, 8), **AT)
    build.drum("P2-1", "toluene", fill_pct=100, capacity_l=208, offset=(0, 0), breaches=[{"kind": "pinhole"}])
    times = [each for each in judged_floor(build).drain_times if each.target == "drain D1"]
    (leaking,) = (each for each in times if each.pallet == "P2")
    assert leaking.early_min == 0
    recorded = [each for each in leaking.leaks if each.recorded]
    assert [each.leak for each in recorded] == ["pinhole of P2-1"]
    assert "taken as a 10 mm hole" in recorded[0].why
    assert leaking is times[0]


def test_a_drain_that_is_cut_off_gets_no_time() -> None:
    build = drain_at(3.0)
    build.wall("W", [(11.5, 0), (11.5, 20)], tight_at_floor="yes")
    assert judged_floor(build).drain_times == ()


def test_a_wall_that_hems_in_brings_it_sooner() -> None:
    build = drain_at(3.0)
    build.wall("S", [(0, 9), (20, 9)], tight_at_floor="yes")
    build.wall("N", [(0, 11), (20, 11)], tight_at_floor="yes")
    hemmed, open_floor = (leak_of(the_time(judged_floor(each)), "10 mm hole") for each in (build, drain_at(3.0)))
    assert (hemmed.late_min or 99) < (open_floor.late_min or 0)
    assert (hemmed.early_min or 99) < (open_floor.early_min or 0)


def test_a_door_in_the_pool_is_timed_and_one_beyond_it_is_not() -> None:
    build = a_store()
    build.door("West door", [(0, 4), (0, 6)])
    build.door("East door", [(20, 4), (20, 6)])
    stock(build, "P1", (2, 5), "toluene")
    times = judged_floor(build).drain_times
    assert [(each.target, each.pallet, each.zone) for each in times] == [("door West door", "P1", "All")]
    assert times[0].verdict is Verdict.REACHES


def test_a_way_through_a_sump_has_the_time_to_the_sump_and_no_latest() -> None:
    build = a_store()
    build.bund("B", rectangle(2, 2, 6, 6), height_mm=60, tight_at_floor="yes")
    sump = build.sump("S1", (7, 5))
    drain = build.drain("D1", (18, 5), **AT)
    build.pipe("S1-D1", sump, drain, valve="open")
    stock(build, "P1", (4, 5), "toluene")
    time = the_time(judged_floor(build))
    assert time.way == "through sump S1"
    assert time.late_min is None
    assert time.litres is None
    hole = leak_of(time, "10 mm hole")
    flow = float(reference_leaks(208.0, 208.0)[0].leak.flow_m3_s[0])
    assert hole.early_min == pytest.approx(
        float(axisymmetric_time_s(2.95, nu_m2_s=TOLUENE_M2_S, flow_m3_s=flow)) / 60, rel=0.05
    )


def of_pallet(floor: FloorAssessment, target: str, pallet: str) -> DrainTime:
    (found,) = (each for each in floor.drain_times if (each.target, each.pallet) == (target, pallet))
    return found


def test_every_lot_that_wets_a_door_is_timed_also_the_one_that_leaks_already_behind_a_nearer_one() -> None:
    build = a_store(perimeter_tight="yes")
    build.door("West door", [(0, 4), (0, 6)], tight_at_floor="yes")
    stock(build, "P1", (1.5, 5), "toluene")
    stock(build, "P2", (2.5, 5), "toluene", breaches=[{"kind": "pinhole"}])
    floor = judged_floor(build)
    assert of_pallet(floor, "door West door", "P1").early_min > 0
    assert of_pallet(floor, "door West door", "P2").early_min == 0


def test_a_nearly_empty_nearest_drum_does_not_hide_the_full_one_behind_it() -> None:
    build = a_store()
    build.door("West door", [(0, 4), (0, 6)])
    build.pallet("P1", (2.5, 5), **AT)
    build.drum("P1-1", "toluene", fill_pct=100, capacity_l=208, offset=(0.3, 0))
    build.drum("P1-2", "toluene", fill_pct=0.5, capacity_l=208, offset=(-0.3, 0))
    full = a_store()
    full.door("West door", [(0, 4), (0, 6)])
    full.pallet("P1", (2.5, 5), **AT)
    full.drum("P1-1", "toluene", fill_pct=100, capacity_l=208, offset=(0.3, 0))
    both, alone = (of_pallet(judged_floor(each), "door West door", "P1") for each in (build, full))
    assert both.leaks == alone.leaks


def test_every_lot_in_a_bund_leaves_through_its_sump() -> None:
    build = a_store()
    build.bund("B", rectangle(2, 2, 6, 6), height_mm=60, tight_at_floor="yes")
    build.pipe("S1-D1", build.sump("S1", (7, 5)), build.drain("D1", (18, 5), **AT), valve="open")
    stock(build, "P1", (6, 5), "toluene")
    stock(build, "P2", (4, 5), "acetone")
    times = [each for each in judged_floor(build).drain_times if each.way == "through sump S1"]
    assert [each.pallet for each in times] == ["P1", "P2"]


def test_a_drum_that_leaks_already_has_its_own_latest_from_where_it_stands() -> None:
    build = drain_at(2.0)
    build.pallet("P2", (10, 8), **AT)
    build.drum("P2-1", "toluene", fill_pct=100, capacity_l=208, offset=(0, 0), breaches=[{"kind": "bung weep"}])
    build.drum("P2-2", "toluene", fill_pct=100, capacity_l=208, offset=(0.6, 0.6))
    time = of_pallet(judged_floor(build), "drain D1", "P2")
    (leaking,) = (each for each in time.leaks if each.recorded)
    assert time.late_min == leaking.late_min
    # Its own way is the diagonal of 2 m, not that of the other drum, which is nearer.
    alone = drain_at(2.0)
    alone.pallet("P2", (10, 8), **AT)
    alone.drum("P2-1", "toluene", fill_pct=100, capacity_l=208, offset=(0, 0), breaches=[{"kind": "bung weep"}])
    (same,) = (each for each in of_pallet(judged_floor(alone), "drain D1", "P2").leaks if each.recorded)
    assert leaking == same


def test_where_the_outer_wall_lets_the_thick_pool_out_there_is_no_latest() -> None:
    def late(perimeter: str) -> float | None:
        build = SurveyBuilder()
        build.floor(
            width_m=20, depth_m=20, finish="bare concrete", levelness="recorded level", perimeter_tight=perimeter
        )
        build.zone("All", rectangle(0, 0, 20, 20))
        build.drain("D1", (2, 10), **AT)
        stock(build, "P1", (1, 10), "toluene")
        return the_time(judged_floor(build)).late_min

    assert late("yes") is not None
    assert late("no") is None
    assert late("unknown") is None


def test_what_only_may_reach_has_no_latest_though_the_cautious_floor_is_covered_by_the_thick_film() -> None:
    build = drain_at(3.0)
    build.wall("W", [(11.5, 0), (11.5, 20)], tight_at_floor="unknown")
    time = the_time(judged_floor(build))
    assert time.verdict is Verdict.MAY_REACH
    assert time.late_min is None
    assert {each.late_min for each in time.leaks} == {None}


def test_there_is_a_latest_where_the_place_is_reached_before_the_pool_gets_to_the_edge_of_the_map() -> None:
    build = a_store()
    build.drain("D1", (4, 5), **AT)
    stock(build, "P1", (3, 5), "toluene")
    assert the_time(judged_floor(build)).late_min is not None
