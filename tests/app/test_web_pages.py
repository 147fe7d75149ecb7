"""The pages over HTTP: what they say, where they lead, and what they refuse."""

import gzip
import json
from collections.abc import Callable
from datetime import date
from itertools import pairwise
from typing import Any

import pytest
from fastapi import FastAPI
from fastapi.testclient import TestClient
from httpx import Response

from app.headers import SAFE_HEADERS
from app.web import site_rows
from geometry.errors import GeometryRefused
from reports.assessment import Assessment
from reports.assessor import assess
from reports.gather import gather
from reports.preplan import PrePlan, preplan
from survey.bundle import Survey, dump, snapshot_sha256
from tests.app.conftest import MAX_ENTRY_BYTES, MAX_SURVEY_BYTES, TODAY
from tests.app.page_reader import Page, one_line, read_page
from tests.app.record import Record
from tests.builders import SurveyBuilder

BROWSER = {"Accept": "text/html,application/xhtml+xml,*/*;q=0.8"}
HOSTILE = """<script>alert(1)</script>"' onload=x &amp; <b>"""


def store(name: str, **site: Any) -> SurveyBuilder:
    """A store with a bulging drum, two neighbours that make chlorine, a drain and an unread pallet."""
    build = SurveyBuilder(name, **site)
    build.floor("Hall", width_m=14, depth_m=8, finish="bare concrete", levelness="recorded level")
    build.drain("G1", (6, 4), joins="storm")
    build.zone("A", [(0, 0), (7, 0), (7, 8), (0, 8)])
    build.zone("B", [(7, 0), (14, 0), (14, 8), (7, 8)])
    build.pallet("A-01", at=(3, 4))
    build.drum("A-01-1", product="hydrochloric-acid-32", label="legible", identity_sources=["label", "paperwork"])
    build.pallet("A-02", at=(4.6, 4))
    build.drum("A-02-1", product="sodium-hypochlorite-12-5", label="legible", identity_sources=["label"])
    build.pallet("B-01", at=(12, 2))
    build.drum("B-01-1", product="acetone", signs=["bulging"], signs_checked=True)
    build.pallet("B-02", at=(12, 6), read=False)
    return build


def calm(name: str) -> SurveyBuilder:
    """A store of one drum of glycol."""
    build = SurveyBuilder(name)
    build.floor("Hall", width_m=8, depth_m=6)
    build.pallet("G-01", at=(3, 3))
    build.drum("G-01-1", product="ethylene-glycol", label="legible", identity_sources=["label", "paperwork"])
    return build


def give(client: TestClient, survey: Survey) -> None:
    answer = client.post("/api/surveys", content=dump(survey), headers={"Content-Type": "application/json"})
    assert answer.status_code == 201, answer.text


def send_file(client: TestClient, data: bytes, name: str = "store.json", **form: str) -> Response:
    answer: Response = client.post(
        "/import",
        files={"survey": (name, data, "application/json")},
        data=form,
        headers=BROWSER,
        follow_redirects=False,
    )
    return answer


def page_at(client: TestClient, address: str, status: int = 200) -> Page:
    answer = client.get(address, headers=BROWSER)
    assert answer.status_code == status
    assert answer.headers["content-type"] == "text/html; charset=utf-8"
    return read_page(answer.text)


def judged(survey: Survey) -> tuple[Assessment, PrePlan]:
    facts = gather(survey, as_of=TODAY)
    assessment = assess(facts)
    return assessment, preplan(assessment, facts)


class TestList:
    def test_an_empty_record_says_how_to_begin(self, client: TestClient) -> None:
        page = page_at(client, "/")
        assert "No site yet" in page.text
        assert "python3 -m app demo" in page.text
        (form,) = page.named("form")
        assert (form.attributes["method"], form.attributes["action"]) == ("post", "/import")
        assert form.attributes["enctype"] == "multipart/form-data"

    def test_a_site_shows_what_its_assessment_says(self, client: TestClient) -> None:
        survey = store("List store", address="7 Example Quay").survey()
        give(client, survey)
        page = page_at(client, "/")
        assessment, _ = judged(survey)
        assert assessment.worst is not None
        for said in ("List store", "7 Example Quay", "1 floor: Hall", assessment.worst.sentence):
            assert one_line(said) in page.text
        assert "Seen 100.0 % 3 of 3" in page.text
        assert "Label read 66.7 % 2 of 3" in page.text
        assert "Identified 33.3 % 1 of 3" in page.text
        assert "1 pallet not read, in no share" in page.text
        assert f"/sites/{survey.site.id}" in page.addresses

    def test_the_worst_site_comes_first(self, client: TestClient) -> None:
        give(client, calm("Aardvark store").survey())
        give(client, store("Zebra store").survey())
        names = [element.text for element in page_at(client, "/").named("h2") if "store" in element.text]
        assert names == ["Zebra store", "Aardvark store"]

    def test_a_site_nobody_walked_is_marked_old(self, client: TestClient) -> None:
        give(client, calm("Unwalked store").survey())
        assert "Never walked old" in page_at(client, "/").text

    def test_a_site_being_assessed_comes_first_and_the_page_asks_again(
        self, client: TestClient, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        give(client, store("Slow store").survey())
        page_at(client, "/")
        give(client, calm("Late store").survey())
        monkeypatch.setattr(site_rows, "PATIENCE_S", 0.0)
        page = page_at(client, "/")
        assert "It is being assessed" in page.text
        assert page.text.index("Late store") < page.text.index("Slow store")
        assert [tag.attributes["content"] for tag in page.named("meta") if "http-equiv" in tag.attributes] == ["4"]
        monkeypatch.undo()
        settled = page_at(client, "/")
        assert "being assessed" not in settled.text
        assert not [tag for tag in settled.named("meta") if "http-equiv" in tag.attributes]

    @pytest.mark.parametrize(
        ("failure", "why"),
        [
            (ZeroDivisionError(), "The assessment failed; the log of the service says more."),
            (GeometryRefused("floor: too large"), "It cannot be assessed: floor: too large."),
        ],
        ids=["a fault of ours", "a record that cannot be assessed"],
    )
    def test_a_site_whose_assessment_fails_is_listed_and_says_why(
        self,
        failure: Exception,
        why: str,
        client: TestClient,
        monkeypatch: pytest.MonkeyPatch,
        caplog: pytest.LogCaptureFixture,
    ) -> None:
        def fail(_: object) -> object:
            raise failure

        monkeypatch.setattr(site_rows, "ranked_row", fail)
        give(client, calm(f"Failing store {why}").survey())
        page = page_at(client, "/")
        assert "Failing store" in page.text
        assert why in page.text
        assert not [tag for tag in page.named("meta") if "http-equiv" in tag.attributes]
        assert "has no line in the list" in caplog.text

    def test_a_change_shows_in_the_next_list(self, client: TestClient) -> None:
        survey = calm("Renamed store").survey()
        give(client, survey)
        assert "Renamed store" in page_at(client, "/").text
        address = f"/api/sites/{survey.site.id}"
        tag = client.get(address).headers["ETag"]
        changed = client.patch(address, json={"name": "Newly named store"}, headers={"If-Match": tag})
        assert changed.status_code == 200
        page = page_at(client, "/")
        assert "Newly named store" in page.text
        assert "Renamed store" not in page.text


class TestImport:
    def test_a_file_goes_in_and_its_page_says_so(self, client: TestClient, record: Record) -> None:
        survey = calm("Imported store").survey()
        answer = send_file(client, dump(survey))
        assert answer.status_code == 303
        assert answer.headers["location"].startswith(f"/sites/{survey.site.id}?")
        assert "Imported: 5 added." in page_at(client, answer.headers["location"]).text
        assert record.rows()["drums"] == 1

    def test_the_same_file_again_changes_nothing(self, client: TestClient, record: Record) -> None:
        data = dump(calm("Twice store").survey())
        send_file(client, data)
        before = record.rows()
        answer = send_file(client, data)
        assert "Imported: nothing changes." in page_at(client, answer.headers["location"]).text
        assert record.rows() == before

    @pytest.mark.parametrize(
        ("spoil", "path", "expected", "found"),
        [
            (lambda file: file["drums"][0].update(fill_pct=-5), "drums[0].fill_pct", "0", "-5"),
            (
                lambda file: file["floors"][0].update(outline=[[0, 0], [4, 4], [4, 0], [0, 4]]),
                "floors[0].outline",
                "",
                "",
            ),
            (lambda file: file.update(version=99), "version", "1", "99"),
        ],
        ids=["negative fill", "self-crossing outline", "newer version"],
    )
    def test_a_fault_is_shown_and_nothing_is_stored(
        self,
        spoil: Callable[[dict[str, Any]], object],
        path: str,
        expected: str,
        found: str,
        client: TestClient,
        record: Record,
    ) -> None:
        file = json.loads(dump(calm("Spoilt store").survey()))
        spoil(file)
        answer = send_file(client, json.dumps(file).encode(), "spoilt.json")
        assert answer.status_code == 422
        page = read_page(answer.text)
        assert "Not imported: spoilt.json" in page.text
        cells = [(cell.attributes["data-head"], cell.text) for cell in page.named("td")]
        assert path in [code.text for code in page.named("code")]
        assert any(head == "Expected" and text and expected in text for head, text in cells)
        assert any(head == "Found" and text and found in text for head, text in cells)
        assert record.rows()["sites"] == 0

    def test_what_is_not_json_is_refused(self, client: TestClient) -> None:
        for data in (b"", b"\xff\xfe", b"not a survey"):
            answer = send_file(client, data)
            assert answer.status_code == 422
            assert "Nothing of the file was stored." in read_page(answer.text).text

    def test_a_file_over_the_limit_is_refused_with_a_page(self, client: TestClient) -> None:
        for size in (MAX_SURVEY_BYTES + 1, MAX_SURVEY_BYTES + 10_000_000):
            answer = send_file(client, b" " * size)
            assert answer.status_code in (413, 422)
            text = read_page(answer.text).text
            assert "The body is larger than this service takes" in text or f"at most {MAX_SURVEY_BYTES} bytes" in text

    def test_a_file_larger_than_an_entry_may_be_is_taken(self, client: TestClient) -> None:
        data = dump(calm("Large store").survey()) + b" " * (MAX_ENTRY_BYTES + 10_000)
        assert len(data) < MAX_SURVEY_BYTES
        assert send_file(client, data).status_code == 303

    def test_a_site_that_differs_is_asked_about_before_it_is_replaced(self, client: TestClient, record: Record) -> None:
        old, new = calm("Asked store"), calm("Asked store")
        new.drum("G-01-2", product="acetone")
        give(client, old.survey())
        before = record.rows()
        asked = send_file(client, dump(new.survey()))
        assert asked.status_code == 409
        page = read_page(asked.text)
        assert "1 added; 5 as before" in page.text
        (box,) = [tag for tag in page.named("input") if tag.attributes.get("name") == "seen"]
        assert box.attributes["value"] == snapshot_sha256(old.survey())
        assert "checked" not in box.attributes
        assert record.rows() == before
        agreed = send_file(client, dump(new.survey()), seen=box.attributes["value"])
        assert agreed.status_code == 303
        assert record.rows()["drums"] == 2

    def test_an_agreement_holds_only_for_the_state_it_was_given_for(self, client: TestClient, record: Record) -> None:
        old, new = calm("Moved store"), calm("Moved store")
        new.drum("G-01-2", product="acetone")
        give(client, old.survey())
        answer = send_file(client, dump(new.survey()), seen="0" * 64)
        assert answer.status_code == 409
        assert record.rows()["drums"] == 1

    def test_the_address_of_a_refusal_leads_back_to_the_form(self, client: TestClient) -> None:
        answer = client.get("/import", headers=BROWSER, follow_redirects=False)
        assert (answer.status_code, answer.headers["location"]) == (303, "/")

    def test_a_form_on_a_page_of_another_service_is_refused(self, client: TestClient, record: Record) -> None:
        answer = client.post(
            "/import",
            files={"survey": ("store.json", dump(calm("Foreign store").survey()))},
            headers=BROWSER | {"Sec-Fetch-Site": "cross-site"},
        )
        assert answer.status_code == 403
        assert record.rows()["sites"] == 0


class TestSite:
    @pytest.fixture
    def survey(self) -> Survey:
        return store("Page store").survey()

    @pytest.fixture
    def page(self, client: TestClient, survey: Survey) -> Page:
        give(client, survey)
        return page_at(client, f"/sites/{survey.site.id}")

    def test_it_says_what_the_paper_says(self, page: Page, survey: Survey) -> None:
        _, plan = judged(survey)
        said = [plan.front.address, plan.front.stand_off, *plan.unknowns]
        for finding in (finding for group in plan.findings for finding in group.findings):
            said += [finding.sentence, finding.reason, finding.basis.source]
        for stop in plan.stops:
            said += [stop.sentence, stop.because, stop.instead, stop.drums]
        for action in plan.actions:
            said += [action.what, action.from_where, action.leave_when]
        for floor in plan.floors:
            for drain in floor.drains:
                said += [drain.title, *(value for _, value in drain.facts)]
                said += [text for reach in drain.reaches for text in (reach.gap, reach.critical_depth, reach.litres)]
            for pair in floor.pairs:
                said += [pair.sentence, pair.distance, pair.meeting]
            for zone in floor.zones:
                said += [zone.headline, zone.protection.driver]
        assert len(said) > 60
        missing = [text for text in said if one_line(text) not in page.text]
        assert missing == []

    def test_stop_lines_come_before_the_map_and_the_findings(self, page: Page) -> None:
        order = [name for name in page.ids if name in ("stop", "floor-Hall", "findings", "zones", "pallets")]
        assert order == ["stop", "floor-Hall", "findings", "zones", "pallets"]

    def test_every_link_within_the_page_leads_somewhere(self, page: Page) -> None:
        wanted = {address[1:] for address in page.addresses if address.startswith("#")}
        assert len(wanted) > 15
        assert wanted <= set(page.ids)
        assert [name for name, count in page.ids.items() if count > 1] == []

    def test_every_pallet_on_the_map_leads_to_its_entry(self, page: Page) -> None:
        on_map = {
            link.attributes["href"]: link.attributes for link in page.named("a") if "aria-label" in link.attributes
        }
        assert set(on_map) == {"#pallet-A-01", "#pallet-A-02", "#pallet-B-01", "#pallet-B-02"}
        assert "STOP" in on_map["#pallet-B-01"]["aria-label"]
        entries = {
            entry.attributes["id"]: one_line(entry.text) for entry in page.named("article") if "id" in entry.attributes
        }
        assert "Acetone" in entries["pallet-B-01"]
        assert "chlorine" in entries["pallet-A-01"]

    def test_a_pallet_says_which_drains_it_reaches_and_at_what_depth(self, page: Page, survey: Survey) -> None:
        _, plan = judged(survey)
        entries = {entry.attributes.get("id"): one_line(entry.text) for entry in page.named("article")}
        told = [(drain.name, reach) for drain in plan.floors[0].drains for reach in drain.reaches]
        assert {reach.pallet for _, reach in told} >= {"A-01", "A-02"}
        for drain, reach in told:
            assert drain in entries[f"pallet-{reach.pallet}"]
            assert one_line(reach.critical_depth) in entries[f"pallet-{reach.pallet}"]
            assert one_line(reach.litres) in entries[f"pallet-{reach.pallet}"]

    def test_every_address_on_it_answers(self, client: TestClient, page: Page) -> None:
        outside = {address for address in page.addresses if not address.startswith("#")}
        papers = {address for address in outside if ".pdf" in address}
        # The paper itself takes half a minute; that its address answers is shown in the browser.
        assert {address.rpartition("?")[2] for address in papers} == {"paper=A4", "paper=letter"}
        for address in outside - papers:
            assert client.get(address).status_code == 200, address

    def test_headings_go_down_one_level_at_a_time(self, page: Page) -> None:
        levels = [int(element.name[1]) for element in page.elements if element.name in {"h1", "h2", "h3", "h4"}]
        assert levels.count(1) == 1
        assert all(after - before <= 1 for before, after in pairwise(levels))

    def test_it_is_asked_for_again_and_known_by_its_tag(self, client: TestClient, survey: Survey) -> None:
        give(client, survey)
        address = f"/sites/{survey.site.id}"
        plain = client.get(address, headers=BROWSER | {"Accept-Encoding": "identity"})
        assert plain.headers["Cache-Control"] == "private, no-cache"
        assert "Content-Encoding" not in plain.headers
        with client.stream("GET", address, headers=BROWSER | {"Accept-Encoding": "gzip"}) as packed:
            body = b"".join(packed.iter_raw())
        assert packed.headers["Content-Encoding"] == "gzip"
        assert gzip.decompress(body) == plain.content
        assert packed.headers["ETag"] != plain.headers["ETag"]
        known = BROWSER | {"Accept-Encoding": "gzip", "If-None-Match": packed.headers["ETag"]}
        assert client.get(address, headers=known).status_code == 304

    def test_it_says_when_nothing_may_be_relied_on(self, client: TestClient) -> None:
        build = store(
            "Taken-over store",
            tenancy_since=date(2026, 2, 1),
            previous_record="Pallet repair",
            previous_record_on=date(2020, 1, 1),
        )
        survey = build.survey()
        give(client, survey)
        assessment, _ = judged(survey)
        assert assessment.prior_plan_invalid
        assert one_line(assessment.prior_plan_invalid) in page_at(client, f"/sites/{survey.site.id}").text
        assert "Earlier plan not to be relied on" in page_at(client, "/").text


class TestOddSites:
    def test_a_site_without_floors_says_that_nothing_is_known(self, client: TestClient) -> None:
        survey = SurveyBuilder("Bare store").survey()
        give(client, survey)
        page = page_at(client, f"/sites/{survey.site.id}")
        assert "No floor is recorded, so nothing is known of what stands where." in page.text
        assert "No drain is recorded. That is not the same as there being none." in page.text

    def test_names_that_are_markup_stay_names(self, client: TestClient) -> None:
        build = SurveyBuilder(HOSTILE, operator=HOSTILE, address=HOSTILE)
        build.floor(HOSTILE, width_m=10, depth_m=8)
        build.zone(HOSTILE, [(0, 0), (10, 0), (10, 8), (0, 8)], title=HOSTILE, tenant=HOSTILE)
        build.drain(HOSTILE, (5, 4), outfall=HOSTILE)
        build.pallet(HOSTILE, at=(3, 4))
        build.drum(HOSTILE, product_text=HOSTILE, signs=["bulging"], signs_checked=True)
        survey = build.survey()
        give(client, survey)
        for address in ("/", f"/sites/{survey.site.id}"):
            page = page_at(client, address)
            assert one_line(HOSTILE) in page.text
            assert all(script.attributes["src"].startswith("/static/") for script in page.named("script"))
            assert not page.named("b")
            assert not [
                element for element in page.elements if any(name.startswith("on") for name in element.attributes)
            ]

    def test_a_hostile_file_name_stays_a_name(self, client: TestClient) -> None:
        page = read_page(send_file(client, b"{}", "<script>alert(1)</script>.json").text)
        assert "<script>alert(1)</script>.json" in page.text
        assert not page.named("script")

    @pytest.mark.parametrize(
        "name",
        [
            "مستودع المواد الكيميائية",
            "東京化学倉庫第三物流センター",
            "Łódź–Σ",
            "x" * 200,
            "  spaced   out  ",
            "#?&/%41",
        ],
    )
    def test_any_name_has_a_page_whose_links_hold(self, name: str, client: TestClient) -> None:
        build = SurveyBuilder(f"Named {name}"[:200])
        build.floor(name, width_m=10, depth_m=8)
        build.zone(name, [(0, 0), (10, 0), (10, 8), (0, 8)])
        build.drain(name, (5, 4))
        build.pallet(name, at=(3, 4))
        build.drum(f"{name}"[:200], product="acetone")
        survey = build.survey()
        give(client, survey)
        page = page_at(client, f"/sites/{survey.site.id}")
        assert {address[1:] for address in page.addresses if address.startswith("#")} <= set(page.ids)

    def test_two_pallets_of_one_name_are_two_entries(self, client: TestClient) -> None:
        build = calm("Twin store")
        build.pallet("G-01", at=(6, 3))
        build.drum("G-01-9", product="acetone")
        survey = build.survey()
        give(client, survey)
        page = page_at(client, f"/sites/{survey.site.id}")
        assert {"pallet-G-01", "pallet-G-01-2"} <= set(page.ids)
        entries = {entry.attributes.get("id"): entry.text for entry in page.named("article")}
        assert {"Acetone" in entries["pallet-G-01"], "Acetone" in entries["pallet-G-01-2"]} == {True, False}


class TestRefusals:
    @pytest.mark.parametrize(
        ("address", "status", "title"),
        [
            ("/sites/0b6b4a1c-9f0e-4a52-8d6e-5a0a1b2c3d4e", 404, "There is no such entry"),
            ("/sites/north", 404, "There is nothing at this address"),
            ("/nothing/here", 404, "There is nothing at this address"),
        ],
    )
    def test_a_person_gets_a_page_and_a_program_gets_a_problem(
        self, address: str, status: int, title: str, client: TestClient
    ) -> None:
        page = page_at(client, address, status)
        assert [heading.text for heading in page.named("h1")] == [title]
        assert "/" in page.addresses
        problem = client.get(address, headers={"Accept": "application/json"})
        assert (problem.status_code, problem.headers["content-type"]) == (status, "application/problem+json")
        assert problem.json()["title"] == title

    def test_a_program_under_api_never_gets_a_page(self, client: TestClient) -> None:
        answer = client.get("/api/nothing", headers=BROWSER)
        assert answer.headers["content-type"] == "application/problem+json"

    def test_a_failure_is_a_page_that_names_its_place_in_the_log(
        self, app: FastAPI, caplog: pytest.LogCaptureFixture
    ) -> None:
        app.state.database.close()
        broken, app.state.database = app.state.database, None
        try:
            answer = TestClient(app, raise_server_exceptions=False).get("/", headers=BROWSER)
        finally:
            app.state.database = broken
        assert answer.status_code == 500
        page = read_page(answer.text)
        (occurrence,) = [code.text for code in page.named("code")]
        assert occurrence in caplog.text
        assert {name: answer.headers[name] for name in SAFE_HEADERS} == SAFE_HEADERS

    def test_every_page_carries_the_protective_headers(self, client: TestClient) -> None:
        for address, status in (("/", 200), ("/nothing", 404)):
            answer = client.get(address, headers=BROWSER)
            assert answer.status_code == status
            assert {name: answer.headers[name] for name in SAFE_HEADERS} == SAFE_HEADERS
        assert "unsafe" not in SAFE_HEADERS["content-security-policy"]


def test_the_pages_are_not_in_the_document_for_programs(client: TestClient) -> None:
    paths = client.get("/api/openapi.json").json()["paths"]
    assert not [path for path in paths if path in ("/", "/import") or path.startswith(("/sites", "/static"))]
