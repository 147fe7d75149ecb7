"""The kinds of problem this service answers with; each has an address that explains it."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class ProblemKind:
    """One kind of problem: the last part of its address, its status, its title and what to do about it."""

    slug: str
    status: int
    title: str
    meaning: str

    @property
    def uri(self) -> str:
        """Address of the kind: a path, which RFC 9457 section 3.1.1 asks of a relative one."""
        return f"/problems/{self.slug}"


KINDS: tuple[ProblemKind, ...] = (
    ProblemKind(
        "unreadable-request",
        400,
        "The request cannot be read",
        "The body is not JSON in UTF-8, or the request is not written as HTTP wants it. Nothing was stored.",
    ),
    ProblemKind(
        "unknown-address",
        404,
        "There is nothing at this address",
        "No page and no part of the interface answers here.",
    ),
    ProblemKind(
        "no-such-entry",
        404,
        "There is no such entry",
        "The record holds no entry of this kind with this id. If one was deleted, the log of changes says by whom.",
    ),
    ProblemKind(
        "method-not-allowed",
        405,
        "This address does not take this method",
        "The Allow header of the answer names the methods it does take.",
    ),
    ProblemKind(
        "conflict",
        409,
        "The record already holds something else",
        "The id, or the place in a device's own sequence, is taken by different content. Nothing was stored.",
    ),
    ProblemKind(
        "cannot-be-assessed",
        409,
        "The record holds something that cannot be worked on",
        "What is recorded has no sensible answer, as a floor too large to be mapped has none. Nothing was lost; the "
        "detail names what to correct.",
    ),
    ProblemKind(
        "cannot-be-printed",
        409,
        "The pre-plan does not fit its paper",
        "What is recorded is too long for the first page, which has to stand alone. Nothing was lost; the assessment "
        "and the maps can be read, and the detail says what to shorten.",
    ),
    ProblemKind(
        "stale-revision",
        412,
        "Somebody changed this in the meantime",
        "The condition in If-Match or If-None-Match does not hold. Nothing was stored. For an entry the answer carries "
        "the current one, so that both versions can be looked at and the change sent again on top of it.",
    ),
    ProblemKind(
        "too-large",
        413,
        "The body is larger than this service takes",
        "The limits are settings of the service. Nothing was stored.",
    ),
    ProblemKind(
        "unsupported-media-type",
        415,
        "The body is not of a kind this address takes",
        "The Content-Type header must say application/json.",
    ),
    ProblemKind(
        "malformed-content",
        422,
        "The content is malformed",
        "The request can be read but is not what this address takes; each fault says where, what was expected and what "
        "was found. Nothing was stored. What is merely implausible is stored as seen and flagged in the assessment.",
    ),
    ProblemKind(
        "no-answer",
        422,
        "The question has no answer",
        "What is asked about cannot be: a hole larger than its drum, a drum without liquid, a place inside a wall. The "
        "detail says what was expected. Nothing is stored by a question.",
    ),
    ProblemKind(
        "busy",
        503,
        "Too many questions at once",
        "This service follows only so many questions at a time. Ask again in a moment.",
    ),
    ProblemKind(
        "revision-required",
        428,
        "Say which revision you have seen",
        "A change of something that exists must carry its ETag in an If-Match header, so that no entry is overwritten "
        "unseen.",
    ),
    ProblemKind(
        "internal-error",
        500,
        "The service failed",
        "This is a fault of the service; its log has it under the instance given. What the request began was undone.",
    ),
    ProblemKind(
        "not-ready",
        503,
        "The service is not ready",
        "The database does not answer, is busy, or is not up to date. Nothing was stored; send the request again.",
    ),
)
BY_SLUG: dict[str, ProblemKind] = {kind.slug: kind for kind in KINDS}
