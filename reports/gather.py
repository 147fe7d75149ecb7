"""Survey → facts: digest the record into plain values, flag what is implausible, keep unknowns unknown.

The only module of this room that knows the record's own shapes; what is stored is exported as a survey first.
"""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from datetime import date
from typing import Any
from uuid import UUID

from reports.facts import (
    AccessFact,
    ContactFact,
    EntryAge,
    Flag,
    ImpairmentFact,
    KitFact,
    ProtectionFact,
    ShiftFact,
    SiteFacts,
    UtilityFact,
    WalkFact,
    WaterSupplyFact,
)
from reports.gather_floor import floor_fact
from reports.gather_names import with_names_told_apart
from reports.gather_sheets import sheet_products
from reports.gather_stock import pallet_facts
from survey.bundle import Survey, snapshot_sha256
from survey.nouns import NOUNS


def gather(survey: Survey, *, as_of: date) -> SiteFacts:
    """Digest a survey as it stands for a reader on the day `as_of`."""
    site = survey.site
    flags: list[Flag] = []
    by_floor = _by_parent(survey, "floor_id")
    readings = _group(survey.readings, "pallet_id")
    drums = _group(survey.drums, "reading_id")
    sheets = sheet_products(survey.sheet_products, flags)
    floors = []
    names = {floor.name for floor in survey.floors}
    flags += [
        Flag(f"{system.kind}", "covers_floor", system.covers_floor, "over every floor")
        for system in survey.protection_systems
        if system.covers_floor is not None and system.covers_floor not in names
    ]
    for floor in sorted(survey.floors, key=lambda floor: floor.name):
        parts = by_floor[floor.id]
        bare = floor_fact(floor, parts, survey.protection_systems, names, flags)
        floors.append(pallet_facts(bare, parts["pallets"], readings, drums, sheets, flags))
    told_apart = with_names_told_apart(floors, flags)
    return SiteFacts(
        id=site.id,
        snapshot_sha256=snapshot_sha256(survey),
        as_of=as_of,
        name=site.name,
        operator=site.operator,
        former_names=tuple(site.former_names),
        address=site.address,
        latitude_deg=site.latitude_deg,
        longitude_deg=site.longitude_deg,
        tenancy_since=site.tenancy_since,
        present_use=site.present_use,
        previous_record=site.previous_record,
        previous_record_on=site.previous_record_on,
        hours_staffed=site.hours_staffed,
        shifts=tuple(ShiftFact(shift.name, shift.hours, shift.people) for shift in site.shifts),
        side_labels=tuple((side.letter, side.faces) for side in site.side_labels),
        construction=site.construction,
        roof=site.roof,
        asbestos=site.asbestos,
        power=site.power,
        eaves_height_m=site.eaves_height_m,
        travel_first_engine_min=site.travel_first_engine_min,
        travel_technicians_min=site.travel_technicians_min,
        backup_crew=site.backup_crew,
        way_out=site.way_out,
        decontamination=site.decontamination,
        **_site_parts(survey),
        ages=_ages(survey),
        floors=told_apart,
        flags=tuple(flags),
    )


def _site_parts(survey: Survey) -> dict[str, Any]:
    """Digest the entries that hang on the site itself."""
    return {
        "contacts": tuple(
            ContactFact(
                entry.role,
                entry.name,
                entry.organisation,
                entry.phone,
                entry.availability,
                tuple(entry.storage_zones),
            )
            for entry in _by_name(survey.contacts)
        ),
        "access": tuple(
            AccessFact(entry.kind, entry.name, entry.where, entry.side, entry.width_m, entry.height_m)
            for entry in _by_name(survey.access_points)
        ),
        "utilities": tuple(
            UtilityFact(entry.kind, entry.shut_off, entry.outside, entry.operated_by)
            for entry in sorted(survey.utilities, key=lambda entry: (entry.kind, str(entry.id)))
        ),
        "water_supplies": tuple(
            WaterSupplyFact(entry.kind, entry.name, entry.distance_m, entry.flow_l_min)
            for entry in _by_name(survey.water_supplies)
        ),
        "protection": tuple(
            ProtectionFact(entry.kind, entry.where, entry.valve, entry.valve_where)
            for entry in sorted(survey.protection_systems, key=lambda entry: (entry.kind, str(entry.id)))
        ),
        "impairments": tuple(
            ImpairmentFact(entry.what, entry.since, entry.until)
            for entry in sorted(survey.impairments, key=lambda entry: (entry.what, str(entry.id)))
        ),
        "kit": tuple(
            KitFact(
                entry.kind,
                entry.place,
                entry.name,
                entry.material,
                entry.quantity,
                entry.capacity_l,
                entry.vented,
                entry.where,
                entry.beside_pallet,
            )
            for entry in _by_name(survey.kit_items)
        ),
        "walks": tuple(
            WalkFact(entry.on, tuple(entry.inspectors), entry.outcome, entry.minutes, entry.seen, entry.note)
            for entry in sorted(survey.walkthroughs, key=lambda entry: (entry.on, str(entry.id)))
        ),
    }


def _ages(survey: Survey) -> tuple[EntryAge, ...]:
    """Age of the entries noun by noun."""
    ages = []
    for noun in NOUNS:
        entries = [survey.site] if noun.parent is None else getattr(survey, noun.plural)
        if entries:
            times = [entry.recorded_at for entry in entries]
            sources = tuple(sorted({entry.source for entry in entries}))
            ages.append(EntryAge(noun.plural.replace("_", " "), len(entries), min(times), max(times), sources))
    return tuple(ages)


def _by_parent(survey: Survey, key: str) -> dict[UUID, dict[str, list[Any]]]:
    """Sort all entries with this parent key under their parent, noun by noun."""
    found: dict[UUID, dict[str, list[Any]]] = defaultdict(lambda: defaultdict(list))
    for noun in NOUNS:
        if noun.parent == key:
            for entry in getattr(survey, noun.plural):
                found[getattr(entry, key)][noun.plural].append(entry)
    return found


def _group(entries: Iterable[Any], key: str) -> dict[UUID, list[Any]]:
    grouped: dict[UUID, list[Any]] = defaultdict(list)
    for entry in entries:
        grouped[getattr(entry, key)].append(entry)
    return grouped


def _by_name(entries: Sequence[Any]) -> list[Any]:
    return sorted(entries, key=lambda entry: (entry.name, str(entry.id)))
