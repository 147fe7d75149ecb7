"""The right findings of the demo sites stand on the right pages of their pre-plans."""

import re
from functools import cache

import pypdfium2
import pytest

from reports.preplan import preplan
from reports.render import render_pdf
from tests.demo_sites import demo_assessment, demo_facts

pytestmark = [pytest.mark.slow, pytest.mark.xdist_group("demo papers")]


@cache
def pages(letter: str) -> tuple[str, ...]:
    """Give the text of each page of a demo site's A4 pre-plan, spaces and line ends as single spaces."""
    pdf = pypdfium2.PdfDocument(render_pdf(preplan(demo_assessment(letter), demo_facts(letter)), paper="A4"))
    return tuple(re.sub(r"\s+", " ", page.get_textpage().get_text_bounded()) for page in pdf)


def section(letter: str, heading: str, end: str = "") -> str:
    """Give the text from a heading on, as far as `end` or the last page."""
    text = " ".join(pages(letter)[1:])
    start = text.index(heading)
    return text[start : text.index(end, start + len(heading)) if end else len(text)]


def zone_section(letter: str, name: str) -> str:
    """Give the text of one storage zone's pages."""
    text = " ".join(pages(letter)[1:])
    start = re.search(rf"Storage zone {re.escape(name)} ", text)
    assert start is not None
    rest = text[start.start() :]
    following = re.search(r"Storage zone \S", rest[20:])
    return rest[: following.start() + 20] if following else rest


@pytest.mark.parametrize("letter", "ABC")
class TestFirstPage:
    """Page 1 stands alone."""

    def test_says_what_the_crew_needs(self, letter: str) -> None:
        page, facts = pages(letter)[0], demo_facts(letter)
        for words in (
            facts.name,
            facts.address,
            "Last walk",
            "days before",
            "seen:",
            "label read:",
            "identified:",
            "People inside",
            "Entrance",
            "Key box",
            "STOP first",
            "Stand-off",
            "Nearest water",
            "Fire department connection",
            "Shut-offs outside",
            "First run-off actions",
            "Leave at",
            "Worst storage zones",
            "Call by day",
            "Call by night",
            "Not known",
            "the incident commander and licensed practice govern",
        ):
            assert words in page, words

    def test_three_stop_lines_and_how_many_more_on_which_page(self, letter: str) -> None:
        page = pages(letter)[0]
        more = re.search(r"\+ (\d+) more, page (\d+)", page[page.index("STOP first") :])
        assert more is not None
        lines = len(preplan(demo_assessment(letter), demo_facts(letter)).stops)
        assert int(more.group(1)) == lines - 3
        assert "STOP lines" in pages(letter)[int(more.group(2)) - 1]

    def test_every_drain_with_its_destination_and_proof(self, letter: str) -> None:
        page = pages(letter)[0]
        drains = [drain for floor in demo_assessment(letter).floors for drain in floor.drains]
        shown = [drain for drain in drains if f"{drain.name} → {drain.treated_as}" in page]
        assert len(shown) >= min(len(drains), 4)
        assert "unproven" in page

    def test_first_three_actions_are_whole(self, letter: str) -> None:
        page = pages(letter)[0]
        for action in demo_assessment(letter).first_actions[:3]:
            assert action.what.split(" (")[0] in page

    def test_every_page_names_site_snapshot_and_number(self, letter: str) -> None:
        every = pages(letter)
        for number, page in enumerate(every, start=1):
            assert f"Page {number} of {len(every)}" in page
            assert demo_assessment(letter).snapshot_sha256[:12] in page


class TestTessalyRoad:
    def test_page_1(self) -> None:
        page = pages("A")[0]
        assert "A10-1" in page[page.index("STOP first") : page.index("Stand-off")]
        assert "It is bulging" in page
        assert "D1 → storm" in page

    def test_the_pair_that_makes_chlorine(self) -> None:
        pairs = section("A", "Neighbour pairs that react", "Containment")
        assert "make chlorine" in pairs
        assert "0.40 ± 0.07 m" in pairs
        assert "make chlorine" in zone_section("A", "NW")

    def test_drain_range(self) -> None:
        drains = section("A", "D1, gully", "Neighbour pairs")
        assert "7.8 mm" in drains
        assert "3.9 mm" in drains
        assert "holds only what floats" in drains

    def test_first_hour_of_the_solvents(self) -> None:
        centre = zone_section("A", "Centre")
        assert "First hour from the start of a leak; people as if called at once" in centre
        assert "under 1 to 6.6 min Drain D1, before the first engine" in centre
        assert "10 mm hole: 3 to 6.6 min, or under 1 min if the floor falls that way" in centre
        assert "7 min First engine Reached before: Drain D1" in centre
        assert "45 min Technicians" in centre

    def test_first_arrival_at_the_gully(self) -> None:
        drains = section("A", "D1, gully", "Neighbour pairs")
        assert "First reached by A05, under 1 to 6.6 min: before the first engine, before the technicians" in drains
        assert "First arrival" in drains

    def test_bulging_zone_has_stop_lines_and_no_method(self) -> None:
        south_east = zone_section("A", "SE")
        assert "It is bulging" in south_east
        assert "For technicians only" not in south_east

    def test_overpacks_kit_and_night(self) -> None:
        text = " ".join(pages("A"))
        assert "95 gal (360 L)" in text
        assert "Sawdust" in text
        assert "at night" in text


class TestQuillmere:
    def test_joined_sumps_come_first(self) -> None:
        page = pages("B")[0]
        worst = page[page.index("Worst storage zones") :]
        assert worst.index("hydrogen cyanide") < worst.index("chloramine")
        assert "make hydrogen cyanide" in zone_section("B", "Z2")

    def test_what_is_out_of_reach_of_a_drain_is_so_over_the_floor(self) -> None:
        assert "Not over the floor within the film range, by one drum of:" in " ".join(pages("B"))

    def test_overflow_in_1_6_minutes(self) -> None:
        holds = section("B", "Published rules do not agree", "Overpacks and kit")
        assert "1.6 min" in holds
        assert "48,032 L" in holds
        assert "2,391 L/min" in holds

    def test_first_hour_of_the_flammables(self) -> None:
        flammables = zone_section("B", "Z1")
        assert "1.6 min Bund Z1 runs over its 20 mm (0.8 in) lip By sprinkler water at 2,391 L/min" in flammables
        assert "8.3 min Bund Z1 runs over its 20 mm (0.8 in) lip By water from one hose" in flammables
        assert flammables.index("1.6 min Bund") < flammables.index("5 min First engine") < flammables.index("8.3 min")

    def test_both_readings_and_the_worse_one(self) -> None:
        text = " ".join(pages("B"))
        assert "4 × Sodium hydrosulphite" in text
        assert "3 × Sodium hydrogen sulphate" in text
        assert "Idris Calloway" in text
        assert "Noor Hesketh" in text
        assert "(acted on)" in text

    def test_the_blocked_main_door_is_said_on_page_1(self) -> None:
        assert "Main door BLOCKED" in pages("B")[0]

    def test_weeping_drum(self) -> None:
        cage = zone_section("B", "Z6")
        assert "A drum that is not identified stands beside it" in cage
        assert "lying" in " ".join(pages("B"))


class TestVellinor:
    def test_page_1(self) -> None:
        page = pages("C")[0]
        for words in ("NO ENTRY", "Do not enter beyond the door", "Prior plan invalid", "41.9 %", "15.1 %", "0.0 %"):
            assert words in page, words
        assert "Creek" in page[page.index("First run-off actions") :]

    def test_no_method_table_on_any_page(self) -> None:
        for page in pages("C"):
            assert "For technicians only" not in page
            assert "Bung or cap weeping" not in page
            assert "Tighten the bung" not in page

    def test_first_hour_says_what_is_unknown(self) -> None:
        block = zone_section("C", "K1")
        assert "time unknown Drain D5" in block
        assert "leaking already" in block

    def test_kit_is_not_for_first_crews(self) -> None:
        assert "not for first crews" in " ".join(pages("C"))

    def test_cyanide_is_named_without_a_distance(self) -> None:
        pairs = section("C", "Neighbour pairs that react", "Containment")
        found = re.search(r"make hydrogen cyanide\.? (.{0,200})", pairs)
        assert found is not None
        assert "± " not in found.group(1)[:80]
