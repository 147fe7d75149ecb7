"""The committed survey files: fresh, readable, and plausible as the record of a walk."""

import json
from pathlib import Path

import pytest
from shapely import Point, Polygon, unary_union

from seed_demo.__main__ import SITES, main
from seed_demo.loader import MAX_FILE_BYTES, survey_files
from survey.bundle import dump, entries, parse
from survey.catalogue.products import catalogue
from tests.seed_demo.plan import footprint, site


def test_there_is_one_file_for_each_site_that_is_authored() -> None:
    assert [file.stem for file in survey_files()] == sorted(SITES)


@pytest.mark.parametrize("name", sorted(SITES))
def test_the_committed_file_is_what_the_authoring_code_writes(name: str) -> None:
    (file,) = (file for file in survey_files() if file.stem == name)
    assert file.read_bytes() == dump(SITES[name]()), "run: python3 -m seed_demo"


@pytest.mark.parametrize("name", sorted(SITES))
def test_the_committed_file_parses_and_comes_out_again_unchanged(name: str) -> None:
    (file,) = (file for file in survey_files() if file.stem == name)
    assert dump(parse(file.read_bytes(), max_bytes=MAX_FILE_BYTES)) == file.read_bytes()


def test_the_command_writes_all_files_anew(tmp_path: Path) -> None:
    main(tmp_path)
    written = {file.name: file.read_bytes() for file in tmp_path.iterdir()}
    assert written == {file.name: file.read_bytes() for file in survey_files()}


def test_no_id_is_used_on_two_sites() -> None:
    ids = [row.id for name in SITES for _, rows in entries(site(name)) for row in rows]
    assert len(ids) == len(set(ids))


@pytest.mark.parametrize("name", sorted(SITES))
def test_every_telephone_number_is_fictional(name: str) -> None:
    # 555-0100 to 555-0199 are kept free for fiction in the North American numbering plan (recalled).
    numbers = [int(contact.phone.removeprefix("555-")) for contact in site(name).contacts]
    assert numbers
    assert all(100 <= number <= 199 for number in numbers)


@pytest.mark.parametrize("name", sorted(SITES))
def test_names_of_things_on_a_floor_are_used_once(name: str) -> None:
    survey = site(name)
    for things in (survey.pallets, survey.drains, survey.storage_zones, survey.bunds, survey.doors):
        names = [thing.name for thing in things]
        assert len(names) == len(set(names))


@pytest.mark.parametrize("name", sorted(SITES))
def test_every_pallet_stands_inside_one_storage_zone(name: str) -> None:
    survey = site(name)
    for stand in survey.pallets:
        around = [zone for zone in survey.storage_zones if Polygon(zone.outline).covers(footprint(stand))]
        partly = [zone for zone in survey.storage_zones if Polygon(zone.outline).intersects(footprint(stand))]
        assert len(around) == 1, stand.name
        assert partly == around, stand.name


@pytest.mark.parametrize("name", sorted(SITES))
def test_nothing_is_written_down_before_it_happened(name: str) -> None:
    survey = site(name)
    last_walk = max(walk.on for walk in survey.walkthroughs)
    for _, rows in entries(survey):
        assert all(row.recorded_at.date() <= last_walk for row in rows)


@pytest.mark.parametrize("name", sorted(SITES))
def test_every_drain_found_lies_on_the_floor_or_in_the_yard(name: str) -> None:
    survey = site(name)
    (floor,) = survey.floors
    ground = unary_union([Polygon(floor.outline), *(Polygon(yard.outline) for yard in survey.outdoor_surfaces)])
    found = [drain for drain in survey.drains if drain.line]
    assert found
    assert all(ground.covers(Point(corner)) for drain in found for corner in drain.line)


@pytest.mark.parametrize("name", sorted(SITES))
def test_labels_agree_with_the_catalogue_but_for_the_planted_question(name: str) -> None:
    # UN numbers, CAS numbers and strengths are typed from the labels; the catalogue cites 49 CFR 172.101.
    odd = set()
    for found in site(name).drums:
        if found.product is None:
            continue
        listed = catalogue().get(found.product)
        assert listed is not None, found.product
        assert found.cas_number is None or found.cas_number in listed.cas_numbers
        if found.un_number is not None and found.un_number != listed.un_number:
            odd.add((found.product, found.un_number))
    assert odd == ({("sodium-sulphide-solution", "1849")} if name == "quillmere_shed_4" else set())


def test_the_files_say_nothing_of_photos_that_do_not_exist() -> None:
    for file in survey_files():
        assert json.loads(file.read_bytes())["photos"] == []
