"""Questions about a site as it stands: its record is read once for each state, and worked on beside the web process."""

from collections.abc import Callable
from datetime import date
from typing import TypeVar
from uuid import UUID

from fastapi.concurrency import run_in_threadpool

from app.db import Database
from app.jobs import Jobs
from app.work import Asked
from survey.bundle import Survey, snapshot_sha256
from survey.repository import export_survey
from survey.repository.history import last_change

T = TypeVar("T")
Check = Callable[[Survey], None]


class Answers:
    """Gives what the functions of `app.work` make of a site."""

    def __init__(self, database: Database, jobs: Jobs) -> None:
        """Read from `database`, work in `jobs`."""
        self._database = database
        self._jobs = jobs

    async def about(
        self, site_id: UUID, as_of: date, work: Callable[..., T], *arguments: object, check: Check | None = None
    ) -> T:
        """Give what `work` makes of a site, judged as on a day; a state that was asked about before is not read again.

        `check` may refuse the question once the record has been read, by raising.

        Raises
        ------
        NoSuchEntry
            Where there is no such site.
        """

        def key(state: int) -> tuple[object, ...]:
            return (site_id, state, as_of, work, *arguments)

        kept: T | None = self._jobs.kept(key(await run_in_threadpool(self._state, site_id)))
        if kept is not None:
            return kept
        state, survey = await run_in_threadpool(self._state_and_survey, site_id)
        if check is not None:
            check(survey)
        asked = Asked(await run_in_threadpool(snapshot_sha256, survey), as_of, survey)
        return await self._jobs.result(key(state), work, asked, *arguments)

    async def asked(self, site_id: UUID, as_of: date) -> Asked:
        """Give a site as it stands, judged as on a day; a state that was asked for before is not read again.

        Raises
        ------
        NoSuchEntry
            Where there is no such site.
        """
        key = (site_id, await run_in_threadpool(self._state, site_id), as_of, Asked)
        kept: Asked | None = self._jobs.kept(key)
        if kept is not None:
            return kept
        state, survey = await run_in_threadpool(self._state_and_survey, site_id)
        asked = Asked(await run_in_threadpool(snapshot_sha256, survey), as_of, survey)
        self._jobs.keep((site_id, state, as_of, Asked), asked)
        return asked

    def _state(self, site_id: UUID) -> int:
        with self._database.reading() as session:
            return last_change(session, site_id)

    def _state_and_survey(self, site_id: UUID) -> tuple[int, Survey]:
        with self._database.reading() as session:
            return last_change(session, site_id), export_survey(session, site_id)
