"""Facts → geometry on a floor that falls: which way it falls, what one drum's liquid reaches on it, and how far."""

from shapely import Point
from shapely.geometry.base import BaseGeometry

from geometry.descent import NARROW, WIDE, Descent, Descents, FallingFloor
from geometry.errors import GeometryRefused
from geometry.film import FilmRange
from geometry.floor import SpillFloor
from geometry.relief import Fall, Relief, relief_of
from geometry.spill_reach import joint_shape
from reports.assessment import Pool
from reports.facts import FloorFact


def relief_on(floor: FloorFact, ground: BaseGeometry) -> Relief | None:
    """Give how a floor falls by its surveyed levels and the falls to its drains; None where it is nominally level."""
    falls = [
        Fall(drain.name, drain.shape, drain.fall, drain.fall_out_m)
        for drain in floor.drains
        if drain.shape is not None and drain.fall is not None
    ]
    return relief_of(floor.levels, falls, ground)


class Falls:
    """What liquid does on one falling floor.

    Certain is what a thick film of a slow, wide tongue reaches on the hopeful floor. Possible is what a thin film of a
    narrow tongue reaches under either reading: what passes one wall is missing behind another.
    """

    def __init__(self, plan: SpillFloor, relief: Relief, film: FilmRange) -> None:
        self._floor = FallingFloor(plan, relief)
        self._film = film
        self._refusals: dict[tuple[float, float], str | None] = {}

    def refuses(self, at: Point) -> str | None:
        """Say why nothing can be computed from a place; None where it can."""
        key = at.x, at.y
        if key not in self._refusals:
            self._refusals[key] = self._refusal(at)
        return self._refusals[key]

    def _refusal(self, at: Point) -> str | None:
        try:
            source = self._from(at).source
            for film_m, cautious in (
                (self._film.thin_m, True),
                (self._film.thin_m, False),
                (self._film.thick_m, False),
            ):
                self._floor.ground(cautious=cautious).cell_of(source, film_m)
        except GeometryRefused as refusal:
            return str(refusal)
        return None

    def reaches(self, at: Point, volume_m3: float, target: BaseGeometry) -> bool:
        """Whether this much liquid gets to `target` for certain."""
        return self._from(at).reaches(volume_m3, target, self._film.thick_m, WIDE, cautious=False)

    def may_reach(self, at: Point, volume_m3: float, target: BaseGeometry, tolerance_m: float) -> bool:
        """Whether this much liquid may get to within `tolerance_m` of `target`."""
        return any(
            self._from(at).reaches_within(
                volume_m3,
                target,
                self._film.thin_m,
                self._film.thick_m,
                NARROW,
                cautious=cautious,
                tolerance_m=tolerance_m,
            )
            for cautious in (True, False)
        )

    def litres_to(self, at: Point, volume_m3: float, target: BaseGeometry, film_m: float) -> float:
        """Give the most that gets to `target`, under whichever reading lets more come."""
        return max(
            self._from(at).litres_to(volume_m3, target, film_m, NARROW, cautious=cautious) for cautious in (True, False)
        )

    def critical_m(self, at: Point, volume_m3: float, target: BaseGeometry) -> float | None:
        """Give the film depth at which this much liquid just gets to `target` [m]; None where the thin film does not.

        Infinite at the source. Which film thinner than any published one would do is not worked out.
        """
        here, thin_m = self._from(at), self._film.thin_m
        found = [
            here.critical_depth_m(volume_m3, target, NARROW, cautious=cautious) or 0.0
            for cautious in (True, False)
            if here.reaches(volume_m3, target, thin_m, NARROW, cautious=cautious)
        ]
        return max(found, default=None)

    def pools(self, at: Point, volume_m3: float) -> tuple[Pool, Pool]:
        """Give the pools of the thick and the thin film; the thin one under both readings together."""
        here = self._from(at)
        thick = here.descent(volume_m3, self._film.thick_m, WIDE, cautious=False)
        thin = [here.descent(volume_m3, self._film.thin_m, NARROW, cautious=cautious) for cautious in (True, False)]
        return _pool([thick]), _pool(thin)

    def _from(self, at: Point) -> Descents:
        return Descents(self._floor, at)


def with_level(falling: Pool, level: Pool) -> Pool:
    """Join what a spill wets running down with what it wets standing where the floor is as good as level."""
    return Pool(
        joint_shape([falling.shape, level.shape]),
        max(falling.area_m2, level.area_m2),
        max(falling.depth_mm, level.depth_mm),
        max(falling.off_map_l, level.off_map_l),
    )


def deeper(one: float | None, other: float | None) -> float | None:
    """Give the deeper of two film depths, either of which may be none."""
    return None if one is None and other is None else max(one or 0.0, other or 0.0)


def _pool(found: list[Descent]) -> Pool:
    return Pool(
        joint_shape(each.shape for each in found),
        max(each.area_m2 for each in found),
        max(each.depth_m for each in found) * 1000,
        max(each.lost_m3 for each in found) * 1000,
    )
