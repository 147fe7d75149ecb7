"""Brings the demo sites into a database; bringing them twice changes nothing."""

from pathlib import Path

from sqlalchemy.orm import Session

from survey.bundle import parse
from survey.repository import ImportOutcome, import_survey

MAX_FILE_BYTES = 4 * 1024 * 1024
"""Far above the largest demo file, far below what would be a mistake."""
BY = "demo sites"


def survey_files() -> tuple[Path, ...]:
    """Give the survey files of the demo sites, in the order of their names."""
    return tuple(sorted(Path(__file__).parent.glob("*.json")))


def load_all(session: Session) -> tuple[ImportOutcome, ...]:
    """Import every demo site and say what each import changed."""
    return tuple(
        import_survey(session, parse(file.read_bytes(), max_bytes=MAX_FILE_BYTES), by=BY) for file in survey_files()
    )
