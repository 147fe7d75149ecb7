"""The service about itself: whether it runs, whether it is ready, and what its problems mean."""

from typing import Literal

from fastapi import APIRouter
from pydantic import BaseModel
from sqlalchemy.exc import SQLAlchemyError

from app.db import DatabaseRefused, refuse_unless_current
from app.deps import DatabaseDep
from app.errors import Problem
from app.openapi import problems
from app.problem_kinds import BY_SLUG

router = APIRouter(tags=["service"])


class Running(BaseModel):
    """The process answers."""

    status: Literal["running"] = "running"


class Ready(BaseModel):
    """The process answers and its database is up to date."""

    status: Literal["ready"] = "ready"


class ProblemExplained(BaseModel):
    """What a kind of problem means and what to do about it."""

    type: str
    title: str
    status: int
    meaning: str


@router.get("/health", operation_id="health", responses=problems())
async def health() -> Running:
    """Say that the process runs; asks nothing of the database."""
    return Running()


@router.get("/ready", operation_id="ready", responses=problems("not-ready"))
def ready(database: DatabaseDep) -> Ready:
    """Say that requests can be answered."""
    try:
        refuse_unless_current(database.reader)
    except DatabaseRefused as refusal:
        raise Problem("not-ready", str(refusal)) from refusal
    except SQLAlchemyError as failure:
        raise Problem("not-ready", "The database does not answer.") from failure
    return Ready()


@router.get("/problems/{slug}", operation_id="explain_problem", responses=problems("unknown-address"))
async def explain_problem(slug: str) -> ProblemExplained:
    """Explain the kind of problem that has this address as its type."""
    kind = BY_SLUG.get(slug)
    if kind is None:
        raise Problem("unknown-address", f"No kind of problem is called {slug!r}.")
    return ProblemExplained(type=kind.uri, title=kind.title, status=kind.status, meaning=kind.meaning)
