"""What every entry has in common, and the column types that survive SQLite and PostgreSQL alike."""

from datetime import UTC, datetime
from enum import StrEnum
from typing import Annotated, Any
from uuid import UUID, uuid4

import sqlalchemy as sa
from pydantic import AfterValidator, AwareDatetime, BaseModel, ConfigDict, field_validator
from pydantic import Field as Bound
from sqlmodel import Field, SQLModel

from survey.tables.shapes import closed_ring, closed_ring_or_none, extended_line
from survey.tables.spelling import one_spelling
from survey.vocabulary import Source

Name = Annotated[str, Bound(min_length=1, max_length=200)]
"""A name or a short phrase."""
Text = Annotated[str, Bound(max_length=4000)]
"""A note of a few sentences."""
Metre = Annotated[float, Bound(ge=-10_000, le=10_000, allow_inf_nan=False)]
Point = tuple[Metre, Metre]
"""x east, y north [m] from the floor's origin."""
Ring = Annotated[list[Point], Bound(min_length=3, max_length=2000), AfterValidator(closed_ring)]
"""Corners of a simple polygon, in order; the last joins the first and is not repeated."""
RingOrNone = Annotated[list[Point], Bound(max_length=2000), AfterValidator(closed_ring_or_none)]
"""A ring, or an empty list where no part is marked off."""
Line = Annotated[list[Point], Bound(min_length=1, max_length=2000), AfterValidator(extended_line)]
"""One point or a polyline."""
LineOrNone = Annotated[list[Point], Bound(max_length=2000), AfterValidator(extended_line)]
"""One point, a polyline, or an empty list where the place is not known."""
Polyline = Annotated[list[Point], Bound(min_length=2, max_length=2000), AfterValidator(extended_line)]
"""Two points or more, from one end to the other."""

JSON = sa.JSON(none_as_null=True)
"""A list, point or part kept as JSON; an absent one is a database null."""


# SQLite can only change a constraint that has a name, and would otherwise give it none.
SQLModel.metadata.naming_convention = {
    "ix": "ix_%(column_0_label)s",
    "uq": "uq_%(table_name)s_%(column_0_N_name)s",
    "ck": "ck_%(table_name)s_%(constraint_name)s",
    "fk": "fk_%(table_name)s_%(column_0_name)s",
    "pk": "pk_%(table_name)s",
}


class UtcDateTime(sa.TypeDecorator[datetime]):
    """A point in time stored as UTC and given back aware, which SQLite by itself does not do."""

    impl = sa.DateTime(timezone=True)
    cache_ok = True

    def process_bind_param(self, value: datetime | None, dialect: sa.Dialect) -> datetime | None:
        """Turn the time to UTC before it is stored."""
        return None if value is None else value.astimezone(UTC)

    def process_result_value(self, value: Any | None, dialect: sa.Dialect) -> datetime | None:
        """Give SQLite's bare time its zone back; PostgreSQL's may carry the zone of the session."""
        if not isinstance(value, datetime):
            return None
        return value.replace(tzinfo=UTC) if value.tzinfo is None else value.astimezone(UTC)


def stored_as(sa_type: Any, **settings: Any) -> Any:
    """Give a field with a column type of its own.

    SQLModel declares `sa_type` as a class although an instance (a JSON that keeps nulls apart) is what it passes on.
    """
    return Field(sa_type=sa_type, **settings)


def words_of(kind: type[StrEnum]) -> sa.Enum:
    """Give the column type of one word of `kind`.

    A native enum type would outlive a downgrade on PostgreSQL, so the words are plain strings there.
    """

    def words(of: type[StrEnum]) -> list[str]:
        return [member.value for member in of]

    return sa.Enum(kind, native_enum=False, values_callable=words, length=60, create_constraint=False)


def choice(kind: type[StrEnum], default: StrEnum | None = None) -> Any:
    """Give a field that stores one word of `kind` as text; required where there is no default."""
    return stored_as(words_of(kind)) if default is None else stored_as(words_of(kind), default=default)


def choice_or_none(kind: type[StrEnum]) -> Any:
    """Give a field that stores one word of `kind`, or nothing."""
    return stored_as(words_of(kind), default=None, nullable=True)


def json_list() -> Any:
    """Give a field that stores a list as JSON and starts empty."""
    return stored_as(JSON, default_factory=list)


def reference(table: str, *, index: bool = True) -> Any:
    """Give a required foreign key that goes when its parent goes."""
    return Field(foreign_key=f"{table}.id", index=index, ondelete="CASCADE")


def reference_or_none(table: str, *, goes_with_it: bool = False) -> Any:
    """Give an optional foreign key: emptied when the other row goes, or going with it."""
    return Field(
        default=None, foreign_key=f"{table}.id", index=True, ondelete="CASCADE" if goes_with_it else "SET NULL"
    )


class Part(BaseModel):
    """A value kept inside an entry as JSON."""

    model_config = ConfigDict(extra="forbid", allow_inf_nan=False)

    @field_validator("*", mode="after")
    @classmethod
    def _spelled_one_way(cls, value: object) -> object:
        return one_spelling(value)


class Entry(SQLModel):
    """One row of the record: a UUID the client may make, its age and its source."""

    # A table row is an instance of its entry's class too, and validated by nobody. (SQLModel declares a config type of
    # its own that knows fewer keys than the pydantic it hands them to.)
    model_config = ConfigDict(  # type: ignore[assignment]
        extra="forbid", allow_inf_nan=False, revalidate_instances="subclass-instances"
    )

    def __init__(self, **values: Any) -> None:
        """Make an entry from Python values."""
        super().__init__(**values)

    # SQLModel's own __init__ counts as a custom one, and through that pydantic would read an entry inside a document
    # as Python values: no longer strictly, so that "20" would pass for 20.
    __init__.__pydantic_base_init__ = True  # type: ignore[attr-defined]

    id: UUID = Field(default_factory=uuid4, primary_key=True)
    recorded_at: AwareDatetime = stored_as(UtcDateTime)
    recorded_by: Name
    source: Source = choice(Source)
    note: Text = ""

    @field_validator("*", mode="after")
    @classmethod
    def _spelled_one_way(cls, value: object) -> object:
        return one_spelling(value)
