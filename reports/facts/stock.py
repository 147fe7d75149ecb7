"""Pallets, readings and drums as judgement sees them."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from uuid import UUID

from shapely import Point, Polygon

from survey.catalogue.containers import Container
from survey.catalogue.product import Product
from survey.vocabulary import (
    BreachKind,
    BreachPlace,
    Closure,
    ConditionSign,
    LabelState,
    Orientation,
    PositionSource,
    Sighting,
    StandKind,
    YesNoUnknown,
)


@dataclass(frozen=True, slots=True)
class BreachFact:
    """One hole, crack or weep."""

    kind: BreachKind
    place: BreachPlace
    size_mm: float | None
    length_mm: float | None


@dataclass(frozen=True, slots=True)
class DrumFact:
    """One drum of one open reading.

    `fill_l` is the cautious content [L]: unknown fill counts as full, over-full as full. `counted` is False for a
    drum of an open reading that does not govern: its hazards count, the drum does not. `unread` stands for whatever
    is on a pallet that nobody has read: judged as one unidentified drum, counted as none.
    """

    id: UUID
    name: str
    pallet_id: UUID
    reading_id: UUID
    counted: bool
    product: Product
    product_as_recorded: str
    concentration_pct: float | None
    container: Container
    capacity_l: float
    fill_l: float
    fill_known: bool
    empty_uncleaned: bool
    net_mass_kg: float | None
    orientation: Orientation
    closure: Closure
    at: Point
    tolerance_m: float
    tier: int
    base_height_m: float
    sighting: Sighting
    label: LabelState
    label_read: bool
    identified: bool
    signs: frozenset[ConditionSign]
    signs_checked: bool
    breaches: tuple[BreachFact, ...]
    inhibitor_until: date | None
    dated: date | None
    recorded_at: datetime
    recorded_by: str
    unread: bool = False

    @property
    def hidden(self) -> bool:
        """Whether nobody has seen this drum."""
        return self.sighting is not Sighting.SEEN

    @property
    def contents_unknown(self) -> bool:
        """Whether no product is named, or no source on record says that the drum holds it."""
        return not self.product.identified or not (self.label_read or self.identified)

    @property
    def leaking(self) -> bool:
        """Whether a breach or a leak is recorded."""
        return bool(self.breaches) or ConditionSign.LEAKING in self.signs


@dataclass(frozen=True, slots=True)
class ReadingFact:
    """One open reading of a pallet; `governs` marks the one whose drums are counted.

    An additional reading stands beside the others and always counts; the rest are alternatives of one another.
    """

    id: UUID
    author: str
    taken_at: datetime
    count: int
    says: str
    governs: bool
    additional: bool


@dataclass(frozen=True, slots=True)
class PalletFact:
    """A pallet, block, cabinet or loose group and the drums of all its open readings."""

    id: UUID
    name: str
    recorded_name: str
    kind: StandKind
    floor_id: UUID
    zone_id: UUID | None
    at: Point
    footprint: Polygon
    base_height_m: float
    stack_level: int
    stands_on_id: UUID | None
    position_source: PositionSource
    tolerance_m: float
    sighting: Sighting
    stable: YesNoUnknown
    readings: tuple[ReadingFact, ...]
    drums: tuple[DrumFact, ...]
    recorded_at: datetime
    recorded_by: str

    @property
    def disputed(self) -> bool:
        """Whether two open readings stand as alternatives."""
        return len(self.alternatives) > 1

    @property
    def alternatives(self) -> tuple[UUID, ...]:
        """The readings that stand as alternatives of one another, by id."""
        return tuple(reading.id for reading in self.readings if not reading.additional)

    def worst_by(self, value: Callable[[DrumFact], float]) -> tuple[DrumFact, ...]:
        """Give the drums of the additional readings and of the alternative for which the sum of `value` is largest."""
        alternatives = self.alternatives
        beside = tuple(drum for drum in self.drums if drum.reading_id not in alternatives and not drum.unread)
        of_each = [tuple(drum for drum in self.drums if drum.reading_id == each) for each in alternatives]
        return beside + max(of_each, key=lambda drums: sum(map(value, drums)), default=())

    @property
    def counted(self) -> tuple[DrumFact, ...]:
        """The drums of the readings that govern."""
        return tuple(drum for drum in self.drums if drum.counted)

    def most(self, value: Callable[[DrumFact], float]) -> float:
        """Give the largest sum of `value` over the alternatives, with the additional readings beside it."""
        return sum(map(value, self.worst_by(value)))

    def litres_of(self, drums: Sequence[DrumFact]) -> float:
        """Give the most that these drums of the pallet hold [L], whichever alternative is right."""
        chosen = {drum.id for drum in drums}
        return self.most(lambda drum: drum.fill_l if drum.id in chosen else 0.0)
