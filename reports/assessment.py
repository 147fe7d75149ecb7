"""What an assessment says: one value per fact on screen, on paper and in `assessment.json`.

Lengths in metres, depths in millimetres where printed as such, volumes in litres; each field says its unit. Every
number that a person sees is taken from here, so that screen and paper cannot differ.
"""

import json
from dataclasses import dataclass, fields, is_dataclass
from datetime import date, datetime
from enum import Enum, IntEnum, StrEnum
from typing import Any
from uuid import UUID

from shapely import MultiPolygon, Point, Polygon, to_geojson
from shapely.geometry.base import BaseGeometry

from reports.facts import ClaimFact, Flag
from reports.response.advice import (
    AbsorbentAdvice,
    Cite,
    Ensemble,
    KitLine,
    MethodTable,
    OverpackNeed,
    OverpackRow,
    StopLine,
    Who,
)


class Verdict(StrEnum):
    """Whether liquid gets somewhere, over the range of published film depths and unproven barriers."""

    REACHES = "reaches"
    MAY_REACH = "may reach"
    NOT_REACHED = "not reached"


class Kind(IntEnum):
    """The order of findings; lower is worse, and there are no weights."""

    CONDITION_NOW = 1
    LETHAL_GAS_MEETING = 2
    TRIGGER_PRESENT = 3
    LOOSE_WITH_ROUTE = 4
    OTHER_PAIR = 5
    CONTAINMENT_FAILS = 6
    REST = 7


@dataclass(frozen=True, slots=True)
class Distance:
    """A length with the tolerance of the positions it was taken from [m]."""

    metres: float
    tolerance_m: float


@dataclass(frozen=True, slots=True)
class Span:
    """A range with named ends; `low` is the smaller number."""

    low: float
    high: float


@dataclass(frozen=True, slots=True)
class Finding:
    """One plain sentence with its reason, inputs and source."""

    cite: Cite
    kind: Kind
    sentence: str
    reason: str
    inputs: tuple[tuple[str, str], ...]
    floor: str
    zones: tuple[str, ...]
    pallets: tuple[str, ...]
    drums: tuple[str, ...]
    drains: tuple[str, ...]
    litres: float | None
    minutes: float | None
    metres: float | None
    stop: bool


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


@dataclass(frozen=True, slots=True)
class StandOff:
    """How far to keep people away at first, and from what."""

    metres: float
    source: str
    mark: str
    centres: tuple[Point, ...]
    drums: tuple[str, ...]
    reason: str


@dataclass(frozen=True, slots=True)
class FirstAction:
    """One early task: what, who may, from where, when to leave."""

    order: int
    what: str
    who: Who
    from_where: str
    leave_when: str
    at: Point | None
    instead_of: str
    """The nearer place this one replaces, and why; empty where none."""
    cite: Cite


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


@dataclass(frozen=True, slots=True)
class Coverage:
    """How much of the stock is known; counts are drums."""

    drums: int
    empty: int
    small_containers: int
    seen: int
    hidden: int
    label_read: int
    identified: int
    unread_pallets: int
    """Pallets that nobody has read: their drums are in no count and no share."""

    @property
    def seen_share(self) -> float:
        return self.seen / self.total if self.total else 0.0

    @property
    def label_read_share(self) -> float:
        return self.label_read / self.total if self.total else 0.0

    @property
    def identified_share(self) -> float:
        return self.identified / self.total if self.total else 0.0

    @property
    def total(self) -> int:
        """Drums with content and empty ones; small containers stand apart."""
        return self.drums + self.empty


@dataclass(frozen=True, slots=True)
class Dispute:
    """Open readings of one pallet that do not agree, and the one acted on."""

    pallet: str
    readings: tuple[str, ...]
    acted_on: str
    ask: str


@dataclass(frozen=True, slots=True)
class Assessment:
    """The whole answer for one site at one date."""

    site_id: UUID
    site: str
    snapshot_sha256: str
    as_of: date
    last_walk: date | None
    oldest_entry: datetime | None
    newest_entry: datetime | None
    prior_plan_invalid: str
    """Why an earlier plan must not be relied on; empty where nothing says so."""
    coverage: Coverage
    floors: tuple[FloorAssessment, ...]
    findings: tuple[Finding, ...]
    """Worst first."""
    stops: tuple[StopLine, ...]
    """Worst first, over the whole site."""
    stand_off: StandOff | None
    first_actions: tuple[FirstAction, ...]
    overpacks: tuple[OverpackRow, ...]
    kit: tuple[KitLine, ...]
    kit_heading: str
    disputes: tuple[Dispute, ...]
    flags: tuple[Flag, ...]
    unknowns: tuple[str, ...]
    operator_tasks: tuple[str, ...]
    no_entry: str
    """Set where first crews stay outside altogether: the sentence that says so."""

    @property
    def worst(self) -> Finding | None:
        return self.findings[0] if self.findings else None


def as_json(value: Any) -> Any:
    """Turn an assessment, or any part of it, into plain JSON values.

    Shapes become GeoJSON geometry; an enumeration becomes its value; numbers keep full precision.
    """
    if is_dataclass(value) and not isinstance(value, type):
        return {field.name: as_json(getattr(value, field.name)) for field in fields(value)}
    if isinstance(value, BaseGeometry):
        return json.loads(to_geojson(value))
    if isinstance(value, Enum):
        return value.value
    if isinstance(value, tuple | list | frozenset):
        return [as_json(item) for item in (sorted(value) if isinstance(value, frozenset) else value)]
    if isinstance(value, dict):
        return {str(key): as_json(item) for key, item in value.items()}
    if isinstance(value, UUID | date):
        return value.isoformat() if isinstance(value, date) else str(value)
    return value
