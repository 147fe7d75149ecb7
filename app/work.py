"""What a worker process does for the web process: a survey goes in, bytes for a reader come out."""

import json
from collections import OrderedDict
from dataclasses import dataclass, field
from datetime import date
from functools import lru_cache
from uuid import UUID

import numpy as np
from shapely import Point, box, get_coordinates

from app.progress import Heard
from geometry.descent import NARROW, Descents, FallingFloor
from geometry.floor import FloorPlan, SpillFloor
from geometry.leak import sudden
from geometry.many_descents import ManyDescents
from geometry.many_reaches import ManyReaches
from geometry.relief import Fall, relief_of
from geometry.spill_flow import FlowCase, run_flow
from reports.assessment import Assessment, as_json
from reports.assessment.what_if import WhatIf
from reports.assessor import assess
from reports.facts import SiteFacts
from reports.gather import gather
from reports.maps import floor_map, zone_map
from reports.preplan import preplan
from reports.render import Paper, render_pdf
from reports.what_if import what_if
from survey.bundle import Survey

_ASSESSMENTS_KEPT = 4
"""In each worker: a reader of a site asks for its assessment, its maps and its paper one after the other."""


class NotSeen(LookupError):
    """This worker has not been sent that state of the site yet."""


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


_SITES_KEPT = 4
"""In each worker: whoever asks what if asks again, and a large site takes long to send."""
_sites: OrderedDict[tuple[str, date], SiteFacts] = OrderedDict()


def what_if_json(
    snapshot_sha256: str, as_of: date, survey: Survey | None, question: WhatIf, cell_m: float, *, heard: Heard
) -> bytes:
    """Give the answer to a what-if question as JSON.

    Raises
    ------
    NotSeen
        Where no survey is given and this worker does not know that state of the site; it has to be sent then.
    """
    facts = _facts(snapshot_sha256, as_of, survey)
    answer = what_if(facts, question, cell_m=cell_m, heard=heard)
    return json.dumps(as_json(answer), ensure_ascii=False, allow_nan=False).encode()


def _facts(snapshot_sha256: str, as_of: date, survey: Survey | None) -> SiteFacts:
    key = (snapshot_sha256, as_of)
    if key not in _sites:
        if survey is None:
            raise NotSeen(snapshot_sha256)
        _sites[key] = gather(survey, as_of=as_of)
        while len(_sites) > _SITES_KEPT:
            _sites.popitem(last=False)
    return _sites[key]


def warm_up() -> None:
    """Load and compile what a first question would otherwise wait for, by little spills of no meaning."""
    floor = SpillFloor(FloorPlan(box(0, 0, 2, 2)))
    drain, source = Point(0.5, 0.5), Point(1, 1)
    run_flow(FlowCase(floor, source, sudden(0.001), 1e-6, 0.002, cautious=True, cell_m=0.2, until_s=1.0))
    level = ManyReaches(floor, get_coordinates(source))
    level.arrivals(np.array([0]), np.array([0.001]), [drain], np.array([[0.0]]), 0.001, 0.002)
    level.pools(np.array([0]), np.array([0.001]), 0.002, cautious=True)
    relief = relief_of((), [Fall("drain", drain, 0.01, None)], floor.mapped)
    if relief is not None:
        down = Descents(FallingFloor(floor, relief), source)
        down.reaches(0.001, drain, 0.002, NARROW, cautious=True, tolerance_m=0.1)
        down.descent(0.001, 0.002, NARROW, cautious=True)
        many = ManyDescents(down.falling, [source])
        one, litre = np.array([0]), np.array([0.001])
        many.needed_m3(one, litre, [drain], np.array([[0.0]]), 0.002, NARROW, cautious=True)
        _ = many.wet(one, litre, 0.002, NARROW, readings=many.readings)[0].shape
