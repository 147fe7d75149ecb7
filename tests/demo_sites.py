"""The demo sites, gathered and assessed once per test process, as judged on a fixed day."""

from datetime import date
from functools import cache

from reports.assessment import Assessment, Finding, FloorAssessment
from reports.assessor import assess
from reports.facts import SiteFacts
from reports.gather import gather
from seed_demo.loader import survey_files
from survey.bundle import Survey, parse

DAY = date(2026, 11, 25)
MAX_BYTES = 10_000_000
FILES = {"A": "tessaly_road.json", "B": "quillmere_shed_4.json", "C": "vellinor_street.json"}


@cache
def demo_survey(letter: str) -> Survey:
    """Give the survey of demo site A, B or C."""
    path = next(path for path in survey_files() if path.name == FILES[letter])
    return parse(path.read_bytes(), max_bytes=MAX_BYTES)


@cache
def demo_facts(letter: str) -> SiteFacts:
    """Give its facts."""
    return gather(demo_survey(letter), as_of=DAY)


@cache
def demo_assessment(letter: str) -> Assessment:
    """Give its assessment."""
    return assess(demo_facts(letter))


def demo_floor(letter: str) -> FloorAssessment:
    """Give its only floor."""
    (floor,) = demo_assessment(letter).floors
    return floor


def findings_with(assessment: Assessment, *words: str) -> list[Finding]:
    """Give the findings whose sentence or reason holds all these words, in their order."""
    return [
        finding
        for finding in assessment.findings
        if all(word in f"{finding.sentence} {finding.reason}" for word in words)
    ]
