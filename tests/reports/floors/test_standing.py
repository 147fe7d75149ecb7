"""What the stop rules ask of a floor as a whole: which drain comes first, which stacks nobody looked over, suits."""

import pytest

from reports.assessment import Assessment, Verdict
from reports.response.readiness import vapour_suits
from survey.vocabulary import KitKind
from tests.builders import SurveyBuilder
from tests.reports.judged import a_store, judged, stock
from tests.reports.response.situations import kit_item


def lines_at(assessment: Assessment, drum: str) -> dict[str, str]:
    return {line.cite.rule: line.instead for line in assessment.stops if line.drum == drum}


def test_a_stop_line_names_the_nearer_of_two_drains() -> None:
    build = a_store()
    build.drain("D1", (6, 5))
    build.drain("D2", (7, 5))
    stock(build, "P1", (5, 5), None)
    stock(build, "P2", (8, 5), None)
    found = judged(build)
    reached = [reach.verdict for drain in found.floors[0].drains for reach in drain.reaches]
    assert reached == [Verdict.REACHES] * 4, "all four alike, so that the way decides"
    assert "cover drain D1 (reached first) and hold" in lines_at(found, "P1-1")["S40"]
    assert "cover drain D2 (reached first) and hold" in lines_at(found, "P2-1")["S40"]


def test_a_drain_that_is_surely_reached_comes_before_a_nearer_one_that_may_be() -> None:
    build = a_store()
    build.bund("B", [(6, 4), (8, 4), (8, 6), (6, 6)], height_mm=100)
    build.drain("D1", (7, 5))
    build.drain("D2", (4, 8.5))
    stock(build, "P1", (4, 5), None)
    found = judged(build)
    reached = {drain.name: drain.reaches[0].verdict for drain in found.floors[0].drains if drain.reaches}
    assert reached == {"D1": Verdict.MAY_REACH, "D2": Verdict.REACHES}
    assert "drain D2 (reached first)" in lines_at(found, "P1-1")["S40"]


def test_without_a_drain_in_reach_every_drain_it_can_run_to_is_named() -> None:
    build = a_store()
    stock(build, "P1", (4, 5), None)
    assert "cover every drain it can run to" in lines_at(judged(build), "P1-1")["S40"]


def test_a_drain_nobody_found_is_named_beside_the_first() -> None:
    build = a_store()
    build.drain("D1", (6, 5))
    build.drain("D9")
    stock(build, "P1", (4, 5), None)
    assert "drain D1 (reached first) and drain D9 wherever it lies" in lines_at(judged(build), "P1-1")["S40"]


def stacked(**above: object) -> SurveyBuilder:
    build = a_store()
    stock(build, "P1", (4, 5), "toluene", stable="yes")
    below = build.pallet("P2", (12, 5), stable="yes", read=False)
    build.reading("A. One")
    build.drum("P2-1", "toluene", label="legible", container_code="1A1")
    build.pallet(
        "P3", (12, 5), read=False, stack_level=2, base_height_m=1.2, stands_on_id=below.id, **{"stable": "yes", **above}
    )
    build.reading("A. One")
    build.drum("P3-1", "toluene", label="legible", container_code="1A1")
    return build


def test_a_stack_is_inspected_as_a_whole_or_not_at_all() -> None:
    """29 CFR 1910.120(j)(1): integrity is inspected before moving; hidden drums are unknowns."""
    build = stacked()
    assert not any("S60" in lines_at(judged(build), name) for name in ("P1-1", "P2-1", "P3-1"))
    build.drum("P3-2", "toluene", label="legible", container_code="1A1", sighting="not seen")
    found = judged(build)
    assert "S60" in lines_at(found, "P2-1"), "the pallet below a drum that nobody has seen"
    assert "S60" in lines_at(found, "P3-1")
    assert "S60" not in lines_at(found, "P1-1")


def test_a_stack_of_which_nobody_says_that_it_stands_firm_is_not_inspected() -> None:
    found = judged(stacked(stable="unknown"))
    assert {"P2-1", "P3-1"} == {line.drum for line in found.stops if line.cite.rule == "S60"}


def test_one_pallet_on_the_floor_needs_nobody_to_say_that_it_stands_firm() -> None:
    build = a_store()
    stock(build, "P1", (4, 5), "toluene", stable="unknown")
    assert judged(build).stops == ()


@pytest.mark.parametrize("answer", ["no", "unknown"])
@pytest.mark.parametrize("lost", ["backup_crew", "way_out", "decontamination"])
def test_without_what_an_entry_rests_on_no_drum_of_the_site_gets_a_method(lost: str, answer: str) -> None:
    for given, methods in ((answer, False), ("yes", True)):
        build = SurveyBuilder(**{lost: given})
        build.floor(width_m=20, depth_m=10, finish="bare concrete", levelness="recorded level")
        build.zone("All", [(0, 0), (20, 0), (20, 10), (0, 10)])
        stock(build, "P1", (4, 5), "toluene")
        found = judged(build)
        assert bool(found.floors[0].zones[0].methods) is methods
        assert bool(found.stops) is not methods


@pytest.mark.parametrize(
    ("name", "quantity", "enough"),
    [
        ("Vapour-protective suit", 4, True),
        ("Vapour-protective suit", 3, False),
        ("Gas-tight suits, sizes M to XL", 6, True),
        ("Splash suit", 8, False),
        ("Suits", 8, False),
    ],
)
def test_vapour_suits_are_counted_by_what_they_are_called(name: str, quantity: int, *, enough: bool) -> None:
    assert vapour_suits([kit_item(KitKind.PERSONAL, name, quantity=quantity)]) is enough


def test_suits_of_two_items_add_up_and_other_kit_does_not_count() -> None:
    suits = [kit_item(KitKind.PERSONAL, f"Vapour suit {size}", quantity=2) for size in "ML"]
    assert vapour_suits(suits)
    assert not vapour_suits([suits[0], kit_item(KitKind.OTHER, "Vapour suit mannequin", quantity=2)])
    assert not vapour_suits([])
