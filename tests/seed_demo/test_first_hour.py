"""The first hour at the demo sites: who is where by when, as read off the plans and plain arithmetic."""

from math import pi

import pytest
from shapely import LineString, Polygon, box, unary_union

from reports.assessment import ClockKind, ClockLine, DrainTime, Order, Verdict
from reports.maps import grid_of
from reports.minutes import line_minutes
from reports.preplan.liquids import drain_part
from tests.demo_sites import demo_assessment, demo_facts, demo_floor
from tests.seed_demo.plan import DRUM_L, site, spot


def clock(letter: str, zone: str) -> tuple[ClockLine, ...]:
    (found,) = (each for each in demo_floor(letter).zones if each.name == zone)
    return found.clock


def arrivals(letter: str, zone: str) -> dict[str, ClockLine]:
    return {line.what: line for line in clock(letter, zone) if line.kind in (ClockKind.DRAIN, ClockKind.DOOR)}


def time_of(letter: str, pallet: str, product: str, target: str) -> DrainTime:
    (found,) = (
        each
        for each in demo_floor(letter).drain_times
        if (each.pallet, each.target) == (pallet, target) and each.product.startswith(product)
    )
    return found


@pytest.mark.parametrize("letter", "ABC")
class TestEverySite:
    def test_people_stand_in_every_clock_at_the_surveyed_travel_times(self, letter: str) -> None:
        facts = demo_facts(letter)
        for zone in demo_floor(letter).zones:
            people = {line.kind: line.early_min for line in zone.clock}
            assert people[ClockKind.FIRST_ENGINE] == facts.travel_first_engine_min
            assert people[ClockKind.TECHNICIANS] == facts.travel_technicians_min

    def test_lines_are_in_order_of_time(self, letter: str) -> None:
        for zone in demo_floor(letter).zones:
            times = [-1.0 if line.early_min is None else line.early_min for line in zone.clock]
            assert times == sorted(times)

    def test_whoever_is_not_reached_has_no_time_and_whoever_is_has_one(self, letter: str) -> None:
        timed = {(time.target, time.pallet) for time in demo_floor(letter).drain_times if "floor" in time.way}
        for drain in demo_floor(letter).drains:
            for reach in drain.reaches:
                reached = reach.verdict is not Verdict.NOT_REACHED
                if reached:
                    assert (f"drain {drain.name}", reach.pallet) in timed
            silent = {reach.pallet for reach in drain.reaches} - {
                reach.pallet for reach in drain.reaches if reach.verdict is not Verdict.NOT_REACHED
            }
            assert not {(f"drain {drain.name}", pallet) for pallet in silent} & timed

    def test_no_early_end_lies_behind_its_late_end(self, letter: str) -> None:
        for time in demo_floor(letter).drain_times:
            for leak in time.leaks:
                assert leak.early_min is not None
                assert leak.late_min is None or leak.early_min <= leak.late_min
                assert leak.falling_min is None or leak.falling_min <= leak.early_min

    def test_nothing_printed_says_bare_zone(self, letter: str) -> None:
        for zone in demo_floor(letter).zones:
            for line in zone.clock:
                text = f"{line.what} {line.detail}".lower().replace("storage zone", "")
                assert "zone" not in text


class TestTessaly:
    def test_the_toluene_is_in_the_gully_within_minutes_and_before_the_first_engine(self) -> None:
        line = arrivals("A", "Centre")["Drain D1"]
        assert line.verdict is Verdict.REACHES
        assert "A05 (Toluene)" in line.detail
        assert line_minutes(line) == "under 1 to 6.6 min"
        assert line.engine is Order.BEFORE
        engine = next(each for each in clock("A", "Centre") if each.kind is ClockKind.FIRST_ENGINE)
        assert engine.early_min == 7
        assert "reached before: Drain D1" in engine.detail

    def test_a_10_mm_hole_takes_minutes_to_the_gully_and_a_slot_under_one(self) -> None:
        # Nearest drum 2.08 m: 38 L at 2.8 mm and 68 L at 5 mm, at 11.5 L/min and falling: 3.4 and 6.5 min.
        hole, slot, _ = time_of("A", "A05", "Toluene", "drain D1").leaks
        assert hole.leak == "10 mm hole"
        assert hole.early_min == pytest.approx(pi * 2.01**2 * 2.8 / 11.2, rel=0.05)
        assert hole.late_min == pytest.approx(pi * 2.08**2 * 5.0 / 10.5, rel=0.05)
        assert slot.late_min is not None
        assert slot.late_min < 1

    def test_glycol_is_slower_by_the_law_than_a_solvent_from_as_far(self) -> None:
        glycol, unknown = time_of("A", "A08", "Ethylene", "drain D2"), time_of("A", "A09", "not", "drain D2")
        assert glycol.viscosity_known
        assert not unknown.viscosity_known
        assert glycol.leaks[1].early_min is not None
        assert unknown.leaks[1].early_min is not None
        assert glycol.leaks[1].early_min > unknown.leaks[1].early_min

    def test_the_trench_counts_from_whoever_is_sooner(self) -> None:
        (d2,) = (each for each in demo_floor("A").drain_clocks if each.drain == "D2")
        assert d2.first is not None
        assert d2.first.pallet == "A09"
        assert d2.first.early_min == min(t.early_min for t in demo_floor("A").drain_times if t.target == "drain D2")

    def test_the_roller_door_and_its_trench_come_together(self) -> None:
        assert {"Drain D2", "Roller door"} <= set(arrivals("A", "SE"))

    def test_the_roller_door_lets_out_what_the_floor_before_the_drum_does_not_hold(self) -> None:
        (door,) = (each for each in demo_floor("A").doors_out if each.name == "Roller door")
        survey = site("tessaly_road")
        ground = unary_union([box(0, 0, 24, 15), *(Polygon(yard.outline) for yard in survey.outdoor_surfaces)])
        # Full drums of A08 and A09 stand alike north and south of the door, measured to 0.05 m.
        at = spot(survey, "A09-2")
        metres = at.distance(LineString([(24, 5), (24, 10)])) - 0.05
        nearer_m2 = at.buffer(metres, quad_segs=64).intersection(ground).area
        assert (door.verdict, door.sill_mm, door.tight) == (Verdict.REACHES, 0, "no")
        assert door.pallet in {"A08", "A09"}
        assert {"NE", "SE"} == set(door.zones)
        assert door.first is not None
        assert door.litres.low == pytest.approx(DRUM_L - 5.0 * nearer_m2, rel=0.01)
        assert door.litres.high == pytest.approx(DRUM_L - 2.8 * nearer_m2, rel=0.01)

    def test_an_interceptor_that_nobody_proved_counts_as_none(self) -> None:
        (d2,) = (each for each in demo_floor("A").drain_clocks if each.drain == "D2")
        assert "not proven" in d2.holds
        assert d2.fills == ()


class TestQuillmere:
    def test_sprinklers_run_over_the_worn_ramp_in_1_6_min_and_one_hose_in_8_3(self) -> None:
        lines = [line for line in clock("B", "Z1") if line.kind is ClockKind.OVERFLOW]
        assert [line_minutes(line) for line in lines] == ["1.6 min", "8.3 min"]
        assert "2,391 L/min (632 US gal/min)" in lines[0].detail
        assert "one hose" in lines[1].detail
        assert all("20 mm (0.8 in) lip" in line.what for line in lines)

    def test_acids_and_alkalis_hold_nothing_and_leave_by_their_sumps(self) -> None:
        for zone, sump in (("Z2", "S1"), ("Z3", "S2")):
            first = clock("B", zone)[0]
            assert first.what == f"Bund {zone} holds nothing"
            assert line_minutes(first) == "at once"
            line = arrivals("B", zone)["Drain D2"]
            assert f"through sump {sump}" in line.detail
            assert line.late_min is None

    def test_cleaning_chemicals_are_in_the_sanitary_gully_before_the_first_engine(self) -> None:
        line = arrivals("B", "Z7")["Drain D3"]
        assert "B28" in line.detail
        assert line.engine is Order.BEFORE

    def test_the_weeping_drum_may_be_at_the_inlet_already(self) -> None:
        line = arrivals("B", "Z6")["Drain D1"]
        assert line.early_min == 0
        assert "bung weep of B31-1" in line.detail
        assert "leaking already" in line.detail
        assert "size not recorded" in line.detail

    def test_the_weeping_drum_is_at_the_main_door_and_the_inlet_before_the_first_engine(self) -> None:
        door, inlet = (arrivals("B", "Z6")[what] for what in ("Main door", "Drain D1"))
        assert door.early_min == 0
        assert "leaking already" in door.detail
        weep = next(each for each in time_of("B", "B31", "Phosphoric", "drain D1").leaks if each.recorded)
        assert weep.late_min is not None
        assert weep.late_min < 1
        assert inlet.late_min == weep.late_min
        assert inlet.engine is door.engine is Order.BEFORE

    def test_the_cyanide_is_among_those_that_leave_by_the_sump(self) -> None:
        assert "also from B17" in arrivals("B", "Z3")["Drain D2"].detail

    def test_drums_that_leave_by_sumps_are_not_called_out_of_reach_of_their_drain(self) -> None:
        floor = demo_floor("B")
        (drain,) = (each for each in floor.drains if each.name == "D2")
        part = drain_part(drain, floor, grid_of(floor))
        sumps = dict(part.facts)["Through sumps"]
        assert sumps == "from storage zone Z2 and Z3: B11, B12, B13, B14, B15, B16, B17 and B18"
        assert not {f"B{number}" for number in range(11, 19)} & set(part.not_reached.replace(",", " ").split())
        assert "B01" in part.not_reached

    def test_the_late_end_of_the_sanitary_gully_is_written_before_the_engine(self) -> None:
        assert line_minutes(arrivals("B", "Z7")["Drain D3"]) == "under 1 to 4.6 min"

    def test_oils_on_the_rack_reach_nothing(self) -> None:
        assert arrivals("B", "Z5") == {}


class TestVellinor:
    def test_a_gully_nobody_found_has_no_time(self) -> None:
        line = arrivals("C", "K1")["Drain D5"]
        assert line_minutes(line) == "time unknown"
        assert "not found" in line.detail

    def test_leaking_blocks_are_running_already(self) -> None:
        for zone, drain in (("K2", "Drain D1"), ("K5", "Drain D2")):
            line = arrivals("C", zone)[drain]
            assert line.early_min == 0
            assert "leaking already" in line.detail

    @pytest.mark.parametrize(("zone", "door"), [("K6", "Yard door"), ("K1", "Gap in the inner wall")])
    def test_drums_that_leak_already_may_be_at_the_doors_already(self, zone: str, door: str) -> None:
        line = arrivals("C", zone)[door]
        assert line.early_min == 0
        assert "leaking already" in line.detail

    def test_a_gully_nobody_found_stands_first(self) -> None:
        assert clock("C", "K1")[0].what == "Drain D5"

    def test_the_yard_inlet_may_be_reached_from_the_loose_drums_before_anybody_comes(self) -> None:
        assert arrivals("C", "K6")["Drain D3"].engine is Order.MAYBE

    def test_nobody_recorded_how_the_floor_falls_so_it_may_fall_towards_every_drain(self) -> None:
        assert {leak.falling_min for time in demo_floor("C").drain_times for leak in time.leaks} == {None}


def test_ranking_does_not_know_of_the_clock() -> None:
    assert [finding.minutes for finding in demo_assessment("A").findings if finding.minutes is not None] == []
