"""Ways to fill a record over HTTP: the smallest valid body of each noun, its ancestors, and what is stored."""

from collections.abc import Mapping
from typing import Any
from uuid import uuid4

import sqlalchemy as sa
from fastapi import FastAPI
from fastapi.testclient import TestClient
from httpx import Response

from survey.nouns import BY_PLURAL, NOUNS
from survey.references import table_of, table_of_class
from survey.tables.change import Change
from tests.builders import rectangle

PARENTS = {"site_id": "sites", "floor_id": "floors", "pallet_id": "pallets", "reading_id": "readings"}
COMMON = {"recorded_at": "2026-03-02T09:30:00Z", "recorded_by": "R. Example", "source": "seen"}
_RING = [list(corner) for corner in rectangle(1, 1, 4, 3)]

SMALLEST: Mapping[str, Mapping[str, Any]] = {
    "sites": {"name": "Example store", "operator": "Example Ltd", "address": "1 Example Road"},
    "contacts": {"role": "operator", "name": "A. Example", "phone": "+00 000 0001"},
    "access_points": {"kind": "gate", "name": "North gate", "where": "Example Road"},
    "utilities": {"kind": "gas", "shut_off": "Beside the north gate"},
    "water_supplies": {"kind": "hydrant", "name": "H1"},
    "protection_systems": {"kind": "sprinkler"},
    "impairments": {"what": "Pump out of order"},
    "kit_items": {"kind": "absorbent", "place": "site", "name": "Clay granules", "quantity": 4},
    "walkthroughs": {"on": "2026-03-02", "outcome": "partial"},
    "floors": {"name": "Ground floor", "outline": [[0, 0], [20, 0], [20, 10], [0, 10]]},
    "outdoor_surfaces": {"name": "Yard", "outline": _RING},
    "walls": {"name": "W1", "line": [[0, 5], [20, 5]]},
    "doors": {"name": "D1", "kind": "roller door", "line": [[2, 0], [5, 0]]},
    "bunds": {"name": "B1", "outline": _RING, "height_mm": 100},
    "sumps": {"name": "S1", "at": [3, 3]},
    "drains": {"name": "G1", "kind": "gully", "line": [[4, 4]]},
    "pipes": {"name": "P1"},
    "levels": {"at": [1, 1], "level_mm": 12},
    "racks": {"name": "R1", "outline": _RING},
    "heat_sources": {"name": "Heater", "kind": "unit heater", "at": [1, 9]},
    "water_ingress": {"name": "Roof valley", "line": [[0, 8], [20, 8]]},
    "storage_zones": {"name": "A", "outline": _RING},
    "sheet_products": {"name": "Example blend 7"},
    "pallets": {"name": "A-01", "at": [2, 2], "position_source": "tapped"},
    "readings": {"author": "R. Example", "taken_at": "2026-03-02T09:30:00Z"},
    "drums": {"name": "A-01-1"},
    "photos": {"sha256": "ab" * 32, "media_type": "image/jpeg"},
}


class Record:
    """A client of the interface that knows what each noun needs."""

    def __init__(self, client: TestClient) -> None:
        self.client = client
        self._ancestors: dict[str, str] = {}

    def body(self, plural: str, **fields: Any) -> dict[str, Any]:
        """Give a valid body below ancestors that exist afterwards, the same each time; `fields` win, a parent too."""
        parent = BY_PLURAL[plural].parent
        body = {"id": str(uuid4()), **COMMON, **SMALLEST[plural]}
        if parent is not None:
            body[parent] = fields[parent] if parent in fields else self._ancestor(PARENTS[parent])
        if plural == "pipes":
            below = {"floor_id": body["floor_id"]}
            body |= {"from_sump_id": self.add("sumps", **below)["id"], "to_drain_id": self.add("drains", **below)["id"]}
        return body | fields

    def _ancestor(self, plural: str) -> str:
        if plural not in self._ancestors:
            self._ancestors[plural] = self.add(plural)["id"]
        return self._ancestors[plural]

    def add(self, plural: str, **fields: Any) -> dict[str, Any]:
        """Add an entry and give what the interface says of it."""
        response = self.put(plural, self.body(plural, **fields))
        assert response.status_code == 201, response.text
        added: dict[str, Any] = response.json()
        return added

    def put(self, plural: str, body: Mapping[str, Any], **headers: str) -> Response:
        response: Response = self.client.put(f"/api/{plural}/{body['id']}", json=body, headers=headers)
        return response

    def rows(self) -> dict[str, int]:
        """Count what the database holds, the log of changes with it."""
        app = self.client.app
        assert isinstance(app, FastAPI)
        tables = {noun.plural: table_of(noun) for noun in NOUNS} | {"changes": table_of_class(Change)}
        with app.state.database.reading() as session:
            return {
                name: session.execute(sa.select(sa.func.count()).select_from(table)).scalar_one()
                for name, table in tables.items()
            }
