"""The pages for people: server-rendered, complete without a script."""

from fastapi import FastAPI

from app.web.pages import IMPORT, page_router
from app.web.refusals import ProblemPages, failures_as_pages
from app.web.rendering import Renderer
from app.web.static_files import StaticFiles, static_router

__all__ = ["IMPORT", "add_pages"]


def add_pages(app: FastAPI) -> None:
    """Add the pages, their files, and problems worded for people; to be called once everything else is there."""
    files = StaticFiles()
    renderer = Renderer(files)
    app.include_router(static_router(files))
    app.include_router(page_router(renderer))
    app.add_middleware(ProblemPages, renderer=renderer)
    app.add_exception_handler(Exception, failures_as_pages(app.exception_handlers[Exception], renderer))
