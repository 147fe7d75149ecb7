"""What the database adds to an entry: a revision that optimistic locking compares."""

from sqlmodel import Field, SQLModel


class Row(SQLModel):
    """Bookkeeping columns that never leave the server."""

    revision: int = Field(default=1, ge=1)
