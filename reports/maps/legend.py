"""Beside or under the drawing: north, scale, grid pitch, the symbols that were used, and what is not drawn."""

from dataclasses import dataclass
from math import floor, log10
from xml.etree.ElementTree import Element, tostring

from geometry.units import metres_and_feet
from reports.maps.grid import Grid
from reports.maps.ink import INK, PAPER, element, lettered
from reports.maps.lettering import SMALL_PT, broken, shortened, text_width_pt
from reports.maps.sheet import Sheet
from reports.maps.symbols import Symbol, swatch, swatch_width_pt

SIDE_PT = 163.0
"""A drawing that leaves this much width has its legend beside it, else under it [pt]."""
_ROW_PT = 11.0
_BLOCK_PT = 166.0
"""Width of the block with north and scale [pt]."""
_BLOCK_HEIGHT_PT = 39.0
_SIDE_BY_SIDE_PT = 400.0
"""Under a drawing narrower than this the symbols stand below the scale, not beside it [pt]."""
_BAR_PT = 92.0
_M_PER_FT = 0.3048  # exact: international yard and pound agreement, 1959
_ENTRY_GAP_PT = 8.0
_SAMPLE_GAP_PT = 3.0
_SAMPLE_HALF_HEIGHT_PT = 7.0
_MOST_NAMES, _MOST_NAME_PT = 12, 90.0


@dataclass(frozen=True, slots=True)
class LegendEntry:
    """A symbol by itself and what it means, for a page that sets the legend in its own type."""

    sample: str
    """An SVG element; its hatches are those of the drawing, so both stand in one document."""
    says: str


def draw_legend_below(sheet: Sheet, grid: Grid, north_deg: float, width_pt: float, top_pt: float) -> float:
    """Draw all of it from a height downward and return the height where it ends [pt]."""
    low = draw_bearings(sheet, grid, north_deg, 0.0, top_pt)
    beside = width_pt >= _SIDE_BY_SIDE_PT
    left, top = (_BLOCK_PT, top_pt) if beside else (0.0, top_pt + _BLOCK_HEIGHT_PT)
    return _notes(sheet, 0.0, width_pt, max(low, _symbols(sheet, left, width_pt, top + 8)))


def draw_legend_beside(sheet: Sheet, grid: Grid, north_deg: float, left_pt: float, width_pt: float) -> float:
    """Draw all of it in the strip from `left_pt` to `width_pt` and return the height where it ends [pt]."""
    low = draw_bearings(sheet, grid, north_deg, left_pt, sheet.frame.sheet.low)
    return _notes(sheet, left_pt, width_pt, _symbols(sheet, left_pt, width_pt, low + 8))


def draw_bearings(sheet: Sheet, grid: Grid, north_deg: float, left_pt: float, top_pt: float) -> float:
    """Draw north, scale and grid pitch only, and return the height where they end [pt]."""
    _north(sheet, north_deg, left_pt + 16, top_pt + 20)
    _scale(sheet, grid, left_pt + 38, top_pt + 7)
    return top_pt + _BLOCK_HEIGHT_PT


def legend_entries(sheet: Sheet) -> tuple[LegendEntry, ...]:
    """Give the symbols that a drawing used, each alone, in the order of the legend."""
    return tuple(LegendEntry(_sample(sheet, symbol), sheet.used[symbol]) for symbol in Symbol if symbol in sheet.used)


def _sample(sheet: Sheet, symbol: Symbol) -> str:
    width, half = swatch_width_pt(symbol), _SAMPLE_HALF_HEIGHT_PT
    root = Element("svg", {"xmlns": "http://www.w3.org/2000/svg", "aria-hidden": "true"})
    root.set("viewBox", f"-1 {-half:g} {width + 2:g} {2 * half:g}")
    swatch(root, symbol, 0, 0, sheet.fills)
    return tostring(root, encoding="unicode")


def notes_under(sheet: Sheet) -> tuple[str, ...]:
    """Give the sentences about what a drawing could not show."""
    names = [shortened(name, _MOST_NAME_PT, SMALL_PT) for name in sheet.unplaced]
    more = f" and {len(names) - _MOST_NAMES} more" if len(names) > _MOST_NAMES else ""
    missing = f"No room for the names of: {', '.join(names[:_MOST_NAMES])}{more}."
    return (*sheet.notes, *([missing] if sheet.unplaced else []))


def _north(sheet: Sheet, north_deg: float, x: float, y: float) -> None:
    dx, dy = sheet.frame.north(north_deg)
    sign = element(sheet.layer("margin"), "g", class_="north")
    tip, tail = (x + 9 * dx, y + 9 * dy), (x - 11 * dx, y - 11 * dy)
    side = 5
    left = (tail[0] - side * dy, tail[1] + side * dx)
    right = (tail[0] + side * dy, tail[1] - side * dx)
    notch = (x - 5 * dx, y - 5 * dy)
    half = f"M{tip[0]:.1f} {tip[1]:.1f}L{{0:.1f}} {{1:.1f}}L{notch[0]:.1f} {notch[1]:.1f}Z"
    element(sign, "path", d=half.format(*left), fill=INK, stroke=INK, stroke_width=0.8)
    element(sign, "path", d=half.format(*right), fill=PAPER, stroke=INK, stroke_width=0.8)
    lettered(sign, x + 14.5 * dx, y + 14.5 * dy + 3, "N", bold=True, anchor="middle")


def nice_length(most: float) -> float:
    """The longest of 1, 2 or 5 times a power of ten that is no longer than a length."""
    power = 10.0 ** floor(log10(most))
    return max(step * power for step in (1, 2, 5) if step * power <= most * (1 + 1e-9))


def _scale(sheet: Sheet, grid: Grid, x: float, y: float) -> None:
    sign = element(sheet.layer("margin"), "g", class_="scale")
    per_m = sheet.frame.pt_per_m
    for row, (unit, unit_m) in enumerate((("m", 1.0), ("ft", _M_PER_FT))):
        length = nice_length(_BAR_PT / (per_m * unit_m))
        bar = length * unit_m * per_m
        low = y + row * 12
        element(sign, "rect", x=x, y=low - 3, width=bar, height=4, fill=PAPER, stroke=INK, stroke_width=0.8)
        element(sign, "rect", x=x, y=low - 3, width=bar / 2, height=4, fill=INK)
        lettered(sign, x + bar + 3, low + 2, f"{length:g} {unit}", size_pt=SMALL_PT)
    pitch = metres_and_feet(grid.pitch_m, places=0)
    lettered(sign, x, y + 27, f"grid squares {pitch}", size_pt=SMALL_PT)


def _symbols(sheet: Sheet, left: float, width_pt: float, top: float) -> float:
    """Put each symbol into the first row that has room for it, and return where the last row ends."""
    legend = element(sheet.layer("margin"), "g", class_="legend")
    ends: list[float] = []
    for symbol in (symbol for symbol in Symbol if symbol in sheet.used):
        sample = swatch_width_pt(symbol) + _SAMPLE_GAP_PT
        text = broken(sheet.used[symbol], width_pt - left - sample, SMALL_PT)
        wide = sample + max(text_width_pt(line, SMALL_PT) for line in text)
        row = next((row for row, end in enumerate(ends) if end + wide <= width_pt), len(ends))
        if row == len(ends) or len(text) > 1:
            row = len(ends)
            ends += [left] * len(text)
        x, y = ends[row], top + row * _ROW_PT
        entry = element(legend, "g", data_legend=symbol.value)
        swatch(entry, symbol, x, y - 1, sheet.fills)
        for place, line in enumerate(text):
            lettered(entry, x + sample, y + 2 + place * _ROW_PT, line, size_pt=SMALL_PT)
            ends[row + place] = width_pt if len(text) > 1 else ends[row] + wide + _ENTRY_GAP_PT
    return top + len(ends) * _ROW_PT - 3


def _notes(sheet: Sheet, left: float, width_pt: float, low: float) -> float:
    for line in broken(" ".join(notes_under(sheet)), width_pt - left, SMALL_PT):
        lettered(sheet.layer("margin"), left, low + 5, line, size_pt=SMALL_PT)
        low += _ROW_PT - 1.4
    return low
