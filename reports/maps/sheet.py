"""One drawing in the making: its layers, the symbols it has used, and the room that is left for names."""

from xml.etree.ElementTree import Element, tostring

from reports.maps.frame import Box, Frame
from reports.maps.ink import FONT_FAMILY, INK, PAPER, element, group, hatch, lettered, titled
from reports.maps.lettering import NAME_PT, SMALL_PT, shortened, text_width_pt
from reports.maps.placing import Placer, Spot, Wish
from reports.maps.symbols import LEGEND, Symbol

LINE_PT = 9.6
"""From one base line to the next [pt]."""
_LAYERS = ("ground", "liquid", "storage", "fabric", "drains", "stock", "marks", "leaders", "names", "margin")
_PAD_PT = 1.4


class Sheet:
    """Layers from the floor up, so that names are never under anything."""

    def __init__(self, frame: Frame, title: str, prefix: str) -> None:
        self.frame = frame
        self.prefix = prefix
        self.root = Element("svg", {"xmlns": "http://www.w3.org/2000/svg", "role": "img", "class": "map"})
        self.root.set("font-family", FONT_FAMILY)
        self.root.set("font-size", str(NAME_PT))
        titled(self.root, title)
        self.definitions = element(self.root, "defs")
        self.layers = {name: element(self.root, "g", class_=f"layer-{name}") for name in _LAYERS}
        self.placer = Placer(frame.sheet)
        self.used: dict[Symbol, str] = {}
        self.fills: dict[Symbol, str] = {}
        self.notes: list[str] = []
        self.unplaced: list[str] = []

    def layer(self, name: str) -> Element:
        """The group that a layer is drawn in."""
        return self.layers[name]

    def sign(self, into: str | Element, symbol: Symbol, says: str = "", **attributes: str | float | None) -> Element:
        """Start a sign in a layer or a group and put it into the legend, with its own words where it has some."""
        self.used[symbol] = says or self.used.get(symbol, "") or LEGEND[symbol]
        return group(self.layer(into) if isinstance(into, str) else into, symbol.value, **attributes)

    def hatched(self, symbol: Symbol, *, spacing_pt: float, width_pt: float, turn_deg: float, ink: str) -> str:
        """The hatch of a symbol, defined at its first use."""
        if symbol not in self.fills:
            key = f"{self.prefix}{symbol.value}-hatch"
            self.fills[symbol] = hatch(
                self.definitions, key, spacing_pt=spacing_pt, width_pt=width_pt, turn_deg=turn_deg, ink=ink
            )
        return self.fills[symbol]

    def named(
        self,
        name: str,
        lines: tuple[str, ...],
        thing: Box,
        *,
        shorter: tuple[str, ...] = (),
        inside: bool = False,
        corners: bool = False,
        ink: str = INK,
        ground: str = PAPER,
        most_pt: float = 110.0,
        indent_pt: float = 0.0,
    ) -> Box | None:
        """Place a name: its first line bold, the others regular; None where no room is left even for its shorter form.

        A name that finds no room is reported under the drawing, never dropped silently.
        """
        for each in (lines, shorter):
            bold, *rest = each or lines
            text = [
                shortened(bold, most_pt, NAME_PT, bold=True),
                *(shortened(line, most_pt, SMALL_PT) for line in rest),
            ]
            widths = [indent_pt + text_width_pt(text[0], NAME_PT, bold=True)]
            widths += [text_width_pt(line, SMALL_PT) for line in text[1:]]
            height = LINE_PT * len(text) + 1.2
            spot = self.placer.place(Wish(max(widths) + 2 * _PAD_PT, height, thing, inside, corners))
            if spot is not None:
                self._letter(spot, text, ink, ground, indent_pt)
                return spot.box
        self.unplaced.append(name)
        return None

    def _letter(self, spot: Spot, text: list[str], ink: str, ground: str, indent_pt: float) -> None:
        box = spot.box
        if spot.leader is not None:
            (x0, y0), (x1, y1) = spot.leader
            element(self.layer("leaders"), "path", d=f"M{x0:.1f} {y0:.1f}L{x1:.1f} {y1:.1f}")
        parent = element(self.layer("names"), "g", class_="name")
        element(
            parent,
            "rect",
            x=box.left,
            y=box.low,
            width=box.width,
            height=box.height,
            rx=1.5,
            fill=ground,
            fill_opacity=None if ground == INK else 0.86,
        )
        for place, line in enumerate(text):
            lettered(
                parent,
                box.left + _PAD_PT + (indent_pt if place == 0 else 0),
                box.low + 8.2 + LINE_PT * place,
                line,
                size_pt=NAME_PT if place == 0 else SMALL_PT,
                bold=place == 0,
                fill=ink,
            )

    def finished(self, width_pt: float, height_pt: float) -> str:
        """The drawing as text, at its printed size."""
        self.root.set("width", f"{width_pt:.1f}pt")
        self.root.set("height", f"{height_pt:.1f}pt")
        self.root.set("viewBox", f"0 0 {width_pt:.1f} {height_pt:.1f}")
        leaders = self.layer("leaders")
        leaders.set("stroke", INK)
        leaders.set("stroke-width", "0.6")
        return tostring(self.root, encoding="unicode")
