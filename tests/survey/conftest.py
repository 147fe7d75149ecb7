"""A database of the newest shape for each test, made once by the migrations and copied."""

import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest
import sqlalchemy as sa
from sqlmodel import Session

from survey.migrations import upgrade
from survey.repository import make_engine


@pytest.fixture(scope="session")
def empty_database(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Give the file of a database with all tables and no rows."""
    path = tmp_path_factory.mktemp("empty") / "record.sqlite"
    engine = make_engine(f"sqlite:///{path}")
    upgrade(engine)
    engine.dispose()
    return path


@pytest.fixture
def engine(empty_database: Path, tmp_path: Path) -> Iterator[sa.Engine]:
    """Give an engine on an empty database of the test's own."""
    path = tmp_path / "record.sqlite"
    shutil.copy(empty_database, path)
    engine = make_engine(f"sqlite:///{path}")
    yield engine
    engine.dispose()


@pytest.fixture
def session(engine: sa.Engine) -> Iterator[Session]:
    """Give a session whose transaction is rolled back at the end."""
    with Session(engine) as session:
        yield session
