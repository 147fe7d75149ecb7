"""What an assessment says of a whole site."""

from dataclasses import dataclass
from datetime import date, datetime
from uuid import UUID

from shapely import Point

from reports.assessment.findings import Finding
from reports.assessment.floor import FloorAssessment
from reports.facts import Flag
from reports.response.advice import (
    Cite,
    DecontaminationLine,
    KitLine,
    MonitorLine,
    NotificationLine,
    OverpackRow,
    StopLine,
    Who,
)


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
    floor: str
    """The floor whose coordinates `at` is in."""
    instead_of: str
    """The nearer place this one replaces, and why; empty where none."""
    cite: Cite


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
    notifications: tuple[NotificationLine, ...] = ()
    """Who must be told if a drum leaks."""
    decontamination: tuple[DecontaminationLine, ...] = ()
    """Where people are cleaned, as far as the record says, and what becomes of the run-off."""
    monitors: tuple[MonitorLine, ...] = ()
    """Every instrument that anything stored here asks for."""

    @property
    def worst(self) -> Finding | None:
        return self.findings[0] if self.findings else None
