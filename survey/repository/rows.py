"""Entries as rows: every row read is validated, because SQLModel's table classes validate nothing."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any
from uuid import UUID

import sqlalchemy as sa
from sqlalchemy.orm import Session

from survey.nouns import BY_PLURAL, NOUNS, Noun
from survey.references import REFERENCES, table_of, table_of_class
from survey.tables.change import Change
from survey.tables.entry import Entry

AT_ONCE = 500
"""Values in one condition; databases limit how many a statement may carry."""
_LOG = table_of_class(Change)


@dataclass(frozen=True, slots=True)
class Stored:
    """An entry as it stands in the record, with the revision that a change to it must name."""

    noun: Noun
    fields: Entry
    revision: int


def parent_of(noun: Noun) -> Noun | None:
    """Give the noun that owns `noun`."""
    for reference in REFERENCES[noun.plural]:
        if reference.field == noun.parent:
            return BY_PLURAL[reference.target]
    return None


def read(session: Session, noun: Noun, where: sa.ColumnElement[bool]) -> list[Stored]:
    """Read the entries of a noun that meet a condition, in the order of their ids."""
    table = table_of(noun)
    query = sa.select(table).where(where).order_by(table.c.id)
    rows = session.execute(query).mappings()
    return [stored(noun, row) for row in rows]


def read_many(session: Session, noun: Noun, column: str, values: Iterable[UUID]) -> list[Stored]:
    """Read the entries whose `column` holds one of `values`, a few hundred at a time."""
    pending = sorted(values)
    found: list[Stored] = []
    for start in range(0, len(pending), AT_ONCE):
        found += read(session, noun, table_of(noun).c[column].in_(pending[start : start + AT_ONCE]))
    return found


def stored(noun: Noun, row: Mapping[Any, Any]) -> Stored:
    """Give the entry that a row holds."""
    fields = {str(name): value for name, value in row.items()}
    revision = fields.pop("revision")
    return Stored(noun, noun.fields.model_validate(fields), revision)


def columns_of(noun: Noun, entry: Entry) -> dict[str, Any]:
    """Give the values that the database is to keep: plain JSON in JSON columns, typed values in the others."""
    plain = entry.model_dump(mode="json")
    return {
        column.name: plain[column.name] if isinstance(column.type, sa.JSON) else getattr(entry, column.name)
        for column in table_of(noun).columns
        if column.name != "revision"
    }


def insert(session: Session, noun: Noun, entries: Sequence[Entry]) -> dict[UUID, int]:
    """Insert new entries in the order given; give the revision of each.

    An entry that was there before and was removed goes on counting, so that a revision seen then is never the one
    standing now.
    """
    last = _last_revisions(session, [entry.id for entry in entries])
    revisions = {entry.id: last.get(entry.id, 0) + 1 for entry in entries}
    rows = [columns_of(noun, entry) | {"revision": revisions[entry.id]} for entry in entries]
    if rows:
        session.execute(sa.insert(table_of(noun)), rows)
    return revisions


def _last_revisions(session: Session, ids: Sequence[UUID]) -> dict[UUID, int]:
    """Give the highest revision that the log knows of each entry it knows."""
    found: dict[UUID, int] = {}
    for start in range(0, len(ids), AT_ONCE):
        query = (
            sa.select(_LOG.c.entry_id, sa.func.max(_LOG.c.base_revision))
            .where(_LOG.c.entry_id.in_(ids[start : start + AT_ONCE]))
            .group_by(_LOG.c.entry_id)
        )
        found |= {row[0]: row[1] for row in session.execute(query)}
    return found


def update(session: Session, noun: Noun, entry: Entry, *, revision: int) -> None:
    """Write an entry over the one with its id."""
    table = table_of(noun)
    values = columns_of(noun, entry) | {"revision": revision}
    session.execute(sa.update(table).where(table.c.id == entry.id).values(values))


def delete(session: Session, noun: Noun, ids: Iterable[UUID]) -> None:
    """Delete the entries with these ids."""
    table, rows = table_of(noun), [{"going": entry_id} for entry_id in ids]
    if rows:
        session.execute(sa.delete(table).where(table.c.id == sa.bindparam("going")), rows)


def in_site(noun: Noun, site_id: UUID) -> sa.ColumnElement[bool]:
    """Give the condition that an entry belongs to a site."""
    table, parent = table_of(noun), parent_of(noun)
    if parent is None:
        return table.c.id == site_id
    if parent.parent is None:
        return table.c[str(noun.parent)] == site_id
    return table.c[str(noun.parent)].in_(sa.select(table_of(parent).c.id).where(in_site(parent, site_id)))


def site_of(session: Session, noun: Noun, entry_id: UUID) -> UUID | None:
    """Give the site that an entry belongs to; None where there is no such entry."""
    table, parent = table_of(noun), parent_of(noun)
    owner = table.c.id if parent is None else table.c[str(noun.parent)]
    found: UUID | None = session.execute(sa.select(owner).where(table.c.id == entry_id)).scalar_one_or_none()
    return found if found is None or parent is None else site_of(session, parent, found)


def holder_of(session: Session, entry_id: UUID) -> Stored | None:
    """Give the entry that has an id, whatever its noun: an id is used once in the whole record."""
    tables = [(noun.plural, table_of(noun)) for noun in NOUNS]
    plural = session.execute(
        sa.union_all(
            *(
                sa.select(sa.literal(plural)).where(table.c.id == entry_id).select_from(table)
                for plural, table in tables
            )
        )
    ).scalar()
    if plural is None:
        return None
    noun = BY_PLURAL[plural]
    return read(session, noun, table_of(noun).c.id == entry_id)[0]
