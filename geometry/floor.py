"""A floor with its outline, outdoor surfaces, walls, doors and kerbs, made ready for spills."""

import math
from dataclasses import dataclass
from functools import cached_property

import numpy as np
import shapely
from shapely import LineString, Point, Polygon
from shapely.geometry.base import BaseGeometry

from geometry.constants import (
    ADJOINING_M,
    CELL_M,
    SNAP_M,
    SOURCE_MOVED_M,
    UNLIMITED_HEIGHT_M,
)
from geometry.errors import GeometryRefused
from geometry.kept import Kept
from geometry.layout import Layout, Origin, clear_sides
from geometry.raster import Grid, grid_over
from geometry.shapes import checked_area, checked_shape
from geometry.stretches import Doorway, Piece, Stretches, cut_doorways, join, places_of

_KEPT_ORIGINS = 1024


@dataclass(frozen=True, slots=True)
class Barrier:
    """A wall, partition or dam line on the floor.

    Parameters
    ----------
    name : str
        For messages.
    line : LineString
        Where it stands [m].
    height_m : float
        Up to which it stops liquid if tight [m]; infinite for a wall.
    tight : bool or None
        Whether it is tight at the floor; None is unknown. Only True stops liquid for certain.
    """

    name: str
    line: LineString
    height_m: float
    tight: bool | None


@dataclass(frozen=True, slots=True)
class Opening:
    """A door or opening, which takes the place of the wall it lies in.

    Parameters
    ----------
    name : str
        For messages.
    line : LineString
        From jamb to jamb [m], along its wall, at most 0.3 m beside it.
    sill_m : float
        Height of the sill [m].
    tight : bool or None
        Whether door and sill are tight at the floor. Where this is False liquid passes, shut or open.
    shut : bool or None
        Whether the door is shut; a shut door stops liquid only if tight.
    """

    name: str
    line: LineString
    sill_m: float
    tight: bool | None
    shut: bool | None


@dataclass(frozen=True, slots=True)
class Basin:
    """A kerbed or bunded area.

    Parameters
    ----------
    name : str
        For messages.
    outline : Polygon
        Line of the kerb [m].
    lip_m : float
        Lowest height of the kerb above the floor inside [m]: where a forklift ramp is worn to 20 mm, 0.02.
    lip_at : Point or None
        Where that lowest place is [m], taken at the nearest place of the kerb; None lets it overflow all along.
    tight : bool or None
        Whether the kerb is tight at the floor.
    """

    name: str
    outline: Polygon
    lip_m: float
    lip_at: Point | None
    tight: bool | None


@dataclass(frozen=True, slots=True)
class FloorPlan:
    """One level floor and what adjoins it outdoors, as recorded.

    Parameters
    ----------
    outline : Polygon
        Inside edge of the outer wall [m].
    outdoors : tuple of Polygon
        Yards and aprons [m]; those within 0.3 m of the outline adjoin it.
    perimeter_tight : bool or None
        Whether the outer wall is tight at the floor.
    barriers, openings, basins : tuple
        What stands on the floor. An opening replaces the part of a barrier or of the outer wall in which it lies.
    """

    outline: Polygon
    outdoors: tuple[Polygon, ...] = ()
    perimeter_tight: bool | None = None
    barriers: tuple[Barrier, ...] = ()
    openings: tuple[Opening, ...] = ()
    basins: tuple[Basin, ...] = ()


class Flow:
    """The floor under one reading of what is unknown: either it lets liquid through, or it stops it.

    Parameters
    ----------
    grid : Grid
        Cells over the mapped floor.
    mapped : BaseGeometry
        Outline and outdoor surfaces together [m].
    stretches : Stretches
        What stops liquid under this reading, with heights.
    """

    def __init__(self, grid: Grid, mapped: BaseGeometry, stretches: Stretches) -> None:
        self.grid = grid
        self.mapped = mapped
        self.stretches = stretches
        heights = stretches.height_m[np.isfinite(stretches.height_m) & (stretches.height_m > 0)]
        self.steps_m: tuple[float, ...] = (0.0, *np.unique(heights).tolist())
        """Film depths at which something ceases to stop liquid [m], from 0 upward."""
        self._layouts: dict[int, Layout] = {}

    def step_at(self, depth_m: float) -> int:
        """Find the step on which a film depth lies.

        Parameters
        ----------
        depth_m : float
            Depth of the film [m].

        Returns
        -------
        int
            Index of the last of `steps_m` that is not above it.
        """
        return int(np.searchsorted(self.steps_m, depth_m, side="right")) - 1

    def layout(self, step: int = 0) -> Layout:
        """Give the floor as a film finds it whose depth lies between one step and the next.

        Parameters
        ----------
        step : int
            Index in `steps_m`; 0 has every barrier in the way.

        Returns
        -------
        Layout
            Made once and kept.
        """
        if step not in self._layouts:
            self._layouts[step] = Layout(self.grid, self.mapped, self.stretches, self.steps_m[step])
        return self._layouts[step]


class SpillFloor:
    """A floor plan made ready: a grid, and two readings of what is unknown.

    Parameters
    ----------
    plan : FloorPlan
        The floor as recorded.
    cell_m : float
        Side of a grid cell [m].

    Attributes
    ----------
    plan : FloorPlan
    grid : Grid
        Cells over outline and outdoor surfaces, centred on their bounds.
    mapped : BaseGeometry
        Outline and outdoor surfaces, joined where they adjoin [m].
    passing : Flow
        The cautious reading: what is not known to be tight lets liquid through.
    holding : Flow
        What is not known to be tight stops liquid. What is recorded not tight never stops it.

    Raises
    ------
    GeometryRefused
        If an outline crosses itself, a number is negative or not finite where it must be, or the floor is too large
        for the grid.

    Notes
    -----
    The floor is taken as level. A barrier is a line without thickness. Ends of barriers closer than 0.05 m to
    another barrier are joined: that is a gap in the drawing. Beyond the mapped floor liquid is lost from the map; this
    never shortens a reach on it.
    """

    def __init__(self, plan: FloorPlan, cell_m: float = CELL_M) -> None:
        self.plan = _checked(plan)
        self.mapped = _mapped(self.plan)
        self.grid = grid_over(self.mapped, cell_m)
        cautious = _stretches(self.plan, self.mapped, unknown_stops=False)
        lenient = _stretches(self.plan, self.mapped, unknown_stops=True)
        self.passing = Flow(self.grid, self.mapped, cautious)
        self.holding = self.passing if lenient.same_as(cautious) else Flow(self.grid, self.mapped, lenient)
        self._origins: Kept[tuple[bool, int, float, float], Origin] = Kept(_KEPT_ORIGINS, lambda _: 1)

    def flow(self, *, cautious: bool) -> Flow:
        """Give one of the two readings of what is unknown.

        Parameters
        ----------
        cautious : bool
            True: what is not known to be tight lets liquid through. False: it stops it.

        Returns
        -------
        Flow
        """
        return self.passing if cautious else self.holding

    @cached_property
    def openings_off_walls(self) -> tuple[str, ...]:
        """Names of openings that lie in no barrier, and so change nothing."""
        standing = _standing(self.plan, unknown_stops=True)
        return tuple(opening.name for opening in self.plan.openings if not places_of(opening.line, standing))

    def free_place(self, place: Point) -> Point:
        """Move a point off a barrier, or back onto the floor, if it is near enough.

        Parameters
        ----------
        place : Point
            In metres.

        Returns
        -------
        Point
            The first of `free_places`.

        Raises
        ------
        GeometryRefused
            As `free_places`.
        """
        return self.free_places(place)[0]

    def free_places(self, place: Point) -> tuple[Point, ...]:
        """Find every place that a point recorded on a barrier may stand for.

        Parameters
        ----------
        place : Point
            In metres.

        Returns
        -------
        tuple of Point
            The point itself where it lies on free floor, else the nearest free cell centre within 0.2 m on each side of
            what it lies on, nearest first: which of them is meant the record does not say.

        Raises
        ------
        GeometryRefused
            If there is no free floor within 0.2 m, or the point is not finite.
        """
        checked_shape(place, name="source")
        layouts = [self.passing.layout(), self.holding.layout()]
        if all(layout.clear_of_barriers(place) for layout in layouts):
            return (place,)
        sides = clear_sides(layouts, place, SOURCE_MOVED_M)
        if not sides:
            raise GeometryRefused(
                f"source at ({place.x:g}, {place.y:g}): expected free floor within {SOURCE_MOVED_M:g} m, found "
                f"the mapped floor {self.mapped.distance(place):.2f} m away"
            )
        return sides

    def origin(self, place: Point, *, cautious: bool, step: int = 0) -> Origin:
        """Distances along the floor from a point, kept for the next question.

        Parameters
        ----------
        place : Point
            On free floor [m].
        cautious : bool
            Which reading of what is unknown.
        step : int
            Which step of `Flow.steps_m` the film depth lies on.

        Returns
        -------
        Origin

        Raises
        ------
        GeometryRefused
            If the point lies on no free floor.
        """
        flow = self.flow(cautious=cautious)
        key = (flow is self.passing, step, place.x, place.y)
        kept = self._origins.get(key)
        if kept is None:
            layout = flow.layout(step)
            compartment = layout.compartment_at(place)
            if compartment is None:
                raise GeometryRefused(f"source at ({place.x:g}, {place.y:g}): expected free floor, found none")
            kept = self._origins.put(key, Origin(layout, np.array([[place.x, place.y]]), compartment))
        return kept


def _checked(plan: FloorPlan) -> FloorPlan:
    for number, outdoor in enumerate(plan.outdoors, start=1):
        checked_area(outdoor, name=f"outdoor surface {number}")
    for barrier in plan.barriers:
        checked_shape(barrier.line, name=barrier.name)
        _checked_height(barrier.height_m, f"{barrier.name}: height")
    for opening in plan.openings:
        checked_shape(opening.line, name=opening.name)
        _checked_height(opening.sill_m, f"{opening.name}: sill")
    for basin in plan.basins:
        checked_area(basin.outline, name=basin.name)
        _checked_height(basin.lip_m, f"{basin.name}: lip")
        if basin.lip_at is not None:
            checked_shape(basin.lip_at, name=f"{basin.name}: place of the lip")
    checked_area(plan.outline, name="outline")
    return plan


def _checked_height(height_m: float, name: str) -> None:
    if math.isnan(height_m) or height_m < 0:
        raise GeometryRefused(f"{name}: expected 0 m or more, found {height_m}")


def _mapped(plan: FloorPlan) -> BaseGeometry:
    """Outline and outdoor surfaces as one, the thickness of the wall between them bridged."""
    bridges = []
    for outdoor in plan.outdoors:
        apart = plan.outline.distance(outdoor)
        if SNAP_M < apart <= ADJOINING_M:
            near = plan.outline.buffer(apart + SNAP_M, cap_style="flat", join_style="mitre")
            far = outdoor.buffer(apart + SNAP_M, cap_style="flat", join_style="mitre")
            bridges.append(near.intersection(far))
    return shapely.union_all([plan.outline, *plan.outdoors, *bridges], grid_size=SNAP_M)


def _standing(plan: FloorPlan, *, unknown_stops: bool) -> list[Piece]:
    """Outer wall and barriers, before openings are cut."""
    outer = Piece(
        plan.outline.boundary,
        UNLIMITED_HEIGHT_M if _stops(tight=plan.perimeter_tight, unknown_stops=unknown_stops) else 0.0,
    )
    return [
        outer,
        *(
            Piece(barrier.line, barrier.height_m if _stops(tight=barrier.tight, unknown_stops=unknown_stops) else 0.0)
            for barrier in plan.barriers
        ),
    ]


def _stretches(plan: FloorPlan, mapped: BaseGeometry, *, unknown_stops: bool) -> Stretches:
    doorways = [
        Doorway(opening.line, _opening_height_m(opening, unknown_stops=unknown_stops)) for opening in plan.openings
    ]
    basins = [
        Piece(basin.outline.boundary, basin.lip_m, _on_kerb(basin))
        for basin in plan.basins
        if _stops(tight=basin.tight, unknown_stops=unknown_stops)
    ]
    cut = cut_doorways(_standing(plan, unknown_stops=unknown_stops), doorways)
    return join([*cut, *basins], mapped.boundary)


def _on_kerb(basin: Basin) -> Point | None:
    """Find the worn place on the kerb itself, beside which it may have been recorded."""
    if basin.lip_at is None:
        return None
    kerb = basin.outline.exterior
    return Point(kerb.interpolate(kerb.project(basin.lip_at)))


def _opening_height_m(opening: Opening, *, unknown_stops: bool) -> float:
    if not _stops(tight=opening.tight, unknown_stops=unknown_stops):
        return 0.0
    return UNLIMITED_HEIGHT_M if _stops(tight=opening.shut, unknown_stops=unknown_stops) else opening.sill_m


def _stops(*, tight: bool | None, unknown_stops: bool) -> bool:
    return unknown_stops if tight is None else tight
