"""Where a spill ends on a falling floor: round its source, down the steepest way, and level in every hollow on it."""

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import LineString, MultiPolygon, Point, Polygon
from shapely.geometry.base import BaseGeometry

from geometry.arrival import aim_at
from geometry.errors import GeometryRefused
from geometry.floor import SpillFloor
from geometry.ground import Ground, bed_of, ground_of
from geometry.kept import Kept
from geometry.relief import Relief
from geometry.rest import Rest, run_to_rest
from geometry.running import NARROW, WIDE, Running, checked_run

Floats = NDArray[np.float64]
Integers = NDArray[np.int64]

__all__ = ["NARROW", "WIDE", "Descent", "Descents", "FallingFloor", "Hollow", "Running", "hollow_of"]

Drains = Sequence[tuple[str, BaseGeometry]]

_THINNEST_M = 1e-6
_DEPTH_TOLERANCE = 1e-2  # how well a critical depth is found
_KEPT_REST_BYTES = 64e6
_KEPT_TRACE_BYTES = 64e6


@dataclass(frozen=True, slots=True)
class Hollow:
    """A place where liquid stands.

    Parameters
    ----------
    at : Point
        Its lowest place, or the first of it that was reached [m].
    level_m : float
        Elevation of the surface [m].
    depth_m : float
        Depth over that place [m].
    volume_m3 : float
        What stands there [m³]: where it spills over, the volume at which it does.
    lip_at : Point or None
        Where it spills over [m]; None where it does not.
    off_map : bool
        Whether it spills off the mapped floor.
    """

    at: Point
    level_m: float
    depth_m: float
    volume_m3: float
    lip_at: Point | None
    off_map: bool


@dataclass(frozen=True)
class Descent:
    """A spill at rest on a falling floor.

    Parameters
    ----------
    volume_m3 : float
        What was spilt [m³]: always `on_floor_m3`, `drained_m3` and `lost_m3` together.
    on_floor_m3 : float
        What lies on the mapped floor [m³].
    drained_m3 : float
        What the drain on its way takes [m³]; an upper bound, since all that gets to it counts.
    drain : str or None
        That drain.
    lost_m3 : float
        What runs off the mapped floor [m³].
    area_m2 : float
        Wet area [m²], as cells.
    depth_m : float
        Greatest depth at rest [m].
    hollows : tuple of Hollow
        Where liquid stands, in the order in which they fill. One that fills again with its neighbour comes again.
    """

    volume_m3: float
    on_floor_m3: float
    drained_m3: float
    drain: str | None
    lost_m3: float
    area_m2: float
    depth_m: float
    hollows: tuple[Hollow, ...]
    _ground: Ground
    _film_m: float
    _cells: Integers
    _depths_m: Floats
    _way: Integers
    _source: Point

    @cached_property
    def shape(self) -> Polygon | MultiPolygon:
        """What is wet [m]; ends at everything that stops it. Its edge is that of cells."""
        return self._ground.shape_of(self._cells, self._film_m)

    @cached_property
    def way(self) -> LineString:
        """The way down from the source to where the last of the liquid ran [m]."""
        places = [(self._source.x, self._source.y), *map(tuple, self._ground.centres(self._way).tolist())]
        line = LineString(places if len(places) > 1 else places * 2)
        return LineString(shapely.simplify(line, self._ground.grid.cell_m))

    @property
    def way_m(self) -> float:
        """Length of that way [m]."""
        return float(self.way.length)

    @property
    def depths_m(self) -> Floats:
        """Depths on the grid of the floor [m], rows along y from the south, columns along x; 0 where it is dry."""
        grid = self._ground.grid
        padded = np.zeros((grid.rows + 2) * (grid.columns + 2))
        padded[self._cells] = self._depths_m
        return padded.reshape(grid.rows + 2, grid.columns + 2)[1:-1, 1:-1]


@dataclass(frozen=True, slots=True)
class Trace:
    """What is remembered of a run: enough to tell what it did not get to.

    Parameters
    ----------
    tiles : (n,) array of int
        Tiles of the floor on which it got to any cell, see `ground.Ground.tiles_of`.
    lost_at_m3 : float
        What lay on the floor before the first left the map [m³]; infinite where nothing did.
    unknown, low : bool
        Whether it came beside what nobody knows to be tight or not, and beside what some film goes over.
    """

    tiles: Integers
    lost_at_m3: float
    unknown: bool
    low: bool


class FallingFloor:
    """A floor and how it falls, made ready for spills from many places.

    Parameters
    ----------
    floor : SpillFloor
        The floor.
    relief : Relief
        How it falls.
    """

    def __init__(self, floor: SpillFloor, relief: Relief) -> None:
        self.floor = floor
        self.relief = relief
        self._bed_m: Floats | None = None
        self._grounds: dict[bool, Ground] = {}
        self._rests: Kept[tuple[object, ...], Rest] = Kept(_KEPT_REST_BYTES, lambda rest: 24 * len(rest.cells) + 1000)
        self.traces: Kept[tuple[object, ...], Trace] = Kept(_KEPT_TRACE_BYTES, lambda one: 8 * len(one.tiles) + 1000)
        """Of runs over it, by film, tongue, reading, first cell and volume."""

    @property
    def kept_rests(self) -> Kept[tuple[object, ...], Rest]:
        """Runs that may be asked for again, as long as memory allows."""
        return self._rests

    def ground(self, *, cautious: bool) -> Ground:
        """Give its cells under one of the two readings of what is unknown.

        Parameters
        ----------
        cautious : bool
            True: what is not known to be tight lets liquid through. False: it stops it.

        Returns
        -------
        Ground
            Made once and kept.
        """
        flow = self.floor.flow(cautious=cautious)
        passing = flow is self.floor.passing
        if passing not in self._grounds:
            if self._bed_m is None:
                self._bed_m = bed_of(self.floor.grid, self.relief)
            self._grounds[passing] = ground_of(flow, self._bed_m)
        return self._grounds[passing]

    @cached_property
    def marked(self) -> tuple[Integers, Integers]:
        """Cells beside what nobody knows to be tight or not, and beside what some film goes over."""
        passing, holding = self.ground(cautious=True), self.ground(cautious=False)
        low = np.union1d(passing.cells_beside_low(), holding.cells_beside_low())
        return passing.cells_apart(holding), low

    @cached_property
    def _marks(self) -> NDArray[np.bool_]:
        found = np.zeros((2, len(self.ground(cautious=True).bed_m)), dtype=np.bool_)
        for marks, cells in zip(found, self.marked, strict=True):
            marks[cells] = True
        return found

    def trace_of(self, ground: Ground, rest: Rest) -> Trace:
        """Give what is remembered of a run.

        Parameters
        ----------
        ground : Ground
            The cells.
        rest : Rest
            The run.

        Returns
        -------
        Trace
        """
        unknown, low = (bool(marks[rest.cells].any()) for marks in self._marks)
        return Trace(
            ground.tiles_of(rest.cells), rest.lost_at_m3 if rest.lost_m3 > 0 else math.inf, unknown=unknown, low=low
        )


class Descents:
    """How liquid from one place runs down a falling floor.

    Parameters
    ----------
    falling : FallingFloor
        The floor.
    source : Point
        Where the liquid is let out [m]; moved at most 0.2 m where it lies on a barrier.

    Raises
    ------
    GeometryRefused
        If there is no free floor within 0.2 m of the source.

    Notes
    -----
    Quasi-static. The liquid first spreads round its source, nearest floor first, until the floor has fallen by the
    thickness of the liquid there, H = (3 ν Q / g)^(1/4): so far slope does not matter [1]_. Then it runs down the
    steepest way as a tongue and leaves a film of the resting depth behind. The steady tongue of a point source has the
    half-width Y = e·x^(3/7) [2]_, with the mean slope since the source. By the time the front gets there it is no wider
    than 1.01 (V / s)^(1/3), with V what has come so far [3]_, and it wets only where it is deeper than the film that
    rests; without these two the way of a small spill comes out too short by a third to a half beside the flow on a
    grid. Where side slopes rise by more than the tongue is deep it is narrower. In a hollow the liquid stands level,
    but nowhere thinner than the film, until it spills over the lowest lip and runs on.

    On parts that are level it spreads nearest floor first; as a slope goes to nothing the zone round the source takes
    up the whole spill and the level pool results, so that it falls short of that pool by no more than a cell.

    Limits: straight distances order what is wetted on level parts, so that it comes round a corner a little early. The
    edge of a pond lies short of the level shoreline by up to f² / (2 s² L), with film f, slope s and length L of the
    pond. What runs to an open edge of the map is gone, and does not run along it: ask for the level pool as well.

    References
    ----------
    .. [1] J. R. Lister, J. Fluid Mech. 242 (1992) 631, abstract: a point source spreads at first as on the level.
    .. [2] P. C. Smith, J. Fluid Mech. 58 (1973) 275, abstract: width as x^(3/7); the factor is derived from it.
    .. [3] Exponent after Lister; factor from two-dimensional runs of the project's own on two grids.
    """

    def __init__(self, falling: FallingFloor, source: Point) -> None:
        self.falling = falling
        self.source = falling.floor.free_place(source)

    def descent(
        self, volume_m3: float, film_m: float, running: Running, *, cautious: bool, drains: Drains = ()
    ) -> Descent:
        """Let a volume come to rest.

        Parameters
        ----------
        volume_m3 : float
            How much [m³]; 0 is a dry floor.
        film_m : float
            Depth of the film that rests on open floor [m].
        running : Running
            What runs and how fast.
        cautious : bool
            True: what is not known to be tight lets liquid through. False: it stops it.
        drains : sequence of (str, BaseGeometry)
            Open drains, which take everything that gets to them. Without them the pool is the one beside blocked or
            overrun drains, which reaches farthest.

        Returns
        -------
        Descent

        Raises
        ------
        GeometryRefused
            If a number is out of range.
        """
        ground = self.falling.ground(cautious=cautious)
        swallow = [ground.cells_touching(shape, film_m) for _, shape in drains]
        rest = (
            self._run(ground, volume_m3, film_m, running, swallow)
            if drains
            else self._rest(ground, volume_m3, film_m, running)
        )
        on_floor_m3 = math.fsum((rest.depths_m * ground.cell_m2).tolist())
        wet = rest.depths_m > 0
        return Descent(
            volume_m3=volume_m3,
            on_floor_m3=on_floor_m3,
            drained_m3=rest.left_m3 if rest.swallowed_by else 0.0,
            drain=drains[rest.swallowed_by - 1][0] if rest.swallowed_by else None,
            lost_m3=rest.lost_m3,
            area_m2=float(np.count_nonzero(wet)) * ground.cell_m2,
            depth_m=float(rest.depths_m.max(initial=0.0)),
            hollows=tuple(hollow_of(ground, row) for row in rest.ponds),
            _ground=ground,
            _film_m=film_m,
            _cells=rest.cells[wet],
            _depths_m=rest.depths_m[wet],
            _way=rest.way,
            _source=self.source,
        )

    def needed_m3(
        self,
        volume_m3: float,
        target: BaseGeometry,
        film_m: float,
        running: Running,
        *,
        cautious: bool,
        tolerance_m: float = 0.0,
    ) -> float | None:
        """Find how much lies on the floor before the liquid gets to a target.

        Parameters
        ----------
        volume_m3 : float
            How much is let out in all [m³].
        target : BaseGeometry
            Drain, door or footprint [m]. One more than 0.3 m off the mapped floor counts as reached where liquid runs
            off it.
        film_m, running, cautious : float, Running, bool
            As in `descent`.
        tolerance_m : float
            By how much the target may be nearer than recorded [m], round what stops liquid and not through it.

        Returns
        -------
        float or None
            Volume [m³]; None where this much does not get there.

        Raises
        ------
        GeometryRefused
            If a number is out of range or the target empty.
        """
        aim = aim_at(self.falling.floor.mapped, target, tolerance_m)
        ground = self.falling.ground(cautious=cautious)
        rest = self._rest(ground, volume_m3, film_m, running)
        if aim.target is None:
            return rest.lost_at_m3 if rest.lost_m3 > 0 else None
        return rest.needed_m3(ground.cells_touching(aim.target, film_m, widened_m=tolerance_m))

    def reaches(
        self,
        volume_m3: float,
        target: BaseGeometry,
        film_m: float,
        running: Running,
        *,
        cautious: bool,
        tolerance_m: float = 0.0,
    ) -> bool:
        """Whether a volume gets to a target.

        Parameters
        ----------
        volume_m3 : float
            How much is let out [m³].
        target : BaseGeometry
            As in `needed_m3` [m].
        film_m, running, cautious : float, Running, bool
            As in `descent`.
        tolerance_m : float
            As in `needed_m3` [m].

        Returns
        -------
        bool

        Raises
        ------
        GeometryRefused
            If a number is out of range or the target empty.
        """
        needed = self.needed_m3(volume_m3, target, film_m, running, cautious=cautious, tolerance_m=tolerance_m)
        return needed is not None

    def reaches_within(
        self,
        volume_m3: float,
        target: BaseGeometry,
        thin_m: float,
        thick_m: float,
        running: Running,
        *,
        cautious: bool,
        tolerance_m: float = 0.0,
    ) -> bool:
        """Whether a volume gets to a target with any film of a range.

        Parameters
        ----------
        volume_m3 : float
            How much is let out [m³].
        target : BaseGeometry
            As in `needed_m3` [m].
        thin_m, thick_m : float
            Ends of the range [m].
        running, cautious : Running, bool
            As in `descent`.
        tolerance_m : float
            As in `needed_m3` [m].

        Returns
        -------
        bool

        Raises
        ------
        GeometryRefused
            If a number is out of range, the ends are the wrong way round, or the target is empty.

        Notes
        -----
        The thin end and every lip height in the range are tried: a film as deep as a lip goes over it.
        """
        if thin_m > thick_m:
            raise GeometryRefused(f"film range: expected the thin end first, found {thin_m} to {thick_m} m")
        steps = self.falling.floor.flow(cautious=cautious).steps_m
        return any(
            self.reaches(volume_m3, target, film_m, running, cautious=cautious, tolerance_m=tolerance_m)
            for film_m in (thin_m, *(step for step in steps if thin_m < step <= thick_m))
        )

    def litres_to(
        self, volume_m3: float, target: BaseGeometry, film_m: float, running: Running, *, cautious: bool
    ) -> float:
        """Find the most that gets to a target.

        Parameters
        ----------
        volume_m3 : float
            How much is let out [m³].
        target : BaseGeometry
            As in `needed_m3` [m].
        film_m, running, cautious : float, Running, bool
            As in `descent`.

        Returns
        -------
        float
            In litres; 0 where it does not get there. An upper bound: what does not lie on the way to it.

        Raises
        ------
        GeometryRefused
            If a number is out of range or the target empty.
        """
        needed = self.needed_m3(volume_m3, target, film_m, running, cautious=cautious)
        return 0.0 if needed is None else max(volume_m3 - needed, 0.0) * 1000

    def critical_depth_m(
        self,
        volume_m3: float,
        target: BaseGeometry,
        running: Running,
        *,
        cautious: bool,
        tolerance_m: float = 0.0,
        from_m: float = 0.0,
        short_m: float = math.inf,
    ) -> float | None:
        """Find the deepest film with which a volume just reaches a target.

        Parameters
        ----------
        volume_m3 : float
            How much is let out [m³].
        target : BaseGeometry
            As in `needed_m3` [m].
        running, cautious : Running, bool
            As in `descent`.
        tolerance_m : float
            As in `needed_m3` [m].
        from_m : float
            Films thinner than this are not tried [m].
        short_m : float
            A film that is known not to get there [m].

        Returns
        -------
        float or None
            In metres, to one part in a hundred: with a film a trifle thinner the volume gets there, and with none
            that is deeper. A film thinner still may be stopped by a lip that this one goes over. Infinite where the
            target lies at the source. None where no film of a micrometre or more, nor as deep as asked, gets there.

        Raises
        ------
        GeometryRefused
            If a number is out of range or the target empty.
        """
        ground = self.falling.ground(cautious=cautious)
        aim = aim_at(self.falling.floor.mapped, target, tolerance_m)

        def contact_m3(film_m: float) -> float | None:
            if aim.target is None:
                rest = self._run(ground, volume_m3, film_m, running, ())
                return rest.lost_at_m3 if rest.lost_m3 > 0 else None
            cells = ground.cells_touching(aim.target, film_m, widened_m=tolerance_m)
            rest = self._run(ground, volume_m3, film_m, running, [cells])
            return volume_m3 - rest.left_m3 if rest.swallowed_by else None

        steps = ground.flow.steps_m
        best: float | None = None
        for low_m, high_m in zip(steps, (*steps[1:], math.inf), strict=True):
            most_m = min(high_m, volume_m3 / ground.cell_m2)
            least_m = max(low_m, from_m, _THINNEST_M)
            needed_m3 = contact_m3(least_m) if least_m < most_m else None
            if needed_m3 is None:
                continue
            most_m = short_m if least_m < short_m < most_m else most_m
            through = most_m != short_m and contact_m3(math.nextafter(most_m, 0.0)) is not None
            best = high_m if through else _just_m(contact_m3, volume_m3, least_m, most_m, needed_m3)
        return best

    def _rest(self, ground: Ground, volume_m3: float, film_m: float, running: Running) -> Rest:
        """Give a run without drains, kept for the next target."""
        key = (self.source.x, self.source.y, ground.flow is self.falling.floor.passing, volume_m3, film_m, running)
        kept = self.falling.kept_rests.get(key)
        return (
            self.falling.kept_rests.put(key, self._run(ground, volume_m3, film_m, running, ()))
            if kept is None
            else kept
        )

    def _run(self, ground: Ground, volume_m3: float, film_m: float, running: Running, ends: Sequence[Integers]) -> Rest:
        checked_run(volume_m3, film_m, running)
        return run_to_rest(ground, ground.cell_of(self.source, film_m), volume_m3, film_m, running, ends)


def hollow_of(ground: Ground, row: Floats) -> Hollow:
    """Put a row that the compiled code wrote into words.

    Parameters
    ----------
    ground : Ground
        The cells.
    row : (5,) array
        Lowest cell, level [m], volume [m³], the cell inside the lip and the one beyond it (-1: it does not spill over).

    Returns
    -------
    Hollow
    """
    pit, level_m, volume_m3, inside, beyond = row.tolist()
    over = int(beyond) >= 0
    return Hollow(
        at=Point(*ground.centres(np.array([int(pit)]))[0]),
        level_m=level_m,
        depth_m=level_m - float(ground.bed_m[int(pit)]),
        volume_m3=volume_m3,
        lip_at=Point(*ground.centres(np.array([int(inside)]))[0]) if over else None,
        off_map=over and not ground.on_map[int(beyond)],
    )


def _just_m(
    contact_m3: Callable[[float], float | None], volume_m3: float, low_m: float, high_m: float, needed_m3: float
) -> float:
    """Find the depth at which a volume is just enough, between one at which it is and one at which it is not.

    What is needed grows with the film, in proportion where nothing but film lies on the way, so that the depth at which
    it would come to the volume is tried on either side, and the middle where that does not help.
    """
    before_m, before_m3 = 0.0, 0.0
    while high_m > low_m * (1 + _DEPTH_TOLERANCE):
        apart = high_m / low_m
        rise = (needed_m3 - before_m3) / (low_m - before_m)
        guess_m = low_m + (volume_m3 - needed_m3) / rise if rise > 0 else high_m
        known = low_m, needed_m3
        for share in (-1 / 3, 1 / 3, None):
            film_m = math.sqrt(low_m * high_m) if share is None else guess_m * (1 + share * _DEPTH_TOLERANCE)
            if not low_m < film_m < high_m or (share is None and (high_m / low_m) ** 2 < apart):
                continue
            found = contact_m3(film_m)
            low_m, needed_m3, high_m = (low_m, needed_m3, film_m) if found is None else (film_m, found, high_m)
        before_m, before_m3 = known if low_m > known[0] else (before_m, before_m3)
    return low_m
