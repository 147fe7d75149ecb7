"""The early run-off tasks: who may do them, from where, when to leave; never into pool, stand-off or sight."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import count

import shapely
from shapely import Point
from shapely.geometry.base import BaseGeometry

from reports.assessment import FirstAction, StandOff, Verdict
from reports.facts import ContactFact, DoorFact, DrainFact, DrumFact, SiteFacts
from reports.floors.drains import severity, treated_as
from reports.floors.hydraulics import passes
from reports.floors.view import FloorView
from reports.response.advice import Cite, Who
from reports.stand_off import alarming_drums, in_sight, nearest_alarm
from reports.tolerance import ON_LINE_M
from reports.wording import named, phrase
from survey.catalogue.product import Mark
from survey.vocabulary import ContactRole, DrainDestination, DrainKind, ValvePosition, YesNoUnknown

CITE = Cite(
    "run-off-stop",
    "29 CFR 1910.120(q)(6)(ii): operations level contains from a safe distance; order after NFCC control measure 12737",
    Mark.READ,
)
LEAVE = (
    "hiss, ping, frost, smoke, a vapour cloud or a change of shape; 10 % of the lower flammable limit on the monitor"
)

_ASKED = {
    DrainDestination.SANITARY: (ContactRole.TREATMENT_WORKS, ContactRole.SEWER_OPERATOR),
    DrainDestination.COMBINED: (ContactRole.TREATMENT_WORKS, ContactRole.SEWER_OPERATOR),
    DrainDestination.GROUND: (ContactRole.WATER_AUTHORITY, ContactRole.ENVIRONMENT_AGENCY),
    DrainDestination.STORM: (ContactRole.ENVIRONMENT_AGENCY, ContactRole.WATER_AUTHORITY),
    DrainDestination.UNKNOWN: (ContactRole.SEWER_OPERATOR, ContactRole.ENVIRONMENT_AGENCY),
    DrainDestination.INTERCEPTOR: (ContactRole.SEWER_OPERATOR, ContactRole.ENVIRONMENT_AGENCY),
    DrainDestination.HOLDING_TANK: (ContactRole.OPERATOR, ContactRole.KEY_HOLDER),
}
_TREATED = (DrainDestination.SANITARY, DrainDestination.COMBINED)
_COMES_OUT = (DrainDestination.STORM, DrainDestination.UNKNOWN, DrainDestination.INTERCEPTOR)
_AT_DRAIN, _AT_DOOR, _AT_OUTFALL, _CALL = range(4)


@dataclass(frozen=True, slots=True)
class _Step:
    """A task before it is numbered; `level` is its place in the order of run-off control, 0 nearest the source."""

    level: int
    urgency: tuple[int, ...]
    what: str
    who: Who
    from_where: str
    at: Point | None
    instead_of: str = ""
    floor: str = ""
    leaking: bool = False
    """Whether a drum leaks now toward the place it is about."""


def first_actions(
    facts: SiteFacts, views: Sequence[FloorView], stand_off: StandOff | None, *, stay_out: bool
) -> tuple[FirstAction, ...]:
    """List the run-off tasks of a site in the order they are to be done.

    Parameters
    ----------
    facts : SiteFacts
    views : sequence of FloorView
    stand_off : StandOff or None
    stay_out : bool
        Whether first crews stay out of the building altogether.

    Returns
    -------
    tuple of FirstAction
        A task inside the pool, the stand-off or the sight of a drum that stops it is replaced by the next one
        outward, and says so.

    Notes
    -----
    What a leak runs to now comes first, then what is nearest the source. Where crews stay out altogether nothing near
    the source can be reached, so the water that has to be kept clean comes first. Stand-off and sight are kept from
    drums that may burst or react at any moment; from a drum that merely nobody identified its pool is kept.
    """
    steps: dict[str, _Step] = {}
    for view in views:
        for step in _Ground(facts, view, stand_off, stay_out).steps():
            steps.setdefault(step.what, replace(step, floor=view.floor.name))

    def order(step: _Step) -> tuple[object, ...]:
        return (step.level == _CALL, not step.leaking, levels.index(step.level), step.urgency, step.what)

    levels = (_AT_OUTFALL, _AT_DOOR, _AT_DRAIN, _CALL) if stay_out else (_AT_DRAIN, _AT_DOOR, _AT_OUTFALL, _CALL)
    ordered = sorted(steps.values(), key=order)
    numbers = count(1)
    return tuple(
        FirstAction(
            order=next(numbers),
            what=step.what,
            who=step.who,
            from_where=step.from_where,
            leave_when=LEAVE,
            at=step.at,
            floor=step.floor,
            instead_of=step.instead_of,
            cite=CITE,
        )
        for step in ordered
    )


@dataclass(frozen=True)
class _Ground:
    """One floor as the first crew finds it; what every place is held against is worked out once."""

    facts: SiteFacts
    view: FloorView
    stand_off: StandOff | None
    stay_out: bool

    def steps(self) -> Iterator[_Step]:
        yield from self._valves()
        for drain in self.view.floor.drains:
            yield from self._drain(drain)
        for door in self.view.floor.doors:
            yield from self._door(door)

    def _valves(self) -> Iterator[_Step]:
        """Give the valves between sumps and drains that stand open."""
        sumps = {sump.id: sump for sump in self.view.floor.sumps}
        drains = {drain.id: drain for drain in self.view.floor.drains}
        for pipe in self.view.floor.pipes:
            if pipe.to_drain_id is None or pipe.valve is ValvePosition.NONE or passes(pipe) is Verdict.NOT_REACHED:
                continue
            sump, drain = sumps[pipe.from_sump_id], drains[pipe.to_drain_id]
            goal = treated_as(drain)
            urgency = (0, severity(goal), 0)
            barred = self._barred(sump.at)
            if barred:
                yield from self._outward(drain, goal, urgency, f"the valve from sump {sump.name}: {barred}")
                continue
            where = phrase(pipe.valve_where) or "place not recorded"
            what = f"Shut the valve from sump {sump.name} to drain {drain.name} ({where}) before anything runs in"
            yield _Step(_AT_DRAIN, urgency, what, Who.OPERATIONS, self._inside(), sump.at)

    def _drain(self, drain: DrainFact) -> Iterator[_Step]:
        verdict = self._reached(drain)
        if verdict is Verdict.NOT_REACHED and drain.shape is not None and drain.valve is not ValvePosition.OPEN:
            return
        goal = treated_as(drain)
        urgency = (list(Verdict).index(verdict), severity(goal), 1)
        barred = "its place is not known" if drain.shape is None else self._barred(drain.shape)
        if barred:
            yield from self._outward(drain, goal, urgency, f"drain {drain.name}: {barred}")
        elif drain.shape is not None:
            at = drain.shape.centroid
            leaking = self._leaks_to(drain)
            yield _Step(_AT_DRAIN, urgency, _close(drain), Who.OPERATIONS, self._inside(), at, leaking=leaking)
            if goal in _TREATED:
                yield from self._warn(drain, goal, urgency, "")

    def _outward(
        self, drain: DrainFact, goal: DrainDestination, urgency: tuple[int, ...], instead_of: str
    ) -> Iterator[_Step]:
        """Give what is done about a drain that nobody may go to: at its outfall, and by telephone.

        There is always something: where neither outfall nor authority is on record, that has to be found out.
        """
        leaking = self._leaks_to(drain)
        if goal in _COMES_OUT and drain.outfall:
            what = f"Dam or boom where drain {drain.name} comes out ({phrase(drain.outfall)}), or downstream of there"
            where = f"from public ground, {self._clear()}"
            yield _Step(_AT_OUTFALL, urgency, what, Who.OPERATIONS, where, None, instead_of, leaking=leaking)
        yield from self._warn(drain, goal, urgency, instead_of)

    def _warn(
        self, drain: DrainFact, goal: DrainDestination, urgency: tuple[int, ...], instead_of: str
    ) -> Iterator[_Step]:
        contact = _contact(self.facts, goal)
        ask = "and ask where it comes out" if goal in _COMES_OUT and not drain.outfall else f"({goal})"
        if contact is None:
            what = (
                f"Find out who runs the sewer and warn them of liquid in drain {drain.name} {ask}: nobody is on record"
            )
        else:
            what = f"Warn the {contact.role} of liquid in drain {drain.name} {ask}: {contact.name}, {contact.phone}"
        leaking = self._leaks_to(drain)
        yield _Step(_CALL, urgency, what, Who.COMMANDER, "by telephone", None, instead_of, leaking=leaking)

    def _door(self, door: DoorFact) -> Iterator[_Step]:
        if not self._is_outer(door) or door.tight is YesNoUnknown.YES:
            return
        urgency = (0 if door.main_entrance else 1, 0, 0)
        barred = self._barred(door.line, outside=True)
        if not barred:
            what = f"Dam the sill of {door.name} from outside"
            where = "from the yard, standing beside the opening, not in it"
            yield _Step(_AT_DOOR, urgency, what, Who.OPERATIONS, where, door.line.centroid)
        elif door.main_entrance and not self.stay_out:
            what = f"Dam the ground outside {door.name}, across the way the liquid runs"
            replaced = f"the sill of {door.name}: {barred}"
            yield _Step(_AT_DOOR, urgency, what, Who.OPERATIONS, self._clear(), None, replaced)

    def _reached(self, drain: DrainFact) -> Verdict:
        here = f"drain {drain.name}"
        verdicts = [arrival.verdict for arrival in self.view.arrivals_at.get(here, ())]
        return min(verdicts, key=list(Verdict).index, default=Verdict.NOT_REACHED)

    def _leaks_to(self, drain: DrainFact) -> bool:
        return any(
            arrival.verdict is not Verdict.NOT_REACHED and any(drum.leaking for drum in arrival.lot.drums)
            for arrival in self.view.arrivals_at.get(f"drain {drain.name}", ())
        )

    def _barred(self, place: BaseGeometry, *, outside: bool = False) -> str:
        """Say why nobody may go to a place; empty where nothing recorded forbids it."""
        if not outside and self.view.floor.outline.intersects(place):
            if self.stay_out:
                return "inside the building, which first crews do not enter"
            if self._ways_in == ():
                return "no way into the building is clear of the drums that stop it"
        return self._near_alarm(place) or self._in_pool(place)

    def _near_alarm(self, place: BaseGeometry) -> str:
        here = {pallet.id for pallet in self.view.floor.pallets}
        alarms = self._alarms
        elsewhere = [drum.name for drum in alarms if drum.pallet_id not in here]
        if elsewhere:
            return f"under or over {named(elsewhere, 2)} on another floor"
        near = nearest_alarm(alarms, place)
        if near is not None and self.stand_off is not None and near[1] < self.stand_off.metres:
            sight = ", in its sight" if self._seen(near[0], place) else ""
            return f"{near[1]:.0f} m from {near[0].name}, inside the stand-off{sight}"
        seen = next((drum.name for drum in alarms if self._seen(drum, place)), None)
        return "" if seen is None else f"in sight of {seen}"

    def _seen(self, drum: DrumFact, place: BaseGeometry) -> bool:
        """Whether any corner of a place, its middle or its nearest point lies in a drum's sight."""
        corners = [Point(corner) for corner in shapely.get_coordinates(place)]
        nearest = Point(shapely.shortest_line(place, drum.at).coords[0])
        return any(in_sight(self.view.floor, drum.at, at) for at in (*corners, place.centroid, nearest))

    @cached_property
    def _ways_in(self) -> tuple[DoorFact, ...] | None:
        """Give the doors by which somebody may go in, main entrances first; None where no outer door is recorded."""
        outer = [door for door in self.view.floor.doors if self._is_outer(door)]
        if not outer:
            return None
        clear = [door for door in outer if not door.blocked and not self._barred(door.line, outside=True)]
        return tuple(sorted(clear, key=lambda door: not door.main_entrance))

    def _is_outer(self, door: DoorFact) -> bool:
        return bool(door.line.distance(self.view.floor.outline.exterior) <= ON_LINE_M)

    @cached_property
    def _alarms(self) -> tuple[DrumFact, ...]:
        return alarming_drums(self.facts)

    @cached_property
    def _stopped_pools(self) -> tuple[tuple[str, BaseGeometry], ...]:
        """Pools of drums with a stop line that leak or that nobody identified, pallet by pallet, each with a drum."""
        pools = []
        for pallet in self.view.floor.pallets:
            loose = [
                drum
                for drum in pallet.drums
                if self.view.stops[drum.id] and drum.fill_l > 0 and (drum.leaking or drum.contents_unknown)
            ]
            reach = self.view.spills.one_drum(loose)
            if reach is not None:
                pools.append((loose[0].name, reach.thin.shape))
        return tuple(pools)

    def _in_pool(self, place: BaseGeometry) -> str:
        for drum, pool in self._stopped_pools:
            if pool.intersects(place):
                return f"inside the pool of {drum}, which has a stop line"
        return ""

    def _inside(self) -> str:
        ways = self._ways_in
        way = f"by {ways[0].name}" if ways else "by the entrance the commander chooses"
        floor = f", {self.view.floor.name}" if len(self.facts.floors) > 1 else ""
        return f"{way}{floor}, upwind, round every pool and out of reach of stacked drums"

    def _clear(self) -> str:
        if self.stand_off is None or not self.stand_off.drums:
            return "upwind and uphill, clear of every pool"
        return f"outside the {self.stand_off.metres:.0f} m stand-off and out of sight of it"


def _close(drain: DrainFact) -> str:
    if drain.valve in (ValvePosition.OPEN, ValvePosition.UNKNOWN, ValvePosition.SHUT):
        key = f"; key: {phrase(drain.valve_key_holder)}" if drain.valve_key_holder else ""
        where = phrase(drain.valve_where) or "place not recorded"
        return f"Shut the valve of drain {drain.name} ({where}{key}), then cover the drain"
    if drain.kind is DrainKind.TRENCH:
        return f"Cover or dam trench {drain.name} along its whole length"
    return f"Cover drain {drain.name}"


def _contact(facts: SiteFacts, goal: DrainDestination) -> ContactFact | None:
    for role in _ASKED.get(goal, ()):
        for contact in facts.contacts:
            if contact.role is role:
                return contact
    return None
