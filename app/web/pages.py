"""The pages: what is at each address, in the order in which a reader meets them."""

import hashlib
from dataclasses import replace
from datetime import date
from typing import Annotated, Final
from uuid import UUID

from fastapi import APIRouter, File, Form, Header, Query, Request, Response, UploadFile
from fastapi.concurrency import run_in_threadpool
from fastapi.responses import HTMLResponse, RedirectResponse

from app.answers import Answers
from app.db import Database
from app.deps import AnswersDep, DatabaseDep, SettingsDep, TodayDep
from app.errors import Problem
from app.settings import Settings
from app.web.contexts import MessagePage, Refusal, SitePage, SitesPage
from app.web.importing import Taken, said, take
from app.web.packing import chosen, packed
from app.web.rendering import ASK_AGAIN, HTML, Renderer
from app.web.site_rows import BEING_ASSESSED, SiteRows
from app.web.work import page_of_site
from reports.preplan.words import day
from reports.wording import counted
from survey.repository import ImportOutcome

IMPORT: Final = "/import"
_BYTES_PER_MB: Final = 1024 * 1024
Count = Annotated[int, Query(ge=0, le=10_000_000)]


def page_router(renderer: Renderer) -> APIRouter:
    """Make the routes of the pages."""
    router = APIRouter(include_in_schema=False, default_response_class=HTMLResponse)
    rows = SiteRows()

    @router.get("/")
    async def sites(database: DatabaseDep, answers: AnswersDep, today: TodayDep, settings: SettingsDep) -> Response:
        return renderer.response(await _sites_page(rows, database, answers, today, settings))

    @router.get(IMPORT)
    def form_left_behind() -> Response:
        # The address a refused file leaves in the browser: loaded again, it leads back to the form.
        return RedirectResponse("/", 303)

    @router.post(IMPORT)
    async def import_file(
        request: Request,
        database: DatabaseDep,
        answers: AnswersDep,
        today: TodayDep,
        settings: SettingsDep,
        survey: Annotated[UploadFile, File()],
        seen: Annotated[str, Form(max_length=64)] = "",
    ) -> Response:
        if request.headers.get("sec-fetch-site", "same-origin") != "same-origin":
            return renderer.response(_ELSEWHERE, 403)
        data = await survey.read()
        answer = await run_in_threadpool(
            take,
            database,
            data,
            file_name=survey.filename or "",
            seen=seen,
            max_bytes=settings.max_survey_bytes,
        )
        if isinstance(answer, Taken):
            return RedirectResponse(_address_after(answer), 303)
        page = await _sites_page(rows, database, answers, today, settings)
        if isinstance(answer, Refusal):
            return renderer.response(replace(page, refusal=answer), 422)
        return renderer.response(replace(page, replacement=answer), 409)

    @router.get("/sites/{site_id}")
    async def site(
        site_id: str,
        answers: AnswersDep,
        today: TodayDep,
        added: Count | None = None,
        changed: Count = 0,
        removed: Count = 0,
        unchanged: Count = 0,
        accept_encoding: Annotated[str, Header()] = "",
        if_none_match: Annotated[str | None, Header()] = None,
    ) -> Response:
        page = await answers.about(_uuid(site_id), today, page_of_site)
        if added is not None:
            page = replace(page, notice=f"Imported: {said(ImportOutcome(added, changed, removed, unchanged))}.")
        return await run_in_threadpool(_packed_page, renderer, page, accept_encoding, if_none_match)

    return router


async def _sites_page(
    rows: SiteRows, database: Database, answers: Answers, today: date, settings: Settings
) -> SitesPage:
    sites = await rows.listed(database, answers, today)
    return SitesPage(
        title="Sites",
        sites=sites,
        summary=f"{counted(len(sites), 'site')}, worst first, as of {day(today)}" if sites else "",
        still_assessing=any(site.not_assessed == BEING_ASSESSED for site in sites),
        refusal=None,
        replacement=None,
        largest_file=f"{settings.max_survey_bytes / _BYTES_PER_MB:,.3g} MB",
    )


def _uuid(text: str) -> UUID:
    try:
        return UUID(text)
    except ValueError:
        raise Problem("unknown-address", "No site has this address.") from None


def _address_after(taken: Taken) -> str:
    outcome = taken.outcome
    counts = f"added={outcome.added}&changed={outcome.changed}&removed={outcome.removed}&unchanged={outcome.unchanged}"
    return f"/sites/{taken.site_id}?{counts}"


def _packed_page(renderer: Renderer, page: SitePage, accept_encoding: str, if_none_match: str | None) -> Response:
    body = renderer.html(page).encode()
    digest = hashlib.sha256(body).hexdigest()[:32]
    return chosen(body, packed(body), digest, HTML, ASK_AGAIN, accept_encoding, if_none_match)


_ELSEWHERE: Final = MessagePage(
    title="Not imported",
    message="The form was sent from a page of another service. Nothing was stored.",
    advice="Open the list of sites and use the form there.",
    occurrence="",
)
