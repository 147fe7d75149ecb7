"""The record over HTTP: for each noun the same six routes, each with the shapes of that noun."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Annotated, Any, TypeVar
from uuid import UUID

from fastapi import APIRouter, Depends, Query, Request, Response
from fastapi.responses import JSONResponse
from pydantic import BaseModel, Field, create_model
from sqlalchemy.orm import Session

from app.api.bodies import content_of, json_bytes, patched, with_id
from app.api.conditions import IfAbsent, IfMatch, IfNoneMatch, etag, is_current, is_known
from app.api.paging import PageQuery, page_of, page_response, query_of
from app.deps import DatabaseDep, OriginDep
from app.errors import Problem
from app.openapi import ETAG_HEADER, LINK_HEADER, LOCATION_HEADER, Json, input_component, problems, request_body
from app.settings import Settings
from survey.changes import Origin
from survey.nouns import Noun
from survey.repository import IdTaken, NoSuchEntry, StaleRevision, Stored, records
from survey.tables.entry import Entry

T = TypeVar("T")
Body = Annotated[bytes, Depends(json_bytes)]
_TAKES_BODY = ("unreadable-request", "too-large", "unsupported-media-type", "malformed-content", "not-ready")


@dataclass(frozen=True, slots=True)
class Shapes:
    """What the routes of one noun take and give."""

    given: type[BaseModel]
    page: type[BaseModel]
    query: type[PageQuery]
    taken: Json
    """Reference to the schema of a whole entry."""
    taken_in_part: Json
    """Reference to the schema of some fields of an entry."""


def noun_router(noun: Noun, settings: Settings, components: dict[str, Json]) -> APIRouter:
    """Make the routes of a noun, and add the schemas of what they take to `components`."""
    shapes = shapes_of(noun, settings, components)
    router = APIRouter(prefix=f"/{noun.plural}", tags=[noun.plural.replace("_", " ")])
    for add in (_add_list, _add_read, _add_create, _add_put, _add_change, _add_delete):
        add(router, noun, shapes)
    return router


def shapes_of(noun: Noun, settings: Settings, components: dict[str, Json]) -> Shapes:
    """Make the shapes of a noun out of its fields."""
    given = create_model(
        f"{noun.table.__name__}Entry",
        __base__=noun.fields,
        __doc__=noun.fields.__doc__,
        revision=(int, Field(ge=1, description="Counts the changes; the ETag header spells it.")),
    )
    # An entry that is given has every field, those that have a default when it is taken too.
    given.model_config["json_schema_serialization_defaults_required"] = True
    taken = input_component(noun.fields, components)
    part = f"{noun.fields.__name__}InPart"
    components[part] = _in_part(components[taken["$ref"].rsplit("/", 1)[1]], part)
    return Shapes(
        given=given,
        page=page_of(given),
        query=query_of(noun, settings),
        taken=taken,
        taken_in_part={"$ref": f"#/components/schemas/{part}"},
    )


def _in_part(whole: Json, title: str) -> Json:
    """Give a schema in which nothing is required and nothing absent gets a default."""
    fields = {
        name: {key: value for key, value in field.items() if key != "default"}
        for name, field in whole["properties"].items()
    }
    return {**whole, "title": title, "properties": fields, "required": []}


def _add_list(router: APIRouter, noun: Noun, shapes: Shapes) -> None:
    def list_entries(request: Request, database: DatabaseDep, query: PageQuery) -> Response:
        parent_id = getattr(query, noun.parent) if noun.parent else None
        with database.reading() as session:
            page = records.page(session, noun, parent_id=parent_id, after=query.after, limit=query.limit)
        return page_response(request, [_plain(stored) for stored in page.items], page.next_after)

    # The model is made for this noun, so it cannot stand in the signature above.
    list_entries.__annotations__["query"] = Annotated[shapes.query, Query()]
    router.add_api_route(
        "",
        list_entries,
        methods=["GET"],
        operation_id=f"list_{noun.plural}",
        summary=f"List {_words(noun)} by id",
        response_model=shapes.page,
        responses={200: {"headers": LINK_HEADER}, **problems("malformed-content", "not-ready")},
    )


def _add_read(router: APIRouter, noun: Noun, shapes: Shapes) -> None:
    def read_entry(entry_id: UUID, database: DatabaseDep, if_none_match: IfNoneMatch = None) -> Response:
        with database.reading() as session:
            stored = records.find(session, noun, entry_id)
        if is_known(if_none_match, etag(stored.revision)):
            return Response(status_code=304, headers={"ETag": etag(stored.revision)})
        return _entry_response(stored)

    router.add_api_route(
        "/{entry_id}",
        read_entry,
        methods=["GET"],
        operation_id=f"read_{noun.plural}",
        summary=f"Read one of {_words(noun)}",
        response_model=shapes.given,
        responses={
            200: {"headers": ETAG_HEADER},
            304: {"description": "Known already.", "headers": ETAG_HEADER},
            **problems("no-such-entry", "malformed-content", "not-ready"),
        },
    )


def _add_create(router: APIRouter, noun: Noun, shapes: Shapes) -> None:
    def create_entry(database: DatabaseDep, origin: OriginDep, body: Body) -> Response:
        entry = content_of(noun.fields, body)
        with database.writing() as session:
            standing = _standing(session, noun, entry.id)
            if standing is not None and standing.fields == entry:
                return _entry_response(standing)
            return _created(_add(session, noun, entry, origin))

    router.add_api_route(
        "",
        create_entry,
        methods=["POST"],
        operation_id=f"create_{noun.plural}",
        summary=f"Add to {_words(noun)}",
        status_code=201,
        response_model=shapes.given,
        responses={
            201: {"headers": ETAG_HEADER | LOCATION_HEADER},
            200: {"model": shapes.given, "description": "This very entry is there already.", "headers": ETAG_HEADER},
            **problems("conflict", *_TAKES_BODY),
        },
        openapi_extra=request_body(shapes.taken),
    )


def _add_put(router: APIRouter, noun: Noun, shapes: Shapes) -> None:
    def put_entry(
        entry_id: UUID,
        database: DatabaseDep,
        origin: OriginDep,
        body: Body,
        if_match: IfMatch = None,
        if_none_match: IfAbsent = None,
    ) -> Response:
        entry = with_id(content_of(noun.fields, body), entry_id)
        with database.writing() as session:
            standing = _standing(session, noun, entry_id)
            if standing is not None and standing.fields == entry:
                return _entry_response(standing)
            if (standing is None and if_match is not None) or (standing is not None and if_none_match is not None):
                raise _stale(standing)
            if standing is None:
                return _created(_add(session, noun, entry, origin))
            return _entry_response(_change(session, standing, entry, if_match, origin))

    router.add_api_route(
        "/{entry_id}",
        put_entry,
        methods=["PUT"],
        operation_id=f"put_{noun.plural}",
        summary=f"Write one of {_words(noun)} whole, new or over the revision named in If-Match",
        response_model=shapes.given,
        responses={
            200: {"headers": ETAG_HEADER},
            201: {"model": shapes.given, "description": "Added.", "headers": ETAG_HEADER | LOCATION_HEADER},
            **_change_problems(shapes, "conflict", *_TAKES_BODY),
        },
        openapi_extra=request_body(shapes.taken),
    )


def _add_change(router: APIRouter, noun: Noun, shapes: Shapes) -> None:
    def change_entry(
        entry_id: UUID, database: DatabaseDep, origin: OriginDep, body: Body, if_match: IfMatch = None
    ) -> Response:
        with database.writing() as session:
            standing = records.find(session, noun, entry_id)
            entry = patched(standing.fields, body)
            if entry == standing.fields:
                return _entry_response(standing)
            return _entry_response(_change(session, standing, entry, if_match, origin))

    router.add_api_route(
        "/{entry_id}",
        change_entry,
        methods=["PATCH"],
        operation_id=f"change_{noun.plural}",
        summary=f"Change some fields of one of {_words(noun)}",
        response_model=shapes.given,
        responses={
            200: {"headers": ETAG_HEADER},
            **_change_problems(shapes, "no-such-entry", "conflict", *_TAKES_BODY),
        },
        openapi_extra=request_body(shapes.taken_in_part),
    )


def _add_delete(router: APIRouter, noun: Noun, shapes: Shapes) -> None:
    def delete_entry(entry_id: UUID, database: DatabaseDep, origin: OriginDep, if_match: IfMatch = None) -> Response:
        with database.writing() as session:
            standing = records.find(session, noun, entry_id)
            if not is_current(if_match, etag(standing.revision)):
                raise _stale(standing)
            _or_stale(lambda: records.remove(session, noun, entry_id, standing.revision, origin))
        return Response(status_code=204)

    router.add_api_route(
        "/{entry_id}",
        delete_entry,
        methods=["DELETE"],
        operation_id=f"delete_{noun.plural}",
        summary=f"Delete one of {_words(noun)} and all that belongs to it",
        status_code=204,
        responses=_change_problems(shapes, "no-such-entry", "conflict", "malformed-content", "not-ready"),
    )


def _standing(session: Session, noun: Noun, entry_id: UUID) -> Stored | None:
    try:
        return records.find(session, noun, entry_id)
    except NoSuchEntry:
        return None


def _add(session: Session, noun: Noun, entry: Entry, origin: Origin) -> Stored:
    try:
        return records.add(session, noun, entry, origin)
    except IdTaken as taken:
        raise Problem("conflict", f"{taken}, with other content.") from taken


def _change(session: Session, standing: Stored, entry: Entry, if_match: str | None, origin: Origin) -> Stored:
    if not is_current(if_match, etag(standing.revision)):
        raise _stale(standing)
    return _or_stale(
        lambda: records.change(session, standing.noun, standing.fields.id, entry, standing.revision, origin)
    )


def _or_stale(write: Callable[[], T]) -> T:
    """Do a write that may find, once it holds the lock, that another was faster."""
    try:
        return write()
    except StaleRevision as stale:
        raise _stale(stale.standing) from stale


def _stale(standing: Stored | None) -> Problem:
    """Give the refusal of a change to what stands now; None is an entry that is not there."""
    if standing is None:
        return Problem("stale-revision", "The entry is not there (any more).", extra={"current": None})
    return Problem(
        "stale-revision",
        f"The current revision is {standing.revision}.",
        headers={"ETag": etag(standing.revision)},
        extra={"current": _plain(standing)},
    )


def _created(stored: Stored) -> JSONResponse:
    response = _entry_response(stored, status=201)
    response.headers["Location"] = f"/api/{stored.noun.plural}/{stored.fields.id}"
    return response


def _entry_response(stored: Stored, status: int = 200) -> JSONResponse:
    return JSONResponse(_plain(stored), status, {"ETag": etag(stored.revision)})


def _plain(stored: Stored) -> dict[str, Any]:
    return stored.fields.model_dump(mode="json") | {"revision": stored.revision}


def _words(noun: Noun) -> str:
    return noun.plural.replace("_", " ")


def _change_problems(shapes: Shapes, *slugs: str) -> dict[int | str, Json]:
    current: Json = {
        "type": "object",
        "required": ["current"],
        "properties": {
            "current": {"anyOf": [{"$ref": f"#/components/schemas/{shapes.given.__name__}"}, {"type": "null"}]}
        },
    }
    return problems("stale-revision", "revision-required", *slugs, schemas={"stale-revision": current})
