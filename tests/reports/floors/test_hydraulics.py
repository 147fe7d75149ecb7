"""Hydraulics: what joins sumps and drains, and how surely."""

import pytest

from reports.assessment import Verdict
from reports.floors.hydraulics import Hydraulics, stronger, weaker
from reports.gather import gather
from tests.builders import SurveyBuilder, rectangle
from tests.reports.test_gather import TODAY


def hydraulics(build: SurveyBuilder) -> Hydraulics:
    return Hydraulics(gather(build.survey(), as_of=TODAY).floors[0])


@pytest.fixture
def build() -> SurveyBuilder:
    build = SurveyBuilder()
    build.floor(width_m=20, depth_m=10)
    build.bund("K1", rectangle(0, 0, 5, 5), tight_at_floor="yes")
    build.bund("K2", rectangle(10, 0, 5, 5), tight_at_floor="yes")
    return build


@pytest.mark.parametrize(
    ("valve", "verdict"),
    [
        ("no valve", Verdict.REACHES),
        ("open", Verdict.REACHES),
        ("unknown", Verdict.MAY_REACH),
        ("shut", Verdict.MAY_REACH),
        ("shut and proven", None),
    ],
)
def test_only_a_proven_valve_stops(build: SurveyBuilder, valve: str, verdict: Verdict | None) -> None:
    s1, d1 = build.sump("S1", (4, 4)), build.drain("D1", (8, 8))
    build.pipe("S1-D1", s1, d1, valve=valve)
    found = hydraulics(build)
    assert found.from_sump(found.floor.sumps[0]) == ({} if verdict is None else {"drain D1": verdict})


def test_a_chain_is_as_sure_as_its_weakest_pipe(build: SurveyBuilder) -> None:
    s1, s2, d1 = build.sump("S1", (4, 4)), build.sump("S2", (11, 4)), build.drain("D1", (8, 8))
    build.pipe("S1-S2", s1, s2, valve="no valve")
    build.pipe("S2-D1", s2, d1, valve="unknown")
    found = hydraulics(build)
    assert found.from_sump(found.floor.sumps[0]) == {"sump S2": Verdict.REACHES, "drain D1": Verdict.MAY_REACH}


def test_liquid_runs_back_through_a_pipe_between_sumps_but_not_out_of_a_drain(build: SurveyBuilder) -> None:
    s1, s2, d1 = build.sump("S1", (4, 4)), build.sump("S2", (11, 4)), build.drain("D1", (8, 8))
    build.pipe("S1-D1", s1, d1, valve="open")
    build.pipe("S2-D1", s2, d1, valve="open")
    found = hydraulics(build)
    assert found.from_sump(found.floor.sumps[0]) == {"drain D1": Verdict.REACHES}


def test_a_proven_plug_parts_two_sumps(build: SurveyBuilder) -> None:
    s1, s2 = build.sump("S1", (4, 4)), build.sump("S2", (11, 4))
    build.pipe("S1-S2", s1, s2, valve="no valve", plugged_and_proven=True)
    found = hydraulics(build)
    assert found.from_sump(found.floor.sumps[0]) == {}


def test_outlets_of_a_bund(build: SurveyBuilder) -> None:
    s1, s2 = build.sump("S1", (4, 4)), build.sump("S2", (11, 4))
    build.drain("D1", (2, 2))
    build.pipe("S1-S2", s1, s2, valve="no valve")
    found = hydraulics(build)
    first = next(bund for bund in found.floor.bunds if bund.name == "K1")
    assert found.outlets(first) == (
        ("drain D1 inside it", Verdict.REACHES),
        ("sump S1 to sump S2", Verdict.REACHES),
    )


def test_a_sump_and_a_drain_of_one_name_are_two_things(build: SurveyBuilder) -> None:
    sump, drain = build.sump("D1", (4, 4)), build.drain("D1", (8, 8))
    build.pipe("D1-D1", sump, drain, valve="no valve")
    found = hydraulics(build)
    first = next(bund for bund in found.floor.bunds if bund.name == "K1")
    assert found.outlets(first) == (("sump D1 to drain D1", Verdict.REACHES),)


def test_order_of_verdicts() -> None:
    assert weaker(Verdict.REACHES, Verdict.MAY_REACH) is Verdict.MAY_REACH
    assert stronger(Verdict.NOT_REACHED, Verdict.MAY_REACH) is Verdict.MAY_REACH
    assert stronger() is Verdict.NOT_REACHED
