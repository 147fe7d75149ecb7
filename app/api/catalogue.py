"""The catalogue of products, to search while a label is read out, and to hold two keys of a drum together."""

from typing import Annotated, Any

from fastapi import APIRouter, Query, Response
from fastapi.responses import JSONResponse

from app.api.plain_schema import component
from app.errors import Problem
from app.openapi import Json, content, problems
from reports.assessment import as_json
from survey.catalogue.products import catalogue
from survey.catalogue.record import ProductRecord, product_record
from survey.catalogue.search import Answer, answer
from survey.catalogue.second_key import Checked, check_keys

JSON = "application/json"
Text = Annotated[str, Query(min_length=1, max_length=200, description="Name, UN number or CAS number, or part of it.")]
Key = Annotated[
    str,
    Query(
        min_length=1,
        max_length=200,
        description="A product's key, its name, UN number, CAS number or hazard class, as the label has it.",
    ),
]
SECOND_KEY = Query(
    min_length=1,
    max_length=200,
    description="UN number, CAS number or hazard class from the same label, held against each product found.",
)


def catalogue_router(components: dict[str, Json]) -> APIRouter:
    """Make the routes of the catalogue, and add the schemas of what they give to `components`."""
    router = APIRouter(prefix="/catalogue", tags=["catalogue"])
    routes: tuple[tuple[str, Any, type, str, str], ...] = (
        ("/products", search_products, Answer, "The products that fit, best first.", "malformed-content"),
        ("/products/{key}", read_product, ProductRecord, "All on record of the product.", "no-such-entry"),
        ("/check-keys", check_two_keys, Checked, "What the two keys say of each other.", "malformed-content"),
    )
    for path, endpoint, kind, words, problem in routes:
        router.add_api_route(
            path,
            endpoint,
            methods=["GET"],
            operation_id=endpoint.__name__,
            response_class=Response,
            responses={
                200: content(JSON, component(kind, components), words, headers={}),
                **problems(problem),
            },
        )
    return router


def search_products(
    q: Text,
    limit: Annotated[int, Query(ge=1, le=100)] = 20,
    second_key: Annotated[str | None, SECOND_KEY] = None,
) -> Response:
    """Find products by name, UN number or CAS number, and say where a second key is needed."""
    return JSONResponse(as_json(answer(catalogue(), q, limit=limit, second_key=second_key)))


def read_product(key: str) -> Response:
    """Give one product with all values on record side by side, and which of them are to be verified."""
    product = catalogue().get(key)
    if product is None:
        raise Problem("no-such-entry", f"The catalogue has no product {key!r}.")
    return JSONResponse(as_json(product_record(catalogue(), product)))


def check_two_keys(first: Key, second: Key) -> Response:
    """Hold two keys of one drum against each other: agree, contradict or cannot tell."""
    return JSONResponse(as_json(check_keys(catalogue(), first, second)))
