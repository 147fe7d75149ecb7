"""Opening a database: made where there is none, and refused where this program does not know it."""

import stat
from pathlib import Path

import pytest
import sqlalchemy as sa

from app.db import Database, DatabaseRefused, open_database, refuse_unless_current
from app.settings import Settings
from survey import migrations
from survey.bundle import dump, parse
from survey.repository import export_survey, import_survey
from tests.builders import SurveyBuilder


@pytest.fixture
def settings(tmp_path: Path) -> Settings:
    return Settings(data_dir=tmp_path / "data" / "below")


def _execute(settings: Settings, *statements: str) -> None:
    database = Database(settings.database_address)
    with database.writing() as session:
        for statement in statements:
            session.execute(sa.text(statement))
    database.close()


def test_a_missing_database_is_made_for_its_owner_alone(settings: Settings) -> None:
    database = open_database(settings)
    refuse_unless_current(database.engine)
    database.close()
    assert stat.S_IMODE(settings.data_dir.stat().st_mode) == 0o700


def test_what_was_written_is_there_at_the_next_start(settings: Settings) -> None:
    survey = SurveyBuilder().survey()
    database = open_database(settings)
    with database.writing() as session:
        import_survey(session, survey, by="R. Example")
    database.close()
    database = open_database(settings)
    with database.reading() as session:
        again = export_survey(session, survey.site.id)
    database.close()
    assert parse(dump(again), max_bytes=100_000) == survey


def test_a_block_that_fails_leaves_nothing(settings: Settings) -> None:
    database = open_database(settings)

    def write_and_fail() -> None:
        with database.writing() as session:
            import_survey(session, SurveyBuilder().survey(), by="R. Example")
            raise ZeroDivisionError

    with pytest.raises(ZeroDivisionError):
        write_and_fail()
    with database.reading() as session:
        assert session.execute(sa.text("SELECT count(*) FROM site")).scalar() == 0
        assert session.execute(sa.text("SELECT count(*) FROM change")).scalar() == 0
    database.close()


def test_a_reader_sees_one_state_while_others_write(settings: Settings) -> None:
    database = open_database(settings)
    with database.reading() as reader:
        assert reader.execute(sa.text("SELECT count(*) FROM site")).scalar() == 0
        with database.writing() as writer:
            import_survey(writer, SurveyBuilder().survey(), by="R. Example")
        assert reader.execute(sa.text("SELECT count(*) FROM site")).scalar() == 0
    with database.reading() as reader:
        assert reader.execute(sa.text("SELECT count(*) FROM site")).scalar() == 1
    database.close()


def test_a_newer_database_is_refused(settings: Settings) -> None:
    open_database(settings).close()
    _execute(settings, "UPDATE alembic_version SET version_num = '9999'")
    with pytest.raises(DatabaseRefused, match=r"revision 9999, which this program does not know"):
        open_database(settings)


def test_a_database_of_another_program_is_refused_and_left_alone(settings: Settings) -> None:
    settings.data_dir.mkdir(parents=True)
    _execute(settings, "CREATE TABLE recipe (id INTEGER)")
    with pytest.raises(DatabaseRefused, match=r"holds tables \(recipe, …\) but no revision"):
        open_database(settings)
    database = Database(settings.database_address)
    assert sa.inspect(database.engine).get_table_names() == ["recipe"]
    database.close()


@pytest.mark.parametrize("damage", ["DROP TABLE photo", "ALTER TABLE drum DROP COLUMN tier"])
def test_a_half_migrated_database_is_refused(damage: str, settings: Settings) -> None:
    open_database(settings).close()
    _execute(settings, damage)
    with pytest.raises(DatabaseRefused, match="stopped half-way"):
        open_database(settings)


def test_a_database_elsewhere_is_upgraded_only_when_told(tmp_path: Path) -> None:
    address = f"sqlite:///{tmp_path / 'elsewhere.sqlite3'}"
    settings = Settings(data_dir=tmp_path / "data", database_url=address)
    with pytest.raises(DatabaseRefused, match=r"is empty.*python3 -m app migrate"):
        open_database(settings)
    open_database(Settings(database_url=address, migrate_on_start=True)).close()
    open_database(settings).close()
    assert not (tmp_path / "data").exists()


def test_the_newest_revision_is_a_known_one() -> None:
    assert migrations.head_revision() in migrations.known_revisions()
