"""Tessaly Road Chemical Store: one room, ten pallets, nobody there at night.

The site itself stands here; its floor and stock are in `tessaly_floor`.
"""

from datetime import date

from seed_demo.authoring import Recorder
from seed_demo.district import ENTRY_ARRANGED, add_apparatus_kit, add_authorities
from seed_demo.tessaly_floor import WALK, add_floor
from survey.bundle import Survey
from survey.vocabulary import (
    AccessKind,
    Availability,
    ContactRole,
    KitKind,
    KitPlace,
    Source,
    UtilityKind,
    WalkOutcome,
    WaterSupplyKind,
    YesNoUnknown,
)

TOLD = WALK.says(Source.OPERATOR)
PAPERS = WALK.says(Source.DOCUMENT)


def survey() -> Survey:
    """Give the whole survey of this site."""
    site = Recorder("tessaly-road", WALK)
    _identity(site)
    _people(site)
    _ways_in(site)
    _services(site)
    _kit(site)
    add_floor(site)
    return site.survey()


def _identity(site: Recorder) -> None:
    site.add(
        "sites",
        "Tessaly Road Chemical Store",
        operator="Tessaly Road Chemicals",
        address="14 Tessaly Road, Corvane",
        tenancy_since=date(2014, 3, 1),
        present_use="Chemical store, sold on in drums.",
        previous_record="Chemical store, drums on pallets.",
        previous_record_on=date(2024, 5, 14),
        hours_staffed="Monday to Friday, 07:30 to 16:30; nobody at night or at weekends.",
        shifts=[
            {"name": "day", "hours": "Mon-Fri 07:30-16:30", "people": 1},
            {"name": "night", "hours": "16:30-07:30", "people": 0},
            {"name": "weekend", "hours": "Sat-Sun", "people": 0},
        ],
        side_labels=[
            {"letter": "A", "faces": "Tessaly Road, east, with the roller door"},
            {"letter": "B", "faces": "south, field and open ditch"},
            {"letter": "C", "faces": "west, rear path, with the personnel door"},
            {"letter": "D", "faces": "north, blank wall to the neighbouring yard"},
        ],
        construction="Steel frame, fibre-cement walls; one room; no sprinklers.",
        roof="Fibre-cement sheets on steel purlins; fibre not tested.",
        asbestos=YesNoUnknown.UNKNOWN,
        power=YesNoUnknown.YES,
        eaves_height_m=6,
        travel_first_engine_min=7,
        travel_technicians_min=45,
        **ENTRY_ARRANGED,
        note="Street, people and firms are invented.",
    )


def _people(site: Recorder) -> None:
    for role, name, organisation, phone, when in (
        (ContactRole.OPERATOR, "Marta Ellinge", "Tessaly Road Chemicals", "555-0101", Availability.DAY),
        (
            ContactRole.KNOWS_THE_STOCK,
            "Piet Lorne, storekeeper",
            "Tessaly Road Chemicals",
            "555-0102",
            Availability.DAY,
        ),
    ):
        site.add("contacts", name, origin=TOLD, role=role, organisation=organisation, phone=phone, availability=when)
    add_authorities(site, WALK)


def _ways_in(site: Recorder) -> None:
    for kind, name, where, side, width_m, height_m in (
        (AccessKind.GATE, "Yard gate", "On Tessaly Road, padlocked at night.", "A", 6.0, None),
        (AccessKind.KEY_BOX, "Key box", "On the left post of the yard gate, outside.", "A", None, None),
        (AccessKind.ENTRANCE, "Roller door", "East wall, 15 m behind the yard gate.", "A", 5.0, 4.5),
        (AccessKind.SECOND_APPROACH, "Personnel door", "West wall, by the rear path on foot.", "C", 1.0, 2.0),
        (AccessKind.ASSEMBLY_POINT, "Assembly point", "Pavement of Tessaly Road, north of the gate.", "A", None, None),
    ):
        site.add("access_points", name, kind=kind, where=where, side=side, width_m=width_m, height_m=height_m)
    site.add(
        "walkthroughs",
        "2026-11-12",
        on=date(2026, 11, 12),
        inspectors=["Lena Torvik", "Idris Calloway"],
        outcome=WalkOutcome.COMPLETE,
        minutes=55,
        seen="All ten pallets from all reachable sides; nothing was moved or opened.",
    )


def _services(site: Recorder) -> None:
    for kind, shut_off, by in (
        (
            UtilityKind.GAS,
            "Cock in the meter cabinet outside, side A, south of the roller door.",
            "Fire service or Piet Lorne",
        ),
        (
            UtilityKind.ELECTRICITY,
            "Main switch in the cabinet outside, side A, north of the roller door.",
            "Piet Lorne",
        ),
        (UtilityKind.WATER, "Stop valve under the cover at the yard gate.", "Fire service"),
    ):
        site.add("utilities", kind.value, kind=kind, shut_off=shut_off, outside=YesNoUnknown.YES, operated_by=by)
    site.add(
        "water_supplies",
        "Hydrant, Tessaly Road",
        origin=PAPERS,
        kind=WaterSupplyKind.HYDRANT,
        distance_m=90,
        note="Flow not measured.",
    )
    site.add(
        "impairments",
        "yard light",
        origin=TOLD,
        what="Yard light over the roller door.",
        since=date(2026, 11, 2),
        until=date(2026, 12, 11),
    )


def _kit(site: Recorder) -> None:
    site.add(
        "kit_items",
        "Sawdust, bags",
        kind=KitKind.ABSORBENT,
        place=KitPlace.SITE,
        material="sawdust",
        quantity=3,
        where="On the floor beside A06.",
        beside_pallet="A06",
    )
    site.add(
        "kit_items",
        "Salvage drum, 85 US gal",
        kind=KitKind.SALVAGE_DRUM,
        place=KitPlace.SITE,
        material="steel",
        quantity=2,
        capacity_l=322,
        vented=YesNoUnknown.NO,
        where="East wall, beside the roller door.",
    )
    site.add(
        "kit_items",
        "Bung wrench",
        kind=KitKind.TOOL,
        place=KitPlace.SITE,
        quantity=1,
        where="Hook beside the roller door.",
    )
    site.add(
        "kit_items",
        "Drain cover",
        origin=TOLD,
        kind=KitKind.DRAIN_COVER,
        place=KitPlace.SITE,
        quantity=0,
        note="Asked for; there is none.",
    )
    add_apparatus_kit(site, WALK)
