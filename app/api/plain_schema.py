"""JSON Schema of the frozen dataclasses that `reports.assessment.as_json` turns into plain JSON.

The OpenAPI document takes it from here, so that what it says of an assessment is read off the classes themselves.
"""

import types
from collections.abc import Mapping, Sequence
from dataclasses import fields, is_dataclass
from datetime import date, datetime
from enum import Enum
from typing import Any, Literal, Union, get_args, get_origin, get_type_hints
from uuid import UUID

from shapely.geometry.base import BaseGeometry

Schema = dict[str, Any]

_SCALARS: dict[Any, Schema] = {
    str: {"type": "string"},
    bool: {"type": "boolean"},
    int: {"type": "integer"},
    float: {"type": "number"},
    type(None): {"type": "null"},
    UUID: {"type": "string", "format": "uuid"},
    datetime: {"type": "string", "format": "date-time"},
    date: {"type": "string", "format": "date"},
}

GEOMETRY: Schema = {
    "type": "object",
    "description": "A GeoJSON geometry (RFC 7946), but in metres from the floor's origin: x east, y north.",
    "required": ["type", "coordinates"],
    "properties": {
        "type": {"enum": ["Point", "MultiPoint", "LineString", "MultiLineString", "Polygon", "MultiPolygon"]},
        "coordinates": {"type": "array"},
    },
}


def component(kind: type, components: dict[str, Schema]) -> Schema:
    """Add the schema of a dataclass, and of all it holds, to `components`, and return a reference to it.

    Raises
    ------
    TypeError
        Where a field has a type that `as_json` has no plain form for.
    """
    name = kind.__name__
    if name not in components:
        components[name] = {}
        hints = get_type_hints(kind)
        own = [field.name for field in fields(kind)]
        components[name] = {
            "type": "object",
            "title": name,
            "description": (kind.__doc__ or "").strip(),
            "required": own,
            "properties": {field: schema_of(hints[field], components) for field in own},
            "additionalProperties": False,
        }
    return {"$ref": f"#/components/schemas/{name}"}


def schema_of(hint: Any, components: dict[str, Schema]) -> Schema:
    """Give the schema of one annotated type."""
    if hint in _SCALARS:
        return dict(_SCALARS[hint])
    origin, inner = get_origin(hint), get_args(hint)
    if origin in (Union, types.UnionType):
        return {"anyOf": [schema_of(part, components) for part in inner]}
    if origin is Literal:
        return {"enum": list(inner)}
    if origin is tuple and inner[-1] is not Ellipsis:
        parts = [schema_of(part, components) for part in inner]
        return {"type": "array", "prefixItems": parts, "minItems": len(parts), "maxItems": len(parts)}
    if origin in (tuple, list, frozenset, Sequence):
        return {"type": "array", "items": schema_of(inner[0], components)}
    if origin in (dict, Mapping):
        return {"type": "object", "additionalProperties": schema_of(inner[1], components)}
    if isinstance(hint, type):
        if issubclass(hint, BaseGeometry):
            return dict(GEOMETRY)
        if issubclass(hint, Enum):
            return {"enum": [member.value for member in hint]}
        if is_dataclass(hint):
            return component(hint, components)
    raise TypeError(f"{hint!r} has no plain JSON form")
