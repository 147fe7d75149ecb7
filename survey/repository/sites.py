"""A whole site at once: list, export, import."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any
from uuid import UUID

import sqlalchemy as sa
from sqlalchemy.orm import Session

from survey.bundle import Survey, entries, refuse_contradictions
from survey.changes import Origin
from survey.faults import Fault, SurveyRefused
from survey.nouns import BY_PLURAL, NOUNS, Noun
from survey.references import CHAINS, table_of
from survey.repository.history import Act, act_of
from survey.repository.refusals import NoSuchEntry
from survey.repository.rows import Stored, delete, in_site, insert, parent_of, read, read_many, update
from survey.tables.entry import Entry

FILE_DEVICE = "survey file"
"""Device name under which an import is logged."""
_SITES = BY_PLURAL["sites"]


@dataclass(frozen=True, slots=True)
class ImportOutcome:
    """How many entries an import added, changed, removed and left as they were."""

    added: int
    changed: int
    removed: int
    unchanged: int


@dataclass(frozen=True, slots=True)
class SiteSummary:
    """A line of the list of sites; `last_entry_at` is the time of its newest entry of any noun."""

    id: UUID
    name: str
    operator: str
    address: str
    revision: int
    last_entry_at: datetime
    counts: dict[str, int] = field(default_factory=dict)
    """Entries by plural of the noun; every noun but sites is named."""


def export_survey(session: Session, site_id: UUID) -> Survey:
    """Give a site as a survey; raises `NoSuchEntry`."""
    stored = _stored_by_noun(session, site_id)
    if not stored["sites"]:
        raise NoSuchEntry(_SITES, site_id)
    lists: dict[str, Any] = {
        plural: [row.fields for row in rows.values()] for plural, rows in stored.items() if plural != "sites"
    }
    return Survey.model_validate({"site": stored["sites"][site_id].fields, **lists})


def import_survey(session: Session, survey: Survey, *, by: str) -> ImportOutcome:
    """Make the record of a site equal to a survey: exactly its entries, each as written there.

    Entries that are equal already keep their revision and are not logged, so a second import changes nothing. The
    caller commits; on an exception nothing of the import is left in the transaction.

    Raises
    ------
    SurveyRefused
        Where the survey contradicts itself, or uses an id that belongs to another site.
    """
    refuse_contradictions(survey)
    with session.begin_nested(), act_of(session, Origin(device=FILE_DEVICE, by=by)) as act:
        session.execute(
            sa.select(table_of(_SITES).c.id).where(table_of(_SITES).c.id == survey.site.id).with_for_update()
        )
        standing = _stored_by_noun(session, survey.site.id)
        _refuse_ids_of_other_sites(session, survey, standing)
        counts = [
            _write(session, act, survey.site.id, noun, rows, standing[noun.plural]) for noun, rows in entries(survey)
        ]
        removed = 0
        for noun, rows in reversed(list(entries(survey))):
            removed += _remove(session, act, survey.site.id, noun, rows, standing[noun.plural])
    return ImportOutcome(
        added=sum(count.added for count in counts),
        changed=sum(count.changed for count in counts),
        removed=removed,
        unchanged=sum(count.unchanged for count in counts),
    )


def list_sites(session: Session) -> tuple[SiteSummary, ...]:
    """Give all sites by name, with what each holds and the time of its newest entry."""
    counts: dict[UUID, dict[str, int]] = {}
    newest: dict[UUID, datetime] = {}
    for noun in NOUNS:
        for row in session.execute(_count_by_site(noun)):
            counts.setdefault(row.site_id, {})[noun.plural] = row.entries
            newest[row.site_id] = max(newest.get(row.site_id, row.newest), row.newest)
    others = [noun.plural for noun in NOUNS if noun.parent is not None]
    sites = table_of(_SITES)
    rows = session.execute(sa.select(sites).order_by(sites.c.name, sites.c.id))
    return tuple(
        SiteSummary(
            id=row.id,
            name=row.name,
            operator=row.operator,
            address=row.address,
            revision=row.revision,
            last_entry_at=newest[row.id],
            counts={plural: counts[row.id].get(plural, 0) for plural in others},
        )
        for row in rows
    )


def _stored_by_noun(session: Session, site_id: UUID) -> dict[str, dict[UUID, Stored]]:
    return {noun.plural: {row.fields.id: row for row in read(session, noun, in_site(noun, site_id))} for noun in NOUNS}


def _count_by_site(noun: Noun) -> sa.Select[tuple[UUID, int, datetime]]:
    table = table_of(noun)
    joined: sa.FromClause = table
    owner, below = noun, table
    while (parent := parent_of(owner)) is not None and parent.parent is not None:
        joined = joined.join(table_of(parent), below.c[str(owner.parent)] == table_of(parent).c.id)
        owner, below = parent, table_of(parent)
    site_id = below.c[owner.parent or "id"].label("site_id")
    entries_, newest = sa.func.count().label("entries"), sa.func.max(table.c.recorded_at).label("newest")
    return sa.select(site_id, entries_, newest).select_from(joined).group_by(site_id)


def _refuse_ids_of_other_sites(session: Session, survey: Survey, standing: dict[str, dict[UUID, Stored]]) -> None:
    """An id is used once in the whole record, whichever noun has it."""
    own = {entry_id for rows in standing.values() for entry_id in rows}
    asked = {row.id for _, rows in entries(survey) for row in rows} - own
    taken = {row.fields.id: noun for noun in NOUNS for row in read_many(session, noun, "id", asked)}
    if taken:
        raise SurveyRefused(
            [
                Fault(
                    f"{noun.plural} {row.id}",
                    "an id that no other site uses",
                    f"one of {taken[row.id].plural} of another",
                )
                for noun, rows in entries(survey)
                for row in rows
                if row.id in taken
            ]
        )


def _write(
    session: Session, act: Act, site_id: UUID, noun: Noun, rows: Sequence[Entry], standing: dict[UUID, Stored]
) -> ImportOutcome:
    """Add and change the entries of one noun."""
    new = _named_first(noun, [row for row in rows if row.id not in standing])
    insert(session, noun, new)
    for row in new:
        act.log(noun, site_id, None, row, base_revision=0)
    differing = [row for row in rows if row.id in standing and row != standing[row.id].fields]
    for row in differing:
        before = standing[row.id]
        update(session, noun, row, revision=before.revision + 1)
        act.log(noun, site_id, before.fields, row, base_revision=before.revision)
    return ImportOutcome(len(new), len(differing), removed=0, unchanged=len(rows) - len(new) - len(differing))


def _remove(
    session: Session, act: Act, site_id: UUID, noun: Noun, rows: Sequence[Entry], standing: dict[UUID, Stored]
) -> int:
    kept = {row.id for row in rows}
    going = [row for entry_id, row in standing.items() if entry_id not in kept]
    delete(session, noun, [row.fields.id for row in going])
    for row in going:
        act.log(noun, site_id, row.fields, None, base_revision=row.revision)
    return len(going)


def _named_first(noun: Noun, rows: Sequence[Entry]) -> list[Entry]:
    """Put an entry that others of its noun name before them, as foreign keys want it."""
    chain = CHAINS.get(noun.plural)
    if chain is None:
        return list(rows)
    waiting = {row.id: row for row in rows}
    ordered: list[Entry] = []
    for row in rows:
        trail: list[Entry] = []
        here: Entry | None = waiting.get(row.id)
        while here is not None:
            trail.append(waiting.pop(here.id))
            here = waiting.get(getattr(here, chain))
        ordered.extend(reversed(trail))
    return ordered
