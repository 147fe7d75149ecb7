"""What every entry has in common, and the column types that survive SQLite and PostgreSQL alike."""

from datetime import UTC, datetime
from enum import StrEnum
from typing import Annotated, Any
from uuid import UUID, uuid4

import sqlalchemy as sa
from pydantic import AwareDatetime, BaseModel, ConfigDict
from pydantic import Field as Bound
from sqlmodel import Field, SQLModel

from survey.vocabulary import Source

Name = Annotated[str, Bound(min_length=1, max_length=200)]
"""A name or a short phrase."""
Text = Annotated[str, Bound(max_length=4000)]
"""A note of a few sentences."""
Metre = Annotated[float, Bound(ge=-10_000, le=10_000, allow_inf_nan=False)]
Point = tuple[Metre, Metre]
"""x east, y north [m] from the floor's origin."""
Ring = Annotated[list[Point], Bound(min_length=3, max_length=2000)]
"""Corners of a simple polygon, in order; the last joins the first and is not repeated."""
Line = Annotated[list[Point], Bound(min_length=1, max_length=2000)]
"""One point or a polyline."""

JSON = sa.JSON(none_as_null=True)
"""A list, point or part kept as JSON; an absent one is a database null."""


class UtcDateTime(sa.TypeDecorator[datetime]):
    """A point in time stored as UTC and given back aware, which SQLite by itself does not do."""

    impl = sa.DateTime(timezone=True)
    cache_ok = True

    def process_bind_param(self, value: datetime | None, dialect: sa.Dialect) -> datetime | None:
        return None if value is None else value.astimezone(UTC)

    def process_result_value(self, value: Any | None, dialect: sa.Dialect) -> datetime | None:
        return value.replace(tzinfo=UTC) if isinstance(value, datetime) and value.tzinfo is None else value


def choice(kind: type[StrEnum], default: StrEnum | None = None) -> Any:
    """Give a field that stores one word of `kind` as text.

    A native enum type would outlive a downgrade on PostgreSQL, so the words are plain strings there.
    """

    def words(of: type[StrEnum]) -> list[str]:
        return [member.value for member in of]

    column_type = sa.Enum(kind, native_enum=False, values_callable=words, length=60, create_constraint=False)
    if default is None:
        return Field(sa_type=column_type)  # type: ignore[call-overload]
    return Field(default=default, sa_type=column_type)  # type: ignore[call-overload]


def json_list() -> Any:
    """Give a field that stores a list as JSON and starts empty."""
    return Field(default_factory=list, sa_type=JSON)


def reference(table: str, *, index: bool = True) -> Any:
    """Give a required foreign key that goes when its parent goes."""
    return Field(foreign_key=f"{table}.id", index=index, ondelete="CASCADE")


class Part(BaseModel):
    """A value kept inside an entry as JSON."""

    model_config = ConfigDict(extra="forbid", allow_inf_nan=False)


class Entry(SQLModel):
    """One row of the record: a UUID the client may make, its age and its source."""

    model_config = ConfigDict(extra="forbid", allow_inf_nan=False)  # type: ignore[assignment]

    id: UUID = Field(default_factory=uuid4, primary_key=True)
    recorded_at: AwareDatetime = Field(sa_type=UtcDateTime)  # type: ignore[call-overload]
    recorded_by: Name
    source: Source = choice(Source)
    note: Text = ""


