"""The web application: what answers where, and in which order things are put around it."""

from collections.abc import AsyncIterator
from contextlib import asynccontextmanager

from fastapi import FastAPI

from app.api import SURVEYS, api_router, service
from app.db import open_database
from app.errors import add_error_handlers
from app.jobs import Jobs
from app.middleware import BodyLimit, HeadAsGet, SafeHeaders
from app.openapi import Documented
from app.settings import Settings
from app.version import version
from app.web import IMPORT, add_pages
from app.work import warm_up

FORM_AROUND_A_FILE_BYTES = 64 * 1024
"""Far more than the lines that a browser puts round a file that it sends."""

DESCRIPTION = """\
The record of a district's chemical stores, and what it means for a crew that is called there.

Every noun has the same routes. A list comes in pages, each naming the next. An entry has an ETag that spells its
revision; a change names it in If-Match, and gets 412 with the current entry where somebody else was faster. Sending
the same entry twice does no harm. Problems come as RFC 9457 has it, and each kind explains itself at its address.
Device, Device-Sequence and Changed-By say for the log of changes who wrote; none of them is a permission.
"""


def create_app(settings: Settings) -> FastAPI:
    """Make the application; it opens its database when it starts and closes it when it stops."""
    app = Documented(
        title="Drumwalk",
        description=DESCRIPTION,
        version=version(),
        openapi_url="/api/openapi.json",
        # The interactive pages would load their scripts from elsewhere.
        docs_url=None,
        redoc_url=None,
        redirect_slashes=False,
        lifespan=_lifespan,
    )
    app.state.settings = settings
    app.add_middleware(HeadAsGet)
    app.add_middleware(BodyLimit, limit_for=lambda path: _body_limit(settings, path))
    app.add_middleware(SafeHeaders)
    add_error_handlers(app)
    app.include_router(api_router(settings, app.components))
    app.include_router(service.router)
    add_pages(app)
    return app


@asynccontextmanager
async def _lifespan(app: FastAPI) -> AsyncIterator[None]:
    settings: Settings = app.state.settings
    app.state.database = open_database(settings)
    app.state.jobs = Jobs(processes=settings.render_processes, kept=settings.kept_results)
    app.state.what_if_jobs = Jobs(processes=settings.what_if_processes, kept=0)
    if settings.what_if_processes:
        app.state.what_if_jobs.begin(warm_up)
    try:
        yield
    finally:
        app.state.what_if_jobs.close()
        app.state.jobs.close()
        app.state.database.close()


def _body_limit(settings: Settings, path: str) -> int:
    if path == IMPORT:
        return settings.max_survey_bytes + FORM_AROUND_A_FILE_BYTES
    return settings.max_survey_bytes if path == SURVEYS else settings.max_entry_bytes
