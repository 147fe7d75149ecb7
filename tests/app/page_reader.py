"""A page as a test reads it: its text in one line, its addresses, anchors and elements."""

import re
from collections import Counter
from dataclasses import dataclass, field
from html.parser import HTMLParser

VOID = frozenset({"br", "hr", "img", "input", "link", "meta"})


@dataclass
class Element:
    name: str
    attributes: dict[str, str]
    text: str = ""


@dataclass
class Page:
    """What `read_page` found."""

    elements: list[Element] = field(default_factory=list)
    text: str = ""

    def named(self, name: str) -> list[Element]:
        return [element for element in self.elements if element.name == name]

    @property
    def ids(self) -> Counter[str]:
        return Counter(element.attributes["id"] for element in self.elements if "id" in element.attributes)

    @property
    def addresses(self) -> list[str]:
        """Everything the page links to or loads."""
        kinds = ("href", "src", "action")
        return [element.attributes[kind] for element in self.elements for kind in kinds if kind in element.attributes]


class _Reader(HTMLParser):
    def __init__(self) -> None:
        super().__init__(convert_charrefs=True)
        self.page = Page()
        self.open: list[Element] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        element = Element(tag, {name: value or "" for name, value in attrs})
        self.page.elements.append(element)
        if tag not in VOID:
            self.open.append(element)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.page.elements.append(Element(tag, {name: value or "" for name, value in attrs}))

    def handle_endtag(self, tag: str) -> None:
        closed = self.open.pop()
        if closed.name != tag:
            raise AssertionError(f"</{tag}> closes <{closed.name}>")

    def handle_data(self, data: str) -> None:
        self.page.text += data
        for element in self.open:
            element.text += data


def read_page(html: str) -> Page:
    """Read a page; an element that is not closed where it should be is an error."""
    reader = _Reader()
    reader.feed(html)
    reader.close()
    if reader.open:
        raise AssertionError(f"never closed: {[element.name for element in reader.open]}")
    page = reader.page
    page.text = one_line(page.text)
    return page


def one_line(text: str) -> str:
    """Put a text into one line, as a browser shows it."""
    return re.sub(r"\s+", " ", text).strip()
