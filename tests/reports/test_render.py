"""The PDF: page 1 complete on page 1, nothing under 8 pt, no empty boxes, tagged, and the same bytes everywhere."""

import hashlib
import io
import logging
import os
import re
import subprocess
import sys
from collections.abc import Callable, Iterator
from ctypes import c_float
from dataclasses import replace
from functools import cache
from math import sqrt
from pathlib import Path
from typing import Any

import pikepdf
import pypdfium2
import pypdfium2.raw as pdfium
import pytest
from weasyprint.urls import FatalURLFetchingError

import reports
from reports.assessment import Assessment
from reports.facts import SiteFacts
from reports.preplan import preplan
from reports.render import OwnFiles, Paper, PaperRefused, printable, render_html, render_pdf
from tests.reports import extremes, sample

ROOM = Path(reports.__file__).parent
PAPERS: tuple[Paper, ...] = ("A4", "letter")
# ISO 216 A4 is 210 × 297 mm; ANSI/ASME Y14.1 letter is 8.5 × 11 in (both recalled).
SIZES_PT = {"A4": (210 / 25.4 * 72, 297 / 25.4 * 72), "letter": (612, 792)}
CASES: dict[str, Callable[[], tuple[Assessment, SiteFacts]]] = {
    "sample": lambda: (sample.assessment(), sample.facts()),
    "empty": extremes.empty,
    "strange names": lambda: one_zone(*extremes.renamed(" ".join(extremes.SCRIPTS))),
}


def one_zone(judged: Assessment, facts: SiteFacts) -> tuple[Assessment, SiteFacts]:
    """Keep one storage zone: a page 1 that is tried is the same, and the pages behind it are fewer."""
    return replace(judged, floors=(replace(judged.floors[0], zones=judged.floors[0].zones[:1]),)), facts


class Heard(logging.Handler):
    """Keeps what the PDF library warns of: a letter without a face, a link to nowhere, a style it does not know."""

    def __init__(self) -> None:
        super().__init__(logging.WARNING)
        self.said: list[str] = []

    def emit(self, record: logging.LogRecord) -> None:
        self.said.append(record.getMessage())


@cache
def made_and_heard(case: str, paper: Paper) -> tuple[bytes, tuple[str, ...]]:
    heard = Heard()
    logger = logging.getLogger("weasyprint")
    logger.addHandler(heard)
    try:
        return render_pdf(preplan(*CASES[case]()), paper=paper), tuple(heard.said)
    finally:
        logger.removeHandler(heard)


def made(case: str, paper: Paper) -> bytes:
    return made_and_heard(case, paper)[0]


@cache
def page_texts(case: str, paper: Paper) -> tuple[str, ...]:
    """Text of each page with its line ends as spaces."""
    with pypdfium2.PdfDocument(made(case, paper)) as document:
        return tuple(" ".join(page.get_textpage().get_text_range().split()) for page in document)


@pytest.fixture(params=PAPERS, name="paper")
def _paper(request: pytest.FixtureRequest) -> Paper:
    paper: Paper = request.param
    return paper


def test_page_one_holds_everything_that_must_be_on_it(paper: Paper) -> None:
    first = page_texts("sample", paper)[0]
    for wanted in (
        "Harrow Lane Solvent Store",
        "14 Harrow Lane, Eastmere",
        "A Harrow Lane, south",
        "D yard, east",
        "Plan of 25 Nov 2026",
        "Last walk 20 Nov 2026, 5 days before",
        "Oldest entry 1 Mar 2024, 999 days before",
        "100.0 % seen",
        "90.0 % label read",
        "20.0 % identified",
        "day 07:00-17:00: 6",
        "night 17:00-07:00: not recorded",
        "Entrance roller door",
        "Key box left of the gate",
        "Do not touch, move, tighten, plug or overpack.",
        "Do not cool with a straight stream.",
        "Do not open, tip or sample.",
        "Stand-off 50 m (164 ft) a bulging drum Emergency Response Guidebook, guide 127 verify",
        "Nearest water hydrant H12, 90 m (295 ft)",
        "Fire department connection none recorded",
        "Shut-offs outside gas: cock in the yard wall",
        "grid squares 2 m (7 ft)",
        "worst storage zones",
        "D1 → storm, ditch 60 m south unproven",
        "D2 → interceptor, then storm",
        "1 South-east A drum bulges at both heads",
        "1. Close the ditch with a soil dam at the outfall of D1.",
        "3. Cover gully D1, once P08 is out of sight.",
        "Operations level; from the yard, outside the stand-off.",
        "Leave at leave at any hiss, ping or vapour.",
        "Call by day 555-0142 J. Marwood (operator)",
        "Call by night 555-0177 Control room (sewer operator)",
        "What P07-1 and P07-2 hold.",
        "Local codes, the incident commander and licensed practice govern.",
    ):
        assert wanted in first, wanted
    assert "Do not seal in a salvage drum without a vent." not in first
    assert "4. Shut the penstock" not in first


def test_what_has_no_room_on_page_one_is_counted_and_found_on_the_page_named(paper: Paper) -> None:
    pages = page_texts("sample", paper)
    more = re.findall(r"\+ (\d+) more, page (\d+)", pages[0])
    assert more[0][0] == "1"
    stops = pages[int(more[0][1]) - 1]
    assert "STOP lines" in stops
    assert stops.count("Instead") == 4
    assert "Do not seal in a salvage drum without a vent." in stops
    actions = next(page for count, page in more[1:] if "4. Shut the penstock" in pages[int(page) - 1])
    assert "First actions, in order" in pages[int(actions) - 1]
    cautions = re.search(r"Cautions: page (\d+)", pages[0])
    assert cautions is not None
    assert "This plan is an aid." in pages[int(cautions[1]) - 1]


def test_banners_are_on_page_one_when_set_and_not_otherwise() -> None:
    first = page_texts("strange names", "letter")[0]
    assert "NO ENTRY Do not enter: 北倉庫第一区画" in first
    assert "EARLIER PLAN NOT TO BE RELIED ON Earlier record: 北倉庫第一区画" in first
    assert "NO ENTRY" not in page_texts("sample", "letter")[0]
    assert "NOT TO BE RELIED ON" not in page_texts("sample", "letter")[0]


@pytest.mark.parametrize("case", CASES)
def test_every_page_names_site_date_age_snapshot_and_its_number(case: str) -> None:
    pages = page_texts(case, "letter")
    for number, text in enumerate(pages, start=1):
        assert f"Page {number} of {len(pages)}" in text
        assert "Snapshot 0123456789ab" in text
        assert "Plan of 25 Nov 2026, " in text
        assert ("last walk 5 days before that day" in text) != (case == "empty")
    if case in ("sample", "empty"):
        assert all("Harrow Lane Solvent Store" in text for text in pages)


def test_a_site_of_which_nothing_is_known_says_so_on_every_count() -> None:
    first = page_texts("empty", "letter")[0]
    assert "Last walk not recorded" in first
    assert "No floor is recorded: there is no map." in first
    assert "Unknown is not safe" in first
    assert "That nobody recorded one does not mean there is none." in first


def test_technicians_read_their_heading_before_any_method() -> None:
    text = " ".join(page_texts("sample", "A4"))
    assert text.index("For technicians only") < text.index("Square-ended plug, caulked")


def test_pages_have_the_size_of_their_paper(paper: Paper) -> None:
    with pypdfium2.PdfDocument(made("sample", paper)) as document:
        for page in document:
            assert page.get_size() == pytest.approx(SIZES_PT[paper], abs=0.5)


def type_sizes(document: pypdfium2.PdfDocument) -> Iterator[tuple[float, int]]:
    """Size of every piece of text as printed [pt], with its page."""
    for number, page in enumerate(document, start=1):
        for each in page.get_objects(filter=[pdfium.FPDF_PAGEOBJ_TEXT], max_depth=15):
            assert each.level == 0, "text in a drawing inside a drawing: its size is not simply that of its matrix"
            matrix, size = each.get_matrix(), c_float()
            assert pdfium.FPDFTextObj_GetFontSize(each.raw, size)
            yield size.value * sqrt(abs(matrix.a * matrix.d - matrix.b * matrix.c)), number


@pytest.mark.parametrize("case", CASES)
def test_no_text_is_smaller_than_eight_points(case: str) -> None:
    with pypdfium2.PdfDocument(made(case, "letter")) as document:
        sizes = list(type_sizes(document))
    assert len(sizes) > 100 or case == "empty"
    assert min(sizes)[0] >= 7.99, min(sizes)
    assert max(sizes)[0] > 12


@pytest.mark.parametrize("case", CASES)
def test_nothing_is_clipped_at_the_edge_of_the_paper(case: str) -> None:
    with pypdfium2.PdfDocument(made(case, "letter")) as document:
        for page in document:
            width, height = page.get_size()
            for each in page.get_objects(filter=[pdfium.FPDF_PAGEOBJ_TEXT], max_depth=1):
                left, low, right, high = each.get_bounds()
                assert left >= 20, (left, low, right, high)
                assert right <= width - 20
                assert low >= 8
                assert high <= height - 8


@pytest.mark.parametrize("case", CASES)
def test_every_letter_has_a_face_of_ours_and_no_warning_is_given(case: str) -> None:
    pdf, warnings = made_and_heard(case, "letter")
    assert warnings == ()
    with pikepdf.open(io.BytesIO(pdf)) as document:
        names = {str(font.BaseFont) for page in document.pages for font in page.Resources.Font.values()}
    assert names
    assert all(re.search(r"Drumwalk|DejaVu|Droid", name) for name in names), names


def test_the_face_for_wide_letters_is_the_one_that_was_bundled() -> None:
    wide = ROOM / "fonts" / "wide"
    lines = (wide / "SHA256SUMS").read_text(encoding="utf-8").splitlines()
    recorded = {name: digest for digest, name in (line.split(maxsplit=1) for line in lines)}
    assert set(recorded) == {"DroidSansFallback.ttf", "LICENCE-DroidSansFallback.txt"}
    assert recorded == {name: hashlib.sha256((wide / name).read_bytes()).hexdigest() for name in recorded}


def test_letters_without_a_face_are_spelt_out() -> None:
    assert printable("plain → text") == "plain → text"
    assert printable("ห้อง 7") == "[U+0E2B 0E49 0E2D 0E07] 7"
    assert printable("<p>🛢</p><svg><text>🛢 7</text></svg>") == "<p>[U+1F6E2]</p><svg><text>\ufffd 7</text></svg>"
    first = page_texts("strange names", "letter")[0]
    assert "北倉庫第一区画" in first
    assert "Склад № 7" in first


def test_what_somebody_typed_stays_text() -> None:
    judged, facts = extremes.renamed('<script src="http://example.test/x.js"></script><img src=x>&amp;')
    html = render_html(preplan(judged, facts))
    assert "<script" not in html
    assert "<img" not in html
    assert "&lt;script" in html


@pytest.mark.parametrize(
    "url",
    [
        "http://example.test/face.ttf",
        "https://example.test/style.css",
        "data:text/css,p{}",
        "file:///etc/hostname",
        "file://example.test/etc/hostname",
        (ROOM / "render.py").as_uri(),
        (ROOM / "styles").as_uri() + "/../render.py",
        (ROOM / "styles").as_uri() + "/%2e%2e/render.py",
        (ROOM / "fonts").as_uri() + "-elsewhere/face.ttf",
    ],
)
def test_nothing_is_fetched_but_our_own_styles_and_faces(url: str) -> None:
    with pytest.raises(FatalURLFetchingError, match="fonts and styles"):
        OwnFiles().fetch(url)


def test_our_own_styles_are_fetched() -> None:
    response = OwnFiles().fetch((ROOM / "styles" / "paper.css").as_uri())
    assert b"@page" in response.read()


def test_a_page_one_that_cannot_fit_is_refused_and_named() -> None:
    endless = tuple(sample.stop("P08-2", f"Do not {n} " + "and never " * 400, "b", "c", weight=1) for n in range(3))
    with pytest.raises(PaperRefused, match="Harrow Lane Solvent Store: page 1 does not fit one letter page"):
        render_pdf(preplan(sample.assessment(stops=endless), sample.facts()), paper="letter")


def test_the_pdf_is_tagged_titled_and_sound(paper: Paper) -> None:
    with pikepdf.open(io.BytesIO(made("sample", paper))) as document:
        assert document.check_pdf_syntax() == []
        root = document.Root
        assert bool(root.MarkInfo.Marked)
        assert str(root.Lang) == "en-GB"
        assert bool(root.ViewerPreferences.DisplayDocTitle)
        assert str(document.docinfo.Title) == "Pre-plan: Harrow Lane Solvent Store"
        assert str(document.docinfo.CreationDate).startswith("D:20261125")
        assert str(document.docinfo.ModDate).startswith("D:20261125")
        assert 'pdfuaid:part="1"' in root.Metadata.read_bytes().decode() or "<pdfuaid:part>1<" in (
            root.Metadata.read_bytes().decode()
        )


def kids_of(element: pikepdf.Object) -> list[Any]:
    kids = element.get("/K")
    if kids is None:
        return []
    return list(kids) if isinstance(kids, pikepdf.Array) else [kids]


def structure(element: pikepdf.Object) -> Iterator[pikepdf.Object]:
    for kid in kids_of(element):
        if isinstance(kid, pikepdf.Dictionary) and "/S" in kid:
            yield kid
            yield from structure(kid)


def test_table_headers_say_what_they_head_and_figures_have_words() -> None:
    with pikepdf.open(io.BytesIO(made("sample", "A4"))) as document:
        parts = list(structure(document.Root.StructTreeRoot))
        scopes = [str(part.A.Scope) for part in parts if part.S == "/TH"]
        assert {"/Column", "/Row"} == set(scopes)
        heads = [part for part in parts if part.S == "/THead"]
        assert heads
        assert all(str(cell.A.Scope) == "/Column" for head in heads for cell in structure(head) if cell.S == "/TH")
        figures = [str(part.get("/Alt", "")) for part in parts if part.S == "/Figure"]
        assert "Map of Hall, Harrow Lane Solvent Store" in figures
        assert all(figures)


def test_every_piece_of_marked_text_hangs_in_the_structure_once() -> None:
    with pikepdf.open(io.BytesIO(made("sample", "A4"))) as document:
        tree = document.Root.StructTreeRoot
        held: dict[tuple[tuple[int, int], int], tuple[int, int]] = {}
        for part in structure(tree):
            for kid in kids_of(part):
                if isinstance(kid, int):
                    assert (part.Pg.objgen, kid) not in held
                    held[(part.Pg.objgen, kid)] = part.objgen
        numbers = tree.ParentTree.Nums
        parents = {int(numbers[place]): numbers[place + 1] for place in range(0, len(numbers), 2)}
        for page in document.pages:
            owners = parents[int(page.StructParents)]
            marked = {int(found) for found in re.findall(rb"/MCID (\d+)", page.Contents.read_bytes())}
            assert marked
            for number in marked:
                assert held[(page.obj.objgen, number)] == owners[number].objgen
            assert page.Contents.read_bytes().count(b"/Artifact") > 0


def test_bookmarks_lead_to_the_parts() -> None:
    with pypdfium2.PdfDocument(made("sample", "A4")) as document:
        titles = {entry.get_title(): entry.get_dest().get_index() for entry in document.get_toc()}
    assert titles["Harrow Lane Solvent Store"] == 0
    assert titles["1 Storage zone South-east"] > titles["Findings, worst first"] >= titles["STOP lines"] == 1
    assert titles["Drains"] > 0
    assert titles["Sources"] > titles["1 Storage zone South-east"]


def test_papers_stay_small() -> None:
    assert len(made("sample", "A4")) < 250_000


HASHED = """
import hashlib
from tests.reports import sample
from reports.preplan import preplan
from reports.render import render_pdf
judged = sample.assessment(findings=sample.FINDINGS[:2], floors=(sample.floor(zones=sample.ZONES[:1]),))
print(hashlib.sha256(render_pdf(preplan(judged, sample.facts()), paper="A4")).hexdigest())
"""


def test_bytes_are_the_same_in_every_process_time_zone_and_hash_seed() -> None:
    settings = (
        {"TZ": "Pacific/Kiritimati", "PYTHONHASHSEED": "1", "LC_ALL": "C"},
        {"TZ": "America/Los_Angeles", "PYTHONHASHSEED": "2", "SOURCE_DATE_EPOCH": "1", "LC_ALL": "C.UTF-8"},
    )
    running = [
        subprocess.Popen(
            [sys.executable, "-c", HASHED],
            cwd=ROOM.parent,
            env=os.environ | setting,
            stdout=subprocess.PIPE,
            text=True,
        )
        for setting in settings
    ]
    digests = [process.communicate(timeout=120)[0].strip() for process in running]
    assert [process.returncode for process in running] == [0, 0]
    assert re.fullmatch(r"[0-9a-f]{64}", digests[0])
    assert digests[0] == digests[1]


def test_rendering_leaves_the_environment_as_it_was(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv("SOURCE_DATE_EPOCH", raising=False)
    once = made("empty", "letter")
    assert "SOURCE_DATE_EPOCH" not in os.environ
    monkeypatch.setenv("SOURCE_DATE_EPOCH", "7")
    assert render_pdf(preplan(*extremes.empty()), paper="letter") == once
    assert os.environ["SOURCE_DATE_EPOCH"] == "7"
