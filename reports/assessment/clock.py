"""What an assessment says of time: when liquid gets where, what fills when, and who is there by then.

Minutes throughout, from the start of the leak unless a field says otherwise.
"""

from dataclasses import dataclass
from enum import StrEnum

from reports.assessment.findings import Verdict

OVER_THE_FLOOR = "over the floor"
"""The way of liquid that runs to a drain or door on the floor."""


class Order(StrEnum):
    """Whether liquid is somewhere before people are, if they are called when the leak starts."""

    BEFORE = "before"
    MAYBE = "may be before"
    AFTER = "after"
    UNKNOWN = "not known"


class ClockKind(StrEnum):
    """What a line of a first-hour clock is about."""

    DRAIN = "drain"
    DOOR = "door"
    OVERFLOW = "overflow"
    FIRST_ENGINE = "first engine"
    TECHNICIANS = "technicians"


@dataclass(frozen=True, slots=True)
class LeakTime:
    """When one leak of one drum gets to one place."""

    leak: str
    why: str
    """What was assumed of the leak."""
    recorded: bool
    """A breach on record: it leaks already."""
    first_l_min: float | None
    """Flow at the start; None where everything comes at once."""
    leaves_l: float
    early_min: float | None
    """The soonest; None where this leak does not get there."""
    late_min: float | None
    """The latest; None where it may rest before, or never get there."""
    falling_min: float | None
    """The soonest if a floor recorded level falls that way within its tolerance; None where `early_min` has the fall
    in it, or it does not matter."""


@dataclass(frozen=True, slots=True)
class DrainTime:
    """When one drum of a pallet first gets to a drain or a door."""

    pallet: str
    zone: str | None
    product: str
    target: str
    """*drain D1* or *door Main door*."""
    way: str
    """*over the floor*, or *through sump S1*: then the time is that to the sump."""
    verdict: Verdict
    leaks: tuple[LeakTime, ...]
    """Slowest reference leak first, then the breaches on record."""
    early_min: float
    """The soonest of all leaks, with the fall there may be; 0 where a drum leaks already."""
    late_min: float | None
    """The latest of the slowest reference leak; None where it may rest before."""
    litres: float | None
    """The most that gets there from one drum; None through a sump."""
    viscosity_known: bool


@dataclass(frozen=True, slots=True)
class Fill:
    """What fills a tank or a bund, and in how long; None where one drum does not fill it."""

    by: str
    l_min: float | None
    """Flow at the start; None where everything comes at once."""
    minutes: float | None


@dataclass(frozen=True, slots=True)
class DrainClock:
    """One drain against the clock."""

    drain: str
    first: DrainTime | None
    """Whoever may get there first; None where nobody is known to."""
    surest: DrainTime | None
    """Whoever surely does and is there first at the latest; of `first` where nobody surely does."""
    engine: Order
    technicians: Order
    holds: str
    """Whether its tank or interceptor holds what comes, as a sentence; empty where it has neither."""
    free_l: float | None
    fills: tuple[Fill, ...]
    beside: tuple[float, ...] = ()
    """Travel times that a range of minutes is read against."""

    @property
    def late_min(self) -> float | None:
        """By when one of them is there; None where there is no latest."""
        return None if self.surest is None else self.surest.late_min


@dataclass(frozen=True, slots=True)
class ClockLine:
    """One line of a storage zone's first-hour clock."""

    kind: ClockKind
    early_min: float | None
    """None where no time is known."""
    late_min: float | None
    """None where there is no latest, or no time is known."""
    what: str
    detail: str
    verdict: Verdict | None
    engine: Order | None
    """For arrivals: whether the liquid is there before the first engine."""
    beside: tuple[float, ...] = ()
    """Travel times that the range of minutes is read against."""
