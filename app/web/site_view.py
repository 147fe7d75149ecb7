"""From an assessment and its paper to the page of one site: the same words and figures, in links and sections."""

from collections.abc import Iterator, Mapping
from typing import Final
from uuid import UUID

from markupsafe import Markup

from app.web.anchors import Anchors, finding_anchor
from app.web.contexts import FindingItem, FloorItem, LegendItem, Link, SitePage, ZoneItem
from app.web.map_links import linked
from app.web.stock_view import (
    FloorWords,
    door_items,
    drain_items,
    floor_words,
    pair_items,
    pallet_items,
    stop_items,
    zone_items,
)
from app.web.words import plan_age, shares
from reports.assessment import Assessment
from reports.maps import FloorDrawing
from reports.preplan import PrePlan
from reports.preplan.build import KINDS
from reports.preplan.plan import Front
from reports.wording import counted

STOPS_AT_FIRST: Final = 3
"""As many as page 1 of the paper shows before it says how many more there are."""
FINDINGS_AT_FIRST: Final = 12
PAIRS_AT_FIRST: Final = 8
"""A site in a bad way has more than a hundred; the rest stands behind one tap, counted."""


def site_page(assessment: Assessment, plan: PrePlan, drawings: Mapping[UUID, FloorDrawing]) -> SitePage:
    """Write the page of a site; `drawings` holds the map of each floor."""
    anchors = Anchors(assessment)
    stops = stop_items(assessment, plan.stops, anchors)
    words = floor_words(assessment, plan.floors, plan.disputes, anchors)
    floors = tuple(_floor_item(each, drawings[each.floor.id]) for each in words)
    finding_texts = (text for group in plan.findings for text in group.findings)
    findings = tuple(
        FindingItem(finding_anchor(text.number), KINDS[finding.kind], text, anchors.places(finding))
        for finding, text in zip(assessment.findings, finding_texts, strict=True)
    )
    pairs = tuple(pair for each in words for pair in pair_items(each))
    front = plan.front
    return SitePage(
        title=assessment.site,
        notice="",
        name=assessment.site,
        address=front.address,
        operator=front.operator,
        age=plan_age(assessment.last_walk, assessment.as_of),
        shares=shares(assessment.coverage),
        drums=" ".join(front.shares[0]),
        no_entry=front.no_entry,
        prior_plan_invalid=front.prior_plan_invalid,
        downloads=_downloads(assessment.site_id),
        stops_first=stops[:STOPS_AT_FIRST],
        stops_more=stops[STOPS_AT_FIRST:],
        stops_heading=_stops_heading(assessment),
        stand_off=front.stand_off,
        stand_off_basis=front.stand_off_basis,
        floors=floors,
        findings_first=findings[:FINDINGS_AT_FIRST],
        findings_more=findings[FINDINGS_AT_FIRST:],
        actions=plan.actions,
        zones=_in_order_of_paper(front, [zone for floor in floors for zone in floor.zones]),
        drains=tuple(drain for each in words for drain in drain_items(each)),
        doors=tuple(door for each in words for door in door_items(each)),
        containment=tuple(table for floor in plan.floors for table in floor.containment),
        pairs_first=pairs[:PAIRS_AT_FIRST],
        pairs_more=pairs[PAIRS_AT_FIRST:],
        apart=plan.apart,
        unknowns=plan.unknowns,
        disputes=plan.disputes,
        flags=plan.flags,
        site_facts=tuple(_site_facts(front)) + plan.site_facts,
        calls=(("By day", front.call_by_day), ("By night", front.call_by_night)),
        overpacks=plan.overpacks,
        kit=plan.kit,
        kit_heading=plan.kit_heading,
        borrow=plan.borrow,
        ways=plan.ways,
        transport=plan.transport,
        monitors=plan.monitors,
        decontamination=plan.decontamination,
        notifications=plan.notifications,
        operator_tasks=plan.operator_tasks,
        ages=plan.ages,
        walks=plan.walks,
        snapshot=plan.snapshot,
        cautions=plan.cautions,
    )


def _in_order_of_paper(front: Front, zones: list[ZoneItem]) -> tuple[ZoneItem, ...]:
    """Rank the storage zones of all floors as page 1 does."""
    order = {line.anchor: place for place, line in enumerate(front.zones)}
    return tuple(sorted(zones, key=lambda zone: order[zone.text.anchor]))


def _stops_heading(assessment: Assessment) -> str:
    drums = {line.drum for line in assessment.stops}
    return f"STOP: {counted(len(drums), 'drum')} under a STOP line"


def _downloads(site_id: UUID) -> tuple[Link, ...]:
    here = f"/api/sites/{site_id}"
    return (
        Link("Pre-plan, A4", f"{here}/preplan.pdf?paper=A4"),
        Link("US letter", f"{here}/preplan.pdf?paper=letter"),
        Link("Survey file", f"{here}/survey"),
        Link("JSON", f"{here}/assessment"),
    )


def _site_facts(front: Front) -> Iterator[tuple[str, str]]:
    yield from ((f"Side {letter}", faces) for letter, faces in front.sides)
    yield from ((f"People inside, {shift}", people) for shift, people in front.people)
    yield from front.access
    yield from front.resources


def _floor_item(words: FloorWords, drawing: FloorDrawing) -> FloorItem:
    floor = words.floor
    links = {str(pallet.id): f"#{words.anchors.of(pallet.id)}" for pallet in floor.pallets}
    return FloorItem(
        anchor=words.anchors.of(floor.id),
        name=floor.name,
        drawing=linked(drawing.svg, links),
        drawing_href=f"/api/sites/{words.assessment.site_id}/floors/{floor.id}/map.svg",
        legend=tuple(LegendItem(Markup(entry.sample), entry.says) for entry in drawing.legend),  # noqa: S704 (made by reports.maps, which escapes)
        notes=drawing.notes,
        facts=words.part.facts,
        zones=zone_items(words),
        pallets=pallet_items(words),
    )
