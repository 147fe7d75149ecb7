"""Whole sites as survey files: out, in, and the schema of the file."""

import json
import re
from functools import cache
from typing import Annotated
from uuid import UUID

from fastapi import APIRouter, Depends, Response
from pydantic import BaseModel, Field
from sqlalchemy.orm import Session

from app.api.bodies import json_bytes
from app.api.conditions import IfMatch, IfNoneMatch, etag, is_current, is_known
from app.deps import DatabaseDep, PersonDep, SettingsDep
from app.errors import Problem
from app.openapi import ETAG_HEADER, LOCATION_HEADER, Json, content, problems, request_body
from app.results import slug
from survey.bundle import dump, json_schema, parse, snapshot_sha256
from survey.repository import NoSuchEntry, export_survey, import_survey

JSON = "application/json"
_IN_FILE = "-InFile"


class ImportReport(BaseModel):
    """What an import did to the record of its site."""

    site_id: UUID
    added: int = Field(ge=0)
    changed: int = Field(ge=0)
    removed: int = Field(ge=0, description="Entries that were in the record and are not in the file.")
    unchanged: int = Field(ge=0)


def survey_router(components: dict[str, Json]) -> APIRouter:
    """Make the routes of the survey file, and add its schema to `components`."""
    taken = _file_component(components)
    router = APIRouter(tags=["survey file"])
    router.add_api_route(
        "/sites/{site_id}/survey",
        read_survey,
        methods=["GET"],
        operation_id="read_survey",
        response_class=Response,
        responses={
            200: content(JSON, taken, "The survey file."),
            304: {"description": "Known already.", "headers": ETAG_HEADER},
            **problems("no-such-entry", "malformed-content", "not-ready"),
        },
    )
    router.add_api_route(
        "/surveys",
        take_survey,
        methods=["POST"],
        operation_id="import_survey",
        status_code=201,
        response_model=ImportReport,
        responses={
            201: {"headers": ETAG_HEADER | LOCATION_HEADER},
            200: {"model": ImportReport, "description": "The site was here already.", "headers": ETAG_HEADER},
            **problems(
                "stale-revision",
                "revision-required",
                "too-large",
                "unsupported-media-type",
                "malformed-content",
                "not-ready",
            ),
        },
        openapi_extra=request_body(taken),
    )
    router.add_api_route(
        "/schema/survey",
        read_schema,
        methods=["GET"],
        operation_id="read_survey_schema",
        response_class=Response,
        responses={
            200: content("application/schema+json", {"type": "object"}, "JSON Schema, draft 2020-12.", headers={}),
            **problems(),
        },
    )
    return router


def read_survey(site_id: UUID, database: DatabaseDep, if_none_match: IfNoneMatch = None) -> Response:
    """Give a site as a survey file; its ETag is the hash that names this state of the record."""
    with database.reading() as session:
        survey = export_survey(session, site_id)
    tag = etag(snapshot_sha256(survey))
    if is_known(if_none_match, tag):
        return Response(status_code=304, headers={"ETag": tag})
    name = f"{slug(survey.site.name)}.survey.json"
    headers = {"ETag": tag, "Content-Disposition": f'attachment; filename="{name}"'}
    return Response(dump(survey), media_type=JSON, headers=headers)


def take_survey(
    database: DatabaseDep,
    settings: SettingsDep,
    person: PersonDep,
    body: Annotated[bytes, Depends(json_bytes)],
    response: Response,
    if_match: IfMatch = None,
) -> ImportReport:
    """Take a survey file and make the record of its site equal to it.

    A site that is here already and differs is only replaced under the ETag of its survey file, so that an older file
    does not wipe out entries that its sender has not seen.
    """
    survey = parse(body, max_bytes=settings.max_survey_bytes)
    tag = etag(snapshot_sha256(survey))
    with database.writing() as session:
        standing = _standing(session, survey.site.id)
        if standing not in (None, tag) and not is_current(if_match, str(standing)):
            raise Problem("stale-revision", "The site has changed since.", headers={"ETag": str(standing)})
        if standing is None and if_match is not None:
            raise Problem("stale-revision", "The site is not here (any more).")
        outcome = import_survey(session, survey, by=person)
    response.headers["ETag"] = tag
    if standing is None:
        response.headers["Location"] = f"/api/sites/{survey.site.id}"
    response.status_code = 201 if standing is None else 200
    return ImportReport(
        site_id=survey.site.id,
        added=outcome.added,
        changed=outcome.changed,
        removed=outcome.removed,
        unchanged=outcome.unchanged,
    )


def read_schema() -> Response:
    """Give the JSON Schema of the survey file."""
    return Response(_schema(), media_type="application/schema+json")


@cache
def _schema() -> bytes:
    return (json.dumps(json_schema(), ensure_ascii=False, indent=1) + "\n").encode()


def _file_component(components: dict[str, Json]) -> Json:
    """Add the schema of the file to `components`; in a file every entry has its id, so the parts are its own."""
    text = json.dumps(json_schema())
    schema: Json = json.loads(re.sub(r'"#/\$defs/([^"]+)"', rf'"#/components/schemas/\1{_IN_FILE}"', text))
    for name, inner in schema.pop("$defs").items():
        components[name + _IN_FILE] = inner
    components["Survey"] = {key: value for key, value in schema.items() if key not in ("$schema", "$id")}
    return {"$ref": "#/components/schemas/Survey"}


def _standing(session: Session, site_id: UUID) -> str | None:
    try:
        return etag(snapshot_sha256(export_survey(session, site_id)))
    except NoSuchEntry:
        return None
