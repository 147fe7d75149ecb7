"""The log of changes, to read."""

from datetime import datetime
from typing import Annotated, Any
from uuid import UUID

from fastapi import APIRouter, Query, Request, Response
from pydantic import BaseModel, ConfigDict, Field, create_model

from app.api.paging import limit_field, page_response
from app.deps import DatabaseDep
from app.openapi import LINK_HEADER, problems
from app.settings import Settings
from survey.repository.history import changes_after
from survey.vocabulary import ChangeKind

LARGEST_NUMBER = 2**53 - 1
"""What every reader of JSON can hold; no log gets near it."""


class ChangeEntry(BaseModel):
    """One entry written once, by which device, from what to what."""

    model_config = ConfigDict(from_attributes=True)

    number: int = Field(description="The order in which changes arrived, and the only order there is.")
    received_at: datetime
    device: str
    device_seq: int
    by: str
    site_id: UUID
    noun: str
    entry_id: UUID
    kind: ChangeKind
    base_revision: int = Field(description="The revision that was replaced; 0 for an entry that was not there.")
    before: dict[str, Any] | None = Field(description="The fields that differ, as they were; all of a removed entry.")
    after: dict[str, Any] | None = Field(description="The fields that differ, as written; all of an added entry.")


class ChangePage(BaseModel):
    """A page of the log, oldest first."""

    items: list[ChangeEntry]
    next: str | None = Field(description="Address of the next page; null at the end.")


class ChangeQuery(BaseModel):
    """What the log is asked; every part may be left out."""

    model_config = ConfigDict(extra="forbid")

    site_id: UUID | None = None
    entry_id: UUID | None = None
    after: int = Field(default=0, ge=0, le=LARGEST_NUMBER, description="The last number of the page before.")
    limit: int


def change_router(settings: Settings) -> APIRouter:
    """Make the route of the log."""

    def list_changes(request: Request, database: DatabaseDep, query: ChangeQuery) -> Response:
        with database.reading() as session:
            found = changes_after(
                session,
                after=query.after,
                limit=query.limit + 1,
                site_id=query.site_id,
                entry_id=query.entry_id,
            )
            shown = [ChangeEntry.model_validate(change) for change in found[: query.limit]]
        next_after = shown[-1].number if len(found) > query.limit else None
        return page_response(request, [change.model_dump(mode="json") for change in shown], next_after)

    # The limits are settings, so the model is made here and cannot stand in the signature above.
    query_model = create_model("ChangeListQuery", __base__=ChangeQuery, limit=limit_field(settings))
    list_changes.__annotations__["query"] = Annotated[query_model, Query()]
    router = APIRouter(tags=["changes"])
    router.add_api_route(
        "/changes",
        list_changes,
        methods=["GET"],
        operation_id="list_changes",
        summary="List the changes of the record, oldest first",
        response_model=ChangePage,
        responses={200: {"headers": LINK_HEADER}, **problems("malformed-content", "not-ready")},
    )
    return router
