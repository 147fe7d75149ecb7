"""What each command does; `cli.py` says how it is written."""

import argparse
import json
import socket
import sys
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager, suppress
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

from app.version import version

if TYPE_CHECKING:
    from app.db import Database
    from app.settings import Settings
    from survey.bundle import Survey

DONE, FAILED, BAD_INPUT = 0, 1, 2
DEMO_FOLDER = "demo"
LAST_ANSWERS_S = 10
"""So long a service that is stopped waits for answers it has begun."""


class StoppedError(Exception):
    """A command cannot go on; the message says why, one line per fault, and the status how it ends."""

    def __init__(self, status: int, why: str) -> None:
        super().__init__(why)
        self.status = status


def run(command: argparse.Namespace) -> int:
    """Do a command and return its exit status."""
    try:
        _COMMANDS[command.command](command)
    except StoppedError as stop:
        print(stop, file=sys.stderr)
        return stop.status
    return DONE


def _version(_: argparse.Namespace) -> None:
    print(f"drumwalk {version()}")


def _schema(command: argparse.Namespace) -> None:
    from survey.bundle import json_schema

    text = json.dumps(json_schema(), ensure_ascii=False, indent=2) + "\n"
    if command.out is None:
        sys.stdout.write(text)
        return
    try:
        command.out.write_text(text, encoding="utf-8")
    except OSError as refusal:
        expected = f"{command.out}: expected a file that can be written"
        raise StoppedError(BAD_INPUT, f"{expected}, found: {refusal.strerror}") from refusal


def _assess(command: argparse.Namespace) -> None:
    _refuse_folder_in_use(command.out)
    survey = _read_survey(command.file, max_bytes=_settings().max_survey_bytes)
    _write_results(survey, command.out, command)


def _demo(command: argparse.Namespace) -> None:
    from app.results import slug
    from seed_demo.loader import load_all, survey_files
    from survey.repository import export_survey

    # On this machine only, whatever the environment says: nobody asked for demo sites on a network.
    settings = _settings(host="127.0.0.1", **_given(command, "port"))
    sites = [_read_survey(file, max_bytes=settings.max_survey_bytes).site for file in survey_files()]
    folders = {site.id: (command.out or settings.data_dir / DEMO_FOLDER) / slug(site.name) for site in sites}
    for folder in folders.values():
        _refuse_folder_in_use(folder)
    with _open(settings) as database:
        with database.writing() as session:
            load_all(session)
        with database.reading() as session:
            surveys = [export_survey(session, site.id) for site in sites]
        print(f"{len(surveys)} demo sites are in {database.engine.url}", flush=True)
    for survey in surveys:
        _write_results(survey, folders[survey.site.id], command)
    if not command.no_serve:
        _run_service(settings)


def _serve(command: argparse.Namespace) -> None:
    _run_service(_settings(**_given(command, "host", "port")))


def _migrate(_: argparse.Namespace) -> None:
    with _open(_settings(migrate_on_start=True)) as database:
        print(f"up to date: {database.engine.url}")


def _given(command: argparse.Namespace, *names: str) -> dict[str, object]:
    """Give the options that were written, so that the environment decides the others."""
    return {name: value for name in names if (value := getattr(command, name)) is not None}


def _settings(**given: object) -> "Settings":
    from app.settings import SettingsRefused, load_settings

    try:
        return load_settings(**given)
    except SettingsRefused as refusal:
        raise StoppedError(BAD_INPUT, str(refusal)) from refusal


@contextmanager
def _open(settings: "Settings") -> "Iterator[Database]":
    from sqlalchemy import make_url
    from sqlalchemy.exc import DBAPIError

    from app.db import DatabaseRefused, open_database

    try:
        database = open_database(settings)
    except DatabaseRefused as refusal:
        raise StoppedError(FAILED, str(refusal)) from refusal
    except DBAPIError as failure:
        raise StoppedError(FAILED, f"{make_url(settings.database_address)}: {failure.orig}") from failure
    try:
        yield database
    finally:
        database.close()


def _read_survey(file: Path, *, max_bytes: int) -> "Survey":
    from survey.bundle import parse
    from survey.faults import DOCUMENT, Fault, SurveyRefused

    try:
        size = file.stat().st_size
        if size > max_bytes:
            raise StoppedError(BAD_INPUT, str(Fault(DOCUMENT, f"at most {max_bytes} bytes", f"{size} bytes")))
        with file.open("rb") as stream:
            data = stream.read(max_bytes + 1)  # what is no ordinary file does not tell its size before
    except OSError as refusal:
        raise StoppedError(BAD_INPUT, f"{file}: expected a survey file, found: {refusal.strerror}") from refusal
    try:
        return parse(data, max_bytes=max_bytes)
    except SurveyRefused as refusal:
        raise StoppedError(BAD_INPUT, str(refusal)) from refusal


def _refuse_folder_in_use(folder: Path) -> None:
    """Stop before the work where its results could not go."""
    from app.results import FolderRefused, refuse_unless_ours

    try:
        refuse_unless_ours(folder)
    except FolderRefused as refusal:
        raise StoppedError(BAD_INPUT, str(refusal)) from refusal


def _write_results(survey: "Survey", folder: Path, command: argparse.Namespace) -> None:
    """Assess a site, write its results, and say the worst of it and where they are."""
    from app.results import PREPLAN, FolderRefused, results, write_folder
    from reports.gather import gather
    from reports.render import PaperRefused

    print(f"assessing {survey.site.name} …", flush=True)
    as_of = command.as_of or date.today()  # noqa: DTZ011 (the day on the wall where this is run)
    facts = gather(survey, as_of=as_of)
    try:
        assessment, files = results(facts, paper=command.paper)
    except PaperRefused as refusal:
        raise StoppedError(FAILED, f"{refusal}; no results were written") from refusal
    try:
        write_folder(folder, files)
    except FolderRefused as refusal:
        raise StoppedError(BAD_INPUT, str(refusal)) from refusal
    except OSError as failure:
        raise StoppedError(FAILED, f"{folder}: {failure.strerror}; no results were written") from failure
    worst = assessment.worst.sentence if assessment.worst else "no finding"
    print(f"  worst: {worst}\n  pre-plan: {folder / PREPLAN}", flush=True)


def _run_service(settings: "Settings") -> None:
    import uvicorn

    from app.main import create_app

    with _open(settings):
        pass  # a database that is refused is said in a sentence here, not in the log of a service that fails to start
    with _listen(settings.host, settings.port) as place:
        print(f"serving on http://{settings.host}:{settings.port} until Ctrl-C", flush=True)
        server = uvicorn.Server(
            uvicorn.Config(create_app(settings), server_header=False, timeout_graceful_shutdown=LAST_ANSWERS_S)
        )
        with suppress(KeyboardInterrupt):
            server.run(sockets=[place])
    if not server.started:
        raise StoppedError(FAILED, "the service did not start; its own messages stand above")


def _listen(host: str, port: int) -> socket.socket:
    family = socket.AF_INET6 if ":" in host else socket.AF_INET
    try:
        return socket.create_server((host, port), family=family)
    except OSError as failure:
        raise StoppedError(FAILED, f"cannot listen on {host} port {port}: {failure.strerror}") from failure


_COMMANDS: Mapping[str, Callable[[argparse.Namespace], None]] = {
    "assess": _assess,
    "demo": _demo,
    "migrate": _migrate,
    "schema": _schema,
    "serve": _serve,
    "version": _version,
}
