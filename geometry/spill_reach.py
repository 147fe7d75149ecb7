"""Where a spill ends on a level floor: its pool, and whether and how it gets to a drain, a door or another pallet."""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

import numpy as np
from shapely import MultiPolygon, Point, Polygon
from shapely.geometry.base import BaseGeometry

from geometry.arrival import Aim, aim_at, may_leave_m3, needed_m3, reached
from geometry.errors import GeometryRefused
from geometry.fill import settle
from geometry.floor import SpillFloor
from geometry.layout import Layout, Origin, areas_of, joined
from geometry.raster import Mask

_AREA_TOLERANCE = 1e-3  # how well the shape of a pool matches volume over depth
_ROUNDS = 40  # trials until a radius is found; three or four are usual


@dataclass(frozen=True, slots=True)
class Pool:
    """A spill at rest.

    Parameters
    ----------
    shape : Polygon or MultiPolygon
        What is wet [m]; ends at everything that stops it.
    area_m2 : float
        Wet area [m²].
    depth_m : float
        Deepest resting depth [m]: the film, or the level in a compartment that is covered all over.
    volume_m3 : float
        What was spilt [m³]; always `on_floor_m3` and `lost_m3` together.
    on_floor_m3 : float
        What lies on the mapped floor [m³].
    lost_m3 : float
        What no mapped floor takes, since everything before a way off the map is covered [m³].
    off_map_m3 : float
        The most that may leave the mapped floor [m³]: everything that is not needed to cover the floor nearer than
        the nearest way off the map. Never less than `lost_m3`. Reach and `on_floor_m3` do not count on this loss.
    """

    shape: Polygon | MultiPolygon
    area_m2: float
    depth_m: float
    volume_m3: float
    on_floor_m3: float
    lost_m3: float
    off_map_m3: float
    _layout: Layout = field(repr=False, compare=False)
    _covered: frozenset[int] = field(repr=False, compare=False)
    _fronts: tuple[tuple[Origin, float], ...] = field(repr=False, compare=False)

    @property
    def wet(self) -> Mask:
        """Wet cells of `SpillFloor.grid`, rows along y from the south, columns along x."""
        found = np.isin(self._layout.compartment_of, sorted(self._covered))
        for origin, radius_m in self._fronts:
            distance, (top, past_row, left, past_column) = origin.field(radius_m)
            found[top:past_row, left:past_column] |= distance <= radius_m
        return found


class Spread:
    """How liquid from one place spreads, under both readings of what is unknown.

    Parameters
    ----------
    floor : SpillFloor
        The floor.
    source : Point
        Where the liquid is let out [m]; moved at most 0.2 m where it lies on a barrier.

    Attributes
    ----------
    source : Point
        Where it was let out in fact [m].
    moved_m : float
        How far it was moved [m].
    """

    def __init__(self, floor: SpillFloor, source: Point) -> None:
        self.floor = floor
        self.source = floor.free_place(source)
        self.moved_m = self.source.distance(source)

    def pool(self, volume_m3: float, depth_m: float, *, cautious: bool) -> Pool:
        """Let a volume come to rest.

        Parameters
        ----------
        volume_m3 : float
            How much [m³]; 0 is a dry floor.
        depth_m : float
            Depth at which it rests on open floor [m].
        cautious : bool
            True: what is not known to be tight lets liquid through. False: it stops it.

        Returns
        -------
        Pool

        Raises
        ------
        GeometryRefused
            If the volume is negative, the depth not above zero, or either is not finite.

        Notes
        -----
        Equal depth, nearest floor first, distances along the floor; a barrier not higher than the film does not stop
        it. A compartment that is covered all over fills to its lowest outlet and spills on (see `fill.settle`). Drains
        take nothing: the pool is the one beside a blocked or overrun drain, which reaches farthest.
        """
        _checked_spill(volume_m3, depth_m)
        layout, origin = self._at(depth_m, cautious=cautious)
        if volume_m3 == 0:
            return Pool(Polygon(), 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, layout, frozenset(), ())
        settled = settle(layout, origin, volume_m3, depth_m)
        shapes: list[BaseGeometry] = []
        fronts = []
        area_m2 = 0.0
        for sheet in settled.covered:
            shapes.extend(layout.compartments[member] for member in sorted(sheet.members))
            area_m2 += sheet.area_m2
        for front, lying_m3 in settled.fronts:
            shape, radius_m = _front(front, lying_m3 / depth_m)
            shapes.append(shape)
            fronts.append((front, radius_m))
            area_m2 += lying_m3 / depth_m
        return Pool(
            shape=areas_of(shapes[0] if len(shapes) == 1 else joined(shapes)),
            area_m2=area_m2,
            depth_m=max([sheet.level_m for sheet in settled.covered] + [depth_m] * bool(settled.fronts)),
            volume_m3=volume_m3,
            on_floor_m3=math.fsum(
                [sheet.area_m2 * sheet.level_m for sheet in settled.covered] + [lying for _, lying in settled.fronts]
            ),
            lost_m3=settled.lost_m3,
            off_map_m3=may_leave_m3(layout, settled, origin, volume_m3, depth_m),
            _layout=layout,
            _covered=frozenset(member for sheet in settled.covered for member in sheet.members),
            _fronts=tuple(fronts),
        )

    def distance_m(self, target: BaseGeometry, *, cautious: bool) -> float | None:
        """Exact length along the floor to a target; every barrier with any height counts as in the way.

        Parameters
        ----------
        target : BaseGeometry
            Drain, door or footprint [m].
        cautious : bool
            True: what is not known to be tight lets liquid through. False: it stops it.

        Returns
        -------
        float or None
            In metres; None where there is no way. To the nearest way off the map where the target lies off it.

        Raises
        ------
        GeometryRefused
            If the target is empty or not finite.
        """
        return aim_at(self.floor.mapped, target).distance_m(self.floor.origin(self.source, cautious=cautious))

    def critical_depth_m(
        self, volume_m3: float, target: BaseGeometry, *, cautious: bool, tolerance_m: float = 0.0
    ) -> float | None:
        """Find the film depth at which a volume just reaches a target.

        Parameters
        ----------
        volume_m3 : float
            How much is let out [m³].
        target : BaseGeometry
            Drain, door or footprint [m].
        cautious : bool
            True: what is not known to be tight lets liquid through. False: it stops it.
        tolerance_m : float
            By how much the target may be nearer along the floor than its recorded position says [m]. Use this and not
            a widened target, which would reach through walls.

        Returns
        -------
        float or None
            In metres: at every film thinner than this the volume gets there. Infinite where the target lies at the
            source. None where thin films do not get there: cut off by something tight, or by a lip that this volume
            does not rise over. A target more than 0.3 m off the mapped floor counts as reached where liquid leaves it.

        Raises
        ------
        GeometryRefused
            If the volume or tolerance is negative or not finite, or the target empty.

        Notes
        -----
        Without lips in between this is the volume over the floor area that lies nearer than the target. Where a lip
        holds thin films back, a film as deep as the lip still goes over it; a verdict over a range of films therefore
        asks `reaches_within`, not this number alone.
        """
        _checked_spill(volume_m3, 1.0)
        aim = aim_at(self.floor.mapped, target, tolerance_m)
        flow = self.floor.flow(cautious=cautious)
        best: float | None = None
        for step, low in enumerate(flow.steps_m):
            high = flow.steps_m[step + 1] if step + 1 < len(flow.steps_m) else math.inf
            found = self._critical_on_step(step, low, high, volume_m3, aim, cautious=cautious)
            best = best if found is None else found
            if found is None or found < high:
                break
        return best

    def reaches(
        self, volume_m3: float, target: BaseGeometry, depth_m: float, *, cautious: bool, tolerance_m: float = 0.0
    ) -> bool:
        """Whether a volume gets to a target with a film of one depth.

        Parameters
        ----------
        volume_m3 : float
            How much is let out [m³].
        target : BaseGeometry
            Drain, door or footprint [m].
        depth_m : float
            Depth at which it rests on open floor [m].
        cautious : bool
            True: what is not known to be tight lets liquid through. False: it stops it.
        tolerance_m : float
            As in `critical_depth_m` [m].

        Returns
        -------
        bool

        Raises
        ------
        GeometryRefused
            If a number is out of range or the target empty.
        """
        _checked_spill(volume_m3, depth_m)
        aim = aim_at(self.floor.mapped, target, tolerance_m)
        layout, origin = self._at(depth_m, cautious=cautious)
        return volume_m3 > 0 and reached(layout, origin, volume_m3, depth_m, aim)

    def reaches_within(
        self,
        volume_m3: float,
        target: BaseGeometry,
        thin_m: float,
        thick_m: float,
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
            Drain, door or footprint [m].
        thin_m, thick_m : float
            Ends of the range [m].
        cautious : bool
            True: what is not known to be tight lets liquid through. False: it stops it.
        tolerance_m : float
            As in `critical_depth_m` [m].

        Returns
        -------
        bool

        Raises
        ------
        GeometryRefused
            If a number is out of range, the ends are the wrong way round, or the target is empty.

        Notes
        -----
        Between two lip heights the thinnest film reaches farthest; a film as deep as a lip goes over it. So the thin
        end and every lip height in the range are tried: a thick film may get where a thin one is held.
        """
        if thin_m > thick_m:
            raise GeometryRefused(f"film range: expected the thin end first, found {thin_m} to {thick_m} m")
        _checked_spill(volume_m3, thick_m)
        lips = [step for step in self.floor.flow(cautious=cautious).steps_m if thin_m < step <= thick_m]
        return any(
            self.reaches(volume_m3, target, depth, cautious=cautious, tolerance_m=tolerance_m)
            for depth in (thin_m, *lips)
        )

    def litres_to(
        self, volume_m3: float, target: BaseGeometry, depth_m: float, *, cautious: bool, tolerance_m: float = 0.0
    ) -> float:
        """Find the most that gets to a target.

        Parameters
        ----------
        volume_m3 : float
            How much is let out [m³].
        target : BaseGeometry
            Drain, door or footprint [m].
        depth_m : float
            Depth at which it rests on open floor [m].
        cautious : bool
            True: what is not known to be tight lets liquid through. False: it stops it.
        tolerance_m : float
            As in `critical_depth_m` [m].

        Returns
        -------
        float
            In litres; 0 where it does not get there. An upper bound: what is not needed to cover the floor nearer
            than the target, as if everything beyond flowed to it.

        Raises
        ------
        GeometryRefused
            If a number is out of range or the target empty.
        """
        _checked_spill(volume_m3, depth_m)
        aim = aim_at(self.floor.mapped, target, tolerance_m)
        layout, origin = self._at(depth_m, cautious=cautious)
        needed = needed_m3(layout, origin, volume_m3, depth_m, aim)
        return 0.0 if needed is None else max(volume_m3 - needed, 0.0) * 1000

    def _at(self, depth_m: float, *, cautious: bool) -> tuple[Layout, Origin]:
        flow = self.floor.flow(cautious=cautious)
        step = flow.step_at(depth_m)
        return flow.layout(step), self.floor.origin(self.source, cautious=cautious, step=step)

    def _critical_on_step(
        self,
        step: int,
        low_m: float,
        high_m: float,
        volume_m3: float,
        aim: Aim,
        *,
        cautious: bool,
    ) -> float | None:
        origin = self.floor.origin(self.source, cautious=cautious, step=step)
        distance = aim.distance_m(origin)
        if distance is not None:
            if low_m > 0 and origin.more_than_m2(volume_m3 / low_m, distance):
                return None
            area = origin.area_within_m2(distance)
            depth = volume_m3 / area if area > 0 else math.inf
            if volume_m3 == 0 or depth < low_m:
                return None
            return min(depth, high_m)
        return critical_on_step_m(origin, high_m, volume_m3, aim)


def critical_on_step_m(origin: Origin, high_m: float, volume_m3: float, aim: Aim) -> float | None:
    """Find the film depth of one step at which a volume just gets to a target over the lips in between.

    Parameters
    ----------
    origin : Origin
        Where it is let out, on the layout of that step. There is no way from it to the target within its compartment.
    high_m : float
        Where the step ends [m].
    volume_m3 : float
        How much is let out [m³].
    aim : Aim
        The target.

    Returns
    -------
    float or None
        In metres; None where no film of the step gets there.

    Notes
    -----
    More film only lies deeper on the way, so this bisects on the depth.
    """
    layout = origin.layout
    if not layout.outlets[origin.compartment]:
        return None
    least = max(layout.film_m, 1e-9)
    most = min(high_m, volume_m3 / layout.compartments[origin.compartment].area)
    if least >= most or not reached(layout, origin, volume_m3, least, aim):
        return None
    if reached(layout, origin, volume_m3, math.nextafter(most, 0.0), aim):
        return most
    for _ in range(50):
        middle = (least + most) / 2
        if reached(layout, origin, volume_m3, middle, aim):
            least = middle
        else:
            most = middle
    return least


def spread(floor: SpillFloor, source: Point) -> Spread:
    """Prepare spills from one place.

    Parameters
    ----------
    floor : SpillFloor
        The floor.
    source : Point
        Where the liquid is let out [m].

    Returns
    -------
    Spread
        Cheap to make; distances are worked out when asked for and kept by the floor.

    Raises
    ------
    GeometryRefused
        If there is no free floor within 0.2 m of the source.
    """
    return Spread(floor, source)


def joint_pool(pools: Sequence[Pool]) -> Polygon | MultiPolygon:
    """Everything that any of several spills wets, each taken alone.

    Parameters
    ----------
    pools : sequence of Pool
        May be empty.

    Returns
    -------
    Polygon or MultiPolygon
        In metres; empty where nothing is wet.
    """
    return joint_shape(pool.shape for pool in pools)


def joint_shape(shapes: Iterable[BaseGeometry]) -> Polygon | MultiPolygon:
    """Union of areas, without the lines along which they only touch.

    Parameters
    ----------
    shapes : iterable of BaseGeometry
        Areas [m].

    Returns
    -------
    Polygon or MultiPolygon
        In metres; empty where there is nothing.
    """
    return areas_of(joined([shape for shape in shapes if not shape.is_empty]))


def _front(origin: Origin, area_m2: float) -> tuple[BaseGeometry, float]:
    """Shape and radius of the nearest floor of a given area."""
    radius = math.sqrt(area_m2 / math.pi)
    low, low_m2, high, high_m2 = 0.0, 0.0, math.inf, math.inf
    shape = origin.within(radius)
    for count in range(_ROUNDS):
        found_m2 = shape.area
        if abs(found_m2 - area_m2) <= _AREA_TOLERANCE * area_m2:
            break
        if found_m2 < area_m2:
            low, low_m2 = radius, found_m2
        else:
            high, high_m2 = radius, found_m2
        if math.isinf(high):
            radius *= max(math.sqrt(area_m2 / found_m2), 1.02) if found_m2 > 0 else 2.0
        else:
            # Straight between the two ends, and every third time halfway, lest one end never moves.
            share = 0.5 if count % 3 == 2 else (area_m2 - low_m2) / (high_m2 - low_m2)
            radius = low + share * (high - low)
        shape = origin.within(radius)
    return shape, radius


def _checked_spill(volume_m3: float, depth_m: float) -> None:
    if not math.isfinite(volume_m3) or volume_m3 < 0:
        raise GeometryRefused(f"spilt volume: expected 0 m³ or more, found {volume_m3}")
    if not math.isfinite(depth_m) or depth_m <= 0:
        raise GeometryRefused(f"film depth: expected more than 0 m, found {depth_m}")
