"""What wraps every request: a limit on what comes in, and headers on what goes out."""

from collections.abc import Callable

from starlette.datastructures import Headers, MutableHeaders
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from app.errors import Problem, problem_response
from app.headers import SAFE_HEADERS

_LONGEST_LENGTH = 18
"""Digits of a Content-Length that is still worth reading as a number."""


class SafeHeaders:
    """Send the same protective headers with every answer; one that an answer sets itself stays."""

    def __init__(self, app: ASGIApp) -> None:
        """Wrap `app`."""
        self.app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass the request on and add the headers where the answer begins."""
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return

        async def send_with_headers(message: Message) -> None:
            if message["type"] == "http.response.start":
                headers = MutableHeaders(scope=message)
                for name, value in SAFE_HEADERS.items():
                    headers.setdefault(name, value)
            await send(message)

        await self.app(scope, receive, send_with_headers)


class HeadAsGet:
    """Answer HEAD as GET without its body, which RFC 9110 (section 9.1) asks of every server."""

    def __init__(self, app: ASGIApp) -> None:
        """Wrap `app`."""
        self.app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass a HEAD request on as GET and keep back what follows the headers."""
        if scope["type"] != "http" or scope["method"] != "HEAD":
            await self.app(scope, receive, send)
            return

        async def send_without_body(message: Message) -> None:
            if message["type"] == "http.response.start":
                await send(message)
            elif not message.get("more_body", False):
                await send({"type": "http.response.body", "body": b""})

        await self.app({**scope, "method": "GET"}, receive, send_without_body)


class BodyLimit:
    """Refuse a body larger than its address takes, by its announced length or as soon as too much has arrived."""

    def __init__(self, app: ASGIApp, limit_for: Callable[[str], int]) -> None:
        """Wrap `app`; `limit_for` gives the limit of a path [bytes]."""
        self.app = app
        self.limit_for = limit_for

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass the request on, counting the bytes that come in."""
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        limit = self.limit_for(scope["path"])
        announced = Headers(scope=scope).get("content-length", "")
        if announced.isdecimal() and (len(announced) > _LONGEST_LENGTH or int(announced) > limit):
            await problem_response(_too_large(limit, announced))(scope, receive, send)
            return
        arrived = 0

        async def receive_counting() -> Message:
            nonlocal arrived
            message = await receive()
            arrived += len(message.get("body", b""))
            if arrived > limit:
                # Raised inside the route, so it comes back as a problem through the handlers of the application.
                raise _too_large(limit, f"{arrived} or more")
            return message

        await self.app(scope, receive_counting, send)


def _too_large(limit: int, found: str) -> Problem:
    return Problem("too-large", f"At most {limit} bytes are taken here, and {found} were sent.")
