"""Quillmere Freight Shed 4 as committed: what its findings rest on."""

from collections import Counter
from datetime import timedelta

from shapely import Point, Polygon

from survey.vocabulary import (
    BreachKind,
    BreachPlace,
    Orientation,
    ValvePosition,
)
from tests.seed_demo.plan import drain, drum, drums, readings, site

SURVEY = site("quillmere_shed_4")


def test_counts_124_drums_in_the_readings_with_the_higher_count_and_8_jerricans() -> None:
    codes = Counter(drum.container_code for drum in drums(SURVEY))
    assert codes.pop("3H1") == 8
    assert codes.total() == 124
    assert {drum.capacity_l for drum in drums(SURVEY, "Cabinet")} == {25}


def test_counts_114_liquid_8_solid_and_2_empty_drums() -> None:
    found = [drum for drum in drums(SURVEY) if drum.container_code != "3H1"]
    empty = [drum for drum in found if drum.fill_pct == 0]
    solid = [drum for drum in found if drum.product == "sodium-hydrosulphite"]
    filled = [drum for drum in found if drum not in empty and drum not in solid]
    assert (len(filled), len(solid), len(empty)) == (114, 8, 2)
    assert {drum.net_mass_kg for drum in solid} == {110}
    # "about 23,700 L"
    assert sum(drum.capacity_l for drum in filled) == 23_712


def test_b19_keeps_both_readings_ten_minutes_apart() -> None:
    first, second = readings(SURVEY, "B19")
    assert second.taken_at - first.taken_at == timedelta(minutes=10)
    assert first.author != second.author
    assert {first.inclusion, second.inclusion} == {"alternative"}
    assert (first.replaces_id, second.replaces_id) == (None, None)
    by_reading = {
        reading.id: [drum for drum in SURVEY.drums if drum.reading_id == reading.id] for reading in (first, second)
    }
    assert [drum.product for drum in by_reading[first.id]] == ["sodium-hydrosulphite"] * 4
    assert [drum.product for drum in by_reading[second.id]] == ["sodium-hydrogen-sulphate"] * 3
    drums_read = by_reading[first.id] + by_reading[second.id]
    assert all(drum.un_number is None for drum in drums_read)
    assert all("sodium hydrogen sulphate, 8" in drum.product_text for drum in drums_read)


def test_no_other_pallet_has_two_readings() -> None:
    assert [name for name in sorted(p.name for p in SURVEY.pallets) if len(readings(SURVEY, name)) != 1] == ["B19"]


def test_bunds_drain_through_joined_sumps_and_an_open_valve() -> None:
    sumps = {sump.id: sump.name for sump in SURVEY.sumps}
    pipes = {pipe.name: pipe for pipe in SURVEY.pipes}
    joining, leaving = pipes["S1-S2"], pipes["S1-D2"]
    assert joining.to_sump_id is not None
    assert (sumps[joining.from_sump_id], sumps[joining.to_sump_id]) == ("S1", "S2")
    assert (sumps[leaving.from_sump_id], leaving.to_drain_id) == ("S1", drain(SURVEY, "D2").id)
    assert (joining.valve, leaving.valve) == (ValvePosition.NONE, ValvePosition.OPEN)
    assert not joining.plugged_and_proven
    for name, sump in (("Z2", "S1"), ("Z3", "S2")):
        (outline,) = (Polygon(bund.outline) for bund in SURVEY.bunds if bund.name == name)
        (at,) = (Point(found.at) for found in SURVEY.sumps if found.name == sump)
        assert outline.contains(at)


def test_returns_cage_holds_what_it_should() -> None:
    assert Counter(drum.product for drum in drums(SURVEY, "B30")) == {
        "hydrochloric-acid-32": 2,
        None: 1,
        "methyl-ethyl-ketone": 1,
    }
    weeping = drum(SURVEY, "B31-1")
    assert (weeping.product, weeping.orientation) == ("phosphoric-acid-75", Orientation.LYING)
    assert [(breach.kind, breach.place) for breach in weeping.breaches] == [(BreachKind.BUNG_WEEP, BreachPlace.LOW)]
    assert [drum.fill_pct for drum in drums(SURVEY, "B31")] == [100, 100, 0, 0]
    (main_door,) = (door for door in SURVEY.doors if door.main_entrance)
    assert main_door.blocked


def test_styrene_is_past_its_inhibitor_date() -> None:
    (walk,) = SURVEY.walkthroughs
    past = {drum.name for drum in drums(SURVEY) if drum.inhibitor_until is not None and drum.inhibitor_until < walk.on}
    assert past == {"B10-1", "B10-2", "B10-3", "B10-4"}


def test_every_storage_zone_has_somebody_who_answers_at_night() -> None:
    awake = [contact for contact in SURVEY.contacts if contact.availability in ("night", "day and night")]
    answered = {zone for contact in awake for zone in contact.storage_zones}
    assert answered == {zone.name for zone in SURVEY.storage_zones}
    assert len({zone.tenant for zone in SURVEY.storage_zones}) == 3
