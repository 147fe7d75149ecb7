"""Where a spill ends on a level floor: its pool, and whether and how it gets to a drain, a door or another pallet."""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

import numpy as np
import shapely
from shapely import MultiPolygon, Point, Polygon
from shapely.geometry.base import BaseGeometry

from geometry.errors import GeometryRefused
from geometry.fill import Settled, least_volume_m3, settle
from geometry.floor import Flow, SpillFloor
from geometry.layout import Layout, Origin, areas_of
from geometry.raster import Mask
from geometry.shapes import checked_shape

_AREA_TOLERANCE = 1e-3  # how well the shape of a pool matches volume over depth
_NEWTON_ROUNDS = 12


@dataclass(frozen=True, slots=True)
class Aim:
    """A target and how much nearer it may be than recorded.

    Parameters
    ----------
    target : BaseGeometry
        In metres.
    tolerance_m : float
        Taken off the length of the way [m].
    """

    target: BaseGeometry
    tolerance_m: float = 0.0

    def distance_m(self, origin: Origin) -> float | None:
        """Length of the way along the floor, less the tolerance [m]; None where there is no way."""
        distance = origin.distance_m(self.target)
        return None if distance is None else max(distance - self.tolerance_m, 0.0)


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
            shape=areas_of(shapes[0] if len(shapes) == 1 else shapely.union_all(shapes)),
            area_m2=area_m2,
            depth_m=max([sheet.level_m for sheet in settled.covered] + [depth_m] * bool(settled.fronts)),
            volume_m3=volume_m3,
            on_floor_m3=math.fsum(
                [sheet.area_m2 * sheet.level_m for sheet in settled.covered] + [lying for _, lying in settled.fronts]
            ),
            lost_m3=settled.lost_m3,
            off_map_m3=_may_leave_m3(layout, settled, origin, volume_m3, depth_m),
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
            In metres; None where there is no way.

        Raises
        ------
        GeometryRefused
            If the target is empty or not finite.
        """
        checked_shape(target, name="target")
        return self.floor.origin(self.source, cautious=cautious).distance_m(target)

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
            In metres: at this film and every thinner one that passes the same barriers the volume gets there.
            Infinite where the target lies at the source. None where it gets there at no depth: cut off by something
            tight, or by a lip that this volume does not rise over.

        Raises
        ------
        GeometryRefused
            If the volume or tolerance is negative or not finite, or the target empty.

        Notes
        -----
        Without lips in between this is the volume over the floor area that lies nearer than the target. A film deeper
        than a lip goes over it without filling the compartment first, so each step of lip heights is looked at by
        itself and the deepest film that gets there is returned.
        """
        _checked_spill(volume_m3, 1.0)
        if not math.isfinite(tolerance_m) or tolerance_m < 0:
            raise GeometryRefused(f"tolerance: expected 0 m or more, found {tolerance_m}")
        aim = Aim(checked_shape(target, name="target"), tolerance_m)
        flow = self.floor.flow(cautious=cautious)
        best: float | None = None
        for step, low in enumerate(flow.steps_m):
            high = flow.steps_m[step + 1] if step + 1 < len(flow.steps_m) else math.inf
            found = self._critical_on_step(flow, step, low, high, volume_m3, aim, cautious=cautious)
            if found is not None:
                best = found
        return best

    def litres_to(self, volume_m3: float, target: BaseGeometry, depth_m: float, *, cautious: bool) -> float:
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
        aim = Aim(checked_shape(target, name="target"))
        layout, origin = self._at(depth_m, cautious=cautious)
        needed = _needed_m3(layout, origin, volume_m3, depth_m, aim)
        return 0.0 if needed is None else max(volume_m3 - needed, 0.0) * 1000

    def _at(self, depth_m: float, *, cautious: bool) -> tuple[Layout, Origin]:
        flow = self.floor.flow(cautious=cautious)
        step = flow.step_at(depth_m)
        return flow.layout(step), self.floor.origin(self.source, cautious=cautious, step=step)

    def _critical_on_step(
        self,
        flow: Flow,
        step: int,
        low_m: float,
        high_m: float,
        volume_m3: float,
        aim: Aim,
        *,
        cautious: bool,
    ) -> float | None:
        layout = flow.layout(step)
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
        if not layout.outlets[origin.compartment]:
            return None
        # Over lips: more film only lies deeper on the way, so bisect on the depth.
        least = max(low_m, 1e-9)
        most = min(high_m, volume_m3 / layout.compartments[origin.compartment].area)
        if least >= most or not _reached(layout, origin, volume_m3, least, aim):
            return None
        for _ in range(50):
            middle = (least + most) / 2
            if _reached(layout, origin, volume_m3, middle, aim):
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
    return areas_of(shapely.union_all([shape for shape in shapes if not shape.is_empty]))


def _front(origin: Origin, area_m2: float) -> tuple[BaseGeometry, float]:
    """Shape and radius of the nearest floor of a given area."""
    radius = math.sqrt(area_m2 / math.pi)
    low, high = 0.0, math.inf
    shape = origin.within(radius)
    for _ in range(_NEWTON_ROUNDS):
        missing = area_m2 - shape.area
        if abs(missing) <= _AREA_TOLERANCE * area_m2:
            break
        low, high = (radius, high) if missing > 0 else (low, radius)
        # For a free disc the edge is twice area over radius; along walls it is less, so the step is an under-estimate.
        guess = radius * math.sqrt(area_m2 / shape.area) if shape.area > 0 else radius * 2
        radius = guess if low < guess < high else (low + high) / 2
        shape = origin.within(radius)
    return shape, radius


def _needed_m3(layout: Layout, origin: Origin, volume_m3: float, film_m: float, aim: Aim) -> float | None:
    """Volume that lies on the floor before the liquid gets to a target; None where it does not with this volume."""
    distance = aim.distance_m(origin)
    if distance is not None:
        # Never more than the compartment, which cell counting may overshoot by a fraction of a per cent.
        area = min(origin.area_within_m2(distance), layout.compartments[origin.compartment].area)
        return film_m * area if film_m * area <= volume_m3 else None
    if volume_m3 <= layout.compartments[origin.compartment].area * film_m:
        return None
    return least_volume_m3(lambda volume: _reached(layout, origin, volume, film_m, aim), volume_m3)


def _reached(layout: Layout, origin: Origin, volume_m3: float, film_m: float, aim: Aim) -> bool:
    settled = settle(layout, origin, volume_m3, film_m)
    for sheet in settled.covered:
        if any(layout.compartments[member].distance(aim.target) <= 0 for member in sheet.members):
            return True
    for front, lying_m3 in settled.fronts:
        distance = aim.distance_m(front)
        if distance is not None and front.area_within_m2(distance) * film_m <= lying_m3:
            return True
    return False


def _may_leave_m3(layout: Layout, settled: Settled, origin: Origin, volume_m3: float, film_m: float) -> float:
    """Everything that is not needed to cover the floor nearer than the nearest way off the map."""
    leaving = settled.lost_m3
    way_out = layout.leaves_at(origin.compartment, film_m)
    if way_out is not None:
        needed = _needed_m3(layout, origin, volume_m3, film_m, Aim(way_out))
        return leaving if needed is None else max(volume_m3 - needed, leaving)
    for front, lying_m3 in settled.fronts:
        way_out = layout.leaves_at(front.compartment, film_m)
        distance = None if way_out is None else front.distance_m(way_out)
        if distance is not None:
            leaving += max(lying_m3 - front.area_within_m2(distance) * film_m, 0.0)
    for sheet in settled.covered:
        # What stands in a covered compartment with an open edge may have run out of it instead.
        if any(layout.leaves_at(member, film_m) is not None for member in sheet.members):
            leaving += sheet.area_m2 * sheet.level_m
    return leaving


def _checked_spill(volume_m3: float, depth_m: float) -> None:
    if not math.isfinite(volume_m3) or volume_m3 < 0:
        raise GeometryRefused(f"spilt volume: expected 0 m³ or more, found {volume_m3}")
    if not math.isfinite(depth_m) or depth_m <= 0:
        raise GeometryRefused(f"film depth: expected more than 0 m, found {depth_m}")
