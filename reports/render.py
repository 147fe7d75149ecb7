"""PrePlan → HTML → PDF: the only room that knows templates and the PDF library.

Nothing is fetched but our own style sheets and type faces, and nothing but the plan decides the bytes: no clock, no
time zone, no hash seed, no face installed on the machine.
"""

import io
import os
import re
from bisect import bisect_left
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from datetime import UTC, date, datetime, time
from functools import cache
from itertools import groupby
from pathlib import Path
from typing import Literal, NamedTuple
from urllib.parse import urlsplit
from urllib.request import url2pathname

import pikepdf
import weasyprint
from fontTools.ttLib import TTFont
from jinja2 import Environment, FileSystemLoader, StrictUndefined
from weasyprint.text.fonts import FontConfiguration
from weasyprint.urls import FatalURLFetchingError, URLFetcher, URLFetcherResponse

from reports.preplan import PrePlan
from reports.preplan.fitting import FITS, Fit, height_pt, shortened

Paper = Literal["A4", "letter"]

pikepdf.settings.set_flate_compression_level(9)

ROOM = Path(__file__).resolve().parent
SERVED = (ROOM / "fonts", ROOM / "styles")
"""The only folders that a page may take anything from."""


_HOLDS_TEXT = {"/P", "/LBody", "/Lbl", "/TD", "/TH", "/H1", "/H2", "/H3", "/H4", "/Link", "/Span", "/NonStruct"}
_DRAWING = re.compile(r"(<svg\b.*?</svg>)", re.DOTALL)
_LONG_NUMBER = re.compile(rb"-?\d+\.\d{3,}")
_SURELY_A_PLACE = 10
"""A number below this may be a scale, which is multiplied by places: it keeps more digits."""
_SAYS = ("/Alt", "/ActualText", "/Lang", "/A")
_MARKED = re.compile(rb"/\w+\n<</MCID (\d+)>>\nBDC")
_Number = tuple[int, int]
"""Number of an object in a PDF."""


class _Tags(NamedTuple):
    """What was learnt of the structure: spans folded into others, and the marked text of each page that hangs in it."""

    folded: dict[_Number, pikepdf.Object]
    hung: dict[_Number, set[int]]


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
        fit = _roomiest_fit(plan, paper, faces)
        document = _page(_set(plan, paper, fit, front_only=False))
        pdf = document.write_pdf(font_config=faces, pdf_variant="pdf/ua-1", pdf_tags=True)
    return _finished(pdf)


def _roomiest_fit(plan: PrePlan, paper: Paper, faces: FontConfiguration) -> Fit:
    """Find it by halving: what fits at one setting fits at every tighter one."""
    fits = [fit._replace(map=min(fit.map, max(0, len(plan.front.maps) - 1))) for fit in FITS]
    first = bisect_left(fits, x=True, key=lambda fit: _is_one_page(plan, paper, fit, faces))
    if first == len(fits):
        raise PaperRefused(f"{plan.edition.site}: page 1 does not fit one {paper} page; shorten its longest entries")
    return fits[first]


def _is_one_page(plan: PrePlan, paper: Paper, fit: Fit, faces: FontConfiguration) -> bool:
    document = _page(_set(plan, paper, fit, front_only=True)).render(font_config=faces)
    return len(document.pages) == 1


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
    environment.filters["short"] = lambda text, letters: shortened(printable(text), letters)
    environment.filters["height_pt"] = height_pt
    return environment


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
    """Write letters that no bundled face has as their Unicode numbers, so that nothing prints as an empty box.

    *ห้อง* becomes *[U+0E2B 0E49 0E2D 0E07]*; tabs and line ends stay. On a drawing, where a label has only the room
    that was measured for it, each becomes one replacement character: the tables spell the name out.
    """
    if not _uncovered(text):
        return text
    parts = _DRAWING.split(text)
    return "".join(_replaced(part) if place % 2 else _spelt(part) for place, part in enumerate(parts))


def _uncovered(text: str) -> set[str]:
    return {letter for letter in set(text) if ord(letter) not in _covered() and letter not in "\t\n\r"}


def _replaced(drawing: str) -> str:
    return drawing.translate({ord(letter): "\ufffd" for letter in _uncovered(drawing)})


def _spelt(text: str) -> str:
    missing = _uncovered(text)
    parts = []
    for lacking, letters in groupby(text, key=missing.__contains__):
        run = "".join(letters)
        parts.append(f"[U+{' '.join(f'{ord(letter):04X}' for letter in run)}]" if lacking else run)
    return "".join(parts)


@cache
def _covered() -> frozenset[int]:
    """Every character that the bundled faces can print, upright and bold; nothing that is recorded is set slanted."""
    fonts = ROOM / "fonts"
    upright, bold = (_characters(fonts / f"DejaVuSansCondensed{weight}.ttf") for weight in ("", "-Bold"))
    return (upright & bold) | _characters(fonts / "wide" / "DroidSansFallback.ttf")


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


def _finished(pdf: bytes) -> bytes:
    """Mend the tags that the PDF library leaves plain, and write the file so that its bytes depend on nothing else.

    Each table header says whether it heads a column or a row. The library tags every line of text as a span of its own:
    spans that say nothing are folded into what they stand in, which halves the file. The lines at the foot of each page
    hang nowhere in the structure: they are marked as the artifacts that they are.
    """
    with pikepdf.open(io.BytesIO(pdf)) as document:
        tree = document.Root.StructTreeRoot
        tags = _Tags({}, {})
        _mend(tree, tags, in_head=False)
        parents = _numbered(tree.ParentTree.Nums)
        for page in document.pages:
            owners = parents[int(page.StructParents)]
            hung = tags.hung.get(page.obj.objgen, set())
            for number, owner in enumerate(owners):
                owners[number] = _holder(owner, tags.folded) if number in hung else None
            page.Contents.write(_terse(page.Contents.read_bytes(), hung))
        written = io.BytesIO()
        document.save(
            written,
            deterministic_id=True,
            object_stream_mode=pikepdf.ObjectStreamMode.generate,
            recompress_flate=True,
        )
    return written.getvalue()


def _numbered(entries: pikepdf.Object) -> dict[int, pikepdf.Object]:
    return {int(entries[place]): entries[place + 1] for place in range(0, len(entries), 2)}


def _terse(drawing: bytes, hung: set[int]) -> bytes:
    """Write places to a hundredth of a point and scales to a ten-thousandth; leave out steps of nothing in a line.

    Marked text that is not `hung` in the structure becomes an artifact.
    """

    def tag(found: re.Match[bytes]) -> bytes:
        return found[0] if int(found[1]) in hung else b"/Artifact\nBMC"

    return _MARKED.sub(tag, _LONG_NUMBER.sub(_rounded, drawing).replace(b">0<", b""))


def _rounded(found: re.Match[bytes]) -> bytes:
    value = float(found[0])
    digits = 2 if abs(value) >= _SURELY_A_PLACE else 4
    return f"{value:.{digits}f}".rstrip("0").rstrip(".").encode() if round(value, digits) else b"0"


def _mend(element: pikepdf.Object, tags: _Tags, *, in_head: bool) -> None:
    kids: list[pikepdf.Object | int] = []
    for child in _kids(element):
        if isinstance(child, int):
            tags.hung.setdefault(element.Pg.objgen, set()).add(child)
        if not isinstance(child, pikepdf.Dictionary) or "/S" not in child:
            kids.append(child)
            continue
        if child.S == "/TH":
            if "/A" not in child:
                child.A = pikepdf.Dictionary(O=pikepdf.Name.Table)
            child.A.Scope = pikepdf.Name.Column if in_head else pikepdf.Name.Row
        _mend(child, tags, in_head=in_head or child.S == "/THead")
        if _says_nothing(child, element):
            tags.folded[child.objgen] = element
            kids += _moved(child, element)
        else:
            kids.append(child)
    if kids:
        element.K = pikepdf.Array(kids)


def _kids(element: pikepdf.Object) -> list[pikepdf.Object | int]:
    kids = element.get("/K")
    if kids is None:
        return []
    return list(kids) if isinstance(kids, pikepdf.Array) else [kids]


def _moved(child: pikepdf.Object, parent: pikepdf.Object) -> list[pikepdf.Object | int]:
    kids = _kids(child)
    for kid in kids:
        if isinstance(kid, pikepdf.Dictionary) and "/P" in kid:
            kid.P = parent
    return kids


def _says_nothing(child: pikepdf.Object, parent: pikepdf.Object) -> bool:
    """Whether a span only holds text of the page that its parent is on, without a language, wording or attribute."""
    plain = child.S in ("/Span", "/NonStruct") and not any(key in child for key in _SAYS)
    return plain and str(parent.get("/S")) in _HOLDS_TEXT and bool(parent.Pg.objgen == child.Pg.objgen)


def _holder(element: pikepdf.Object, folded: Mapping[_Number, pikepdf.Object]) -> pikepdf.Object:
    while isinstance(element, pikepdf.Dictionary) and element.objgen in folded:
        element = folded[element.objgen]
    return element
