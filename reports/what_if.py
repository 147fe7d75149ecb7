"""What would happen if one drum leaked: facts and a question → how far, how soon and how much of it where."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from math import floor as rounded_down

from shapely import unary_union

from geometry.errors import GeometryRefused
from geometry.leak import Leak
from geometry.spill_rules import published_rules
from reports.assessment.what_if import DrainRun, RuleArea, RunEnd, WhatIf, WhatIfAnswer
from reports.facts import DrumFact, FloorFact, PalletFact, SiteFacts, WallFact
from reports.floors.spills import FloorSpills
from reports.what_if_leak import asked_leak
from reports.what_if_run import Heard, Spilling, level_text, run_end
from survey.vocabulary import NormalPosition, YesNoUnknown

CAUTIONS = (
    "A calculation on the floor as recorded: cracks, joints, falls nobody surveyed and wind change it.",
    "Liquid that wets the floor badly runs in narrow streams, farther and faster than shown.",
    "Nobody goes near a drum to try this out; the incident commander and local rules decide.",
)


@dataclass(frozen=True, slots=True)
class _Place:
    """The drum that is asked about, and where it stands."""

    drum: DrumFact
    pallet: PalletFact
    floor: FloorFact


def what_if(facts: SiteFacts, asked: WhatIf, *, cell_m: float, heard: Heard | None = None) -> WhatIfAnswer:
    """Answer one question.

    Parameters
    ----------
    facts : SiteFacts
    asked : WhatIf
        About a drum of an open reading.
    cell_m : float
        Side of a grid cell [m].
    heard : callable, optional
        Takes the share that is done (0 to 1) and says whether to go on.

    Returns
    -------
    WhatIfAnswer
        Two ends of a range: thin film, thin liquid and doubtful walls that let liquid through; thick film, thick
        liquid and doubtful walls that hold.

    Raises
    ------
    GeometryRefused
        If the drum is in no open reading, holds no liquid, the hole is larger than the drum, the place lies on no
        free floor, or the floor is too large for the grid.
    geometry.spill_flow.FlowCancelled
        If `heard` said not to go on.
    """
    place = _place(facts, asked)
    run_out = asked_leak(place.drum, asked)
    changed = _changed(place.floor, asked)
    spills = FloorSpills(changed)
    source = place.drum.at if asked.at is None else asked.at
    measures = changed != place.floor or asked.at is not None
    runs = 3 if measures else 2
    spilling = Spilling(facts, place.drum, place.pallet, source, run_out.far, asked.until_min, cell_m)
    far = run_end(spilling, spills, far=True, heard=_part(heard, 0, runs))
    near = run_end(replace(spilling, leak=run_out.near), spills, far=False, heard=_part(heard, 1, runs))
    without = None
    if measures:
        now = replace(spilling, source=place.drum.at)
        without = run_end(now, FloorSpills(place.floor), far=True, heard=_part(heard, 2, runs))
    return WhatIfAnswer(
        drum=place.drum.name,
        pallet=place.pallet.name,
        floor=place.floor.name,
        product=place.drum.product.name,
        source=source,
        leak=run_out.given,
        turning=run_out.turning,
        rules=tuple(_rules(run_out.near)),
        level=level_text(spills),
        cell_m=cell_m,
        far=far,
        near=near,
        far_without=without,
        changes=() if without is None else tuple(_changes(without, far, asked)),
        cautions=CAUTIONS,
    )


def _place(facts: SiteFacts, asked: WhatIf) -> _Place:
    for floor in facts.floors:
        for pallet in floor.pallets:
            for drum in pallet.drums:
                if drum.id == asked.drum_id:
                    return _Place(drum, pallet, _laid_on(floor, asked))
    raise GeometryRefused(f"drum {asked.drum_id}: expected one of a reading that stands, found none")


def _laid_on(floor: FloorFact, asked: WhatIf) -> FloorFact:
    """Give the floor back if every dam lies on it."""
    ground = unary_union([floor.outline, *(surface.outline for surface in floor.surfaces)])
    for number, dam in enumerate(asked.dams, start=1):
        if not dam.intersects(ground):
            raise GeometryRefused(
                f"dam {number}: expected a line on floor {floor.name} or its yard, found one off both"
            )
    return floor


def _rules(run_out: Leak) -> Iterator[RuleArea]:
    """Put beside the run what the published rules say of everything that leaves."""
    for rule in published_rules(run_out.leaves_m3) if run_out.leaves_m3 > 0 else ():
        yield RuleArea(rule.name, rule.area_m2, rule.depth_m * 1000, rule.source)


def _changed(floor: FloorFact, asked: WhatIf) -> FloorFact:
    """Give the floor with the dams laid, the drains covered and the doors shut.

    A drain that is covered has no place on the floor any more; a pipe from a sump leads into it all the same.
    """
    dams = tuple(
        WallFact(f"dam {number}", line, YesNoUnknown.YES, None, YesNoUnknown.NO)
        for number, line in enumerate(asked.dams, start=1)
    )
    return replace(
        floor,
        walls=floor.walls + dams,
        drains=tuple(
            replace(drain, shape=None) if drain.id in asked.covered_drains else drain for drain in floor.drains
        ),
        doors=tuple(
            replace(door, normally=NormalPosition.SHUT) if door.id in asked.shut_doors else door for door in floor.doors
        ),
    )


def _changes(now: RunEnd, then: RunEnd, asked: WhatIf) -> Iterator[str]:
    """Say what the measures change at the far end, drain by drain."""
    before, after = ({drain.id: drain for drain in end.drains} for end in (now, then))
    for drain_id in dict.fromkeys((*before, *after)):
        covered = drain_id in asked.covered_drains
        was, becomes = before.get(drain_id), after.get(drain_id)
        name = next(drain.name for drain in (was, becomes) if drain is not None)
        instead = "nothing" if was is None else _gets(was, asked.until_min)
        if becomes is not None:
            gets = _gets(becomes, asked.until_min)
        else:
            gets = "nothing, if the cover is tight" if covered else "nothing"
        if gets != instead:
            yield f"Drain {name}{', covered' if covered else ''}: {gets}, instead of {instead}."
    if abs(now.off_map_l - then.off_map_l) >= 1:
        yield f"Off the map: {then.off_map_l:,.0f} L, instead of {now.off_map_l:,.0f} L."


def _gets(drain: DrainRun, until_min: float) -> str:
    if drain.first_min is None:
        within = f"nothing within {until_min:g} min"
        if drain.early_min is not None and drain.early_min < until_min:
            within += f" by this run, though perhaps from {_tenths(drain.early_min)} min on"
    else:
        soonest = _tenths(drain.first_min if drain.early_min is None else drain.early_min)
        first = f"{drain.first_min:.1f}"
        after = first if soonest == first else f"{soonest} to {first}"
        within = f"first liquid after {after} min and {drain.litres:,.0f} L within {until_min:g} min"
    way = ", through a sump at a time not worked out" if drain.through_sumps else ""
    return f"{within} ({drain.verdict} in the end{way}, at most {drain.most_l:,.0f} L)"


def _tenths(minutes: float) -> str:
    """Write an early end, rounded down."""
    return f"{rounded_down(minutes * 10) / 10:.1f}"


def _part(heard: Heard | None, number: int, of: int) -> Heard | None:
    """Let one run of several speak for its share of the whole."""
    if heard is None:
        return None
    return lambda share: heard((number + share) / of)
