"""A product from a safety data sheet through judgement, screen words and paper, beside one that nobody identified."""

from dataclasses import dataclass
from datetime import date
from typing import Any

import pytest

from reports.assessment import Assessment, Kind
from reports.assessor import assess
from reports.gather import gather
from reports.preplan import PrePlan, preplan
from reports.sheet_traits import ASKED
from survey.bundle import Survey, dump, parse
from survey.catalogue.compatibility import LEFT_OPEN, NO_GROUPS
from survey.tables.floor import HeatSourceFields, WaterIngressFields
from tests.builders import SurveyBuilder, rectangle

TODAY = date(2026, 11, 25)
NO_TO_ALL: dict[str, str] = dict.fromkeys(ASKED, "no")
ONLY_SAY_NOT_IDENTIFIED = {"unidentified-with-route", "S40", "S41", "S42", "S50"}
"""Rules of what nobody identified, which a name read from a label takes away; S50 is that of its neighbours."""


PAIRS = {"unidentified", LEFT_OPEN, NO_GROUPS}
"""Rules that say the same of a pair, for three reasons: a reaction cannot be excluded."""


@dataclass(frozen=True)
class Judged:
    assessment: Assessment
    plan: PrePlan

    @property
    def rules(self) -> set[str]:
        """The rules of findings and stop lines; of pairs that cannot be excluded one name for all."""
        found = {line.cite.rule for line in self.assessment.findings}
        found |= {line.cite.rule for line in self.assessment.stops}
        return found - PAIRS | ({"a pair not excluded"} if found & PAIRS else set())

    @property
    def zone(self) -> Any:
        return self.assessment.floors[0].zones[0]


def store(said: dict[str, str] | None, *, identified: bool = True, **fields: Any) -> Survey:
    """A drum beside an acid, over a drain, under a leaking roof, beside a heater."""
    build = SurveyBuilder()
    build.floor(width_m=12, depth_m=8, perimeter_tight="yes")
    build.zone("A", rectangle(0, 0, 12, 8))
    build.drain("G1", (4, 3))
    build.add("heat_sources", HeatSourceFields, name="Heater", kind="unit heater", at=(3, 5))
    build.add("water_ingress", WaterIngressFields, name="Roof valley", line=[(0, 3), (12, 3)])
    sheet = build.sheet_product("Example blend 7", said, **fields)
    build.pallet("P1", (3, 3))
    seen: dict[str, Any] = {"label": "legible", "identity_sources": ["label", "paperwork"], "signs_checked": True}
    build.drum("P1-1", sheet_product_id=sheet.id if identified else None, container_code="1A1", **seen)
    build.pallet("P2", (5, 3))
    build.drum("P2-1", "hydrochloric-acid-32", container_code="1H1", **seen)
    return build.survey()


def judged(survey: Survey) -> Judged:
    facts = gather(survey, as_of=TODAY)
    assessment = assess(facts)
    return Judged(assessment, preplan(assessment, facts))


NAMELESS = judged(store(None, identified=False))
NOTHING_ANSWERED = judged(store(None))
ALL_NO = judged(store(NO_TO_ALL))


def test_nothing_answered_raises_all_that_not_identified_does() -> None:
    assert NAMELESS.rules - NOTHING_ANSWERED.rules <= ONLY_SAY_NOT_IDENTIFIED
    assert NOTHING_ANSWERED.rules - NAMELESS.rules >= {"water-over-water-reactive", "S26"}
    assert NOTHING_ANSWERED.zone.ensemble.level == NAMELESS.zone.ensemble.level == "A"
    assert NOTHING_ANSWERED.assessment.stand_off is not None
    assert NAMELESS.assessment.stand_off is not None
    assert NOTHING_ANSWERED.assessment.stand_off.metres == NAMELESS.assessment.stand_off.metres
    asked, nameless = (
        {line.item for line in each.assessment.kit if line.needed and "absorbent" not in line.item}
        for each in (NOTHING_ANSWERED, NAMELESS)
    )
    assert nameless - asked <= {"radiation survey meter"}, "which is brought to what has no name alone"
    assert len(NOTHING_ANSWERED.assessment.floors[0].pairs) == len(NAMELESS.assessment.floors[0].pairs)


def test_a_no_to_all_takes_lines_away_and_clears_nothing_else() -> None:
    assert ALL_NO.rules < NOTHING_ANSWERED.rules
    assert not {"S26", "water-over-water-reactive"} & ALL_NO.rules
    assert ALL_NO.zone.ensemble.driver.startswith("Hydrochloric acid"), "it is not the blend that asks for most"
    assert ALL_NO.assessment.stand_off is not None
    assert ALL_NO.assessment.stand_off.metres < NOTHING_ANSWERED.assessment.stand_off.metres  # type: ignore[union-attr]
    assert [pair.certain for pair in ALL_NO.assessment.floors[0].pairs] == [False], "in no group of the chart"


@pytest.mark.parametrize("trait", ["water reactive", "polymerises", "cyanide", "toxic by inhalation"])
def test_a_yes_keeps_every_line_and_says_it_as_known(trait: str) -> None:
    yes = judged(store({trait: "yes"}))
    assert NOTHING_ANSWERED.rules - yes.rules <= ({"a pair not excluded"} if "G01" in yes.rules else set())
    assert yes.zone.ensemble.level == "A"


def test_what_is_open_ranks_behind_what_is_known() -> None:
    kinds = {
        answer: {
            finding.kind
            for finding in judged(store({"water reactive": answer, "self-heating": "no"})).assessment.findings
            if finding.cite.rule == "water-over-water-reactive"
        }
        for answer in ("yes", "unknown", "no")
    }
    assert kinds == {"yes": {Kind.TRIGGER_PRESENT}, "unknown": {Kind.REST}, "no": set()}


def test_lines_that_rest_on_an_open_answer_say_so() -> None:
    (line,) = [line for line in NOTHING_ANSWERED.assessment.stops if line.cite.rule == "S26" and line.drum == "P1-1"]
    assert line.because.endswith(
        "Its safety data sheet leaves open, and so counts as yes: organic peroxide, polymerises."
    )
    answered = judged(store({"polymerises": "yes", "organic peroxide": "no"}))
    (known,) = [line for line in answered.assessment.stops if line.cite.rule == "S26"]
    assert "leaves open" not in known.because
    (finding,) = [
        each for each in NOTHING_ANSWERED.assessment.findings if each.cite.rule == "water-over-water-reactive"
    ]
    assert "Example blend 7 may react with water: its safety data sheet leaves that open" in finding.sentence


def test_screen_and_paper_say_whose_sheet_it_was() -> None:
    found = judged(store(NO_TO_ALL, supplier="Example Supplies", un_number="1993", revision_date="2024-03-01"))
    (part,) = found.plan.floors[0].zones
    stock, _ = part.stock
    assert stock.products == ("Example blend 7 (UN 1993; safety data sheet, verify)",)
    (line,) = found.zone.sheets
    assert line == (
        "Example blend 7: from the safety data sheet of Example Supplies, revision 2024-03-01, entered by R. Example "
        "on 2026-03-02; verify."
    )
    assert part.sheets == (line,)
    assert NAMELESS.zone.sheets == ()


def test_the_same_survey_file_gives_the_same_judgement() -> None:
    survey = store({"acid": "yes"}, density={"value": 1.2, "unit": "g/cm3"})
    again = parse(dump(survey), max_bytes=1_000_000)
    assert judged(again).assessment == judged(survey).assessment
