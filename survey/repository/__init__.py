"""Reading and writing the record; nothing here commits, so that one request or import is one transaction."""

from survey.repository.engine import make_engine
from survey.repository.records import Page, add, change, find, page, remove
from survey.repository.refusals import IdTaken, NoSuchEntry, SequenceTaken, StaleRevision
from survey.repository.rows import Stored
from survey.repository.sites import ImportOutcome, SiteSummary, export_survey, import_survey, list_sites

__all__ = [
    "IdTaken",
    "ImportOutcome",
    "NoSuchEntry",
    "Page",
    "SequenceTaken",
    "SiteSummary",
    "StaleRevision",
    "Stored",
    "add",
    "change",
    "export_survey",
    "find",
    "import_survey",
    "list_sites",
    "make_engine",
    "page",
    "remove",
]
