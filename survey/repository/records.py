"""One entry at a time: find, page, add, change, remove. Each write is logged in the same transaction.

Nothing here commits. Writes to one site take turns, so that two of them cannot together make a circle or leave a
reference to nothing that neither would make alone.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from uuid import UUID

import sqlalchemy as sa
from sqlalchemy.orm import Session

from survey.changes import Origin
from survey.faults import Fault, SurveyRefused
from survey.nouns import BY_PLURAL, NOUNS, Noun
from survey.references import CHAINS, REFERENCES, table_of
from survey.repository.history import act_of
from survey.repository.refusals import IdTaken, NoSuchEntry, StaleRevision
from survey.repository.rows import Stored, delete, holder_of, insert, parent_of, read, read_many, site_of, update
from survey.tables.entry import Entry


@dataclass(frozen=True, slots=True)
class Page:
    """Some entries in the order of their ids; `next_after` asks for the following ones, None at the end."""

    items: tuple[Stored, ...]
    next_after: UUID | None


def find(session: Session, noun: Noun, entry_id: UUID) -> Stored:
    """Give one entry; raises `NoSuchEntry`."""
    found = read(session, noun, table_of(noun).c.id == entry_id)
    if not found:
        raise NoSuchEntry(noun, entry_id)
    return found[0]


def page(session: Session, noun: Noun, *, parent_id: UUID | None, after: UUID | None, limit: int) -> Page:
    """Give up to `limit` entries that follow `after`, of one parent or of all."""
    table = table_of(noun)
    query = sa.select(table.c.id).order_by(table.c.id).limit(limit + 1)
    if parent_id is not None and noun.parent is not None:
        query = query.where(table.c[noun.parent] == parent_id)
    if after is not None:
        query = query.where(table.c.id > after)
    ids = list(session.execute(query).scalars())
    items = read(session, noun, table.c.id.in_(ids[:limit]))
    return Page(tuple(items), ids[limit - 1] if len(ids) > limit else None)


def add(session: Session, noun: Noun, fields: Entry, origin: Origin) -> Stored:
    """Add an entry.

    Raises
    ------
    IdTaken
        Where the record holds an entry with this id, of whatever noun; sending the same entry twice is for the
        caller to tell from a clash.
    SurveyRefused
        Where it names an entry that is not in its site.
    SequenceTaken
        Where the device has used this sequence number.
    """
    with act_of(session, origin) as act:
        site_id = _site_to_join(session, noun, fields)
        holder = holder_of(session, fields.id)
        if holder is not None:
            raise IdTaken(fields.id, holder)
        _refuse_loose_ends(session, noun, fields, site_id)
        revision = insert(session, noun, [fields])[fields.id]
        act.log(noun, site_id, None, fields, base_revision=0)
    return Stored(noun, fields, revision)


def change(
    session: Session, noun: Noun, entry_id: UUID, fields: Entry, expected_revision: int, origin: Origin
) -> Stored:
    """Write an entry over its current revision, which must be the expected one; an equal entry changes nothing.

    Raises
    ------
    NoSuchEntry, StaleRevision, SurveyRefused, SequenceTaken
        As their names say; `SurveyRefused` also where the entry would go to another site or get another id.
    """
    with act_of(session, origin) as act:
        site_id, standing = _current(session, noun, entry_id, expected_revision)
        if fields.id != entry_id:
            raise SurveyRefused([Fault("id", f"{entry_id}, the id of this entry", str(fields.id))])
        if fields == standing.fields:
            return standing
        _refuse_loose_ends(session, noun, fields, site_id)
        update(session, noun, fields, revision=standing.revision + 1)
        act.log(noun, site_id, standing.fields, fields, base_revision=standing.revision)
    return Stored(noun, fields, standing.revision + 1)


def remove(session: Session, noun: Noun, entry_id: UUID, expected_revision: int, origin: Origin) -> int:
    """Remove an entry and all that belongs to it; give how many entries went, each of them logged whole.

    Raises
    ------
    NoSuchEntry, StaleRevision, SequenceTaken
        As their names say.
    """
    with act_of(session, origin) as act:
        site_id, standing = _current(session, noun, entry_id, expected_revision)
        going = _going_with(session, standing)
        for emptied, fields in _losing_a_reference(session, going):
            update(session, emptied.noun, fields, revision=emptied.revision + 1)
            act.log(emptied.noun, site_id, emptied.fields, fields, base_revision=emptied.revision)
        for row in reversed(going):
            act.log(row.noun, site_id, row.fields, None, base_revision=row.revision)
        # The database takes what belongs to it along.
        delete(session, noun, [entry_id])
    return len(going)


def _current(session: Session, noun: Noun, entry_id: UUID, expected_revision: int) -> tuple[UUID, Stored]:
    """Give the site and the entry, held until the end of the transaction, if it is at the expected revision."""
    site_id = site_of(session, noun, entry_id)
    if site_id is None:
        raise NoSuchEntry(noun, entry_id)
    _take_turn(session, site_id)
    standing = find(session, noun, entry_id)
    if standing.revision != expected_revision:
        raise StaleRevision(standing, expected_revision)
    return site_id, standing


def _take_turn(session: Session, site_id: UUID) -> None:
    """Wait for other writers of this site; on SQLite the transaction itself has done so."""
    sites = table_of(BY_PLURAL["sites"])
    session.execute(sa.select(sites.c.id).where(sites.c.id == site_id).with_for_update())


def _site_to_join(session: Session, noun: Noun, fields: Entry) -> UUID:
    parent = parent_of(noun)
    if parent is None:
        return fields.id
    parent_id: UUID = getattr(fields, str(noun.parent))
    site_id = site_of(session, parent, parent_id)
    if site_id is None:
        raise SurveyRefused([_dangling(str(noun.parent), parent.plural, parent_id)])
    _take_turn(session, site_id)
    return site_id


def _refuse_loose_ends(session: Session, noun: Noun, fields: Entry, site_id: UUID) -> None:
    """Raise where a reference leads nowhere, to another site, or round in a circle."""
    faults = []
    for reference in REFERENCES[noun.plural]:
        named: UUID | None = getattr(fields, reference.field)
        if named is None:
            continue
        target = BY_PLURAL[reference.target]
        itself = target is noun and named == fields.id
        if not itself and site_of(session, target, named) != site_id:
            faults.append(_dangling(reference.field, reference.target, named))
        elif CHAINS.get(noun.plural) == reference.field and _runs_round(
            session, noun, reference.field, fields.id, named
        ):
            faults.append(Fault(reference.field, "a chain that ends", f"a circle through {named}"))
    if faults:
        raise SurveyRefused(faults)


def _dangling(field: str, target: str, named: UUID) -> Fault:
    return Fault(field, f"the id of one of {target} of this site", f"{named}, which is none of them")


def _runs_round(session: Session, noun: Noun, field: str, entry_id: UUID, named: UUID) -> bool:
    """Tell whether the chain that starts at `named` leads back to the entry; what is stored has no circle."""
    table = table_of(noun)
    here: UUID | None = named
    while here is not None and here != entry_id:
        here = session.execute(sa.select(table.c[field]).where(table.c.id == here)).scalar_one()
    return here is not None


def _going_with(session: Session, standing: Stored) -> list[Stored]:
    """Give the entry and all that belongs to it, parents before children."""
    going: dict[str, dict[UUID, Stored]] = {noun.plural: {} for noun in NOUNS}
    going[standing.noun.plural][standing.fields.id] = standing
    for noun in NOUNS:
        for reference in REFERENCES[noun.plural]:
            if reference.goes_with_it:
                found = read_many(session, noun, reference.field, going[reference.target])
                going[noun.plural].update((row.fields.id, row) for row in found)
    return [row for rows in going.values() for row in rows.values()]


def _losing_a_reference(session: Session, going: list[Stored]) -> Iterator[tuple[Stored, Entry]]:
    """Give the entries that stay and name one that goes, each with its fields after that."""
    gone = {row.fields.id for row in going}
    for noun in NOUNS:
        optional = [reference.field for reference in REFERENCES[noun.plural] if not reference.goes_with_it]
        staying = {
            row.fields.id: row
            for field in optional
            for row in read_many(session, noun, field, gone)
            if row.fields.id not in gone
        }
        for row in staying.values():
            emptied = {field: None for field in optional if getattr(row.fields, field) in gone}
            yield row, row.fields.model_copy(update=emptied)
