"""What a route may ask for."""

from datetime import date
from typing import Annotated
from urllib.parse import unquote

from fastapi import Depends, Header, Request

from app.answers import Answers
from app.db import Database
from app.errors import malformed
from app.jobs import Jobs
from app.settings import Settings
from survey.changes import Origin
from survey.faults import Fault, shown

UNNAMED_DEVICE = "unnamed client"
UNNAMED_PERSON = "not named"
LONGEST_NAME = 200


def _settings(request: Request) -> Settings:
    settings: Settings = request.app.state.settings
    return settings


def _database(request: Request) -> Database:
    database: Database = request.app.state.database
    return database


def _answers(request: Request) -> Answers:
    return Answers(request.app.state.database, request.app.state.jobs)


def today() -> date:
    """Give the day on the clock of this machine; a test puts another one in its place."""
    return date.today()  # noqa: DTZ011 (the day on the wall where the service stands)


SettingsDep = Annotated[Settings, Depends(_settings)]
DatabaseDep = Annotated[Database, Depends(_database)]


def _what_if_jobs(request: Request) -> Jobs:
    jobs: Jobs = request.app.state.what_if_jobs
    return jobs


AnswersDep = Annotated[Answers, Depends(_answers)]
WhatIfJobsDep = Annotated[Jobs, Depends(_what_if_jobs)]
"""Workers of their own, so that a paper in the making does not hold up a question."""
TodayDep = Annotated[date, Depends(today)]


def _person(
    changed_by: Annotated[
        str | None,
        Header(alias="Changed-By", description="Name of the person who makes the change, in percent-encoded UTF-8."),
    ] = None,
) -> str:
    return _name("Changed-By", changed_by, UNNAMED_PERSON)


PersonDep = Annotated[str, Depends(_person)]
"""Who changes something, for the log of changes."""


def _origin(
    person: PersonDep,
    device: Annotated[
        str | None,
        Header(alias="Device", description="Name of the tablet or program that writes, in percent-encoded UTF-8."),
    ] = None,
    device_sequence: Annotated[
        int | None,
        Header(
            alias="Device-Sequence",
            ge=1,
            le=2**31 - 1,
            description="Running number of this change on that device; a number is taken once. Needs Device.",
        ),
    ] = None,
) -> Origin:
    if device_sequence is not None and device is None:
        raise malformed(Fault("header.Device", "a value beside Device-Sequence", "nothing"))
    return Origin(
        device=_name("Device", device, UNNAMED_DEVICE),
        by=person,
        device_seq=device_sequence,
    )


def _name(header: str, value: str | None, absent: str) -> str:
    if value is None:
        return absent
    try:
        name = unquote(value, errors="strict").strip()
    except UnicodeDecodeError:
        raise malformed(Fault(f"header.{header}", "percent-encoded UTF-8", shown(value))) from None
    if not name or len(name) > LONGEST_NAME or not name.isprintable():
        expected = f"1 to {LONGEST_NAME} printable characters"
        raise malformed(Fault(f"header.{header}", expected, shown(name)))
    return name


OriginDep = Annotated[Origin, Depends(_origin)]
"""Who changes something, on which device, for the log of changes."""
