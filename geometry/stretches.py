"""From walls, doors and kerbs to straight stretches that stop liquid, each with its height and without false gaps."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import LineString, MultiLineString, Point, STRtree
from shapely.geometry.base import BaseGeometry

from geometry.constants import GAP_CLOSED_M, OPENING_OFFSET_M, OPENING_TURN_DEG, SNAP_M

Floats = NDArray[np.float64]

_NO_LENGTH_M = 1e-12  # less than rounding, and divided by where lines are cut


@dataclass(frozen=True, slots=True)
class Piece:
    """A line with the height up to which it stops liquid [m]; `lip_at` is where a worn kerb lets it over first."""

    line: BaseGeometry
    height_m: float
    lip_at: Point | None = None


@dataclass(frozen=True, slots=True)
class Doorway:
    """A line that takes the place of the barrier it lies in, with its own height [m]."""

    line: BaseGeometry
    height_m: float


@dataclass(frozen=True, slots=True)
class Stretches:
    """Straight stretches that meet at their ends only.

    Parameters
    ----------
    ends : (n, 4) array
        x, y, x, y of both ends [m].
    height_m : (n,) array
        Up to which liquid is stopped [m]; 0 where nothing stops it.
    outer : (n,) array of bool
        Whether the mapped floor ends there.
    lip_at : (n, 2) array
        Where a worn kerb lets liquid over first [m]; not a number where it does so all along.
    """

    ends: Floats
    height_m: Floats
    outer: NDArray[np.bool_]
    lip_at: Floats

    def __len__(self) -> int:
        return len(self.height_m)

    def same_as(self, other: "Stretches") -> bool:
        """Whether two sets stop the same liquid.

        Parameters
        ----------
        other : Stretches
            The other set.

        Returns
        -------
        bool
        """
        return (
            np.array_equal(self.ends, other.ends)
            and np.array_equal(self.height_m, other.height_m)
            and np.array_equal(self.lip_at, other.lip_at, equal_nan=True)
        )


def cut_doorways(pieces: Sequence[Piece], doorways: Sequence[Doorway]) -> list[Piece]:
    """Replace the part of a barrier in which a doorway lies.

    Parameters
    ----------
    pieces : sequence of Piece
        Walls and partitions.
    doorways : sequence of Doorway
        Drawn along their wall, at most `OPENING_OFFSET_M` beside it and `OPENING_TURN_DEG` turned against it.

    Returns
    -------
    list of Piece
        The pieces that are left, and one piece per doorway and wall, no higher than that wall.

    Notes
    -----
    A doorway lies in the barrier nearest to it, and in those that are drawn on that one to within `GAP_CLOSED_M`. A
    barrier a little beside a door, such as a dam laid before it, stays whole.
    """
    cuts: dict[tuple[int, int], list[tuple[float, float, float]]] = {}
    for door in doorways:
        for taken in places_of(door.line, pieces):
            cuts.setdefault((taken.piece, taken.segment), []).append((taken.low, taken.high, door.height_m))
    kept: list[Piece] = []
    for number, piece in enumerate(pieces):
        for index, (start, end) in enumerate(segments(piece.line)):
            kept.extend(
                Piece(
                    LineString([start + low * (end - start), start + high * (end - start)]),
                    piece.height_m if door_m is None else min(door_m, piece.height_m),
                    piece.lip_at,
                )
                for low, high, door_m in _shares(cuts.get((number, index), []))
            )
    return kept


@dataclass(frozen=True, slots=True)
class Place:
    """Where a doorway lies: in which segment of which barrier, and between which shares of its length."""

    piece: int
    segment: int
    low: float
    high: float
    apart_m: float


def places_of(door: BaseGeometry, pieces: Sequence[Piece]) -> list[Place]:
    """Find the parts of barriers in which a doorway lies.

    Parameters
    ----------
    door : BaseGeometry
        From jamb to jamb [m].
    pieces : sequence of Piece
        Walls and partitions.

    Returns
    -------
    list of Place
        Empty where the doorway lies in no barrier.
    """
    found: list[Place] = []
    for a, b in segments(door):
        near = [
            place
            for number, piece in enumerate(pieces)
            for index, (start, end) in enumerate(segments(piece.line))
            if (place := _place(number, index, start, end, a, b)) is not None
        ]
        nearest = min((place.apart_m for place in near), default=0.0)
        found.extend(place for place in near if place.apart_m <= nearest + GAP_CLOSED_M)
    return found


def join(pieces: Sequence[Piece], edge: BaseGeometry) -> Stretches:
    """Cut barriers at every crossing, close gaps of the drawing, and mark where the mapped floor ends.

    Parameters
    ----------
    pieces : sequence of Piece
        Everything that stops liquid; pieces of no height or no length are dropped.
    edge : BaseGeometry
        Boundary of the mapped floor [m].

    Returns
    -------
    Stretches
        Barriers and the edge of the mapped floor. Where several lie on one another the highest counts.
    """
    standing = [piece for piece in pieces if piece.height_m > 0 and piece.line.length > _NO_LENGTH_M]
    parts = _noded([*(piece.line for piece in standing), edge])
    closings = _closings(standing, parts, [piece.line for piece in pieces if piece.height_m <= 0])
    standing += closings
    # Closings end on parts that are rounded already: on the lines as drawn they would end beside them, by rounding.
    network = _noded([*parts, *(piece.line for piece in closings)]) if closings else parts
    ends = np.array([shapely.get_coordinates(part).ravel() for part in network]).reshape(-1, 4)
    middles = shapely.points((ends[:, :2] + ends[:, 2:]) / 2)
    outer = shapely.dwithin(middles, edge, 5 * SNAP_M)
    height_m = np.zeros(len(ends))
    lip_at = np.full((len(ends), 2), math.nan)
    if standing:
        stretch, piece_index = STRtree([piece.line for piece in standing]).query(
            middles, predicate="dwithin", distance=5 * SNAP_M
        )
        for index, chosen in zip(stretch.tolist(), piece_index.tolist(), strict=True):
            piece = standing[chosen]
            if piece.height_m > height_m[index]:
                height_m[index] = piece.height_m
                lip_at[index] = (math.nan, math.nan) if piece.lip_at is None else (piece.lip_at.x, piece.lip_at.y)
    return Stretches(ends=ends, height_m=height_m, outer=outer, lip_at=lip_at)


def segments(shape: BaseGeometry) -> list[tuple[Floats, Floats]]:
    """Cut lines, rings and areas into straight two-point pieces.

    Parameters
    ----------
    shape : BaseGeometry
        In metres.

    Returns
    -------
    list of ((2,) array, (2,) array)
        Both ends of each piece [m]; pieces of no length are left out.
    """
    lines = shape.boundary if shape.geom_type in ("Polygon", "MultiPolygon") else shape
    found: list[tuple[Floats, Floats]] = []
    for part in shapely.get_parts(lines):
        corners = shapely.get_coordinates(part)
        found.extend((a, b) for a, b in pairwise(corners) if not np.array_equal(a, b))
    return found


def _place(number: int, index: int, start: Floats, end: Floats, a: Floats, b: Floats) -> Place | None:
    """Find the part of one segment that one straight doorway takes; None where it takes nothing."""
    along, across = end - start, b - a
    length = math.hypot(*along)
    if length <= SNAP_M or math.hypot(*across) <= SNAP_M:
        return None
    cosine = abs(float(along @ across)) / (length * math.hypot(*across))
    low, high = sorted((float((a - start) @ along) / length**2, float((b - start) @ along) / length**2))
    low, high = max(low, 0.0), min(high, 1.0)
    if cosine < math.cos(math.radians(OPENING_TURN_DEG)) or (high - low) * length <= SNAP_M:
        return None
    apart_m = LineString([start + low * along, start + high * along]).distance(LineString([a, b]))
    return Place(number, index, low, high, apart_m) if apart_m <= OPENING_OFFSET_M else None


def _shares(taken: Sequence[tuple[float, float, float]]) -> list[tuple[float, float, float | None]]:
    """Divide 0 to 1 into shares with the lowest doorway over each, None where the barrier stands."""
    cuts = sorted({0.0, 1.0, *(cut for low, high, _ in taken for cut in (low, high))})
    shares = []
    for low, high in pairwise(cuts):
        over = [height for first, last, height in taken if first <= low and high <= last]
        shares.append((low, high, min(over) if over else None))
    return shares


def _noded(lines: Sequence[BaseGeometry]) -> list[LineString]:
    """Cut lines at every crossing and round them: two-point parts that meet at their ends only."""
    return [LineString([a, b]) for a, b in segments(shapely.union_all(lines, grid_size=SNAP_M))]


def _closings(standing: Sequence[Piece], parts: Sequence[LineString], passable: Sequence[BaseGeometry]) -> list[Piece]:
    """Join each loose end to what stands within the closing distance of it, unless an opening is recorded there."""
    if not standing:
        return []
    tree, owners = STRtree(parts), STRtree([piece.line for piece in standing])
    closings = []
    for end, own in _loose_ends(parts):
        near = [index for index in tree.query(end, predicate="dwithin", distance=GAP_CLOSED_M).tolist() if index != own]
        if not near:
            continue
        nearest = min((parts[index] for index in near), key=end.distance)
        meets = nearest.interpolate(nearest.project(end))
        middle = Point((end.x + meets.x) / 2, (end.y + meets.y) / 2)
        if any(line.distance(middle) <= 5 * SNAP_M for line in passable):
            continue
        own_height = max(
            standing[index].height_m for index in owners.query(end, predicate="dwithin", distance=5 * SNAP_M).tolist()
        )
        closings.append(Piece(LineString([end, meets]), own_height))
    return closings


def _loose_ends(parts: Sequence[LineString]) -> list[tuple[Point, int]]:
    """Find the ends at which only one part ends, with the index of that part."""
    ends: dict[tuple[float, float], list[int]] = {}
    for index, part in enumerate(parts):
        for corner in shapely.get_coordinates(part).round(7).tolist():
            ends.setdefault((corner[0], corner[1]), []).append(index)
    return [(Point(corner), owners[0]) for corner, owners in ends.items() if len(owners) == 1]


def as_lines(stretches: Stretches, chosen: NDArray[np.bool_]) -> MultiLineString:
    """Put chosen stretches together as one shape.

    Parameters
    ----------
    stretches : Stretches
        All of them.
    chosen : (n,) array of bool
        Which to take.

    Returns
    -------
    MultiLineString
        In metres.
    """
    return MultiLineString([[(x0, y0), (x1, y1)] for x0, y0, x1, y1 in stretches.ends[chosen].tolist()])
