"""What comes in: bodies read strictly, so that what the OpenAPI document says is what is taken."""

from email.message import Message
from typing import Any, TypeVar
from uuid import UUID

from fastapi import Request
from pydantic import BaseModel, ValidationError
from pydantic_core import from_json, to_json

from app.errors import Problem, malformed
from survey.faults import DOCUMENT, Fault, faults_of, shown
from survey.json_text import oddities
from survey.tables.entry import Entry

JSON = "application/json"
E = TypeVar("E", bound=Entry)
M = TypeVar("M", bound=BaseModel)


async def json_bytes(request: Request) -> bytes:
    """Give the body of a request that says it is JSON; a size limit has been set around the whole application."""
    header = Message()
    header["content-type"] = request.headers.get("content-type", "")
    if header.get_content_type() != JSON or "content-type" not in request.headers:
        found = request.headers.get("content-type", "no Content-Type header")
        raise Problem("unsupported-media-type", f"Expected {JSON}, found {found}.", headers={"Accept": JSON})
    return await request.body()


def content_of(model: type[M], body: bytes) -> M:
    """Read a body as what it has to be: a whole entry, or a question."""
    try:
        content = model.model_validate_json(body, strict=True)
    except ValidationError as error:
        raise _refusal(error) from error
    if odd := oddities(body.decode()):
        raise malformed(*odd)
    return content


def patched(standing: E, body: bytes) -> E:
    """Read some fields of an entry, and give the entry with them in place of its own."""
    try:
        values = from_json(body)
    except ValueError as error:
        raise _unreadable(str(error)) from error
    if not isinstance(values, dict):
        raise malformed(Fault(DOCUMENT, "an object", shown(values)))
    if odd := oddities(body.decode()):
        raise malformed(*odd)
    whole: dict[str, Any] = standing.model_dump(mode="json") | values
    return content_of(type(standing), to_json(whole, inf_nan_mode="constants"))


def with_id(entry: E, entry_id: UUID) -> E:
    """Give the entry under the id of its address; one that says another id is malformed."""
    if "id" not in entry.model_fields_set:
        return entry.model_copy(update={"id": entry_id})
    if entry.id != entry_id:
        raise malformed(Fault("id", f"{entry_id}, as in the address, or none", str(entry.id)))
    return entry


def _refusal(error: ValidationError) -> Problem:
    faults = faults_of(error)
    if any(finding["type"] == "json_invalid" for finding in error.errors(include_url=False)):
        return _unreadable(faults[0].found)
    return malformed(*faults)


def _unreadable(reason: str) -> Problem:
    return Problem("unreadable-request", "The body is not JSON.", faults=[Fault(DOCUMENT, "JSON", reason)])
