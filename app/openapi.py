"""What the OpenAPI document says beyond what FastAPI reads off the routes."""

import json
from collections.abc import Mapping
from typing import Any

from fastapi import FastAPI
from pydantic import BaseModel

from app.errors import MEDIA_TYPE, ProblemDetail
from app.problem_kinds import BY_SLUG

Json = dict[str, Any]

INPUT = "-Input"
"""Ending of a component that says what is taken, where what is given has more fields or always has them all."""

ETAG_HEADER: Json = {
    "ETag": {
        "description": "Names this state; send it back in If-Match or If-None-Match.",
        "schema": {"type": "string"},
    }
}
LOCATION_HEADER: Json = {"Location": {"description": "Where the new entry is.", "schema": {"type": "string"}}}
LINK_HEADER: Json = {
    "Link": {"description": 'The next page, as rel="next" (RFC 8288); absent at the end.', "schema": {"type": "string"}}
}
_ALWAYS = ("internal-error",)


def problems(*slugs: str, schemas: Mapping[str, Json] | None = None) -> dict[int | str, Json]:
    """Give the `responses` of a route that may end in these problems; `schemas` extends the body of some."""
    responses: dict[int | str, Json] = {}
    for slug in (*slugs, *_ALWAYS):
        kind = BY_SLUG[slug]
        schema: Json = {"$ref": f"#/components/schemas/{ProblemDetail.__name__}"}
        if schemas and slug in schemas:
            schema = {"allOf": [schema, schemas[slug]]}
        said = responses.get(kind.status, {}).get("description")
        responses[kind.status] = {
            "description": f"{said}, or: {kind.title}" if said else kind.title,
            "content": {MEDIA_TYPE: {"schema": schema}},
        }
    return responses


def content(media_type: str, schema: Json, description: str, headers: Json | None = None) -> Json:
    """Give the response entry of a body that FastAPI does not make from a model."""
    return {
        "description": description,
        "content": {media_type: {"schema": schema}},
        "headers": headers if headers is not None else ETAG_HEADER,
    }


def request_body(schema: Json, media_type: str = "application/json") -> Json:
    """Give the `openapi_extra` of a route that reads its body itself."""
    return {"requestBody": {"required": True, "content": {media_type: {"schema": schema}}}}


def input_component(model: type[BaseModel], components: dict[str, Json]) -> Json:
    """Add what a model takes to `components`, and return a reference to it."""
    schema = model.model_json_schema(ref_template=f"#/components/schemas/{{model}}{INPUT}")
    for name, inner in schema.pop("$defs", {}).items():
        components[name + INPUT] = inner
    components[model.__name__ + INPUT] = schema
    return {"$ref": f"#/components/schemas/{model.__name__}{INPUT}"}


class Documented(FastAPI):
    """An application whose OpenAPI document also holds `components` that no model of a route brings along."""

    def __init__(self, **options: Any) -> None:
        """Pass `options` on to FastAPI."""
        super().__init__(**options)
        self.components: dict[str, Json] = {}

    def openapi(self) -> Json:
        """Give the document, made once."""
        if self.openapi_schema is None:
            document = super().openapi()
            schemas = document.setdefault("components", {}).setdefault("schemas", {})
            schemas.update(self.components)
            schemas.update(_with_inner(ProblemDetail))
            _say_absent_for_null(document)
            _drop_the_frameworks_own_refusal(document)
            self.openapi_schema = _without_twins(document)
        return self.openapi_schema


def _with_inner(model: type[BaseModel]) -> dict[str, Json]:
    schema = model.model_json_schema(mode="serialization", ref_template="#/components/schemas/{model}")
    return {**schema.pop("$defs", {}), model.__name__: schema}


def _say_absent_for_null(document: Json) -> None:
    """Take null from what a header or query may be: in an address or a header nothing can be null, only absent."""
    for path in document["paths"].values():
        for operation in path.values():
            for parameter in operation.get("parameters", ()):
                schema = parameter["schema"]
                kinds = [kind for kind in schema.get("anyOf", ()) if kind != {"type": "null"}]
                if len(kinds) == 1:
                    del schema["anyOf"]
                    schema.update(kinds[0])


def _drop_the_frameworks_own_refusal(document: Json) -> None:
    """Take out the 422 that FastAPI adds where a route names none, because then nothing about it can be malformed."""
    for path in document["paths"].values():
        for operation in path.values():
            if MEDIA_TYPE not in operation["responses"].get("422", {"content": {MEDIA_TYPE: {}}})["content"]:
                del operation["responses"]["422"]
    for name in ("HTTPValidationError", "ValidationError"):
        document["components"]["schemas"].pop(name, None)


def _without_twins(document: Json) -> Json:
    """Let a component for input that equals the one for output, as a list of words does, be that one."""
    schemas = document["components"]["schemas"]
    twins = [
        name for name in schemas if name.endswith(INPUT) and schemas.get(name.removesuffix(INPUT)) == schemas[name]
    ]
    text = json.dumps(document)
    for name in twins:
        text = text.replace(f'"#/components/schemas/{name}"', f'"#/components/schemas/{name.removesuffix(INPUT)}"')
    merged: Json = json.loads(text)
    for name in twins:
        del merged["components"]["schemas"][name]
    return merged
