"""Survey files over HTTP: out and in again, and every way in which a file is refused."""

import asyncio
import json
from collections.abc import Callable
from typing import Any
from uuid import uuid4

import jsonschema
import pytest
from fastapi.testclient import TestClient
from starlette.types import Message

from survey.bundle import dump, parse, snapshot_sha256
from tests.app.conftest import MAX_ENTRY_BYTES, MAX_SURVEY_BYTES
from tests.app.record import Record
from tests.builders import SurveyBuilder

JSON = {"Content-Type": "application/json"}


def builder() -> SurveyBuilder:
    build = SurveyBuilder("Harbour store")
    build.floor()
    build.pallet("P1", at=(3, 4))
    build.drum("P1-1", product="toluene")
    build.drum("P1-2", product="acetone", fill_pct=120, container_code="9Z9/Q")
    build.pallet("P2", at=(900, -4))
    return build


FILE = dump(builder().survey())


def send(client: TestClient, data: bytes, **headers: str) -> Any:
    return client.post("/api/surveys", content=data, headers=JSON | headers)


def test_a_file_goes_in_and_comes_out_again_byte_for_byte(client: TestClient, record: Record) -> None:
    survey = parse(FILE, max_bytes=MAX_SURVEY_BYTES)
    taken = send(client, FILE, **{"Changed-By": "R. Example"})
    assert taken.status_code == 201
    assert taken.json() == {"site_id": str(survey.site.id), "added": 8, "changed": 0, "removed": 0, "unchanged": 0}
    assert taken.headers["Location"] == f"/api/sites/{survey.site.id}"
    given = client.get(f"/api/sites/{survey.site.id}/survey")
    assert given.content == FILE
    assert given.headers["ETag"] == taken.headers["ETag"] == f'"{snapshot_sha256(survey)}"'
    assert given.headers["Content-Disposition"] == 'attachment; filename="harbour-store.survey.json"'
    known = client.get(f"/api/sites/{survey.site.id}/survey", headers={"If-None-Match": given.headers["ETag"]})
    assert (known.status_code, known.content) == (304, b"")
    assert record.rows()["changes"] == 8
    assert {change["by"] for change in client.get("/api/changes").json()["items"]} == {"R. Example"}


def test_the_same_file_again_changes_nothing(client: TestClient, record: Record) -> None:
    send(client, FILE)
    before = record.rows()
    again = send(client, FILE)
    assert (again.status_code, again.json()["unchanged"], again.json()["added"]) == (200, 8, 0)
    assert record.rows() == before


def test_a_file_does_not_wipe_out_what_its_sender_has_not_seen(client: TestClient, record: Record) -> None:
    build = builder()
    sent = send(client, FILE)
    floor_id = client.get("/api/floors").json()["items"][0]["id"]
    record.add("pallets", floor_id=floor_id, name="P3")
    before = record.rows()
    build.drum("P1-3", product="methanol")
    newer = dump(build.survey())
    unseen = send(client, newer)
    assert (unseen.status_code, unseen.json()["type"]) == (428, "/problems/revision-required")
    stale = send(client, newer, **{"If-Match": sent.headers["ETag"]})
    assert (stale.status_code, stale.json()["type"]) == (412, "/problems/stale-revision")
    assert record.rows() == before
    current = client.get(f"/api/sites/{sent.json()['site_id']}/survey").headers["ETag"]
    assert stale.headers["ETag"] == current
    taken = send(client, newer, **{"If-Match": current})
    assert taken.status_code == 200
    assert (taken.json()["added"], taken.json()["removed"]) == (1, 1)
    elsewhere = dump(SurveyBuilder("Another").survey())
    assert send(client, elsewhere, **{"If-Match": current}).status_code == 412


def changed(change: Callable[[dict[str, Any]], object]) -> bytes:
    document = json.loads(FILE)
    change(document)
    return json.dumps(document).encode()


def _unclose(document: dict[str, Any]) -> None:
    ring = document["floors"][0]["outline"]
    ring.append(ring[0])


def _cross(document: dict[str, Any]) -> None:
    document["floors"][0]["outline"] = [[0, 0], [4, 4], [4, 0], [0, 4]]


def _twin(document: dict[str, Any]) -> None:
    document["drums"][1]["id"] = document["drums"][0]["id"]


def _dangle(document: dict[str, Any]) -> None:
    document["readings"][0]["pallet_id"] = str(uuid4())


MALFORMED: dict[str, tuple[bytes, str]] = {
    "first corner repeated": (changed(_unclose), "floors[0].outline[4]"),
    "outline crosses itself": (changed(_cross), "floors[0].outline"),
    "two corners": (changed(lambda d: d["floors"][0].update(outline=[[0, 0], [1, 1]])), "floors[0].outline"),
    "negative fill": (changed(lambda d: d["drums"][1].update(fill_pct=-5)), "drums[1].fill_pct"),
    "two drums with one id": (changed(_twin), "drums[1].id"),
    "reading of nothing": (changed(_dangle), "readings[0].pallet_id"),
    "not a number": (FILE.replace(b'"fill_pct": 120.0', b'"fill_pct": NaN'), "drums[1].fill_pct"),
    "corner not a number": (changed(lambda d: d["pallets"][0].update(at=[float("nan"), 4])), "pallets[0].at[0]"),
    "corner infinite": (changed(lambda d: d["pallets"][0].update(at=[float("inf"), 4])), "pallets[0].at[0]"),
    "another format": (changed(lambda d: d.update(format="something")), "format"),
    "a newer version": (changed(lambda d: d.update(version=2)), "version"),
    "an unknown list": (changed(lambda d: d.update(barrels=[])), "barrels"),
    "half a file": (FILE[: len(FILE) // 2], "document"),
    "not JSON": (b"<survey/>", "document"),
    "not UTF-8": (FILE.replace(b"Harbour", b"Harb\xf6r"), "document"),
    "a list": (b"[]", "document"),
    "nothing": (b"", "document"),
}


@pytest.mark.parametrize("case", MALFORMED)
def test_a_malformed_file_is_refused_with_its_faults_and_nothing_stored(
    case: str, client: TestClient, record: Record
) -> None:
    data, path = MALFORMED[case]
    assert data != FILE
    refused = send(client, data)
    assert (refused.status_code, refused.headers["content-type"]) == (422, "application/problem+json")
    faults = refused.json()["faults"]
    assert path in [fault["path"] for fault in faults]
    for fault in faults:
        assert set(fault) == {"path", "expected", "found"}
        assert all(isinstance(said, str) and said for said in fault.values())
    assert set(record.rows().values()) == {0}


@pytest.mark.parametrize("case", MALFORMED)
def test_a_malformed_file_leaves_the_site_as_it_was(case: str, client: TestClient, record: Record) -> None:
    tag = send(client, FILE).headers["ETag"]
    before = record.rows()
    assert send(client, MALFORMED[case][0], **{"If-Match": tag}).status_code == 422
    assert record.rows() == before


def test_every_fault_is_named_at_once(client: TestClient) -> None:
    def break_three(document: dict[str, Any]) -> None:
        document["drums"][0]["fill_pct"] = -1
        document["drums"][1]["capacity_l"] = 0
        document["pallets"][0]["width_m"] = "wide"

    faults = send(client, changed(break_three)).json()["faults"]
    assert {fault["path"] for fault in faults} == {"drums[0].fill_pct", "drums[1].capacity_l", "pallets[0].width_m"}


def test_an_id_of_another_site_is_refused(client: TestClient, record: Record) -> None:
    send(client, FILE)
    before = record.rows()

    def steal(document: dict[str, Any]) -> None:
        document["site"]["id"] = str(uuid4())
        document["floors"][0]["site_id"] = document["site"]["id"]

    assert send(client, changed(steal)).status_code == 422
    assert record.rows() == before


def test_a_file_that_announces_too_many_bytes_is_refused(client: TestClient, record: Record) -> None:
    refused = send(client, b" " * (MAX_SURVEY_BYTES + 1))
    assert (refused.status_code, refused.json()["type"]) == (413, "/problems/too-large")
    assert refused.headers["content-type"] == "application/problem+json"
    assert str(MAX_SURVEY_BYTES) in refused.json()["detail"]
    assert set(record.rows().values()) == {0}


def test_a_file_that_announces_nothing_is_cut_off_at_the_limit(client: TestClient, record: Record) -> None:
    """Spoken as ASGI itself, so that nothing between gathers the body first."""
    sent = 0
    answer: list[Message] = []

    async def receive() -> Message:
        nonlocal sent
        sent += 10_000
        return {"type": "http.request", "body": b" " * 10_000, "more_body": sent < 50 * MAX_SURVEY_BYTES}

    async def send_back(message: Message) -> None:
        answer.append(message)

    scope = {
        "type": "http",
        "method": "POST",
        "path": "/api/surveys",
        "query_string": b"",
        "headers": [(b"content-type", b"application/json"), (b"transfer-encoding", b"chunked")],
    }

    async def speak() -> None:
        await client.app(scope, receive, send_back)

    asyncio.run(speak())
    assert answer[0]["status"] == 413
    assert json.loads(answer[1]["body"])["type"] == "/problems/too-large"
    assert sent == MAX_SURVEY_BYTES + 10_000
    assert set(record.rows().values()) == {0}


def test_other_bodies_have_a_limit_of_their_own(client: TestClient, record: Record) -> None:
    refused = client.post("/api/sites", json=record.body("sites", note="x" * MAX_ENTRY_BYTES))
    assert (refused.status_code, refused.json()["type"]) == (413, "/problems/too-large")
    padded = FILE + b" " * MAX_ENTRY_BYTES
    assert send(client, padded).status_code == 201


def test_a_file_of_another_kind_is_refused(client: TestClient) -> None:
    refused = client.post("/api/surveys", content=FILE, headers={"Content-Type": "application/zip"})
    assert (refused.status_code, refused.headers["Accept"]) == (415, "application/json")


def test_a_site_that_is_not_there_has_no_file(client: TestClient) -> None:
    missing = client.get(f"/api/sites/{uuid4()}/survey")
    assert (missing.status_code, missing.json()["type"]) == (404, "/problems/no-such-entry")


def test_the_schema_is_served_and_fits_a_file(client: TestClient) -> None:
    """Checked with the jsonschema library's validator for draft 2020-12."""
    served = client.get("/api/schema/survey")
    assert served.headers["content-type"] == "application/schema+json"
    validator = jsonschema.Draft202012Validator(served.json())
    validator.check_schema(served.json())
    assert list(validator.iter_errors(json.loads(FILE))) == []
    assert list(validator.iter_errors(json.loads(MALFORMED["negative fill"][0]))) != []
