"""The promises SQLite has to be asked for: foreign keys, and no update lost between two writers."""

import threading
from pathlib import Path

import pytest
import sqlalchemy as sa
from sqlmodel import Session

from survey.repository import make_engine
from survey.repository.engine import READS_ONLY

COUNTER = sa.text("SELECT revision FROM site")


@pytest.mark.parametrize(
    ("pragma", "value"), [("foreign_keys", 1), ("journal_mode", "wal"), ("busy_timeout", 10_000), ("synchronous", 1)]
)
def test_every_connection_has_the_settings(engine: sa.Engine, pragma: str, value: object) -> None:
    for _ in range(2):
        with engine.connect() as connection:
            assert connection.exec_driver_sql(f"PRAGMA {pragma}").scalar() == value
        engine.dispose()


def test_foreign_keys_are_enforced(session: Session) -> None:
    level = sa.text(
        "INSERT INTO level (id, revision, recorded_at, recorded_by, source, note, floor_id, at, level_mm)"
        " VALUES ('1', 1, '2026-03-02', 'x', 'seen', '', 'none', '[0, 0]', 0)"
    )
    with pytest.raises(sa.exc.IntegrityError, match="FOREIGN KEY"):
        session.execute(level)


def test_read_then_write_in_many_threads_loses_no_update(tmp_path: Path) -> None:
    engine = make_engine(f"sqlite:///{tmp_path / 'counter.sqlite'}")
    with engine.begin() as connection:
        connection.exec_driver_sql("CREATE TABLE site (revision INTEGER)")
        connection.exec_driver_sql("INSERT INTO site VALUES (0)")

    def count_up() -> None:
        for _ in range(20):
            with engine.begin() as connection:
                seen = connection.execute(COUNTER).scalar_one()
                connection.execute(sa.text("UPDATE site SET revision = :next"), {"next": seen + 1})

    threads = [threading.Thread(target=count_up) for _ in range(4)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    with engine.connect() as connection:
        assert connection.execute(COUNTER).scalar_one() == 80
    engine.dispose()


def test_reading_alone_does_not_wait_for_a_writer(engine: sa.Engine) -> None:
    reading = engine.execution_options(**{READS_ONLY: True})
    with engine.begin() as writer:
        writer.exec_driver_sql("DELETE FROM site")
        with reading.connect() as reader:
            reader.exec_driver_sql("PRAGMA busy_timeout=0")
            assert reader.execute(sa.text("SELECT count(*) FROM site")).scalar() == 0
        with engine.connect() as other:
            driver = other.connection.driver_connection
            assert driver is not None
            driver.execute("PRAGMA busy_timeout=0")
            with pytest.raises(sa.exc.OperationalError, match="locked"):
                other.execute(sa.text("SELECT 1"))
