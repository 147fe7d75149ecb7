"""Small surveys judged for tests: one floor, assessed on a fixed day."""

from typing import Any

from reports.assessment import Assessment, Finding, FloorAssessment
from reports.assessor import assess
from reports.gather import gather
from tests.builders import SurveyBuilder, rectangle
from tests.demo_sites import DAY


def judged(build: SurveyBuilder) -> Assessment:
    """Assess what was built."""
    return assess(gather(build.survey(), as_of=DAY))


def judged_floor(build: SurveyBuilder) -> FloorAssessment:
    """Assess what was built and give its only floor."""
    (floor,) = judged(build).floors
    return floor


def of_rule(assessment: Assessment, rule: str) -> list[Finding]:
    """Give the findings of one rule."""
    return [finding for finding in assessment.findings if finding.cite.rule == rule]


def a_store(**floor: Any) -> SurveyBuilder:
    """Begin a bare-concrete store of 20 by 10 m, recorded level, one storage zone, walls not tight."""
    build = SurveyBuilder()
    build.floor(
        width_m=20,
        depth_m=10,
        **{"finish": "bare concrete", "levelness": "recorded level", "perimeter_tight": "no", **floor},
    )
    build.zone("All", rectangle(0, 0, 20, 10))
    return build


def stock(build: SurveyBuilder, pallet: str, at: tuple[float, float], product: str | None, **drum: Any) -> None:
    """Add a pallet with one full, labelled steel drum in its middle."""
    build.pallet(pallet, at, **{key: drum.pop(key) for key in ("base_height_m", "stable", "kind") if key in drum})
    build.drum(
        f"{pallet}-1",
        product,
        **{
            "container_code": "1A1",
            "fill_pct": 100,
            "capacity_l": 208,
            "offset": (0, 0),
            "label": "legible" if product else "none",
            "identity_sources": ["label"] if product else [],
            "signs_checked": True,
            **drum,
        },
    )
