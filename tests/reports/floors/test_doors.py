"""Litres out of each door: what gets to its line by plain geometry, less what door and sill are recorded to hold."""

import math
from typing import Any

import pytest

from reports.assessment import DoorAssessment, FloorAssessment, Span, Verdict
from reports.preplan.liquids import door_text
from reports.tolerance import DEFAULT_M
from survey.vocabulary import PositionSource
from tests.builders import SurveyBuilder, rectangle
from tests.reports.judged import a_store, judged_floor, stock

WEST = [(0.0, 3.0), (0.0, 7.0)]
NEAREST_M2 = math.pi * (2 - DEFAULT_M[PositionSource.MEASURED]) ** 2
"""Floor nearer than a door 2 m from a measured drum that may stand nearer."""
NOTHING = Span(0.0, 0.0)


def beside_a_door(metres: float = 2.0, *, walls: str = "no", **door: Any) -> FloorAssessment:
    """Judge a store with one full 208 L drum so far inside the middle of a 4 m door."""
    build = a_store(perimeter_tight=walls)
    build.door("West door", WEST, **door)
    stock(build, "P1", (metres, 5), "toluene")
    return judged_floor(build)


def the_door(floor: FloorAssessment) -> DoorAssessment:
    (door,) = floor.doors_out
    return door


def test_a_door_that_is_not_tight_lets_out_what_the_floor_before_it_does_not_hold() -> None:
    door = the_door(beside_a_door(tight_at_floor="no", sill_mm=100, normally="shut"))
    assert door.verdict is Verdict.REACHES
    assert (door.pallet, door.zones) == ("P1", ("All",))
    assert door.litres.low == pytest.approx(208 - 5 * NEAREST_M2, rel=1e-3)
    assert door.litres.high == pytest.approx(208 - 2.8 * NEAREST_M2, rel=1e-3)
    assert door.first is not None
    assert (door.first.target, door.first.pallet) == ("door West door", "P1")
    assert door.assumed == "lets out all that gets to it"


def test_a_door_of_unknown_tightness_lets_out_as_much_but_only_may() -> None:
    sure = the_door(beside_a_door(tight_at_floor="no"))
    door = the_door(beside_a_door(tight_at_floor="unknown", sill_mm=100, normally="shut"))
    assert door.verdict is Verdict.MAY_REACH
    assert door.litres == sure.litres
    assert "counts as not tight" in door.assumed


def test_a_tight_shut_door_holds() -> None:
    door = the_door(beside_a_door(tight_at_floor="yes", sill_mm=0, normally="shut"))
    assert (door.verdict, door.litres, door.pallet, door.zones) == (Verdict.NOT_REACHED, NOTHING, None, ())
    assert door.first is not None  # the liquid stands at the door


@pytest.mark.parametrize("normally", ["open", "unknown"])
def test_an_open_sill_above_the_film_holds(normally: str) -> None:
    door = the_door(beside_a_door(tight_at_floor="yes", sill_mm=50, normally=normally))
    assert (door.verdict, door.litres, door.pallet) == (Verdict.NOT_REACHED, NOTHING, None)


@pytest.mark.parametrize(
    ("sill_mm", "normally", "verdict"),
    [
        (2, "open", Verdict.REACHES),
        (2, "unknown", Verdict.MAY_REACH),
        (4, "open", Verdict.MAY_REACH),  # the thick film comes over it, the thin one does not
        (None, "open", Verdict.MAY_REACH),
    ],
)
def test_an_open_sill_below_the_film_lets_it_pass(sill_mm: float | None, normally: str, verdict: Verdict) -> None:
    door = the_door(beside_a_door(tight_at_floor="yes", sill_mm=sill_mm, normally=normally))
    assert door.verdict is verdict
    assert door.litres.low == pytest.approx(208 - 5 * NEAREST_M2, rel=1e-3)
    assert door.litres.high == pytest.approx(208 - 2.8 * NEAREST_M2, rel=1e-3)


def closet(normally: str, walls: str, *, yard: bool = False) -> DoorAssessment:
    """Judge a closet of 2 by 2 m whose door has a tight sill of 30 mm: up to it the closet holds 120 L."""
    build = SurveyBuilder()
    build.floor(width_m=2, depth_m=2, finish="bare concrete", levelness="recorded level", perimeter_tight=walls)
    build.zone("All", rectangle(0, 0, 2, 2))
    if yard:
        build.outdoor_surface("Yard", rectangle(-20, -10, 20, 22))
    build.door("Door", [(0, 0.5), (0, 1.5)], tight_at_floor="yes", sill_mm=30, normally=normally)
    stock(build, "P1", (1, 1), "toluene")
    return the_door(judged_floor(build))


@pytest.mark.parametrize(("normally", "walls"), [("open", "yes"), ("open", "unknown"), ("unknown", "yes")])
def test_a_pool_that_rises_over_the_sill_passes_with_what_the_floor_does_not_hold(normally: str, walls: str) -> None:
    door = closet(normally, walls)
    assert door.verdict is Verdict.MAY_REACH
    assert door.litres.low == pytest.approx(208 - 120, rel=0.02)
    assert door.litres.high == pytest.approx(208 - 120, rel=0.02)


def test_what_lies_in_the_yard_before_the_door_came_out_of_it() -> None:
    litres = closet("open", "yes", yard=True).litres
    most = 208 - 2.8 * 4  # the closet keeps a film at least
    assert 208 - 120 <= litres.low <= litres.high <= most + 1e-6


def test_what_is_let_out_in_the_yard_goes_out_of_no_door() -> None:
    build = a_store()
    build.outdoor_surface("Yard", rectangle(-10, 0, 10, 10))
    build.door("West door", WEST, tight_at_floor="no")
    stock(build, "P1", (-1, 5), "toluene")
    assert the_door(judged_floor(build)).litres == NOTHING


def test_walls_that_let_all_out_leave_nothing_to_rise() -> None:
    assert closet("open", "no").litres == NOTHING


def test_a_door_out_of_reach_lets_nothing_out() -> None:
    door = the_door(beside_a_door(15.0, tight_at_floor="no"))
    assert (door.verdict, door.litres, door.first) == (Verdict.NOT_REACHED, NOTHING, None)


def test_no_door_and_a_door_inside_are_none() -> None:
    build = a_store()
    stock(build, "P1", (10, 5), "toluene")
    assert judged_floor(build).doors_out == ()
    build.wall("W", [(11, 0), (11, 10)], tight_at_floor="no")
    build.door("Inner", [(11, 4), (11, 6)], tight_at_floor="no")
    assert judged_floor(build).doors_out == ()


def test_the_pallet_that_sends_most_is_named_and_every_storage_zone() -> None:
    build = SurveyBuilder()
    build.floor(width_m=20, depth_m=10, finish="bare concrete", levelness="recorded level", perimeter_tight="no")
    build.zone("South", rectangle(0, 0, 20, 4))
    build.zone("North", rectangle(0, 4, 20, 10))
    build.door("West door", WEST, tight_at_floor="no")
    stock(build, "P1", (3, 3), "toluene")
    stock(build, "P2", (1, 5), "toluene")
    door = the_door(judged_floor(build))
    assert (door.pallet, door.zones) == ("P2", ("North", "South"))


@pytest.mark.parametrize("metres", [0.3, 1.0, 2.5, 4.0, 4.8])
@pytest.mark.parametrize("normally", ["open", "shut"])
@pytest.mark.parametrize("tight", ["yes", "no", "unknown"])
def test_no_more_than_the_drum_comes_out_and_the_thin_film_brings_most(
    metres: float, normally: str, tight: str
) -> None:
    door = the_door(beside_a_door(metres, tight_at_floor=tight, normally=normally, sill_mm=0))
    assert 0 <= door.litres.low <= door.litres.high <= 208


def test_a_drum_of_which_nothing_can_be_computed_may_get_out_with_all_it_holds() -> None:
    build = a_store()
    build.door("West door", WEST, tight_at_floor="yes", normally="open", sill_mm=50)
    stock(build, "P1", (50, 50), "toluene")
    door = the_door(judged_floor(build))
    assert (door.verdict, door.litres.high) == (Verdict.MAY_REACH, 208)


def test_a_blocked_door_is_said_and_lets_liquid_out_all_the_same() -> None:
    door = the_door(beside_a_door(tight_at_floor="no", blocked="racking across it."))
    text = door_text(door)
    assert door.verdict is Verdict.REACHES
    assert "blocked for people: racking across it" in text.holds
    assert text.source == "P1; storage zone All"
    assert text.litres.endswith("(thin film)")


def test_minutes_at_a_door_keep_their_order_to_whoever_is_on_the_way() -> None:
    door = the_door(beside_a_door(tight_at_floor="no"))
    assert door.surest is not None
    assert door.surest.late_min is not None
    up = math.ceil(door.surest.late_min)
    assert f"to {up} min" in door_text(door).arrival
    # Liquid that is there before an engine which takes that many whole minutes is not put beside it.
    build = SurveyBuilder(travel_first_engine_min=up)
    build.floor(width_m=20, depth_m=10, finish="bare concrete", levelness="recorded level", perimeter_tight="no")
    build.door("West door", WEST, tight_at_floor="no")
    stock(build, "P1", (2, 5), "toluene")
    timed = the_door(judged_floor(build))
    assert list(timed.beside) == [up]
    assert f"to {math.ceil(door.surest.late_min * 100) / 100:g} min" in door_text(timed).arrival


def test_a_door_that_holds_is_worded_as_0_litres() -> None:
    text = door_text(the_door(beside_a_door(tight_at_floor="yes", sill_mm=0, normally="shut")))
    assert (text.litres, text.source, text.verdict) == ("0 L", "–", Verdict.NOT_REACHED.value)
    assert text.holds.endswith("holds while it is shut")
