"""The log of changes: every write to the record, with the value it replaced."""

from datetime import datetime
from typing import Any
from uuid import UUID

import sqlalchemy as sa
from sqlmodel import Field, SQLModel

from survey.tables.entry import JSON, UtcDateTime, choice, stored_as
from survey.vocabulary import ChangeKind


class Change(SQLModel, table=True):
    """One entry written once: by which device, as its which-th change, from which base, from what to what.

    `number` is the order in which changes arrived and the only order there is; `received_at` is the database's
    clock, for people to read. `site_id` and `entry_id` are no foreign keys, because the log outlives what it tells of.
    One act that writes several entries (an import, a deletion and what goes with it) shares one device sequence.
    """

    __table_args__ = (sa.UniqueConstraint("device", "device_seq", "noun", "entry_id"),)

    number: int | None = Field(default=None, primary_key=True)
    received_at: datetime | None = stored_as(
        UtcDateTime, default=None, nullable=False, sa_column_kwargs={"server_default": sa.func.current_timestamp()}
    )
    device: str = Field(max_length=200)
    device_seq: int
    by: str = Field(max_length=200)
    site_id: UUID = Field(index=True)
    noun: str = Field(max_length=60)
    entry_id: UUID = Field(index=True)
    kind: ChangeKind = choice(ChangeKind)
    base_revision: int
    """Revision that the change replaced; 0 for an entry that was not there."""
    before: dict[str, Any] | None = stored_as(JSON, default=None, nullable=True)
    after: dict[str, Any] | None = stored_as(JSON, default=None, nullable=True)
    """`before` and `after` hold the fields that differ; of an entry added or removed, all of them."""
