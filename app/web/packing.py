"""Smaller on the way: a page of half a megabyte takes a tenth of that over a bad link."""

import gzip
from typing import Final

from fastapi import Response

from app.api.conditions import etag, is_known

LEVEL: Final = 6


def takes_gzip(accept_encoding: str) -> bool:
    """Whether an Accept-Encoding header (RFC 9110, section 12.5.3) lets an answer be packed."""
    weights: dict[str, str] = {}
    for part in accept_encoding.lower().split(","):
        coding, _, parameter = part.partition(";")
        weights[coding.strip()] = parameter.strip().removeprefix("q=") or "1"
    weight = weights.get("gzip", weights.get("*", "0"))
    return weight.strip("0.") != ""


def packed(body: bytes) -> bytes:
    """Pack bytes; the same bytes always give the same."""
    return gzip.compress(body, LEVEL, mtime=0)


def chosen(
    body: bytes,
    smaller: bytes,
    digest: str,
    media_type: str,
    caching: str,
    accept_encoding: str,
    if_none_match: str | None,
) -> Response:
    """Answer with a body, or its packed form for a reader that takes it, or with 304 where the reader has it already.

    Parameters
    ----------
    smaller
        The packed form of `body`.
    digest
        Names the content of `body`; each form gets an entity tag of its own.
    caching
        The Cache-Control header.
    """
    pack = takes_gzip(accept_encoding)
    tag = etag(f"{digest}-gzip" if pack else digest)
    headers = {"ETag": tag, "Cache-Control": caching, "Vary": "Accept-Encoding"}
    if is_known(if_none_match, tag):
        return Response(status_code=304, headers=headers)
    if pack:
        headers["Content-Encoding"] = "gzip"
    return Response(smaller if pack else body, media_type=media_type, headers=headers)
