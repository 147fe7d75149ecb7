"""The OpenAPI document says what is so: checked by its own meta-schema, and by schemathesis against the answers."""

import json
from collections import Counter
from collections.abc import Iterator, Mapping
from typing import Any

import pytest
import schemathesis
from fastapi import FastAPI
from fastapi.testclient import TestClient
from hypothesis import HealthCheck, Phase, given, settings
from schemathesis.core.result import Ok
from schemathesis.generation import GenerationMode
from schemathesis.openapi import from_asgi
from schemathesis.schemas import APIOperation
from schemathesis.specs.openapi.checks import positive_data_acceptance

from app.openapi import INPUT
from app.problem_kinds import BY_SLUG
from survey.nouns import BY_PLURAL, NOUNS
from survey.references import REFERENCES
from tests.app.record import Record

MEDIA_TYPE = "application/problem+json"
WRITES_OVER = ("PUT", "PATCH", "DELETE")
METHODS_OF_A_NOUN = {"": {"get", "post"}, "/{entry_id}": {"get", "put", "patch", "delete"}}
# A reference to an entry that is not there, or a revision that nobody has, fits every schema and is refused.
NOT_SAID_BY_A_SCHEMA: list[Any] = [positive_data_acceptance]
Operation = APIOperation[Any, Any, Any, Any]
Case = schemathesis.Case[Any]
# Left out of the fuzz, because each of its answers takes seconds; test_api_assessments.py asks for papers.
SLOW = ("/preplan.pdf",)


@pytest.fixture
def document(client: TestClient) -> dict[str, Any]:
    response = client.get("/api/openapi.json")
    assert response.status_code == 200
    document: dict[str, Any] = response.json()
    return document


def operations(document: Mapping[str, Any]) -> Iterator[tuple[str, str, Mapping[str, Any]]]:
    for path, methods in document["paths"].items():
        for method, operation in methods.items():
            yield path, method, operation


def test_every_noun_has_its_six_routes_and_shapes(document: dict[str, Any]) -> None:
    for noun in NOUNS:
        for ending, methods in METHODS_OF_A_NOUN.items():
            assert set(document["paths"][f"/api/{noun.plural}{ending}"]) == methods
        taken = document["components"]["schemas"][noun.fields.__name__ + INPUT]
        given_back = document["components"]["schemas"][f"{noun.table.__name__}Entry"]
        assert set(taken["properties"]) == set(noun.fields.model_fields)
        assert set(given_back["required"]) == {*noun.fields.model_fields, "revision"}
        assert taken["additionalProperties"] is False
        in_part = document["components"]["schemas"][f"{noun.fields.__name__}InPart"]
        assert set(in_part["properties"]) == set(taken["properties"])
        assert in_part["required"] == []


def test_every_reference_leads_somewhere_and_every_component_is_used(document: dict[str, Any]) -> None:
    named = Counter(_references(document))
    assert {reference.removeprefix("#/components/schemas/") for reference in named} == set(
        document["components"]["schemas"]
    )


def test_every_operation_says_its_problems(document: dict[str, Any]) -> None:
    for path, method, operation in operations(document):
        where = f"{method} {path}"
        assert "500" in operation["responses"], where
        assert all(
            set(response["content"]) == {MEDIA_TYPE}
            for status, response in operation["responses"].items()
            if int(status) >= 400
        ), where
        if method in ("post", "put", "patch"):
            assert {"400", "413", "415", "422"} <= {*operation["responses"], *(("400",) if "survey" in path else ())}
        if method in ("put", "patch", "delete"):
            assert {"412", "428"} <= set(operation["responses"]), where
            assert "If-Match" in [parameter["name"] for parameter in operation["parameters"]], where
    statuses = {int(status) for _, _, operation in operations(document) for status in operation["responses"]}
    unsaid = {kind.status for kind in BY_SLUG.values()} - statuses
    assert unsaid == {405}  # what an address does not take stands in no operation


def test_entity_tags_and_binary_bodies_are_described(document: dict[str, Any]) -> None:
    for noun in NOUNS:
        one = document["paths"][f"/api/{noun.plural}/{{entry_id}}"]
        for method, status in (("get", "200"), ("get", "304"), ("put", "200"), ("put", "201"), ("patch", "200")):
            assert "ETag" in one[method]["responses"][status]["headers"]
    paper = document["paths"]["/api/sites/{site_id}/preplan.pdf"]["get"]["responses"]["200"]
    assert paper["content"] == {"application/pdf": {"schema": {"type": "string", "format": "binary"}}}


def test_no_header_and_no_query_is_said_to_be_null(document: dict[str, Any]) -> None:
    schemas = [
        parameter["schema"] for _, _, operation in operations(document) for parameter in operation.get("parameters", ())
    ]
    assert len(schemas) > len(NOUNS)
    assert "null" not in json.dumps(schemas)


def test_operations_have_names_of_their_own(document: dict[str, Any]) -> None:
    names = [operation["operationId"] for _, _, operation in operations(document)]
    assert len(set(names)) == len(names) > 6 * len(NOUNS)


@pytest.mark.parametrize("address", ["/docs", "/redoc", "/api/docs", "/openapi.json"])
def test_no_page_that_loads_scripts_from_elsewhere(address: str, client: TestClient) -> None:
    assert client.get(address).status_code == 404


@pytest.mark.slow
@pytest.mark.parametrize(("mode", "examples"), [(GenerationMode.POSITIVE, 1), (GenerationMode.NEGATIVE, 1)])
def test_answers_are_as_documented(mode: GenerationMode, examples: int, app: FastAPI, record: Record) -> None:
    """Every operation, with what its schema allows and with what it forbids.

    No server error, no status, media type, header or body that the document does not name, and nothing malformed
    taken. What is well-formed is sent again about entries that exist, at a stale revision and at the current one.
    """
    asked: Counter[int] = Counter()
    for result in from_asgi("/api/openapi.json", app).get_all_operations():
        assert isinstance(result, Ok), result.err()
        operation = result.ok()
        if operation.path.endswith(SLOW) or (mode is GenerationMode.NEGATIVE and not _can_be_malformed(operation)):
            continue
        _ask(operation, mode, examples, record, asked)
    assert {200, 201, 204, 404, 412, 422} <= set(asked) if mode is GenerationMode.POSITIVE else {422} <= set(asked)


def _ask(operation: Operation, mode: GenerationMode, examples: int, record: Record, asked: Counter[int]) -> None:
    @settings(
        max_examples=examples,
        derandomize=True,
        database=None,
        deadline=None,
        phases=[Phase.generate],
        suppress_health_check=list(HealthCheck),
    )
    @given(case=operation.as_strategy(generation_mode=mode))
    def ask(case: Case) -> None:
        _send(case, asked)
        if mode is GenerationMode.POSITIVE and _told_of_what_exists(case, record):
            if case.method in WRITES_OVER:
                case.headers["If-Match"] = '"0"'
                _send(case, asked)
                case.headers["If-Match"] = '"1"'
            _send(case, asked)

    ask()


def _send(case: Case, asked: Counter[int]) -> None:
    response = case.call()
    asked[response.status_code] += 1
    case.validate_response(response, excluded_checks=NOT_SAID_BY_A_SCHEMA)


def _told_of_what_exists(case: Case, record: Record) -> bool:
    """Put the ids of entries in the record in the place of random ones; False where the case is about no entry."""
    parts = case.operation.path.split("/")
    if len(parts) < 3 or parts[2] not in BY_PLURAL:
        return False
    entry = record.add(parts[2])
    case.headers.clear()
    for name in case.path_parameters:
        case.path_parameters[name] = entry["id"]
    references = {reference.field for reference in REFERENCES[parts[2]]}
    if isinstance(case.body, dict):
        case.body.pop("id", None)
        case.body |= {name: value for name, value in entry.items() if name in references}
    return True


def _can_be_malformed(operation: Operation) -> bool:
    """Whether anything about the operation has a form that can be missed: a text in a path can be any text."""
    definition = operation.definition.raw
    kinds = [parameter["schema"] for parameter in definition.get("parameters", ())]
    return "requestBody" in definition or any(set(kind) - {"type", "title"} for kind in kinds)


def _references(value: object) -> Iterator[str]:
    if isinstance(value, dict):
        if isinstance(value.get("$ref"), str):
            yield value["$ref"]
        for inner in value.values():
            yield from _references(inner)
    elif isinstance(value, list):
        for inner in value:
            yield from _references(inner)
