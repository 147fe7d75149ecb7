"""How much room page 1 gives to each of its lists and texts, from roomy to tight."""

import re
from typing import Literal, NamedTuple

_HEIGHT = re.compile(r'<svg\b[^>]*\bheight="([\d.]+)pt"')
_LATE_ENOUGH = 0.4
"""A cut is made at a clause only if this share of the room is used; otherwise at a word."""


class Fit(NamedTuple):
    """How page 1 is set: which of its drawings, and how much of each list and each text has room.

    `size` is nine, eight and a half or eight points. A text longer than its number of letters is cut at a clause or a
    word and ends in an ellipsis; its whole length stands behind page 1. STOP sentences and first actions are never cut.
    """

    size: Literal["large", "middle", "small"]
    map: int
    stop_letters: int
    names: int
    letters: int
    headline: int
    most_zones: int
    most_drains: int
    most_callers: int
    most_unknowns: int


FITS = (
    Fit("large", 0, 400, 200, 400, 300, 8, 8, 5, 8),
    Fit("large", 1, 300, 140, 300, 220, 8, 8, 5, 8),
    Fit("large", 2, 240, 120, 240, 180, 7, 8, 4, 7),
    Fit("middle", 2, 220, 110, 220, 160, 6, 7, 4, 6),
    Fit("middle", 3, 200, 100, 190, 150, 6, 7, 4, 6),
    Fit("middle", 4, 180, 90, 170, 140, 5, 6, 4, 5),
    Fit("small", 4, 160, 90, 160, 130, 5, 6, 3, 5),
    Fit("small", 4, 140, 80, 140, 125, 5, 6, 3, 4),
    Fit("small", 5, 130, 70, 120, 120, 4, 6, 3, 4),
    Fit("small", 5, 110, 60, 105, 115, 4, 5, 3, 3),
    Fit("small", 5, 100, 60, 100, 115, 4, 5, 3, 3),
    Fit("small", 5, 90, 50, 90, 110, 3, 5, 2, 3),
    Fit("small", 5, 75, 50, 80, 110, 3, 4, 2, 3),
    Fit("small", 6, 75, 50, 80, 110, 3, 4, 2, 3),
    Fit("small", 6, 65, 45, 70, 110, 3, 4, 2, 2),
    Fit("small", 6, 60, 40, 60, 100, 3, 3, 2, 2),
    Fit("small", 7, 55, 36, 60, 100, 3, 3, 1, 2),
    Fit("small", 7, 50, 36, 55, 90, 2, 3, 1, 2),
    Fit("small", 7, 45, 36, 50, 80, 2, 3, 1, 1),
    Fit("small", 7, 40, 34, 42, 70, 2, 2, 1, 1),
    Fit("small", 8, 30, 30, 36, 60, 1, 2, 1, 1),
    Fit("small", 8, 24, 24, 28, 50, 1, 1, 1, 1),
    Fit("small", 9, 20, 16, 20, 40, 1, 1, 1, 0),
    Fit("small", 9, 16, 12, 16, 30, 1, 1, 1, 0),
)
"""From roomy to tight; page 1 takes the roomiest with which it is one page."""


def shortened(text: str, letters: int) -> str:
    """Cut a text so that it has no more than so many letters, at a sentence or clause where one ends late enough."""
    if len(text) <= letters:
        return text
    cut = text[: letters - 1]
    ends = [place + 1 for place in (cut.rfind(". "), cut.rfind("; ")) if place >= _LATE_ENOUGH * letters]
    if ends:
        return f"{cut[: max(ends)].rstrip(';')} …"
    return f"{cut[: cut.rfind(' ')] if ' ' in cut else cut}…"


def height_pt(drawing: str) -> float:
    """Printed height of a drawing [pt]: while page 1 is tried, an empty box of that height stands in for it."""
    found = _HEIGHT.search(drawing)
    if found is None:
        raise ValueError("a drawing without a height in points cannot be set")
    return float(found[1])
