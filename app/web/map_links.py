"""The floor map inside a page: its pallets become links, and the drawing fills whatever width there is."""

from collections.abc import Mapping
from typing import Final
from xml.etree import ElementTree as Xml

from markupsafe import Markup

SVG: Final = "http://www.w3.org/2000/svg"
_OVER_THE_STOCK: Final = frozenset({"layer-marks", "layer-leaders", "layer-names", "layer-margin"})
"""Layers that lie over pallets: a tap on a name is meant for what is under it."""

Xml.register_namespace("", SVG)


def linked(drawing: str, links: Mapping[str, str]) -> Markup:
    """Turn the groups of a drawing that stand for pallets into links.

    `links` leads from the end of a group's id (`pallet-` and the pallet's own id) to the address behind it. Only
    attributes and element names of our own are added, so what was escaped in the drawing stays escaped.
    """
    root = Xml.fromstring(drawing)  # noqa: S314 (a drawing that reports.maps has just made)
    for size in ("width", "height"):
        root.attrib.pop(size, None)
    # An image hides what is in it from assistive technology; these links must be found.
    root.set("role", "group")
    for parent in list(root.iter()):
        for place, child in enumerate(list(parent)):
            if _OVER_THE_STOCK & set(child.get("class", "").split()):
                child.set("pointer-events", "none")
            address = links.get(_pallet_of(child))
            if address is not None:
                parent[place] = _link(child, address)
    return Markup(Xml.tostring(root, encoding="unicode"))  # noqa: S704 (serialised from a tree: text is escaped)


def _pallet_of(group: Xml.Element) -> str:
    return group.get("id", "").rpartition("pallet-")[2] if group.get("data-pallet") is not None else ""


def _link(group: Xml.Element, address: str) -> Xml.Element:
    link = Xml.Element(f"{{{SVG}}}a", {"href": address})
    title = group.find(f"{{{SVG}}}title")
    if title is not None and title.text:
        link.set("aria-label", title.text)
    link.append(group)
    return link
