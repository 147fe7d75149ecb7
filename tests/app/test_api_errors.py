"""Whatever goes wrong comes out as a problem (RFC 9457), and protective headers go out with every answer."""

import logging
from uuid import UUID

import pytest
import sqlalchemy as sa
from fastapi import FastAPI
from fastapi.testclient import TestClient

from app.headers import SAFE_HEADERS
from app.problem_kinds import KINDS
from tests.app.record import Record

NO_SUCH_ID = UUID("0b6b4a1c-9f0e-4a52-8d6e-5a0a1b2c3d4e")


@pytest.fixture
def breakable(app: FastAPI) -> TestClient:
    """Give a client of the running application that gets the answer to a failure rather than the failure itself."""
    return TestClient(app, raise_server_exceptions=False)


@pytest.mark.parametrize(
    ("method", "address", "status", "kind"),
    [
        ("GET", "/nothing/here", 404, "unknown-address"),
        ("GET", "/api", 404, "unknown-address"),
        ("GET", "/api/sites/", 404, "unknown-address"),
        ("GET", "/api/docs", 404, "unknown-address"),
        ("GET", "/docs", 404, "unknown-address"),
        ("GET", "/problems/none-such", 404, "unknown-address"),
        ("DELETE", "/api/sites", 405, "method-not-allowed"),
        ("POST", "/health", 405, "method-not-allowed"),
        ("BREW", "/api/sites", 405, "method-not-allowed"),
        ("GET", f"/api/sites/{NO_SUCH_ID}", 404, "no-such-entry"),
        ("GET", "/api/sites/north", 422, "malformed-content"),
        ("GET", "/api/catalogue/products/none-such", 404, "no-such-entry"),
        ("GET", "/api/catalogue/products", 422, "malformed-content"),
    ],
)
def test_a_refusal_is_a_problem(method: str, address: str, status: int, kind: str, client: TestClient) -> None:
    answer = client.request(method, address)
    assert (answer.status_code, answer.headers["content-type"]) == (status, "application/problem+json")
    problem = answer.json()
    assert set(problem) == {"type", "title", "status", "detail", "instance", "faults"}
    assert (problem["type"], problem["status"]) == (f"/problems/{kind}", status)
    assert UUID(problem["instance"]).urn == problem["instance"]
    assert problem["title"] == client.get(problem["type"]).json()["title"]
    assert problem["detail"]


def test_a_method_that_is_not_taken_is_told_which_are(client: TestClient) -> None:
    assert client.post("/health").headers["Allow"] == "GET"


@pytest.mark.parametrize("kind", KINDS, ids=lambda kind: kind.slug)
def test_every_kind_of_problem_explains_itself(kind: object, client: TestClient) -> None:
    slug = kind.slug  # type: ignore[attr-defined]
    explained = client.get(f"/problems/{slug}").json()
    assert explained["type"] == f"/problems/{slug}"
    assert explained["meaning"]
    assert 400 <= explained["status"] < 600


@pytest.mark.parametrize("address", ["/health", "/api/sites", "/nothing", "/api/openapi.json"])
def test_protective_headers_go_with_every_answer(address: str, client: TestClient) -> None:
    answer = client.get(address)
    assert {name: answer.headers[name] for name in SAFE_HEADERS} == dict(SAFE_HEADERS)
    assert "access-control-allow-origin" not in answer.headers


def test_nobody_elsewhere_is_let_in(client: TestClient) -> None:
    asked = client.options(
        "/api/sites", headers={"Origin": "https://elsewhere.example", "Access-Control-Request-Method": "GET"}
    )
    assert asked.status_code == 405
    assert "access-control-allow-origin" not in asked.headers


def test_the_policy_of_pages_allows_nothing_inline_and_nobodys_frame() -> None:
    policy = dict(rule.split(" ", 1) for rule in SAFE_HEADERS["content-security-policy"].split("; "))
    assert policy["default-src"] == "'self'"
    assert policy["frame-ancestors"] == "'none'"
    assert "unsafe" not in SAFE_HEADERS["content-security-policy"]


def test_a_failure_says_nothing_of_the_inside_and_all_to_the_log(
    app: FastAPI, breakable: TestClient, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    def fail() -> None:
        raise RuntimeError("secret of the house")

    monkeypatch.setattr(app.state.database, "reading", fail)
    with caplog.at_level(logging.ERROR, logger="app"):
        answer = breakable.get("/api/sites")
    assert (answer.status_code, answer.headers["content-type"]) == (500, "application/problem+json")
    assert answer.json()["type"] == "/problems/internal-error"
    assert "secret" not in answer.text
    assert {name: answer.headers[name] for name in SAFE_HEADERS} == dict(SAFE_HEADERS)
    (entry,) = [entry for entry in caplog.records if entry.name == "app.errors"]
    assert answer.json()["instance"] in entry.getMessage()
    assert "secret of the house" in caplog.text


def test_a_database_that_does_not_answer_is_said_so(
    app: FastAPI, record: Record, client: TestClient, caplog: pytest.LogCaptureFixture
) -> None:
    site = record.add("sites")
    with app.state.database.writing() as session:
        session.execute(sa.text("ALTER TABLE site RENAME TO elsewhere"))
    gone = client.get(f"/api/sites/{site['id']}")
    assert (gone.status_code, gone.json()["type"]) == (503, "/problems/not-ready")
    assert gone.headers["Retry-After"] == "5"
    assert "no such table" in caplog.text
    assert "table" not in gone.text
    with app.state.database.writing() as session:
        session.execute(sa.text("ALTER TABLE elsewhere RENAME TO site"))
    assert client.get(f"/api/sites/{site['id']}").json() == site


def test_a_write_that_fails_half_way_leaves_nothing(
    app: FastAPI, record: Record, breakable: TestClient, monkeypatch: pytest.MonkeyPatch
) -> None:
    drum = record.add("drums")
    before = record.rows()
    monkeypatch.setattr("app.api.entries._plain", lambda _: 1 / 0)
    failed = breakable.patch(f"/api/drums/{drum['id']}", json={"fill_pct": 50}, headers={"If-Match": '"1"'})
    assert failed.status_code == 500
    monkeypatch.undo()
    assert record.rows() == before
    assert breakable.get(f"/api/drums/{drum['id']}").json() == drum
