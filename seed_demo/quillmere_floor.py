"""The floor of Quillmere Freight Shed 4: doors, bunds, drains, and the plumbing that no drawing shows."""

from typing import Any

from seed_demo.authoring import Recorder, box
from seed_demo.quillmere_stock import COATINGS, PLATING, SUNDRIES, TAPED, WALK
from survey.vocabulary import (
    DoorKind,
    DrainDestination,
    DrainKind,
    DrainProof,
    Finish,
    HeatSourceKind,
    Levelness,
    NormalPosition,
    Source,
    ValvePosition,
    YesNoUnknown,
)

MEASURED = WALK.says(Source.MEASURED)
SHED = "Shed floor"


def add_floor(site: Recorder) -> None:
    """Write down the floor and everything on it but the stock."""
    _hall(site)
    _doors(site)
    _zones(site)
    _bunds_and_sumps(site)
    _drains_outside(site)
    _drains_inside(site)
    _pipes(site)


def _hall(site: Recorder) -> None:
    site.add(
        "floors",
        SHED,
        origin=MEASURED,
        outline=box(0, 0, 60, 36),
        finish=Finish.BARE_CONCRETE,
        levelness=Levelness.RECORDED_LEVEL,
        perimeter_tight=YesNoUnknown.UNKNOWN,
        drawing_scale="1:200",
        north_deg=0,
    )
    site.add("outdoor_surfaces", "Yard strip", origin=MEASURED, outline=box(60, 0, 66, 36), finish=Finish.BARE_CONCRETE)
    site.add(
        "racks",
        "Rack R1",
        origin=MEASURED,
        outline=box(39, 15, 49, 17),
        beam_heights_m=[1.5, 3.0, 4.5],
        note="Levels counted by beams from below; the floor bay is empty.",
    )
    site.add(
        "heat_sources",
        "Gas unit heater",
        kind=HeatSourceKind.UNIT_HEATER,
        at=(53.6, 33.0),
        height_m=2.2,
        shut_off="Gas valve in the kiosk outside the north wall.",
    )
    site.add(
        "water_ingress",
        "Roof valley",
        line=[(40.5, 26), (40.5, 34)],
        note="Drips after rain, from the valley gutter at x = 40.5 m.",
    )


def _doors(site: Recorder) -> None:
    roller: dict[str, Any] = {
        "kind": DoorKind.ROLLER,
        "sill_mm": 0,
        "normally": NormalPosition.SHUT,
        "tight_at_floor": YesNoUnknown.NO,
    }
    site.add(
        "doors",
        "Main door",
        line=[(60, 1), (60, 5)],
        blocked="by the returns cage, from inside",
        main_entrance=True,
        **roller,
    )
    site.add("doors", "Goods door", line=[(0, 8), (0, 12)], **roller)
    site.add(
        "doors",
        "Staff door",
        kind=DoorKind.PERSONNEL,
        line=[(30, 0), (31, 0)],
        normally=NormalPosition.SHUT,
        tight_at_floor=YesNoUnknown.UNKNOWN,
    )


def _zones(site: Recorder) -> None:
    for name, title, outline, tenant in (
        ("Z1", "flammable liquids", box(0, 22, 14, 36), COATINGS),
        ("Z2", "acids", box(16, 26, 24, 36), PLATING),
        ("Z3", "alkalis, cyanide and sulphide", box(26, 26, 34, 36), PLATING),
        ("Z4", "water-reactive and self-heating stock", box(36, 26, 50, 34), COATINGS),
        ("Z5", "oil and glycol on rack level 3", box(38, 14, 50, 18), SUNDRIES),
        ("Z6", "returns cage", box(55, 1, 60, 5), SUNDRIES),
        ("Z7", "cleaning chemicals", box(42, 9, 47, 11), SUNDRIES),
        ("Cabinet", "organic peroxide cabinet", box(51, 32, 55, 34), COATINGS),
    ):
        site.add("storage_zones", name, title=title, outline=outline, tenant=tenant)


def _bunds_and_sumps(site: Recorder) -> None:
    site.add(
        "bunds",
        "Z1",
        origin=MEASURED,
        outline=box(0, 22, 14, 36),
        height_mm=100,
        low_point_mm=20,
        low_point_at=(7.0, 22.0),
        tight_at_floor=YesNoUnknown.YES,
        note="Kerb 100 mm, but the forklift ramp is worn down to 20 mm.",
    )
    for name, outline in (("Z2", box(16, 26, 24, 36)), ("Z3", box(26, 26, 34, 36))):
        site.add("bunds", name, origin=MEASURED, outline=outline, height_mm=60, tight_at_floor=YesNoUnknown.YES)
    for name, at in (("S1", (23.5, 31.0)), ("S2", (26.5, 31.0))):
        site.add("sumps", name, origin=MEASURED, at=at, note="Volume not measured.")


def _drains_outside(site: Recorder) -> None:
    site.add(
        "drains",
        "D1",
        origin=WALK.says(Source.DRAWING),
        kind=DrainKind.INLET,
        line=[(61.5, 3.0)],
        **TAPED,
        joins=DrainDestination.STORM,
        proof=DrainProof.DRAWING,
        outfall="Brook east of Quillmere Lane.",
        outfall_distance_m=150,
    )


def _drains_inside(site: Recorder) -> None:
    site.add(
        "drains",
        "D2",
        kind=DrainKind.GULLY,
        line=[(30.0, 12.0)],
        **TAPED,
        joins=DrainDestination.STORM,
        proof=DrainProof.CAMERA,
        outfall="Brook east of Quillmere Lane.",
    )
    site.add(
        "drains",
        "D3",
        kind=DrainKind.GULLY,
        line=[(45.0, 8.0)],
        **TAPED,
        joins=DrainDestination.SANITARY,
        proof=DrainProof.DYE_TEST,
        outfall="Corvane Treatment Works.",
    )
    site.add(
        "drains",
        "D4",
        origin=WALK.says(Source.OPERATOR),
        kind=DrainKind.GULLY,
        line=[(58.0, 20.0)],
        **TAPED,
        joins=DrainDestination.INTERCEPTOR,
        then=DrainDestination.STORM,
        proof=DrainProof.OPERATOR,
        outfall="Storm sewer in Quillmere Lane, behind the interceptor.",
        valve=ValvePosition.OPEN,
        valve_where="Penstock behind the interceptor, in the yard strip at (62, 20); normally open.",
        valve_key_holder="Guard; the key hangs in the guard's hut",
    )


def _pipes(site: Recorder) -> None:
    s1, s2 = (site.id_of("sumps", name) for name in ("S1", "S2"))
    site.add(
        "pipes",
        "S1-S2",
        from_sump_id=s1,
        to_sump_id=s2,
        valve=ValvePosition.NONE,
        note="Found with the covers off; on no drawing that the operator has.",
    )
    site.add(
        "pipes",
        "S1-D2",
        from_sump_id=s1,
        to_drain_id=site.id_of("drains", "D2"),
        valve=ValvePosition.OPEN,
        valve_where="Hand valve in the floor box at (25, 25), between the kerbs; left open.",
    )
