"""A judged floor with everything that is drawn on its map."""

from collections.abc import Iterator

from shapely import LineString
from shapely.geometry.base import BaseGeometry

from reports.assessment import FloorAssessment, PalletAssessment, Span, Verdict, ZoneAssessment
from reports.facts import FloorFact
from reports.floors.hydraulics import passes
from reports.floors.tilts import tilt_model
from reports.floors.view import FloorView


def floor_assessment(
    view: FloorView, zones: tuple[ZoneAssessment, ...], pallets: tuple[PalletAssessment, ...]
) -> FloorAssessment:
    """Put a floor's facts and judgements together."""
    floor = view.floor
    return FloorAssessment(
        id=floor.id,
        name=floor.name,
        north_deg=floor.north_deg,
        outline=floor.outline,
        surfaces=tuple((surface.name, surface.outline) for surface in floor.surfaces),
        walls=tuple((wall.name, wall.line) for wall in floor.walls),
        doors=tuple((door.name, door.line, bool(door.blocked)) for door in floor.doors),
        main_entrances=tuple(door.name for door in floor.doors if door.main_entrance),
        bunds=tuple((bund.name, bund.outline) for bund in floor.bunds),
        sumps=tuple((sump.name, sump.at) for sump in floor.sumps),
        pipes=tuple(_pipes(floor)),
        heat_sources=tuple((heat.name, heat.at) for heat in floor.heat_sources),
        water_ingress=tuple((water.name, water.shape) for water in floor.water_ingress),
        finish=floor.finish,
        film_mm=Span(view.spills.film.thin_m * 1000, view.spills.film.thick_m * 1000),
        film_model=f"{view.spills.film.model}; {view.spills.film.source}",
        tilt_model=tilt_model(view.spills),
        levelness=floor.levelness,
        zones=zones,
        pallets=pallets,
        drains=view.drains,
        pairs=view.pairs,
        containment=view.containment,
    )


def _pipes(floor: FloorFact) -> Iterator[tuple[str, BaseGeometry, bool]]:
    places = {sump.id: sump.at for sump in floor.sumps}
    places |= {drain.id: drain.shape.centroid for drain in floor.drains if drain.shape is not None}
    for pipe in floor.pipes:
        goal = pipe.to_sump_id or pipe.to_drain_id
        if goal in places:
            line = LineString([places[pipe.from_sump_id], places[goal]])
            yield pipe.name, line, passes(pipe) is not Verdict.NOT_REACHED
