"""What would happen if one drum leaked: facts and a question → how far, how soon and how much of it where."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace

from shapely import Point, unary_union
from shapely.geometry.base import BaseGeometry

from geometry.errors import GeometryRefused
from geometry.leak import Leak, leak, sudden
from geometry.orifice import Hole, open_bung, round_hole, slot
from geometry.spill_flow import FlowCase, FlowResult, flow_grid, run_flow
from geometry.spill_rules import published_rules
from geometry.turning import Breach, Standing, Turn, turns
from reports.assessment import Verdict
from reports.assessment.what_if import (
    DrainRun,
    HoleKind,
    HolePlace,
    LeakGiven,
    Reached,
    RuleArea,
    RunEnd,
    WetArea,
    WhatIf,
    WhatIfAnswer,
)
from reports.facts import DrumFact, FloorFact, PalletFact, SiteFacts, WallFact
from reports.floors.drains import arrivals_on, treated_as
from reports.floors.hydraulics import Hydraulics, stronger
from reports.floors.leaks import THICK_VISCOSITY_M2_S, THIN_VISCOSITY_M2_S, drum_shape, viscosity_m2_s
from reports.floors.lots import Lot
from reports.floors.spills import FloorSpills
from reports.floors.view import LotArrival
from survey.vocabulary import NormalPosition, Orientation, YesNoUnknown

Heard = Callable[[float], bool]

SHOWN_MIN = (0.5, 1, 2, 3, 5, 7, 10, 15, 20, 30, 45, 60, 90, 120)
"""Minutes after which the wet area is shown, as far as the run goes."""
GULLY_M = 0.3
"""Width of a gully's grating, of which the record has the middle: common practice, no source."""
_COURSE = 60
"""Points of a drain's course; more show no more on a screen."""
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
    standing, orientation = _standing(place.drum, asked)
    positions = _positions(place.drum, asked, standing)
    fast, slow = _leaks(place.drum, asked, positions[0])
    changed = _changed(place.floor, asked)
    spills = FloorSpills(changed)
    source = place.drum.at if asked.at is None else asked.at
    measures = changed != place.floor or asked.at is not None
    runs = 3 if measures else 2
    far = _end(spills, source, fast, place.drum, place.pallet, asked, cell_m, far=True, heard=_part(heard, 0, runs))
    near = _end(spills, source, slow, place.drum, place.pallet, asked, cell_m, far=False, heard=_part(heard, 1, runs))
    without = None
    if measures:
        now = replace(asked, at=None)
        without = _end(
            FloorSpills(place.floor),
            place.drum.at,
            fast,
            place.drum,
            place.pallet,
            now,
            cell_m,
            far=True,
            heard=_part(heard, 2, runs),
        )
    return WhatIfAnswer(
        drum=place.drum.name,
        pallet=place.pallet.name,
        floor=place.floor.name,
        product=place.drum.product.name,
        source=source,
        leak=_given(slow, place.drum, asked, orientation),
        turning=_turning(asked, positions),
        rules=tuple(_rules(slow)),
        cell_m=cell_m,
        far=far,
        near=near,
        far_without=without,
        changes=() if without is None else tuple(_changes(without, far, asked.until_min)),
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


_STANDING: dict[Orientation, Standing] = {
    Orientation.UPRIGHT: "upright",
    Orientation.LYING: "lying",
    Orientation.INVERTED: "on its head",
    Orientation.UNKNOWN: "upright",
}


def _standing(drum: DrumFact, asked: WhatIf) -> tuple[Standing, str]:
    """Say how the drum is taken to stand, and on whose word."""
    if asked.orientation is not None and asked.orientation is not Orientation.UNKNOWN:
        return _STANDING[asked.orientation], f"{_STANDING[asked.orientation]}, as asked"
    known = drum.orientation is not Orientation.UNKNOWN
    standing = _STANDING[drum.orientation]
    return standing, f"{standing}, {'as recorded' if known else 'which is not recorded'}"


def _positions(drum: DrumFact, asked: WhatIf, standing: Standing) -> tuple[Turn, ...]:
    """Compare the drum as it is with the other positions it could be turned to."""
    shape = drum_shape(drum)
    along_m = {
        HolePlace.WALL: asked.along_mm / 1000,
        HolePlace.BOTTOM_HEAD: 0.0,
        HolePlace.TOP_HEAD: shape.length_m,
    }[asked.place]
    across_m = min(max(asked.size_mm or 0.0, asked.length_mm or 0.0) / 1000, shape.diameter_m)
    breach = Breach(along_m=along_m, off_axis_m=shape.diameter_m / 2, across_m=across_m)
    return turns(shape, drum.fill_l / 1000, breach, standing=standing, clock_deg=asked.clock_deg)


def _leaks(drum: DrumFact, asked: WhatIf, position: Turn) -> tuple[Leak, Leak]:
    """Give the leak of the far end and that of the near one: a drum said to be closed may take in air all the same."""
    content_m3 = drum.fill_l / 1000
    if asked.hole is HoleKind.ALL_AT_ONCE:
        return (sudden(content_m3),) * 2
    shape, hole = drum_shape(drum), _hole(asked, position.hole_height_m)
    vented = leak(shape, content_m3, hole, posture=position.posture, vented=True)
    density = drum.product.density_kg_m3
    if not asked.closed or density is None:
        return vented, vented
    closed = leak(shape, content_m3, hole, posture=position.posture, vented=False, density_kg_m3=density.value)
    return vented, closed


def _hole(asked: WhatIf, height_m: float) -> Hole:
    size_m, length_m = (asked.size_mm or 0) / 1000, (asked.length_mm or 0) / 1000
    if asked.hole is HoleKind.SLOT:
        return slot(length_m, size_m, height_m)
    return open_bung(size_m, height_m) if asked.hole is HoleKind.OPEN_BUNG else round_hole(size_m, height_m)


def _turning(asked: WhatIf, positions: Sequence[Turn]) -> str:
    """Say which position would keep more in; nothing for a drum that loses all at once."""
    if asked.hole is HoleKind.ALL_AT_ONCE:
        return ""
    best = max(positions, key=lambda turn: turn.saved_m3)
    if best.saved_m3 * 1000 < 1:
        return "No position keeps more in than the one it is in."
    leaves_l, saved_l = best.leaves_m3 * 1000, best.saved_m3 * 1000
    return (
        f"{best.position.capitalize()}, {leaves_l:,.0f} L could still leave: {saved_l:,.0f} L less. "
        "For technicians, where no stop rule forbids touching it; the hole may pass below the liquid on the way."
    )


def _given(run_out: Leak, drum: DrumFact, asked: WhatIf, orientation: str) -> LeakGiven:
    first_m3_s = float(run_out.flow_at(0.0))
    model = run_out.model
    if asked.closed and asked.hole is not HoleKind.ALL_AT_ONCE:
        known = drum.product.density_kg_m3 is not None
        model += "; the far end takes it as vented" if known else "; asked about as closed, but no density is on record"
    return LeakGiven(
        model=model,
        first_l_min=first_m3_s * 60_000 if run_out.stop_s > 0 else None,
        leaves_l=run_out.leaves_m3 * 1000,
        stays_l=max(drum.fill_l - run_out.leaves_m3 * 1000, 0.0),
        orientation=orientation,
        half_min=run_out.half_s / 60,
        stop_min=run_out.stop_s / 60,
    )


def _rules(run_out: Leak) -> Iterator[RuleArea]:
    """Put beside the run what the published rules say of everything that leaves."""
    for rule in published_rules(run_out.leaves_m3) if run_out.leaves_m3 > 0 else ():
        yield RuleArea(rule.name, rule.area_m2, rule.depth_m * 1000, rule.source)


def _changed(floor: FloorFact, asked: WhatIf) -> FloorFact:
    """Give the floor with the dams laid, the drains covered and the doors shut."""
    dams = tuple(
        WallFact(f"dam {number}", line, YesNoUnknown.YES, None, YesNoUnknown.NO)
        for number, line in enumerate(asked.dams, start=1)
    )
    return replace(
        floor,
        walls=floor.walls + dams,
        drains=tuple(drain for drain in floor.drains if drain.id not in asked.covered_drains),
        doors=tuple(
            replace(door, normally=NormalPosition.SHUT) if door.id in asked.shut_doors else door for door in floor.doors
        ),
    )


def _end(
    spills: FloorSpills,
    source: Point,
    run_out: Leak,
    drum: DrumFact,
    pallet: PalletFact,
    asked: WhatIf,
    cell_m: float,
    *,
    far: bool,
    heard: Heard | None,
) -> RunEnd:
    floor = spills.floor
    film_m = spills.film.thin_m if far else spills.film.thick_m
    known = viscosity_m2_s(drum.product)
    doubtful = THIN_VISCOSITY_M2_S if far else THICK_VISCOSITY_M2_S
    viscosity = doubtful if known is None else known
    if run_out.leaves_m3 == 0:
        return _dry(floor, drum, film_m, viscosity, _assumes(far=far, known=known is not None))
    leaving = replace(drum, fill_l=run_out.leaves_m3 * 1000, at=source)
    rest = spills.one_drum([leaving])
    relief = spills.relief
    lot = Lot(replace(pallet, at=source, drums=(leaving,)), drum.product, (leaving,))
    ends = arrivals_on(floor, [lot], spills, Hydraulics(floor))
    result = run_flow(
        FlowCase(
            floor=spills.plan,
            source=source,
            leak=run_out,
            viscosity_m2_s=viscosity,
            film_m=film_m,
            cautious=far,
            cell_m=cell_m,
            relief=None if relief is None else relief.elevation_m(flow_grid(spills.plan, cell_m)),
            drains=tuple((str(drain.id), _inlet(drain.shape)) for drain in floor.drains if drain.shape is not None),
            until_s=asked.until_min * 60,
        ),
        on_progress=heard,
    )
    return RunEnd(
        film_mm=film_m * 1000,
        viscosity_mm2_s=viscosity * 1e6,
        assumes=_assumes(far=far, known=known is not None),
        drains=tuple(_drain_runs(floor, result, ends, far=far)),
        doors=_reached(result, [(door.name, door.line) for door in floor.doors]),
        pallets=_reached(result, [(pallet.name, pallet.footprint) for pallet in floor.pallets]),
        wet=tuple(_wet(result, asked.until_min)),
        rest=None if rest is None else rest.thin if far else rest.thick,
        on_floor_l=result.on_floor_m3 * 1000,
        in_drum_l=result.in_drum_m3 * 1000 + drum.fill_l - run_out.leaves_m3 * 1000,
        off_map_l=result.lost_m3 * 1000,
        at_rest_min=None if result.rest_s is None else result.rest_s / 60,
    )


def _dry(floor: FloorFact, drum: DrumFact, film_m: float, viscosity: float, assumes: str) -> RunEnd:
    """Give the end of a run in which nothing leaves, since the hole lies above the liquid."""
    drains = tuple(
        DrainRun(
            id=drain.id,
            name=drain.name,
            treated_as=treated_as(drain),
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


def _drain_runs(floor: FloorFact, result: FlowResult, ends: Sequence[LotArrival], *, far: bool) -> Iterator[DrainRun]:
    for drain in floor.drains:
        if drain.shape is None:
            continue
        taken = result.drained_m3[str(drain.id)]
        first_s = result.first_s[str(drain.id)]
        every = max(len(taken) // _COURSE, 1)
        course = [
            (float(at_s) / 60, float(litres))
            for at_s, litres in zip(result.time_s[::-every][::-1], taken[::-every][::-1] * 1000, strict=True)
        ]
        here = [end for end in ends if end.target == f"drain {drain.name}" and end.verdict is not Verdict.NOT_REACHED]
        most_l = [each.litres_thin if far else each.litres_thick for end in here for _, each in end.arrivals]
        through_sumps = any(not end.arrivals for end in here)
        if through_sumps:
            most_l += [drum.fill_l for end in here for drum in end.lot.drums]
        yield DrainRun(
            id=drain.id,
            name=drain.name,
            treated_as=treated_as(drain),
            first_min=None if first_s is None else first_s / 60,
            litres=float(taken[-1]) * 1000,
            verdict=stronger(*(end.verdict for end in here)),
            most_l=max(most_l, default=0.0),
            through_sumps=through_sumps,
            course=tuple(course),
        )


def _reached(result: FlowResult, places: Sequence[tuple[str, BaseGeometry]]) -> tuple[Reached, ...]:
    """Give what the liquid came to, soonest first."""
    found = [
        Reached(name, when.expected_s / 60, when.earliest_s / 60)
        for name, shape in places
        if (when := result.arrival_between(shape)) is not None
    ]
    return tuple(sorted(found, key=lambda each: (each.first_min, each.name)))


def _wet(result: FlowResult, until_min: float) -> Iterator[WetArea]:
    minutes = [*(at for at in SHOWN_MIN if at < until_min), until_min]
    shapes = result.isochrones([at * 60 for at in minutes])
    for at, (_, shape) in zip(minutes, shapes, strict=True):
        yield WetArea(at, shape, shape.area)


def _changes(now: RunEnd, then: RunEnd, until_min: float) -> Iterator[str]:
    """Say what the measures change at the far end, drain by drain."""
    after = {drain.id: drain for drain in then.drains}
    for drain in now.drains:
        changed = after.get(drain.id)
        if changed is None:
            yield f"Drain {drain.name}, covered: nothing, if the cover is tight, instead of {_gets(drain, until_min)}."
        elif _gets(changed, until_min) != _gets(drain, until_min):
            yield f"Drain {drain.name}: {_gets(changed, until_min)}, instead of {_gets(drain, until_min)}."
    if abs(now.off_map_l - then.off_map_l) >= 1:
        yield f"Off the map: {then.off_map_l:,.0f} L, instead of {now.off_map_l:,.0f} L."


def _gets(drain: DrainRun, until_min: float) -> str:
    if drain.first_min is None:
        within = f"nothing within {until_min:g} min"
    else:
        within = f"first liquid after {drain.first_min:.1f} min and {drain.litres:,.0f} L within {until_min:g} min"
    way = ", through a sump at a time not worked out" if drain.through_sumps else ""
    return f"{within} ({drain.verdict} in the end{way}, at most {drain.most_l:,.0f} L)"


def _part(heard: Heard | None, number: int, of: int) -> Heard | None:
    """Let one run of several speak for its share of the whole."""
    if heard is None:
        return None
    return lambda share: heard((number + share) / of)
