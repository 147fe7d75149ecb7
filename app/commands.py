"""What each command does; `cli.py` says how it is written."""

import argparse
import json
import sys
import tomllib
from collections.abc import Callable, Mapping
from datetime import date

from app.bootstrap import ROOT

DONE, FAILED, BAD_INPUT = 0, 1, 2


def run(command: argparse.Namespace) -> int:
    """Do a command and return its exit status."""
    return _COMMANDS[command.command](command)


def version() -> str:
    """Give the version that the project states of itself."""
    with (ROOT / "pyproject.toml").open("rb") as file:
        return str(tomllib.load(file)["project"]["version"])


def _version(_: argparse.Namespace) -> int:
    print(f"drumwalk {version()}")
    return DONE


def _schema(command: argparse.Namespace) -> int:
    from survey.bundle import json_schema

    text = json.dumps(json_schema(), ensure_ascii=False, indent=2) + "\n"
    if command.out is None:
        sys.stdout.write(text)
        return DONE
    try:
        command.out.write_text(text, encoding="utf-8")
    except OSError as refusal:
        return _refuse(f"{command.out}: expected a file that can be written, found: {refusal.strerror}")
    return DONE


def _assess(command: argparse.Namespace) -> int:
    from app.results import FolderRefused, refuse_unless_ours, results, write_folder
    from app.settings import SettingsRefused, load_settings
    from reports.gather import gather
    from survey.bundle import parse
    from survey.faults import SurveyRefused

    try:
        refuse_unless_ours(command.out)
        survey = parse(command.file.read_bytes(), max_bytes=load_settings().max_survey_bytes)
    except OSError as refusal:
        return _refuse(f"{command.file}: expected a survey file, found: {refusal.strerror}")
    except (SettingsRefused, SurveyRefused, FolderRefused) as refusal:
        return _refuse(str(refusal))
    facts = gather(survey, as_of=command.as_of or date.today())  # noqa: DTZ011 (the day on the wall here)
    assessment, files = results(facts, paper=command.paper)
    try:
        write_folder(command.out, files)
    except FolderRefused as refusal:
        return _refuse(str(refusal))
    except OSError as failure:
        print(f"{command.out}: {failure.strerror}; nothing was written", file=sys.stderr)
        return FAILED
    worst = assessment.worst.sentence if assessment.worst else "no finding"
    print(f"{assessment.site}: {len(assessment.findings)} findings; worst: {worst}")
    print(f"written: {command.out}")
    return DONE


def _refuse(faults: str) -> int:
    print(faults, file=sys.stderr)
    return BAD_INPUT


_COMMANDS: Mapping[str, Callable[[argparse.Namespace], int]] = {
    "version": _version,
    "schema": _schema,
    "assess": _assess,
}
