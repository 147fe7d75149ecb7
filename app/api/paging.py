"""Pages by key: each names the entry it follows, so entries that come and go between pages shift nothing."""

from collections.abc import Sequence
from typing import Any
from urllib.parse import urlencode
from uuid import UUID

from fastapi import Request
from fastapi.responses import JSONResponse
from pydantic import BaseModel, ConfigDict, Field, create_model

from app.settings import Settings
from survey.nouns import Noun


class PageQuery(BaseModel):
    """What every list takes; a name that is not known is refused, because a filter left out would give too much."""

    model_config = ConfigDict(extra="forbid")

    after: UUID | None
    limit: int


def query_of(noun: Noun, settings: Settings) -> type[PageQuery]:
    """Give the query of the list of a noun: which parent, after which entry, how many."""
    own: dict[str, Any] = {}
    if noun.parent is not None:
        own[noun.parent] = (UUID | None, Field(default=None, description="Only what belongs to this entry."))
    return create_model(
        f"{noun.table.__name__}Query",
        __base__=PageQuery,
        after=(UUID | None, Field(default=None, description="The last id of the page before.")),
        limit=limit_field(settings),
        **own,
    )


def limit_field(settings: Settings) -> Any:
    """Give the definition of a query's `limit`."""
    return (int, Field(default=settings.page_size, ge=1, le=settings.page_size_max, description="Entries at most."))


def page_of(model: type[BaseModel]) -> type[BaseModel]:
    """Give the shape of a page of `model`."""
    return create_model(
        f"{model.__name__}Page",
        items=(list[model], Field(description="In the order of their ids.")),  # type: ignore[valid-type]
        next=(str | None, Field(description="Address of the next page; null at the end.")),
    )


def page_response(request: Request, items: Sequence[Any], next_after: UUID | int | None) -> JSONResponse:
    """Spell a page, with the way to the next one in the body and in the Link header."""
    if next_after is None:
        return JSONResponse({"items": items, "next": None})
    others = [(name, value) for name, value in request.query_params.multi_items() if name != "after"]
    following = f"{request.url.path}?{urlencode([*others, ('after', str(next_after))])}"
    return JSONResponse({"items": items, "next": following}, headers={"Link": f'<{following}>; rel="next"'})
