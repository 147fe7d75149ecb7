"""Tessaly Road Chemical Store as committed: what its findings rest on."""

from collections import Counter

from shapely import Polygon

from survey.vocabulary import (
    ConditionSign,
    DrainDestination,
    DrainProof,
    LabelState,
    YesNoUnknown,
)
from tests.seed_demo.plan import drain, drums, site

SURVEY = site("tessaly_road")


def test_counts_37_full_or_part_drums_and_one_empty() -> None:
    found = drums(SURVEY)
    assert Counter(drum.fill_pct == 0 for drum in found) == {False: 37, True: 1}


def test_floor_has_no_kerb_and_its_cladding_holds_nothing() -> None:
    (floor,) = SURVEY.floors
    assert floor.perimeter_tight is YesNoUnknown.NO
    assert SURVEY.bunds == []
    assert all(door.sill_mm == 0 and door.tight_at_floor is YesNoUnknown.NO for door in SURVEY.doors)
    assert Polygon(floor.outline).area == 360


def test_has_a_disputed_gully() -> None:
    gully = drain(SURVEY, "D1")
    assert (gully.joins, gully.proof) == (DrainDestination.SANITARY, DrainProof.OPERATOR)
    assert [(claim.joins, claim.says) for claim in gully.other_claims] == [(DrainDestination.STORM, DrainProof.DRAWING)]
    assert gully.outfall_distance_m == 60


def test_has_one_bulging_drum_and_three_that_nobody_can_name() -> None:
    found = drums(SURVEY)
    assert [drum.name for drum in found if ConditionSign.BULGING in drum.signs] == ["A10-1"]
    assert [drum.name for drum in found if drum.label is LabelState.PAINTED_OVER] == ["A09-1", "A09-2", "A09-3"]
    assert [drum.name for drum in found if drum.product is None] == ["A09-1", "A09-2", "A09-3"]
    assert [drum.name for drum in found if ConditionSign.CHIME_DENT in drum.signs] == ["A05-4"]


def test_has_the_wrong_absorbent_beside_the_peroxide_and_no_plastic_salvage_drum() -> None:
    kit = {item.name: item for item in SURVEY.kit_items if item.place == "site"}
    assert kit["Sawdust, bags"].beside_pallet == "A06"
    assert {item.material for item in kit.values() if item.kind == "salvage drum"} == {"steel"}
    assert kit["Drain cover"].quantity == 0


def test_has_nobody_to_call_at_night_but_the_authorities() -> None:
    own = [contact for contact in SURVEY.contacts if contact.organisation == "Tessaly Road Chemicals"]
    assert {contact.availability for contact in own} == {"day"}
    assert {shift.name: shift.people for shift in SURVEY.site.shifts} == {"day": 1, "night": 0, "weekend": 0}
