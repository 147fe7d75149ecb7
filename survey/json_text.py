"""The first look at a survey file: is it JSON, said once, of our format, and of a version we read?"""

import json
import math
from collections.abc import Iterator
from typing import Any, NoReturn

from survey.faults import DOCUMENT, Fault, SurveyRefused, path_of, shown

LONGEST_NUMBER = 400
"""Digits; longer ones cost quadratic time to read and mean nothing here."""


class _KeysTwice(dict[str, Any]):
    """An object of which some keys were said more than once."""

    twice: tuple[str, ...] = ()


def read_object(data: bytes, *, max_bytes: int, format_: str, version: int) -> tuple[str, dict[str, Any]]:
    """Give the text and the content of a JSON object that says it is `format_` in a version up to `version`.

    Raises
    ------
    SurveyRefused
        Where the bytes are too many, not UTF-8, not JSON as RFC 8259 has it (NaN, Infinity), say a key of an object
        twice, or belong to another format or a newer version.
    """
    if len(data) > max_bytes:
        _refuse(DOCUMENT, f"at most {max_bytes} bytes", f"{len(data)} bytes")
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        _refuse(DOCUMENT, "UTF-8 text", f"byte 0x{data[error.start]:02x} at offset {error.start}")
    document, faults = _load(text)
    if not isinstance(document, dict):
        _refuse(DOCUMENT, "a JSON object", shown(document))
    _check_kind(document, format_, version)
    if faults:
        raise SurveyRefused(faults)
    return text, document


def oddities(text: str) -> list[Fault]:
    """Find what Python reads in a JSON text and others may read otherwise: numbers not finite, keys said twice."""
    return _load(text)[1]


def _load(text: str) -> tuple[object, list[Fault]]:
    try:
        document = json.loads(text, parse_int=_whole_number, object_pairs_hook=_object)
        return document, list(_oddities(document, ()))
    except json.JSONDecodeError as error:
        _refuse(DOCUMENT, "JSON", f"{error.msg} at line {error.lineno}, column {error.colno}")
    except RecursionError:
        _refuse(DOCUMENT, "JSON nested a few levels deep", "hundreds of levels")


def _whole_number(digits: str) -> int:
    if len(digits) > LONGEST_NUMBER:
        _refuse(DOCUMENT, f"numbers of at most {LONGEST_NUMBER} digits", f"one of {len(digits)}")
    return int(digits)


def _object(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    fields = dict(pairs)
    if len(fields) == len(pairs):
        return fields
    names = [name for name, _ in pairs]
    marked = _KeysTwice(fields)
    marked.twice = tuple(name for name in fields if names.count(name) > 1)
    return marked


def _oddities(value: object, place: tuple[str | int, ...]) -> Iterator[Fault]:
    """Find what Python reads and RFC 8259 has not: numbers that are not finite, keys said twice."""
    if isinstance(value, float) and not math.isfinite(value):
        yield Fault(path_of(place), "a finite number", shown(value))
    elif isinstance(value, dict):
        if isinstance(value, _KeysTwice):
            yield from (Fault(path_of((*place, name)), "a key said once", "it more than once") for name in value.twice)
        for name, inner in value.items():
            yield from _oddities(inner, (*place, name))
    elif isinstance(value, list):
        for index, inner in enumerate(value):
            yield from _oddities(inner, (*place, index))


def _check_kind(document: dict[str, Any], format_: str, version: int) -> None:
    if document.get("format") != format_:
        _refuse("format", shown(format_), shown(document["format"]) if "format" in document else "nothing")
    if "version" not in document:
        _refuse("version", str(version), "nothing")
    said = document["version"]
    if type(said) is int and said > version:
        _refuse("version", f"{version} or earlier", f"{said}, written by a newer edition of this program")
    if type(said) is not int or said < 1:
        _refuse("version", str(version), shown(said))


def _refuse(path: str, expected: str, found: str) -> NoReturn:
    raise SurveyRefused([Fault(path, expected, found)])
