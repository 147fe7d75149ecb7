"""Problems as pages: what a program reads as problem details (RFC 9457), a person reads as a page."""

import json
from collections.abc import Awaitable, Callable, Mapping
from typing import Any

from fastapi import Request, Response
from starlette.datastructures import Headers, MutableHeaders
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from app.errors import MEDIA_TYPE
from app.headers import SAFE_HEADERS
from app.problem_kinds import BY_SLUG
from app.web.contexts import MessagePage
from app.web.rendering import Renderer

PROGRAMS = "/api/"


class ProblemPages:
    """Turn the problems that a browser would show as JSON into pages, status and other headers kept."""

    def __init__(self, app: ASGIApp, renderer: Renderer) -> None:
        """Wrap `app`."""
        self.app = app
        self.renderer = renderer

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass the request on, and hold back an answer that is a problem until it is whole."""
        if not _for_a_person(scope):
            await self.app(scope, receive, send)
            return
        start: Message | None = None
        body = b""

        async def send_page(message: Message) -> None:
            nonlocal start, body
            if message["type"] == "http.response.start" and _is_problem(message):
                start = message
            elif start is None:
                await send(message)
            else:
                body += message.get("body", b"")
                if not message.get("more_body", False):
                    page = self.renderer.html(page_of(json.loads(body))).encode()
                    headers = MutableHeaders(scope=start)
                    headers["content-type"] = "text/html; charset=utf-8"
                    headers["content-length"] = str(len(page))
                    await send(start)
                    await send({"type": "http.response.body", "body": page})

        await self.app(scope, receive, send_page)


Answer = Callable[[Request, Any], Response | Awaitable[Response]]


def failures_as_pages(answer: Answer, renderer: Renderer) -> Answer:
    """Wrap what answers where the service fails: that is outside of all middleware."""

    async def page_or_problem(request: Request, failure: Exception) -> Response:
        answered = answer(request, failure)
        problem = answered if isinstance(answered, Response) else await answered
        if not _for_a_person(request.scope):
            return problem
        page = renderer.response(page_of(json.loads(bytes(problem.body))), problem.status_code)
        page.headers.update(SAFE_HEADERS)
        return page

    return page_or_problem


def _for_a_person(scope: Scope) -> bool:
    if scope["type"] != "http" or scope["method"] == "HEAD" or scope["path"].startswith(PROGRAMS):
        return False
    return "text/html" in Headers(scope=scope).get("accept", "")


def _is_problem(message: Message) -> bool:
    return Headers(raw=message["headers"]).get("content-type", "").startswith(MEDIA_TYPE)


def page_of(problem: Mapping[str, Any]) -> MessagePage:
    """Word a problem."""
    kind = BY_SLUG[problem["type"].rpartition("/")[2]]
    faults = "; ".join(
        f"{fault['path']}: expected {fault['expected']}, found {fault['found']}" for fault in problem["faults"]
    )
    return MessagePage(
        title=problem["title"],
        message=f"{problem['detail']} {faults}".strip(),
        advice=kind.meaning,
        occurrence=problem["instance"] if kind.status >= 500 else "",
    )
