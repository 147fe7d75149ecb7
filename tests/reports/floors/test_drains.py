"""Drains: verdicts over the film range, unproven destinations acted on as the worst claimed."""

import math

import pytest

from reports.assessment import DrainReach, Verdict
from tests.builders import SurveyBuilder
from tests.reports.judged import a_store, judged, judged_floor, stock


def the_reach(build: SurveyBuilder) -> DrainReach:
    (drain,) = judged_floor(build).drains
    (reach,) = drain.reaches
    return reach


def disc_m(film_mm: float) -> float:
    """Radius of 208 L at rest on a level floor [m]: plain geometry."""
    return math.sqrt(0.208 / (film_mm / 1000) / math.pi)


@pytest.mark.parametrize(
    ("metres", "verdict"),
    [
        (disc_m(5) - 0.05, Verdict.REACHES),
        (disc_m(5) + 0.05, Verdict.MAY_REACH),
        (disc_m(2.8) - 0.15, Verdict.MAY_REACH),
        (disc_m(2.8) + 0.25, Verdict.NOT_REACHED),
    ],
)
def test_verdict_over_the_film_range_of_bare_concrete(metres: float, verdict: Verdict) -> None:
    build = SurveyBuilder()
    build.floor(width_m=20, depth_m=20, finish="bare concrete", perimeter_tight="yes")
    build.drain("D1", (10 + metres, 10), position_source="measured")
    stock(build, "P1", (10, 10), "toluene")
    assert the_reach(build).verdict is verdict


def test_critical_depth_is_volume_over_the_area_nearer_than_the_drain() -> None:
    build = SurveyBuilder()
    build.floor(width_m=20, depth_m=20, finish="bare concrete", perimeter_tight="yes")
    build.drain("D1", (13, 10))
    stock(build, "P1", (10, 10), "toluene")
    depths = the_reach(build).critical_depth_mm
    assert depths is not None
    assert depths.low == pytest.approx(208 / (math.pi * 9), rel=0.01)


def test_a_tight_wall_cuts_the_drain_off() -> None:
    build = a_store(perimeter_tight="yes")
    build.wall("W", [(10, 0), (10, 10)], tight_at_floor="yes")
    build.drain("D1", (11, 5))
    stock(build, "P1", (9, 5), "toluene")
    reach = the_reach(build)
    assert reach.verdict is Verdict.NOT_REACHED
    assert reach.critical_depth_mm is None


def test_litres_are_what_the_floor_before_the_drain_does_not_hold() -> None:
    build = SurveyBuilder()
    build.floor(width_m=20, depth_m=20, finish="bare concrete", perimeter_tight="yes")
    build.drain("D1", (12, 10))
    stock(build, "P1", (10, 10), "toluene")
    reach = the_reach(build)
    nearest_m2 = math.pi * (2 - reach.gap.tolerance_m) ** 2
    assert 0.05 < reach.gap.tolerance_m < 0.5
    assert reach.litres.low == pytest.approx(208 - 5 * nearest_m2, rel=1e-3)
    assert reach.litres.high == pytest.approx(208 - 2.8 * nearest_m2, rel=1e-3)


@pytest.mark.parametrize(
    ("fields", "treated_as", "proven"),
    [
        ({"joins": "sanitary", "proof": "dye test"}, "sanitary", True),
        ({"joins": "sanitary", "proof": "operator"}, "sanitary", False),
        (
            {"joins": "sanitary", "proof": "dye test", "other_claims": [{"joins": "storm", "says": "drawing"}]},
            "storm",
            False,
        ),
        ({"joins": "unknown"}, "unknown", False),
        (
            {"joins": "holding tank", "proof": "operator", "other_claims": [{"joins": "ground", "says": "drawing"}]},
            "ground",
            False,
        ),
        ({"joins": "holding tank", "proof": "none"}, "unknown", False),
        ({"joins": "interceptor", "then": "storm", "proof": "operator"}, "storm", False),
        ({"joins": "interceptor", "then": "storm", "proof": "camera"}, "interceptor", True),
    ],
)
def test_the_worst_claim_is_acted_on_until_one_is_proven(
    fields: dict[str, object],
    treated_as: str,
    proven: bool,  # noqa: FBT001
) -> None:
    build = a_store()
    build.drain("D1", (5, 5), **fields)
    (drain,) = judged_floor(build).drains
    assert (drain.treated_as, drain.proven) == (treated_as, proven)


def test_an_added_drain_never_moves_the_nearest_farther() -> None:
    build = a_store()
    stock(build, "P1", (5, 5), "toluene")
    build.drain("D1", (8, 5))
    before = the_reach(build).gap.metres
    build.drain("D2", (15, 5))
    after = min(reach.gap.metres for drain in judged_floor(build).drains for reach in drain.reaches)
    assert after == before


def test_a_pallet_off_the_floor_may_reach_every_drain() -> None:
    build = a_store()
    build.drain("D1", (8, 5))
    stock(build, "P1", (50, 50), "toluene")
    assert the_reach(build).verdict is Verdict.MAY_REACH
    assert any("no spill reach computed" in line for line in judged(build).unknowns)


def test_a_floor_too_large_to_compute_is_still_judged() -> None:
    build = SurveyBuilder()
    build.floor(width_m=9000, depth_m=9000)
    build.drain("D1", (8, 5))
    stock(build, "P1", (50, 50), "toluene")
    assert the_reach(build).verdict is Verdict.MAY_REACH
    assert any("no spill reach computed" in line for line in judged(build).unknowns)
