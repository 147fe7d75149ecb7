"""The catalogue over HTTP: the search with its warnings, a product with all values, two keys of a drum."""

import pytest
from fastapi.testclient import TestClient


def test_the_search_answers_to_names_and_numbers(client: TestClient) -> None:
    """UN 1294 is toluene in the list of dangerous goods of the UN Model Regulations (recalled)."""
    for text in ("toluene", "1294", "108-88-3", "toluol"):
        found = client.get("/api/catalogue/products", params={"q": text}).json()["items"]
        assert found[0]["product"]["key"] == "toluene", text
    nothing = client.get("/api/catalogue/products", params={"q": "no such stuff at all"}).json()
    assert nothing["items"] == []
    assert "not identified" in nothing["if_none_fits"]


def test_the_search_warns_of_what_a_product_is_taken_for(client: TestClient) -> None:
    found = client.get("/api/catalogue/products", params={"q": "sodium hydrosulphite", "second_key": "2837"}).json()
    assert found["second_key_needed"] is True
    assert "sodium-hydrogen-sulphate" in [rival["key"] for rival in found["items"][0]["rivals"]]
    assert found["items"][0]["checked"]["agreement"] == "contradict"


def test_one_product_is_the_same_in_search_and_alone_and_shows_every_value(client: TestClient) -> None:
    one = client.get("/api/catalogue/products/toluene").json()
    hits = client.get("/api/catalogue/products", params={"q": "toluene", "limit": 5}).json()["items"]
    assert one["product"] in [hit["product"] for hit in hits]
    flash = next(value for value in one["values"] if value["property"] == "flash point")
    assert {value["source"] for value in flash["all"]} >= {"NFPA 497 (2008)", "IEC 60079-20-1 (2010)"}
    assert all({"unit", "temperature_c", "source", "mark", "verify"} <= set(value) for value in flash["all"])
    assert one["product"]["molar_mass_kg_mol"]["value"] == pytest.approx(0.0921, abs=1e-4)
    assert any(trait["verify"] for trait in one["traits"])


def test_a_drum_that_nobody_identified_is_a_product_with_the_worst_meaning(client: TestClient) -> None:
    one = client.get("/api/catalogue/products/unidentified").json()
    assert one["worst_case"]
    assert one["values"] == []
    assert len(one["unknown"]) >= 10
    assert (
        client.get("/api/catalogue/products", params={"q": "no label"}).json()["items"][0]["product"] == one["product"]
    )


@pytest.mark.parametrize(
    ("first", "second", "agreement"),
    [
        ("sodium hydrosulphite", "UN 1384", "agree"),
        ("sodium hydrosulphite", "8", "contradict"),
        ("hydrofluoric acid", "8", "cannot tell"),
    ],
)
def test_two_keys_are_held_together(first: str, second: str, agreement: str, client: TestClient) -> None:
    said = client.get("/api/catalogue/check-keys", params={"first": first, "second": second}).json()
    assert said["agreement"] == agreement
    assert said["words"]


@pytest.mark.parametrize("query", ["", "first=toluene", "first=toluene&second=", "first=&second=3"])
def test_a_check_needs_both_keys(query: str, client: TestClient) -> None:
    assert client.get(f"/api/catalogue/check-keys?{query}").status_code == 422


def test_the_document_describes_what_the_catalogue_gives(client: TestClient) -> None:
    document = client.get("/api/openapi.json").json()
    for path, shape in (
        ("/api/catalogue/products", "Answer"),
        ("/api/catalogue/products/{key}", "ProductRecord"),
        ("/api/catalogue/check-keys", "Checked"),
    ):
        schema = document["paths"][path]["get"]["responses"]["200"]["content"]["application/json"]["schema"]
        assert schema == {"$ref": f"#/components/schemas/{shape}"}
    given = client.get("/api/catalogue/products/styrene-stabilised").json()
    assert set(given) == set(document["components"]["schemas"]["ProductRecord"]["properties"])
