"""The floor of Tessaly Road Chemical Store, its drains, and what stands on it."""

from datetime import UTC, datetime
from typing import Any

from seed_demo.authoring import Origin, Recorder, box
from seed_demo.drums import BY_LABEL, BY_LABEL_AND_LIST, drum, unnamed
from survey.vocabulary import (
    Closure,
    ConditionSign,
    DoorKind,
    DrainDestination,
    DrainKind,
    DrainProof,
    Finish,
    HeatSourceKind,
    LabelState,
    Levelness,
    NormalPosition,
    PositionSource,
    Source,
    ValvePosition,
    YesNoUnknown,
)

WALK = Origin(datetime(2026, 11, 12, 9, 30, tzinfo=UTC), "Lena Torvik")
TAPED: dict[str, Any] = {"position_source": PositionSource.MEASURED, "tolerance_m": 0.05}


def add_floor(site: Recorder) -> None:
    """Write down the floor with its doors, drains, storage zones and stock."""
    _room(site)
    _zones_and_heater(site)
    _drains(site)
    _stock(site)


def _room(site: Recorder) -> None:
    site.add(
        "floors",
        "Store",
        origin=WALK.says(Source.MEASURED),
        outline=box(0, 0, 24, 15),
        finish=Finish.BARE_CONCRETE,
        levelness=Levelness.RECORDED_LEVEL,
        perimeter_tight=YesNoUnknown.NO,
        drawing_scale="1:100",
        north_deg=0,
        note="No kerb anywhere; the cladding ends above the slab.",
    )
    site.add(
        "doors",
        "Roller door",
        kind=DoorKind.ROLLER,
        line=[(24, 5), (24, 10)],
        sill_mm=0,
        normally=NormalPosition.SHUT,
        tight_at_floor=YesNoUnknown.NO,
        main_entrance=True,
    )
    site.add(
        "doors",
        "Personnel door",
        kind=DoorKind.PERSONNEL,
        line=[(0, 6.5), (0, 7.5)],
        sill_mm=0,
        normally=NormalPosition.SHUT,
        tight_at_floor=YesNoUnknown.NO,
    )


def _zones_and_heater(site: Recorder) -> None:
    site.add(
        "heat_sources",
        "Gas unit heater",
        kind=HeatSourceKind.UNIT_HEATER,
        at=(17.8, 2.0),
        height_m=1.5,
        shut_off="Gas cock in the meter cabinet outside, side A.",
    )
    for name, title, outline in (
        ("NW", "acid, hypochlorite and caustic", box(0, 11, 8, 15)),
        ("Centre", "solvents and peroxide", box(8, 3, 13, 11)),
        ("SE", "acetone and unlabelled drums", box(17, 0, 24, 4)),
        ("NE", "oil and glycol", box(17, 11, 24, 15)),
    ):
        site.add("storage_zones", name, title=title, outline=outline, tenant="Tessaly Road Chemicals")


def _drains(site: Recorder) -> None:
    site.add(
        "drains",
        "D1",
        origin=WALK.says(Source.OPERATOR),
        kind=DrainKind.GULLY,
        line=[(12.0, 7.5)],
        **TAPED,
        joins=DrainDestination.SANITARY,
        proof=DrainProof.OPERATOR,
        other_claims=[
            {
                "joins": DrainDestination.STORM,
                "says": DrainProof.DRAWING,
                "detail": "The drawing of 1991 shows a storm pipe to the open ditch 60 m south.",
            }
        ],
        outfall="Open ditch south of the site, if the drawing is right.",
        outfall_distance_m=60,
        valve=ValvePosition.NONE,
        note="Never dye tested.",
    )
    site.add(
        "drains",
        "D2",
        origin=WALK.says(Source.DRAWING),
        kind=DrainKind.TRENCH,
        line=[(23.8, 5), (23.8, 10)],
        **TAPED,
        joins=DrainDestination.INTERCEPTOR,
        then=DrainDestination.STORM,
        proof=DrainProof.DRAWING,
        outfall="Storm sewer in Tessaly Road, behind the oil interceptor.",
        valve=ValvePosition.NONE,
        note="An oil interceptor does not hold what mixes with water.",
    )


# Pallet, centre, product, how many, and how the product is known.
_ALIKE = (
    ("A01", (2.0, 13.0), "hydrochloric-acid-32", 4, BY_LABEL_AND_LIST),
    ("A02", (3.6, 13.0), "sodium-hypochlorite-12-5", 4, BY_LABEL_AND_LIST),
    ("A03", (6.0, 13.0), "sodium-hydroxide-50", 4, BY_LABEL_AND_LIST),
    ("A04", (10.0, 9.0), "isopropanol", 4, BY_LABEL_AND_LIST),
    ("A05", (10.0, 6.0), "toluene", 4, BY_LABEL_AND_LIST),
    ("A06", (10.0, 4.4), "hydrogen-peroxide-35", 4, BY_LABEL_AND_LIST),
    ("A07", (20.0, 13.0), "hydraulic-oil", 4, BY_LABEL),
    ("A08", (22.0, 13.0), "ethylene-glycol", 4, BY_LABEL),
    ("A10", (19.2, 2.0), "acetone", 3, BY_LABEL_AND_LIST),
)

# What sets single drums apart from the others on their pallet.
_APART: dict[str, dict[str, Any]] = {
    "A05-4": {"signs": [ConditionSign.CHIME_DENT], "note": "Dry so far."},
    "A07-4": {"fill_pct": 40, "note": "In use; level from the sight tube."},
    "A08-2": {"fill_pct": 60, "note": "In use; level seen through the wall."},
    "A10-1": {"signs": [ConditionSign.BULGING], "note": "Both heads bulge; nobody went nearer than the aisle."},
}


def _stock(site: Recorder) -> None:
    for name, at, product, count, known_by in _ALIKE:
        site.add("pallets", name, at=at, **TAPED, stable=YesNoUnknown.YES)
        site.reading(
            name,
            [
                drum(product, identity_sources=known_by, **_APART.get(f"{name}-{number}", {}))
                for number in range(1, count + 1)
            ],
        )
    site.add("pallets", "A09", at=(22.0, 2.0), **TAPED, stable=YesNoUnknown.YES)
    painted = {"closure": Closure.BUNGS, "product_text": "label painted over; do not use what shows through"}
    full = unnamed("1A1", LabelState.PAINTED_OVER, fill_pct=100, note="Full, says the operator.", **painted)
    empty = unnamed("1A1", LabelState.PAINTED_OVER, fill_pct=0, note="Empty and not cleaned.", **painted)
    site.reading("A09", [full, full, empty])
