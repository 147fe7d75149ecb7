"""Connections to the database, with SQLite told to keep its promises."""

from typing import Any

import sqlalchemy as sa

BUSY_TIMEOUT_MS = 10_000
READS_ONLY = "reads_only"
"""Execution option of an engine or connection whose transactions write nothing and so need not wait for writers."""


def make_engine(url: str | sa.URL, **settings: Any) -> sa.Engine:
    """Give an engine for SQLite or PostgreSQL.

    On SQLite a transaction takes the write lock when it begins: the driver's own way loses updates silently, and a
    transaction that reads first and then writes fails at once under load. Use
    `engine.execution_options(reads_only=True)` for reading alone.
    """
    engine = sa.create_engine(url, **settings)
    if engine.dialect.name == "sqlite":
        sa.event.listen(engine, "connect", _prepare_sqlite)
        sa.event.listen(engine, "begin", _begin_sqlite)
    return engine


def _prepare_sqlite(connection: Any, _record: object) -> None:
    connection.isolation_level = None
    for pragma in (
        "foreign_keys=ON",
        f"busy_timeout={BUSY_TIMEOUT_MS}",
        "journal_mode=WAL",
        "synchronous=NORMAL",
    ):
        connection.execute(f"PRAGMA {pragma}").close()


def _begin_sqlite(connection: sa.Connection) -> None:
    reads_only = connection.get_execution_options().get(READS_ONLY, False)
    connection.exec_driver_sql("BEGIN" if reads_only else "BEGIN IMMEDIATE")
