"""What the record of a site means, for screens and on paper."""

import hashlib
from datetime import date
from typing import Annotated
from uuid import UUID

from fastapi import APIRouter, Query, Response

from app.api.conditions import IfNoneMatch, etag, is_known
from app.api.plain_schema import component
from app.deps import AnswersDep, TodayDep
from app.errors import Problem
from app.openapi import ETAG_HEADER, Json, content, problems
from app.work import assessment_json, floor_map_svg, preplan_pdf, zone_map_svg
from reports.assessment import Assessment
from reports.render import Paper
from survey.bundle import Survey

JSON = "application/json"
PDF = "application/pdf"
SVG = "image/svg+xml"
AsOf = Annotated[date | None, Query(description="The day to judge as on; today where none is named.")]
PaperSize = Annotated[Paper, Query(description="The size of the paper.")]

_SVG_HEADERS = {"Content-Security-Policy": "default-src 'none'; style-src 'unsafe-inline'; frame-ancestors 'none'"}
"""A drawing opened by itself brings its style along, and needs nothing else."""


def assessment_router(components: dict[str, Json]) -> APIRouter:
    """Make the routes, and add the schema of an assessment to `components`."""
    router = APIRouter(prefix="/sites/{site_id}", tags=["assessment"])
    binary: Json = {"type": "string", "format": "binary"}
    drawing: Json = {"type": "string", "contentMediaType": SVG}
    for path, endpoint, answer, *refusals in (
        ("/assessment", read_assessment, content(JSON, component(Assessment, components), "The assessment.")),
        ("/preplan.pdf", read_preplan, content(PDF, binary, "The pre-plan."), "cannot-be-printed"),
        ("/floors/{floor_id}/map.svg", read_floor_map, content(SVG, drawing, "The map of the floor.")),
        ("/storage_zones/{zone_id}/map.svg", read_zone_map, content(SVG, drawing, "The map of the storage zone.")),
    ):
        router.add_api_route(
            path,
            endpoint,
            methods=["GET"],
            operation_id=endpoint.__name__,
            response_class=Response,
            responses={
                200: answer,
                304: {"description": "Known already.", "headers": ETAG_HEADER},
                **problems("no-such-entry", "cannot-be-assessed", *refusals, "malformed-content", "not-ready"),
            },
        )
    return router


async def read_assessment(
    site_id: UUID,
    answers: AnswersDep,
    today: TodayDep,
    as_of: AsOf = None,
    if_none_match: IfNoneMatch = None,
) -> Response:
    """Give what is found at a site, ranked, with the reason and source of each finding."""
    made = await answers.about(site_id, as_of or today, assessment_json)
    return _response(made, JSON, if_none_match)


async def read_preplan(
    site_id: UUID,
    answers: AnswersDep,
    today: TodayDep,
    paper: PaperSize = "A4",
    as_of: AsOf = None,
    if_none_match: IfNoneMatch = None,
) -> Response:
    """Give the pre-plan of a site as PDF."""
    made = await answers.about(site_id, as_of or today, preplan_pdf, paper)
    return _response(made, PDF, if_none_match, {"Content-Disposition": 'inline; filename="preplan.pdf"'})


async def read_floor_map(
    site_id: UUID,
    floor_id: UUID,
    answers: AnswersDep,
    today: TodayDep,
    as_of: AsOf = None,
    if_none_match: IfNoneMatch = None,
) -> Response:
    """Give the map of a floor as SVG."""

    def refuse_stranger(survey: Survey) -> None:
        if all(floor.id != floor_id for floor in survey.floors):
            raise Problem("no-such-entry", f"The site has no floor {floor_id}.")

    made = await answers.about(site_id, as_of or today, floor_map_svg, floor_id, check=refuse_stranger)
    return _response(made, SVG, if_none_match, _SVG_HEADERS)


async def read_zone_map(
    site_id: UUID,
    zone_id: UUID,
    answers: AnswersDep,
    today: TodayDep,
    as_of: AsOf = None,
    if_none_match: IfNoneMatch = None,
) -> Response:
    """Give the map of a storage zone as SVG."""

    def refuse_stranger(survey: Survey) -> None:
        if all(zone.id != zone_id for zone in survey.storage_zones):
            raise Problem("no-such-entry", f"The site has no storage zone {zone_id}.")

    made = await answers.about(site_id, as_of or today, zone_map_svg, zone_id, check=refuse_stranger)
    return _response(made, SVG, if_none_match, _SVG_HEADERS)


def _response(
    made: bytes, media_type: str, if_none_match: str | None, headers: dict[str, str] | None = None
) -> Response:
    tag = etag(hashlib.sha256(made).hexdigest()[:32])
    if is_known(if_none_match, tag):
        return Response(status_code=304, headers={"ETag": tag})
    return Response(made, media_type=media_type, headers={"ETag": tag, **(headers or {})})
