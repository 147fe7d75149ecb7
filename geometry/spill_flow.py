"""When a spill gets where: a thin film that flows over the floor from a leak, with friction, barriers and drains."""

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from typing import Protocol

import numpy as np
from numpy.typing import ArrayLike, NDArray
from shapely import LineString, MultiPolygon, Point
from shapely.geometry.base import BaseGeometry

from geometry.constants import CELL_M
from geometry.errors import GeometryRefused
from geometry.floor import SpillFloor
from geometry.flow_cells import PAD, FlowCells, barriers_of
from geometry.raster import Grid, grid_over
from geometry.shapes import checked_shape
from geometry.similarity import MANNING_CONCRETE, inertial_radius_m, inertial_time_s, inertial_viscous_crossing
from geometry.wet_shapes import WetShapes

Floats = NDArray[np.float64]

SOURCE_RADIUS_M = 0.15
"""Radius over which a leak meets the floor: a jet splashes; about that of the film's inertial zone (judgement)."""

SUDDEN_RADIUS_M = 0.286
"""Radius of the cylinder of liquid that a burst 55 gallon drum leaves standing: inside diameter 22.5 in. Source: ORNL
specification 101-1A1-0005."""

SAMPLES = 200
"""Rows of the hydrographs."""

_AT_REST_M_S = 1e-3 / 600  # a front slower than a millimetre in ten minutes stands
_LEAK_ROWS = 2048
_CELLS_PER_CALL = 4_000_000  # so that progress is told, and a run can be given up, several times a second
_LEAST_WET_M = 1e-5


class FlowCancelled(Exception):
    """A run was given up because the one who watches it said so."""


class LeakOverTime(Protocol):
    """What the flow asks of a leak; `geometry.leak.Leak` is one."""

    @property
    def leaves_m3(self) -> float:
        """What leaves in all [m³]."""

    @property
    def stop_s(self) -> float:
        """When the leak is over [s]; 0 where everything comes out at once."""

    def out_m3(self, t_s: ArrayLike) -> Floats:
        """Find what has left by given times.

        Parameters
        ----------
        t_s : array_like
            Times since the start [s].

        Returns
        -------
        array of the same shape
            Volumes [m³].
        """


@dataclass(frozen=True, slots=True, eq=False)
class FlowCase:
    """One leak on one floor.

    Parameters
    ----------
    floor : SpillFloor
        The floor.
    source : Point
        Where the liquid is let out [m]; moved at most 0.2 m where it lies on a barrier.
    leak : LeakOverTime
        What comes out by when.
    viscosity_m2_s : float
        Kinematic viscosity of the liquid [m²/s].
    film_m : float
        Depth at which liquid rests on open floor and which it leaves behind [m]; 0 is a liquid that never rests.
    cautious : bool
        True: what is not known to be tight lets liquid through. False: it stops it.
    cell_m : float
        Side of a grid cell [m].
    relief : (rows, columns) array, optional
        Height of the bed [m] in the cells of `flow_grid(floor, cell_m)`; level where it is left out.
    drains : tuple of (str, BaseGeometry)
        Open drains, which swallow what comes over them: name and place [m]. A covered drain is left out.
    dams : tuple of LineString
        Temporary dams [m], tight and high.
    until_s : float
        How long to watch [s].
    manning : float
        Roughness of the bed [s/m^(1/3)] in Manning's law; 0 takes the laminar law everywhere.
    source_radius_m : float, optional
        Radius over which the liquid meets the floor [m]. Left out: 0.15 m and at least a cell for a leak; for a sudden
        loss as far as its own inertia carries it, from the radius of a drum and at the time that this takes.
    """

    floor: SpillFloor
    source: Point
    leak: LeakOverTime
    viscosity_m2_s: float
    film_m: float
    cautious: bool
    cell_m: float = CELL_M
    relief: Floats | None = None
    drains: tuple[tuple[str, BaseGeometry], ...] = ()
    dams: tuple[LineString, ...] = ()
    until_s: float = 600.0
    manning: float = MANNING_CONCRETE
    source_radius_m: float | None = None


@dataclass(frozen=True, slots=True)
class Arrival:
    """When liquid gets to a place: not before `earliest_s`, and at `expected_s` by the film law [s]."""

    earliest_s: float
    expected_s: float


@dataclass(frozen=True, eq=False)
class FlowResult:
    """Where the liquid of a leak was by when.

    Parameters
    ----------
    grid : Grid
        The cells.
    arrival_s : (rows, columns) array
        When each cell became wet [s]; infinite where it stayed dry.
    depth_m : (rows, columns) array
        Depth at the end [m].
    time_s : (n,) array
        Times of the hydrographs [s].
    drained_m3 : dict of str to (n,) array
        What each drain had swallowed by then [m³].
    lost_by_m3, out_by_m3 : (n,) arrays
        What had left the mapped floor and the drum by then [m³].
    first_s : dict of str to float or None
        When liquid first came to each drain [s]; None where it did not.
    on_floor_m3, lost_m3, in_drum_m3 : float
        What lies on the mapped floor at the end, has left it, and may still leave the drum [m³].
    volume_error : float
        What is missing from the balance of floor, drains, loss and drum, as a share of all that leaves the drum.
    rest_s : float or None
        When everything had come to rest [s]; None where it still flows.
    end_s : float
        When the run ended [s].
    steps, cell_updates : int
        Steps made, and cells swept in them.
    """

    grid: Grid
    arrival_s: Floats
    depth_m: Floats
    time_s: Floats
    drained_m3: dict[str, Floats]
    lost_by_m3: Floats
    out_by_m3: Floats
    first_s: dict[str, float | None]
    on_floor_m3: float
    lost_m3: float
    in_drum_m3: float
    volume_error: float
    rest_s: float | None
    end_s: float
    steps: int
    cell_updates: int
    _floor_cells: FlowCells = field(repr=False)
    _source: Point = field(repr=False)
    _sudden_m3: float = field(repr=False)

    @cached_property
    def _shapes(self) -> WetShapes:
        return WetShapes(self.grid, self._floor_cells.barriers, np.isfinite(self.arrival_s))

    def wet(self, t_s: float) -> MultiPolygon:
        """Find what had become wet by a time.

        Parameters
        ----------
        t_s : float
            Time since the leak began [s].

        Returns
        -------
        MultiPolygon
            Cells, cut off at barriers [m]; empty where nothing was wet.

        Raises
        ------
        GeometryRefused
            If the time is negative or no number.
        """
        if not t_s >= 0:
            raise GeometryRefused(f"time of a wet area: expected 0 s or more, found {t_s}")
        return self._shapes.shape((self.arrival_s <= t_s) & np.isfinite(self.arrival_s))

    def isochrones(self, times_s: Sequence[float]) -> list[tuple[float, MultiPolygon]]:
        """Find what had become wet by each of some times.

        Parameters
        ----------
        times_s : sequence of float
            Times since the leak began [s].

        Returns
        -------
        list of (float, MultiPolygon)
            Each time with its wet area [m]; a later one holds every earlier one.

        Raises
        ------
        GeometryRefused
            If a time is negative or no number.
        """
        return [(time, self.wet(time)) for time in times_s]

    def arrival_at(self, shape: BaseGeometry) -> float | None:
        """Find when liquid first came to a place.

        Parameters
        ----------
        shape : BaseGeometry
            Point, line or area [m].

        Returns
        -------
        float or None
            Time since the leak began [s]; None where it did not come within the run.

        Raises
        ------
        GeometryRefused
            If the shape is empty or not finite.
        """
        cells = self._floor_cells.cells_of(checked_shape(shape, name="place"))
        first = float(np.min(self.arrival_s[cells[:, 0] - PAD, cells[:, 1] - PAD], initial=math.inf))
        return first if math.isfinite(first) else None

    def arrival_between(self, shape: BaseGeometry) -> Arrival | None:
        """Find when liquid first came to a place, and when it may have come at the earliest.

        Parameters
        ----------
        shape : BaseGeometry
            Point, line or area [m].

        Returns
        -------
        Arrival or None
            None where it did not come within the run.

        Raises
        ------
        GeometryRefused
            If the shape is empty or not finite.

        Notes
        -----
        After a sudden loss the liquid's own momentum may carry it faster than the film law, which knows none; the
        inertial law r² = R² + t·√(8·g·V / π) is then the lower bound on time, along the straight line. A leak has no
        such bound: both ends are the same.
        """
        expected = self.arrival_at(shape)
        if expected is None:
            return None
        return Arrival(min(self.inertial_s(shape), expected), expected)

    def inertial_s(self, shape: BaseGeometry) -> float:
        """Find before when no liquid of a sudden loss comes to a place.

        Parameters
        ----------
        shape : BaseGeometry
            Point, line or area [m].

        Returns
        -------
        float
            Time by the inertial law [s]; infinite where the loss was not sudden.
        """
        if self._sudden_m3 == 0:
            return math.inf
        away_m = max(self._source.distance(checked_shape(shape, name="place")), SUDDEN_RADIUS_M)
        return float(inertial_time_s(away_m, self._sudden_m3, SUDDEN_RADIUS_M))


def flow_grid(floor: SpillFloor, cell_m: float = CELL_M) -> Grid:
    """Give the grid on which a flow over a floor is worked out.

    Parameters
    ----------
    floor : SpillFloor
        The floor.
    cell_m : float
        Side of a cell [m].

    Returns
    -------
    Grid
        The floor's own where the cell is the same.

    Raises
    ------
    GeometryRefused
        If the cell is not above zero, or the floor too large for it.
    """
    return floor.grid if cell_m == floor.grid.cell_m else grid_over(floor.mapped, cell_m)


def run_flow(case: FlowCase, *, on_progress: Callable[[float], bool] | None = None) -> FlowResult:
    """Let a leak flow over a floor.

    Parameters
    ----------
    case : FlowCase
        Leak, liquid and floor.
    on_progress : callable, optional
        Told the share of the time that is done, several times a second; returns whether to go on.

    Returns
    -------
    FlowResult

    Raises
    ------
    GeometryRefused
        If a number is out of range or not finite, the leak lets nothing out, there is no free floor within 0.2 m of
        the source, the relief has another size than the grid, or the floor is too large for the grid.
    FlowCancelled
        If `on_progress` returned False.

    Notes
    -----
    Depth-averaged film in the local-inertial form: no momentum is carried along, friction is the larger of the laminar
    law 3·ν·q / h³ and Manning's. A cell keeps `film_m` and gives only what lies above it; so on a level floor the
    liquid comes to rest at that depth. Surface tension enters by `film_m` alone: rivulets run narrower and faster, so
    arrivals are the middle of a range. Nothing evaporates or soaks in.

    A sudden loss collapses within seconds, faster than any film law; until friction takes over (or the resting film, if
    that comes first) it is a disc that grows by the inertial law r² = R² + t·√(8·g·V / π), as far as nothing stands in
    its way. That law is a lower bound on time. A surge over a kerb is not followed.

    References
    ----------
    .. [1] Bates, Horritt and Fewtrell, J. Hydrol. 387 (2010) 33: local-inertial form (abstract read).
    .. [2] Huppert, J. Fluid Mech. 121 (1982) 43: the viscous limit it is held against (abstract read).
    """
    return _Run(case).result(on_progress)


class _Run:
    """The arrays of one run, padded, and what drives the kernel over them."""

    def __init__(self, case: FlowCase) -> None:
        _checked(case)
        self.case = case
        self.source = case.floor.free_place(case.source)
        grid = flow_grid(case.floor, case.cell_m)
        flow = case.floor.flow(cautious=case.cautious)
        self.floor_cells = FlowCells(grid, case.floor.mapped, barriers_of(flow.stretches, case.dams))
        rows, columns = grid.rows + 2 * PAD, grid.columns + 2 * PAD
        self.cells = np.zeros((9, rows, columns))
        self.cells[2], self.cells[3] = self.floor_cells.crest_x, self.floor_cells.crest_y
        self.arrival_s = np.full((rows, columns), math.inf)
        if case.relief is not None:
            self._lay_bed(case.relief)
        self.sinks = self._sinks()
        # Nothing holds the film back at the edge of a drain.
        self.cells[1][self.sinks[:, 0], self.sinks[:, 1]] -= case.film_m
        self.taken_m3 = np.zeros(len(case.drains) + 1)
        self.first_s = np.full(len(case.drains) + 1, math.inf)
        self.sudden = case.leak.stop_s <= 0
        self.radius_m, self.start_s = _collapsed(case) if self.sudden else (max(SOURCE_RADIUS_M, case.cell_m), 0.0)
        if case.source_radius_m is not None:
            self.radius_m, self.start_s = case.source_radius_m, 0.0
        self.sources, self.weights = self.floor_cells.disc_of(self.source, self.radius_m)
        last_s = min(case.leak.stop_s, case.until_s)
        self.leak_s = np.linspace(0.0, last_s, _LEAK_ROWS) if last_s > 0 else np.array([0.0, 1.0])
        self.leak_m3 = np.asarray(case.leak.out_m3(self.leak_s), dtype=np.float64)
        self.clock = np.array([self.start_s, self.leak_m3[0], 0.0])
        self.wet = np.zeros((rows, 2), dtype=np.int64)
        self.wet[:, 0] = columns
        self.span = np.ones((rows, 2), dtype=np.int64)
        self.band = np.array([rows, 0])
        self.steps = self.updates = 0
        self._start()

    def _lay_bed(self, relief: Floats) -> None:
        inside = self.floor_cells.inside
        if not np.isfinite(relief[inside[PAD:-PAD, PAD:-PAD]]).all():
            raise GeometryRefused("relief: expected finite heights on the mapped floor, found others")
        bed = self.cells[1]
        bed[:] = np.where(inside, np.pad(relief, PAD), math.inf)
        # Off the map the bed is as high as at the lowest place beside it.
        around = np.full(bed.shape, math.inf)
        around[1:] = np.minimum(around[1:], bed[:-1])
        around[:-1] = np.minimum(around[:-1], bed[1:])
        around[:, 1:] = np.minimum(around[:, 1:], bed[:, :-1])
        around[:, :-1] = np.minimum(around[:, :-1], bed[:, 1:])
        bed[~inside] = np.where(np.isfinite(around[~inside]), around[~inside], 0.0)

    def _sinks(self) -> NDArray[np.int64]:
        """Cells that swallow, with the number of their drain; 0 is off the map."""
        found = {(int(row), int(column)): 0 for row, column in self.floor_cells.edge}
        for number, (_, shape) in enumerate(self.case.drains, start=1):
            for row, column in self.floor_cells.cells_of(shape).tolist():
                found.setdefault((row, column), number)
        return np.array([(*cell, number) for cell, number in sorted(found.items())], dtype=np.int64).reshape(-1, 3)

    def _start(self) -> None:
        """Lay what is out at the start, and mark the cells of the source as wet."""
        rows, columns = self.sources.T
        depth_m = self.weights * self.leak_m3[0] / self.case.cell_m**2
        self.cells[0][rows, columns] = self.cells[8][rows, columns] = depth_m
        np.minimum.at(self.wet[:, 0], rows, columns)
        np.maximum.at(self.wet[:, 1], rows, columns + 1)
        if self.start_s > 0:
            inside = depth_m >= depth_m.max() / 2
            self.arrival_s[rows[inside], columns[inside]] = self._inertial_s(rows[inside], columns[inside])
        for row, column, drain in self.sinks.tolist():
            if self.cells[0, row, column] > 0:
                self.taken_m3[drain] += self.cells[0, row, column] * self.case.cell_m**2
                self.first_s[drain] = min(self.first_s[drain], self.arrival_s[row, column], self.start_s)
                self.cells[0, row, column] = self.cells[8, row, column] = 0.0
        self.band[:] = rows.min(), rows.max() + 1
        self.span[self.band[0] : self.band[1]] = self.wet[self.band[0] : self.band[1]]

    def _inertial_s(self, rows: NDArray[np.int64], columns: NDArray[np.int64]) -> Floats:
        """When the collapse of a sudden loss comes to cells."""
        grid = self.floor_cells.grid
        x = grid.west_m + (columns - PAD + 0.5) * grid.cell_m - self.source.x
        y = grid.south_m + (rows - PAD + 0.5) * grid.cell_m - self.source.y
        times = inertial_time_s(np.hypot(x, y), self.case.leak.leaves_m3, SUDDEN_RADIUS_M)
        return np.minimum(times, self.start_s)

    def result(self, on_progress: Callable[[float], bool] | None) -> FlowResult:
        case = self.case
        times, taken, out = [0.0], [self.taken_m3.copy()], [float(self.clock[1])]
        rest_s = None
        for sample in range(1, SAMPLES + 1):
            if sample * case.until_s / SAMPLES <= self.start_s < case.until_s:
                continue
            self._advance(sample * case.until_s / SAMPLES, on_progress)
            times.append(float(self.clock[0]))
            taken.append(self.taken_m3.copy())
            out.append(float(self.clock[1]))
            if self.clock[0] >= case.leak.stop_s and self.clock[2] <= case.film_m * _AT_REST_M_S:
                rest_s = float(self.clock[0])
                break
        drained = np.array(taken).T
        inside = np.where(self.floor_cells.inside, self.cells[0], 0.0)[PAD:-PAD, PAD:-PAD]
        on_floor = math.fsum(inside[inside != 0].tolist()) * case.cell_m**2
        total = case.leak.leaves_m3
        in_drum = total - out[-1]
        known = [on_floor, in_drum, *self.taken_m3.tolist()]
        return FlowResult(
            grid=self.floor_cells.grid,
            arrival_s=np.where(self.floor_cells.inside, self.arrival_s, math.inf)[PAD:-PAD, PAD:-PAD],
            depth_m=inside,
            time_s=np.array(times),
            drained_m3={name: drained[number] for number, (name, _) in enumerate(case.drains, start=1)},
            lost_by_m3=drained[0],
            out_by_m3=np.array(out),
            first_s={
                name: float(self.first_s[number]) if math.isfinite(self.first_s[number]) else None
                for number, (name, _) in enumerate(case.drains, start=1)
            },
            on_floor_m3=on_floor,
            lost_m3=float(self.taken_m3[0]),
            in_drum_m3=in_drum,
            volume_error=abs(math.fsum([*known, -total])) / total,
            rest_s=rest_s,
            end_s=times[-1],
            steps=self.steps,
            cell_updates=self.updates,
            _floor_cells=self.floor_cells,
            _source=self.source,
            _sudden_m3=total if self.sudden else 0.0,
        )

    def _advance(self, stop_s: float, on_progress: Callable[[float], bool] | None) -> None:
        from geometry.kernels.flow import advance  # noqa: PLC0415 - compiled code is loaded where computing begins

        case = self.case
        while self.clock[0] < stop_s:
            swept = max(int((self.span[:, 1] - self.span[:, 0]).sum()), 1)
            steps, updates = advance(
                self.cells,
                self.arrival_s,
                self.wet,
                self.span,
                self.band,
                self.sinks,
                self.taken_m3,
                self.first_s,
                self.sources,
                self.weights,
                self.leak_s,
                self.leak_m3,
                self.clock,
                stop_s,
                max(_CELLS_PER_CALL // swept, 1),
                case.cell_m,
                case.viscosity_m2_s,
                case.film_m,
                max(case.film_m / 2, _LEAST_WET_M),
                case.manning,
                case.relief is None,
            )
            self.steps += steps
            self.updates += updates
            if on_progress is not None and not on_progress(float(self.clock[0]) / case.until_s):
                raise FlowCancelled(f"flow given up at {self.clock[0]:.0f} s of {case.until_s:.0f} s")


def _collapsed(case: FlowCase) -> tuple[float, float]:
    """Radius to which a sudden loss has run by its inertia when friction or the resting film takes over, and when."""
    volume = case.leak.leaves_m3
    crossing = inertial_viscous_crossing(volume, SUDDEN_RADIUS_M, case.viscosity_m2_s)
    radius = min(crossing.radius_m, float(inertial_radius_m(case.until_s, volume, SUDDEN_RADIUS_M)))
    if case.film_m > 0:
        radius = min(radius, math.sqrt(volume / (math.pi * case.film_m)))
    radius = max(radius, SUDDEN_RADIUS_M)
    time_s = float(inertial_time_s(radius, volume, SUDDEN_RADIUS_M))
    return radius, case.until_s if math.isclose(time_s, case.until_s) else time_s


def _checked(case: FlowCase) -> None:
    for name, value, least, unit in (
        ("viscosity", case.viscosity_m2_s, math.ulp(0.0), "m²/s"),
        ("film depth", case.film_m, 0.0, "m"),
        ("time to watch", case.until_s, math.ulp(0.0), "s"),
        ("roughness", case.manning, 0.0, "s/m^(1/3)"),
        (
            "radius of the source",
            SOURCE_RADIUS_M if case.source_radius_m is None else case.source_radius_m,
            math.ulp(0.0),
            "m",
        ),
        ("volume that leaks", case.leak.leaves_m3, math.ulp(0.0), "m³"),
    ):
        if not math.isfinite(value) or value < least:
            bound = "more than 0" if least > 0 else "0 or more"
            raise GeometryRefused(f"{name}: expected {bound} {unit}, found {value}")
    checked_shape(case.source, name="source")
    for name, shape in case.drains:
        checked_shape(shape, name=name)
    for dam in case.dams:
        checked_shape(dam, name="dam")
    names = [name for name, _ in case.drains]
    if len(set(names)) < len(names):
        raise GeometryRefused(f"drains: expected each name once, found {', '.join(names)}")
    if case.relief is not None:
        grid = flow_grid(case.floor, case.cell_m)
        if case.relief.shape != (grid.rows, grid.columns):
            raise GeometryRefused(f"relief: expected {grid.rows} × {grid.columns} cells, found {case.relief.shape}")
