"""Vellinor Street Surplus Depot: refused twice, seen from one aisle, most of it hidden.

The site itself stands here; what was seen of the stock is in `vellinor_stock`.
"""

from datetime import date
from typing import Any

from seed_demo.authoring import Origin, Recorder, box
from seed_demo.district import ENTRY_ARRANGED, add_apparatus_kit, add_authorities
from seed_demo.vellinor_stock import WALK, add_stock, block_zones
from survey.bundle import Survey
from survey.vocabulary import (
    AccessKind,
    Availability,
    ContactRole,
    DoorKind,
    DrainDestination,
    DrainKind,
    DrainProof,
    Levelness,
    NormalPosition,
    PositionSource,
    Sighting,
    Source,
    UtilityKind,
    ValvePosition,
    WalkOutcome,
    WaterSupplyKind,
    YesNoUnknown,
)

TOLD = WALK.says(Source.OPERATOR)
DRAWN = WALK.says(Source.DRAWING)
PAPERS = WALK.says(Source.DOCUMENT)


def survey() -> Survey:
    """Give the whole survey of this site."""
    site = Recorder("vellinor-street", WALK)
    _identity(site)
    _people(site)
    _ways_in(site)
    _visits(site)
    _services(site)
    add_apparatus_kit(site, WALK)
    _floor(site)
    _gullies(site)
    _pit_and_inlet(site)
    add_stock(site)
    return site.survey()


def _identity(site: Recorder) -> None:
    site.add(
        "sites",
        "Vellinor Street Surplus Depot",
        operator="Harl Surplus and Clearance",
        former_names=["Dunmoor Pallet Repair", "Vellinor Motor Works"],
        address="3 Vellinor Street, Corvane",
        tenancy_since=date(2026, 9, 22),
        present_use="A liquidator's store of drums, bought unseen.",
        previous_record="Pallet repair.",
        previous_record_on=date(2024, 2, 13),
        hours_staffed="Not known; the owner comes and goes.",
        shifts=[{"name": "any", "hours": "not known", "people": None}],
        side_labels=[
            {"letter": "A", "faces": "east, yard strip with the only door, and the creek beyond"},
            {"letter": "B", "faces": "south, Vellinor Street"},
            {"letter": "C", "faces": "west, empty plot"},
            {"letter": "D", "faces": "north, wall of the timber yard"},
        ],
        construction="Brick piers and corrugated cladding, two rooms; no sprinklers, no lights.",
        roof="Asbestos-cement sheets, several broken.",
        asbestos=YesNoUnknown.YES,
        power=YesNoUnknown.NO,
        eaves_height_m=5.5,
        travel_first_engine_min=11,
        travel_technicians_min=55,
        **ENTRY_ARRANGED,
        note="Street, people and firms are invented.",
    )


def _people(site: Recorder) -> None:
    site.add(
        "contacts",
        "Emil Harl, owner",
        origin=TOLD,
        role=ContactRole.OPERATOR,
        organisation="Harl Surplus and Clearance",
        phone="555-0150",
        availability=Availability.UNKNOWN,
        note="Answered once in four calls.",
    )
    for name, phone, when in (
        ("Building control", "555-0151", Availability.DAY),
        ("Emergency desk", "555-0152", Availability.NIGHT),
    ):
        site.add(
            "contacts",
            name,
            origin=PAPERS,
            role=ContactRole.LOCAL_AUTHORITY,
            organisation="Corvane Council",
            phone=phone,
            availability=when,
        )
    add_authorities(site, WALK)


def _ways_in(site: Recorder) -> None:
    for kind, name, where, side, width_m in (
        (AccessKind.GATE, "Yard gate", "South end of the yard strip, on Vellinor Street; chained.", "B", 4.0),
        (AccessKind.ENTRANCE, "Yard door", "East wall at (45, 5); the only door, found open. No key box.", "A", 2.4),
        (AccessKind.SECOND_APPROACH, "Creek path", "Public path along the creek, east of the yard fence.", "A", 1.5),
    ):
        site.add("access_points", name, kind=kind, where=where, side=side, width_m=width_m)


def _visits(site: Recorder) -> None:
    for on, outcome, minutes, seen in (
        (date(2026, 10, 6), WalkOutcome.ACCESS_REFUSED, None, "Nothing; the owner refused at the gate."),
        (date(2026, 10, 20), WalkOutcome.ACCESS_REFUSED, None, "Nothing; the owner refused by telephone."),
        (
            date(2026, 11, 3),
            WalkOutcome.STREET_SIDE_ONLY,
            5,
            "One look from the doorway: drums three high along the north wall.",
        ),
        (
            date(2026, 11, 17),
            WalkOutcome.PARTIAL,
            20,
            "Escorted, main aisle only: the aisle faces of K1 to K4, all of K5 and K6. Nothing behind the first row.",
        ),
    ):
        site.add(
            "walkthroughs",
            on.isoformat(),
            origin=Origin(WALK.at.replace(month=on.month, day=on.day), WALK.by),
            on=on,
            inspectors=["Noor Hesketh", "Lena Torvik"],
            outcome=outcome,
            minutes=minutes,
            seen=seen,
        )


def _services(site: Recorder) -> None:
    site.add(
        "utilities",
        "electricity",
        kind=UtilityKind.ELECTRICITY,
        shut_off="No supply: the meter is taken out and the cable cut at the street.",
        outside=YesNoUnknown.YES,
        operated_by="Nobody needed",
    )
    site.add(
        "utilities",
        "gas",
        kind=UtilityKind.GAS,
        shut_off="Not found; ask the gas network.",
        outside=YesNoUnknown.UNKNOWN,
    )
    site.add(
        "water_supplies",
        "Hydrant, Kestrel Row",
        origin=PAPERS,
        kind=WaterSupplyKind.HYDRANT,
        distance_m=260,
        note="Nothing within 240 m; the creek is too shallow to draw from.",
    )
    site.add(
        "impairments",
        "street main",
        origin=PAPERS,
        what="Hydrant main in Vellinor Street is dead.",
        since=date(2026, 6, 15),
        until=date(2027, 3, 31),
    )


def _floor(site: Recorder) -> None:
    site.add(
        "floors",
        "Depot",
        origin=DRAWN,
        outline=box(0, 0, 45, 28),
        levelness=Levelness.UNKNOWN,
        perimeter_tight=YesNoUnknown.UNKNOWN,
        drawing_scale="1:200, of the motor works, 1987",
        north_deg=0,
        note="No kerb seen anywhere. Finish not to be seen for dirt and oil.",
    )
    site.add("outdoor_surfaces", "Yard strip", outline=box(45, 0, 52, 28))
    site.add("walls", "Inner wall", origin=DRAWN, line=[(15, 0), (15, 28)], tight_at_floor=YesNoUnknown.UNKNOWN)
    site.add(
        "doors",
        "Gap in the inner wall",
        kind=DoorKind.OPENING,
        line=[(15, 16), (15, 20)],
        sill_mm=0,
        normally=NormalPosition.OPEN,
        tight_at_floor=YesNoUnknown.NO,
    )
    site.add(
        "doors",
        "Yard door",
        kind=DoorKind.ROLLER,
        line=[(45, 3.8), (45, 6.2)],
        sill_mm=0,
        normally=NormalPosition.OPEN,
        tight_at_floor=YesNoUnknown.NO,
        main_entrance=True,
    )
    for name, title, outline in block_zones():
        site.add("storage_zones", name, title=title, outline=outline, tenant="Harl Surplus and Clearance")


def _gullies(site: Recorder) -> None:
    unknown: dict[str, Any] = {
        "kind": DrainKind.GULLY,
        "joins": DrainDestination.UNKNOWN,
        "proof": DrainProof.NONE,
        "valve": ValvePosition.UNKNOWN,
    }
    unseen: dict[str, Any] = {"origin": DRAWN, "sighting": Sighting.NOT_SEEN, **unknown}
    site.add(
        "drains",
        "D1",
        line=[(22.5, 26.0)],
        note="Under block K2, by an old drawing.",
        position_source=PositionSource.DRAWN,
        tolerance_m=1.0,
        **unseen,
    )
    site.add(
        "drains",
        "D4",
        line=[(6.0, 14.0)],
        note="Seen through the gap in the inner wall.",
        position_source=PositionSource.TAPPED,
        tolerance_m=0.5,
        **unknown,
    )
    site.add(
        "drains",
        "D5",
        line=[],
        note="The drawing counts three gullies; D1 and D4 are two of them, the third was not found.",
        **unseen,
    )


def _pit_and_inlet(site: Recorder) -> None:
    site.add(
        "drains",
        "D2",
        kind=DrainKind.PIT,
        line=[(28.0, 10.0), (32.0, 10.0)],
        joins=DrainDestination.GROUND,
        proof=DrainProof.NONE,
        outfall="Ground: the pit is not lined.",
        note="Vehicle pit with its middle at (30, 10); length judged from the aisle.",
        position_source=PositionSource.TAPPED,
        tolerance_m=0.5,
    )
    site.add(
        "drains",
        "D3",
        kind=DrainKind.INLET,
        line=[(47.0, 6.0)],
        joins=DrainDestination.STORM,
        proof=DrainProof.DRAWING,
        outfall="Creek, 18 m further on.",
        outfall_distance_m=18,
        valve=ValvePosition.UNKNOWN,
        position_source=PositionSource.TAPPED,
        tolerance_m=0.3,
    )
