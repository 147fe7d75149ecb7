"""PrePlan → HTML → PDF: the only room that knows templates and the PDF library.

Nothing is fetched but our own style sheets and type faces, and nothing but the plan decides the bytes: no clock, no time
zone, no hash seed, no face installed on the machine.
"""

import io
import os
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import UTC, date, datetime, time
from functools import cache
from pathlib import Path
from typing import Literal
from urllib.parse import urlsplit
from urllib.request import url2pathname

import pikepdf
import weasyprint
from fontTools.ttLib import TTFont
from jinja2 import Environment, FileSystemLoader, StrictUndefined
from weasyprint.text.fonts import FontConfiguration
from weasyprint.urls import FatalURLFetchingError, URLFetcher, URLFetcherResponse

from reports.preplan import PrePlan

Paper = Literal["A4", "letter"]

ROOM = Path(__file__).resolve().parent
SERVED = (ROOM / "fonts", ROOM / "styles")
"""The only folders that a page may take anything from."""


@dataclass(frozen=True, slots=True)
class Fit:
    """How page 1 is set: type size, which of its drawings, and how many entries of each list have room.

    A text longer than `letters` is cut at a word and ends in an ellipsis; its whole length stands behind page 1. STOP
    sentences and first actions are never cut.
    """

    size: int
    map: int
    most: int
    most_drains: int
    most_callers: int
    headline: int
    letters: int


FITS = (
    Fit(size=9, map=0, most=8, most_drains=8, most_callers=6, headline=400, letters=400),
    Fit(size=9, map=1, most=6, most_drains=6, most_callers=5, headline=200, letters=300),
    Fit(size=8, map=1, most=6, most_drains=6, most_callers=4, headline=160, letters=240),
    Fit(size=8, map=2, most=5, most_drains=6, most_callers=4, headline=120, letters=200),
    Fit(size=8, map=3, most=5, most_drains=5, most_callers=3, headline=110, letters=160),
    Fit(size=7, map=3, most=4, most_drains=5, most_callers=3, headline=100, letters=140),
    Fit(size=7, map=4, most=4, most_drains=4, most_callers=3, headline=90, letters=120),
    Fit(size=7, map=5, most=3, most_drains=4, most_callers=2, headline=80, letters=90),
    Fit(size=7, map=5, most=2, most_drains=3, most_callers=1, headline=60, letters=60),
)
"""From roomy to tight; the first one with which page 1 is one page is taken."""


class PaperRefused(ValueError):
    """Page 1 cannot be set on one page, whatever is left for the pages behind it."""


def render_html(plan: PrePlan, *, paper: Paper = "A4", fit: Fit = FITS[0]) -> str:
    """Set a plan as one HTML page whose addresses are relative to this folder."""
    return _set(plan, paper, fit, front_only=False)


def render_pdf(plan: PrePlan, *, paper: Paper) -> bytes:
    """Set a plan as a tagged PDF.

    Parameters
    ----------
    plan : PrePlan
    paper : "A4" or "letter"

    Returns
    -------
    bytes
        The same for the same plan and paper, in every process on one machine.

    Raises
    ------
    PaperRefused
        If page 1 does not fit one page even at its tightest setting.
    """
    faces = FontConfiguration()
    with _survey_clock(plan.edition.plan_date_iso):
        fit = _first_fit(plan, paper, faces)
        document = _page(_set(plan, paper, fit, front_only=False))
        pdf = document.write_pdf(font_config=faces, pdf_variant="pdf/ua-1", pdf_tags=True)
    return _with_header_scope(pdf)


def _first_fit(plan: PrePlan, paper: Paper, faces: FontConfiguration) -> Fit:
    for fit in FITS:
        if fit.map and fit.map >= len(plan.front.maps) > 0:
            fit = _with_smallest_map(fit, len(plan.front.maps))
        document = _page(_set(plan, paper, fit, front_only=True)).render(font_config=faces)
        if len(document.pages) == 1:
            return fit
    raise PaperRefused(f"{plan.edition.site}: page 1 does not fit one {paper} page; shorten its longest entries")


def _with_smallest_map(fit: Fit, drawings: int) -> Fit:
    return Fit(fit.size, drawings - 1, fit.most, fit.most_drains, fit.most_callers, fit.headline, fit.letters)


def _set(plan: PrePlan, paper: Paper, fit: Fit, *, front_only: bool) -> str:
    text = _templates().get_template("preplan.html").render(plan=plan, paper=paper, fit=fit, front_only=front_only)
    return printable(text)


@cache
def _templates() -> Environment:
    environment = Environment(
        loader=FileSystemLoader(ROOM / "templates"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    environment.filters["short"] = shortened
    return environment


def shortened(text: str, letters: int) -> str:
    """Cut a text at a word so that it has no more than so many letters, with an ellipsis for what is missing."""
    if len(text) <= letters:
        return text
    cut = text[: letters - 1]
    return f"{cut[: cut.rfind(' ')] if ' ' in cut else cut}…"


def _page(html: str) -> weasyprint.HTML:
    return weasyprint.HTML(string=html, base_url=f"{ROOM.as_uri()}/", url_fetcher=OwnFiles())


class OwnFiles(URLFetcher):  # type: ignore[misc]
    """Fetches our own style sheets and faces; any other address stops the rendering."""

    def fetch(self, url: str, headers: Mapping[str, str] | None = None) -> URLFetcherResponse:
        address = urlsplit(url)
        path = Path(url2pathname(address.path)).resolve()
        if address.scheme != "file" or address.netloc or not any(path.is_relative_to(each) for each in SERVED):
            raise FatalURLFetchingError(f"a paper takes files only from fonts and styles, found {url}")
        return super().fetch(url, headers)


def printable(text: str) -> str:
    """Write a letter that no bundled face has as its Unicode number, so that nothing prints as an empty box."""
    missing = {letter for letter in set(text) if ord(letter) not in _covered() and letter not in "\t\n\r"}
    return text.translate({ord(letter): f"[U+{ord(letter):04X}]" for letter in missing})


@cache
def _covered() -> frozenset[int]:
    """Every character that the bundled faces can print, bold and slanted as well as upright."""
    family = [_characters(path) for path in sorted((ROOM / "fonts").glob("*.ttf"))]
    wide = [_characters(path) for path in sorted((ROOM / "fonts" / "wide").glob("*.ttf"))]
    return frozenset.intersection(*family).union(*wide)


def _characters(path: Path) -> frozenset[int]:
    with TTFont(path, lazy=True) as face:
        return frozenset(face.getBestCmap())


@contextmanager
def _survey_clock(plan_date_iso: str) -> Iterator[None]:
    """Let the plan's date stand for the clock: without libharfbuzz-subset, subset faces are stamped with the time."""
    noon = datetime.combine(date.fromisoformat(plan_date_iso), time(12), tzinfo=UTC)
    before = os.environ.get("SOURCE_DATE_EPOCH")
    os.environ["SOURCE_DATE_EPOCH"] = str(int(noon.timestamp()))
    try:
        yield
    finally:
        if before is None:
            del os.environ["SOURCE_DATE_EPOCH"]
        else:
            os.environ["SOURCE_DATE_EPOCH"] = before


def _with_header_scope(pdf: bytes) -> bytes:
    """Say of each table header whether it heads a column or a row, which the PDF library leaves out."""
    with pikepdf.open(io.BytesIO(pdf)) as document:
        _scope_below(document.Root.StructTreeRoot, in_head=False)
        written = io.BytesIO()
        document.save(written, deterministic_id=True, object_stream_mode=pikepdf.ObjectStreamMode.generate)
    return written.getvalue()


def _scope_below(element: pikepdf.Object, *, in_head: bool) -> None:
    children = element.get("/K")
    if children is None:
        return
    for child in children if isinstance(children, pikepdf.Array) else [children]:
        if not isinstance(child, pikepdf.Dictionary):
            continue
        kind = str(child.get("/S", ""))
        if kind == "/TH":
            scope = pikepdf.Name.Column if in_head else pikepdf.Name.Row
            child.A = pikepdf.Dictionary(O=pikepdf.Name.Table, Scope=scope)
        _scope_below(child, in_head=in_head or kind == "/THead")
