"""The catalogue of products, to search while a label is read out."""

from typing import Annotated

from fastapi import APIRouter, Query, Response
from fastapi.responses import JSONResponse

from app.api.plain_schema import component
from app.errors import Problem
from app.openapi import Json, content, problems
from reports.assessment import as_json
from survey.catalogue.product import Product
from survey.catalogue.products import catalogue

JSON = "application/json"


def catalogue_router(components: dict[str, Json]) -> APIRouter:
    """Make the routes of the catalogue, and add the schema of a product to `components`."""
    product = component(Product, components)
    router = APIRouter(prefix="/catalogue/products", tags=["catalogue"])
    found: Json = {
        "type": "object",
        "required": ["items"],
        "properties": {"items": {"type": "array", "items": product}},
    }
    router.add_api_route(
        "",
        search_products,
        methods=["GET"],
        operation_id="search_products",
        response_class=Response,
        responses={
            200: content(JSON, found, "The products that fit, best first.", headers={}),
            **problems("malformed-content"),
        },
    )
    router.add_api_route(
        "/{key}",
        read_product,
        methods=["GET"],
        operation_id="read_product",
        response_class=Response,
        responses={200: content(JSON, product, "The product.", headers={}), **problems("no-such-entry")},
    )
    return router


def search_products(
    q: Annotated[str, Query(min_length=1, max_length=200, description="Name, UN number or CAS number, or part of it.")],
    limit: Annotated[int, Query(ge=1, le=100)] = 20,
) -> Response:
    """Find products by name, UN number or CAS number."""
    return JSONResponse({"items": [as_json(product) for product in catalogue().search(q, limit)]})


def read_product(key: str) -> Response:
    """Give one product."""
    product = catalogue().get(key)
    if product is None:
        raise Problem("no-such-entry", f"The catalogue has no product {key!r}.")
    return JSONResponse(as_json(product))
