"""One end of a what-if answer: the run of one leak over a floor, and beside it how soon the closed laws allow."""

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from math import inf

from shapely import Point
from shapely.geometry.base import BaseGeometry

from geometry.leak import Leak
from geometry.relief import SLAB_TOLERANCE_M
from geometry.spill_flow import FlowCase, FlowResult, flow_grid, run_flow
from reports.assessment import Verdict
from reports.assessment.what_if import DrainRun, Reached, RunEnd, WetArea
from reports.facts import DoorFact, DrainFact, DrumFact, FloorFact, PalletFact, SiteFacts
from reports.floors.arrival_asks import USUAL_FALL
from reports.floors.drains import treated_as
from reports.floors.hydraulics import stronger
from reports.floors.leaks import THICK_VISCOSITY_M2_S, THIN_VISCOSITY_M2_S, viscosity_m2_s
from reports.floors.one_drum import DrumAlone, drum_alone
from reports.floors.spills import FloorSpills
from survey.vocabulary import Levelness

Heard = Callable[[float], bool]

SHOWN_MIN = (0.5, 1, 2, 3, 5, 7, 10, 15, 20, 30, 45, 60, 90, 120)
"""Minutes after which the wet area is shown, as far as the run goes."""
GULLY_M = 0.3
"""Width of a gully's grating, of which the record has the middle: common practice, no source."""
_COURSE = 60
"""Points of a drain's course; more show no more on a screen."""


@dataclass(frozen=True, slots=True)
class Spilling:
    """What is let run: one drum's leak, from where, how long [min], and on cells of which side [m]."""

    facts: SiteFacts
    drum: DrumFact
    pallet: PalletFact
    source: Point
    leak: Leak
    until_min: float
    cell_m: float


def run_end(spilling: Spilling, spills: FloorSpills, *, far: bool, heard: Heard | None) -> RunEnd:
    """Let a leak run at one end of the range of what is unknown.

    Parameters
    ----------
    spilling : Spilling
    spills : FloorSpills
        The spill engine on the floor as it is asked about.
    far : bool
        True: thin film, thin liquid, doubtful walls let it through. False: thick film, thick liquid, they hold.
    heard : callable or None
        Takes the share that is done (0 to 1) and says whether to go on.

    Returns
    -------
    RunEnd

    Raises
    ------
    GeometryRefused
        If the place lies on no free floor, or the floor is too large for the grid.
    geometry.spill_flow.FlowCancelled
        If `heard` said not to go on.
    """
    floor, drum, run_out = spills.floor, spilling.drum, spilling.leak
    film_m = spills.film.thin_m if far else spills.film.thick_m
    known = viscosity_m2_s(drum.product)
    doubtful = THIN_VISCOSITY_M2_S if far else THICK_VISCOSITY_M2_S
    viscosity = doubtful if known is None else known
    assumes = _assumes(far=far, known=known is not None)
    if run_out.leaves_m3 == 0:
        return _dry(floor, drum, film_m, viscosity, assumes)
    rest = spills.one_drum([replace(drum, fill_l=run_out.leaves_m3 * 1000, at=spilling.source)])
    alone = drum_alone(spilling.facts, spills, spilling.pallet, drum, spilling.source, run_out)
    relief = spills.relief
    result = run_flow(
        FlowCase(
            floor=spills.plan,
            source=spilling.source,
            leak=run_out,
            viscosity_m2_s=viscosity,
            film_m=film_m,
            cautious=far,
            cell_m=spilling.cell_m,
            relief=None if relief is None else relief.elevation_m(flow_grid(spills.plan, spilling.cell_m)),
            drains=tuple((str(drain.id), _inlet(drain.shape)) for drain in floor.drains if drain.shape is not None),
            until_s=spilling.until_min * 60,
        ),
        on_progress=heard,
    )
    return RunEnd(
        film_mm=film_m * 1000,
        viscosity_mm2_s=viscosity * 1e6,
        assumes=assumes,
        drains=tuple(_drain_runs(floor, result, alone, far=far)),
        doors=_doors(floor.doors, result, alone.soonest_min, spilling.until_min),
        pallets=_reached(result, [(pallet.name, pallet.footprint) for pallet in floor.pallets]),
        wet=tuple(_wet(result, spilling.until_min)),
        rest=None if rest is None else rest.thin if far else rest.thick,
        on_floor_l=result.on_floor_m3 * 1000,
        in_drum_l=result.in_drum_m3 * 1000 + drum.fill_l - run_out.leaves_m3 * 1000,
        off_map_l=result.lost_m3 * 1000,
        at_rest_min=None if result.rest_s is None else result.rest_s / 60,
    )


def level_text(spills: FloorSpills) -> str:
    """Say what is known of the fall of a floor, and so what the minutes of a run are worth.

    Parameters
    ----------
    spills : FloorSpills
        The spill engine on the floor.

    Returns
    -------
    str
        Whole sentences.
    """
    sooner = (
        "liquid may be there sooner than it runs here, from the early end on that stands beside each drain and door"
    )
    if spills.relief is not None:
        off_mm = spills.relief.tolerance_m * 1000
        return f"The run follows the falls on record, which may be off by {off_mm:.0f} mm: {sooner}."
    if spills.floor.levelness is Levelness.RECORDED_LEVEL:
        off_mm = 2 * SLAB_TOLERANCE_M * 1000
        return (
            "The floor is on record as level, and the run takes it so. On the way to a drain or door a slab may still "
            f"fall by {off_mm:.0f} mm: {sooner}."
        )
    surveyed = spills.floor.levelness is Levelness.SURVEYED
    unknown = "The levels surveyed do not tell how the floor falls" if surveyed else "The floor's level is not recorded"
    return (
        f"{unknown}, and the run takes it as level. It may fall towards any drain or door, as floors with drains do "
        f"({USUAL_FALL:.1%}): {sooner}; and it may run to places that stay dry here."
    )


def _dry(floor: FloorFact, drum: DrumFact, film_m: float, viscosity: float, assumes: str) -> RunEnd:
    """Give the end of a run in which nothing leaves, since the hole lies above the liquid."""
    drains = tuple(
        DrainRun(
            id=drain.id,
            name=drain.name,
            treated_as=treated_as(drain),
            early_min=None,
            first_min=None,
            litres=0.0,
            verdict=Verdict.NOT_REACHED,
            most_l=0.0,
            through_sumps=False,
            course=((0.0, 0.0),),
        )
        for drain in floor.drains
        if drain.shape is not None
    )
    return RunEnd(
        film_mm=film_m * 1000,
        viscosity_mm2_s=viscosity * 1e6,
        assumes=assumes,
        drains=drains,
        doors=(),
        pallets=(),
        wet=(),
        rest=None,
        on_floor_l=0.0,
        in_drum_l=drum.fill_l,
        off_map_l=0.0,
        at_rest_min=0.0,
    )


def _inlet(shape: BaseGeometry) -> BaseGeometry:
    return shape.buffer(GULLY_M / 2, cap_style="square") if isinstance(shape, Point) else shape


def _assumes(*, far: bool, known: bool) -> str:
    walls = "what is not known to be tight lets liquid through" if far else "what is not known to be tight holds"
    thick = "" if known else f"; viscosity not known, taken as {'a thin solvent' if far else 'an oil'}"
    return f"{'thin' if far else 'thick'} film; {walls}{thick}"


def _drain_runs(floor: FloorFact, result: FlowResult, alone: DrumAlone, *, far: bool) -> Iterator[DrainRun]:
    """Give every drain with a place on the floor, and those without that liquid gets to by a sump."""
    for drain in floor.drains:
        target = f"drain {drain.name}"
        here = [each for each in alone.arrivals if each.target == target and each.verdict is not Verdict.NOT_REACHED]
        if drain.shape is None and not here:
            continue
        first_s, course = _taken(drain, result)
        first_min = None if first_s is None else first_s / 60
        most_l = [each.litres_thin if far else each.litres_thick for end in here for _, each in end.arrivals]
        through_sumps = any(not end.arrivals for end in here)
        if through_sumps:
            most_l += [drum.fill_l for end in here for drum in end.lot.drums]
        # The run asks with its own leak and film: what it brings there is never said not to get there.
        by_run = [] if first_s is None else [Verdict.MAY_REACH]
        yield DrainRun(
            id=drain.id,
            name=drain.name,
            treated_as=treated_as(drain),
            early_min=_sooner(alone.soonest_min.get(target), first_min),
            first_min=first_min,
            litres=course[-1][1],
            verdict=stronger(*(end.verdict for end in here), *by_run),
            most_l=max([*most_l, course[-1][1]]),
            through_sumps=through_sumps,
            course=course,
        )


def _sooner(by_law_min: float | None, by_run_min: float | None) -> float | None:
    """Give the sooner of two times; beside a drain the run, whose jet splashes, may be a moment before the law."""
    known = [minutes for minutes in (by_law_min, by_run_min) if minutes is not None]
    return min(known, default=None)


def _taken(drain: DrainFact, result: FlowResult) -> tuple[float | None, tuple[tuple[float, float], ...]]:
    """Give when a drain first takes something over the floor [s], and the minutes and litres of its course."""
    if drain.shape is None:
        return None, ((0.0, 0.0),)
    taken = result.drained_m3[str(drain.id)]
    every = max(len(taken) // _COURSE, 1)
    course = tuple(
        (float(at_s) / 60, float(litres))
        for at_s, litres in zip(result.time_s[::-every][::-1], taken[::-every][::-1] * 1000, strict=True)
    )
    return result.first_s[str(drain.id)], course


def _doors(
    doors: Sequence[DoorFact], result: FlowResult, soonest_min: Mapping[str, float], until_min: float
) -> tuple[Reached, ...]:
    """Give the doors that the liquid came to, and those it may have come to by then though the run did not."""
    found = []
    for door in doors:
        when = result.arrival_between(door.line)
        early_min = soonest_min.get(f"door {door.name}", inf)
        if when is not None:
            found.append(Reached(door.name, when.expected_s / 60, min(when.earliest_s / 60, early_min)))
        elif early_min < until_min:
            found.append(Reached(door.name, None, early_min))
    return _soonest_first(found)


def _reached(result: FlowResult, places: Sequence[tuple[str, BaseGeometry]]) -> tuple[Reached, ...]:
    """Give what the liquid came to."""
    return _soonest_first(
        Reached(name, when.expected_s / 60, when.earliest_s / 60)
        for name, shape in places
        if (when := result.arrival_between(shape)) is not None
    )


def _soonest_first(found: Iterable[Reached]) -> tuple[Reached, ...]:
    return tuple(sorted(found, key=lambda each: (inf if each.first_min is None else each.first_min, each.name)))


def _wet(result: FlowResult, until_min: float) -> Iterator[WetArea]:
    minutes = [*(at for at in SHOWN_MIN if at < until_min), until_min]
    shapes = result.isochrones([at * 60 for at in minutes])
    for at, (_, shape) in zip(minutes, shapes, strict=True):
        yield WetArea(at, shape, shape.area)
