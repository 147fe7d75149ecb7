"""The signs on a map, each drawn the same on the floor and in the legend."""

from collections.abc import Callable
from enum import StrEnum
from xml.etree.ElementTree import Element

from reports.maps.frame import Box
from reports.maps.ink import (
    ACTION,
    DRAIN,
    FAINT,
    INK,
    LIQUID,
    PAPER,
    UNKNOWN,
    WORST,
    YARD,
    element,
    lettered,
)


class Symbol(StrEnum):
    """Every sign a map may use; the value is its name in the drawing."""

    WALL = "wall"
    DOOR = "door"
    BLOCKED_DOOR = "blocked-door"
    ENTRANCE = "entrance"
    YARD = "yard"
    BUND = "bund"
    SUMP = "sump"
    PIPE = "pipe"
    PLUGGED_PIPE = "plugged-pipe"
    HEAT = "heat"
    WATER = "water"
    GULLY = "gully"
    TRENCH = "trench"
    INLET = "inlet"
    PIT = "pit"
    UNSEEN_DRAIN = "unseen-drain"
    PALLET = "pallet"
    RAISED = "raised"
    DISPUTED = "disputed"
    STOP = "stop"
    THICK = "thick"
    THIN = "thin"
    ZONE = "zone"
    WORST = "worst"
    UNKNOWN = "unknown"
    STAND_OFF = "stand-off"
    ACTION = "action"
    PAIR = "pair"


LEGEND: dict[Symbol, str] = {
    Symbol.WALL: "wall",
    Symbol.DOOR: "door",
    Symbol.BLOCKED_DOOR: "door, blocked",
    Symbol.ENTRANCE: "main entrance",
    Symbol.YARD: "outdoor surface",
    Symbol.BUND: "bund, kerb",
    Symbol.SUMP: "sump",
    Symbol.PIPE: "pipe, liquid passes",
    Symbol.PLUGGED_PIPE: "pipe, plugged and proven",
    Symbol.HEAT: "heat source",
    Symbol.WATER: "water comes in",
    Symbol.GULLY: "gully",
    Symbol.TRENCH: "trench drain",
    Symbol.INLET: "drain inlet",
    Symbol.PIT: "pit",
    Symbol.UNSEEN_DRAIN: "drain not seen",
    Symbol.PALLET: "pallet",
    Symbol.RAISED: "above the floor",
    Symbol.DISPUTED: "readings disagree",
    Symbol.STOP: "STOP line here",
    Symbol.THICK: "1 drum, thick film",
    Symbol.THIN: "1 drum, thin film",
    Symbol.ZONE: "storage zone",
    Symbol.WORST: "worst storage zones",
    Symbol.UNKNOWN: "unseen or unidentified drums",
    Symbol.STAND_OFF: "stand-off",
    Symbol.ACTION: "first action",
    Symbol.PAIR: "pair that reacts",
}

SWATCH_WIDTH_PT, NARROW_SWATCH_PT, SWATCH_HEIGHT_PT = 18.0, 11.0, 8.0
GULLY_RADIUS_PT = 4.6
ACTION_RADIUS_PT = 6.2
DASH_THIN = "3 2"
DASH_STAND_OFF = "9 3 2 3"
DASH_BUND = "1 1.6"
DASH_DISPUTED = "2.4 1.4"
DASH_ZONE = "6 2.5"
DASH_PIPE = "1.2 2.2"
WORST_RANKS = 3
"""How many storage zones are drawn with a heavier edge."""


def gully(parent: Element, x: float, y: float) -> None:
    """A round grating."""
    r = GULLY_RADIUS_PT
    element(parent, "circle", cx=x, cy=y, r=r, fill=PAPER, stroke=DRAIN, stroke_width=1.5)
    element(
        parent,
        "path",
        d=f"M{x - r:.1f} {y:.1f}h{2 * r:.1f}M{x:.1f} {y - r:.1f}v{2 * r:.1f}",
        stroke=DRAIN,
        stroke_width=1.2,
    )


def inlet(parent: Element, x: float, y: float) -> None:
    """A square grating with bars."""
    element(parent, "rect", x=x - 4.4, y=y - 4.4, width=8.8, height=8.8, fill=PAPER, stroke=DRAIN, stroke_width=1.5)
    bars = "".join(f"M{x + step:.1f} {y - 4.4:.1f}v8.8" for step in (-2.2, 0, 2.2))
    element(parent, "path", d=bars, stroke=DRAIN, stroke_width=1.1)


def pit(parent: Element, x: float, y: float) -> None:
    """A square hole."""
    element(parent, "rect", x=x - 4.6, y=y - 4.6, width=9.2, height=9.2, fill=PAPER, stroke=DRAIN, stroke_width=1.5)
    element(parent, "rect", x=x - 2.3, y=y - 2.3, width=4.6, height=4.6, fill=DRAIN)


def trench(parent: Element, x: float, y: float) -> None:
    """A short piece of a long grating."""
    element(parent, "path", d=f"M{x - 8:.1f} {y:.1f}h16", stroke=DRAIN, stroke_width=5)
    element(parent, "path", d=f"M{x - 8:.1f} {y:.1f}h16", stroke=PAPER, stroke_width=2.4, stroke_dasharray="1.4 1.4")


def unseen_ring(parent: Element, x: float, y: float) -> None:
    """A dashed ring round a drain that nobody has seen."""
    element(parent, "circle", cx=x, cy=y, r=7.2, fill="none", stroke=DRAIN, stroke_width=1, stroke_dasharray="2 1.6")


def sump(parent: Element, x: float, y: float) -> None:
    """A pit that collects liquid."""
    element(parent, "rect", x=x - 3.8, y=y - 3.8, width=7.6, height=7.6, fill=PAPER, stroke=INK, stroke_width=1.1)
    element(parent, "circle", cx=x, cy=y, r=2.2, fill=INK)


def heat(parent: Element, x: float, y: float) -> None:
    """A triangle with heat rising in it."""
    element(
        parent,
        "path",
        d=f"M{x:.1f} {y - 5.6:.1f}l5.6 9.6h-11.2z",
        fill=PAPER,
        stroke=INK,
        stroke_width=1.3,
        stroke_linejoin="round",
    )
    element(parent, "path", d=f"M{x:.1f} {y - 1.8:.1f}v2.6M{x:.1f} {y + 2:.1f}v1", stroke=INK, stroke_width=1.5)


def water_drop(parent: Element, x: float, y: float) -> None:
    """A drop."""
    element(
        parent,
        "path",
        d=f"M{x:.1f} {y - 5:.1f}c2.6 3.6 3.4 4.8 3.4 6.2a3.4 3.4 0 1 1 -6.8 0c0 -1.4 .8 -2.6 3.4 -6.2z",
        fill=PAPER,
        stroke=LIQUID,
        stroke_width=1.4,
    )


def crossed(parent: Element, x: float, y: float) -> None:
    """A cross over a door that cannot be used."""
    shape = f"M{x - 4:.1f} {y - 4:.1f}l8 8M{x + 4:.1f} {y - 4:.1f}l-8 8"
    element(parent, "path", d=shape, stroke=PAPER, stroke_width=4.2, stroke_linecap="round")
    element(parent, "path", d=shape, stroke=INK, stroke_width=1.9, stroke_linecap="round")


def arrow_in(parent: Element, x: float, y: float, toward: tuple[float, float]) -> None:
    """An arrowhead whose tip stands at a place, pointing along a unit vector on the sheet."""
    dx, dy = toward
    back_x, back_y = x - 10 * dx, y - 10 * dy
    element(
        parent,
        "path",
        d=f"M{x:.1f} {y:.1f}L{back_x - 5 * dy:.1f} {back_y + 5 * dx:.1f}L{back_x + 5 * dy:.1f} {back_y - 5 * dx:.1f}Z",
        fill=INK,
        stroke=PAPER,
        stroke_width=0.8,
    )


def action_number(parent: Element, x: float, y: float, order: int) -> None:
    """A numbered disc for a first action."""
    element(parent, "circle", cx=x, cy=y, r=ACTION_RADIUS_PT, fill=ACTION, stroke=PAPER, stroke_width=1.2)
    lettered(parent, x, y + 3, str(order), bold=True, fill=PAPER, anchor="middle")


def rank_badge(parent: Element, x: float, y: float, rank: int, *, worst: bool) -> None:
    """A rank in a box with a cut corner; solid for the worst storage zones."""
    width = 11.0 if rank < 10 else 16.0
    shape = f"M{x:.1f} {y:.1f}h{width:.1f}v8l-3 3h-{width - 3:.1f}z"
    element(parent, "path", d=shape, fill=WORST if worst else PAPER, stroke=WORST, stroke_width=1)
    lettered(
        parent, x + width / 2, y + 8.4, str(rank), size_pt=8, bold=True, fill=PAPER if worst else WORST, anchor="middle"
    )


def _line(parent: Element, y: float, x: float, **style: str | float) -> None:
    element(parent, "path", d=f"M{x:.1f} {y:.1f}h{SWATCH_WIDTH_PT:.1f}", fill="none", **style)


def _rect(parent: Element, x: float, y: float, **style: str | float) -> None:
    element(parent, "rect", x=x + 1, y=y - 4, width=SWATCH_WIDTH_PT - 2, height=SWATCH_HEIGHT_PT, **style)


_NARROW = {
    Symbol.GULLY,
    Symbol.INLET,
    Symbol.PIT,
    Symbol.SUMP,
    Symbol.HEAT,
    Symbol.WATER,
    Symbol.PALLET,
    Symbol.RAISED,
    Symbol.DISPUTED,
    Symbol.STOP,
    Symbol.ACTION,
    Symbol.ENTRANCE,
}


def swatch_width_pt(symbol: Symbol) -> float:
    """How much room a symbol's sample takes in the legend [pt]."""
    return NARROW_SWATCH_PT if symbol in _NARROW else SWATCH_WIDTH_PT


def swatch(parent: Element, symbol: Symbol, x: float, y: float, fills: dict[Symbol, str]) -> None:
    """Draw a symbol's sample in the legend, from its left end and its middle height.

    `fills` holds the patterns this drawing has defined.
    """
    middle = x + swatch_width_pt(symbol) / 2
    points: dict[Symbol, Callable[[Element, float, float], None]] = {
        Symbol.GULLY: gully,
        Symbol.TRENCH: trench,
        Symbol.INLET: inlet,
        Symbol.PIT: pit,
        Symbol.UNSEEN_DRAIN: unseen_ring,
        Symbol.SUMP: sump,
        Symbol.HEAT: heat,
        Symbol.WATER: water_drop,
    }
    strokes: dict[Symbol, dict[str, str | float]] = {
        Symbol.WALL: {"stroke": INK, "stroke_width": 2.2},
        Symbol.PIPE: {"stroke": DRAIN, "stroke_width": 1.8, "stroke_dasharray": DASH_PIPE},
        Symbol.PLUGGED_PIPE: {"stroke": FAINT, "stroke_width": 1.8},
        Symbol.STAND_OFF: {"stroke": INK, "stroke_width": 1.4, "stroke_dasharray": DASH_STAND_OFF},
        Symbol.THIN: {"stroke": LIQUID, "stroke_width": 1.3, "stroke_dasharray": DASH_THIN},
        Symbol.PAIR: {"stroke": INK, "stroke_width": 1.6},
    }
    areas: dict[Symbol, dict[str, str | float]] = {
        Symbol.YARD: {"fill": YARD, "stroke": FAINT, "stroke_width": 0.6},
        Symbol.BUND: {"fill": "none", "stroke": INK, "stroke_width": 2.2, "stroke_dasharray": DASH_BUND},
        Symbol.THICK: {"fill": fills.get(Symbol.THICK, PAPER), "stroke": LIQUID, "stroke_width": 0.8},
        Symbol.ZONE: {"fill": "none", "stroke": WORST, "stroke_width": 1, "stroke_dasharray": DASH_ZONE},
        Symbol.WORST: {"fill": fills.get(Symbol.WORST, PAPER), "stroke": WORST, "stroke_width": 2},
        Symbol.UNKNOWN: {"fill": fills.get(Symbol.UNKNOWN, PAPER), "stroke": UNKNOWN, "stroke_width": 0.6},
    }
    boxes: dict[Symbol, dict[str, str | float]] = {
        Symbol.PALLET: {"fill": PAPER, "stroke": INK, "stroke_width": 1},
        Symbol.RAISED: {"fill": FAINT, "stroke": INK, "stroke_width": 1},
        Symbol.DISPUTED: {"fill": PAPER, "stroke": INK, "stroke_width": 1.6, "stroke_dasharray": DASH_DISPUTED},
    }
    if symbol in points:
        points[symbol](parent, middle, y)
    elif symbol in strokes:
        _line(parent, y, x, **strokes[symbol])
    elif symbol in areas:
        _rect(parent, x, y, **areas[symbol])
    elif symbol in boxes:
        element(parent, "rect", x=middle - 4, y=y - 4, width=8, height=8, **boxes[symbol])
    else:
        _special_swatch(parent, symbol, x, y)


def crossed_out(parent: Element, box: Box) -> None:
    """Two white strokes on the black footprint of a pallet with a drum under a STOP line."""
    short = min(box.width, box.height)
    inner = box.grown(-short * 0.2)
    cross = (
        f"M{inner.left:.1f} {inner.low:.1f}L{inner.right:.1f} {inner.high:.1f}"
        f"M{inner.right:.1f} {inner.low:.1f}L{inner.left:.1f} {inner.high:.1f}"
    )
    element(parent, "path", d=cross, stroke=PAPER, stroke_width=min(2.4, max(0.8, short * 0.13)))


def _special_swatch(parent: Element, symbol: Symbol, x: float, y: float) -> None:
    middle = x + swatch_width_pt(symbol) / 2
    if symbol is Symbol.STOP:
        box = Box(middle - 4.5, y - 4.5, middle + 4.5, y + 4.5)
        element(parent, "rect", x=box.left, y=box.low, width=box.width, height=box.height, fill=INK)
        crossed_out(parent, box)
    elif symbol is Symbol.ACTION:
        element(parent, "circle", cx=middle, cy=y, r=4.6, fill=ACTION)
    elif symbol is Symbol.ENTRANCE:
        arrow_in(parent, middle + 5, y, (1.0, 0.0))
    elif symbol in (Symbol.DOOR, Symbol.BLOCKED_DOOR):
        _line(parent, y, x, stroke=INK, stroke_width=3.6)
        _line(parent, y, x, stroke=PAPER, stroke_width=2.2)
        if symbol is Symbol.BLOCKED_DOOR:
            crossed(parent, middle, y)
