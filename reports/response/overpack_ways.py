"""The way into a salvage drum: by what the drum weighs, how and where it stands, its condition, and the gear on record.

How many people come is on no record, so that each way names how many it takes.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache, lru_cache
from math import ceil

from reports.facts import DrumFact, KitFact
from reports.response.absorbents import said
from reports.response.advice import Cite, WayIn
from reports.response.rule_rows import NOTHING, choices, cite, filled, rule_rows
from survey.vocabulary import ConditionSign, KitKind, Orientation

_GEAR = frozenset({KitKind.TOOL, KitKind.OTHER})
SMALL = "small"
"""What a way says of what it is for instead of how that stands: a container small enough for one person to lift."""


@dataclass(frozen=True, slots=True)
class Place:
    """Where a drum stands, as far as getting hold of it asks; what is not known counts as the worse.

    `room_m` is the clear floor from its middle to the nearest wall or edge [m], None where its place is not known;
    `stacked` says that it stands on something or something stands on it; `gear` names the ways for which gear is on
    record (`gear_on_record`).
    """

    room_m: float | None
    stacked: bool
    gear: frozenset[str] = frozenset()


@dataclass(frozen=True, slots=True)
class _Way:
    cite: Cite
    name: str
    stands: str
    gear: tuple[str, ...]
    least_room_m: float
    most_kg: float | None
    barred_signs: frozenset[ConditionSign]
    not_stacked: bool
    people: str
    text: str
    because: str

    def barred(self, case: "_Case") -> str:
        """Say why this way is not taken; empty where nothing on record speaks against it."""
        reasons = []
        if self.stands == SMALL:
            if case.by_hand is None:
                return "for small containers only"
            if not case.by_hand:
                return self.because
        elif self.stands not in ("any", case.orientation):
            reasons.append(f"for a drum that is {self.stands}; this one is {_standing(case.orientation)}")
        if not self.barred_signs.isdisjoint(case.signs) or (self.not_stacked and case.place.stacked):
            reasons.append(self.because)
        if self.most_kg is not None and case.kg > self.most_kg:
            reasons.append(f"{case.kg} kg is more than the {self.most_kg:.0f} kg that people may move by hand tools")
        room_m = case.place.room_m
        if self.least_room_m and (room_m is None or room_m < self.least_room_m):
            room = "its place is not known" if room_m is None else f"{room_m:.1f} m to the nearest wall"
            reasons.append(f"it needs {self.least_room_m:.1f} m of clear floor, and {room}")
        if self.gear and self.cite.rule not in case.place.gear:
            reasons.append("no such gear is on record")
        return "; ".join(reasons)

    def has_gear(self, item: KitFact) -> bool:
        return (
            item.kind in _GEAR
            and item.quantity > 0
            and any(said(word, f"{item.name} {item.material}") for word in self.gear)
        )


@dataclass(frozen=True, slots=True)
class _Case:
    """What the ways ask of a drum: drums alike in it are got hold of alike. `kg` is rounded up."""

    orientation: Orientation
    signs: frozenset[ConditionSign]
    kg: int
    place: Place
    by_hand: bool | None


def gear_on_record(kit: Sequence[KitFact]) -> frozenset[str]:
    """Name the ways, by their rules, for which gear is on record on site or on the apparatus."""
    return frozenset(way.cite.rule for way in _ways() if any(way.has_gear(item) for item in kit))


def ways_in(drum: DrumFact, kg: float, place: Place, *, by_hand: bool | None = None) -> tuple[WayIn, ...]:
    """Return the ways of getting a drum into its salvage drum, those open first, and why the others are not taken.

    Parameters
    ----------
    drum : DrumFact
    kg : float
        Mass of the drum with its contents [kg].
    place : Place
    by_hand : bool, optional
        Whether the check of a lift by one person allows it; None for a drum, which nobody lifts.

    Returns
    -------
    tuple of WayIn

    Notes
    -----
    No drum is lifted by hand: the equation for lifting does not cover tipping, rolling, pushing or several people.
    """
    return _ways_in(_Case(drum.orientation, drum.signs, ceil(kg), place, by_hand))


@lru_cache(maxsize=4096)
def _ways_in(case: _Case) -> tuple[WayIn, ...]:
    found = [
        WayIn(way.cite, way.name, way.text, way.people, refused=bool(why), because=why)
        for way in _ways()
        for why in (way.barred(case),)
    ]
    return tuple(sorted(found, key=lambda way: way.refused))


def _standing(orientation: Orientation) -> str:
    return "of unknown position" if orientation is Orientation.UNKNOWN else str(orientation)


@cache
def _ways() -> tuple[_Way, ...]:
    return tuple(
        _Way(
            cite=cite(row),
            name=row["name"],
            stands=row["stands"] if row["stands"] in ("any", SMALL) else Orientation(row["stands"]),
            gear=choices(row["gear"]),
            least_room_m=0.0 if row["least_room_m"] == NOTHING else float(row["least_room_m"]),
            most_kg=None if row["most_kg"] == NOTHING else float(row["most_kg"]),
            barred_signs=frozenset(map(ConditionSign, choices(row["barred_signs"]))),
            not_stacked=row["barred_places"] == "stack",
            people=row["people"],
            text=row["text"],
            because=row["because"],
        )
        for row in filled(rule_rows("overpack_ways.csv"))
    )
