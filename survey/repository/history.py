"""The log of changes, written in the same transaction as the change itself."""

from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any
from uuid import UUID

import sqlalchemy as sa
from sqlalchemy.orm import Session

from survey.changes import Origin
from survey.nouns import Noun
from survey.references import table_of_class
from survey.repository.refusals import SequenceTaken
from survey.tables.change import Change
from survey.tables.entry import Entry
from survey.vocabulary import ChangeKind

_LOG = table_of_class(Change)


class Act:
    """What one device does at once: everything it writes is logged under one sequence number."""

    def __init__(self, origin: Origin, device_seq: int) -> None:
        """Begin an act with nothing in it."""
        self._origin = origin
        self._device_seq = device_seq
        self.rows: list[dict[str, Any]] = []

    def log(self, noun: Noun, site_id: UUID, before: Entry | None, after: Entry | None, base_revision: int) -> None:
        """Log that an entry went from `before` to `after`; None is an entry that is not there."""
        present = after or before
        if present is None:
            raise ValueError("a change has an entry before it, after it, or both")
        old, new = differing(before, after)
        kind = ChangeKind.ADDED if before is None else ChangeKind.REMOVED if after is None else ChangeKind.CHANGED
        self.rows.append(
            {
                "device": self._origin.device,
                "device_seq": self._device_seq,
                "by": self._origin.by,
                "site_id": site_id,
                "noun": noun.plural,
                "entry_id": present.id,
                "kind": kind,
                "base_revision": base_revision,
                "before": old,
                "after": new,
            }
        )


@contextmanager
def act_of(session: Session, origin: Origin) -> Iterator[Act]:
    """Take the device's sequence number, and write the log of what is done under it at the end.

    Raises
    ------
    SequenceTaken
        Where the device has used this number before.
    """
    act = Act(origin, _sequence(session, origin))
    yield act
    if act.rows:
        session.execute(sa.insert(_LOG), act.rows)


def differing(before: Entry | None, after: Entry | None) -> tuple[dict[str, Any] | None, dict[str, Any] | None]:
    """Give the fields that differ, as plain JSON, before and after; all fields where one side is not there."""
    old = None if before is None else before.model_dump(mode="json")
    new = None if after is None else after.model_dump(mode="json")
    if old is None or new is None:
        return old, new
    names = [name for name in new if new[name] != old[name]]
    return {name: old[name] for name in names}, {name: new[name] for name in names}


def changes_after(
    session: Session, *, after: int, limit: int, site_id: UUID | None = None, entry_id: UUID | None = None
) -> list[Change]:
    """Give the changes that arrived after number `after`, oldest first, of one site or one entry if asked."""
    query = sa.select(Change).where(_LOG.c.number > after).order_by(_LOG.c.number).limit(limit)
    if site_id is not None:
        query = query.where(_LOG.c.site_id == site_id)
    if entry_id is not None:
        query = query.where(_LOG.c.entry_id == entry_id)
    return list(session.execute(query).scalars())


def last_change(session: Session, site_id: UUID) -> int:
    """Give the number of the newest change of a site, which names the state its record is in; 0 where there is none."""
    newest: int | None = session.execute(
        sa.select(sa.func.max(_LOG.c.number)).where(_LOG.c.site_id == site_id)
    ).scalar()
    return newest or 0


def _sequence(session: Session, origin: Origin) -> int:
    of_device = _LOG.c.device == origin.device
    if origin.device_seq is None:
        last: int | None = session.execute(sa.select(sa.func.max(_LOG.c.device_seq)).where(of_device)).scalar()
        return 1 if last is None else last + 1
    used = sa.select(_LOG.c.number).where(of_device, _LOG.c.device_seq == origin.device_seq).limit(1)
    if session.execute(used).first() is not None:
        raise SequenceTaken(origin.device, origin.device_seq)
    return origin.device_seq
