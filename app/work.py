"""What a worker process does for the web process: a survey goes in, bytes for a reader come out."""

import json
from dataclasses import dataclass, field
from datetime import date
from functools import lru_cache
from uuid import UUID

from reports.assessment import Assessment, as_json
from reports.assessor import assess
from reports.facts import SiteFacts
from reports.gather import gather
from reports.maps import floor_map, zone_map
from reports.preplan import preplan
from reports.render import Paper, render_pdf
from survey.bundle import Survey

_ASSESSMENTS_KEPT = 4
"""In each worker: a reader of a site asks for its assessment, its maps and its paper one after the other."""


@dataclass(frozen=True, slots=True)
class Asked:
    """A site at a state and a day; two with the same hash are the same question."""

    snapshot_sha256: str
    as_of: date
    survey: Survey = field(compare=False)


@lru_cache(maxsize=_ASSESSMENTS_KEPT)
def assessed(asked: Asked) -> tuple[Assessment, SiteFacts]:
    """Give the assessment and the facts it was made of."""
    facts = gather(asked.survey, as_of=asked.as_of)
    return assess(facts), facts


def assessment_json(asked: Asked) -> bytes:
    """Give the assessment as JSON."""
    assessment, _ = assessed(asked)
    return json.dumps(as_json(assessment), ensure_ascii=False, allow_nan=False).encode()


def preplan_pdf(asked: Asked, paper: Paper) -> bytes:
    """Give the pre-plan as PDF."""
    assessment, facts = assessed(asked)
    return render_pdf(preplan(assessment, facts), paper=paper)


def floor_map_svg(asked: Asked, floor_id: UUID) -> bytes:
    """Give the map of a floor as SVG."""
    assessment, _ = assessed(asked)
    floor = next(floor for floor in assessment.floors if floor.id == floor_id)
    return floor_map(floor, assessment).encode()


def zone_map_svg(asked: Asked, zone_id: UUID) -> bytes:
    """Give the map of a storage zone as SVG."""
    assessment, _ = assessed(asked)
    zone, floor = next((zone, floor) for floor in assessment.floors for zone in floor.zones if zone.id == zone_id)
    return zone_map(zone, floor, assessment).encode()
