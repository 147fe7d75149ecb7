"""People and kit of a small store: what is asked for, per storage zone and for the site, against what is recorded."""

from typing import Any

import pytest

from reports.assessment import Assessment, ZoneAssessment
from reports.response.advice import KitLine, OverpackNeed
from survey.tables.site import ContactFields, KitItemFields
from tests.builders import SurveyBuilder, rectangle
from tests.reports.judged import a_store, judged, stock


def only_zone(assessment: Assessment) -> ZoneAssessment:
    (floor,) = assessment.floors
    (zone,) = floor.zones
    return zone


def need_of(assessment: Assessment, drum: str) -> OverpackNeed:
    return next(
        need for floor in assessment.floors for zone in floor.zones for need in zone.overpacks if need.drum == drum
    )


def line_of(lines: tuple[KitLine, ...], word: str) -> KitLine:
    return next(line for line in lines if word in line.item)


def kit(build: SurveyBuilder, name: str, kind: str, **fields: Any) -> None:
    build.add("kit_items", KitItemFields, name=name, kind=kind, **{"place": "site", "quantity": 1, **fields})


def test_a_drain_that_nobody_knows_the_destination_of_tells_the_agency_and_names_the_contact() -> None:
    build = a_store()
    build.drain("D1", (5, 5), joins="unknown")
    stock(build, "P1", (4, 5), "toluene")
    build.add(
        "contacts",
        ContactFields,
        role="environment agency",
        name="Duty",
        phone="555-0100",
        availability="day and night",
    )
    lines = judged(build).notifications
    agency = next(line for line in lines if line.who == "environment agency")
    assert "destination unknown, taken as storm" in agency.why
    assert agency.contacts == ("Duty, 555-0100 (day and night)",)
    intakes = next(line for line in lines if "intakes" in line.who)
    assert intakes.contacts == (), "nobody recorded is said, not made up"


def test_a_drain_that_nothing_reaches_asks_for_no_cover_and_tells_nobody() -> None:
    build = a_store(perimeter_tight="yes")
    build.wall("Tight", [(10, 0), (10, 10)], tight_at_floor="yes", height_m=3)
    build.drain("D1", (18, 5), joins="storm", proof="dye test")
    stock(build, "P1", (2, 5), "toluene")
    far = judged(build)
    assert line_of(far.kit, "drain cover").needed == 0
    assert not any(line.who == "environment agency" for line in far.notifications)
    assert any("No drain is reached by the record" in duty.text for duty in only_zone(far).duties)


def test_each_storage_zone_asks_for_its_own_kit() -> None:
    build = SurveyBuilder()
    build.floor(width_m=40, depth_m=10, finish="bare concrete", levelness="recorded level", perimeter_tight="yes")
    build.zone("Acid", rectangle(0, 0, 20, 10))
    build.zone("Oil", rectangle(20, 0, 20, 10))
    stock(build, "P1", (3, 5), "hydrofluoric-acid", container_code="1H1")
    stock(build, "P2", (37, 5), "lubricating-oil")
    (floor,) = judged(build).floors
    acid, oil = (next(zone for zone in floor.zones if zone.name == name) for name in ("Acid", "Oil"))
    assert line_of(acid.kit, "calcium gluconate").missing == 1
    assert not any("calcium gluconate" in line.item for line in oil.kit)
    assert "acid or alkali (pH)" in {line.monitor for line in acid.monitors}
    assert "acid or alkali (pH)" not in {line.monitor for line in oil.monitors}
    assert any("calcium gluconate" in line.text for line in acid.decontamination)


def test_a_product_that_no_source_names_counts_as_not_identified_beside_it() -> None:
    build = a_store()
    stock(build, "P1", (4, 5), "lubricating-oil", label="none", identity_sources=[])
    doubted = only_zone(judged(build))
    assert (doubted.ensemble.level, doubted.ensemble.driver) == ("A", "not identified")
    assert "radiation" in {line.monitor for line in doubted.monitors}
    build = a_store()
    stock(build, "P1", (4, 5), "lubricating-oil", label="legible", identity_sources=["label"])
    named = only_zone(judged(build))
    assert named.ensemble.level == "C"


@pytest.mark.parametrize(("at", "open_ways"), [((10.0, 5.0), {"lid under", "fulcrum"}), ((1.0, 5.0), {"lid under"})])
def test_the_way_in_goes_by_the_room_beside_the_drum(at: tuple[float, float], open_ways: set[str]) -> None:
    build = a_store()
    stock(build, "P1", at, "toluene", orientation="upright")
    need = need_of(judged(build), "P1-1")
    assert {way.name for way in need.ways if not way.refused} == open_ways


def test_the_way_in_goes_by_the_gear_on_record() -> None:
    build = a_store()
    stock(build, "P1", (10, 5), "toluene", orientation="upright")
    kit(build, "Drum lifter", "tool")
    assert need_of(judged(build), "P1-1").ways[0].name == "hoist or drum lifter"


def test_decontamination_makes_no_place_up_and_names_the_drain_by_the_entrance() -> None:
    build = a_store()
    build.door("North door", [(9, 10), (11, 10)], main_entrance=True)
    build.drain("D1", (10, 8), joins="storm")
    stock(build, "P1", (4, 5), "toluene")
    record = next(line for line in judged(build).decontamination if line.cite.rule == "decontamination-place")
    assert "At North door: drain D1 is 2.0 m away" in record.text
    assert "No place is recorded" in record.text
