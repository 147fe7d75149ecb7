"""One running application for all tests of a session, on a database of each test's own."""

import shutil
from collections.abc import Iterator
from datetime import date
from pathlib import Path

import pytest
from fastapi import FastAPI
from fastapi.testclient import TestClient

from app.db import Database, open_database
from app.deps import today
from app.jobs import Jobs
from app.main import create_app
from app.settings import Settings
from tests.app.record import Record

TODAY = date(2026, 3, 10)
MAX_SURVEY_BYTES = 200_000
MAX_ENTRY_BYTES = 100_000


@pytest.fixture(scope="session")
def session_client(tmp_path_factory: pytest.TempPathFactory) -> Iterator[TestClient]:
    """Give a client of the application, which takes half a second to make and a tenth to start."""
    settings = Settings(
        data_dir=tmp_path_factory.mktemp("data"),
        render_processes=0,
        what_if_processes=0,
        max_survey_bytes=MAX_SURVEY_BYTES,
        max_entry_bytes=MAX_ENTRY_BYTES,
    )
    app = create_app(settings)
    app.dependency_overrides[today] = lambda: TODAY
    with TestClient(app) as client:
        yield client


@pytest.fixture(scope="session")
def empty_database(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Give a database that the migrations have made, closed, so that the one file is all of it."""
    settings = Settings(data_dir=tmp_path_factory.mktemp("empty"))
    open_database(settings).close()
    return settings.data_dir / "drumwalk.sqlite3"


@pytest.fixture
def client(session_client: TestClient, empty_database: Path, tmp_path: Path) -> Iterator[TestClient]:
    """Give a client of the application on an empty database, and with no results kept, of the test's own."""
    app = session_client.app
    assert isinstance(app, FastAPI)
    made_at_start = app.state.database, app.state.jobs
    path = shutil.copy(empty_database, tmp_path / "record.sqlite3")
    app.state.database = Database(f"sqlite:///{path}")
    app.state.jobs = Jobs(processes=0, kept=8)
    yield session_client
    app.state.jobs.close()
    app.state.database.close()
    app.state.database, app.state.jobs = made_at_start


@pytest.fixture
def app(client: TestClient) -> FastAPI:
    """Give the application that the client talks to."""
    app = client.app
    assert isinstance(app, FastAPI)
    return app


@pytest.fixture
def record(client: TestClient) -> Record:
    """Give ways to write and count entries through the client."""
    return Record(client)
