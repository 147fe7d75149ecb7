"""What-if questions on any small floor: an answer or a refusal, never a fault, and no number without an end."""

import json
from typing import Any
from uuid import UUID

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from shapely import Point

from geometry.errors import GeometryRefused
from reports.assessment import Verdict, as_json
from reports.assessment.what_if import HoleKind, HolePlace, WhatIf
from reports.facts import SiteFacts
from reports.gather import gather
from reports.what_if import what_if
from survey.vocabulary import Levelness, NormalPosition, Orientation, YesNoUnknown
from tests.builders import SurveyBuilder
from tests.demo_sites import DAY

WIDTH_M, DEPTH_M = 8, 6

x_of, y_of = st.integers(1, 2 * WIDTH_M - 1).map(lambda half: half / 2), st.integers(1, 11).map(lambda half: half / 2)
places = st.tuples(x_of, y_of)
doubts = st.sampled_from([each.value for each in YesNoUnknown])


@st.composite
def small_sites(draw: st.DrawFn) -> SiteFacts:
    """Draw a store with walls, a door, drains, a sump piped into one of them, and two drums."""
    build = SurveyBuilder()
    levelness = draw(st.sampled_from([each.value for each in Levelness]))
    finish = draw(st.sampled_from(["bare concrete", "sealed", "unknown"]))
    build.floor(width_m=WIDTH_M, depth_m=DEPTH_M, finish=finish, perimeter_tight=draw(doubts), levelness=levelness)
    if levelness == Levelness.SURVEYED:
        for at in ((0.0, 0.0), (8.0, 0.0), (0.0, 6.0)):
            build.level(at, draw(st.integers(-80, 80)))
    for number, ends in enumerate(draw(st.lists(st.tuples(places, places), max_size=2))):
        if ends[0] != ends[1]:
            build.wall(f"W{number}", list(ends), tight_at_floor=draw(doubts), height_m=draw(st.none() | st.just(0.02)))
    normally = draw(st.sampled_from([each.value for each in NormalPosition]))
    build.door(
        "T1", [(0, 2), (0, 3)], tight_at_floor=draw(doubts), normally=normally, sill_mm=draw(st.none() | st.just(5))
    )
    drains = [
        build.drain(f"G{number}", at, joins="storm")
        for number, at in enumerate(draw(st.lists(places, min_size=1, max_size=2)))
    ]
    if draw(st.booleans()):
        build.pipe("PI", build.sump("S1", draw(places)), drains[0], valve="unknown")
    build.zone("A", [(0, 0), (WIDTH_M, 0), (WIDTH_M, DEPTH_M), (0, DEPTH_M)])
    build.pallet("P1", at=draw(places))
    build.drum(
        "P1-1",
        product=draw(st.sampled_from(["toluene", "sulfuric acid", None])),
        container_code="1A1",
        fill_pct=draw(st.sampled_from([100, 40, 1])),
        orientation=draw(st.sampled_from([each.value for each in Orientation])),
    )
    return gather(build.survey(), as_of=DAY)


@st.composite
def questions(draw: st.DrawFn, facts: SiteFacts) -> WhatIf:
    """Draw a question about its drum."""
    (floor,) = facts.floors
    hole = draw(st.sampled_from(HoleKind))
    some: dict[str, Any] = {"size_mm": None, "length_mm": None}
    if hole is not HoleKind.ALL_AT_ONCE:
        some["size_mm"] = draw(st.floats(0.1, 600))
    if hole is HoleKind.SLOT:
        some["length_mm"] = draw(st.floats(0.1, 800))
    covered: tuple[UUID, ...] = tuple(drain.id for drain in floor.drains if draw(st.booleans()))
    return WhatIf(
        drum_id=floor.pallets[0].drums[0].id,
        hole=hole,
        place=draw(st.sampled_from(HolePlace)),
        along_mm=draw(st.floats(0, 900)),
        clock_deg=draw(st.floats(-360, 360)),
        orientation=draw(st.none() | st.sampled_from(Orientation)),
        closed=draw(st.booleans()),
        at=draw(st.none() | places.map(Point)),
        dams=(),
        covered_drains=covered,
        shut_doors=tuple(door.id for door in floor.doors if draw(st.booleans())),
        until_min=draw(st.sampled_from([0.01, 0.2, 1.0])),
        **some,
    )


@settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(small_sites(), st.data())
def test_any_question_is_answered_or_refused_and_every_number_ends(facts: SiteFacts, data: st.DataObject) -> None:
    asked = data.draw(questions(facts))
    try:
        answer = what_if(facts, asked, cell_m=0.2)
    except GeometryRefused:
        return
    json.dumps(as_json(answer), allow_nan=False)
    for end in (answer.far, answer.near):
        for drain in end.drains:
            assert drain.first_min is None or drain.verdict is not Verdict.NOT_REACHED
            assert drain.first_min is None or (drain.early_min is not None and drain.early_min <= drain.first_min)
            assert (drain.early_min is None) == (drain.verdict is Verdict.NOT_REACHED)
