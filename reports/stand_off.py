"""How far people keep away at first, and what can be seen from where."""

from collections.abc import Sequence

from shapely import LineString, Point, unary_union
from shapely.geometry.base import BaseGeometry

from reports.alarms import alarming
from reports.assessment import StandOff
from reports.facts import DrumFact, FloorFact, SiteFacts
from reports.wording import named
from survey.catalogue.product import Mark, Trait

KNOWN_M = 50.0
UNIDENTIFIED_M = 100.0
SOURCE = "Emergency Response Guidebook, immediate precautionary distance: 50 m for most liquids, 100 m for guide 111"
"""Both distances recalled, not read: verify against the guidebook carried."""


def alarming_drums(facts: SiteFacts) -> tuple[DrumFact, ...]:
    """Give the drums that may burst or react at any moment: bulge, heat, hiss, frost, crystals."""
    return tuple(drum for floor in facts.floors for pallet in floor.pallets for drum in pallet.drums if alarming(drum))


def stand_off(facts: SiteFacts) -> StandOff | None:
    """Give the first stand-off of a site, or None where no drum is recorded.

    Parameters
    ----------
    facts : SiteFacts

    Returns
    -------
    StandOff or None
        `centres` are the drums that may burst or react now; without any, the distance is for a leak met on arrival.

    Notes
    -----
    One unidentified drum on the site asks for the larger distance, since the leaking one may be that one. So does a
    product from a safety data sheet that is toxic by inhalation, or of which nobody answered that it is not.
    """
    drums = [drum for floor in facts.floors for pallet in floor.pallets for drum in pallet.drums]
    if not drums:
        return None
    alarms = alarming_drums(facts)
    unknown = any(drum.contents_unknown for drum in drums)
    toxic = any(drum.product.from_sheet and Trait.TOXIC_BY_INHALATION in drum.product.traits for drum in drums)
    metres = UNIDENTIFIED_M if unknown or toxic else KNOWN_M
    if alarms:
        reason = f"from {named([drum.name for drum in alarms])}, until the cause is known"
    elif unknown:
        reason = "from any leak, because a drum here is not identified"
    elif toxic:
        reason = "from any leak, because a safety data sheet here does not exclude that the vapour is toxic"
    else:
        reason = "from any leak, until the product is confirmed"
    return StandOff(
        metres=metres,
        source=SOURCE,
        mark=Mark.RECALLED,
        centres=tuple(drum.at for drum in alarms),
        drums=tuple(drum.name for drum in alarms),
        reason=reason,
    )


def in_sight(floor: FloorFact, a: Point, b: Point) -> bool:
    """Whether a straight line between two places meets no wall.

    Parameters
    ----------
    floor : FloorFact
    a, b : Point
        Places on the floor or yard [m].

    Returns
    -------
    bool
        Doors count as open, whatever is recorded; stock and racks hide nothing.
    """
    walls = unary_union([floor.outline.exterior, *(wall.line for wall in floor.walls)])
    gaps = unary_union([door.line.buffer(0.05) for door in floor.doors]) if floor.doors else Point()
    return not LineString([a, b]).crosses(walls.difference(gaps)) if a != b else True


def nearest_alarm(alarms: Sequence[DrumFact], place: BaseGeometry) -> tuple[DrumFact, float] | None:
    """Give the alarming drum nearest to any part of a place and its distance [m]."""
    return min(((drum, drum.at.distance(place)) for drum in alarms), key=lambda near: near[1], default=None)
