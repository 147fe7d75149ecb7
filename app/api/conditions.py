"""Conditional requests (RFC 9110, section 13): which state a caller has seen."""

import re
from typing import Annotated

from fastapi import Header

from app.errors import Problem, malformed
from survey.faults import Fault, shown

IfMatch = Annotated[
    str | None,
    Header(alias="If-Match", description="ETag of the revision that is to be changed; * says nothing and is refused."),
]
IfNoneMatch = Annotated[
    str | None, Header(alias="If-None-Match", description="ETag that is known already: then 304 and no body.")
]
IfAbsent = Annotated[
    str | None, Header(alias="If-None-Match", description="* to write only what is not there yet.", pattern=r"^\*$")
]

_TAG = re.compile(r'(W/)?"([\x21\x23-\x7e\x80-\xff]*)"')
_TAGS = re.compile(rf"\s*{_TAG.pattern}(?:\s*,\s*{_TAG.pattern})*\s*")


def etag(state: int | str) -> str:
    """Spell the entity tag of a revision number or a hash."""
    return f'"{state}"'


def is_known(if_none_match: str | None, current: str) -> bool:
    """Whether a reader has the current state already (weak comparison)."""
    if if_none_match is None:
        return False
    return if_none_match.strip() == "*" or current in _tags("If-None-Match", if_none_match, weak=True)


def is_current(if_match: str | None, current: str) -> bool:
    """Whether a writer has seen the current state (strong comparison).

    Raises
    ------
    Problem
        Where the writer does not say what was seen.
    """
    if if_match is None or if_match.strip() == "*":
        raise Problem("revision-required", "Send the ETag of what you have seen in an If-Match header.")
    return current in _tags("If-Match", if_match, weak=False)


def _tags(header: str, value: str, *, weak: bool) -> set[str]:
    if _TAGS.fullmatch(value) is None:
        raise malformed(Fault(f"header.{header}", 'an entity tag in double quotes, like "3"', shown(value)))
    return {etag(tag) for is_weak, tag in _TAG.findall(value) if weak or not is_weak}
