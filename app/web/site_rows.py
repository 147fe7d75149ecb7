"""The lines of the list of sites, kept until their site changes; what is not there yet is being made."""

import asyncio
import logging
from datetime import date
from typing import Final
from uuid import UUID

from fastapi.concurrency import run_in_threadpool

from app.answers import Answers
from app.db import Database
from app.web.contexts import SiteRow
from app.web.work import RankedRow, ranked_row, unassessed
from geometry.errors import GeometryRefused
from survey.repository import SiteSummary, list_sites
from survey.repository.history import last_change

log = logging.getLogger(__name__)

PATIENCE_S: Final = 4.0
"""How long a reader waits for lines that are not there; then the page says which are still to come."""
BEING_ASSESSED: Final = "It is being assessed."

Known = tuple[int, date]
"""The state of a site, and the day its line was judged as on."""


class SiteRows:
    """One line per site of the record.

    Kept apart from other results, because a list of more sites than those keep would never be finished. To be used
    from one event loop.
    """

    def __init__(self) -> None:
        """Hold nothing yet."""
        self._rows: dict[UUID, tuple[Known, RankedRow]] = {}
        self._running: dict[tuple[UUID, Known], asyncio.Task[RankedRow]] = {}

    async def listed(self, database: Database, answers: Answers, as_of: date) -> tuple[SiteRow, ...]:
        """Give the lines of all sites, worst first; one not assessed comes before all others, as not known."""
        sites = await run_in_threadpool(_sites_and_states, database)
        known: dict[UUID, Known] = {site.id: (state, as_of) for site, state in sites}
        self._rows = {site_id: held for site_id, held in self._rows.items() if known.get(site_id) == held[0]}
        missing = [site for site, _ in sites if site.id not in self._rows]
        if missing:
            tasks = [self._started(answers, site, known[site.id]) for site in missing]
            await asyncio.wait(tasks, timeout=PATIENCE_S)
        lines = [self._line(site, known[site.id]) for site, _ in sites]
        return tuple(line.row for line in sorted(lines, key=lambda line: (line.rank, line.row.name)))

    def _line(self, site: SiteSummary, known: Known) -> RankedRow:
        held = self._rows.get(site.id)
        if held is not None and held[0] == known:
            return held[1]
        return unassessed(site.id, site.name, site.address, BEING_ASSESSED)

    def _started(self, answers: Answers, site: SiteSummary, known: Known) -> asyncio.Task[RankedRow]:
        key = (site.id, known)
        if key not in self._running:
            task = asyncio.create_task(answers.about(site.id, known[1], ranked_row))
            task.add_done_callback(lambda done: self._finished(done, site, known))
            self._running[key] = task
        return self._running[key]

    def _finished(self, task: asyncio.Task[RankedRow], site: SiteSummary, known: Known) -> None:
        del self._running[site.id, known]
        if task.cancelled():
            return
        failure = task.exception()
        if failure is None:
            self._rows[site.id] = (known, task.result())
        else:
            log.error("site %s has no line in the list", site.id, exc_info=failure)
            why = "The assessment failed; the log of the service says more."
            if isinstance(failure, GeometryRefused):
                why = f"It cannot be assessed: {failure}."
            self._rows[site.id] = (known, unassessed(site.id, site.name, site.address, why))


def _sites_and_states(database: Database) -> list[tuple[SiteSummary, int]]:
    with database.reading() as session:
        return [(site, last_change(session, site.id)) for site in list_sites(session)]
