"""Alembic's entry: runs migrations on the connection that `survey.migrations` hands over."""

from typing import Any, Literal

import sqlalchemy as sa
from alembic import context
from alembic.autogenerate.api import AutogenContext
from sqlmodel import SQLModel
from sqlmodel.sql.sqltypes import AutoString

import survey.nouns
import survey.tables.change  # noqa: F401 (both fill the metadata)
from survey.tables.entry import UtcDateTime


def render_item(kind: str, item: Any, _autogen: AutogenContext) -> str | Literal[False]:
    """Write plain column types into a migration, so that it does not depend on code that changes later."""
    if kind == "type" and isinstance(item, (AutoString, sa.Enum)):
        return f"sa.String(length={item.length})" if item.length else "sa.String()"
    if kind == "type" and isinstance(item, UtcDateTime):
        return "sa.DateTime(timezone=True)"
    return False


context.configure(
    connection=context.config.attributes["connection"],
    target_metadata=SQLModel.metadata,
    render_as_batch=True,
    transactional_ddl=True,
    render_item=render_item,
)
with context.begin_transaction():
    context.run_migrations()
