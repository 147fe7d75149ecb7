"""Hypothesis strategies for whole valid surveys, read off the fields themselves so that no field is forgotten."""

import math
from collections.abc import Callable, Sequence
from datetime import UTC, date, timedelta, timezone
from enum import StrEnum
from functools import cache
from types import UnionType
from typing import Annotated, Any, Union, get_args, get_origin
from uuid import UUID, uuid5

import annotated_types
from hypothesis import strategies as st
from pydantic import AwareDatetime, BaseModel
from pydantic.fields import FieldInfo

from survey.bundle import Survey
from survey.nouns import NOUNS, Noun
from survey.references import CHAINS, REFERENCES
from survey.tables.entry import Entry
from survey.tables.floor import PipeFields
from survey.tables.shapes import closed_ring, closed_ring_or_none, extended_line

NAMESPACE = UUID("2b0d5a3e-7a51-4f7d-9d3c-1c8f0f6c7b11")
ZONES = (UTC, timezone(timedelta(hours=5, minutes=45)), timezone(timedelta(hours=-9)))
LAST_YEAR = 9999
CHARACTERS = st.characters(codec="utf-8", exclude_characters="\0")
metres = st.floats(-10_000, 10_000)
points = st.tuples(metres, metres)


@st.composite
def rings(draw: st.DrawFn) -> list[tuple[float, float]]:
    """Draw a star-shaped polygon, either way round."""
    x, y = draw(st.tuples(st.floats(-9_000, 9_000), st.floats(-9_000, 9_000)))
    corners = draw(st.integers(3, 7))
    radii = draw(st.lists(st.floats(0.1, 900), min_size=corners, max_size=corners))
    turn = draw(st.floats(0, 6))
    ring = [
        (
            x + radius * math.cos(turn + math.tau * step / corners),
            y + radius * math.sin(turn + math.tau * step / corners),
        )
        for step, radius in enumerate(radii)
    ]
    return ring if draw(st.booleans()) else ring[::-1]


lines = st.one_of(st.lists(points, min_size=1, max_size=1), st.lists(points, min_size=2, max_size=4, unique=True))
polylines = st.lists(points, min_size=2, max_size=4, unique=True)


@st.composite
def surveys(draw: st.DrawFn) -> Survey:
    """Draw a survey with every noun in it, references included."""
    drawn: dict[str, list[Entry]] = {}
    for noun in NOUNS:
        count = 1 if noun.parent is None else draw(st.integers(1, 2))
        rows: list[Entry] = drawn.setdefault(noun.plural, [])
        for place in range(count):
            # One by one, because an entry may name an earlier one of its noun.
            entry = draw(_entry(noun, place, drawn))
            rows.append(entry)
    site = drawn.pop("sites")[0]
    shuffled = {plural: draw(st.permutations(rows)) for plural, rows in drawn.items()}
    return Survey.model_validate({"site": site, **shuffled})


@st.composite
def _entry(draw: st.DrawFn, noun: Noun, place: int, drawn: dict[str, list[Entry]]) -> Entry:
    salt = draw(st.integers(0, 99))
    values: dict[str, Any] = {"id": uuid5(NAMESPACE, f"{noun.plural}/{place}/{salt}")}
    for reference in REFERENCES[noun.plural]:
        named = st.sampled_from([row.id for row in drawn[reference.target]]) if drawn[reference.target] else st.none()
        optional = not reference.goes_with_it or CHAINS.get(noun.plural) == reference.field
        values[reference.field] = draw(st.none() | named if optional else named)
    if noun.fields is PipeFields:
        values[draw(st.sampled_from(["to_sump_id", "to_drain_id"]))] = None
    for name, strategy in _fields(noun.fields).items():
        if name not in values:
            values[name] = draw(strategy)
    return noun.fields.model_validate(values)


def parts(kind: type[BaseModel]) -> st.SearchStrategy[BaseModel]:
    """Draw a part of an entry."""
    return st.builds(kind, **_fields(kind))


@cache
def _fields(kind: type[BaseModel]) -> dict[str, st.SearchStrategy[Any]]:
    return {name: _of(field.annotation, list(field.metadata)) for name, field in kind.model_fields.items()}


def _of(annotation: Any, bounds: list[Any]) -> st.SearchStrategy[Any]:
    """Draw values of an annotated type within its bounds."""
    origin = get_origin(annotation)
    if origin is Annotated:
        kind, *more = get_args(annotation)
        return _of(kind, [*bounds, *more])
    if origin in (Union, UnionType):
        return st.one_of([_of(kind, bounds) for kind in get_args(annotation)])
    if origin is list:
        return _list(get_args(annotation)[0], bounds)
    if origin is tuple:
        return st.tuples(*(_of(kind, []) for kind in get_args(annotation)))
    if isinstance(annotation, type) and issubclass(annotation, StrEnum):
        return st.sampled_from(annotation)
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return parts(annotation)
    return _SCALARS[annotation](_flat(bounds))


def _list(kind: Any, bounds: list[Any]) -> st.SearchStrategy[Any]:
    checks = {getattr(bound, "func", None) for bound in bounds}
    least = max((bound.min_length for bound in _flat(bounds) if isinstance(bound, annotated_types.MinLen)), default=0)
    if closed_ring in checks:
        return rings()
    if closed_ring_or_none in checks:
        return rings() | st.just([])
    if extended_line in checks:
        return {0: lines | st.just([]), 1: lines, 2: polylines}[least]
    return st.lists(_of(kind, []), max_size=3)


def _flat(bounds: Sequence[Any]) -> list[Any]:
    return [inner for bound in bounds for inner in (bound.metadata if isinstance(bound, FieldInfo) else [bound])]


def _text(bounds: list[Any]) -> st.SearchStrategy[str]:
    patterns = [bound.pattern for bound in bounds if getattr(bound, "pattern", None) is not None]
    if patterns:
        return st.from_regex(patterns[0], fullmatch=True)
    least = max((bound.min_length for bound in bounds if isinstance(bound, annotated_types.MinLen)), default=0)
    most = min((bound.max_length for bound in bounds if isinstance(bound, annotated_types.MaxLen)), default=20)
    return st.text(CHARACTERS, min_size=least, max_size=min(most, 20))


def _bounds(bounds: list[Any]) -> tuple[Any, Any, Any, Any]:
    found = {
        name: [getattr(bound, name) for bound in bounds if hasattr(bound, name)] for name in ("ge", "gt", "le", "lt")
    }
    return tuple(values[0] if values else None for values in found.values())  # type: ignore[return-value]


def _number(bounds: list[Any]) -> st.SearchStrategy[float]:
    least, above, most, below = _bounds(bounds)
    return st.floats(
        least if above is None else above,
        most if below is None else below,
        exclude_min=above is not None,
        exclude_max=below is not None,
        allow_nan=False,
        allow_infinity=False,
        allow_subnormal=False,
    )


def _whole(bounds: list[Any]) -> st.SearchStrategy[int]:
    least, _, most, _ = _bounds(bounds)
    return st.integers(least, most)


_SCALARS: dict[Any, Callable[[list[Any]], st.SearchStrategy[Any]]] = {
    str: _text,
    float: _number,
    int: _whole,
    bool: lambda _: st.booleans(),
    date: lambda _: st.dates(),
    # The first and last year may lie outside the calendar in UTC.
    AwareDatetime: lambda _: st.datetimes(timezones=st.sampled_from(ZONES)).filter(lambda at: 1 < at.year < LAST_YEAR),
    UUID: lambda _: st.uuids(),
    type(None): lambda _: st.none(),
}
