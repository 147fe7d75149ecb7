"""Facts → assessment: runs the rooms of judgement in order and puts their answers together."""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from uuid import UUID

from reports.assessment import Assessment, Coverage, Finding, FloorAssessment
from reports.coverage import coverage
from reports.doubts import disputes, operator_tasks, unknowns
from reports.facts import FloorFact, SiteFacts
from reports.findings.condition import condition_findings
from reports.findings.containment import containment_findings
from reports.findings.pairs import pair_findings
from reports.findings.rest import rest_findings
from reports.findings.routes import route_findings
from reports.findings.separation import separation_findings
from reports.findings.site import prior_record_invalid, shortage_findings, site_findings
from reports.findings.triggers import trigger_findings
from reports.findings.walls import wall_findings
from reports.first_actions import first_actions
from reports.floors.bunds import containment_on
from reports.floors.clock import with_clock
from reports.floors.drains import arrivals_on, drains_on
from reports.floors.drawing import floor_assessment
from reports.floors.hydraulics import Hydraulics
from reports.floors.lot_table import Pools, lot_table
from reports.floors.lots import lots_on
from reports.floors.nearby import Nearby
from reports.floors.neighbours import neighbours_on
from reports.floors.pallets import pallets_on
from reports.floors.provisions import overpacks_of, provisions
from reports.floors.spills import FloorSpills
from reports.floors.stops import line_order, stay_out, stops_on
from reports.floors.view import FloorView
from reports.floors.zones import zones_on
from reports.ranking import ranked, zone_order
from reports.response.advice import OverpackNeed, StopLine
from reports.stand_off import stand_off
from survey.vocabulary import WalkOutcome

FLOOR_RULES = (
    condition_findings,
    pair_findings,
    separation_findings,
    trigger_findings,
    route_findings,
    containment_findings,
    wall_findings,
    rest_findings,
)
"""The rules that look at one floor; each yields findings."""


def assess(facts: SiteFacts) -> Assessment:
    """Judge a whole site.

    Parameters
    ----------
    facts : SiteFacts

    Returns
    -------
    Assessment
        The same facts always give the same assessment.

    Raises
    ------
    geometry.errors.GeometryRefused
        If a floor cannot be put on a grid, for instance because it is too large; the message says what would fit.
    """
    views = tuple(floor_view(facts, floor) for floor in facts.floors)
    no_entry = stay_out(facts.floors)
    needs = overpacks_of(facts)
    needed = provisions(facts, views, needs, stay_out=bool(no_entry))
    floor_findings = (finding for view in views for finding in _floor_findings(view))
    findings = ranked([*floor_findings, *site_findings(facts), *shortage_findings(needed.overpacks)])
    away = stand_off(facts)
    known = _known(facts)
    return Assessment(
        site_id=facts.id,
        site=facts.name,
        snapshot_sha256=facts.snapshot_sha256,
        as_of=facts.as_of,
        last_walk=max(
            (walk.on for walk in facts.walks if walk.outcome is not WalkOutcome.ACCESS_REFUSED), default=None
        ),
        oldest_entry=min((age.oldest for age in facts.ages), default=None),
        newest_entry=max((age.newest for age in facts.ages), default=None),
        prior_plan_invalid=prior_record_invalid(facts),
        coverage=known,
        floors=_ranked_over_site([_floor(view, findings, needs, stays_out=bool(no_entry)) for view in views], findings),
        findings=findings,
        stops=_stops(views),
        stand_off=away,
        first_actions=first_actions(facts, views, away, stay_out=bool(no_entry)),
        overpacks=needed.overpacks,
        kit=needed.kit,
        kit_heading=needed.kit_heading,
        disputes=disputes(views),
        flags=facts.flags,
        unknowns=unknowns(facts, known, views),
        operator_tasks=operator_tasks(findings, views),
        no_entry=no_entry,
        notifications=needed.notifications,
        decontamination=needed.decontamination,
        monitors=needed.monitors,
    )


def floor_view(facts: SiteFacts, floor: FloorFact) -> FloorView:
    """Judge one floor as far as its rules look: pools, drains, pairs, stop lines.

    Parameters
    ----------
    facts : SiteFacts
    floor : FloorFact
        One of its floors.

    Returns
    -------
    FloorView
    """
    spills = FloorSpills(floor)
    hydraulics = Hydraulics(floor)
    lots = lots_on(floor)
    arrivals = arrivals_on(floor, lots, spills, hydraulics)
    pools = Pools(spills)
    table = lot_table(floor, lots, pools, arrivals)
    neighbours = neighbours_on(table, spills)
    nearby = Nearby(floor.pallets, pools)
    return FloorView(
        site=facts,
        floor=floor,
        spills=spills,
        hydraulics=hydraulics,
        lots=lots,
        drain_arrivals=arrivals,
        drains=drains_on(floor, spills, arrivals),
        pools=pools,
        table=table,
        pairs=neighbours.pairs,
        unlisted=neighbours.unlisted,
        containment=containment_on(floor, hydraulics),
        nearby=nearby,
        stops=stops_on(facts, floor, nearby, arrivals),
    )


def _floor_findings(view: FloorView) -> list[Finding]:
    return [finding for rule in FLOOR_RULES for finding in rule(view)]


def _floor(
    view: FloorView, findings: Sequence[Finding], needs: Mapping[UUID, OverpackNeed], *, stays_out: bool
) -> FloorAssessment:
    zones = zones_on(view, findings, needs, stay_out=stays_out)
    return with_clock(view, floor_assessment(view, zones, pallets_on(view)))


def _ranked_over_site(floors: Sequence[FloorAssessment], findings: Sequence[Finding]) -> tuple[FloorAssessment, ...]:
    """Number the storage zones over all floors; their names are told apart."""
    order = zone_order([zone.name for floor in floors for zone in floor.zones], findings)
    rank = {name: place for place, name in enumerate(order, start=1)}
    return tuple(
        replace(floor, zones=tuple(replace(zone, rank=rank[zone.name]) for zone in floor.zones)) for floor in floors
    )


def _known(facts: SiteFacts) -> Coverage:
    pallets = [pallet for floor in facts.floors for pallet in floor.pallets]
    return coverage(
        (drum for pallet in pallets for drum in pallet.counted),
        unread_pallets=sum(any(drum.unread for drum in pallet.drums) for pallet in pallets),
    )


def _stops(views: Sequence[FloorView]) -> tuple[StopLine, ...]:
    lines = dict.fromkeys(line for view in views for lines in view.stops.values() for line in lines)
    return tuple(sorted(lines, key=line_order))
