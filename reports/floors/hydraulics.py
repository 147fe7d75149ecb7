"""What is joined below the floor: sumps, the pipes between them, and the drains they end in."""

from dataclasses import dataclass, field
from uuid import UUID

from reports.assessment import Verdict
from reports.facts import BundFact, DrainFact, FloorFact, PipeFact, SumpFact
from survey.vocabulary import ValvePosition

_PASSES = {
    ValvePosition.NONE: Verdict.REACHES,
    ValvePosition.OPEN: Verdict.REACHES,
    ValvePosition.UNKNOWN: Verdict.MAY_REACH,
    ValvePosition.SHUT: Verdict.MAY_REACH,
    ValvePosition.SHUT_PROVEN: Verdict.NOT_REACHED,
}
"""A valve that nobody has proven shut may pass."""
OFF_FLOOR = "a pipe off this floor"
"""Where liquid goes that leaves by a pipe to another floor."""
_ORDER = (Verdict.REACHES, Verdict.MAY_REACH, Verdict.NOT_REACHED)


def passes(pipe: PipeFact) -> Verdict:
    """Say whether liquid gets through a pipe; only a proven plug or a proven valve stops it."""
    return Verdict.NOT_REACHED if pipe.plugged else _PASSES[pipe.valve]


def weaker(*verdicts: Verdict) -> Verdict:
    """Give the least certain of several verdicts that must all hold."""
    return max(verdicts, key=_ORDER.index)


def stronger(*verdicts: Verdict) -> Verdict:
    """Give the most certain of several verdicts of which one is enough."""
    return min(verdicts, key=_ORDER.index, default=Verdict.NOT_REACHED)


@dataclass(frozen=True, slots=True)
class Hydraulics:
    """The sumps, pipes and drains of one floor as a small graph.

    Liquid in one sump is taken to reach every sump and drain joined to it, in either direction of a pipe between
    sumps and downward into a drain.
    """

    floor: FloorFact
    _sumps: dict[UUID, SumpFact] = field(init=False)
    _drains: dict[UUID, DrainFact] = field(init=False)

    def __post_init__(self) -> None:
        object.__setattr__(self, "_sumps", {sump.id: sump for sump in self.floor.sumps})
        object.__setattr__(self, "_drains", {drain.id: drain for drain in self.floor.drains})

    def sumps_in(self, bund: BundFact) -> tuple[SumpFact, ...]:
        """Give the sumps inside a bund."""
        return tuple(sump for sump in self.floor.sumps if bund.outline.covers(sump.at))

    def from_sump(self, start: SumpFact) -> dict[str, Verdict]:
        """Say what liquid in this sump gets to: *sump S2*, *drain D1*, with the verdict of the way there.

        The start itself is not in the answer.
        """
        best: dict[UUID, Verdict] = {start.id: Verdict.REACHES}
        queue = [start.id]
        while queue:
            here = queue.pop(0)
            for other, way in self._neighbours(here):
                verdict = weaker(best[here], way)
                if verdict is not Verdict.NOT_REACHED and _ORDER.index(verdict) < _ORDER.index(
                    best.get(other, Verdict.NOT_REACHED)
                ):
                    best[other] = verdict
                    queue.append(other)
        found = {self._name(key): verdict for key, verdict in best.items() if key != start.id}
        off = [weaker(best[pipe.from_sump_id], passes(pipe)) for pipe in self._off_floor() if pipe.from_sump_id in best]
        if off and stronger(*off) is not Verdict.NOT_REACHED:
            found[OFF_FLOOR] = stronger(*off)
        return found

    def _off_floor(self) -> list[PipeFact]:
        return [pipe for pipe in self.floor.pipes if pipe.to_sump_id is None and pipe.to_drain_id is None]

    def outlets(self, bund: BundFact) -> tuple[tuple[str, Verdict], ...]:
        """Name every way liquid leaves a bund below its lip: drains in it and pipes from its sumps."""
        inside = [
            (f"drain {drain.name} inside it", Verdict.REACHES)
            for drain in self.floor.drains
            if drain.shape is not None and bund.outline.intersects(drain.shape)
        ]
        within = {f"sump {sump.name}" for sump in self.sumps_in(bund)}
        for sump in self.sumps_in(bund):
            ways = sorted(self.from_sump(sump).items())
            inside += [(f"sump {sump.name} to {goal}", verdict) for goal, verdict in ways if goal not in within]
        return tuple(inside)

    def _neighbours(self, key: UUID) -> list[tuple[UUID, Verdict]]:
        if key in self._drains:
            return []
        ways: list[tuple[UUID, Verdict]] = []
        for pipe in self.floor.pipes:
            end = pipe.to_sump_id or pipe.to_drain_id
            if pipe.from_sump_id == key and end is not None:
                ways.append((end, passes(pipe)))
            elif pipe.to_sump_id == key:
                ways.append((pipe.from_sump_id, passes(pipe)))
        return ways

    def _name(self, key: UUID) -> str:
        return f"sump {self._sumps[key].name}" if key in self._sumps else f"drain {self._drains[key].name}"
