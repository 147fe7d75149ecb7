"""Views, lengths, areas and radii of many places at once: the inner loops of `geometry.many_reaches`.

A view is star-shaped: between two neighbouring angles one stretch is nearest. So the floor within a radius of a place
is a sum over those sectors, each with a closed form. What is not seen belongs to the last bend of the shortest way to
it, and what belongs to one bend is star-shaped about that bend: along a ray from it, what another place or bend gets
to first stays with that one. Rays from each bend into what it turns to therefore measure the rest, each floor once.
"""

import math

import numpy as np
from numpy.typing import NDArray

from geometry.kernels.jit import kernel

Floats = NDArray[np.float64]
Numbers = NDArray[np.int64]

START, WIDTH, NORMAL_X, NORMAL_Y, APART, TURN, FAR = range(7)
"""Columns of a view, one row per sector: angle where it starts, its width [rad], unit normal of its stretch, distance
of the line of that stretch [m], angle from the normal to the start [rad], distance of its farther end [m]."""
SECTOR_COLUMNS = 7

_NO_WIDTH = 1e-13  # sectors narrower than this hold no floor [rad]
_NO_STEP_M = 1e-7  # two stretches that meet in one corner differ by less
_EDGE_M = 4e-6  # what lies along a wall is seen: views are widened by this
_NO_WEDGE = 1e-8  # nor does what bends by less [rad]
_ALONG_RAD = 1e-4  # what comes along a wall may lie on either face of it, for rounding [rad]
_PIECE_RAD = math.radians(6)  # what is not seen is cut into pieces of this width at first,
_FINE_RAD = math.radians(0.02)  # and into finer ones where something changes within a piece, down to this one,
_BENT = 1e-4  # or where the line on which two ways are as long is no straight line to this share of its distance
_FIRST_M = 1e-4  # rays are followed from here: nearer a corner the stand-off of bends shows
_BEYOND_M = 1e-7
_TIE_M = 5e-5  # lengths to corners are lengths to bends, so that a way has to be shorter by more than that
_WALL, _ELSEWHERE, _MANY = 0, -1, 1 << 20
_ROUNDS = 100


@kernel
def _apart(x: float, y: float, ax: float, ay: float, bx: float, by: float) -> float:
    """Length from a point to a segment [m]."""
    dx, dy = bx - ax, by - ay
    square = dx * dx + dy * dy
    share = 0.0 if square == 0 else min(max(((x - ax) * dx + (y - ay) * dy) / square, 0.0), 1.0)
    return math.hypot(ax + share * dx - x, ay + share * dy - y)


@kernel
def straight_m(eyes: Floats, points: Floats, ends: Floats) -> Floats:
    """Straight free lengths from each eye to each point [m], infinite where a stretch is in the way.

    The same test, in the same order, as `Sight.sees`: a way that touches the end of a stretch is not free.
    """
    found = np.full((len(eyes), len(points)), math.inf)
    for index in range(len(eyes)):
        for other in range(len(points)):
            if _free(eyes[index, 0], eyes[index, 1], points[other, 0], points[other, 1], ends):
                found[index, other] = math.hypot(points[other, 0] - eyes[index, 0], points[other, 1] - eyes[index, 1])
    return found


@kernel
def _free(ex: float, ey: float, px: float, py: float, ends: Floats) -> bool:
    """Whether the straight way between two points is free."""
    wx, wy = px - ex, py - ey
    for number in range(len(ends)):
        ax, ay = ends[number, 0] - ex, ends[number, 1] - ey
        bx, by = ends[number, 2] - ex, ends[number, 3] - ey
        side_a = wx * ay - wy * ax
        side_b = wx * by - wy * bx
        if side_a * side_b > 0 or (side_a == 0 and side_b == 0):
            continue
        dx, dy = ends[number, 2] - ends[number, 0], ends[number, 3] - ends[number, 1]
        eye_side = dy * ax - dx * ay
        point_side = dx * (py - ends[number, 1]) - dy * (px - ends[number, 0])
        if eye_side * point_side <= 0:
            return False
    return True


@kernel
def to_bends_m(straight: Floats, ways: Floats, last: Numbers) -> tuple[Floats, Numbers]:
    """Shortest lengths from eyes to bends, and the bend before each; -1 where it is seen from the eye itself."""
    shortest = straight.copy()
    before = np.full(straight.shape, -1, dtype=np.int64)
    for index in range(straight.shape[0]):
        for first in range(straight.shape[1]):
            if straight[index, first] == math.inf:
                continue
            for bend in range(straight.shape[1]):
                length = straight[index, first] + ways[first, bend]
                if length < shortest[index, bend]:
                    shortest[index, bend] = length
                    before[index, bend] = last[first, bend]
    return shortest, before


@kernel
def seen_m(eyes: Floats, parts: Floats, owner: Numbers, targets: int, ends: Floats) -> Floats:
    """Lengths from each eye to the nearest seen part of each target [m], infinite where none is seen.

    Targets are given as straight parts, each with the number of its target; one without length is a point.
    """
    found = np.full((len(eyes), targets), math.inf)
    sectors = np.empty((2 * len(ends) + 1, SECTOR_COLUMNS))
    for index in range(len(eyes)):
        x, y = eyes[index, 0], eyes[index, 1]
        count = _look(x, y, ends, sectors)
        for part in range(len(parts)):
            target = owner[part]
            if _apart(x, y, parts[part, 0], parts[part, 1], parts[part, 2], parts[part, 3]) < found[index, target]:
                for sector in range(count):
                    length = _seen_in(x, y, parts[part], sectors[sector])
                    found[index, target] = min(found[index, target], length)
    return found


@kernel
def _met(sector: Floats, angle: float) -> float:
    """Length at which a ray of some angle meets the stretch of its sector [m]."""
    towards = sector[NORMAL_X] * math.cos(angle) + sector[NORMAL_Y] * math.sin(angle)
    length: float = min(sector[APART] / towards, sector[FAR]) if towards > 0 else sector[FAR]
    return length


@kernel
def _seen_in(x: float, y: float, part: Floats, sector: Floats) -> float:
    """Length to the nearest place of a straight part within one sector of a view [m]."""
    ax, ay, bx, by = part[0] - x, part[1] - y, part[2] - x, part[3] - y
    one, other = sector[START], sector[START] + sector[WIDTH]
    ox, oy, nx, ny = math.cos(one), math.sin(one), math.cos(other), math.sin(other)
    # A stretch seen nearly edge-on would, widened, let through what lies in line with it: no farther along it than the
    # sector goes, from the foot of the eye on.
    ux, uy = -sector[NORMAL_Y], sector[NORMAL_X]
    at_one, at_other = _met(sector, one) * (ux * ox + uy * oy), _met(sector, other) * (ux * nx + uy * ny)
    first, last = min(at_one, at_other, 0.0), max(at_one, at_other, 0.0)
    low, high = 0.0, 1.0
    for side in range(6):
        # Each side as: what must not be below zero, at both ends of the part.
        if side == 0:
            at_a = sector[APART] - (sector[NORMAL_X] * ax + sector[NORMAL_Y] * ay)
            at_b = sector[APART] - (sector[NORMAL_X] * bx + sector[NORMAL_Y] * by)
        elif side == 1:
            at_a, at_b = ox * ay - oy * ax, ox * by - oy * bx
        elif side == 2:
            at_a, at_b = ny * ax - nx * ay, ny * bx - nx * by
        elif side == 3:
            at_a, at_b = (ox + nx) * ax + (oy + ny) * ay, (ox + nx) * bx + (oy + ny) * by
        elif side == 4:
            at_a, at_b = ux * ax + uy * ay - first, ux * bx + uy * by - first
        else:
            at_a, at_b = last - (ux * ax + uy * ay), last - (ux * bx + uy * by)
        at_a, at_b = at_a + _EDGE_M, at_b + _EDGE_M
        if at_a < 0 and at_b < 0:
            return math.inf
        if at_a < 0:
            low = max(low, at_a / (at_a - at_b))
        elif at_b < 0:
            high = min(high, at_a / (at_a - at_b))
    if low > high:
        return math.inf
    dx, dy = bx - ax, by - ay
    return _apart(0.0, 0.0, ax + low * dx, ay + low * dy, ax + high * dx, ay + high * dy)


@kernel
def _look(x: float, y: float, ends: Floats, sectors: Floats) -> int:  # noqa: PLR0915 - one pass, step by step
    """Fill in the view from an eye, anticlockwise; give the count of its sectors."""
    count = len(ends)
    lines = np.empty((count, 6))  # start, stop, normal x, normal y, apart, far
    angles = np.empty(2 * count)
    kept = 0
    for number in range(count):
        ax, ay = ends[number, 0] - x, ends[number, 1] - y
        bx, by = ends[number, 2] - x, ends[number, 3] - y
        lead = ax * by - ay * bx
        if lead < 0:
            ax, ay, bx, by, lead = bx, by, ax, ay, -lead
        length = math.hypot(bx - ax, by - ay)
        if lead <= 1e-12 * length:
            continue  # seen edge-on: no width
        lines[kept, 0], lines[kept, 1] = math.atan2(ay, ax), math.atan2(by, bx)
        lines[kept, 2], lines[kept, 3] = (by - ay) / length, (ax - bx) / length
        lines[kept, 4] = lead / length
        lines[kept, 5] = max(math.hypot(ax, ay), math.hypot(bx, by))
        angles[2 * kept], angles[2 * kept + 1] = lines[kept, 0], lines[kept, 1]
        kept += 1
    angles = np.sort(angles[: 2 * kept])
    nearest = np.full(2 * kept, math.inf)
    owner = np.full(2 * kept, -1, dtype=np.int64)
    east, north = np.empty(2 * kept), np.empty(2 * kept)
    for step in range(2 * kept):
        following = angles[step + 1] if step + 1 < 2 * kept else angles[0] + 2 * math.pi
        middle = (angles[step] + following) / 2
        east[step], north[step] = math.cos(middle), math.sin(middle)
    for line in range(kept):
        first = np.searchsorted(angles, lines[line, 0])
        past = np.searchsorted(angles, lines[line, 1])
        step = first
        while step != past:
            towards = lines[line, 2] * east[step] + lines[line, 3] * north[step]
            if towards > 0 and lines[line, 4] / towards < nearest[step]:
                nearest[step] = lines[line, 4] / towards
                owner[step] = line
            step = step + 1 if step + 1 < 2 * kept else 0
    found = 0
    before = -1
    for step in range(2 * kept):
        following = angles[step + 1] if step + 1 < 2 * kept else angles[0] + 2 * math.pi
        width = following - angles[step]
        if width <= _NO_WIDTH or owner[step] < 0:
            continue
        if owner[step] == before:
            sectors[found - 1, WIDTH] = following - sectors[found - 1, START]
            continue
        before = owner[step]
        ux, uy = math.cos(angles[step]), math.sin(angles[step])
        nx, ny = lines[before, 2], lines[before, 3]
        sectors[found, START], sectors[found, WIDTH] = angles[step], width
        sectors[found, NORMAL_X], sectors[found, NORMAL_Y] = nx, ny
        sectors[found, APART], sectors[found, FAR] = lines[before, 4], lines[before, 5]
        sectors[found, TURN] = math.atan2(nx * uy - ny * ux, nx * ux + ny * uy)
        found += 1
    return found


@kernel
def _edges_of(x: float, y: float, sectors: Floats, count: int, edges: Floats) -> int:
    """Fill in the shadow edges of a view, on which seen and unseen floor meet; give their count."""
    found = 0
    for sector in range(count):
        after = sector + 1 if sector + 1 < count else 0
        angle = sectors[after, START]
        one, other = _met(sectors[sector], angle), _met(sectors[after], angle)
        if abs(one - other) > _NO_STEP_M:
            ux, uy = math.cos(angle), math.sin(angle)
            near, far = min(one, other), max(one, other)
            edges[found, 0], edges[found, 1] = x + near * ux, y + near * uy
            edges[found, 2], edges[found, 3] = x + far * ux, y + far * uy
            found += 1
    return found


@kernel
def look_from(corners: Floats, free: Floats, ends: Floats) -> tuple[Numbers, Floats, Numbers, Floats]:
    """Views from some corners, one after another: where each begins in the sectors, the sectors, and so the edges.

    A corner looks only into its free directions, given as start and width [rad].
    """
    sector_at = np.zeros(len(corners) + 1, dtype=np.int64)
    edge_at = np.zeros(len(corners) + 1, dtype=np.int64)
    closed = np.empty((len(ends) + 1, 4))
    closed[: len(ends)] = ends
    room = 2 * len(closed) + 1
    sectors = np.empty((room * (len(corners) + 1), SECTOR_COLUMNS))
    edges = np.empty((room * (len(corners) + 1), 4))
    for index in range(len(corners)):
        x, y = corners[index, 0], corners[index, 1]
        start, stop = free[index, 0], free[index, 0] + free[index, 1]
        # A stretch right before the eye shuts out the directions that are not free; none has no length.
        closed[-1, 0], closed[-1, 1] = x + _FIRST_M * math.cos(start), y + _FIRST_M * math.sin(start)
        closed[-1, 2], closed[-1, 3] = x + _FIRST_M * math.cos(stop), y + _FIRST_M * math.sin(stop)
        if free[index, 1] > 2 * math.pi - _NO_WEDGE:
            closed[-1, 0], closed[-1, 1], closed[-1, 2], closed[-1, 3] = x, y, x, y
        count = _look(x, y, closed, sectors[sector_at[index] :])
        sector_at[index + 1] = sector_at[index] + count
        edge_at[index + 1] = edge_at[index] + _edges_of(
            x, y, sectors[sector_at[index] :], count, edges[edge_at[index] :]
        )
    return sector_at, sectors[: sector_at[-1]].copy(), edge_at, edges[: edge_at[-1]].copy()


@kernel
def _sector_m2(radius: float, width: float, apart: float, turn: float) -> float:
    """Area within a radius of the apex of a sector that a straight stretch closes [m²]."""
    if apart >= radius:
        return 0.5 * radius * radius * width
    reach = math.acos(apart / radius)
    low, high = max(turn, -reach), min(turn + width, reach)
    if low >= high:
        return 0.5 * radius * radius * width
    return 0.5 * apart * apart * (math.tan(high) - math.tan(low)) + 0.5 * radius * radius * (width - (high - low))


@kernel
def _seen_m2(radius: float, sectors: Floats, count: int) -> float:
    """Area seen within a radius [m²]."""
    area = 0.0
    for sector in range(count):
        area += _sector_m2(radius, sectors[sector, WIDTH], sectors[sector, APART], sectors[sector, TURN])
    return area


@kernel
def _within_m2(radius: float, sectors: Floats, count: int, hidden: Floats, rays: int) -> float:
    """Area within a length along the floor, seen and hidden [m²]."""
    area = _seen_m2(radius, sectors, count)
    for ray in range(rays):
        rest = radius - hidden[ray, 0]
        if rest > 0:
            area += _sector_m2(rest, hidden[ray, 1], hidden[ray, 2], hidden[ray, 3])
    return area


@kernel
def _seen_at(x: float, y: float, eye: int, spots: Floats, sector_at: Numbers, sectors: Floats) -> bool:
    """Whether a place is seen from an eye whose view is filled in."""
    dx, dy = x - spots[eye, 0], y - spots[eye, 1]
    angle = math.atan2(dy, dx)
    low, high = sector_at[eye], sector_at[eye + 1]
    last = high - 1
    while low < high:
        middle = (low + high) // 2
        if sectors[middle, START] <= angle:
            low = middle + 1
        else:
            high = middle
    sector = low - 1 if low > sector_at[eye] else last
    seen: bool = sectors[sector, NORMAL_X] * dx + sectors[sector, NORMAL_Y] * dy < sectors[sector, APART]
    return seen


@kernel
def _next_edge(
    x: float, y: float, ux: float, uy: float, beyond: float, first: int, past: int, edges: Floats
) -> tuple[float, int]:
    """Length along a ray to the next shadow edge beyond some length [m], infinite without one; and which, from 1."""
    nearest, which = math.inf, 0
    for edge in range(first, past):
        ax, ay = edges[edge, 0] - x, edges[edge, 1] - y
        dx, dy = edges[edge, 2] - edges[edge, 0], edges[edge, 3] - edges[edge, 1]
        across = ux * dy - uy * dx
        if across == 0:
            continue
        share = (uy * ax - ux * ay) / across
        length = (ax * dy - ay * dx) / across
        if 0 <= share <= 1 and beyond < length < nearest:
            nearest, which = length, edge - first + 1
    return nearest, which


@kernel
def _ray(
    corner: int,
    angle: float,
    sector: Floats,
    most: float,
    spots: Floats,
    lengths: Floats,
    sector_at: Numbers,
    sectors: Floats,
    edge_at: Numbers,
    edges: Floats,
) -> tuple[float, int]:
    """How far a corner is the last one on the shortest way along a ray [m], and what ends that.

    The second is `_WALL`, `_ELSEWHERE` where it is the last one nowhere, or else names what gets there first: a spot,
    and the shadow edge beyond which it sees (0 where it saw before, and becomes nearer).
    """
    ux, uy = math.cos(angle), math.sin(angle)
    far = _met(sector, angle)
    taken, by = min(far, most - lengths[corner]), _WALL
    if taken <= _FIRST_M:
        return far, _WALL
    x, y = spots[corner, 0], spots[corner, 1]
    for spot in range(len(spots)):
        lead = lengths[corner] - lengths[spot] - _TIE_M
        vx, vy = x - spots[spot, 0], y - spots[spot, 1]
        # Once nearer, always nearer: what is not nearer at the end is nowhere so.
        if spot == corner or math.hypot(vx + taken * ux, vy + taken * uy) >= lead + taken:
            continue
        behind = vx * vx + vy * vy - lead * lead
        fall = lead - (vx * ux + vy * uy)
        at, edge = _FIRST_M, 0
        if behind > 0 and fall > 0 and lead < math.hypot(vx, vy):
            at = max(behind / (2 * fall), _FIRST_M)
        while at < taken:
            step = at + _BEYOND_M
            if _seen_at(x + step * ux, y + step * uy, spot, spots, sector_at, sectors):
                taken = at
                by = _ELSEWHERE if at <= _FIRST_M else (spot + 1) * _MANY + edge
                break
            at, edge = _next_edge(x, y, ux, uy, step, edge_at[spot], edge_at[spot + 1], edges)
    return (far if by == _WALL else taken), by


@kernel
def _between(start: float, width: float, one: float, other: float, kept: Floats) -> None:
    """Fill in distance and turn of the straight line through two places on the sides of a sector."""
    ax, ay = one, 0.0
    bx, by = other * math.cos(width), other * math.sin(width)
    length = math.hypot(bx - ax, by - ay)
    kept[2] = (ax * by - ay * bx) / length
    kept[3] = -math.atan2(ax - bx, by - ay)


@kernel
def _hidden(  # noqa: PLR0915 - one pass, step by step
    most: float,
    spots: Floats,
    free: Floats,
    bends: Floats,
    lengths: Floats,
    at: Numbers,
    before: Numbers,
    sector_at: Numbers,
    sectors: Floats,
    edge_at: Numbers,
    edges: Floats,
    hidden: Floats,
) -> tuple[int, Floats]:
    """Fill in the sectors of what is not seen, up to a length along the floor; give their count, and room for more.

    Each is: length to its corner [m], width [rad], distance of the line that closes it [m], and angle from the normal
    of that line to its start [rad].
    """
    count = 0
    eye = len(spots) - 1
    work = np.empty((64, 4))  # start, stop, and how far along both
    ends_by = np.empty((64, 2), dtype=np.int64)
    for corner in range(eye):
        if not lengths[corner] < most:
            continue
        back_x, back_y = spots[eye, 0], spots[eye, 1]
        if before[corner] >= 0:
            back_x, back_y = bends[before[corner], 0], bends[before[corner], 1]
        start, free_rad = free[corner, 0], free[corner, 1]
        back = (math.atan2(back_y - spots[corner, 1], back_x - spots[corner, 0]) - start) % (2 * math.pi)
        if back < _ALONG_RAD or back > free_rad - _ALONG_RAD:
            # The way comes along a wall: the bend it comes to tells on which face.
            off_x, off_y = bends[at[corner], 0] - spots[corner, 0], bends[at[corner], 1] - spots[corner, 1]
            off = (math.atan2(off_y, off_x) - start) % (2 * math.pi) - free_rad / 2
            if abs(off) < _ALONG_RAD:
                off = -1.0 if back < _ALONG_RAD or back > (2 * math.pi + free_rad) / 2 else 1.0
            back = 0.0 if off < 0 else free_rad
        # What lies behind a corner begins straight on, and ends at the wall that ends or turns there.
        if back >= math.pi:
            low, high = start, start + back - math.pi
        else:
            low, high = start + back + math.pi, start + free_rad
        for number in range(sector_at[corner], sector_at[corner + 1]):
            sector = sectors[number]
            if sector[FAR] < _FIRST_M:
                continue
            for turn in range(-1, 3):
                begin = max(low, sector[START] + turn * 2 * math.pi)
                stop = min(high, sector[START] + sector[WIDTH] + turn * 2 * math.pi)
                if stop - begin <= _NO_WEDGE:
                    continue
                pieces = math.ceil((stop - begin) / _PIECE_RAD)
                joined = False
                for piece in range(pieces):
                    work[0, 0] = begin + piece * (stop - begin) / pieces
                    work[0, 1] = begin + (piece + 1) * (stop - begin) / pieces
                    for side_of in range(2):
                        work[0, 2 + side_of], ends_by[0, side_of] = _ray(
                            corner,
                            work[0, side_of] + (0.1 - 0.2 * side_of) * _NO_WEDGE,
                            sector,
                            most,
                            spots,
                            lengths,
                            sector_at,
                            sectors,
                            edge_at,
                            edges,
                        )
                    waiting = 1
                    while waiting > 0:
                        waiting -= 1
                        start, end = work[waiting, 0], work[waiting, 1]
                        one, other = work[waiting, 2], work[waiting, 3]
                        one_by, other_by = ends_by[waiting, 0], ends_by[waiting, 1]
                        width = end - start
                        middle, by = _ray(
                            corner,
                            start + width / 2,
                            sector,
                            most,
                            spots,
                            lengths,
                            sector_at,
                            sectors,
                            edge_at,
                            edges,
                        )
                        alike = one_by == by and other_by == by
                        if alike and by > 0:
                            chord = 2 * one * other * math.cos(width / 2) / (one + other)
                            alike = abs(chord - middle) <= _BENT * middle
                        if not alike and width > _FINE_RAD:
                            # The later half waits, so that pieces come in order.
                            work[waiting, 0], work[waiting, 1] = start + width / 2, end
                            work[waiting, 2], work[waiting, 3] = middle, other
                            ends_by[waiting, 0], ends_by[waiting, 1] = by, other_by
                            work[waiting + 1, 0], work[waiting + 1, 1] = start, start + width / 2
                            work[waiting + 1, 2], work[waiting + 1, 3] = one, middle
                            ends_by[waiting + 1, 0], ends_by[waiting + 1, 1] = one_by, by
                            waiting += 2
                            continue
                        if by == _ELSEWHERE:
                            joined = False
                            continue
                        if by == _WALL and joined:
                            hidden[count - 1, 1] += width
                            continue
                        if count == len(hidden):
                            longer = np.empty((2 * count, 4))
                            longer[:count] = hidden
                            hidden = longer
                        hidden[count, 0], hidden[count, 1] = lengths[corner], width
                        joined = by == _WALL
                        if by == _WALL:
                            hidden[count, 2] = sector[APART]
                            hidden[count, 3] = sector[TURN] + start - turn * 2 * math.pi - sector[START]
                        elif alike:
                            _between(start, width, one, other, hidden[count])
                        else:
                            hidden[count, 2], hidden[count, 3] = middle, -width / 2
                        count += 1
    return count, hidden


@kernel
def areas_and_radii(
    eyes: Floats,
    lengths: Floats,
    at: Numbers,
    before: Numbers,
    whole_m2: Floats,
    radii: Floats,
    areas: Floats,
    ends: Floats,
    corners: Floats,
    free: Floats,
    bends: Floats,
    sector_at: Numbers,
    sectors: Floats,
    edge_at: Numbers,
    edges: Floats,
) -> tuple[Floats, Floats, Floats]:
    """Areas within radii of eyes [m²], radii that hold areas [m], and the free radius of each eye [m].

    Row by row: `radii` and `areas` ask, one row per eye; a radius may be infinite. No area is larger than the whole
    that can be got to. Rows of the answers stand in the same order.
    """
    found_m2 = np.zeros(radii.shape)
    found_m = np.zeros(areas.shape)
    clear_m = np.empty(len(eyes))
    room = 2 * len(ends) + 1
    before_eye = len(corners)
    # The eye stands last among the spots; its view is filled in behind those of the corners.
    spots = np.empty((before_eye + 1, 2))
    spots[:before_eye] = corners
    all_sectors = np.empty((len(sectors) + room, SECTOR_COLUMNS))
    all_sectors[: len(sectors)] = sectors
    all_edges = np.empty((len(edges) + room, 4))
    all_edges[: len(edges)] = edges
    at_sector = np.empty(before_eye + 2, dtype=np.int64)
    at_sector[: before_eye + 1] = sector_at
    at_edge = np.empty(before_eye + 2, dtype=np.int64)
    at_edge[: before_eye + 1] = edge_at
    from_eye = np.zeros(before_eye + 1)
    hidden = np.empty((256, 4))
    for index in range(len(eyes)):
        x, y = eyes[index, 0], eyes[index, 1]
        spots[before_eye, 0], spots[before_eye, 1] = x, y
        own = all_sectors[len(sectors) :]
        count = _look(x, y, ends, own)
        at_sector[before_eye + 1] = len(sectors) + count
        at_edge[before_eye + 1] = len(edges) + _edges_of(x, y, own, count, all_edges[len(edges) :])
        from_eye[:before_eye] = lengths[index]
        clear = math.inf
        for sector in range(count):
            low, high = own[sector, TURN], own[sector, TURN] + own[sector, WIDTH]
            nearest = 0.0 if low <= 0 <= high else min(abs(low), abs(high))
            clear = min(clear, own[sector, APART] / math.cos(nearest))
        clear_m[index] = clear
        most = 0.0
        for number in range(radii.shape[1]):
            if radii[index, number] < math.inf:
                most = max(most, radii[index, number])
        for number in range(areas.shape[1]):
            if areas[index, number] < whole_m2[index]:
                most = max(most, _radius(areas[index, number], clear, own, count, hidden, 0))
        rays = 0
        if most > clear:
            rays, hidden = _hidden(
                most,
                spots,
                free,
                bends,
                from_eye,
                at[index],
                before[index],
                at_sector,
                all_sectors,
                at_edge,
                all_edges,
                hidden,
            )
        for number in range(radii.shape[1]):
            radius = radii[index, number]
            if radius == math.inf:
                found_m2[index, number] = whole_m2[index]
            elif radius > clear:
                found_m2[index, number] = min(_within_m2(radius, own, count, hidden, rays), whole_m2[index])
            elif radius > 0:
                found_m2[index, number] = math.pi * radius * radius
        for number in range(areas.shape[1]):
            found_m[index, number] = math.inf
            if areas[index, number] < whole_m2[index]:
                radius = _radius(areas[index, number], clear, own, count, hidden, rays)
                # What is hidden is measured by rays, so the last square centimetres may be missing.
                found_m[index, number] = min(radius, _farthest(own, count, hidden, rays))
    return found_m2, found_m, clear_m


@kernel
def _radius(area: float, clear: float, sectors: Floats, count: int, hidden: Floats, rays: int) -> float:
    """Radius within which there is some area [m]; infinite where there is not that much."""
    low = math.sqrt(area / math.pi)
    if low <= clear:
        return low
    low_m2 = _within_m2(low, sectors, count, hidden, rays)
    if low_m2 >= area:
        return low
    high, high_m2 = low, low_m2
    farthest = _farthest(sectors, count, hidden, rays)
    while high_m2 < area:
        if high >= farthest:
            return math.inf
        low, low_m2 = high, high_m2
        high = min(high * max(math.sqrt(area / high_m2), 1.05) * 1.05, farthest)
        high_m2 = _within_m2(high, sectors, count, hidden, rays)
    for number in range(_ROUNDS):
        if high - low <= 1e-12 * high:
            break
        share = 0.5 if number % 3 == 2 else (area - low_m2) / (high_m2 - low_m2)
        radius = low + min(max(share, 1e-3), 1 - 1e-3) * (high - low)
        found_m2 = _within_m2(radius, sectors, count, hidden, rays)
        if abs(found_m2 - area) <= 1e-13 * area:
            return radius
        if found_m2 < area:
            low, low_m2 = radius, found_m2
        else:
            high, high_m2 = radius, found_m2
    return high


@kernel
def _farthest(sectors: Floats, count: int, hidden: Floats, rays: int) -> float:
    """Length beyond which nothing more lies [m]."""
    farthest = 0.0
    for sector in range(count):
        farthest = max(farthest, sectors[sector, FAR])
    for ray in range(rays):
        low, high = hidden[ray, 3], hidden[ray, 3] + hidden[ray, 1]
        steepest = min(max(abs(low), abs(high)), math.pi / 2 - 1e-9)
        farthest = max(farthest, hidden[ray, 0] + hidden[ray, 2] / math.cos(steepest))
    return farthest


@kernel
def rims(eyes: Floats, radii: Floats, corners: int, bulge: float, ends: Floats) -> tuple[Numbers, Floats]:
    """Corners of what is seen within a radius of each eye, anticlockwise: where each begins, and all of them.

    Arcs get `corners` corners to a full turn, `bulge` times the radius away, as `shapes.disc` draws them.
    """
    begins = np.zeros(len(eyes) + 1, dtype=np.int64)
    sectors = np.empty((2 * len(ends) + 1, SECTOR_COLUMNS))
    found = np.empty((64 * (len(eyes) + 1), 2))
    count = 0
    for index in range(len(eyes)):
        x, y, radius = eyes[index, 0], eyes[index, 1], radii[index]
        room = _look(x, y, ends, sectors)
        needed = count + corners + 6 * room + 8
        if needed > len(found):
            longer = np.empty((2 * needed, 2))
            longer[:count] = found[:count]
            found = longer
        for sector in range(room):
            start, stop = sectors[sector, START], sectors[sector, START] + sectors[sector, WIDTH]
            apart, normal = sectors[sector, APART], sectors[sector, START] - sectors[sector, TURN]
            low, high = stop, stop
            if apart < radius:
                reach = math.acos(apart / radius)
                low, high = max(start, normal - reach), min(stop, normal + reach)
                if low >= high:
                    low, high = stop, stop
            count = _arc(x, y, radius, start, low, corners, bulge, found, count)
            if low < high:
                for angle in (low, high):
                    along = min(_met(sectors[sector], angle), radius)
                    found[count, 0], found[count, 1] = x + along * math.cos(angle), y + along * math.sin(angle)
                    count += 1
            count = _arc(x, y, radius, high, stop, corners, bulge, found, count)
        begins[index + 1] = count
    return begins, found[:count]


@kernel
def _arc(
    x: float, y: float, radius: float, start: float, stop: float, corners: int, bulge: float, found: Floats, count: int
) -> int:
    """Add the corners of an arc, both ends on the circle; nothing where it has no width."""
    if stop - start <= _NO_WIDTH:
        return count
    found[count, 0], found[count, 1] = x + radius * math.cos(start), y + radius * math.sin(start)
    count += 1
    step = 2 * math.pi / corners
    number = math.floor(start / step) + 1
    while number * step < stop:
        angle = number * step
        found[count, 0], found[count, 1] = x + bulge * radius * math.cos(angle), y + bulge * radius * math.sin(angle)
        count += 1
        number += 1
    found[count, 0], found[count, 1] = x + radius * math.cos(stop), y + radius * math.sin(stop)
    return count + 1
