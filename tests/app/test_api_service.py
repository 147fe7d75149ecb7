"""The service about itself, and the application as it starts and stops."""

from pathlib import Path

import pytest
import sqlalchemy as sa
from fastapi import FastAPI
from fastapi.testclient import TestClient

from app.db import Database, DatabaseRefused
from app.jobs import Jobs
from app.main import create_app
from app.settings import Settings
from survey.bundle import dump
from tests.app.record import Record
from tests.app.test_api_surveys import FILE, JSON
from tests.builders import SurveyBuilder


def test_a_running_service_is_ready(client: TestClient) -> None:
    assert client.get("/health").json() == {"status": "running"}
    assert client.get("/ready").json() == {"status": "ready"}


def test_a_service_on_a_database_of_another_edition_runs_and_is_not_ready(client: TestClient, app: FastAPI) -> None:
    with app.state.database.writing() as session:
        session.execute(sa.text("UPDATE alembic_version SET version_num = '9999'"))
    refused = client.get("/ready")
    assert (refused.status_code, refused.json()["type"]) == (503, "/problems/not-ready")
    assert "9999" in refused.json()["detail"]
    assert client.get("/health").status_code == 200


def test_a_service_whose_database_is_gone_runs_and_is_not_ready(
    client: TestClient, app: FastAPI, tmp_path: Path
) -> None:
    there = app.state.database
    app.state.database = Database(f"sqlite:///{tmp_path / 'no' / 'such' / 'folder' / 'record.sqlite3'}")
    statuses = [client.get(address).status_code for address in ("/ready", "/api/sites", "/health")]
    app.state.database = there
    assert statuses == [503, 503, 200]
    assert client.get("/ready").status_code == 200


@pytest.mark.parametrize("address", ["/health", "/api/sites", "/api/openapi.json", "/nothing"])
def test_head_is_get_without_the_body(address: str, client: TestClient) -> None:
    """RFC 9110, section 9.3.2: the same status and header fields, no content."""
    got, asked = client.get(address), client.head(address)
    assert (asked.status_code, asked.content) == (got.status_code, b"")
    assert {name: value for name, value in asked.headers.items() if name != "content-length"} == {
        name: value for name, value in got.headers.items() if name != "content-length"
    }


def test_an_application_opens_its_database_when_it_starts_and_refuses_one_it_does_not_know(tmp_path: Path) -> None:
    app = create_app(Settings(data_dir=tmp_path / "data", render_processes=0, what_if_processes=0))
    assert not (tmp_path / "data").exists()
    for expected in (201, 200):
        with TestClient(app) as client:
            assert client.post("/api/surveys", content=FILE, headers=JSON).status_code == expected
    with TestClient(app), app.state.database.writing() as session:
        session.execute(sa.text("UPDATE alembic_version SET version_num = '9999'"))
    with pytest.raises(DatabaseRefused, match="newer edition"), TestClient(app):
        pass


@pytest.mark.slow
def test_a_worker_process_answers_as_a_thread_does(client: TestClient, app: FastAPI) -> None:
    build = SurveyBuilder("Harbour store")
    build.floor(width_m=12, depth_m=8)
    build.pallet("A-01", at=(3, 4))
    build.drum("A-01-1", product="toluene")
    survey = build.survey()
    address = f"/api/sites/{survey.site.id}/assessment"
    client.post("/api/surveys", content=dump(survey), headers=JSON)
    in_thread = client.get(address)
    jobs_in_threads = app.state.jobs
    app.state.jobs = Jobs(processes=1, kept=1)
    in_process = client.get(address)
    app.state.jobs.close()
    app.state.jobs = jobs_in_threads
    assert in_process.status_code == 200
    assert in_process.content == in_thread.content
    assert in_process.headers["ETag"] == in_thread.headers["ETag"]


def test_the_record_starts_empty(record: Record) -> None:
    assert set(record.rows().values()) == {0}
