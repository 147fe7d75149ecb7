"""What a worker process makes for the pages; like `app.work`, a site goes in and plain values come out."""

from dataclasses import dataclass
from uuid import UUID

from app.web.contexts import SitePage, SiteRow
from app.web.site_view import site_page
from app.web.words import plan_age, shares, unread
from app.work import Asked, assessed
from reports.assessment import Assessment
from reports.facts import SiteFacts
from reports.maps import floor_drawing
from reports.preplan import preplan
from reports.preplan.build import KINDS
from reports.wording import counted

MAP_WIDTH_PT = 415.0
"""Narrower than on paper: stretched to the width of a desk's screen, its names are then as large as the text there."""
MAP_HEIGHT_PT = 320.0
_NO_MORE_FINDINGS = max(KINDS) + 1


@dataclass(frozen=True, slots=True)
class RankedRow:
    """A line of the list of sites; `rank` orders it among the others, lowest first.

    A site ranks by its worst finding, then the next, as a storage zone does; no weights.
    """

    row: SiteRow
    rank: tuple[int, ...]


def ranked_row(asked: Asked) -> RankedRow:
    """Give a site's line in the list."""
    assessment, facts = assessed(asked)
    worst = assessment.worst
    stopped = {line.drum for line in assessment.stops}
    row = SiteRow(
        href=f"/sites/{assessment.site_id}",
        name=assessment.site,
        address=facts.address,
        floors=_floors(assessment),
        age=plan_age(assessment.last_walk, assessment.as_of),
        shares=shares(assessment.coverage),
        unread=unread(assessment.coverage),
        worst="" if worst is None else worst.sentence,
        worst_kind="" if worst is None else KINDS[worst.kind],
        stops=f"{counted(len(stopped), 'drum')} under a STOP line" if stopped else "",
        no_entry=assessment.no_entry,
        prior_plan_invalid=bool(assessment.prior_plan_invalid),
        not_assessed="",
    )
    return RankedRow(row, (*(finding.kind for finding in assessment.findings), _NO_MORE_FINDINGS))


def unassessed(site_id: UUID, name: str, address: str, why: str) -> RankedRow:
    """Give the line of a site of which nothing is known; not known never counts as safe, so it comes first."""
    row = SiteRow(
        href=f"/sites/{site_id}",
        name=name,
        address=address,
        floors="",
        age=None,
        shares=(),
        unread="",
        worst="",
        worst_kind="",
        stops="",
        no_entry="",
        prior_plan_invalid=False,
        not_assessed=why,
    )
    return RankedRow(row, ())


def _floors(assessment: Assessment) -> str:
    names = [floor.name for floor in assessment.floors]
    return f"{counted(len(names), 'floor')}: {', '.join(names)}" if names else "no floor recorded"


def page_of_site(asked: Asked) -> SitePage:
    """Give everything the page of a site says."""
    return worded(*assessed(asked))


def worded(assessment: Assessment, facts: SiteFacts) -> SitePage:
    """Word a site's page and draw its maps."""
    drawings = {
        floor.id: floor_drawing(
            floor, assessment, width_pt=MAP_WIDTH_PT, height_pt=MAP_HEIGHT_PT, prefix=f"map-{floor.id}-"
        )
        for floor in assessment.floors
    }
    return site_page(assessment, preplan(assessment, facts), drawings)
