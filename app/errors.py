"""What goes wrong on the way in or out, as problem details (RFC 9457), each kind with its own address."""

import logging
from collections.abc import Mapping, Sequence
from typing import Any
from uuid import uuid4

from fastapi import FastAPI, Request, Response
from fastapi.exceptions import RequestValidationError
from fastapi.responses import JSONResponse
from pydantic import BaseModel, ConfigDict, Field
from sqlalchemy.exc import OperationalError
from starlette.exceptions import HTTPException

from app.headers import SAFE_HEADERS
from app.problem_kinds import BY_SLUG, ProblemKind
from geometry.errors import GeometryRefused
from reports.render import PaperRefused
from survey.faults import Fault, SurveyRefused, faults_of_findings
from survey.repository import NoSuchEntry, SequenceTaken

log = logging.getLogger(__name__)

MEDIA_TYPE = "application/problem+json"

_SLUG_OF_STATUS = {400: "unreadable-request", 404: "unknown-address", 405: "method-not-allowed"}
"""What the framework refuses by itself."""


class FaultDetail(BaseModel):
    """One fault of what was sent: where, what was expected there and what was found."""

    model_config = ConfigDict(from_attributes=True)

    path: str = Field(examples=["floors[0].outline[2]"])
    expected: str = Field(examples=["a finite number"])
    found: str = Field(examples=["NaN"])


class ProblemDetail(BaseModel):
    """A problem as RFC 9457 spells it, with a member of our own, `faults`."""

    type: str = Field(examples=["/problems/malformed-content"])
    title: str
    status: int
    detail: str
    instance: str = Field(description="A URN of this one occurrence; the log of the service has it too.")
    faults: list[FaultDetail] = Field(description="Empty where the content of the request is not what is wrong.")


class Problem(HTTPException):
    """A request that ends in a problem; raised below a route, it undoes what the request began."""

    def __init__(
        self,
        slug: str,
        detail: str,
        *,
        faults: Sequence[Fault] = (),
        headers: Mapping[str, str] | None = None,
        extra: Mapping[str, Any] | None = None,
    ) -> None:
        """Name the kind by its slug; `extra` adds members to the body, already plain JSON."""
        self.kind: ProblemKind = BY_SLUG[slug]
        self.faults = tuple(faults)
        self.extra = dict(extra or {})
        super().__init__(self.kind.status, detail, dict(headers or {}))


def malformed(*faults: Fault) -> Problem:
    """Give the refusal of content with these faults."""
    count = "One fault" if len(faults) == 1 else f"{len(faults)} faults"
    return Problem("malformed-content", f"{count}; nothing was stored.", faults=faults)


def problem_response(problem: Problem) -> JSONResponse:
    """Spell a problem, and log it under the instance that the caller sees."""
    instance = uuid4().urn
    log.info("%s %s %s: %s", problem.kind.status, problem.kind.slug, instance, problem.detail)
    return _spelled(problem, instance)


def add_error_handlers(app: FastAPI) -> None:
    """Make every refusal and failure of `app` come out as a problem."""
    app.exception_handler(HTTPException)(_on_http_exception)
    app.exception_handler(RequestValidationError)(_on_request_validation)
    app.exception_handler(SurveyRefused)(_on_survey_refused)
    app.exception_handler(NoSuchEntry)(_on_no_such_entry)
    app.exception_handler(SequenceTaken)(_on_sequence_taken)
    app.exception_handler(GeometryRefused)(_on_geometry_refused)
    app.exception_handler(PaperRefused)(_on_paper_refused)
    app.exception_handler(OperationalError)(_on_database_trouble)
    app.exception_handler(Exception)(_on_failure)


def told(problem: Problem) -> dict[str, Any]:
    """Spell a problem that comes to light in the middle of an answer, and log it."""
    instance = uuid4().urn
    log.info("in an answer: %s %s: %s", problem.kind.slug, instance, problem.detail)
    return _body(problem, instance)


def failed(error: Exception) -> dict[str, Any]:
    """Spell a failure that comes to light in the middle of an answer, and log what it was."""
    instance = uuid4().urn
    log.error("in an answer: internal-error %s", instance, exc_info=error)
    return _body(Problem("internal-error", "The log of the service says more."), instance)


def _spelled(problem: Problem, instance: str) -> JSONResponse:
    return JSONResponse(_body(problem, instance), problem.kind.status, problem.headers, media_type=MEDIA_TYPE)


def _body(problem: Problem, instance: str) -> dict[str, Any]:
    detail = ProblemDetail(
        type=problem.kind.uri,
        title=problem.kind.title,
        status=problem.kind.status,
        detail=problem.detail,
        instance=instance,
        faults=[FaultDetail.model_validate(fault) for fault in problem.faults],
    )
    return detail.model_dump(mode="json") | problem.extra


async def _on_http_exception(request: Request, error: HTTPException) -> Response:
    if isinstance(error, Problem):
        return problem_response(error)
    slug = _SLUG_OF_STATUS.get(error.status_code)
    if slug is None:
        return await _on_failure(request, error)
    return problem_response(Problem(slug, f"{request.method} {request.url.path}", headers=error.headers))


async def _on_request_validation(_request: Request, error: RequestValidationError) -> Response:
    return problem_response(malformed(*faults_of_findings(error.errors())))


async def _on_survey_refused(_request: Request, error: SurveyRefused) -> Response:
    return problem_response(malformed(*error.faults))


async def _on_no_such_entry(_request: Request, error: NoSuchEntry) -> Response:
    return problem_response(Problem("no-such-entry", f"There is no {error.entry_id} among {error.noun.plural}."))


async def _on_sequence_taken(_request: Request, error: SequenceTaken) -> Response:
    return problem_response(Problem("conflict", f"{error}, with other content."))


async def _on_geometry_refused(_request: Request, error: GeometryRefused) -> Response:
    return problem_response(Problem("cannot-be-assessed", str(error)))


async def _on_paper_refused(_request: Request, error: PaperRefused) -> Response:
    return problem_response(Problem("cannot-be-printed", str(error)))


async def _on_database_trouble(_request: Request, error: OperationalError) -> Response:
    instance = uuid4().urn
    log.error("503 not-ready %s", instance, exc_info=error)
    problem = Problem("not-ready", "The database did not take the request.", headers={"Retry-After": "5"})
    return _spelled(problem, instance)


async def _on_failure(request: Request, error: Exception) -> Response:
    instance = uuid4().urn
    log.error("500 internal-error %s: %s %s", instance, request.method, request.url.path, exc_info=error)
    # This answer is made outside the middleware that gives the others their headers.
    return _spelled(Problem("internal-error", "The log of the service says more.", headers=SAFE_HEADERS), instance)
