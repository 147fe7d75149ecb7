"""The survey file: exact inverses, malformed refused with the place named, implausible kept."""

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import jsonschema
import pytest
from hypothesis import HealthCheck, given, settings

from survey.bundle import VERSION, Fault, Survey, SurveyRefused, dump, json_schema, parse, snapshot_sha256
from survey.nouns import NOUNS
from survey.tables.stock import Drum
from tests.builders import SurveyBuilder, rectangle
from tests.strategies import surveys

MOST = 10_000_000
ROOT = Path(__file__).parents[2]
Document = dict[str, Any]


def small_survey() -> Survey:
    """A floor with a bund, two joined sumps, a drain, and one drum on one of two pallets."""
    build = SurveyBuilder()
    build.floor()
    build.bund("Kerb", rectangle(1, 1, 4, 4))
    first, second = build.sump("S1", (2, 2)), build.sump("S2", (9, 2))
    drain = build.drain("D1", (5, 5))
    build.pipe("S1 to S2", first, second)
    build.pipe("S2 to D1", second, drain)
    lower = build.pallet("P1", at=(3, 3))
    build.drum("P1-1", product="toluene", fill_pct=90)
    build.pallet("P2", at=(3, 3), stands_on_id=lower.id, stack_level=2)
    return build.survey()


def document() -> Document:
    """The same as plain JSON, to be spoilt."""
    plain: Document = json.loads(dump(small_survey()))
    return plain


def faults_in(data: bytes | Document, *, max_bytes: int = MOST) -> tuple[Fault, ...]:
    """Give the faults for which a document is refused."""
    with pytest.raises(SurveyRefused) as refused:
        parse(data if isinstance(data, bytes) else json.dumps(data).encode(), max_bytes=max_bytes)
    assert refused.value.faults
    return refused.value.faults


def only_fault(data: bytes | Document) -> Fault:
    """Give the one fault for which a document is refused."""
    faults = faults_in(data)
    assert len(faults) == 1, faults
    return faults[0]


@settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large])
@given(survey=surveys())
def test_parse_and_dump_are_exact_inverses(survey: Survey) -> None:
    data = dump(survey)
    assert parse(data, max_bytes=MOST) == survey
    assert dump(parse(data, max_bytes=MOST)) == data


def test_survey_has_a_list_for_every_noun_and_no_other() -> None:
    lists = [name for name in Survey.model_fields if name not in ("format", "version", "site")]
    assert lists == [noun.plural for noun in NOUNS if noun.parent is not None]
    for noun in NOUNS[1:]:
        assert Survey.model_fields[noun.plural].annotation == list[noun.fields]  # type: ignore[name-defined]


def test_order_of_entries_and_spelling_of_values_make_no_difference() -> None:
    spoken = document()
    for plural in ("sumps", "pallets", "pipes"):
        spoken[plural].reverse()
    spoken["site"]["recorded_at"] = "2026-03-02T04:30:00-05:00"
    spoken["sumps"][0]["at"] = [round(value) for value in spoken["sumps"][0]["at"]]
    data = json.dumps(spoken, indent=7).encode("utf-8-sig")
    assert dump(parse(data, max_bytes=MOST)) == dump(small_survey())
    assert snapshot_sha256(parse(data, max_bytes=MOST)) == snapshot_sha256(small_survey())


def test_snapshot_hash_changes_with_any_value() -> None:
    changed = document()
    changed["drums"][0]["fill_pct"] = 89.5
    assert snapshot_sha256(parse(json.dumps(changed).encode(), max_bytes=MOST)) != snapshot_sha256(small_survey())


def test_absent_lists_are_empty_and_absent_optional_fields_unknown() -> None:
    plain = document()
    del plain["drums"], plain["photos"]
    del plain["floors"][0]["finish"]
    survey = parse(json.dumps(plain).encode(), max_bytes=MOST)
    assert (survey.drums, survey.photos, survey.floors[0].finish) == ([], [], "unknown")


def test_table_rows_which_nobody_validated_are_not_taken() -> None:
    survey = small_survey()
    row = Drum(**survey.drums[0].model_dump())
    row.fill_pct = -1
    with pytest.raises(ValueError, match="fill_pct"):
        Survey.model_validate({"site": survey.site, "drums": [row]})


# --- malformed: the document as a whole


@pytest.mark.parametrize(
    ("data", "path", "expected", "found"),
    [
        (b"", "document", "JSON", "Expecting value at line 1, column 1"),
        (b'{"format": "drumwalk-survey",', "document", "JSON", "at line 1, column 30"),
        (b"\xff\xfe{\x00}\x00", "document", "UTF-8 text", "byte 0xff at offset 0"),
        (b'{"format": "caf\xe9"}', "document", "UTF-8 text", "byte 0xe9 at offset 15"),
        (b"[]", "document", "a JSON object", "[]"),
        (b"17", "document", "a JSON object", "17"),
        (b"[" * 100_000, "document", "JSON nested a few levels deep", "hundreds of levels"),
        (b'{"n": ' + b"9" * 5_000 + b"}", "document", "numbers of at most 400 digits", "one of 5000"),
        (b"{}", "format", '"drumwalk-survey"', "nothing"),
        (b'{"format": "another"}', "format", '"drumwalk-survey"', '"another"'),
        (b'{"format": "drumwalk-survey"}', "version", "1", "nothing"),
        (b'{"format": "drumwalk-survey", "version": 0}', "version", "1", "0"),
        (b'{"format": "drumwalk-survey", "version": true}', "version", "1", "true"),
        (b'{"format": "drumwalk-survey", "version": "1"}', "version", "1", '"1"'),
        (b'{"format": "drumwalk-survey", "version": 2}', "version", "1 or earlier", "a newer edition"),
        (b'{"format": "drumwalk-survey", "version": 1}', "site", "a value", "nothing"),
        (b'{"format": "drumwalk-survey", "version": 1, "version": 1}', "version", "a key said once", "more than once"),
        (b'{"format": "drumwalk-survey", "version": 1, "site": [], "drum": []}', "drum", "no field", "[]"),
    ],
)
def test_malformed_document(data: bytes, path: str, expected: str, found: str) -> None:
    matching = [fault for fault in faults_in(data) if fault.path == path]
    assert len(matching) == 1
    assert expected in matching[0].expected
    assert found in matching[0].found


def test_a_document_over_the_limit_is_refused_and_one_at_the_limit_is_not() -> None:
    data = dump(small_survey())
    assert parse(data, max_bytes=len(data)) == small_survey()
    assert faults_in(data, max_bytes=len(data) - 1) == (
        Fault("document", f"at most {len(data) - 1} bytes", f"{len(data)} bytes"),
    )


def test_lone_surrogate_is_refused() -> None:
    # RFC 8259 section 8.2 leaves the meaning of an unpaired surrogate open.
    fault = only_fault(dump(small_survey()).replace(b'"P1-1"', rb'"\ud800"'))
    assert (fault.path, fault.expected) == ("document", "JSON")


# --- malformed: values; each spoils one place of a sound document


def put(*place: str | int) -> Callable[[Document, Any], None]:
    """Give a function that puts a value at a place in a document."""

    def at(plain: Document, value: Any) -> None:
        here: Any = plain
        for step in place[:-1]:
            here = here[step]
        here[place[-1]] = value

    return at


BOW_TIE = [[0, 0], [4, 4], [4, 0], [0, 4]]


@pytest.mark.parametrize(
    ("place", "value", "path", "expected", "found"),
    [
        (("floors", 0, "outline"), BOW_TIE, "floors[0].outline", "not cross", "self-intersection[2 2]"),
        (("floors", 0, "outline"), [[0, 0], [1, 1]], "floors[0].outline", "at least 3 item(s)", "2"),
        (("floors", 0, "outline"), [[0, 0], [2, 0], [2, 2], [0, 0]], "floors[0].outline[3]", "closes itself", "(0, 0)"),
        (("floors", 0, "outline"), [[0, 0], [1, 1], [2, 2]], "floors[0].outline", "encloses an area", "one line"),
        (("floors", 0, "outline"), [[0, 0], [0, 0], [1, 0]], "floors[0].outline", "3 different corners", "2"),
        (("floors", 0, "outline"), "square", "floors[0].outline", "a list", '"square"'),
        (("floors", 0, "outline", 2), [20], "floors[0].outline[2][1]", "a value", "nothing"),
        (("floors", 0, "outline", 2), [20, 10, 0], "floors[0].outline[2]", "at most 2 items", "3"),
        (("floors", 0, "outline", 2, 0), float("nan"), "floors[0].outline[2][0]", "a finite number", "NaN"),
        (("floors", 0, "outline", 2, 0), 1e999, "floors[0].outline[2][0]", "a finite number", "Infinity"),
        (("floors", 0, "outline", 2, 0), "20", "floors[0].outline[2][0]", "a number", '"20"'),
        (("floors", 0, "outline", 2, 0), None, "floors[0].outline[2][0]", "a number", "null"),
        (("floors", 0, "outline", 2, 0), 10_001, "floors[0].outline[2][0]", "at most 10000", "10001"),
        (("drums", 0, "fill_pct"), -0.5, "drums[0].fill_pct", "at least 0", "-0.5"),
        (("drums", 0, "fill_pct"), float("-inf"), "drums[0].fill_pct", "a finite number", "-Infinity"),
        (("drums", 0, "capacity_l"), 0, "drums[0].capacity_l", "more than 0", "0"),
        (("drums", 0, "tier"), 1.5, "drums[0].tier", "a whole number", "1.5"),
        (("drums", 0, "stainless"), 1, "drums[0].stainless", "true or false", "1"),
        (("drums", 0, "signs"), ["humming"], "drums[0].signs[0]", "'bulging'", '"humming"'),
        (("drums", 0, "breaches"), [{"place": "low"}], "drums[0].breaches[0].kind", "a value", "nothing"),
        (("drums", 0, "colour"), "blue", "drums[0].colour", "no field of this name", '"blue"'),
        (("drums", 0, "name"), "", "drums[0].name", "at least 1 character", '""'),
        (("drums", 0, "name"), "x" * 201, "drums[0].name", "at most 200 characters", "201 characters"),
        (("drums", 0, "name"), "a\0b", "drums[0].name", "without NUL", r"a\u0000b"),
        (("drums", 0, "dated"), "2026-02-30", "drums[0].dated", "a date like", '"2026-02-30"'),
        (("drums", 0, "recorded_at"), "2026-03-02T09:30:00", "drums[0].recorded_at", "with its zone", "09:30:00"),
        (("drums", 0, "recorded_at"), "yesterday", "drums[0].recorded_at", "a time like", '"yesterday"'),
        (("drums", 0, "recorded_at"), 1_772_443_800, "drums[0].recorded_at", "a time", "1772443800"),
        (("drums", 0, "recorded_at"), "0001-01-01T00:00:00+14:00", "drums[0].recorded_at", "in UTC", "0001-01-01"),
        (("drums", 0, "id"), "drum one", "drums[0].id", "a UUID", '"drum one"'),
        (("drums", 0), "drum", "drums[0]", "an object", '"drum"'),
        (("drums",), {}, "drums", "a list", "{}"),
        (("site",), [], "site", "an object", "[]"),
    ],
)
def test_malformed_value(place: tuple[str | int, ...], value: Any, path: str, expected: str, found: str) -> None:
    plain = document()
    put(*place)(plain, value)
    fault = only_fault(plain)
    assert fault.path == path
    assert expected in fault.expected
    assert found in fault.found
    assert "\n" not in str(fault)


def test_every_fault_is_told_at_once_up_to_a_hundred() -> None:
    plain = document()
    plain["drums"][0] |= {"fill_pct": -1, "tier": 0}
    plain["floors"][0]["outline"] = BOW_TIE
    assert [fault.path for fault in faults_in(plain)] == ["floors[0].outline", "drums[0].fill_pct", "drums[0].tier"]
    plain["levels"] = [{}] * 200
    faults = faults_in(plain)
    assert len(faults) == 101
    assert faults[-1] == Fault("document", "no faults", "1303 more like these")


def test_key_said_twice_is_named_with_its_place() -> None:
    fault = only_fault(dump(small_survey()).replace(b'"fill_pct": 90.0', b'"fill_pct": 10.0, "fill_pct": 90.0'))
    assert fault == Fault("drums[0].fill_pct", "a key said once", "it more than once")


# --- malformed: entries that contradict each other


def test_two_drums_with_one_id() -> None:
    plain = document()
    plain["drums"].append(plain["drums"][0] | {"name": "P1-2"})
    fault = only_fault(plain)
    assert (fault.path, fault.expected) == ("drums[1].id", "an id used once")
    assert fault.found.endswith("also the id of drums[0]")


def test_one_id_for_entries_of_two_nouns() -> None:
    plain = document()
    plain["bunds"][0]["id"] = plain["floors"][0]["id"]
    fault = only_fault(plain)
    assert fault.path == "bunds[0].id"
    assert fault.found.endswith("also the id of floors[0]")


def test_entry_without_an_id() -> None:
    plain = document()
    del plain["drums"][0]["id"]
    assert only_fault(plain) == Fault("drums[0].id", "a UUID", "nothing")


def test_faults_name_places_of_the_document_and_not_of_the_sorted_lists() -> None:
    plain = document()
    plain["sumps"].sort(key=lambda sump: sump["id"], reverse=True)
    plain["sumps"][0]["floor_id"] = plain["site"]["id"]
    assert only_fault(plain).path == "sumps[0].floor_id"


@pytest.mark.parametrize(
    ("plural", "field", "target"),
    [
        ("floors", "site_id", "sites"),
        ("bunds", "floor_id", "floors"),
        ("pallets", "stands_on_id", "pallets"),
        ("readings", "pallet_id", "pallets"),
        ("readings", "replaces_id", "readings"),
        ("drums", "reading_id", "readings"),
    ],
)
def test_reference_to_nothing_and_to_another_noun(plural: str, field: str, target: str) -> None:
    plain = document()
    plain[plural][0][field] = "00000000-0000-4000-8000-000000000000"
    fault = faults_in(plain)[0]
    assert (fault.path, fault.expected) == (f"{plural}[0].{field}", f"the id of one of {target}")
    assert fault.found.endswith("which is not in this survey")
    plain[plural][0][field] = plain["bunds"][0]["id"]
    fault = faults_in(plain)[0]
    assert fault.path == f"{plural}[0].{field}"
    assert fault.found.endswith("the id of bunds[0]")


@pytest.mark.parametrize(("ends", "found"), [(0, "neither"), (2, "to_sump_id and to_drain_id")])
def test_pipe_has_exactly_one_far_end(ends: int, found: str) -> None:
    plain = document()
    sump, drain = plain["sumps"][0]["id"], plain["drains"][0]["id"]
    plain["pipes"][0] |= {"to_sump_id": sump if ends else None, "to_drain_id": drain if ends else None}
    assert only_fault(plain) == Fault("pipes[0]", "exactly one of to_sump_id and to_drain_id", found)


@pytest.mark.parametrize(("plural", "field"), [("readings", "replaces_id"), ("pallets", "stands_on_id")])
def test_chain_in_a_circle(plural: str, field: str) -> None:
    plain = document()
    first, second = plain[plural]
    first[field], second[field] = second["id"], first["id"]
    fault = only_fault(plain)
    assert fault == Fault(
        f"{plural}[0].{field}", "a chain that ends", f"a circle {plural}[0] → {plural}[1] → {plural}[0]"
    )
    first[field], second[field] = first["id"], None
    assert only_fault(plain).found == f"a circle {plural}[0] → {plural}[0]"


def test_a_survey_made_in_the_program_is_held_to_the_same() -> None:
    survey = small_survey()
    with pytest.raises(SurveyRefused, match=r"drums\[0\]\.reading_id: .* not in this survey"):
        Survey.model_validate({"site": survey.site, "drums": survey.drums})


# --- implausible: taken as seen


@pytest.mark.parametrize(
    ("place", "value"),
    [
        (("pallets", 0, "at"), [500.0, -3.0]),
        (("drums", 0, "container_code"), "9Z9"),
        (("drums", 0, "fill_pct"), 120.0),
        (("drums", 0, "product"), "no-such-product"),
        (("drums", 0, "un_number"), "UN 99999"),
        (("drums", 0, "dated"), "2199-01-01"),
        (("bunds", 0, "low_point_mm"), 300.0),
        (("bunds", 0, "outline"), [[90.0, 90.0], [95.0, 90.0], [95.0, 95.0]]),
        (("floors", 0, "outline"), [[0.0, 0.0], [0.0, 0.0], [20.0, 0.0], [20.0, 10.0]]),
        (("sumps", 0, "at"), [-50.0, 0.0]),
    ],
)
def test_implausible_is_kept_as_seen(place: tuple[str | int, ...], value: Any) -> None:
    plain = document()
    put(*place)(plain, value)
    kept: Any = json.loads(dump(parse(json.dumps(plain).encode(), max_bytes=MOST)))
    for step in place:
        kept = kept[step]
    assert kept == value


# --- JSON Schema (draft 2020-12), judged by the jsonschema library


def test_schema_is_a_sound_schema_that_names_its_version() -> None:
    schema = json_schema()
    jsonschema.Draft202012Validator.check_schema(schema)
    assert schema["$id"] == f"urn:drumwalk-survey:{VERSION}"
    json.dumps(schema, allow_nan=False)


@settings(max_examples=5, deadline=None, suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large])
@given(survey=surveys())
def test_schema_takes_every_survey(survey: Survey) -> None:
    jsonschema.Draft202012Validator(json_schema()).validate(json.loads(dump(survey)))


@pytest.mark.parametrize("path", sorted(ROOT.glob("seed_demo/*.json")), ids=lambda path: path.stem)
def test_schema_takes_the_demo_sites_which_are_in_their_one_spelling(path: Path) -> None:
    data = path.read_bytes()
    jsonschema.Draft202012Validator(json_schema()).validate(json.loads(data))
    assert dump(parse(data, max_bytes=MOST)) == data


def test_schema_takes_the_small_survey_and_refuses_what_a_schema_can_tell() -> None:
    validator = jsonschema.Draft202012Validator(json_schema())
    validator.validate(document())
    for place, value in [
        (("drums", 0, "fill_pct"), -1),
        (("drums", 0, "colour"), "blue"),
        (("drums", 0, "signs"), ["humming"]),
        (("floors", 0, "outline"), [[0, 0], [1, 1]]),
        (("floors", 0, "outline", 0), [0]),
        (("version",), 2),
    ]:
        spoilt = document()
        put(*place)(spoilt, value)
        assert not validator.is_valid(spoilt), place
    for plural in ("drums", "floors"):
        spoilt = document()
        del spoilt[plural][0]["id"]
        assert not validator.is_valid(spoilt)
