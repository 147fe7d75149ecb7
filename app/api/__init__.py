"""The interface for programs: every noun readable and writable over HTTP, and what is made of the record."""

from fastapi import APIRouter

from app.api.assessments import assessment_router
from app.api.catalogue import catalogue_router
from app.api.changes import change_router
from app.api.entries import noun_router
from app.api.surveys import survey_router
from app.api.what_if import what_if_router
from app.openapi import Json
from app.settings import Settings
from survey.nouns import NOUNS

SURVEYS = "/api/surveys"


def api_router(settings: Settings, components: dict[str, Json]) -> APIRouter:
    """Make all routes under /api; the schemas that no model of a route brings along go to `components`."""
    router = APIRouter(prefix="/api")
    router.include_router(assessment_router(components))
    router.include_router(what_if_router(components))
    router.include_router(survey_router(components))
    router.include_router(catalogue_router(components))
    router.include_router(change_router(settings))
    for noun in NOUNS:
        router.include_router(noun_router(noun, settings, components))
    return router
