"""What would happen if, over HTTP: lines as they come, problems before the first line, given up when left."""

import ast
import asyncio
import json
import subprocess
import sys
import time
from collections.abc import Iterator
from concurrent.futures.process import BrokenProcessPool
from typing import Any
from uuid import UUID

import jsonschema
import pytest
from fastapi import FastAPI
from fastapi.testclient import TestClient

from app.api import what_if as route
from app.bootstrap import ROOT
from app.jobs import Jobs
from app.progress import PLACES, Busy, Heard
from app.work import warm_up, what_if_json
from geometry.spill_flow import FlowCancelled
from survey.bundle import Survey, dump
from tests.app.test_api_surveys import JSON
from tests.builders import SurveyBuilder

NO_SUCH_ID = "0b6b4a1c-9f0e-4a52-8d6e-5a0a1b2c3d4e"


@pytest.fixture(scope="module")
def survey() -> Survey:
    build = SurveyBuilder("Harbour store")
    build.floor(width_m=12, depth_m=8, finish="bare concrete", perimeter_tight="yes")
    build.drain("G1", (6, 4), joins="storm")
    build.drain("G2", (11, 7), joins="sanitary")
    build.door("D1", [(12, 3), (12, 5)], tight_at_floor="no")
    build.zone("A", [(0, 0), (6, 0), (6, 8), (0, 8)])
    build.pallet("A-01", at=(4.5, 4))
    build.drum("A-01-1", product="toluene", container_code="1A1", fill_pct=100, orientation="lying")
    build.drum("A-01-2", product="toluene", container_code="1A1", fill_pct=0)
    return build.survey()


@pytest.fixture
def what_ifs(app: FastAPI) -> Iterator[Jobs]:
    """Give workers of the test's own."""
    at_start = app.state.what_if_jobs
    app.state.what_if_jobs = Jobs(processes=0, kept=0)
    yield app.state.what_if_jobs
    app.state.what_if_jobs.close()
    app.state.what_if_jobs = at_start


@pytest.fixture
def address(client: TestClient, survey: Survey, what_ifs: Jobs) -> str:
    assert client.post("/api/surveys", content=dump(survey), headers=JSON).status_code == 201
    return f"/api/sites/{survey.site.id}/what-if"


def question(survey: Survey, **changes: Any) -> dict[str, Any]:
    asked = {"drum_id": str(survey.drums[0].id), "hole": "slot", "size_mm": 10, "length_mm": 100, "until_min": 2}
    return asked | {"fine": False} | changes


def lines(client: TestClient, address: str, asked: dict[str, Any]) -> list[dict[str, Any]]:
    response = client.post(address, json=asked)
    assert response.status_code == 200, response.text
    assert response.headers["content-type"].startswith("application/x-ndjson")
    return [json.loads(line) for line in response.text.splitlines()]


def answer(client: TestClient, address: str, asked: dict[str, Any]) -> dict[str, Any]:
    last = lines(client, address, asked)[-1]
    assert last["event"] == "answer"
    given: dict[str, Any] = last["answer"]
    return given


def test_a_leak_wets_the_floor_and_reaches_the_drain_beside_it(
    client: TestClient, address: str, survey: Survey
) -> None:
    given = answer(client, address, question(survey))
    assert (given["drum"], given["pallet"], given["product"]) == ("A-01-1", "A-01", "Toluene")
    assert given["leak"]["orientation"] == "lying, as recorded"
    assert given["leak"]["leaves_l"] == pytest.approx(208.198, rel=1e-6)
    far, near = given["far"], given["near"]
    assert (far["film_mm"], near["film_mm"]) == pytest.approx((2.8, 5.0))
    for end in (far, near):
        g1, g2 = end["drains"]
        assert (g1["name"], g1["verdict"], g2["name"], g2["verdict"]) == ("G1", "reaches", "G2", "not reached")
        assert 0 <= g1["early_min"] < g1["first_min"] < 2
        assert g1["litres"] == g1["course"][-1][1] > 0
        assert g1["litres"] <= g1["most_l"]
        out_l = end["on_floor_l"] + end["off_map_l"] + sum(drain["litres"] for drain in end["drains"])
        assert out_l + end["in_drum_l"] == pytest.approx(208.198, rel=1e-6)
        areas = [wet["area_m2"] for wet in end["wet"]]
        assert areas == sorted(areas)
        assert end["wet"][-1]["minutes"] == 2
    assert far["drains"][0]["first_min"] <= near["drains"][0]["first_min"]
    assert [round(rule["area_m2"], 1) for rule in given["rules"]] == [133.0, 41.6, 20.8]
    assert given["far_without"] is None
    assert given["changes"] == []


def test_an_answer_is_what_the_document_says(client: TestClient, address: str, survey: Survey) -> None:
    document = client.get("/api/openapi.json").json()
    operation = document["paths"]["/api/sites/{site_id}/what-if"]["post"]
    schema = operation["responses"]["200"]["content"]["application/x-ndjson"]["schema"]
    validator = jsonschema.Draft202012Validator(schema | {"components": document["components"]})
    events = lines(client, address, question(survey, fine=True, until_min=0.5))
    for event in events:
        validator.validate(event)
    assert [event["event"] for event in events if event["event"] != "progress"] == ["quick answer", "answer"]
    assert [event["answer"]["cell_m"] for event in events if "answer" in event] == [0.2, 0.1]


@pytest.mark.parametrize(
    ("measure", "says"),
    [
        ({"dams": [[(5.2, 0), (5.2, 8)]]}, "Drain G1: nothing within 2 min (not reached in the end, at most 0 L)"),
        ({"covered_drains": [0]}, "Drain G1, covered: nothing, if the cover is tight"),
        ({"at": (1.0, 1.0)}, "Drain G1: first liquid after 0.1 to 1."),
    ],
)
def test_a_measure_is_held_against_the_floor_as_it_is(
    client: TestClient, address: str, survey: Survey, measure: dict[str, Any], says: str
) -> None:
    if "covered_drains" in measure:
        measure = {"covered_drains": [str(next(drain.id for drain in survey.drains if drain.name == "G1"))]}
    given = answer(client, address, question(survey, **measure))
    assert given["far_without"]["drains"][0]["litres"] > 0
    assert any(change.startswith(says) for change in given["changes"]), given["changes"]


def test_shutting_a_door_that_is_not_tight_changes_nothing(client: TestClient, address: str, survey: Survey) -> None:
    asked = question(survey, at=(11.5, 4), hole="all at once", size_mm=None, length_mm=None)
    shut = asked | {"shut_doors": [str(survey.doors[0].id)]}
    open_, closed = (answer(client, address, each)["far"] for each in (asked, shut))
    assert open_["off_map_l"] == closed["off_map_l"] > 0
    assert closed["doors"][0]["name"] == "D1"
    assert 0 <= closed["doors"][0]["earliest_min"] < closed["doors"][0]["first_min"]


def test_what_turning_would_keep_in_is_said(client: TestClient, address: str, survey: Survey) -> None:
    given = answer(client, address, question(survey))
    assert given["turning"].startswith("Lying, hole at the top, 0 L could still leave: 208 L less.")
    assert "no stop rule forbids" in given["turning"]
    upright = question(survey, orientation="upright", along_mm=700)
    assert answer(client, address, upright)["leak"]["stays_l"] == pytest.approx(0.65 * 256.5, rel=0.002)


@pytest.mark.parametrize(
    ("changes", "status", "kind", "says"),
    [
        ({"drum_id": NO_SUCH_ID}, 404, "no-such-entry", NO_SUCH_ID),
        ({"covered_drains": [NO_SUCH_ID]}, 404, "no-such-entry", NO_SUCH_ID),
        ({"shut_doors": [NO_SUCH_ID]}, 404, "no-such-entry", NO_SUCH_ID),
        ({"drum_id": 1}, 422, "no-answer", "expected a drum with liquid in it, found an empty one"),
        ({"hole": "round hole", "size_mm": 600, "length_mm": None}, 422, "no-answer", "hole area: expected less than"),
        ({"at": (99.0, 99.0)}, 422, "no-answer", "expected free floor"),
        ({"dams": [[(0, 0), (0, 0)]]}, 422, "malformed-content", "One fault"),
        ({"size_mm": -1}, 422, "malformed-content", "One fault"),
        ({"size_mm": None}, 422, "malformed-content", "One fault"),
        ({"hole": "all at once"}, 422, "malformed-content", "One fault"),
        ({"until_min": 121}, 422, "malformed-content", "One fault"),
        ({"colour": "red"}, 422, "malformed-content", "One fault"),
    ],
)
def test_a_question_without_an_answer_is_refused_before_the_first_line(
    client: TestClient, address: str, survey: Survey, changes: dict[str, Any], status: int, kind: str, says: str
) -> None:
    if changes.get("drum_id") == 1:
        changes = {"drum_id": str(survey.drums[1].id)}
    response = client.post(address, json=question(survey, **changes))
    assert response.status_code == status, response.text
    assert response.json()["type"] == f"/problems/{kind}"
    assert says in response.json()["detail"]


def test_no_such_site(client: TestClient, address: str, survey: Survey) -> None:
    response = client.post(f"/api/sites/{NO_SUCH_ID}/what-if", json=question(survey))
    assert (response.status_code, response.json()["type"]) == (404, "/problems/no-such-entry")


def test_a_worker_that_knows_the_site_is_not_sent_it_again(
    client: TestClient, address: str, survey: Survey, monkeypatch: pytest.MonkeyPatch
) -> None:
    sent = []

    def watched(*arguments: Any, heard: Heard) -> bytes:
        sent.append(arguments[2] is not None)
        return what_if_json(*arguments, heard=heard)

    monkeypatch.setattr(route, "what_if_json", watched)
    answer(client, address, question(survey))
    answer(client, address, question(survey, until_min=1))
    assert sent[-1] is False
    assert sent.count(True) <= 1


def test_what_fails_after_the_first_line_is_its_last_line(
    client: TestClient, address: str, survey: Survey, monkeypatch: pytest.MonkeyPatch
) -> None:
    def fail_late(*_: Any, heard: Heard) -> bytes:
        time.sleep(0.1)
        raise ZeroDivisionError

    monkeypatch.setattr(route, "EVERY_S", 0.01)
    monkeypatch.setattr(route, "what_if_json", fail_late)
    events = lines(client, address, question(survey))
    assert events[0] == {"event": "progress", "share": 0.0}
    assert events[-1]["event"] == "failed"
    assert events[-1]["problem"]["type"] == "/problems/internal-error"
    assert "ZeroDivision" not in json.dumps(events)


def test_a_killed_worker_is_asked_once_more(
    client: TestClient, address: str, survey: Survey, monkeypatch: pytest.MonkeyPatch
) -> None:
    calls = []

    def die_once(*arguments: Any, heard: Heard) -> bytes:
        calls.append(arguments)
        if len(calls) in deaths:
            raise BrokenProcessPool
        return what_if_json(*arguments, heard=heard)

    deaths = {1}
    monkeypatch.setattr(route, "what_if_json", die_once)
    assert lines(client, address, question(survey))[-1]["event"] == "answer"
    deaths |= {len(calls) + 1, len(calls) + 2}
    with pytest.raises(BrokenProcessPool):  # twice is for want of something that a third time would want too
        client.post(address, json=question(survey))


def test_busy_before_the_fine_answer_is_said_to_be_that(
    client: TestClient, address: str, survey: Survey, what_ifs: Jobs, monkeypatch: pytest.MonkeyPatch
) -> None:
    watch, asked = what_ifs.watch, []

    def busy_for_the_fine_one(*arguments: Any) -> Any:
        asked.append(arguments)
        if arguments[-1] == 0.1:
            raise Busy("too many")
        return watch(*arguments)

    monkeypatch.setattr(what_ifs, "watch", busy_for_the_fine_one)
    events = lines(client, address, question(survey, fine=True, until_min=0.5))
    assert events[-1]["problem"]["type"] == "/problems/busy"
    assert [event["event"] for event in events if event["event"] != "progress"] == ["quick answer", "failed"]


def test_more_questions_than_can_be_followed_are_turned_away(
    client: TestClient, address: str, survey: Survey, what_ifs: Jobs
) -> None:
    taken = [what_ifs._free_places.pop() for _ in range(PLACES)]
    response = client.post(address, json=question(survey))
    assert (response.status_code, response.json()["type"]) == (503, "/problems/busy")
    what_ifs._free_places.extend(taken)
    assert lines(client, address, question(survey))[-1]["event"] == "answer"


def test_a_reader_that_leaves_gives_the_work_up(
    app: FastAPI, address: str, survey: Survey, monkeypatch: pytest.MonkeyPatch
) -> None:
    said = []

    def endless(*_: Any, heard: Heard) -> bytes:
        while heard(0.5):
            pass
        said.append("given up")
        raise FlowCancelled

    monkeypatch.setattr(route, "EVERY_S", 0.01)
    monkeypatch.setattr(route, "what_if_json", endless)
    asyncio.run(_leave_after_first_line(app, address, question(survey)))
    assert said == ["given up"]


async def _leave_after_first_line(app: FastAPI, address: str, asked: dict[str, Any]) -> None:
    body = json.dumps(asked).encode()
    left = asyncio.Event()
    sent = [{"type": "http.request", "body": body, "more_body": False}]

    async def receive() -> dict[str, Any]:
        if sent:
            return sent.pop()
        await left.wait()
        return {"type": "http.disconnect"}

    async def send(message: Any) -> None:
        if message["type"] == "http.response.body":
            left.set()

    scope = {
        "type": "http",
        "asgi": {"version": "3.0"},
        "http_version": "1.1",
        "method": "POST",
        "scheme": "http",
        "path": address,
        "raw_path": address.encode(),
        "query_string": b"",
        "root_path": "",
        "headers": [(b"content-type", b"application/json"), (b"host", b"testserver")],
        "client": ("test", 1),
        "server": ("testserver", 80),
    }
    await asyncio.wait_for(app(scope, receive, send), 10)
    for _ in range(500):
        if len(app.state.what_if_jobs._free_places) == PLACES:
            return
        await asyncio.sleep(0.01)
    raise AssertionError("the worker goes on")


def test_ids_of_the_answer_are_those_of_the_record(client: TestClient, address: str, survey: Survey) -> None:
    given = answer(client, address, question(survey))
    assert {UUID(drain["id"]) for drain in given["far"]["drains"]} == {drain.id for drain in survey.drains}


@pytest.mark.slow
def test_a_warmed_worker_process_answers_as_a_thread_does(
    app: FastAPI, client: TestClient, address: str, survey: Survey
) -> None:
    in_thread = answer(client, address, question(survey))
    threads = app.state.what_if_jobs
    app.state.what_if_jobs = Jobs(processes=1, kept=0)
    try:
        app.state.what_if_jobs.begin(warm_up)
        assert answer(client, address, question(survey)) == in_thread
    finally:
        app.state.what_if_jobs.close()
        app.state.what_if_jobs = threads


def test_warming_up_compiles_what_questions_use() -> None:
    script = (
        "from app.work import warm_up; warm_up();"
        "from geometry.kernels import descent, flow, reach;"
        "print([name for room in (descent, flow, reach) for name, each in vars(room).items()"
        " if not name.startswith('_') and hasattr(each, 'signatures') and not each.signatures])"
    )
    done = subprocess.run([sys.executable, "-c", script], cwd=ROOT, capture_output=True, text=True, check=True)
    never_asked = {"half_width_m", "tongue_m", "first_spills", "stable_step_s"}
    assert set(ast.literal_eval(done.stdout)) <= never_asked
