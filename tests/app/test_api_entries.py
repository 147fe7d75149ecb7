"""Every noun over HTTP: the same promises for each of them."""

from typing import Any
from uuid import UUID, uuid4

import pytest
from fastapi.testclient import TestClient

from survey.nouns import BY_PLURAL, NOUNS, Noun
from tests.app.record import PARENTS, Record

each_noun = pytest.mark.parametrize("noun", NOUNS, ids=lambda noun: noun.plural)


@each_noun
def test_a_created_entry_reads_back(noun: Noun, client: TestClient, record: Record) -> None:
    body = record.body(noun.plural)
    created = client.post(f"/api/{noun.plural}", json=body)
    assert created.status_code == 201
    assert created.headers["Location"] == f"/api/{noun.plural}/{body['id']}"
    assert created.headers["ETag"] == '"1"'
    read = client.get(created.headers["Location"])
    assert read.status_code == 200
    assert read.headers["ETag"] == '"1"'
    assert read.json() == created.json()
    assert {name: read.json()[name] for name in body} == body
    assert set(read.json()) == {*noun.fields.model_fields, "revision"}
    known = client.get(created.headers["Location"], headers={"If-None-Match": '"1"'})
    assert (known.status_code, known.content, known.headers["ETag"]) == (304, b"", '"1"')


@each_noun
def test_a_list_pages_through_the_entries_of_one_parent_by_id(noun: Noun, client: TestClient, record: Record) -> None:
    first = record.add(noun.plural)
    below = {noun.parent: first[noun.parent]} if noun.parent else {}
    added = [first, *(record.add(noun.plural, **below) for _ in range(2))]
    if noun.parent:
        elsewhere = record.add(PARENTS[noun.parent])
        record.add(noun.plural, **{noun.parent: elsewhere["id"]})
    expected = sorted(added, key=lambda entry: UUID(entry["id"]).int)
    page = client.get(f"/api/{noun.plural}", params={**below, "limit": 2})
    assert page.json()["items"] == expected[:2]
    assert page.headers["Link"] == f'<{page.json()["next"]}>; rel="next"'
    rest = client.get(page.json()["next"])
    assert rest.json() == {"items": expected[2:], "next": None}
    assert "Link" not in rest.headers


@each_noun
def test_a_change_names_the_revision_it_was_made_on(noun: Noun, client: TestClient, record: Record) -> None:
    entry = record.add(noun.plural)
    at = f"/api/{noun.plural}/{entry['id']}"
    unseen = client.patch(at, json={"note": "first"})
    assert (unseen.status_code, unseen.json()["type"]) == (428, "/problems/revision-required")
    changed = client.patch(at, json={"note": "first"}, headers={"If-Match": '"1"'})
    assert (changed.status_code, changed.headers["ETag"]) == (200, '"2"')
    assert changed.json() == entry | {"note": "first", "revision": 2}
    for stale in (
        client.patch(at, json={"note": "second"}, headers={"If-Match": '"1"'}),
        client.put(at, json=_taken(entry) | {"note": "second"}, headers={"If-Match": '"1"'}),
        client.delete(at, headers={"If-Match": '"1"'}),
    ):
        assert (stale.status_code, stale.json()["type"]) == (412, "/problems/stale-revision")
        assert stale.headers["ETag"] == '"2"'
        assert stale.json()["current"] == changed.json()
    assert client.put(at, json=_taken(entry)).status_code == 428
    replaced = client.put(at, json=_taken(entry), headers={"If-Match": '"2"'})
    assert (replaced.status_code, replaced.json()) == (200, entry | {"revision": 3})
    assert client.get(at).json() == replaced.json()


@each_noun
def test_a_deleted_entry_is_gone_and_logged_whole(noun: Noun, client: TestClient, record: Record) -> None:
    entry = record.add(noun.plural)
    at = f"/api/{noun.plural}/{entry['id']}"
    assert client.delete(at).status_code == 428
    deleted = client.delete(at, headers={"If-Match": '"1"'})
    assert (deleted.status_code, deleted.content) == (204, b"")
    for gone in (
        client.get(at),
        client.delete(at, headers={"If-Match": '"1"'}),
        client.patch(at, json={"note": "x"}, headers={"If-Match": '"1"'}),
    ):
        assert (gone.status_code, gone.json()["type"]) == (404, "/problems/no-such-entry")
    last = client.get("/api/changes", params={"entry_id": entry["id"]}).json()["items"][-1]
    assert (last["kind"], last["noun"], last["before"], last["after"]) == ("removed", noun.plural, _taken(entry), None)


@each_noun
def test_sending_the_same_entry_again_changes_nothing(noun: Noun, client: TestClient, record: Record) -> None:
    body = record.body(noun.plural)
    created = record.put(noun.plural, body, **{"Device": "tablet 1", "Device-Sequence": "7"})
    before = record.rows()
    for again in (
        record.put(noun.plural, body, **{"Device": "tablet 1", "Device-Sequence": "7"}),
        record.put(noun.plural, body),
        client.post(f"/api/{noun.plural}", json=body),
    ):
        assert (again.status_code, again.json(), again.headers["ETag"]) == (200, created.json(), '"1"')
    assert created.status_code == 201
    assert record.rows() == before


@each_noun
def test_a_body_that_misses_or_adds_a_field_is_refused(noun: Noun, client: TestClient, record: Record) -> None:
    body = record.body(noun.plural)
    before = record.rows()
    del body["recorded_by"]
    refused = client.post(f"/api/{noun.plural}", json=body | {"colour": "blue"})
    assert (refused.status_code, refused.json()["type"]) == (422, "/problems/malformed-content")
    assert refused.json()["faults"] == [
        {"path": "recorded_by", "expected": "a value", "found": "nothing"},
        {"path": "colour", "expected": "no field of this name", "found": '"blue"'},
    ]
    assert record.rows() == before


@pytest.mark.parametrize("noun", [noun for noun in NOUNS if noun.parent], ids=lambda noun: noun.plural)
def test_an_entry_below_nothing_is_refused(noun: Noun, client: TestClient, record: Record) -> None:
    parent, stranger = str(noun.parent), str(uuid4())
    body = record.body(noun.plural) | {parent: stranger}
    before = record.rows()
    refused = client.post(f"/api/{noun.plural}", json=body)
    assert refused.status_code == 422
    assert refused.json()["faults"][0]["path"] == parent
    assert stranger in refused.json()["faults"][0]["found"]
    assert record.rows() == before


def test_deleting_a_parent_takes_all_that_belongs_to_it_and_logs_each(client: TestClient, record: Record) -> None:
    drum = record.add("drums")
    rows = record.rows()
    assert (rows["sites"], rows["drums"], rows["changes"]) == (1, 1, 5)
    site_id = client.get("/api/sites").json()["items"][0]["id"]
    assert client.delete(f"/api/sites/{site_id}", headers={"If-Match": '"1"'}).status_code == 204
    rows = record.rows()
    assert rows.pop("changes") == 10
    assert set(rows.values()) == {0}
    assert client.get(f"/api/drums/{drum['id']}").status_code == 404


def test_an_id_that_other_content_has_is_a_conflict(client: TestClient, record: Record) -> None:
    site = record.add("sites")
    before = record.rows()
    other = client.post("/api/sites", json=_taken(site) | {"name": "Another"})
    assert (other.status_code, other.json()["type"]) == (409, "/problems/conflict")
    of_another_noun = record.put("floors", record.body("floors", site_id=site["id"], id=site["id"]))
    assert of_another_noun.status_code == 409
    assert record.rows() == before


def test_a_place_in_a_devices_sequence_is_taken_once(client: TestClient, record: Record) -> None:
    headers = {"Device": "tablet 1", "Device-Sequence": "7"}
    site = record.body("sites")
    assert record.put("sites", site, **headers).status_code == 201
    before = record.rows()
    clash = record.put("sites", record.body("sites"), **headers)
    assert (clash.status_code, clash.json()["type"]) == (409, "/problems/conflict")
    assert "change 7 of tablet 1" in clash.json()["detail"]
    assert record.rows() == before


def test_the_log_says_who_changed_what_on_which_device(client: TestClient, record: Record) -> None:
    headers = {"Device": "tablet 1", "Device-Sequence": "12", "Changed-By": "Zo%C3%AB Example"}
    site = record.add("sites")
    at = f"/api/sites/{site['id']}"
    client.patch(at, json={"roof": "fibre cement"}, headers={"If-Match": '"1"', **headers})
    added, changed = client.get("/api/changes", params={"site_id": site["id"]}).json()["items"]
    assert (added["device"], added["by"], added["kind"]) == ("unnamed client", "not named", "added")
    assert (added["before"], added["after"]) == (None, _taken(site))
    assert (changed["device"], changed["device_seq"], changed["by"]) == ("tablet 1", 12, "Zoë Example")
    assert (changed["kind"], changed["base_revision"]) == ("changed", 1)
    assert (changed["before"], changed["after"]) == ({"roof": ""}, {"roof": "fibre cement"})


def test_the_log_pages_in_the_order_of_arrival(client: TestClient, record: Record) -> None:
    names = [record.add("sites", name=f"Site {number}")["name"] for number in range(5)]
    seen, following = [], "/api/changes?limit=2"
    while following:
        page = client.get(following).json()
        assert len(page["items"]) <= 2
        seen += [change["after"]["name"] for change in page["items"]]
        following = page["next"]
    assert seen == names


@pytest.mark.parametrize(
    ("headers", "path"),
    [
        ({"Device-Sequence": "3"}, "header.Device"),
        ({"Device": "t", "Device-Sequence": "zero"}, "header.Device-Sequence"),
        ({"Device": "t", "Device-Sequence": "0"}, "header.Device-Sequence"),
        ({"Device": "%FF"}, "header.Device"),
        ({"Device": "%00"}, "header.Device"),
        ({"Changed-By": "x" * 201}, "header.Changed-By"),
        ({"If-None-Match": '"1"'}, "header.If-None-Match"),
    ],
)
def test_headers_that_make_no_sense_are_refused(headers: dict[str, str], path: str, record: Record) -> None:
    refused = record.put("sites", record.body("sites"), **headers)
    assert refused.status_code == 422
    assert [fault["path"] for fault in refused.json()["faults"]] == [path]
    assert set(record.rows().values()) == {0}


@pytest.mark.parametrize("tag", ["1", "'1'", '"1', '"1" "2"', "", "W/1"])
def test_an_if_match_that_is_no_entity_tag_is_refused(tag: str, client: TestClient, record: Record) -> None:
    site = record.add("sites")
    refused = client.patch(f"/api/sites/{site['id']}", json={"roof": "tin"}, headers={"If-Match": tag})
    assert refused.status_code == 422
    assert refused.json()["faults"][0]["path"] == "header.If-Match"


def test_conditions_follow_rfc_9110(client: TestClient, record: Record) -> None:
    """RFC 9110, sections 13.1.1 and 13.1.2: lists, weak tags and the asterisk."""
    site = record.add("sites")
    at = f"/api/sites/{site['id']}"
    for known in ('W/"1"', '"0", "1"', "*"):
        assert client.get(at, headers={"If-None-Match": known}).status_code == 304
    assert client.get(at, headers={"If-None-Match": '"2"'}).status_code == 200
    # If-Match compares strongly, so a weak tag never matches.
    assert client.patch(at, json={"roof": "tin"}, headers={"If-Match": 'W/"1"'}).status_code == 412
    # The asterisk would overwrite unseen, which this service does not do.
    assert client.patch(at, json={"roof": "tin"}, headers={"If-Match": "*"}).status_code == 428
    assert client.patch(at, json={"roof": "tin"}, headers={"If-Match": '"7", "1"'}).status_code == 200
    body = _taken(client.get(at).json()) | {"roof": "slate"}
    assert client.put(at, json=body, headers={"If-None-Match": "*"}).status_code == 412
    fresh = record.body("sites")
    missing = record.put("sites", fresh, **{"If-Match": '"1"'})
    assert (missing.status_code, missing.json()["current"]) == (412, None)
    assert record.put("sites", fresh, **{"If-None-Match": "*"}).status_code == 201


def test_a_change_already_made_may_be_sent_again(client: TestClient, record: Record) -> None:
    """RFC 9110, section 13.1.1 allows success where the change has been applied: the first answer may have got lost."""
    site = record.add("sites")
    at = f"/api/sites/{site['id']}"
    first = client.patch(at, json={"roof": "tin"}, headers={"If-Match": '"1"'})
    before = record.rows()
    again = client.patch(at, json={"roof": "tin"}, headers={"If-Match": '"1"'})
    assert (again.status_code, again.json(), again.headers["ETag"]) == (200, first.json(), '"2"')
    assert record.rows() == before


def test_the_id_of_the_address_counts(client: TestClient, record: Record) -> None:
    body = record.body("sites")
    elsewhere = client.put(f"/api/sites/{uuid4()}", json=body)
    assert elsewhere.status_code == 422
    assert elsewhere.json()["faults"][0]["path"] == "id"
    without = {name: value for name, value in body.items() if name != "id"}
    created = client.put(f"/api/sites/{body['id']}", json=without)
    assert (created.status_code, created.json()["id"]) == (201, body["id"])
    moved = client.patch(f"/api/sites/{body['id']}", json={"id": str(uuid4())}, headers={"If-Match": '"1"'})
    assert moved.status_code == 422


def test_an_entry_without_an_id_gets_one(client: TestClient, record: Record) -> None:
    body = record.body("sites")
    del body["id"]
    created = client.post("/api/sites", json=body)
    assert created.status_code == 201
    assert client.get(f"/api/sites/{UUID(created.json()['id'])}").status_code == 200


IMPLAUSIBLE: list[tuple[str, dict[str, Any]]] = [
    ("drums", {"fill_pct": 120}),
    ("drums", {"container_code": "9Z9/Q"}),
    ("pallets", {"at": [500, -40]}),
]


@pytest.mark.parametrize(("plural", "odd"), IMPLAUSIBLE)
def test_what_is_implausible_is_stored_as_seen(
    plural: str, odd: dict[str, Any], client: TestClient, record: Record
) -> None:
    entry = record.add(plural, **odd)
    assert {name: client.get(f"/api/{plural}/{entry['id']}").json()[name] for name in odd} == odd


BOW_TIE = [[0, 0], [4, 4], [4, 0], [0, 4]]
MALFORMED: list[tuple[str, dict[str, Any], str]] = [
    ("floors", {"outline": [[0, 0], [4, 0]]}, "outline"),
    ("floors", {"outline": [[0, 0], [4, 0], [4, 4], [0, 0]]}, "outline[3]"),
    ("floors", {"outline": BOW_TIE}, "outline"),
    ("floors", {"outline": [[0, 0], [4, 0], [4, "4"]]}, "outline[2][1]"),
    ("storage_zones", {"outline": BOW_TIE}, "outline"),
    ("drums", {"fill_pct": -1}, "fill_pct"),
    ("drums", {"stainless": "yes"}, "stainless"),
    ("drums", {"signs": ["bulging", "singing"]}, "signs[1]"),
    ("drums", {"breaches": [{"kind": "pinhole", "size_mm": 0}]}, "breaches[0].size_mm"),
    ("drums", {"name": "A\u0000"}, "name"),
    ("readings", {"taken_at": "2026-03-02T09:30:00"}, "taken_at"),
]


@pytest.mark.parametrize(("plural", "bad", "path"), MALFORMED)
def test_what_is_malformed_is_refused_and_not_stored(
    plural: str, bad: dict[str, Any], path: str, client: TestClient, record: Record
) -> None:
    entry = record.add(plural)
    before = record.rows()
    below = {str(BY_PLURAL[plural].parent): entry[str(BY_PLURAL[plural].parent)]}
    for refused in (
        client.post(f"/api/{plural}", json=record.body(plural, **below) | bad),
        client.put(f"/api/{plural}/{entry['id']}", json=_taken(entry) | bad, headers={"If-Match": '"1"'}),
        client.patch(f"/api/{plural}/{entry['id']}", json=bad, headers={"If-Match": '"1"'}),
    ):
        assert (refused.status_code, refused.headers["content-type"]) == (422, "application/problem+json")
        (fault,) = refused.json()["faults"]
        assert fault["path"] == path
        assert set(fault) == {"path", "expected", "found"}
        assert all(fault.values())
    assert record.rows() == before


@pytest.mark.parametrize("number", ["NaN", "Infinity", "-Infinity", "1e999"])
def test_coordinates_that_are_no_numbers_are_refused(number: str, client: TestClient, record: Record) -> None:
    floor = record.add("floors")
    before = record.rows()
    at = f"/api/floors/{floor['id']}"
    body = f'{{"outline": [[0, 0], [{number}, 0], [4, 4]]}}'
    refused = client.patch(at, content=body, headers={"If-Match": '"1"', "Content-Type": "application/json"})
    assert refused.status_code == 422
    assert refused.json()["faults"][0]["path"] == "outline[1][0]"
    assert refused.json()["faults"][0]["expected"] == "a finite number"
    assert record.rows() == before


@pytest.mark.parametrize(
    "body", [b"", b"{", b"\xff", b"[" * 5000, b'{"name": "\\ud800"}', b"{'name': 'x'}", b'{"name": "x"} x']
)
@pytest.mark.parametrize("method", ["POST", "PUT", "PATCH"])
def test_a_body_that_is_not_json_cannot_be_read(body: bytes, method: str, client: TestClient, record: Record) -> None:
    site = record.add("sites")
    before = record.rows()
    address = "/api/sites" if method == "POST" else f"/api/sites/{site['id']}"
    headers = {"Content-Type": "application/json", "If-Match": '"1"'}
    refused = client.request(method, address, content=body, headers=headers)
    assert (refused.status_code, refused.json()["type"]) == (400, "/problems/unreadable-request")
    (fault,) = refused.json()["faults"]
    assert (fault["path"], fault["expected"]) == ("document", "JSON")
    assert fault["found"]
    assert record.rows() == before


@pytest.mark.parametrize("body", ["null", "[]", '"x"', "3"])
@pytest.mark.parametrize("method", ["POST", "PUT", "PATCH"])
def test_json_that_is_no_object_is_refused(body: str, method: str, client: TestClient, record: Record) -> None:
    site = record.add("sites")
    address = "/api/sites" if method == "POST" else f"/api/sites/{site['id']}"
    headers = {"Content-Type": "application/json", "If-Match": '"1"'}
    refused = client.request(method, address, content=body, headers=headers)
    assert refused.status_code == 422
    assert refused.json()["faults"] == [{"path": "document", "expected": "an object", "found": body}]


def test_a_key_said_twice_is_refused(client: TestClient, record: Record) -> None:
    drum = record.add("drums")
    refused = client.patch(
        f"/api/drums/{drum['id']}",
        content='{"fill_pct": 100, "fill_pct": 0}',
        headers={"If-Match": '"1"', "Content-Type": "application/json"},
    )
    assert refused.status_code == 422
    assert refused.json()["faults"][0]["path"] == "fill_pct"
    assert client.get(f"/api/drums/{drum['id']}").json()["fill_pct"] is None


@pytest.mark.parametrize("media_type", ["text/plain", "application/x-www-form-urlencoded", "application/jsonx", None])
def test_a_body_of_another_kind_is_refused(media_type: str | None, client: TestClient, record: Record) -> None:
    headers = {} if media_type is None else {"Content-Type": media_type}
    refused = client.post("/api/sites", content=b"{}", headers=headers)
    assert (refused.status_code, refused.json()["type"]) == (415, "/problems/unsupported-media-type")


def test_json_may_say_its_charset(client: TestClient, record: Record) -> None:
    headers = {"Content-Type": "Application/JSON; charset=utf-8"}
    assert client.post("/api/sites", json=record.body("sites"), headers=headers).status_code == 201


@pytest.mark.parametrize("query", ["limit=0", "limit=501", "limit=x", "after=1", "site=3", "site_id=x", "floor_id=1"])
def test_a_query_that_is_not_known_is_refused(query: str, client: TestClient) -> None:
    refused = client.get(f"/api/floors?{query}")
    assert refused.status_code == 422
    assert refused.json()["faults"][0]["path"] == f"query.{query.partition('=')[0]}"


def test_every_noun_has_its_smallest_body() -> None:
    for plural, noun in BY_PLURAL.items():
        assert noun.parent is None or noun.parent in PARENTS, plural


def _taken(entry: dict[str, Any]) -> dict[str, Any]:
    """Give an entry as it was sent, without the revision that the service counts."""
    return {name: value for name, value in entry.items() if name != "revision"}
