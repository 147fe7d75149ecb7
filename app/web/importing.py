"""A survey file that comes through the form: taken, refused with its faults, or asked about first."""

from dataclasses import dataclass
from typing import Final
from uuid import UUID

from sqlalchemy.orm import Session

from app.db import Database
from app.deps import UNNAMED_PERSON
from app.web.contexts import FaultRow, Link, Refusal, Replacement
from reports.wording import listed
from survey.bundle import Survey, parse, snapshot_sha256
from survey.faults import SurveyRefused
from survey.repository import ImportOutcome, NoSuchEntry, export_survey, import_survey

LONGEST_NAME: Final = 120


@dataclass(frozen=True, slots=True)
class Taken:
    """The file is in the record."""

    site_id: UUID
    outcome: ImportOutcome


def take(
    database: Database, data: bytes, *, file_name: str, seen: str, max_bytes: int
) -> Taken | Refusal | Replacement:
    """Take a survey file in, unless it is malformed or would replace a state of its site that nobody was told about.

    Parameters
    ----------
    seen
        Hash of the standing record whose replacement was agreed to; empty where nothing was agreed to.
    """
    name = file_name[:LONGEST_NAME] or "a file without a name"
    try:
        survey = parse(data, max_bytes=max_bytes)
        with database.writing() as session:
            standing = _standing(session, survey.site.id)
            if standing in ("", snapshot_sha256(survey), seen):
                return Taken(survey.site.id, import_survey(session, survey, by=UNNAMED_PERSON))
            return Replacement(
                file_name=name,
                site=Link(survey.site.name, f"/sites/{survey.site.id}"),
                changes=_tried(session, survey),
                seen=standing,
            )
    except SurveyRefused as refusal:
        return Refusal(name, tuple(FaultRow(fault.path, fault.expected, fault.found) for fault in refusal.faults))


def _standing(session: Session, site_id: UUID) -> str:
    """Give the hash of the site as it stands, empty where it is not here."""
    try:
        return snapshot_sha256(export_survey(session, site_id))
    except NoSuchEntry:
        return ""


def _tried(session: Session, survey: Survey) -> str:
    """Say what an import would do, and leave nothing of it."""
    trial = session.begin_nested()
    outcome = import_survey(session, survey, by=UNNAMED_PERSON)
    trial.rollback()
    return said(outcome)


def said(outcome: ImportOutcome) -> str:
    """Word what an import does to the entries of a record."""
    counts = ((outcome.added, "added"), (outcome.changed, "changed"), (outcome.removed, "removed"))
    told = [f"{count:,} {verb}" for count, verb in counts if count]
    if not told:
        return "nothing changes"
    return f"{listed(told)}; {outcome.unchanged:,} as before" if outcome.unchanged else listed(told)
