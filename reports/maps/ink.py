"""Pieces of SVG: elements, paths, patterns, and the palette.

The palette is our own: dark inks that keep apart in grey and under a red cab light, where red ink would vanish.
No meaning hangs on colour alone; each has its line style, hatch or shape as well.
"""

from collections.abc import Iterable
from typing import Literal
from xml.etree.ElementTree import Element, SubElement

from shapely import LineString, MultiLineString, MultiPolygon, Point, Polygon
from shapely.geometry.base import BaseGeometry

from reports.maps.lettering import NAME_PT, text_width_pt

FONT_FAMILY = "Drumwalk Sans"
INK = "#16191d"
PAPER = "#ffffff"
FAINT = "#b9c0c7"
FLOOR = "#ffffff"
YARD = "#eceff1"
LIQUID = "#2b6a94"
DRAIN = "#0a4d4a"
WORST = "#5a2a68"
UNKNOWN = "#6b5b3e"
ACTION = "#123c73"

_SIMPLER_PT = 0.4
"""Curves are thinned to this on the sheet [pt]: less than a hair line."""


def number(value: float) -> str:
    """A coordinate with two decimals at most and no negative zero."""
    text = f"{value:.2f}".rstrip("0").rstrip(".")
    return "0" if text in ("-0", "") else text


def clean(text: str) -> str:
    """Text that XML 1.0 may hold: a control character is shown as the replacement character."""
    return "".join(letter if _allowed(letter) else "\ufffd" for letter in text)


def _allowed(letter: str) -> bool:
    if letter < " ":
        return letter in "\t\n\r"
    return not "\ud800" <= letter <= "\udfff" and letter not in "\ufffe\uffff"


def element(parent: Element, name: str, **attributes: str | float | None) -> Element:
    """Add an element; attribute names take a hyphen for each underscore, None leaves one out."""
    made = SubElement(parent, name)
    for key, value in attributes.items():
        if value is not None:
            made.set(key.rstrip("_").replace("_", "-"), clean(value) if isinstance(value, str) else number(value))
    return made


def group(parent: Element, symbol: str, **attributes: str | float | None) -> Element:
    """Add a group that says which symbol of the legend it draws."""
    return element(parent, "g", data_symbol=symbol, **attributes)


def titled(parent: Element, text: str) -> None:
    """Give an element its accessible name; a drawing's own title must be its first child."""
    title = SubElement(parent, "title")
    title.text = clean(text)


def lettered(
    parent: Element,
    x_pt: float,
    y_pt: float,
    text: str,
    *,
    size_pt: float = NAME_PT,
    bold: bool = False,
    fill: str = INK,
    anchor: Literal["start", "middle", "end"] = "start",
) -> Element:
    """Add one line of text that starts, ends or has its middle at a place on its base line.

    The start is worked out here: with an anchor of its own, the PDF library would put each such text into a drawing
    inside the drawing.
    """
    share = {"start": 0.0, "middle": 0.5, "end": 1.0}[anchor]
    made = element(
        parent,
        "text",
        x=x_pt - share * text_width_pt(text, size_pt, bold=bold),
        y=y_pt,
        font_size=size_pt,
        font_weight="700" if bold else None,
        fill=None if fill == INK else fill,
    )
    made.text = clean(text)
    return made


def path_of(shape: BaseGeometry) -> str:
    """Path data of lines and polygons given in points on the sheet; empty for an empty shape or a point."""
    thinned = shape.simplify(_SIMPLER_PT, preserve_topology=True)
    return "".join(_ways(thinned))


def _ways(shape: BaseGeometry) -> Iterable[str]:
    if isinstance(shape, Polygon):
        if not shape.is_empty:
            yield _way(shape.exterior.coords[:-1]) + "Z"
            for hole in shape.interiors:
                yield _way(hole.coords[:-1]) + "Z"
    elif isinstance(shape, LineString):
        if not shape.is_empty:
            yield _way(shape.coords)
    elif not isinstance(shape, Point):
        for part in getattr(shape, "geoms", ()):
            yield from _ways(part)


def _way(corners: Iterable[tuple[float, ...]]) -> str:
    places = [f"{number(round(x, 1))} {number(round(y, 1))}" for x, y, *_ in corners]
    return "M" + "L".join(places)


def polygons(shape: BaseGeometry) -> BaseGeometry:
    """Only the areas of a shape: cutting at the edge of a view can leave touching lines and points."""
    if isinstance(shape, Polygon | MultiPolygon):
        return shape
    return MultiPolygon([part for part in getattr(shape, "geoms", ()) if isinstance(part, Polygon)])


def lines(shape: BaseGeometry) -> BaseGeometry:
    """Only the lines of a shape."""
    if isinstance(shape, LineString | MultiLineString):
        return shape
    return MultiLineString([part for part in getattr(shape, "geoms", ()) if isinstance(part, LineString)])


def hatch(definitions: Element, key: str, *, spacing_pt: float, width_pt: float, turn_deg: float, ink: str) -> str:
    """Define a hatch of parallel lines and return the fill that uses it."""
    pattern = element(
        definitions,
        "pattern",
        id=key,
        width=spacing_pt,
        height=spacing_pt,
        patternUnits="userSpaceOnUse",
        patternTransform=f"rotate({number(turn_deg)})",
    )
    element(pattern, "path", d=f"M0 0V{number(spacing_pt)}", stroke=ink, stroke_width=width_pt, fill="none")
    return f"url(#{key})"
