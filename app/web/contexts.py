"""What each template may say: one frozen dataclass per page, all of it words and links, nothing left to compute.

The words about a site are those of its paper (`reports.preplan`); what is added here is where they lead. A test
compares the fields of each page with the variables its template uses.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

from markupsafe import Markup

from reports.preplan.plan import (
    ActionText,
    AgeRow,
    Basis,
    ContainmentTable,
    DecontaminationText,
    DoorText,
    DrainPart,
    FindingText,
    FlagText,
    KitText,
    MonitorText,
    NotificationText,
    OverpackLine,
    Pairs,
    PairText,
    ReachText,
    ReadingText,
    RuleText,
    StopText,
    WalkRow,
    WayText,
    ZonePart,
)


@dataclass(frozen=True, slots=True)
class Link:
    """Words that lead somewhere."""

    words: str
    href: str


@dataclass(frozen=True, slots=True)
class Age:
    """How old the knowledge of a site is; `old` asks for a clear mark."""

    words: str
    old: bool


@dataclass(frozen=True, slots=True)
class Share:
    """A part of the drums: its percentage and count, and how much is known, for the bar beside them."""

    label: str
    percent: str
    count: str
    known_percent: float


@dataclass(frozen=True, slots=True)
class FaultRow:
    """One thing that is wrong with a survey file."""

    path: str
    expected: str
    found: str


@dataclass(frozen=True, slots=True)
class Refusal:
    """Why a file was not taken; nothing of it was stored."""

    file_name: str
    faults: tuple[FaultRow, ...]


@dataclass(frozen=True, slots=True)
class Replacement:
    """A file that would change a site that is here already, and the state of that site this was said about."""

    file_name: str
    site: Link
    changes: str
    seen: str


@dataclass(frozen=True, slots=True)
class SiteRow:
    """One site in the list. `worst` is empty where the assessment found nothing or is not there."""

    href: str
    name: str
    address: str
    floors: str
    age: Age | None
    shares: tuple[Share, ...]
    unread: str
    """How many pallets are in no share because nobody has read them; empty where all are read."""
    worst: str
    worst_kind: str
    stops: str
    no_entry: str
    prior_plan_invalid: bool
    not_assessed: str
    """Why there is no assessment yet; empty where there is one."""


@dataclass(frozen=True, slots=True)
class SitesPage:
    """List of sites, worst first, and the form that takes a survey file."""

    title: str
    sites: tuple[SiteRow, ...]
    summary: str
    still_assessing: bool
    refusal: Refusal | None
    replacement: Replacement | None
    largest_file: str


@dataclass(frozen=True, slots=True)
class StopItem:
    """A STOP line and the pallets its drums stand on."""

    text: StopText
    pallets: tuple[Link, ...]


@dataclass(frozen=True, slots=True)
class FindingItem:
    """A finding and what it names."""

    anchor: str
    kind: str
    text: FindingText
    places: tuple[Link, ...]


@dataclass(frozen=True, slots=True)
class ReachItem:
    """Whether one drum of a pallet gets into a drain; `mark` names the shape drawn beside the verdict."""

    text: ReachText
    mark: str
    pallet: Link
    drain: Link


@dataclass(frozen=True, slots=True)
class DrainItem:
    """A drain and who reaches it."""

    anchor: str
    text: DrainPart
    reaches: tuple[ReachItem, ...]


@dataclass(frozen=True, slots=True)
class DoorItem:
    """What gets out of a door; `floor` is empty where there is but one."""

    text: DoorText
    mark: str
    floor: str


@dataclass(frozen=True, slots=True)
class PairItem:
    """Pallets whose products react."""

    text: PairText
    mark: str
    pallets: tuple[Link, ...]


@dataclass(frozen=True, slots=True)
class ZoneItem:
    """A storage zone, ranked."""

    anchor: str
    text: ZonePart
    kind: str
    unknown: Share
    no_methods: str
    pallets: tuple[Link, ...]
    findings: tuple[Link, ...]


@dataclass(frozen=True, slots=True)
class PalletItem:
    """All that is known of one pallet."""

    anchor: str
    name: str
    kind: str
    zone: Link | None
    products: tuple[str, ...]
    counts: str
    known: str
    facts: Pairs
    signs: str
    readings: tuple[str, ...]
    dispute: ReadingText | None
    stops: tuple[StopText, ...]
    reaches: tuple[ReachItem, ...]
    no_reach: str
    neighbours_first: tuple[PairItem, ...]
    neighbours_more: tuple[PairItem, ...]
    findings: tuple[Link, ...]


@dataclass(frozen=True, slots=True)
class LegendItem:
    """A symbol of a map and what it means."""

    sample: Markup
    says: str


@dataclass(frozen=True, slots=True)
class FloorItem:
    """A floor with its map, and the storage zones on it, worst first."""

    anchor: str
    name: str
    drawing: Markup
    drawing_href: str
    legend: tuple[LegendItem, ...]
    notes: tuple[str, ...]
    facts: Pairs
    zones: tuple[ZoneItem, ...]
    pallets: tuple[PalletItem, ...]


@dataclass(frozen=True, slots=True)
class SitePage:
    """Everything an officer or a crew reads about one site on screen."""

    title: str
    notice: str
    name: str
    address: str
    operator: str
    age: Age
    shares: tuple[Share, ...]
    drums: str
    no_entry: str
    prior_plan_invalid: str
    downloads: tuple[Link, ...]
    stops_first: tuple[StopItem, ...]
    stops_more: tuple[StopItem, ...]
    stops_heading: str
    stand_off: str
    stand_off_basis: Basis | None
    floors: tuple[FloorItem, ...]
    findings_first: tuple[FindingItem, ...]
    findings_more: tuple[FindingItem, ...]
    actions: tuple[ActionText, ...]
    zones: tuple[ZoneItem, ...]
    drains: tuple[DrainItem, ...]
    doors: tuple[DoorItem, ...]
    containment: tuple[ContainmentTable, ...]
    pairs_first: tuple[PairItem, ...]
    pairs_more: tuple[PairItem, ...]
    apart: tuple[RuleText, ...]
    """What is asked for in a building of two that react."""
    unknowns: tuple[str, ...]
    disputes: tuple[ReadingText, ...]
    flags: tuple[FlagText, ...]
    site_facts: Pairs
    calls: tuple[tuple[str, tuple[str, ...]], ...]
    """By day and by night: who answers."""
    overpacks: tuple[OverpackLine, ...]
    kit: tuple[KitText, ...]
    kit_heading: str
    borrow: str
    ways: tuple[WayText, ...]
    transport: tuple[RuleText, ...]
    monitors: tuple[MonitorText, ...]
    decontamination: tuple[DecontaminationText, ...]
    notifications: tuple[NotificationText, ...]
    operator_tasks: tuple[str, ...]
    ages: tuple[AgeRow, ...]
    walks: tuple[WalkRow, ...]
    snapshot: Pairs
    cautions: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class MessagePage:
    """A page that says why there is no other page."""

    title: str
    message: str
    advice: str
    occurrence: str


TEMPLATES: Final[Mapping[type, str]] = {
    SitesPage: "sites.html",
    SitePage: "site.html",
    MessagePage: "message.html",
}
