"""Everything the paper says, already worded: the template only sets it."""

from collections.abc import Mapping
from dataclasses import dataclass

from reports.assessment import Verdict

Pairs = tuple[tuple[str, str], ...]
"""Headings with their text."""


@dataclass(frozen=True, slots=True)
class Basis:
    """The rule behind a statement, where it comes from, and whether *verify* stands beside it.

    The paper prints the number of the source; the list of sources has it in full with the rules that rest on it.
    """

    rule: str
    source: str
    verify: bool


@dataclass(frozen=True, slots=True)
class SourceText:
    """One source and the rules that rest on it."""

    number: int
    source: str
    rules: str


@dataclass(frozen=True, slots=True)
class StopText:
    """One STOP line: which drums, where they are, what must not be done, why, and what is done instead."""

    drums: str
    where: str
    sentence: str
    details: str
    """What differs between the drums of one line, drum by drum; empty where nothing does."""
    because: str
    instead: str
    basis: Basis


@dataclass(frozen=True, slots=True)
class ActionText:
    """One first action."""

    order: int
    what: str
    who: str
    from_where: str
    leave_when: str
    instead_of: str
    same_approach: bool
    """Whether it is done from where the action before it is done."""
    basis: Basis


@dataclass(frozen=True, slots=True)
class DrainLine:
    """One drain in one line of page 1."""

    name: str
    kind: str
    goes_to: str
    proof: str
    """What shows it, or who says what; empty where nobody says anything."""
    proven: bool
    reached_by: str


@dataclass(frozen=True, slots=True)
class ZoneLine:
    """One storage zone in one line of page 1."""

    rank: int
    name: str
    headline: str
    anchor: str


@dataclass(frozen=True, slots=True)
class Edition:
    """Which edition of which site's plan this is."""

    site: str
    short_site: str
    plan_date: str
    plan_date_iso: str
    age: str
    short_age: str
    snapshot_short: str
    snapshot_full: str
    software: str


@dataclass(frozen=True, slots=True)
class Front:
    """Page 1: complete in itself."""

    address: str
    operator: str
    sides: Pairs
    ages: Pairs
    shares: Pairs
    no_entry: str
    prior_plan_invalid: str
    people: Pairs
    access: Pairs
    stops: tuple[StopText, ...]
    stand_off: str
    stand_off_basis: Basis | None
    resources: Pairs
    """Water, fire department connection, shut-offs, travel times, impairments."""
    map_title: str
    maps: tuple[str, ...]
    """The same drawing from large to small; the paper takes the largest that leaves room for the rest."""
    other_floors: tuple[str, ...]
    drains: tuple[DrainLine, ...]
    zones: tuple[ZoneLine, ...]
    actions: tuple[ActionText, ...]
    leave_when: str
    """When to leave, where it is the same for all first actions; else each says its own."""
    call_by_day: tuple[str, ...]
    call_by_night: tuple[str, ...]
    unknowns: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class FindingText:
    """One finding with why it is one."""

    number: int
    sentence: str
    reason: str
    inputs: str
    where: str
    stop: bool
    basis: Basis


@dataclass(frozen=True, slots=True)
class FindingGroup:
    """The findings of one kind."""

    kind: str
    findings: tuple[FindingText, ...]


@dataclass(frozen=True, slots=True)
class StockRow:
    """One pallet in the stock summary of its storage zone."""

    pallet: str
    square: str
    products: tuple[str, ...]
    classes: str
    containers: tuple[str, ...]
    drums: str
    volume: str
    known: str
    signs: str
    recorded: str
    stopped: str


@dataclass(frozen=True, slots=True)
class ReadingText:
    """The open readings of one pallet that disagree."""

    pallet: str
    readings: tuple[str, ...]
    acted_on: str
    ask: str


@dataclass(frozen=True, slots=True)
class MethodText:
    """How one breach is dealt with."""

    breach: str
    present: bool
    first_move: str
    """Empty where it is the sheet's own first move."""
    method: str
    materials: tuple[str, ...]
    """One line, or one for each product where they differ."""
    not_here: tuple[str, ...]
    who: str
    basis: Basis


@dataclass(frozen=True, slots=True)
class MethodSheet:
    """The methods for one product in one kind of drum; never for a drum with a STOP line."""

    title: str
    drums: str
    cautions: tuple[str, ...]
    never: tuple[str, ...]
    """Steps ruled out in more than one row."""
    first_move: str
    """What comes first wherever a row does not say otherwise; empty where each row says its own."""
    rows: tuple[MethodText, ...]


@dataclass(frozen=True, slots=True)
class OverpackText:
    """Salvage drums for drums that need the same one."""

    drums: str
    product: str
    into: str
    """Size, material and vent, what is clear round the drum, and what fills the room."""
    handling: str
    way: str
    """The way in that is open, and what was ruled out; empty where no salvage drum is planned."""
    remark: str
    possible: bool
    stopped: bool
    """Whether a STOP line stands on one of these drums: nothing is done before it is lifted."""
    bases: tuple[Basis, ...]
    """The rule on material, then those on vent, sizes and padding."""


@dataclass(frozen=True, slots=True)
class ProtectionText:
    """The protective ensemble of a storage zone."""

    level: str
    consists_of: str
    driver: str
    because: str
    caution: str
    basis: Basis


@dataclass(frozen=True, slots=True)
class AbsorbentText:
    """What takes up one product, and what never does."""

    product: str
    use: str
    never: str
    basis: Basis


@dataclass(frozen=True, slots=True)
class RuleText:
    """One rule, worded, with what it rests on."""

    text: str
    basis: Basis


@dataclass(frozen=True, slots=True)
class DutyText:
    """What crews of one training level do."""

    who: str
    lines: tuple[RuleText, ...]


@dataclass(frozen=True, slots=True)
class MonitorText:
    """One instrument, what it is read for and when to leave."""

    monitor: str
    why: str
    how: str
    go_on: str
    leave: str
    limits: str
    basis: Basis


@dataclass(frozen=True, slots=True)
class DecontaminationText:
    """How some products are cleaned off, or what holds for place or run-off."""

    products: str
    text: str
    never: str
    basis: Basis


@dataclass(frozen=True, slots=True)
class NotificationText:
    """Who must be told, why, when, and who that is by the record."""

    who: str
    why: str
    when: str
    contacts: str
    basis: Basis


@dataclass(frozen=True, slots=True)
class WayText:
    """One way of getting a drum into a salvage drum."""

    name: str
    people: str
    text: str
    basis: Basis


@dataclass(frozen=True, slots=True)
class ClockText:
    """One line of a first-hour clock: when, what, and how it was found; `people` marks who arrives."""

    minutes: str
    what: str
    detail: str
    people: bool


@dataclass(frozen=True, slots=True)
class ZonePart:
    """One section per storage zone."""

    rank: int
    name: str
    anchor: str
    headline: str
    facts: Pairs
    map: str
    finding_numbers: tuple[int, ...]
    stock: tuple[StockRow, ...]
    recorded: str
    """When and by whom, where it is the same for all pallets here; else each row says its own."""
    sheets: tuple[str, ...]
    """Whose the safety data sheets of products entered by hand are, and what they leave open."""
    clock: tuple[ClockText, ...]
    clock_note: str
    """Set where no drain or door is reached: the sentence that says so."""
    disputes: tuple[ReadingText, ...]
    stops: tuple[StopText, ...]
    methods: tuple[MethodSheet, ...]
    cautions: tuple[str, ...]
    """What every method sheet of this storage zone says first."""
    overpacks: tuple[OverpackText, ...]
    protection: ProtectionText
    absorbents: tuple[AbsorbentText, ...]
    duties: tuple[DutyText, ...]
    monitors: tuple[MonitorText, ...]
    decontamination: tuple[DecontaminationText, ...]
    kit: Pairs
    """Take, have on site, have on the apparatus, missing: each with its items."""


@dataclass(frozen=True, slots=True)
class ReachText:
    """Whether one drum of a pallet gets into a drain."""

    pallet: str
    products: str
    verdict: str
    gap: str
    drum_distance: str
    critical_depth: str
    litres: str
    mixes: str
    arrival: str


@dataclass(frozen=True, slots=True)
class DrainPart:
    """One drain with everything known about it."""

    name: str
    title: str
    proven: bool
    facts: Pairs
    remarks: tuple[str, ...]
    reaches: tuple[ReachText, ...]
    not_reached: str


@dataclass(frozen=True, slots=True)
class DoorText:
    """What one drum lets out of a door on the edge of a floor."""

    name: str
    holds: str
    """Sill, tightness, what that is taken to hold back, and whether people are blocked."""
    verdict: str
    litres: str
    source: str
    arrival: str


@dataclass(frozen=True, slots=True)
class PairText:
    """Pallets whose products react, as a sentence."""

    pallets: tuple[str, ...]
    sentence: str
    distance: str
    meeting: str
    meets: Verdict
    lethal: bool
    basis: Basis
    also: tuple[RuleText, ...] = ()
    """What other tables say of the two."""


@dataclass(frozen=True, slots=True)
class ContainmentRow:
    """One fact or one rule, beside each other for several bunds."""

    heading: str
    cells: tuple[str, ...]
    bases: tuple[Basis, ...]
    rule: bool


@dataclass(frozen=True, slots=True)
class ContainmentTable:
    """What some bunds hold, one column each."""

    columns: tuple[str, ...]
    rows: tuple[ContainmentRow, ...]


@dataclass(frozen=True, slots=True)
class FloorPart:
    """One floor: its map where page 1 does not have it, its storage zones, drains, pairs and containment."""

    name: str
    anchor: str
    map: str
    """Empty for the floor whose map is on page 1."""
    facts: Pairs
    zones: tuple[ZonePart, ...]
    drains: tuple[DrainPart, ...]
    doors: tuple[DoorText, ...]
    pairs: tuple[PairText, ...]
    containment: tuple[ContainmentTable, ...]


@dataclass(frozen=True, slots=True)
class OverpackLine:
    """Needed, there and missing, for one size and material of salvage drum."""

    what: str
    products: str
    drums: str
    needed: str
    on_site: str
    on_apparatus: str
    missing: str
    remark: str
    short: bool


@dataclass(frozen=True, slots=True)
class KitText:
    """One line of the kit list."""

    item: str
    why: str
    needed: str
    on_site: str
    on_apparatus: str
    missing: str
    remark: str
    short: bool
    basis: Basis


@dataclass(frozen=True, slots=True)
class AgeRow:
    """How old the entries of one kind are, and where they come from."""

    what: str
    count: str
    oldest: str
    newest: str
    sources: str


@dataclass(frozen=True, slots=True)
class WalkRow:
    """One visit."""

    on: str
    who: str
    outcome: str
    seen: str


@dataclass(frozen=True, slots=True)
class FlagText:
    """One implausible entry, stored as seen."""

    entry: str
    field: str
    found: str
    treated_as: str


@dataclass(frozen=True, slots=True)
class PrePlan:
    """The whole paper."""

    language: str
    title: str
    edition: Edition
    front: Front
    stops: tuple[StopText, ...]
    actions: tuple[ActionText, ...]
    findings: tuple[FindingGroup, ...]
    floors: tuple[FloorPart, ...]
    apart: tuple[RuleText, ...]
    """How far apart two that react are to stand in a building, or what may stand in place of that."""
    overpacks: tuple[OverpackLine, ...]
    kit: tuple[KitText, ...]
    kit_heading: str
    borrow: str
    """What is missing, to be brought or borrowed before work at the drums; empty where nothing is."""
    ways: tuple[WayText, ...]
    """The ways in that some drum of this plan is got into a salvage drum by."""
    transport: tuple[RuleText, ...]
    monitors: tuple[MonitorText, ...]
    decontamination: tuple[DecontaminationText, ...]
    notifications: tuple[NotificationText, ...]
    disputes: tuple[ReadingText, ...]
    flags: tuple[FlagText, ...]
    unknowns: tuple[str, ...]
    operator_tasks: tuple[str, ...]
    site_facts: Pairs
    contacts: Pairs
    ages: tuple[AgeRow, ...]
    walks: tuple[WalkRow, ...]
    snapshot: Pairs
    sources: tuple[SourceText, ...]
    source_numbers: Mapping[str, int]
    cautions: tuple[str, ...]
