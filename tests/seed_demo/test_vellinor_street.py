"""Vellinor Street Surplus Depot as committed: what its findings rest on."""

from collections import Counter
from datetime import timedelta

from shapely import Point

from survey.vocabulary import (
    ConditionSign,
    IdentitySource,
    LabelState,
    Sighting,
    WalkOutcome,
    YesNoUnknown,
)
from tests.seed_demo.plan import drain, drums, footprint, pallet, site

SURVEY = site("vellinor_street")


def test_counts_186_drums_of_which_78_were_seen() -> None:
    found = drums(SURVEY)
    assert Counter(drum.sighting for drum in found) == {Sighting.SEEN: 78, Sighting.NOT_SEEN: 108}
    by_block = Counter(drum.name.split("-")[0] for drum in found)
    assert by_block == {"K1": 54, "K2": 54, "K3": 36, "K4": 24, "K5": 12, "K6": 6}
    seen = Counter(drum.name.split("-")[0] for drum in found if drum.sighting is Sighting.SEEN)
    assert seen == {"K1": 18, "K2": 18, "K3": 12, "K4": 12, "K5": 12, "K6": 6}


def test_labels_are_legible_on_28_and_no_drum_is_identified() -> None:
    found = drums(SURVEY)
    assert Counter(drum.label for drum in found) == {
        LabelState.LEGIBLE: 28,
        LabelState.PARTIAL: 17,
        LabelState.NONE: 33,
        LabelState.NOT_SEEN: 108,
    }
    for drum in found:
        assert drum.identity_sources == ([IdentitySource.LABEL] if drum.label is LabelState.LEGIBLE else [])
    # 78, 28 and 108 of 186 drums, as the plan prints them.
    assert [round(100 * count / len(found), 1) for count in (78, 28, 108)] == [41.9, 15.1, 58.1]


def test_conditions_of_the_drums_that_were_seen() -> None:
    found = drums(SURVEY)
    assert Counter(sign for drum in found for sign in drum.signs) == {
        ConditionSign.LEAKING: 9,
        ConditionSign.BULGING: 4,
        ConditionSign.CRYSTALS_AT_CLOSURE: 2,
        ConditionSign.HEAVY_RUST: 31,
        ConditionSign.MARKS_DISAGREE: 6,
    }
    bulging = [(drum.name.split("-")[0], drum.tier) for drum in found if ConditionSign.BULGING in drum.signs]
    assert bulging == [("K1", 3), ("K1", 3), ("K3", 2), ("K6", 1)]
    assert not any(drum.signs for drum in found if drum.sighting is Sighting.NOT_SEEN)
    torn = [drum for drum in found if "HYDROFURAN" in drum.product_text]
    assert [(drum.label, drum.signs) for drum in torn] == [(LabelState.PARTIAL, [ConditionSign.CRYSTALS_AT_CLOSURE])]
    (walk,) = (walk for walk in SURVEY.walkthroughs if walk.outcome is WalkOutcome.PARTIAL)
    assert torn[0].dated is not None
    assert (walk.on - torn[0].dated).days // 365 == 9


def test_no_rusted_drum_is_plastic() -> None:
    rusted = [drum for drum in drums(SURVEY) if ConditionSign.HEAVY_RUST in drum.signs]
    assert rusted
    assert all(drum.container_code in (None, "1A1", "1A2") and not drum.stainless for drum in rusted)


def test_products_read_from_a_label() -> None:
    read = Counter(drum.product for drum in drums(SURVEY) if drum.label is LabelState.LEGIBLE)
    assert read.pop("sodium-cyanide-solid") == 1
    assert set(read) == {
        "nitric-acid-68",
        "calcium-hypochlorite-dry",
        "methanol",
        "waste-solvent-flammable",
        "dichloromethane",
    }


def test_was_refused_twice_and_let_after_the_last_record() -> None:
    walks = sorted(SURVEY.walkthroughs, key=lambda walk: walk.on)
    refused, glanced, partial = WalkOutcome.ACCESS_REFUSED, WalkOutcome.STREET_SIDE_ONLY, WalkOutcome.PARTIAL
    assert [walk.outcome for walk in walks] == [refused, refused, glanced, partial]
    assert walks[-1].minutes == 20
    record = SURVEY.site
    assert record.tenancy_since is not None
    assert record.previous_record_on is not None
    assert walks[-1].on - record.tenancy_since == timedelta(weeks=8)
    assert record.previous_record_on < record.tenancy_since
    assert "allet repair" in record.previous_record


def test_one_of_three_drawn_gullies_was_not_found() -> None:
    gullies = [found for found in SURVEY.drains if found.kind == "gully"]
    assert len(gullies) == 3
    assert [found.name for found in gullies if not found.line] == ["D5"]
    assert footprint(pallet(SURVEY, "K2")).covers(Point(drain(SURVEY, "D1").line[0]))
    assert drain(SURVEY, "D1").sighting is Sighting.NOT_SEEN


def test_has_no_water_near_and_no_power() -> None:
    assert all(supply.distance_m is not None and supply.distance_m > 240 for supply in SURVEY.water_supplies)
    assert SURVEY.water_supplies
    assert (SURVEY.site.power, SURVEY.site.asbestos) == (YesNoUnknown.NO, YesNoUnknown.YES)
    assert SURVEY.protection_systems == []
