"""The shapes of advice: every line names its rule, its source and how sure we are of it."""

from dataclasses import dataclass
from enum import StrEnum
from uuid import UUID

from survey.catalogue.product import Mark


class Who(StrEnum):
    """Who may do a thing, by training level."""

    OPERATIONS = "operations level"
    TECHNICIAN = "technician level"
    COMMANDER = "incident commander"
    OPERATOR = "site operator"


@dataclass(frozen=True, slots=True)
class Cite:
    """Rule identifier, where the rule comes from, and whether it was read, recalled or derived."""

    rule: str
    source: str
    mark: Mark

    @property
    def verify(self) -> bool:
        """Whether screen and paper must say *verify* beside it."""
        return self.mark is not Mark.READ


@dataclass(frozen=True, slots=True)
class StopLine:
    """What must not be done at a drum, why, and what is done instead."""

    cite: Cite
    drum: str
    sentence: str
    because: str
    instead: str
    weight: int
    """Lower comes first where several lines compete for the first page."""


@dataclass(frozen=True, slots=True)
class StepLine:
    """One step of a method, or a step that must not be taken here, with the rule it rests on."""

    cite: Cite
    stage: str
    """Where it stands in the order of work: reposition, prepare, tighten, plug, patch, overpack, or before or after."""
    text: str
    """What is done, or, of a step refused, what is not."""
    material: str
    """The materials that stand up to the product, with their grades, best first; empty where the step needs none."""
    refused: bool
    because: str
    """Why it is refused; empty where it is not."""


@dataclass(frozen=True, slots=True)
class MethodRow:
    """How one kind of breach on one kind of wall is dealt with, in the order a crew works."""

    cite: Cite
    breach: str
    wall: str
    first_move: str
    method: str
    materials: tuple[str, ...]
    not_here: tuple[str, ...]
    """Steps that fail a check against the product, each as *not here, because …*."""
    who: Who
    present: bool
    """Whether the record shows this breach now, rather than preparing for it."""
    steps: tuple[StepLine, ...] = ()
    """The same steps one by one, taken and refused, in the order of work."""


@dataclass(frozen=True, slots=True)
class MethodTable:
    """The rows for the drums of one product and wall in one storage zone that have no stop line."""

    product: str
    wall: str
    drums: tuple[str, ...]
    rows: tuple[MethodRow, ...]
    caution: str
    steps: tuple[StepLine, ...] = ()
    """The steps before and after that are the same for every row; the caution says them too."""


@dataclass(frozen=True, slots=True)
class WayIn:
    """One way of getting a drum into a salvage drum, or why it is not taken here."""

    cite: Cite
    name: str
    text: str
    people: str
    refused: bool
    because: str
    """Why it is refused; empty where it is not."""


@dataclass(frozen=True, slots=True)
class OverpackNeed:
    """The salvage drum one drum would go into."""

    cite: Cite
    drum: str
    product: str
    size_l: float
    size_label: str
    material: str
    vented: bool
    gross_kg: float
    """Drum, contents, padding and salvage drum."""
    handling: str
    remark: str
    possible: bool
    """False where no salvage drum is planned; `remark` says why."""
    pallet_id: UUID
    fit: str = ""
    """What is clear all round and above the drum; empty where none is chosen."""
    net_kg: float = 0.0
    """Drum, contents and padding: what the salvage drum would hold."""
    free_liquid_l: float = 0.0
    """The most liquid that can stand round the drum inside the salvage drum, for absorbent to take up."""
    padding: str = ""
    """What fills the room round the drum, with its litres; empty where nothing may."""
    ways: tuple[WayIn, ...] = ()
    """Ways in, best first, then those refused."""
    rests_on: tuple[Cite, ...] = ()
    """What else it rests on: the vent, the sizes of both drums and the mass of the padding."""


@dataclass(frozen=True, slots=True)
class OverpackRow:
    """Needed, on site and missing, for one size and material; needed is the worst single pallet."""

    cite: Cite
    size_label: str
    material: str
    vented: bool
    products: tuple[str, ...]
    drums_served: int
    needed: int
    on_site: int
    on_apparatus: int
    missing: int
    remark: str


@dataclass(frozen=True, slots=True)
class Ensemble:
    """The protective ensemble of a storage zone and the product that drives it."""

    cite: Cite
    level: str
    consists_of: str
    driver: str
    because: str
    caution: str


@dataclass(frozen=True, slots=True)
class AbsorbentAdvice:
    """What may and may not be used to take up one product."""

    cite: Cite
    product: str
    use: str
    never: str


@dataclass(frozen=True, slots=True)
class KitLine:
    """One line of the kit list."""

    cite: Cite
    item: str
    why: str
    needed: int | None
    on_site: int
    on_apparatus: int
    missing: int | None
    remark: str


@dataclass(frozen=True, slots=True)
class DutyLine:
    """What crews of one training level do in a storage zone."""

    cite: Cite
    who: Who
    text: str


@dataclass(frozen=True, slots=True)
class MonitorLine:
    """One instrument: what to bring, what its reading allows, and when to leave."""

    cite: Cite
    monitor: str
    why: tuple[str, ...]
    """The products that ask for it; empty where every entry does."""
    how: str
    go_on: str
    leave: str
    limits: tuple[str, ...]
    """Concentrations on record that are dangerous at once, product by product."""


@dataclass(frozen=True, slots=True)
class DecontaminationLine:
    """How people and tools are cleaned of some products, or how its place and run-off are chosen."""

    cite: Cite
    what: str
    """*method*, *run-off* or *place*."""
    products: tuple[str, ...]
    text: str
    never: str


@dataclass(frozen=True, slots=True)
class NotificationLine:
    """Who must be told, why, and who that is by the record."""

    cite: Cite
    who: str
    why: str
    when: str
    contacts: tuple[str, ...]
    """By the record; empty where nobody is recorded in this role."""
