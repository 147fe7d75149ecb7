"""Puts the parts of the paper together."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import fields, is_dataclass, replace
from itertools import groupby

from geometry.units import mm_and_inches
from reports.assessment import Assessment, Finding, FloorAssessment, Kind
from reports.facts import SiteFacts
from reports.maps import floor_map, grid_of
from reports.preplan.front import action_texts, front_floor, front_page
from reports.preplan.liquids import containment_tables, door_text, drain_part
from reports.preplan.pairs import apart_texts, pair_texts
from reports.preplan.plan import Basis, FindingGroup, FindingText, FloorPart, PrePlan, SourceText
from reports.preplan.provided import (
    borrowed,
    decontamination_texts,
    kit_texts,
    monitor_texts,
    notification_texts,
    overpack_lines,
    transport_texts,
    way_texts,
)
from reports.preplan.records import (
    CAUTIONS,
    age_rows,
    contact_pairs,
    edition,
    flag_texts,
    site_facts,
    snapshot_facts,
    walk_rows,
)
from reports.preplan.stops import Place, places_of, stop_texts
from reports.preplan.storage import reading_text, zone_part
from reports.preplan.words import basis, sentence, span
from reports.wording import listed

KINDS = {
    Kind.CONDITION_NOW: "Condition now",
    Kind.LETHAL_GAS_MEETING: "Lethal gas where liquids meet",
    Kind.TRIGGER_PRESENT: "A trigger is present",
    Kind.LOOSE_WITH_ROUTE: "Leaking or unidentified, with a way off site",
    Kind.OTHER_PAIR: "Other pairs that react",
    Kind.CONTAINMENT_FAILS: "Containment fails",
    Kind.REST: "Other",
}


def preplan(assessment: Assessment, facts: SiteFacts) -> PrePlan:
    """Word the whole paper.

    Parameters
    ----------
    assessment : Assessment
        Every number on the paper comes from here.
    facts : SiteFacts
        Identity, contacts, access, utilities, water, walks and ages of the same site.

    Returns
    -------
    PrePlan
        The same assessment and facts always give the same plan.

    Raises
    ------
    ValueError
        If the two are not of one site and one snapshot: the paper would name one site and draw another.
    """
    if (assessment.site_id, assessment.snapshot_sha256) != (facts.id, facts.snapshot_sha256):
        raise ValueError(
            f"assessment of site {assessment.site_id}, snapshot {assessment.snapshot_sha256}: "
            f"expected facts of the same, found site {facts.id}, snapshot {facts.snapshot_sha256}"
        )
    places = places_of(assessment)
    stops = stop_texts(assessment.stops, places)
    plan = PrePlan(
        language="en-GB",
        title=f"Pre-plan: {assessment.site}",
        edition=edition(assessment),
        front=front_page(assessment, facts, stops),
        stops=stops,
        actions=action_texts(assessment),
        findings=_by_kind(assessment.findings),
        floors=tuple(_floor(floor, assessment, places) for floor in assessment.floors),
        apart=apart_texts(),
        overpacks=overpack_lines(assessment.overpacks),
        kit=kit_texts(assessment.kit),
        kit_heading=assessment.kit_heading,
        borrow=borrowed(assessment.kit),
        ways=way_texts(assessment),
        transport=transport_texts(),
        monitors=monitor_texts(assessment.monitors),
        decontamination=decontamination_texts(assessment.decontamination),
        notifications=notification_texts(assessment.notifications),
        disputes=tuple(reading_text(dispute) for dispute in assessment.disputes),
        flags=flag_texts(assessment),
        unknowns=tuple(sentence(unknown) for unknown in assessment.unknowns),
        operator_tasks=tuple(sentence(task) for task in assessment.operator_tasks),
        site_facts=site_facts(facts),
        contacts=contact_pairs(facts),
        ages=age_rows(facts),
        walks=walk_rows(facts),
        snapshot=snapshot_facts(assessment),
        sources=(),
        source_numbers={},
        cautions=CAUTIONS,
    )
    sources = tuple(_sources(plan))
    return replace(plan, sources=sources, source_numbers={each.source: each.number for each in sources})


def _sources(plan: PrePlan) -> Iterator[SourceText]:
    """Number the sources in the order in which a reader meets them."""
    rules: dict[str, set[str]] = {}
    for found in _bases_in(plan):
        rules.setdefault(found.source, set()).add(found.rule)
    for number, (source, names) in enumerate(rules.items(), start=1):
        yield SourceText(number, source, ", ".join(sorted(names)))


def _bases_in(part: object) -> Iterator[Basis]:
    if isinstance(part, Basis):
        yield part
    elif is_dataclass(part):
        for field in fields(part):
            yield from _bases_in(getattr(part, field.name))
    elif isinstance(part, tuple):
        for each in part:
            yield from _bases_in(each)


def _by_kind(findings: Sequence[Finding]) -> tuple[FindingGroup, ...]:
    """Gather findings under their kinds; they are ranked by kind, so their numbers run on."""
    numbered = [(finding.kind, _finding(number, finding)) for number, finding in enumerate(findings, start=1)]
    return tuple(
        FindingGroup(KINDS[kind], tuple(text for _, text in group))
        for kind, group in groupby(numbered, key=lambda each: each[0])
    )


def _finding(number: int, finding: Finding) -> FindingText:
    return FindingText(
        number=number,
        sentence=sentence(finding.sentence),
        reason=sentence(finding.reason),
        inputs="; ".join(f"{name}: {value}" for name, value in finding.inputs),
        where=f"storage zone {listed(finding.zones)}" if finding.zones else "",
        stop=finding.stop,
        basis=basis(finding.cite),
    )


def _floor(floor: FloorAssessment, assessment: Assessment, places: Mapping[str, Place]) -> FloorPart:
    grid = grid_of(floor)
    return FloorPart(
        name=floor.name,
        anchor=f"floor-{floor.id}",
        map="" if floor is front_floor(assessment) else floor_map(floor, assessment, prefix=f"floor-{floor.id}-"),
        facts=tuple(_floor_facts(floor)),
        zones=tuple(zone_part(zone, floor, assessment, places) for zone in floor.zones),
        drains=tuple(drain_part(drain, floor, grid) for drain in floor.drains),
        doors=tuple(door_text(door) for door in floor.doors_out),
        pairs=pair_texts(floor.pairs),
        containment=containment_tables(floor.containment),
    )


def _floor_facts(floor: FloorAssessment) -> Iterator[tuple[str, str]]:
    yield "Finish", floor.finish
    yield "Film", span(floor.film_mm, mm_and_inches, low="thin", high="thick")
    yield "Falls", floor.levelness
    blocked = [name for name, _, shut in floor.doors if shut]
    yield "Doors blocked", ", ".join(blocked) or "none recorded"
