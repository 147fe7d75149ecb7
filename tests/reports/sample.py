"""A hand-built site for maps and paper: four storage zones with everything that can be said about them.

Nothing here is computed: each figure is written down so that a page can be searched for it.
"""

from dataclasses import replace
from datetime import UTC, date, datetime
from uuid import UUID, uuid5

from shapely import LineString, Point, Polygon, box
from shapely.geometry.base import BaseGeometry

from reports.assessment import (
    Assessment,
    ContainmentAssessment,
    ContainmentRule,
    Coverage,
    Dispute,
    Distance,
    DrainAssessment,
    DrainReach,
    Finding,
    FirstAction,
    FloorAssessment,
    Kind,
    PairAssessment,
    PalletAssessment,
    Pool,
    Reach,
    Span,
    StandOff,
    Verdict,
    ZoneAssessment,
)
from reports.facts import (
    AccessFact,
    ClaimFact,
    ContactFact,
    EntryAge,
    Flag,
    ImpairmentFact,
    ProtectionFact,
    ShiftFact,
    SiteFacts,
    UtilityFact,
    WalkFact,
    WaterSupplyFact,
)
from reports.response.advice import (
    AbsorbentAdvice,
    Cite,
    Ensemble,
    KitLine,
    MethodRow,
    MethodTable,
    OverpackNeed,
    OverpackRow,
    StopLine,
    Who,
)
from survey.catalogue.product import Mark
from survey.vocabulary import (
    AccessKind,
    Availability,
    ContactRole,
    DrainDestination,
    DrainProof,
    ProtectionKind,
    Source,
    UtilityKind,
    ValvePosition,
    WalkOutcome,
    WaterSupplyKind,
    YesNoUnknown,
)

AS_OF = date(2026, 11, 25)
SEEN_AT = datetime(2026, 11, 20, 9, 30, tzinfo=UTC)
NAMESPACE = UUID("5f0c3f0e-6a53-4f0e-9d6a-0d5f7d1c1a11")

READ = Cite("X01", "29 CFR 1910.120(j)(1)(viii)", Mark.READ)
RECALLED = Cite("X02", "manufacturers' glove tables", Mark.RECALLED)


def made_id(name: str) -> UUID:
    """The same identifier for the same name in every run."""
    return uuid5(NAMESPACE, name)


def pool(centre: Point, radius_m: float, depth_mm: float) -> Pool:
    shape = centre.buffer(radius_m, quad_segs=6)
    return Pool(shape=shape, area_m2=shape.area, depth_mm=depth_mm, off_map_l=0.0)


def reach(centre: Point, litres: float = 208.0, *, thick_m: float = 3.6, thin_m: float = 4.9) -> Reach:
    return Reach(litres=litres, thick=pool(centre, thick_m, 5.0), thin=pool(centre, thin_m, 2.8))


def pallet(
    name: str,
    zone: str | None,
    x: float,
    y: float,
    products: tuple[str, ...],
    *,
    drums: int = 4,
    empty: int = 0,
    seen: int = 4,
    signs: tuple[str, ...] = (),
    stopped: tuple[str, ...] = (),
    readings: tuple[str, ...] = (),
    stack_level: int = 0,
    width_m: float = 1.2,
    depth_m: float = 1.2,
) -> PalletAssessment:
    at = Point(x, y)
    return PalletAssessment(
        id=made_id(name),
        name=name,
        kind="pallet",
        zone=zone,
        at=at,
        footprint=box(x - width_m / 2, y - depth_m / 2, x + width_m / 2, y + depth_m / 2),
        base_height_m=1.5 * stack_level,
        stack_level=stack_level,
        tolerance_m=0.1,
        products=products,
        classes=("8",),
        containers=("plastic drum, tight head 208 L",),
        drums=drums,
        empty=empty,
        seen=seen,
        label_read=min(seen, drums),
        identified=0,
        litres=208.0 * drums,
        signs=signs,
        readings=readings or (f"R. Oyelaran, 20 Nov 2026 09:30 UTC: {drums} drums",),
        disputed=len(readings) > 1,
        stopped_drums=stopped,
        recorded_at=SEEN_AT,
        recorded_by="R. Oyelaran",
        one_drum=reach(at),
        whole=reach(at, 832.0, thick_m=7.2, thin_m=9.7),
    )


def stop(drum: str, sentence: str, because: str, instead: str, *, weight: int, cite: Cite = READ) -> StopLine:
    return StopLine(cite=cite, drum=drum, sentence=sentence, because=because, instead=instead, weight=weight)


STOPS = (
    stop(
        "P08-2",
        "Do not touch, move, tighten, plug or overpack.",
        "both heads bulge: pressure inside, cause not known",
        "Everybody out of its sight; watch it from outside with binoculars.",
        weight=1,
    ),
    stop(
        "P08-2",
        "Do not cool with a straight stream.",
        "a cold shock may open a swollen head",
        "Fog from a fixed monitor, nobody at it.",
        weight=2,
        cite=RECALLED,
    ),
    stop(
        "P07-1",
        "Do not open, tip or sample.",
        "contents unknown: label painted over",
        "Treat as toxic, corrosive and flammable until two sources agree.",
        weight=3,
    ),
    stop(
        "P07-2",
        "Do not open, tip or sample.",
        "contents unknown: label painted over",
        "Treat as toxic, corrosive and flammable until two sources agree.",
        weight=3,
    ),
    stop(
        "P03-1",
        "Do not seal in a salvage drum without a vent.",
        "peroxide gives off oxygen",
        "Vented salvage drum, loosely closed.",
        weight=5,
        cite=RECALLED,
    ),
)


def finding(
    kind: Kind, sentence: str, *, zones: tuple[str, ...], stop_line: bool = False, cite: Cite = READ
) -> Finding:
    return Finding(
        cite=cite,
        kind=kind,
        sentence=sentence,
        reason="Because the record shows it and nothing on record says otherwise.",
        inputs=(("gap", "0.40 m"), ("film", "2.8 to 5 mm")),
        floor="Hall",
        zones=zones,
        pallets=(),
        drums=(),
        drains=(),
        litres=208.0,
        minutes=None,
        metres=0.4,
        stop=stop_line,
    )


FINDINGS = (
    finding(Kind.CONDITION_NOW, "Drum P08-2 bulges at both heads.", zones=("South-east",), stop_line=True),
    finding(
        Kind.LETHAL_GAS_MEETING,
        "P01 and P02 together make chlorine, 0.40 m apart, and their pools overlap.",
        zones=("North-west",),
    ),
    finding(
        Kind.LOOSE_WITH_ROUTE,
        "Two unlabelled drums on P07 have a way to drain D2.",
        zones=("South-east",),
        stop_line=True,
    ),
    finding(
        Kind.OTHER_PAIR,
        "P04 and P03 together make heat and fire, 0.40 m apart.",
        zones=("Centre",),
        cite=RECALLED,
    ),
    finding(Kind.CONTAINMENT_FAILS, "The hall holds 0 L: its door sill is 0 mm.", zones=("Centre",)),
)

METHODS = (
    MethodTable(
        product="toluene",
        wall="steel",
        drums=("P04-1", "P04-2", "P04-3", "P04-4"),
        rows=(
            MethodRow(
                cite=RECALLED,
                breach="puncture",
                wall="steel",
                first_move="turn so that the hole is above the liquid, then chock",
                method="square-ended plug, caulked; or gasketed T-bolt",
                materials=("softwood wrapped in cloth", "nitrile sheet"),
                not_here=("not here, because drilling sparks: self-tapping screw",),
                who=Who.TECHNICIAN,
                present=True,
            ),
        ),
        caution="Bond and earth before any tool touches the drum.",
    ),
)

ENSEMBLE = Ensemble(
    cite=RECALLED,
    level="liquid-splash suit",
    consists_of="splash suit, breathing apparatus, butyl gloves, boots",
    driver="toluene",
    because="its vapour burns: flash protection governs",
    caution="A splash suit gives no protection from flame.",
)


def zone(
    name: str,
    rank: int,
    outline: Polygon,
    headline: str,
    *,
    pallets: tuple[str, ...],
    worst: Kind,
    findings: tuple[int, ...],
    stops: tuple[StopLine, ...] = (),
    methods: tuple[MethodTable, ...] = (),
    unknown_share: float = 0.0,
) -> ZoneAssessment:
    return ZoneAssessment(
        id=made_id(name),
        name=name,
        title="",
        tenant="Harrow Solvents",
        rank=rank,
        outline=outline,
        headline=headline,
        worst_kind=worst,
        findings=findings,
        pallets=pallets,
        drums=4 * len(pallets),
        empty=0,
        seen=4 * len(pallets),
        label_read=4 * len(pallets),
        identified=0,
        litres=832.0 * len(pallets),
        products=("toluene",),
        stops=stops,
        methods=methods,
        overpacks=(
            OverpackNeed(
                cite=READ,
                drum=f"{pallets[0]}-1" if pallets else "none",
                product="toluene",
                size_l=322.0,
                size_label="322 L (85 gal)",
                material="steel",
                vented=False,
                gross_kg=205.0,
                handling="drum lifter, no hand lift",
                remark="",
                possible=True,
                pallet_id=made_id(pallets[0] if pallets else "none"),
            ),
        ),
        ensemble=ENSEMBLE,
        absorbents=(
            AbsorbentAdvice(
                cite=READ, product="toluene", use="inert mineral granules", never="sawdust beside peroxide"
            ),
        ),
        unknown_share=unknown_share,
        night_contact="J. Marwood, 555-0142",
    )


PALLETS = (
    pallet("P01", "North-west", 2.0, 13.0, ("hydrochloric acid 32 %",)),
    pallet("P02", "North-west", 3.6, 13.0, ("sodium hypochlorite 12.5 %",)),
    pallet("P03", "Centre", 10.0, 4.4, ("hydrogen peroxide 35 %",), stopped=("P03-1",)),
    pallet("P04", "Centre", 10.0, 6.0, ("toluene",), signs=("dent at chime",)),
    pallet(
        "P05",
        "North-east",
        20.0,
        13.0,
        ("hydraulic oil",),
        readings=("R. Oyelaran, 20 Nov 2026 09:30 UTC: 4 drums", "S. Ferro, 20 Nov 2026 09:41 UTC: 3 drums"),
    ),
    pallet("P06", "North-east", 22.0, 13.0, ("ethylene glycol",), stack_level=1),
    pallet("P07", "South-east", 22.0, 2.0, ("not identified",), drums=2, empty=1, seen=3, stopped=("P07-1", "P07-2")),
    pallet("P08", "South-east", 19.2, 2.0, ("acetone",), drums=3, seen=3, signs=("bulging",), stopped=("P08-2",)),
)

ZONES = (
    zone(
        "South-east",
        1,
        box(17, 0, 24, 4),
        "A drum bulges at both heads, beside two that nobody can name.",
        pallets=("P07", "P08"),
        worst=Kind.CONDITION_NOW,
        findings=(0, 2),
        stops=(STOPS[0], STOPS[1], STOPS[2], STOPS[3]),
        unknown_share=0.4,
    ),
    zone(
        "North-west",
        2,
        box(0, 11, 8, 15),
        "Acid and hypochlorite together make chlorine, 0.40 m apart.",
        pallets=("P01", "P02"),
        worst=Kind.LETHAL_GAS_MEETING,
        findings=(1,),
    ),
    zone(
        "Centre",
        3,
        box(8, 3, 13, 11),
        "Peroxide beside toluene, and both reach gully D1.",
        pallets=("P03", "P04"),
        worst=Kind.OTHER_PAIR,
        findings=(3, 4),
        stops=(STOPS[4],),
        methods=METHODS,
    ),
    zone(
        "North-east",
        4,
        box(17, 11, 24, 15),
        "Oil and glycol, two readings of P05 differ.",
        pallets=("P05", "P06"),
        worst=Kind.REST,
        findings=(),
    ),
)


def drain(
    name: str,
    kind: str,
    shape: BaseGeometry | None,
    *,
    joins: str,
    treated_as: str,
    proof: str,
    proven: bool,
    found: str = "seen",
    claims: tuple[ClaimFact, ...] = (),
    outfall: str = "",
    reaches: tuple[DrainReach, ...] = (),
) -> DrainAssessment:
    return DrainAssessment(
        id=made_id(name),
        name=name,
        kind=kind,
        shape=shape,
        found=found,
        joins=joins,
        treated_as=treated_as,
        proof=proof,
        proven=proven,
        other_claims=claims,
        outfall=outfall,
        outdoors=False,
        valve="open" if name == "D2" else "no valve",
        valve_where="yard, in the box left of the roller door" if name == "D2" else "",
        valve_key_holder="J. Marwood" if name == "D2" else "",
        holds_miscible=False,
        reaches=reaches,
        through_sumps=(),
        remarks=("An interceptor does not hold acetone: it mixes with water.",) if name == "D2" else (),
    )


DRAINS = (
    drain(
        "D1",
        "gully",
        Point(12.0, 7.5),
        joins="sanitary",
        treated_as="storm",
        proof="operator",
        proven=False,
        claims=(ClaimFact(DrainDestination.STORM, DrainProof.DRAWING, "drawing of 1988"),),
        outfall="ditch 60 m south",
        reaches=(
            DrainReach(
                pallet="P04",
                products=("toluene",),
                drain="D1",
                verdict=Verdict.REACHES,
                gap=Distance(1.66, 0.1),
                drum_distance_m=Span(2.08, 2.92),
                critical_depth_mm=Span(7.76, 15.3),
                litres=Span(74.0, 133.0),
                water_miscible=False,
            ),
        ),
    ),
    drain(
        "D2",
        "trench",
        LineString([(23.8, 5), (23.8, 10)]),
        joins="interceptor",
        treated_as="interceptor",
        proof="dye test",
        proven=True,
        outfall="then storm",
    ),
    drain("D3", "gully", None, joins="unknown", treated_as="storm", proof="none", proven=False, found="not seen"),
)

PAIRS = (
    PairAssessment(
        a="P01",
        b="P02",
        zone_a="North-west",
        zone_b="North-west",
        product_a="hydrochloric acid 32 %",
        product_b="sodium hypochlorite 12.5 %",
        reaction="make chlorine",
        gas="chlorine",
        lethal=True,
        certain=True,
        cite=READ,
        separation=Distance(0.4, 0.14),
        along_floor_m=0.4,
        meets=Verdict.REACHES,
        where=("pools overlap",),
        hydraulic_m=0.0,
        above=False,
        a_at=Point(2.0, 13.0),
        b_at=Point(3.6, 13.0),
    ),
    PairAssessment(
        a="P03",
        b="P04",
        zone_a="Centre",
        zone_b="Centre",
        product_a="hydrogen peroxide 35 %",
        product_b="toluene",
        reaction="make heat and fire",
        gas=None,
        lethal=False,
        certain=True,
        cite=RECALLED,
        separation=Distance(0.4, 0.14),
        along_floor_m=0.4,
        meets=Verdict.MAY_REACH,
        where=("drain D1",),
        hydraulic_m=0.0,
        above=False,
        a_at=Point(10.0, 4.4),
        b_at=Point(10.0, 6.0),
    ),
)

CONTAINMENT = (
    ContainmentAssessment(
        name="Bund K",
        zones=("Centre",),
        drums=8,
        stored_l=1664.0,
        lip_mm=20.0,
        area_m2=196.0,
        geometric_l=3920.0,
        capacity_l=0.0,
        open_outlets=("gully D1: destination not proven",),
        rules=(
            ContainmentRule("largest drum", 208.0, False, READ),
            ContainmentRule("110 % of the largest", 229.0, False, RECALLED),
        ),
        sprinkler_l_min=2391.0,
        overflow_min=1.6,
        assumption="all heads over the bay open: 196 m² at 12.2 mm/min",
    ),
)


def floor(**changes: object) -> FloorAssessment:
    base = FloorAssessment(
        id=made_id("Hall"),
        name="Hall",
        north_deg=20.0,
        outline=box(0, 0, 24, 15),
        surfaces=(("yard", box(24, 3, 30, 12)),),
        walls=(("cross wall", LineString([(14, 0), (14, 3)])),),
        doors=(
            ("roller door", LineString([(24, 5), (24, 10)]), False),
            ("personnel door", LineString([(0, 6.5), (0, 7.5)]), True),
        ),
        bunds=(("Bund K", box(8, 3, 13, 11)),),
        sumps=(("S1", Point(6, 3)), ("S2", Point(7.5, 1.5))),
        pipes=(("pipe S1 to S2", LineString([(6, 3), (7.5, 1.5)]), True),),
        heat_sources=(("gas heater", Point(17.8, 2.0)),),
        water_ingress=(("roof valley", LineString([(15.5, 8), (15.5, 14)])),),
        finish="bare concrete",
        film_mm=Span(2.8, 5.0),
        film_model="smooth to rough concrete",
        tilt_model="level within 19 mm",
        levelness="recorded level",
        zones=ZONES,
        pallets=PALLETS,
        drains=DRAINS,
        pairs=PAIRS,
        containment=CONTAINMENT,
        main_entrances=("roller door",),
    )
    return replace(base, **changes)  # type: ignore[arg-type]


def action(order: int, what: str, at: Point | None, *, instead_of: str = "") -> FirstAction:
    return FirstAction(
        order=order,
        what=what,
        who=Who.OPERATIONS,
        from_where="from the yard, outside the stand-off",
        leave_when="leave at any hiss, ping or vapour",
        at=at,
        floor="Hall",
        instead_of=instead_of,
        cite=READ,
    )


def assessment(**changes: object) -> Assessment:
    base = Assessment(
        site_id=made_id("site"),
        site="Harrow Lane Solvent Store",
        snapshot_sha256="0123456789abcdef" * 4,
        as_of=AS_OF,
        last_walk=date(2026, 11, 20),
        oldest_entry=datetime(2024, 3, 1, 8, 0, tzinfo=UTC),
        newest_entry=SEEN_AT,
        prior_plan_invalid="",
        coverage=Coverage(
            drums=29, empty=1, small_containers=2, unread_pallets=0, seen=30, hidden=0, label_read=27, identified=6
        ),
        floors=(floor(),),
        findings=FINDINGS,
        stops=STOPS,
        stand_off=StandOff(
            metres=50.0,
            source="Emergency Response Guidebook, guide 127",
            mark="recalled",
            centres=(Point(19.2, 2.0),),
            drums=("P08-2",),
            reason="a bulging drum",
        ),
        first_actions=(
            action(1, "Close the ditch with a soil dam at the outfall of D1.", None),
            action(
                2,
                "Lay the door sill dam at the roller door.",
                Point(25.0, 7.5),
                instead_of="cover on D2: in sight of P08-2",
            ),
            action(3, "Cover gully D1, once P08 is out of sight.", Point(12.0, 7.5)),
            action(4, "Shut the penstock of D2.", Point(29.0, 11.0)),
        ),
        overpacks=(
            OverpackRow(READ, "322 L (85 gal)", "plastic", True, ("hydrogen peroxide 35 %",), 4, 4, 0, 1, 3, "vented"),
            OverpackRow(READ, "322 L (85 gal)", "steel", False, ("toluene",), 4, 4, 2, 2, 0, ""),
        ),
        kit=(
            KitLine(READ, "drain cover", "gully D1", 1, 0, 1, 0, ""),
            KitLine(READ, "sawdust", "beside P03", None, 3, 0, None, "not on peroxide"),
        ),
        kit_heading="",
        disputes=(
            Dispute(
                pallet="P05",
                readings=("R. Oyelaran, 20 Nov 2026 09:30 UTC: 4 drums", "S. Ferro, 20 Nov 2026 09:41 UTC: 3 drums"),
                acted_on="4 drums",
                ask="Count P05 again and read the UN number.",
            ),
        ),
        flags=(Flag("drum P05-3", "fill", "120 %", "full"),),
        unknowns=(
            "What P07-1 and P07-2 hold.",
            "Where gully D1 goes: sanitary (operator) or storm (drawing).",
            "Where gully D3 is.",
        ),
        operator_tasks=("Move P01 away from P02.",),
        no_entry="",
    )
    return replace(base, **changes)  # type: ignore[arg-type]


def facts(**changes: object) -> SiteFacts:
    base = SiteFacts(
        id=made_id("site"),
        snapshot_sha256="0123456789abcdef" * 4,
        as_of=AS_OF,
        name="Harrow Lane Solvent Store",
        operator="Harrow Solvents",
        former_names=("Harrow Paints",),
        address="14 Harrow Lane, Eastmere",
        latitude_deg=None,
        longitude_deg=None,
        tenancy_since=date(2021, 5, 1),
        present_use="chemical store",
        previous_record="",
        previous_record_on=None,
        hours_staffed="Mon to Fri 07:00 to 17:00",
        shifts=(ShiftFact("day", "07:00-17:00", 6), ShiftFact("night", "17:00-07:00", None)),
        side_labels=(("A", "Harrow Lane, south"), ("B", "railway, west"), ("C", "ditch, north"), ("D", "yard, east")),
        construction="steel frame, fibre-cement cladding",
        roof="fibre cement",
        asbestos=YesNoUnknown.UNKNOWN,
        power=YesNoUnknown.YES,
        eaves_height_m=6.0,
        travel_first_engine_min=9.0,
        travel_technicians_min=70.0,
        backup_crew=YesNoUnknown.YES,
        way_out=YesNoUnknown.UNKNOWN,
        decontamination=YesNoUnknown.YES,
        contacts=(
            ContactFact(ContactRole.OPERATOR, "J. Marwood", "Harrow Solvents", "555-0142", Availability.DAY, ()),
            ContactFact(
                ContactRole.SEWER_OPERATOR, "Control room", "Eastmere Water", "555-0177", Availability.DAY_AND_NIGHT, ()
            ),
        ),
        access=(
            AccessFact(AccessKind.ENTRANCE, "roller door", "east side, from the yard", "D", 5.0, 4.5),
            AccessFact(AccessKind.KEY_BOX, "key box", "left of the gate", "A", None, None),
        ),
        utilities=(
            UtilityFact(UtilityKind.GAS, "cock in the yard wall", YesNoUnknown.YES, "anybody"),
            UtilityFact(UtilityKind.ELECTRICITY, "main switch in the office", YesNoUnknown.NO, "operator"),
        ),
        water_supplies=(WaterSupplyFact(WaterSupplyKind.HYDRANT, "H12", 90.0, 1900.0),),
        protection=(ProtectionFact(ProtectionKind.DETECTION, "hall", ValvePosition.UNKNOWN, ""),),
        impairments=(ImpairmentFact("heat detection off for repair", date(2026, 11, 1), date(2026, 12, 15)),),
        kit=(),
        walks=(WalkFact(date(2026, 11, 20), ("R. Oyelaran", "S. Ferro"), WalkOutcome.COMPLETE, 55.0, "all bays", ""),),
        ages=(
            EntryAge("drums", 30, SEEN_AT, SEEN_AT, (Source.SEEN,)),
            EntryAge(
                "walls",
                1,
                datetime(2024, 3, 1, 8, 0, tzinfo=UTC),
                datetime(2024, 3, 1, 8, 0, tzinfo=UTC),
                (Source.DRAWING,),
            ),
        ),
        floors=(),
        flags=(Flag("drum P05-3", "fill", "120 %", "full"),),
    )
    return replace(base, **changes)  # type: ignore[arg-type]
