"""An assessment as plain JSON values."""

import json
from dataclasses import fields, is_dataclass
from datetime import date
from enum import Enum
from typing import Any
from uuid import UUID

from shapely import to_geojson
from shapely.geometry.base import BaseGeometry


def as_json(value: Any) -> Any:
    """Turn an assessment, or any part of it, into plain JSON values.

    Shapes become GeoJSON geometry; an enumeration becomes its value; numbers keep full precision.
    """
    if is_dataclass(value) and not isinstance(value, type):
        return {field.name: as_json(getattr(value, field.name)) for field in fields(value)}
    if isinstance(value, BaseGeometry):
        return json.loads(to_geojson(value))
    if isinstance(value, Enum):
        return value.value
    if isinstance(value, tuple | list | frozenset):
        return [as_json(item) for item in (sorted(value) if isinstance(value, frozenset) else value)]
    if isinstance(value, dict):
        return {str(key): as_json(item) for key, item in value.items()}
    if isinstance(value, UUID | date):
        return value.isoformat() if isinstance(value, date) else str(value)
    return value
