"""What is made of a site, over HTTP: the same as the house makes of its survey file without a server."""

import json
from datetime import date
from pathlib import Path
from typing import Any
from uuid import UUID
from xml.etree import ElementTree

import jsonschema
import pikepdf
import pytest
from fastapi import FastAPI
from fastapi.testclient import TestClient

from geometry.errors import GeometryRefused
from reports.assessment import as_json
from reports.assessor import assess
from reports.gather import gather
from reports.preplan import preplan
from reports.render import PaperRefused
from survey.bundle import Survey, dump
from tests.app.conftest import TODAY
from tests.app.test_api_surveys import JSON
from tests.builders import SurveyBuilder

NO_SUCH_ID = UUID("0b6b4a1c-9f0e-4a52-8d6e-5a0a1b2c3d4e")


@pytest.fixture
def survey() -> Survey:
    build = SurveyBuilder("Harbour store")
    build.floor(width_m=12, depth_m=8)
    build.drain("G1", (6, 4), joins="storm")
    build.zone("A", [(0, 0), (6, 0), (6, 8), (0, 8)])
    build.pallet("A-01", at=(3, 4))
    build.drum("A-01-1", product="toluene", container_code="1A1", fill_pct=120)
    build.pallet("A-02", at=(5, 4))
    build.drum("A-02-1", product="nitric-acid-68", signs=["bulging"], signs_checked=True)
    return build.survey()


@pytest.fixture
def site(client: TestClient, survey: Survey) -> str:
    """Give the address of a site in the record."""
    response = client.post("/api/surveys", content=dump(survey), headers=JSON)
    assert response.status_code == 201
    return f"/api/sites/{survey.site.id}"


def test_the_assessment_is_that_of_the_survey_on_the_day(client: TestClient, site: str, survey: Survey) -> None:
    for query, as_of in (("", TODAY), ("?as_of=2027-01-31", date(2027, 1, 31))):
        answer = client.get(f"{site}/assessment{query}")
        assert answer.status_code == 200
        assert answer.json() == json.loads(json.dumps(as_json(assess(gather(survey, as_of=as_of)))))
        assert answer.json()["as_of"] == as_of.isoformat()
    assert answer.json()["findings"]
    assert any("120" in flag["found"] for flag in answer.json()["flags"])


def test_the_assessment_is_what_the_openapi_document_says(client: TestClient, site: str) -> None:
    """Checked with the jsonschema library's validator for draft 2020-12, which OpenAPI 3.1 names."""
    document = client.get("/api/openapi.json").json()
    said = document["paths"]["/api/sites/{site_id}/assessment"]["get"]["responses"]["200"]["content"]
    schema = {**said["application/json"]["schema"], "components": document["components"]}
    validator = jsonschema.Draft202012Validator(schema)
    assessment: dict[str, Any] = client.get(f"{site}/assessment").json()
    assert list(validator.iter_errors(assessment)) == []
    assessment["findings"][0]["kind"] = "bad"
    assert list(validator.iter_errors(assessment)) != []


@pytest.fixture
def quick_paper(monkeypatch: pytest.MonkeyPatch) -> None:
    """Put the plan's own words in the place of its PDF, which takes seconds to set."""
    monkeypatch.setattr("app.work.render_pdf", lambda plan, *, paper: f"{paper} {plan!r}".encode())


def test_the_preplan_of_an_empty_site_is_a_pdf_of_the_size_asked_for(client: TestClient, tmp_path: Path) -> None:
    """US letter is 8.5 in by 11 in, and a point of PDF (ISO 32000-1, 8.3.2.3) is 1/72 in."""
    bare = SurveyBuilder("Bare").survey()
    client.post("/api/surveys", content=dump(bare), headers=JSON)
    answer = client.get(f"/api/sites/{bare.site.id}/preplan.pdf?paper=letter")
    assert (answer.status_code, answer.headers["content-type"]) == (200, "application/pdf")
    (tmp_path / "plan.pdf").write_bytes(answer.content)
    with pikepdf.open(tmp_path / "plan.pdf") as plan:
        box = [float(str(side)) for side in plan.pages[0].mediabox]
    assert (round(box[2] - box[0]), round(box[3] - box[1])) == (612, 792)


@pytest.mark.usefixtures("quick_paper")
def test_the_preplan_is_that_of_the_survey_on_the_day(client: TestClient, site: str, survey: Survey) -> None:
    facts = gather(survey, as_of=TODAY)
    plan = repr(preplan(assess(facts), facts))
    for query, paper in (("", "A4"), ("?paper=letter", "letter"), ("?paper=A4", "A4")):
        assert client.get(f"{site}/preplan.pdf{query}").text == f"{paper} {plan}"


def test_maps_are_drawings_that_need_nothing_else(client: TestClient, site: str, survey: Survey) -> None:
    for address in (
        f"{site}/floors/{survey.floors[0].id}/map.svg",
        f"{site}/storage_zones/{survey.storage_zones[0].id}/map.svg",
    ):
        answer = client.get(address)
        assert (answer.status_code, answer.headers["content-type"]) == (200, "image/svg+xml")
        assert ElementTree.fromstring(answer.content).tag == "{http://www.w3.org/2000/svg}svg"  # noqa: S314 (our own)
        assert "script" not in answer.headers["content-security-policy"]
        assert "frame-ancestors 'none'" in answer.headers["content-security-policy"]


@pytest.mark.usefixtures("quick_paper")
@pytest.mark.parametrize(
    "path", ["assessment", "preplan.pdf", "floors/{floor}/map.svg", "storage_zones/{zone}/map.svg"]
)
def test_what_is_known_is_not_sent_again_until_the_record_changes(
    path: str, client: TestClient, site: str, survey: Survey
) -> None:
    address = f"{site}/{path.format(floor=survey.floors[0].id, zone=survey.storage_zones[0].id)}"
    first = client.get(address)
    known = client.get(address, headers={"If-None-Match": first.headers["ETag"]})
    assert (known.status_code, known.content, known.headers["ETag"]) == (304, b"", first.headers["ETag"])
    pallet = client.get(f"/api/pallets/{survey.pallets[0].id}").json()
    moved = client.patch(f"/api/pallets/{pallet['id']}", json={"at": [2, 2]}, headers={"If-Match": '"1"'})
    assert moved.status_code == 200
    after = client.get(address, headers={"If-None-Match": first.headers["ETag"]})
    assert after.status_code == 200
    assert after.content != first.content


def test_what_was_worked_out_is_kept(
    client: TestClient, site: str, app: FastAPI, monkeypatch: pytest.MonkeyPatch
) -> None:
    first = client.get(f"{site}/assessment")
    monkeypatch.setattr("app.answers.export_survey", lambda *_: pytest.fail("the record was read again"))
    assert client.get(f"{site}/assessment").content == first.content


def test_work_goes_on_while_the_loop_answers_others(
    client: TestClient, site: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The work itself asks the service something, which could not answer if the work stood in its way."""
    asked: list[int] = []
    real = assess

    def assess_and_ask(facts: Any) -> Any:
        asked.append(client.get("/health").status_code)
        return real(facts)

    monkeypatch.setattr("app.work.assess", assess_and_ask)
    assert client.get(f"{site}/assessment?as_of=2026-05-01").status_code == 200
    assert asked == [200]


@pytest.mark.parametrize(
    "path",
    ["assessment", "preplan.pdf", f"floors/{NO_SUCH_ID}/map.svg", f"storage_zones/{NO_SUCH_ID}/map.svg"],
)
def test_what_is_not_there_is_said_so(path: str, client: TestClient, site: str) -> None:
    missing = client.get(f"/api/sites/{NO_SUCH_ID}/{path}")
    assert (missing.status_code, missing.json()["type"]) == (404, "/problems/no-such-entry")
    if "map" in path:
        assert client.get(f"{site}/{path}").status_code == 404


def test_a_record_that_geometry_cannot_work_on_is_said_so(
    client: TestClient, site: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(_: object) -> None:
        raise GeometryRefused("floor Ground floor: expected at most 1000 m, found 9000 m")

    monkeypatch.setattr("app.work.assess", refuse)
    refused = client.get(f"{site}/assessment?as_of=2026-06-01")
    assert (refused.status_code, refused.json()["type"]) == (409, "/problems/cannot-be-assessed")
    assert "Ground floor" in refused.json()["detail"]


def test_a_plan_that_does_not_fit_its_paper_is_said_so(
    client: TestClient, site: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(_: object, *, paper: str) -> None:
        raise PaperRefused(f"Harbour store: page 1 does not fit one {paper} page")

    monkeypatch.setattr("app.work.render_pdf", refuse)
    refused = client.get(f"{site}/preplan.pdf?paper=letter")
    assert (refused.status_code, refused.json()["type"]) == (409, "/problems/cannot-be-printed")
    assert refused.json()["detail"] == "Harbour store: page 1 does not fit one letter page"


@pytest.mark.parametrize(
    ("path", "query"),
    [("assessment", "as_of=soon"), ("assessment", "as_of=2026-02-30"), ("preplan.pdf", "paper=A3")],
)
def test_a_question_that_makes_no_sense_is_refused(path: str, query: str, client: TestClient, site: str) -> None:
    refused = client.get(f"{site}/{path}?{query}")
    assert refused.status_code == 422
    assert refused.json()["faults"][0]["path"] == f"query.{query.partition('=')[0]}"
