"""One spelling for each value, so that what is stored, exported and hashed is the same everywhere."""

from datetime import UTC, datetime

from pydantic_core import PydanticCustomError


def one_spelling(value: object) -> object:
    """Give `value` as it is stored: times in UTC, no negative zero, no character a database refuses.

    Raises
    ------
    PydanticCustomError
        Where a text or a time has no such spelling.
    """
    if isinstance(value, float):
        # SQLite gives -0.0 back as 0.0.
        return value + 0.0
    if type(value) is str:
        return _storable(value)
    if isinstance(value, datetime):
        return _in_utc(value)
    if isinstance(value, list):
        return [one_spelling(item) for item in value]
    if isinstance(value, tuple):
        return tuple(one_spelling(item) for item in value)
    return value


def _storable(text: str) -> str:
    if "\0" in text:
        # PostgreSQL keeps no NUL in a text.
        raise PydanticCustomError("text", "text holds a NUL character", {"expected": "text without NUL characters"})
    try:
        text.encode()
    except UnicodeEncodeError as error:
        raise PydanticCustomError("text", "text is not Unicode", {"expected": "text that is valid Unicode"}) from error
    return text


def _in_utc(moment: datetime) -> datetime:
    try:
        return moment.astimezone(UTC)
    except OverflowError as error:
        raise PydanticCustomError(
            "moment", "time is out of range in UTC", {"expected": "a time within the years 1 to 9999 in UTC"}
        ) from error
