"""Loading the demo sites into a database, once and again."""

from collections.abc import Iterator
from pathlib import Path

import pytest
from sqlmodel import Session, SQLModel

from seed_demo.loader import load_all, survey_files
from survey.bundle import dump, entries
from survey.repository import ImportOutcome, export_survey, list_sites, make_engine
from tests.seed_demo.plan import site


@pytest.fixture
def session(tmp_path: Path) -> Iterator[Session]:
    engine = make_engine(f"sqlite:///{tmp_path / 'record.db'}")
    SQLModel.metadata.create_all(engine)
    with Session(engine) as session:
        yield session
    engine.dispose()


def test_loading_adds_every_entry_of_every_file(session: Session) -> None:
    outcomes = load_all(session)
    counts = [sum(len(rows) for _, rows in entries(site(file.stem))) for file in survey_files()]
    assert outcomes == tuple(ImportOutcome(count, changed=0, removed=0, unchanged=0) for count in counts)
    assert min(counts) > 80


def test_loading_twice_changes_nothing(session: Session) -> None:
    first = load_all(session)
    session.commit()
    second = load_all(session)
    assert second == tuple(ImportOutcome(0, changed=0, removed=0, unchanged=outcome.added) for outcome in first)


def test_what_was_loaded_comes_out_as_the_committed_files(session: Session) -> None:
    load_all(session)
    session.commit()
    assert len(list_sites(session)) == len(survey_files())
    for file in survey_files():
        assert dump(export_survey(session, site(file.stem).site.id)) == file.read_bytes()
