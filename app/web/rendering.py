"""From a page's dataclass to the HTML that is sent."""

from dataclasses import fields
from pathlib import Path
from typing import Final

from jinja2 import Environment, FileSystemLoader, StrictUndefined
from starlette.responses import HTMLResponse

from app.web.contexts import TEMPLATES, MessagePage, SitePage, SitesPage
from app.web.static_files import StaticFiles

ASK_AGAIN: Final = "private, no-cache"
"""A page is asked for again each time: the record may have changed."""
HTML: Final = "text/html; charset=utf-8"
TEMPLATE_FOLDER: Final = Path(__file__).parent / "templates"

Page = SitesPage | SitePage | MessagePage


class Renderer:
    """The templates, compiled once; a name that no dataclass holds is an error, not an empty string."""

    def __init__(self, files: StaticFiles) -> None:
        self.environment = Environment(
            loader=FileSystemLoader(TEMPLATE_FOLDER),
            autoescape=True,
            undefined=StrictUndefined,
            trim_blocks=True,
            lstrip_blocks=True,
        )
        self.environment.globals["static"] = files.address

    def html(self, page: Page) -> str:
        """Write a page out; each of its fields is a variable of its template."""
        values = {field.name: getattr(page, field.name) for field in fields(page)}
        return self.environment.get_template(TEMPLATES[type(page)]).render(values)

    def response(self, page: Page, status_code: int = 200) -> HTMLResponse:
        """Answer with a page."""
        return HTMLResponse(self.html(page), status_code, {"Cache-Control": ASK_AGAIN})
