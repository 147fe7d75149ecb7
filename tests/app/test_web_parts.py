"""The small parts under the pages: ages, anchors, links on the map, files, packing."""

import gzip
from collections.abc import Iterator
from dataclasses import replace
from datetime import date
from pathlib import Path
from xml.etree import ElementTree

import pytest
from fastapi import FastAPI
from fastapi.testclient import TestClient

from app.web.anchors import Anchors
from app.web.importing import said
from app.web.map_links import SVG, linked
from app.web.packing import packed, takes_gzip
from app.web.static_files import StaticFiles, static_router
from app.web.words import plan_age, shares
from reports.assessment import Coverage
from reports.maps import floor_drawing, floor_map
from survey.repository import ImportOutcome
from tests.reports import sample

ASKED_ON = date(2026, 11, 25)


def tree_of(drawing: str) -> ElementTree.Element:
    return ElementTree.fromstring(drawing)  # noqa: S314 (made by the house)


class TestAge:
    @pytest.mark.parametrize(
        ("walked", "words", "old"),
        [
            (date(2026, 11, 25), "Walked today (25 Nov 2026)", False),
            (date(2026, 11, 24), "Walked 1 day ago (24 Nov 2026)", False),
            (date(2025, 11, 25), "Walked 365 days ago (25 Nov 2025)", False),
            (date(2025, 11, 24), "Walked 366 days ago (24 Nov 2025)", True),
            (date(2026, 11, 26), "Walked on 26 Nov 2026, which is still to come", True),
            (None, "Never walked", True),
        ],
    )
    def test_an_age_is_said_in_days_and_marked_after_a_year(
        self, walked: date | None, words: str, *, old: bool
    ) -> None:
        age = plan_age(walked, ASKED_ON)
        assert (age.words, age.old) == (words, old)

    def test_shares_count_empty_drums_too(self) -> None:
        """The demo's own notes give 78, 28 and 0 of 186: 41.9 %, 15.1 % and 0 %."""
        known = Coverage(
            drums=180, empty=6, small_containers=3, seen=78, hidden=108, label_read=28, identified=0, unread_pallets=0
        )
        assert [(share.percent, share.count) for share in shares(known)] == [
            ("41.9 %", "78 of 186"),
            ("15.1 %", "28 of 186"),
            ("0.0 %", "0 of 186"),
        ]

    def test_of_no_drums_there_is_no_share(self) -> None:
        nothing = Coverage(
            drums=0, empty=0, small_containers=0, seen=0, hidden=0, label_read=0, identified=0, unread_pallets=0
        )
        assert {(share.percent, share.count, share.known_percent) for share in shares(nothing)} == {
            ("–", "no drum recorded", 0.0)
        }


@pytest.mark.parametrize(
    ("outcome", "words"),
    [
        ((3, 2, 1, 4), "3 added, 2 changed and 1 removed; 4 as before"),
        ((3, 0, 0, 0), "3 added"),
        ((0, 0, 0, 7), "nothing changes"),
        ((0, 0, 1200, 1), "1,200 removed; 1 as before"),
    ],
)
def test_what_an_import_did_is_said(outcome: tuple[int, int, int, int], words: str) -> None:
    assert said(ImportOutcome(*outcome)) == words


class TestAnchors:
    def test_a_name_becomes_an_anchor_that_can_be_typed(self) -> None:
        anchors = Anchors(sample.assessment())
        assert anchors.of(sample.made_id("P01")) == "pallet-P01"
        assert anchors.of(sample.made_id("North-west")) == "zone-North-west"

    def test_names_that_come_to_the_same_get_a_number(self) -> None:
        one, two, three = sample.PALLETS[:3]
        pallets = (replace(one, name="A 1"), replace(two, name="A/1"), replace(three, name="A-1-2"))
        anchors = Anchors(sample.assessment(floors=(sample.floor(pallets=pallets),)))
        assert [anchors.of(pallet.id) for pallet in pallets] == ["pallet-A-1", "pallet-A-1-2", "pallet-A-1-2-2"]

    def test_a_name_of_signs_only_still_has_an_anchor(self) -> None:
        pallet = replace(sample.PALLETS[0], name="//#?")
        anchors = Anchors(sample.assessment(floors=(sample.floor(pallets=(pallet,)),)))
        assert anchors.of(pallet.id) == "pallet-unnamed"

    def test_a_name_that_the_floor_does_not_hold_is_not_linked(self) -> None:
        anchors = Anchors(sample.assessment())
        assert anchors.to("pallet", "Hall", ["P01", "P99"]) == anchors.to("pallet", "Hall", ["P01"])
        assert anchors.to("pallet", "Attic", ["P01"]) == ()
        assert anchors.one("pallet", "Hall", "P99").href == "#pallets"


class TestMapLinks:
    def drawn(self) -> ElementTree.Element:
        assessment = sample.assessment()
        drawing = floor_drawing(assessment.floors[0], assessment, prefix="map-")
        links = {str(pallet.id): f"#pallet-{pallet.name}" for pallet in sample.PALLETS}
        return tree_of(linked(drawing.svg, links))

    def test_each_pallet_is_a_link_that_says_what_stands_there(self) -> None:
        links = self.drawn().findall(f".//{{{SVG}}}a")
        assert {link.get("href") for link in links} == {f"#pallet-{pallet.name}" for pallet in sample.PALLETS}
        labels = {link.get("href"): link.get("aria-label") or "" for link in links}
        assert "STOP" in labels["#pallet-P08"]
        assert "toluene" in labels["#pallet-P04"]

    def test_nothing_but_the_size_and_the_links_differs_from_the_drawing(self) -> None:
        assessment = sample.assessment()
        drawing = floor_drawing(assessment.floors[0], assessment, prefix="map-")
        before = tree_of(drawing.svg)
        after = self.drawn()
        paths = [[path.get("d") for path in tree.iter(f"{{{SVG}}}path")] for tree in (before, after)]
        texts = [[text.text for text in tree.iter(f"{{{SVG}}}text")] for tree in (before, after)]
        assert paths[0] == paths[1]
        assert texts[0] == texts[1]
        assert after.get("viewBox") == before.get("viewBox")
        assert (after.get("width"), after.get("height"), after.get("role")) == (None, None, "group")

    def test_a_tap_goes_through_names_to_what_is_under_them(self) -> None:
        through = {layer.get("class") for layer in self.drawn() if layer.get("pointer-events") == "none"}
        assert through == {"layer-marks", "layer-leaders", "layer-names", "layer-margin"}

    def test_a_name_that_is_markup_stays_a_name(self) -> None:
        pallet = replace(sample.PALLETS[0], name="<script>x</script>&\"'")
        assessment = sample.assessment(floors=(sample.floor(pallets=(pallet,)),))
        drawing = floor_drawing(assessment.floors[0], assessment)
        text = linked(drawing.svg, {str(pallet.id): "#x"})
        assert "<script" not in text
        (link,) = tree_of(text).findall(f".//{{{SVG}}}a")
        assert "<script>x</script>&\"'" in (link.get("aria-label") or "")


def test_a_page_gets_the_same_legend_as_the_paper() -> None:
    assessment = sample.assessment()
    floor = assessment.floors[0]
    beside = floor_drawing(floor, assessment)
    paper = tree_of(floor_map(floor, assessment))
    on_paper = [
        " ".join(text.text or "" for text in entry.iter(f"{{{SVG}}}text"))
        for entry in paper.iter()
        if entry.get("data-legend")
    ]
    assert [entry.says for entry in beside.legend] == on_paper
    assert 'class="legend"' not in beside.svg
    for entry in beside.legend:
        assert len(tree_of(entry.sample)) > 0


class TestPacking:
    @pytest.mark.parametrize(
        ("header", "takes"),
        [
            # The examples of RFC 9110, section 12.5.3, in its order.
            ("compress, gzip", True),
            ("", False),
            ("*", True),
            ("compress;q=0.5, gzip;q=1.0", True),
            ("gzip;q=1.0, identity; q=0.5, *;q=0", True),
            # A weight of 0 means not acceptable (section 12.4.2), whatever else is.
            ("gzip;q=0", False),
            ("gzip; q=0.000, *", False),
            ("br, *;q=0", False),
            ("deflate, GZIP", True),
            ("identity", False),
        ],
    )
    def test_the_header_decides(self, header: str, *, takes: bool) -> None:
        assert takes_gzip(header) is takes

    def test_packing_is_undone_and_the_same_each_time(self) -> None:
        body = b"drum " * 1000
        assert gzip.decompress(packed(body)) == body
        assert packed(body) == packed(body)
        assert len(packed(body)) < len(body) / 10


class TestStaticFiles:
    @pytest.fixture
    def folder(self, tmp_path: Path) -> Path:
        (tmp_path / "css").mkdir()
        (tmp_path / "css" / "a.css").write_text("p { color: black }", encoding="utf-8")
        return tmp_path

    @pytest.fixture
    def files(self, folder: Path) -> StaticFiles:
        return StaticFiles(folder)

    @pytest.fixture
    def client(self, files: StaticFiles) -> Iterator[TestClient]:
        app = FastAPI()
        app.include_router(static_router(files))
        with TestClient(app, headers={"Accept-Encoding": "identity"}) as client:
            yield client

    def test_a_file_is_kept_for_good_under_its_version(self, client: TestClient, files: StaticFiles) -> None:
        answer = client.get(files.address("css/a.css"))
        assert (answer.text, answer.headers["content-type"]) == ("p { color: black }", "text/css; charset=utf-8")
        assert answer.headers["Cache-Control"] == "public, max-age=31536000, immutable"
        again = client.get(files.address("css/a.css"), headers={"If-None-Match": answer.headers["ETag"]})
        assert (again.status_code, again.content) == (304, b"")

    def test_an_address_of_an_older_version_answers_and_is_not_kept(self, client: TestClient) -> None:
        answer = client.get("/static/0123456789abcdef/css/a.css")
        assert answer.status_code == 200
        assert "max-age" not in answer.headers["Cache-Control"]
        assert "no-cache" in answer.headers["Cache-Control"]

    def test_a_changed_file_changes_every_address(self, folder: Path, files: StaticFiles) -> None:
        (folder / "css" / "a.css").write_text("p { color: navy }", encoding="utf-8")
        assert StaticFiles(folder).version != files.version
        assert StaticFiles(folder).version == StaticFiles(folder).version

    @pytest.mark.parametrize(
        "name", ["css/none.css", "../../../etc/passwd", "..%2f..%2fetc%2fpasswd", "css", "", "css/a.css/"]
    )
    def test_only_the_files_of_the_folder_answer(self, client: TestClient, files: StaticFiles, name: str) -> None:
        assert client.get(f"/static/{files.version}/{name}").status_code == 404

    def test_a_template_that_names_no_file_is_a_fault(self, files: StaticFiles) -> None:
        with pytest.raises(LookupError, match=r"none\.css"):
            files.address("css/none.css")

    def test_the_fonts_of_the_maps_are_served(self) -> None:
        """Names on a map are measured in this face; in another they would run over each other."""
        names = StaticFiles().names
        assert {"fonts/fonts.css", "fonts/DejaVuSansCondensed.ttf", "fonts/DejaVuSansCondensed-Bold.ttf"} <= set(names)
