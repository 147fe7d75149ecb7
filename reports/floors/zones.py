"""A storage zone with everything its page says: rank, stock, stop lines or methods, overpacks, ensemble."""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from uuid import UUID

from reports.assessment import Finding, Kind, ZoneAssessment
from reports.coverage import coverage
from reports.facts import DrumFact, SiteFacts, ZoneFact
from reports.floors.pallets import name_and_number
from reports.floors.provisions import zone_provisions
from reports.floors.stops import line_order
from reports.floors.view import FloorView
from reports.ranking import zone_order
from reports.response.absorbents import absorbent_advice
from reports.response.advice import MethodTable, OverpackNeed, StopLine
from reports.response.contents import products_acted_on
from reports.response.methods import method_tables
from reports.response.protective_equipment import ensemble
from reports.sheet_notes import sheet_notes
from reports.wording import named
from survey.catalogue.product import Product
from survey.vocabulary import ContactRole

LOOK_FIRST = "Condition or container not on record: look from a distance first, and stay away if anything is odd"


def zones_on(
    view: FloorView, findings: Sequence[Finding], needs: Mapping[UUID, OverpackNeed], *, stay_out: bool
) -> tuple[ZoneAssessment, ...]:
    """Assess the storage zones of a floor, worst first.

    Parameters
    ----------
    view : FloorView
    findings : sequence of Finding
        All findings of the site in their order; zones point into it.
    needs : mapping of UUID to OverpackNeed
        The overpack of each drum, by the drum's id.
    stay_out : bool
        Whether first crews stay out altogether; then no zone carries a method table.
    """
    zones = {zone.name: _zone(view, zone, findings, needs, stay_out) for zone in view.floor.zones}
    order = zone_order(zones, findings)
    return tuple(replace(zones[name], rank=rank) for rank, name in enumerate(order, start=1))


def _zone(
    view: FloorView,
    zone: ZoneFact,
    findings: Sequence[Finding],
    needs: Mapping[UUID, OverpackNeed],
    stay_out: bool,  # noqa: FBT001 - passed on from a keyword
) -> ZoneAssessment:
    pallets = [pallet for pallet in view.floor.pallets if pallet.zone_id == zone.id]
    drums = [drum for pallet in pallets for drum in pallet.drums]
    counted = [drum for drum in drums if drum.counted]
    own = tuple(
        index
        for index, finding in enumerate(findings)
        if zone.name in finding.zones and finding.floor == view.floor.name
    )
    known = coverage(counted)
    products, acted_on = _products(drums), products_acted_on(drums)
    provided = zone_provisions(view, pallets, needs)
    return ZoneAssessment(
        id=zone.id,
        name=zone.name,
        title=zone.title,
        tenant=zone.tenant,
        rank=0,
        outline=zone.outline,
        headline=findings[own[0]].sentence if own else "No finding.",
        worst_kind=findings[own[0]].kind if own else Kind.REST,
        findings=own,
        pallets=tuple(pallet.name for pallet in pallets),
        drums=sum(not drum.empty_uncleaned for drum in counted),
        empty=sum(drum.empty_uncleaned for drum in counted),
        seen=known.seen,
        label_read=known.label_read,
        identified=known.identified,
        litres=sum(drum.fill_l for pallet in pallets for drum in pallet.worst_by(lambda drum: drum.fill_l)),
        products=tuple(name_and_number(product) for product in products),
        stops=_stops(drums, view.stops),
        methods=() if stay_out else _methods(drums, view.stops),
        overpacks=tuple(needs[drum.id] for drum in counted if not drum.empty_uncleaned),
        ensemble=ensemble(acted_on),
        absorbents=absorbent_advice(acted_on),
        unknown_share=_unknown_share([drum for drum in drums if drum.counted or drum.unread]),
        night_contact=_night_contact(view.site, zone),
        sheets=sheet_notes(products),
        kit=provided.kit,
        monitors=provided.monitors,
        duties=provided.duties,
        decontamination=provided.decontamination,
    )


def _methods(drums: Sequence[DrumFact], stops: Mapping[UUID, tuple[StopLine, ...]]) -> tuple[MethodTable, ...]:
    """Give the method tables, each with a caution for the drums of it that nobody has looked over."""
    unchecked = {drum.name for drum in drums if not drum.signs_checked or not drum.container.known}
    tables = method_tables(drums, stops)
    return tuple(
        replace(table, caution=f"{LOOK_FIRST}: {named(looked)}. {table.caution}")
        if (looked := [name for name in table.drums if name in unchecked])
        else table
        for table in tables
    )


def _products(drums: Sequence[DrumFact]) -> tuple[Product, ...]:
    by_key = {drum.product.key: drum.product for drum in drums}
    return tuple(by_key[key] for key in sorted(by_key))


def _stops(drums: Sequence[DrumFact], stops: Mapping[UUID, tuple[StopLine, ...]]) -> tuple[StopLine, ...]:
    lines = dict.fromkeys(line for drum in drums for line in stops[drum.id])
    return tuple(sorted(lines, key=line_order))


def _unknown_share(drums: Sequence[DrumFact]) -> float:
    unknown = sum(drum.hidden or drum.contents_unknown for drum in drums)
    return unknown / len(drums) if drums else 0.0


def _night_contact(site: SiteFacts, zone: ZoneFact) -> str:
    """Name who answers for a storage zone at night: its own contact first, then the site's."""
    at_night = [contact for contact in site.contacts if contact.answers_at_night]
    own = [contact for contact in at_night if zone.recorded_name in contact.storage_zones]
    general = [
        contact
        for contact in at_night
        if not contact.storage_zones
        and contact.role
        in (ContactRole.OPERATOR, ContactRole.KEY_HOLDER, ContactRole.GUARD, ContactRole.KNOWS_THE_STOCK)
    ]
    for contact in (*own, *general):
        return f"{contact.name}, {contact.role}, {contact.phone}"
    return "nobody recorded"
