"""A question of what would happen if one drum leaked, and the answer: reach, minutes and litres."""

from dataclasses import dataclass
from enum import StrEnum
from uuid import UUID

from shapely import LineString, MultiPolygon, Point, Polygon

from reports.assessment.findings import Verdict
from reports.assessment.floor import Pool
from survey.vocabulary import Orientation


class HoleKind(StrEnum):
    """Form of the hole that is asked about."""

    ROUND = "round hole"
    SLOT = "slot"
    OPEN_BUNG = "open bung"
    ALL_AT_ONCE = "all at once"


class HolePlace(StrEnum):
    """Which part of the drum the hole is in."""

    WALL = "wall"
    BOTTOM_HEAD = "bottom head"
    TOP_HEAD = "top head"


@dataclass(frozen=True, slots=True)
class WhatIf:
    """One question.

    `along_mm` is how far up the wall from the drum's bottom the hole is, `clock_deg` how far round from the top of
    a lying drum; a hole in a head is taken at its rim. `orientation` None is as recorded; of a drum whose
    orientation is not known the hole is taken at its lowest, whatever `clock_deg`. `closed` says that no air comes
    in but through the hole. Dams are temporary, tight and higher than any pool; a covered drain takes in nothing
    from the floor, and still what a sump's pipe leads into it; a door that is shut holds liquid only where it is
    recorded tight. `at` is where the drum would stand instead.
    """

    drum_id: UUID
    hole: HoleKind
    size_mm: float | None
    length_mm: float | None
    place: HolePlace
    along_mm: float
    clock_deg: float
    orientation: Orientation | None
    closed: bool
    at: Point | None
    dams: tuple[LineString, ...]
    covered_drains: tuple[UUID, ...]
    shut_doors: tuple[UUID, ...]
    until_min: float


@dataclass(frozen=True, slots=True)
class LeakGiven:
    """How the drum empties, as asked; the far end takes a drum said to be closed as vented, which is faster."""

    model: str
    first_l_min: float | None
    """None where everything comes at once."""
    leaves_l: float
    stays_l: float
    """What lies below the hole, or is held back."""
    orientation: str
    """How the drum is taken to stand or lie, and whether that is on record."""
    half_min: float
    stop_min: float


@dataclass(frozen=True, slots=True)
class RuleArea:
    """What one published rule says of the size of this spill on an open floor."""

    rule: str
    area_m2: float
    depth_mm: float
    source: str


@dataclass(frozen=True, slots=True)
class DrainRun:
    """What one drain takes until the end of the run."""

    id: UUID
    name: str
    treated_as: str
    early_min: float | None
    """How soon this leak may be there, with the fall there may be, by the laws of the first-hour clock, and by a sump
    and pipes too; never after `first_min`. None where it does not get there."""
    first_min: float | None
    """When this run is there, over the floor; None where nothing gets there within the run."""
    litres: float
    verdict: Verdict
    """Whether it gets there in the end, over the whole range, as in the assessment."""
    most_l: float
    """The most it may take in the end at this end of the range; everything that leaves, where it comes by a sump."""
    through_sumps: bool
    """Whether liquid gets there by a sump and pipes too; `first_min`, `litres` and `course` know nothing of that."""
    course: tuple[tuple[float, float], ...]
    """Minutes and litres taken until then."""


@dataclass(frozen=True, slots=True)
class Reached:
    """Something that the liquid comes to, and after how many minutes."""

    name: str
    first_min: float | None
    """By the film law, and so the middle of a range; None for a door that this run leaves dry, and that the liquid may
    all the same be at within its time, as `earliest_min` says."""
    earliest_min: float
    """Earlier than `first_min` after a sudden loss, whose own momentum may carry it; and at a door, where the laws of
    the first-hour clock allow it, with the fall there may be."""


@dataclass(frozen=True, slots=True)
class WetArea:
    """What is wet after some minutes."""

    minutes: float
    shape: Polygon | MultiPolygon
    area_m2: float


@dataclass(frozen=True, slots=True)
class RunEnd:
    """One end of the range: the run of the liquid under one reading of what is unknown."""

    film_mm: float
    viscosity_mm2_s: float
    """Kinematic [mm²/s]."""
    assumes: str
    drains: tuple[DrainRun, ...]
    """Every drain with a place on the floor; a covered one, or one nobody found, where liquid gets to it by a sump."""
    doors: tuple[Reached, ...]
    pallets: tuple[Reached, ...]
    wet: tuple[WetArea, ...]
    rest: Pool | None
    """Where it ends if no drain takes any; None where nothing leaves the drum or that cannot be computed."""
    on_floor_l: float
    in_drum_l: float
    off_map_l: float
    at_rest_min: float | None
    """When everything has come to rest; None where something still runs at the end."""


@dataclass(frozen=True, slots=True)
class WhatIfAnswer:
    """The answer: a near and a far end, and the same leak without dams, covers, doors and moves beside it."""

    drum: str
    pallet: str
    floor: str
    product: str
    source: Point
    leak: LeakGiven
    turning: str
    """Whether turning the drum would bring the hole above the liquid, and what that keeps in; for technicians."""
    rules: tuple[RuleArea, ...]
    """Published rules side by side, largest area first; they disagree, and none knows of walls."""
    level: str
    """What is known of the fall of the floor, and so what the minutes of the runs are worth."""
    cell_m: float
    far: RunEnd
    """Thin film, thin liquid; what is not known to be tight lets liquid through."""
    near: RunEnd
    """Thick film; what is not known to be tight holds."""
    far_without: RunEnd | None
    """As `far`, as the floor is now; None where the question changes nothing on it."""
    changes: tuple[str, ...]
    """What the measures change, in sentences."""
    cautions: tuple[str, ...]
