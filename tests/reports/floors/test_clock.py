"""The first hour of a storage zone and of a drain: in order of time, against who is on the way, unknowns said."""

from typing import Any

import pytest

from reports.assessment import ClockKind, ClockLine, DrainClock, FloorAssessment, Order, Verdict
from reports.maps import grid_of
from reports.minutes import line_minutes
from reports.preplan.liquids import drain_part
from tests.builders import SurveyBuilder, rectangle
from tests.reports.judged import a_store, judged_floor, stock

AT: dict[str, Any] = {"position_source": "measured"}


def store(*, engine_min: float | None = 10, technicians_min: float | None = 40, **drain: Any) -> SurveyBuilder:
    """Build a store with one drum of toluene 2 m from a gully."""
    build = SurveyBuilder(travel_first_engine_min=engine_min, travel_technicians_min=technicians_min)
    build.floor(width_m=20, depth_m=20, finish="bare concrete", levelness="recorded level", perimeter_tight="yes")
    build.zone("All", rectangle(0, 0, 20, 20))
    build.drain("D1", (12, 10), **AT, **drain)
    stock(build, "P1", (10, 10), "toluene")
    return build


def clock(floor: FloorAssessment) -> tuple[ClockLine, ...]:
    (zone,) = floor.zones
    return zone.clock


def line(floor: FloorAssessment, kind: ClockKind) -> ClockLine:
    (found,) = (each for each in clock(floor) if each.kind is kind)
    return found


def the_drain(floor: FloorAssessment) -> DrainClock:
    (found,) = floor.drain_clocks
    return found


def test_lines_come_in_order_of_time_and_people_among_them() -> None:
    lines = clock(judged_floor(store()))
    assert [each.kind for each in lines] == [ClockKind.DRAIN, ClockKind.FIRST_ENGINE, ClockKind.TECHNICIANS]
    assert [each.early_min for each in lines[1:]] == [10, 40]
    assert lines[0].what == "Drain D1"
    assert "reaches from P1 (Toluene)" in lines[0].detail
    assert "10 mm hole" in lines[0].detail


@pytest.mark.parametrize(
    ("engine_min", "order", "says"),
    [
        (10, Order.BEFORE, "reached before: Drain D1"),
        (5, Order.MAYBE, "may be reached before: Drain D1"),
        (None, Order.UNKNOWN, "travel time not recorded"),
    ],
)
def test_a_drain_against_the_first_engine(engine_min: float | None, order: Order, says: str) -> None:
    # The 10 mm hole is there after 3.4 to 5.9 min.
    floor = judged_floor(store(engine_min=engine_min))
    assert line(floor, ClockKind.DRAIN).engine is order
    assert the_drain(floor).engine is order
    people = line(floor, ClockKind.FIRST_ENGINE)
    assert says in people.detail
    assert people.early_min == engine_min


def test_unknown_travel_times_stand_last_and_are_said() -> None:
    lines = clock(judged_floor(store(engine_min=None, technicians_min=None)))
    assert [each.early_min for each in lines[1:]] == [None, None]
    assert all("not recorded" in each.detail for each in lines[1:])


def test_a_drain_that_was_not_found_may_be_reached_at_any_time() -> None:
    build = store()
    build.drain("D2")
    floor = judged_floor(build)
    lost = clock(floor)[0]
    assert (lost.what, lost.early_min, lost.verdict) == ("Drain D2", None, Verdict.MAY_REACH)
    assert "may be reached before: Drain D2" in line(floor, ClockKind.FIRST_ENGINE).detail


def test_a_storage_zone_without_liquid_waits_for_people_only() -> None:
    build = a_store()
    build.drain("D1", (12, 5))
    stock(build, "P1", (10, 5), "sodium-hydrosulphite", net_mass_kg=110)
    assert {each.kind for each in clock(judged_floor(build))} == {ClockKind.FIRST_ENGINE, ClockKind.TECHNICIANS}


def test_a_bund_runs_over_by_sprinklers_by_hose_and_by_a_drum_larger_than_it() -> None:
    # 2 m² to a lip of 50 mm are 100 L: one hose of 125 US gal/min fills it in 12.7 s, the 10 mm hole in about 10 min.
    build = a_store()
    build.bund("B", rectangle(2, 2, 2, 1), height_mm=50, tight_at_floor="yes")
    stock(build, "P1", (3, 2.5), "toluene")
    lines = [each for each in clock(judged_floor(build)) if each.kind is ClockKind.OVERFLOW]
    by = {each.detail.split(" at ")[0]: each.early_min for each in lines}
    assert by["by water from one hose"] == pytest.approx(100 / 473.18, rel=0.001)
    assert by["by the leak of one drum (10 mm hole)"] == pytest.approx(10.1, rel=0.02)
    assert (by["by the leak of one drum (open 2 in bung)"] or 9) < 1
    assert {each.what for each in lines} == {"Bund B runs over its 50 mm (2.0 in) lip"}


def test_a_bund_that_holds_a_drum_is_not_filled_by_its_leak() -> None:
    build = a_store()
    build.bund("B", rectangle(2, 2, 5, 5), height_mm=50, tight_at_floor="yes")
    stock(build, "P1", (4, 4), "toluene")
    floor = judged_floor(build)
    (held,) = floor.containment
    assert [fill.minutes for fill in held.fills[1:]] == [None, None, None]
    details = [each.detail for each in clock(floor) if each.kind is ClockKind.OVERFLOW]
    assert details == ["by water from one hose at 473 L/min (125 US gal/min)"]


def test_a_bund_with_an_open_outlet_holds_nothing_from_the_start() -> None:
    build = a_store()
    build.bund("B", rectangle(2, 2, 5, 5), height_mm=50, tight_at_floor="unknown")
    stock(build, "P1", (4, 4), "toluene")
    (found,) = (each for each in clock(judged_floor(build)) if each.kind is ClockKind.OVERFLOW)
    assert (found.what, found.early_min) == ("Bund B holds nothing", 0)
    assert "not recorded tight" in found.detail


def test_a_proven_holding_tank_holds_what_is_free_and_fills_by_hose_and_leak() -> None:
    found = the_drain(judged_floor(store(joins="holding tank", proof="dye test", free_volume_l=1000, valve="no valve")))
    assert "1,000 L (264 US gal) free: holds the" in found.holds
    by = {fill.by: fill.minutes for fill in found.fills}
    assert by["water from one hose"] == pytest.approx(1000 / 473.18, rel=0.001)
    assert by["the leak of one drum (open 2 in bung)"] is None


@pytest.mark.parametrize(
    ("fields", "says"),
    [
        ({"free_volume_l": 100}, "100 L (26 US gal) free: does not hold the"),
        ({}, "not recorded: whether it holds one drum is not known"),
        ({"free_volume_l": 1000, "valve": "open"}, "holds nothing while its valve is open"),
        ({"free_volume_l": 1000, "valve": "shut"}, "not proven shut"),
        ({"free_volume_l": 1000, "proof": "operator"}, "is not proven: it counts as holding nothing"),
    ],
)
def test_a_holding_tank_that_does_not_hold_says_why(fields: dict[str, Any], says: str) -> None:
    given = {"joins": "holding tank", "proof": "dye test", "valve": "no valve"} | fields
    assert says in the_drain(judged_floor(store(**given))).holds


@pytest.mark.parametrize(
    ("product", "says"),
    [
        ("acetone", "the interceptor lets through Acetone"),
        ("toluene", "what reaches it floats"),
        (None, "the interceptor lets through not identified"),
        ("dichloromethane", "that Dichloromethane floats is not on record"),
    ],
)
def test_an_interceptor_holds_only_what_floats(product: str | None, says: str) -> None:
    build = SurveyBuilder()
    build.floor(width_m=20, depth_m=20, finish="bare concrete", levelness="recorded level", perimeter_tight="yes")
    build.zone("All", rectangle(0, 0, 20, 20))
    build.drain("D1", (12, 10), joins="interceptor", proof="dye test", valve="no valve", free_volume_l=500, **AT)
    stock(build, "P1", (10, 10), product)
    assert says in the_drain(judged_floor(build)).holds


def test_the_same_facts_give_the_same_clock() -> None:
    assert clock(judged_floor(store())) == clock(judged_floor(store()))


def two_ways(second_at: tuple[float, float], *, product: str = "toluene", **changes: Any) -> SurveyBuilder:
    """Build the store with a second drum, whatever its place, and a wall nobody knows the tightness of at x = 12.5."""
    build = store(**changes)
    build.wall("W", [(12.5, 0), (12.5, 20)], tight_at_floor="unknown")
    stock(build, "P2", second_at, product)
    return build


def test_the_soonest_that_only_may_reach_gives_the_early_end_and_the_surest_the_late_one() -> None:
    floor = judged_floor(two_ways((13, 10)))
    times = {each.pallet: each for each in floor.drain_times}
    assert times["P2"].verdict is Verdict.MAY_REACH
    assert times["P2"].early_min < times["P1"].early_min
    found = line(floor, ClockKind.DRAIN)
    assert (found.early_min, found.late_min) == (times["P2"].early_min, times["P1"].late_min)
    assert found.verdict is Verdict.REACHES
    assert "reaches from P1 (Toluene)" in found.detail
    assert "may be sooner from P2 (Toluene): from under 1 min" in found.detail
    drain = the_drain(floor)
    assert drain.first is times["P2"]
    assert drain.surest is times["P1"]
    assert drain.late_min == times["P1"].late_min


def test_the_order_asks_whether_the_soonest_may_be_there_before_people() -> None:
    # Through the slot the surest takes seconds, the one beside the gully less still.
    floor = judged_floor(two_ways((13, 10), engine_min=0.01))
    times = {each.pallet: each.early_min for each in floor.drain_times}
    assert times["P2"] < 0.01 <= times["P1"]
    assert line(floor, ClockKind.DRAIN).engine is Order.MAYBE
    assert the_drain(floor).engine is Order.MAYBE


def test_what_leaks_already_is_said_though_another_is_surer() -> None:
    build = store()
    build.wall("W", [(12.5, 0), (12.5, 20)], tight_at_floor="unknown")
    stock(build, "P2", (13, 10), "toluene", breaches=[{"kind": "bung weep"}])
    found = line(judged_floor(build), ClockKind.DRAIN)
    assert found.early_min == 0
    assert found.late_min is not None
    assert "leaking already (bung weep of P2-1)" in found.detail


def test_nothing_that_only_may_reach_is_reached_before_anybody() -> None:
    build = SurveyBuilder(travel_first_engine_min=30, travel_technicians_min=40)
    build.floor(width_m=20, depth_m=20, finish="bare concrete", levelness="recorded level", perimeter_tight="yes")
    build.zone("All", rectangle(0, 0, 20, 20))
    build.drain("D1", (12, 10), **AT)
    build.wall("W", [(11, 0), (11, 20)], tight_at_floor="unknown")
    stock(build, "P1", (10, 10), "toluene")
    floor = judged_floor(build)
    assert line(floor, ClockKind.DRAIN).engine is Order.MAYBE
    assert line(floor, ClockKind.FIRST_ENGINE).detail == "may be reached before: Drain D1"


def test_a_recorded_leak_is_held_against_the_engine_by_its_own_latest() -> None:
    # By the 10 mm hole it would be there after 3.4 to 5.9 min, by a bung let go in less than 1.
    build = SurveyBuilder(travel_first_engine_min=2, travel_technicians_min=40)
    build.floor(width_m=20, depth_m=20, finish="bare concrete", levelness="recorded level", perimeter_tight="yes")
    build.zone("All", rectangle(0, 0, 20, 20))
    build.drain("D1", (12, 10), **AT)
    stock(build, "P1", (10, 10), "toluene", breaches=[{"kind": "bung weep"}])
    floor = judged_floor(build)
    assert line(floor, ClockKind.DRAIN).engine is Order.BEFORE
    assert the_drain(floor).engine is Order.BEFORE


def test_every_pallet_that_leaves_through_a_sump_is_named_or_counted() -> None:
    build = a_store()
    build.bund("B", rectangle(2, 2, 6, 6), height_mm=60, tight_at_floor="yes")
    build.pipe("S1-D1", build.sump("S1", (7, 5)), build.drain("D1", (18, 5), **AT), valve="open")
    stock(build, "P1", (6, 5), "toluene")
    stock(build, "P2", (4, 5), "acetone")
    floor = judged_floor(build)
    found = line(floor, ClockKind.DRAIN)
    assert "P1 (Toluene) through sump S1, time to the sump" in found.detail
    assert found.detail.endswith("also from P2")
    (drain,) = floor.drains
    part = drain_part(drain, floor, grid_of(floor))
    assert part.not_reached == ""
    assert dict(part.facts)["Through sumps"] == "from storage zone All: P1 and P2"


def test_a_late_end_just_before_the_engine_is_not_rounded_up_to_it() -> None:
    floor = judged_floor(store(engine_min=6))
    found = line(floor, ClockKind.DRAIN)
    assert found.engine is Order.BEFORE
    assert found.late_min is not None
    assert 5.5 < found.late_min < 6
    assert float(line_minutes(found).split()[-2]) < 6
    assert float(line_minutes(found).split()[-2]) >= found.late_min
