"""Quillmere Freight Shed 4: three tenants under one roof, and a pipe between two bunds that nobody sees.

The site itself stands here; its floor is in `quillmere_floor` and what stands on it in `quillmere_stock`.
"""

from datetime import date
from typing import Any

from seed_demo.authoring import Recorder
from seed_demo.district import ENTRY_ARRANGED, add_apparatus_kit, add_authorities
from seed_demo.quillmere_floor import SHED, add_floor
from seed_demo.quillmere_stock import COATINGS, PLATING, SUNDRIES, WALK, add_stock
from survey.bundle import Survey
from survey.vocabulary import (
    AccessKind,
    Availability,
    ContactRole,
    KitKind,
    KitPlace,
    ProtectionKind,
    Source,
    UtilityKind,
    ValvePosition,
    WalkOutcome,
    WaterSupplyKind,
    YesNoUnknown,
)

TOLD = WALK.says(Source.OPERATOR)
PAPERS = WALK.says(Source.DOCUMENT)


def survey() -> Survey:
    """Give the whole survey of this site."""
    site = Recorder("quillmere-shed-4", WALK)
    _identity(site)
    _people(site)
    _ways_in(site)
    _services(site)
    _protection(site)
    _kit(site)
    add_floor(site)
    add_stock(site)
    return site.survey()


def _identity(site: Recorder) -> None:
    site.add(
        "sites",
        "Quillmere Freight Shed 4",
        operator="Quillmere Freight",
        former_names=["Quillmere Goods Depot"],
        address="Shed 4, Quillmere Lane, Corvane",
        tenancy_since=date(2019, 6, 1),
        present_use="Storage in drums for three tenants.",
        previous_record="Freight shed, mixed goods in drums.",
        previous_record_on=date(2025, 10, 21),
        hours_staffed="Day shift Monday to Saturday; one guard at all other times.",
        shifts=[
            {"name": "day", "hours": "Mon-Sat 06:00-18:00", "people": 12},
            {"name": "night", "hours": "18:00-06:00 and Sundays", "people": 1},
        ],
        side_labels=[
            {"letter": "A", "faces": "Quillmere Lane, east, yard strip and main door"},
            {"letter": "B", "faces": "south, guard's hut and staff door"},
            {"letter": "C", "faces": "west, rear road and goods door"},
            {"letter": "D", "faces": "north, railway fence"},
        ],
        construction="Steel portal frame, one hall, profiled steel cladding on a brick plinth.",
        roof="Profiled steel; valley gutter at x = 40.5 m drips.",
        asbestos=YesNoUnknown.NO,
        power=YesNoUnknown.YES,
        eaves_height_m=9,
        travel_first_engine_min=5,
        travel_technicians_min=35,
        **ENTRY_ARRANGED,
        note="Street, people and firms are invented.",
    )


def _people(site: Recorder) -> None:
    day, night, both = Availability.DAY, Availability.NIGHT, Availability.DAY_AND_NIGHT
    everywhere: list[str] = []
    for role, name, organisation, phone, when, zones in (
        (ContactRole.OPERATOR, "Ruth Amsel, site manager", "Quillmere Freight", "555-0120", day, everywhere),
        (ContactRole.GUARD, "Night guard", "Quillmere Freight", "555-0121", night, ["Z5", "Z6", "Z7"]),
        (ContactRole.KEY_HOLDER, "Guard's hut", "Quillmere Freight", "555-0122", both, everywhere),
        (ContactRole.KNOWS_THE_STOCK, "Joost Averill, stock clerk", "Quillmere Freight", "555-0123", day, everywhere),
        (ContactRole.TENANT, "Duty chemist", COATINGS, "555-0124", both, ["Z1", "Z4", "Cabinet"]),
        (ContactRole.TENANT, "Shift foreman", PLATING, "555-0125", both, ["Z2", "Z3"]),
        (ContactRole.TENANT, "Office", SUNDRIES, "555-0126", day, ["Z5", "Z6", "Z7"]),
    ):
        site.add(
            "contacts",
            name,
            origin=TOLD,
            role=role,
            organisation=organisation,
            phone=phone,
            availability=when,
            storage_zones=zones,
        )
    add_authorities(site, WALK)


def _ways_in(site: Recorder) -> None:
    for kind, name, where, side, width_m, height_m in (
        (AccessKind.GATE, "South gate", "On Quillmere Lane at the guard's hut.", "B", 7.0, 4.6),
        (AccessKind.KEY_BOX, "Key box", "Outside wall of the guard's hut.", "B", None, None),
        (AccessKind.ENTRANCE, "Main door", "South end of the east wall; blocked from inside.", "A", 4.0, 4.5),
        (AccessKind.SECOND_APPROACH, "Goods door", "South end of the west wall, by the rear road.", "C", 4.0, 4.5),
        (AccessKind.ASSEMBLY_POINT, "Assembly point", "Car park south of the guard's hut.", "B", None, None),
    ):
        site.add("access_points", name, kind=kind, where=where, side=side, width_m=width_m, height_m=height_m)
    site.add(
        "walkthroughs",
        "2026-11-05",
        on=date(2026, 11, 5),
        inspectors=["Idris Calloway", "Noor Hesketh"],
        outcome=WalkOutcome.COMPLETE,
        minutes=170,
        seen="All pallets; rack level 3 from the gangway; both sumps with their covers off.",
    )


def _services(site: Recorder) -> None:
    for kind, shut_off, by in (
        (UtilityKind.GAS, "Valve in the kiosk outside the north wall at x = 52 m.", "Fire service or guard"),
        (UtilityKind.ELECTRICITY, "Main switch outside, in the kiosk beside the guard's hut.", "Guard"),
        (UtilityKind.WATER, "Stop valve under the cover at the south gate; not the sprinkler main.", "Guard"),
    ):
        site.add("utilities", kind.value, kind=kind, shut_off=shut_off, outside=YesNoUnknown.YES, operated_by=by)
    for name, distance_m, flow_l_min in (
        ("H1, Quillmere Lane north", 40, 2400),
        ("H2, Quillmere Lane south", 130, 1900),
    ):
        site.add(
            "water_supplies",
            name,
            origin=PAPERS,
            kind=WaterSupplyKind.HYDRANT,
            distance_m=distance_m,
            flow_l_min=flow_l_min,
        )
    site.add(
        "impairments",
        "smoke vents",
        origin=TOLD,
        what="Smoke vents east of x = 36 m do not open from the panel.",
        since=date(2026, 10, 19),
        until=date(2026, 12, 18),
    )


def _protection(site: Recorder) -> None:
    site.add(
        "protection_systems",
        "sprinklers",
        origin=PAPERS,
        kind=ProtectionKind.SPRINKLER,
        where="Wet pipe, whole shed.",
        covers_floor=SHED,
        density_mm_min=12.2,
        design_area_m2=232,
        valve=ValvePosition.OPEN,
        valve_where="Valve room on side A, north end, own door from outside.",
        note="Density and design area from the installer's plate; assumed to hold over storage zone Z1.",
    )
    for kind, where in (
        (ProtectionKind.FIRE_DEPARTMENT_CONNECTION, "Side A, north end, 3 m from the valve room door."),
        (ProtectionKind.DETECTION, "Smoke detection, whole shed."),
        (ProtectionKind.ALARM_PANEL, "Guard's hut."),
        (ProtectionKind.SMOKE_VENT, "Roof vents, opened from the panel; see impairments."),
    ):
        site.add("protection_systems", kind.value, kind=kind, where=where)


def _kit(site: Recorder) -> None:
    hut: dict[str, Any] = {"place": KitPlace.SITE, "where": "Guard's hut."}
    site.add("kit_items", "Drain cover", kind=KitKind.DRAIN_COVER, material="polyurethane", quantity=2, **hut)
    site.add("kit_items", "Mineral absorbent", kind=KitKind.ABSORBENT, material="inert mineral", quantity=6, **hut)
    site.add("kit_items", "Bung wrench", kind=KitKind.TOOL, quantity=1, **hut)
    site.add(
        "kit_items",
        "Salvage drum, 85 US gal",
        kind=KitKind.SALVAGE_DRUM,
        material="steel",
        quantity=1,
        capacity_l=322,
        vented=YesNoUnknown.NO,
        **hut,
    )
    add_apparatus_kit(site, WALK)
