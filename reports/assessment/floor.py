"""What an assessment says of one floor: pools, pallets, drains, pairs, containment, storage zones."""

from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from shapely import MultiPolygon, Point, Polygon
from shapely.geometry.base import BaseGeometry

from reports.assessment.clock import ClockLine, DrainClock, DrainTime, Fill
from reports.assessment.findings import Distance, Kind, Span, Verdict
from reports.facts import ClaimFact
from reports.response.advice import (
    AbsorbentAdvice,
    Cite,
    DecontaminationLine,
    DutyLine,
    Ensemble,
    KitLine,
    MethodTable,
    MonitorLine,
    OverpackNeed,
    StopLine,
)


@dataclass(frozen=True, slots=True)
class Pool:
    """Where a spill ends: its area, its deepest resting depth, and what left the mapped floor."""

    shape: Polygon | MultiPolygon
    area_m2: float
    depth_mm: float
    off_map_l: float


@dataclass(frozen=True, slots=True)
class Reach:
    """The pool at the thick and at the thin end of the film range."""

    litres: float
    thick: Pool
    thin: Pool


@dataclass(frozen=True, slots=True)
class UnlistedPairs:
    """Reacting pairs of one pallet that the list of pairs only counts, and the worst of them."""

    pairs: int
    product: str
    """The product on this pallet in the worst of them."""
    beside: str
    """The other pallet."""
    beside_product: str
    reaction: str
    lethal: bool
    certain: bool
    meets: Verdict
    separation: Distance | None


@dataclass(frozen=True, slots=True)
class TiltedReach:
    """Every place that one drum may get to if a nominally level floor happens to fall towards it.

    Not a pool: one tongue would end somewhere in `shape`. It ranks nothing and no verdict rests on it.
    """

    litres: float
    shape: Polygon | MultiPolygon
    reach_m: float
    tilt_pct: float
    """The fall assumed: the whole tolerance of a level slab over the length of the way."""


@dataclass(frozen=True, slots=True)
class PalletAssessment:
    """One pallet: what it holds, what one drum of it would reach, and what all of it would."""

    id: UUID
    name: str
    kind: str
    zone: str | None
    at: Point
    footprint: Polygon
    base_height_m: float
    stack_level: int
    tolerance_m: float
    products: tuple[str, ...]
    classes: tuple[str, ...]
    containers: tuple[str, ...]
    drums: int
    empty: int
    seen: int
    label_read: int
    identified: int
    litres: float
    signs: tuple[str, ...]
    readings: tuple[str, ...]
    """Every open reading with author and time; more than one is a dispute."""
    disputed: bool
    stopped_drums: tuple[str, ...]
    recorded_at: datetime
    recorded_by: str
    one_drum: Reach | None
    """The union of the pools of its liquid drums, each taken alone; None where it holds no liquid."""
    whole: Reach | None
    unlisted: UnlistedPairs | None = None
    """Pairs of it beyond those that are listed; None where all are."""
    tilted: TiltedReach | None = None
    """The worst case within the tolerance of a level floor; None where it holds no liquid, where the floor falls by its
    record, and where nothing could be computed."""


@dataclass(frozen=True, slots=True)
class DrainReach:
    """Whether one drum of a pallet gets into a drain."""

    pallet: str
    products: tuple[str, ...]
    drain: str
    verdict: Verdict
    gap: Distance
    """Pallet edge to drain."""
    drum_distance_m: Span
    """Nearest and farthest drum centre, along the floor."""
    critical_depth_mm: Span | None
    """Film depth at which the farthest (low) and the nearest (high) drum just reaches; None where cut off."""
    litres: Span
    """Into the drain from one drum, thick film to thin film; an upper bound at each end."""
    water_miscible: bool | None


@dataclass(frozen=True, slots=True)
class DrainAssessment:
    """A drain: where it goes, what proves that, and who reaches it."""

    id: UUID
    name: str
    kind: str
    shape: BaseGeometry | None
    found: str
    joins: str
    treated_as: str
    """The destination acted on until it is proven."""
    proof: str
    proven: bool
    other_claims: tuple[ClaimFact, ...]
    outfall: str
    outdoors: bool
    valve: str
    valve_where: str
    valve_key_holder: str
    holds_miscible: bool
    reaches: tuple[DrainReach, ...]
    through_sumps: tuple[str, ...]
    """Storage zones whose liquid gets here through sumps and pipes."""
    remarks: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class DoorAssessment:
    """A door on the edge of a floor, and what one drum lets out of it."""

    id: UUID
    name: str
    sill_mm: float | None
    tight: str
    normally: str
    blocked: str
    """What blocks it for people; liquid passes all the same."""
    assumed: str
    """What the litres take the door to hold back, as a clause."""
    verdict: Verdict
    """Whether one drum of any pallet gets out of it: the most certain one."""
    pallet: str | None
    """The pallet one drum of which sends most; None where none gets out."""
    litres: Span
    """Out of the door from one drum of that pallet, thick film to thin film; an upper bound at each end."""
    zones: tuple[str, ...]
    """Storage zones of every pallet one drum of which gets out."""
    first: DrainTime | None
    """Whoever may be at the door soonest, whether or not the door then holds; None where nobody is known to be."""
    surest: DrainTime | None = None
    """Whoever surely is, and first at the latest; of `first` where nobody surely is."""
    beside: tuple[float, ...] = ()
    """Travel times that the range of minutes is read against."""


@dataclass(frozen=True, slots=True)
class OtherTable:
    """What another published table says of two products, in a few words."""

    words: str
    cite: Cite


@dataclass(frozen=True, slots=True)
class PairAssessment:
    """Two pallets whose products react, how far apart they are, and where their liquids meet."""

    a: str
    b: str
    zone_a: str | None
    zone_b: str | None
    product_a: str
    product_b: str
    reaction: str
    """A clause that finishes “together they …”: *make chlorine*."""
    gas: str | None
    lethal: bool
    certain: bool
    """False where one side is not identified, so that the reaction cannot be excluded."""
    cite: Cite
    separation: Distance | None
    """Straight, edge to edge; None where nobody knows where in its block a drum stands."""
    along_floor_m: float | None
    """Edge to edge round everything that stops liquid; None where there is no way, or places are not known."""
    meets: Verdict
    where: tuple[str, ...]
    """Each place the liquids meet: *pools overlap*, *drain D1*, *sumps S1 and S2*."""
    hydraulic_m: float | None
    """0 where drains or sumps join them, else the gap of the pools; None where they do not meet."""
    above: bool
    """Whether one stands above the other."""
    a_at: Point
    b_at: Point
    more: int = 0
    """On the worst pair of its kind: pairs like it in these storage zones that are not listed."""
    more_where: tuple[str, ...] = ()
    """Places at which only pairs like it meet that are not listed."""
    also: tuple[OtherTable, ...] = ()
    """What other tables say of the two products."""


@dataclass(frozen=True, slots=True)
class ContainmentRule:
    """One published containment rule beside the capacity there is."""

    name: str
    needed_l: float | None
    """None where it is not known, and then not held."""
    held: bool
    cite: Cite


@dataclass(frozen=True, slots=True)
class ContainmentAssessment:
    """What a bund or floor holds, and when sprinkler water overflows it."""

    name: str
    zones: tuple[str, ...]
    drums: int
    stored_l: float
    lip_mm: float
    area_m2: float
    geometric_l: float
    """Area times lip, before any outlet is considered."""
    capacity_l: float
    """0 while any outlet is open or unproven."""
    open_outlets: tuple[str, ...]
    rules: tuple[ContainmentRule, ...]
    sprinkler_l_min: float | None
    overflow_min: float | None
    """Minutes of sprinkler water to the lip; None without sprinklers."""
    assumption: str
    fills: tuple[Fill, ...] = ()
    """Minutes to the lip by one hose and by the leak of one drum; empty where there is no lip."""


@dataclass(frozen=True, slots=True)
class ZoneAssessment:
    """A storage zone, ranked by its worst finding, then the next."""

    id: UUID
    name: str
    title: str
    tenant: str
    rank: int
    outline: Polygon
    headline: str
    worst_kind: Kind
    findings: tuple[int, ...]
    """Indices into the assessment's findings."""
    pallets: tuple[str, ...]
    drums: int
    empty: int
    seen: int
    label_read: int
    identified: int
    litres: float
    products: tuple[str, ...]
    stops: tuple[StopLine, ...]
    methods: tuple[MethodTable, ...]
    overpacks: tuple[OverpackNeed, ...]
    ensemble: Ensemble
    absorbents: tuple[AbsorbentAdvice, ...]
    unknown_share: float
    """Drums not seen or not identified as to product, of all drums (0 to 1): drawn as hatching."""
    night_contact: str
    clock: tuple[ClockLine, ...] = ()
    """The first hour, in order of time."""
    sheets: tuple[str, ...] = ()
    """Whose the safety data sheets of products entered by hand are, and what they leave open."""
    kit: tuple[KitLine, ...] = ()
    """What this storage zone alone asks for."""
    monitors: tuple[MonitorLine, ...] = ()
    duties: tuple[DutyLine, ...] = ()
    decontamination: tuple[DecontaminationLine, ...] = ()
    """How to clean off its products; place and run-off are the site's."""


@dataclass(frozen=True, slots=True)
class FloorAssessment:
    """One floor with everything that is drawn on its map."""

    id: UUID
    name: str
    north_deg: float
    outline: Polygon
    surfaces: tuple[tuple[str, Polygon], ...]
    walls: tuple[tuple[str, BaseGeometry], ...]
    doors: tuple[tuple[str, BaseGeometry, bool], ...]
    """Name, line, and whether it is blocked."""
    bunds: tuple[tuple[str, Polygon], ...]
    sumps: tuple[tuple[str, Point], ...]
    pipes: tuple[tuple[str, BaseGeometry, bool], ...]
    """Name, line, and whether liquid passes."""
    heat_sources: tuple[tuple[str, Point], ...]
    water_ingress: tuple[tuple[str, BaseGeometry], ...]
    finish: str
    film_mm: Span
    film_model: str
    tilt_model: str
    """What fall the worst case within tolerance assumes, and whose the tolerance is."""
    levelness: str
    zones: tuple[ZoneAssessment, ...]
    """Worst first."""
    pallets: tuple[PalletAssessment, ...]
    drains: tuple[DrainAssessment, ...]
    pairs: tuple[PairAssessment, ...]
    """Worst first."""
    containment: tuple[ContainmentAssessment, ...]
    main_entrances: tuple[str, ...] = ()
    """Names of the doors recorded as main entrances."""
    drain_times: tuple[DrainTime, ...] = ()
    """By drain or door, whoever gets there soonest first."""
    drain_clocks: tuple[DrainClock, ...] = ()
    """In the order of the drains."""
    doors_out: tuple[DoorAssessment, ...] = ()
    """Doors on the edge of the floor, as recorded, with what gets out of each."""
