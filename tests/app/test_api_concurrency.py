"""Many writers at once: one wins, the others are told, and nothing that was acknowledged is lost."""

from concurrent.futures import ThreadPoolExecutor
from threading import Barrier

import pytest
from fastapi.testclient import TestClient
from httpx import Response

from tests.app.record import Record
from tests.app.test_api_surveys import FILE, JSON

WRITERS = 6


@pytest.mark.parametrize("method", ["PATCH", "PUT"])
def test_of_writers_with_the_same_base_one_wins(method: str, client: TestClient, record: Record) -> None:
    site = record.add("sites")
    sent = {name: value for name, value in site.items() if name != "revision"}
    start = Barrier(WRITERS)

    def write(number: int) -> Response:
        start.wait()
        body = {"roof": f"roof {number}"} if method == "PATCH" else sent | {"roof": f"roof {number}"}
        answer: Response = client.request(method, f"/api/sites/{site['id']}", json=body, headers={"If-Match": '"1"'})
        return answer

    with ThreadPoolExecutor(WRITERS) as pool:
        answers = list(pool.map(write, range(WRITERS)))
    winners = [answer for answer in answers if answer.status_code == 200]
    assert len(winners) == 1
    assert [answer.status_code for answer in answers].count(412) == WRITERS - 1
    now = client.get(f"/api/sites/{site['id']}").json()
    assert now == winners[0].json()
    assert all(answer.json()["current"] == now for answer in answers if answer.status_code == 412)
    assert record.rows()["changes"] == 2


def test_writers_that_try_again_on_what_they_are_told_all_get_through(client: TestClient, record: Record) -> None:
    site = record.add("sites")
    address = f"/api/sites/{site['id']}"
    start = Barrier(WRITERS)

    def add_name(number: int) -> None:
        seen = site
        start.wait()
        for _ in range(WRITERS):  # in each round somebody gets through
            names = [*seen["former_names"], f"Name {number}"]
            answer = client.patch(address, json={"former_names": names}, headers={"If-Match": f'"{seen["revision"]}"'})
            if answer.status_code == 200:
                return
            assert answer.status_code == 412
            seen = answer.json()["current"]
        pytest.fail(f"writer {number} never got through")

    with ThreadPoolExecutor(WRITERS) as pool:
        list(pool.map(add_name, range(WRITERS)))
    now = client.get(address).json()
    assert sorted(now["former_names"]) == [f"Name {number}" for number in range(WRITERS)]
    assert now["revision"] == 1 + WRITERS


def test_entries_added_at_once_are_all_there(client: TestClient, record: Record) -> None:
    floor = record.add("floors")
    bodies = [record.body("pallets", floor_id=floor["id"], name=f"P{number}") for number in range(24)]
    with ThreadPoolExecutor(WRITERS) as pool:
        answers = list(pool.map(lambda body: record.put("pallets", body), bodies))
    assert {answer.status_code for answer in answers} == {201}
    stored = client.get("/api/pallets", params={"floor_id": floor["id"], "limit": 100}).json()["items"]
    assert {entry["id"] for entry in stored} == {body["id"] for body in bodies}
    log = client.get("/api/changes", params={"limit": 100}).json()["items"]
    assert len({(change["device"], change["device_seq"]) for change in log}) == len(log) == 26


def test_the_same_entry_sent_twice_at_once_is_stored_once(client: TestClient, record: Record) -> None:
    body = record.body("sites")
    start = Barrier(2)

    def write(_: int) -> int:
        start.wait()
        return record.put("sites", body).status_code

    with ThreadPoolExecutor(2) as pool:
        assert sorted(pool.map(write, range(2))) == [200, 201]
    assert record.rows()["changes"] == 1


def test_the_same_file_sent_twice_at_once_is_imported_once(client: TestClient, record: Record) -> None:
    start = Barrier(2)

    def write(_: int) -> int:
        start.wait()
        status: int = client.post("/api/surveys", content=FILE, headers=JSON).status_code
        return status

    with ThreadPoolExecutor(2) as pool:
        assert sorted(pool.map(write, range(2))) == [200, 201]
    assert record.rows()["changes"] == 8


def test_more_requests_at_once_than_connections_are_all_answered(client: TestClient, record: Record) -> None:
    record.add("sites")
    with ThreadPoolExecutor(60) as pool:
        answers = list(pool.map(lambda _: client.get("/api/sites").status_code, range(120)))
    assert answers == [200] * 120
