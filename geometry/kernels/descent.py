"""A spill coming to rest on a sloping grid: round the source, down the steepest way as a tongue, level in hollows.

Cells are counted through a grid that is padded by one cell on every side, so that every cell of the floor has eight
neighbours. `east[c]` is the height of what stands between cell c and its eastern neighbour, `north[c]` between c and
its northern one; a barrier no higher than the film does not stop it. Volumes are spent in one order whatever the
volume, so that a larger spill wets everything a smaller one does.
"""

from heapq import heappop, heappush
from math import atan2, cos, hypot, inf, pi, sin, sqrt

import numpy as np
from numpy.typing import NDArray

from geometry.kernels.jit import kernel

Floats = NDArray[np.float64]
Integers = NDArray[np.int64]
Mask = NDArray[np.bool_]
Passes = NDArray[np.uint8]

_LEFT, _LOST, _LOST_AT, _X_M, _TOP_M, _AWAY_M, _BEFORE = 0, 1, 2, 3, 4, 5, 6  # places in the purse
_COUNT, _STAMP, _SWALLOWED_BY, _WAY = 0, 1, 2, 3  # places in the counts
_ON, _UP = (1, 1, 0, -1, -1, -1, 0, 1), (0, 1, 1, 1, 0, -1, -1, -1)  # columns and rows on, for each way
_SAME_M = 1e-9  # elevations closer than this are one
_WIDTH_FACTOR = (35 / 32 * (14 / 3) ** 3) ** (1 / 7)  # half-width of the steady tongue at x = H / s, over H / s
_CROWDED = 0.741  # film over depth of the steady tongue from which on the tongue could leave no more of it
_CROWDED_SHARE = 0.402  # what it leaves then, over half-width times depth of the steady tongue
_YOUNG_FACTOR = 1.01  # half-width by the time the front gets there, over (volume / slope)^(1/3)
_STRIDE = 3  # so many times in a half-width everything beside the way is looked at
_MOST_STAGES = 1_000_000
_LENGTH_STEP = 0.005


@kernel
def half_width_m(
    x_m: float,
    slope: float,
    thickness: float,
    film: float,
    spent: float,
    steady: bool,  # noqa: FBT001 - kernels take no keywords
) -> float:
    """Find the half-width of what a tongue leaves wet.

    Steady it is e·x^(3/7). Otherwise it is cut where the steady profile, h (1 - y² / Y²) at its flux, is no deeper than
    the film that rests: with q the cut over Y and m the film over h, 16/35 q⁷ + 8/5 m q⁵ + 2 m² q³ + m³ q = 16/35. What
    it leaves grows with the film up to m = 0.741, and no further. Nor is it wider than the volume that has come by then
    has had time for.
    """
    full_m = _WIDTH_FACTOR * (thickness / slope) ** (4 / 7) * x_m ** (3 / 7)
    if steady:
        return float(full_m)
    share = film * 14 * x_m / (3 * slope * full_m * full_m)
    if share >= _CROWDED:
        cut = _CROWDED_SHARE / share
    else:
        cut = 1.0
        for _ in range(8):
            value = 16 / 35 * (cut**7 - 1) + 1.6 * share * cut**5 + 2 * share**2 * cut**3 + share**3 * cut
            cut -= value / (3.2 * cut**6 + 8 * share * cut**4 + 6 * share**2 * cut**2 + share**3)
    return float(min(full_m * cut, _YOUNG_FACTOR * (spent / slope) ** (1 / 3)))


@kernel
def tongue_m(
    volume: float,
    film: float,
    thickness: float,
    slope: float,
    steady: bool,  # noqa: FBT001 - kernels take no keywords
) -> float:
    """Find the length of a tongue that uses up a volume, from the edge of the disc round its source on."""
    x_m = thickness / slope
    spent = pi * x_m * x_m * film
    while spent < volume:
        step_m = _LENGTH_STEP * x_m
        half_m = half_width_m(x_m + step_m / 2, slope, thickness, film, spent, steady)
        taken = 2 * half_m * film * step_m
        if spent + taken >= volume:
            return float(x_m + step_m * (volume - spent) / taken)
        spent += taken
        x_m += step_m
    return float(x_m)


@kernel
def _barrier_m(on_map: Mask, east: Floats, north: Floats, width: int, cell: int, way: int) -> float:
    """Find the height of what stands between a cell and a neighbour; ways count anticlockwise from east.

    Across a corner the highest of what stands on both ways round it counts, so that nothing passes where walls meet.
    """
    if way == 0:
        return float(east[cell])
    if way == 4:
        return float(east[cell - 1])
    if way == 2:
        return float(north[cell])
    if way == 6:
        return float(north[cell - width])
    right = way in (1, 7)
    up = way in (1, 3)
    side = cell + 1 if right else cell - 1
    over = cell + width if up else cell - width
    if not (on_map[side] and on_map[over]):
        return inf
    first = east[cell] if right else east[cell - 1]
    second = east[over] if right else east[over - 1]
    third = north[cell] if up else north[cell - width]
    fourth = north[side] if up else north[side - width]
    return float(max(first, second, third, fourth))


@kernel
def _ways(width: int) -> Integers:
    """How far on in the count of cells each neighbour is."""
    return np.array([1, width + 1, width, width - 1, -1, -width - 1, -width, -width + 1])


@kernel
def _apart_m(width: int, cell_m: float, one: int, other: int) -> float:
    rows = one // width - other // width
    columns = one % width - other % width
    return cell_m * sqrt(rows * rows + columns * columns)


@kernel
def _wet(
    cell: int,
    depth: Floats,
    need: Floats,
    order: Integers,
    counts: Integers,
    purse: Floats,
    volume: float,
    film: float,
    cell_m2: float,
    swallow: Integers,
) -> bool:
    """Lay a film on a cell; False once nothing is left."""
    if depth[cell] > 0:
        return True
    if purse[_LEFT] <= 0:
        return False
    need[cell] = volume - purse[_LEFT]
    order[counts[_COUNT]] = cell
    counts[_COUNT] += 1
    take = film * cell_m2
    if swallow.size > 0 and swallow[cell] > 0:
        counts[_SWALLOWED_BY] = swallow[cell]
        return False
    if purse[_LEFT] < take:
        depth[cell] = purse[_LEFT] / cell_m2
        purse[_LEFT] = 0.0
        return False
    depth[cell] = film
    purse[_LEFT] -= take
    return True


@kernel
def _sift_up(heap: Integers, count: int, key: int) -> None:
    """Add a number to a heap of so many."""
    at = count
    while at > 0:
        above = (at - 1) // 2
        if heap[above] <= key:
            break
        heap[at] = heap[above]
        at = above
    heap[at] = key


@kernel
def _sift_down(heap: Integers, count: int) -> int:
    """Take the least number off a heap of so many."""
    least, key = heap[0], heap[count - 1]
    at, below = 0, 1
    while below < count - 1:
        if below + 1 < count - 1 and heap[below + 1] < heap[below]:
            below += 1
        if heap[below] >= key:
            break
        heap[at] = heap[below]
        at, below = below, 2 * below + 1
    heap[at] = key
    return int(least)


@kernel
def _round_source(
    source: int,
    surface: Floats,
    passes: Passes,
    ways: Integers,
    width: int,
    cell_m: float,
    cell_m2: float,
    film: float,
    thickness: float,
    volume: float,
    depth: Floats,
    need: Floats,
    order: Integers,
    counts: Integers,
    purse: Floats,
    stamp: Integers,
    swallow: Integers,
) -> tuple[int, int]:
    """Wet what lies nearest, until the floor has fallen by as much as the liquid is thick.

    Gives the first cell as low as that (-1: there is none, -2: nothing is left) and the lowest cell met.
    """
    counts[_STAMP] += 1
    mark = counts[_STAMP]
    top = surface[source]
    lowest = source
    source_row, source_column = source // width, source % width
    size = surface.size
    # Square of the distance in cells and the cell in one number, so that the nearest comes first and then the first.
    heap, waiting = np.empty(4096, np.int64), 1
    heap[0] = source
    stamp[source] = mark
    while waiting > 0:
        nearest = _sift_down(heap, waiting)
        waiting -= 1
        cell = nearest % size
        if surface[cell] < top - thickness - _SAME_M:
            purse[_AWAY_M] = cell_m * sqrt(nearest // size)
            return cell, lowest
        if not _wet(cell, depth, need, order, counts, purse, volume, film, cell_m2, swallow):
            return -2, lowest
        if surface[cell] < surface[lowest]:
            lowest = cell
        row, column = cell // width - source_row, cell % width - source_column
        open_ways = passes[cell]
        for way in range(8):
            other = cell + ways[way]
            if not open_ways >> way & 1 or stamp[other] == mark or surface[other] > top + thickness + _SAME_M:
                continue
            stamp[other] = mark
            rows, columns = row + _UP[way], column + _ON[way]
            if waiting == heap.size:
                longer = np.empty(2 * waiting, np.int64)
                longer[:waiting] = heap
                heap = longer
            _sift_up(heap, waiting, (rows * rows + columns * columns) * size + other)
            waiting += 1
    return -1, lowest


@kernel
def _next_down(
    cell: int,
    surface: Floats,
    passes: Passes,
    ways: Integers,
    cell_m: float,
    aside: Floats,
) -> tuple[int, float]:
    """Find the next cell down the steepest way, and how far on along it that is; -1 where none is lower.

    The steepest way is sought over the eight triangles between a cell and its neighbours; of the two cells at the far
    side of the steepest, the one is taken that keeps the path nearest to the true way since it set out (`aside` carries
    how far it lies beside it).
    """
    best, slope, side_way, corner_way, turn, sense = -1.0, 0.0, -1, -1, 0.0, 1.0
    for facet in range(8):
        side = 2 * (facet // 2)
        corner = (side + 1) % 8 if facet % 2 == 0 else (side + 7) % 8
        if not passes[cell] >> side & 1:
            continue
        near = cell + ways[side]
        along = (surface[cell] - surface[near]) / cell_m
        angle, slope = 0.0, along
        far = cell + ways[corner]
        if passes[cell] >> corner & 1:
            across = (surface[near] - surface[far]) / cell_m
            if across >= along:
                angle, slope = pi / 4, (surface[cell] - surface[far]) / (cell_m * sqrt(2.0))
            elif across > 0:
                angle, slope = atan2(across, along), hypot(along, across)
        if slope > best + 1e-15 and slope > 0:
            best, side_way, corner_way, turn = slope, side, corner, angle
            sense = 1.0 if facet % 2 == 0 else -1.0
    if side_way < 0:
        return -1, 0.0
    to_side = cell + ways[side_way]
    to_corner = cell + ways[corner_way]
    beside_side = aside[0] - sense * cell_m * sin(turn)
    beside_corner = aside[0] + sense * cell_m * sqrt(2.0) * sin(pi / 4 - turn)
    corner_lower = turn > 0 and surface[to_corner] < surface[cell] - _SAME_M
    side_lower = surface[to_side] < surface[cell] - _SAME_M
    if corner_lower and (not side_lower or abs(beside_corner) < abs(beside_side)):
        aside[0] = beside_corner
        return to_corner, cell_m * sqrt(2.0) * cos(pi / 4 - turn)
    if side_lower:
        aside[0] = beside_side
        return to_side, cell_m * cos(turn)
    return -1, 0.0


@kernel
def _squares_within(length_m: float, cell_m: float) -> int:
    """Find the largest square of a distance in cells that is no longer than a length."""
    found = int((length_m / cell_m) ** 2)
    while cell_m * sqrt(found) > length_m:
        found -= 1
    while cell_m * sqrt(found + 1) <= length_m:
        found += 1
    return found


@kernel
def _across(
    here_m: float,
    cell_m: float,
    cell_m2: float,
    film: float,
    thickness: float,
    volume: float,
    purse: Floats,
    steady: bool,  # noqa: FBT001 - kernels take no keywords
) -> tuple[float, float]:
    """Find how far to either side the tongue wets where it is now, and how deep the steady one is."""
    x_m = max(purse[_X_M], cell_m)
    slope = max((purse[_TOP_M] - here_m) / x_m, 1e-9)
    full_m = half_width_m(x_m, slope, thickness, film, volume, True)  # noqa: FBT003 - kernels take no keywords
    spent = max(volume - purse[_LEFT] - purse[_BEFORE], film * cell_m2)
    half_m = half_width_m(x_m, slope, thickness, film, spent, steady)
    return half_m, 3 * slope / 14 * full_m * full_m / x_m


@kernel
def _run_down(
    start: int,
    surface: Floats,
    passes: Passes,
    ways: Integers,
    cell_m: float,
    cell_m2: float,
    film: float,
    thickness: float,
    volume: float,
    depth: Floats,
    need: Floats,
    order: Integers,
    counts: Integers,
    purse: Floats,
    stamp: Integers,
    swallow: Integers,
    way_cells: Integers,
    steady: bool,  # noqa: FBT001 - kernels take no keywords
) -> int:
    """Lay a tongue down the steepest way; give the cell where it ends, -1 once nothing is left.

    At each cell of the way everything is wetted that lies on its contour, up to the contour of the next cell, no
    farther from it than the half-width of the tongue and no higher above it than the steady tongue is deep. What lies
    higher than the cell before would have been is looked at once in a third of the half-width, since the next time
    it would nearly all be wet already.
    """
    aside = np.zeros(1)
    unseen = 0
    queue = np.empty((1024, 3), np.int64)  # cells, and how many rows and columns from here
    here = start
    while True:
        counts[_STAMP] += 1
        mark = counts[_STAMP]
        if counts[_WAY] < way_cells.size:
            way_cells[counts[_WAY]] = here
            counts[_WAY] += 1
        below, on_m = _next_down(here, surface, passes, ways, cell_m, aside)
        if here == start and below >= 0:
            # The tongue begins where the slope does, which may lie far from a source on level floor.
            purse[_X_M] += min(purse[_AWAY_M], thickness * on_m / (surface[here] - surface[below]))
        half_m, deep_m = _across(surface[here], cell_m, cell_m2, film, thickness, volume, purse, steady)
        most = _squares_within(half_m, cell_m)
        floor_m = surface[here] - _SAME_M if below < 0 else surface[below]
        whole = unseen == 0 or below < 0
        ceiling_m = surface[here] + (deep_m if whole else min(deep_m, surface[here] - floor_m))
        unseen = unseen + 1 if unseen + 1 < half_m / (_STRIDE * cell_m) else 0
        first, past = 0, 1
        queue[0, 0], queue[0, 1], queue[0, 2] = here, 0, 0
        stamp[here] = mark
        while first < past:
            cell, row, column = queue[first, 0], queue[first, 1], queue[first, 2]
            first += 1
            if not _wet(cell, depth, need, order, counts, purse, volume, film, cell_m2, swallow):
                return -1
            open_ways = passes[cell]
            for way in range(8):
                other = cell + ways[way]
                if not open_ways >> way & 1 or stamp[other] == mark:
                    continue
                if surface[other] < floor_m or surface[other] > ceiling_m:
                    continue
                rows, columns = row + _UP[way], column + _ON[way]
                if rows * rows + columns * columns > most:
                    continue
                stamp[other] = mark
                if past == queue.shape[0]:
                    longer = np.empty((2 * past, 3), np.int64)
                    longer[:past] = queue
                    queue = longer
                queue[past, 0], queue[past, 1], queue[past, 2] = other, rows, columns
                past += 1
        if below < 0:
            return here
        here = below
        purse[_X_M] += on_m


@kernel
def _rise(
    level: float, goal: float, risen_m2: float, cell_m2: float, films: list[float], purse: Floats
) -> tuple[float, float]:
    """Raise a level surface as far as there is liquid; give the level and the area deeper than a film.

    `films` are the elevations at which further cells come to be so, the lowest first.
    """
    while level < goal and purse[_LEFT] > 0:
        stop = min(goal, films[0])
        if risen_m2 > 0 and risen_m2 * (stop - level) > purse[_LEFT]:
            level += purse[_LEFT] / risen_m2
            purse[_LEFT] = 0.0
        else:
            purse[_LEFT] -= risen_m2 * (stop - level)
            level = stop
            while films[0] <= level:
                heappop(films)
                risen_m2 += cell_m2
    return level, risen_m2


@kernel
def _look_round(
    cell: int,
    pit: int,
    level: float,
    mark: int,
    heap: list[tuple[float, float, int, int]],
    surface: Floats,
    bed: Floats,
    on_map: Mask,
    passes: Passes,
    ways: Integers,
    east: Floats,
    north: Floats,
    width: int,
    cell_m: float,
    film: float,
    stamp: Integers,
    noted: Integers,
    crests: Floats,
    whence: Integers,
) -> None:
    """Note the neighbours of a cell of a pond with the level at which it gets to them, the nearest to the pit first."""
    open_ways = passes[cell]
    for way in range(8):
        other = cell + ways[way]
        if stamp[other] == mark:
            continue
        if open_ways >> way & 1:
            crest = max(level, surface[other])
            # What was noted with a lower crest comes first, and then from the cell counted first.
            if noted[other] == mark and (crests[other] < crest or (crests[other] == crest and whence[other] <= cell)):
                continue
            noted[other], crests[other], whence[other] = mark, crest, cell
            heappush(heap, (crest, _apart_m(width, cell_m, pit, other), other, cell))
            continue
        high = _barrier_m(on_map, east, north, width, cell, way)
        if high == inf or (not on_map[other] and way % 2 == 1):
            continue
        crest = level
        if on_map[other]:
            crest = max(crest, surface[other])
        if high > film:
            foot = min(bed[cell], bed[other]) if on_map[other] else bed[cell]
            crest = max(crest, foot + high)
        heappush(heap, (crest, _apart_m(width, cell_m, pit, other), other, cell))


@kernel
def _pond(
    pit: int,
    surface: Floats,
    bed: Floats,
    on_map: Mask,
    passes: Passes,
    ways: Integers,
    east: Floats,
    north: Floats,
    width: int,
    cell_m: float,
    cell_m2: float,
    film: float,
    volume: float,
    depth: Floats,
    need: Floats,
    order: Integers,
    counts: Integers,
    purse: Floats,
    stamp: Integers,
    noted: Integers,
    crests: Floats,
    whence: Integers,
    swallow: Integers,
    record: Floats,
) -> int:
    """Fill a hollow until it spills over; give the first cell beyond its lip, -1 once nothing is left.

    The surface is level, and every cell it has got to holds a film at least. `record` takes the level, the volume that
    stands there, and the cell inside the lip.
    """
    counts[_STAMP] += 1
    mark = counts[_STAMP]
    level = surface[pit]
    members = [pit for _ in range(0)]
    risen_m2 = 0.0  # area over which the liquid is deeper than a film
    films = [inf]  # elevations at which further cells come to be so
    heap = [(level, 0.0, pit, pit)]
    beyond = -1
    while len(heap) > 0 and purse[_LEFT] > 0:
        key, _, cell, inside = heappop(heap)
        if stamp[cell] == mark:
            continue
        level, risen_m2 = _rise(level, key, risen_m2, cell_m2, films, purse)
        if purse[_LEFT] <= 0:
            break
        if not on_map[cell] or surface[cell] < level - _SAME_M:
            record[2] = inside
            beyond = cell
            break
        stamp[cell] = mark
        was = depth[cell]
        if was == 0:
            need[cell] = volume - purse[_LEFT]
            order[counts[_COUNT]] = cell
            counts[_COUNT] += 1
            if swallow.size > 0 and swallow[cell] > 0:
                counts[_SWALLOWED_BY] = swallow[cell]
                break
        more = max(level - bed[cell], film) - was
        if more * cell_m2 > purse[_LEFT]:
            depth[cell] = was + purse[_LEFT] / cell_m2
            purse[_LEFT] = 0.0
            break
        purse[_LEFT] -= more * cell_m2
        members.append(cell)
        if level - bed[cell] >= film:
            risen_m2 += cell_m2
        else:
            heappush(films, bed[cell] + film)
        _look_round(
            cell, pit, level, mark, heap, surface, bed, on_map, passes, ways, east, north, width, cell_m, film, stamp,
            noted, crests, whence,
        )  # fmt: skip
    if len(heap) == 0 and purse[_LEFT] > 0 and beyond < 0 and counts[_SWALLOWED_BY] == 0:
        # Closed in all round by what no liquid passes: it rises without end.
        level, risen_m2 = _rise(level, inf, risen_m2, cell_m2, films, purse)
    standing = 0.0
    for member in members:
        depth[member] = max(level - bed[member], film)
        surface[member] = level
        standing += depth[member] * cell_m2
    record[0], record[1] = level, standing
    return beyond


@kernel
def come_to_rest(
    bed: Floats,
    on_map: Mask,
    passes: Passes,
    east: Floats,
    north: Floats,
    width: int,
    cell_m: float,
    cell_m2: float,
    source: int,
    volume: float,
    film: float,
    thickness: float,
    steady: bool,  # noqa: FBT001 - kernels take no keywords
    swallow: Integers,
    surface: Floats,
    depth: Floats,
    need: Floats,
    stamp: Integers,
    noted: Integers,
    crests: Floats,
    whence: Integers,
    order: Integers,
    counts: Integers,
    way_cells: Integers,
    ponds: Floats,
) -> tuple[int, int, int, int, float, float, float]:
    """Let a volume come to rest.

    Fills `depth` [m] and `need` (what lay on the floor before a cell was reached [m³]) of the cells named in `order`,
    the cells of the way, and for each filling of a hollow its lowest cell, level [m], volume [m³], the cell inside its
    lip and the one beyond (-1: not spilled over). Gives the counts of cells, cells of the way and ponds, the drain that
    took the rest (0: none), what is left for it, what left the map, and what lay on the floor before that.

    `passes` is what `open_ways` gives for the film. `surface` has to be the bed, `depth` dry and `need` infinite;
    `dry_up` makes them so again. `stamp`, `noted`, `crests`, `whence` and `counts` go from one run to the next as they
    are.
    """
    ways = _ways(width)
    counts[_COUNT], counts[_SWALLOWED_BY], counts[_WAY] = 0, 0, 0
    purse = np.zeros(7)
    purse[_LEFT] = volume
    purse[_LOST_AT] = inf
    purse[_TOP_M] = surface[source]
    record = np.zeros(3)
    filled = 0
    start = source
    for _ in range(_MOST_STAGES):
        first, pit = _round_source(
            start, surface, passes, ways, width, cell_m, cell_m2, film, thickness, volume,
            depth, need, order, counts, purse, stamp, swallow,
        )  # fmt: skip
        if first == -2:
            break
        if first >= 0:
            pit = _run_down(
                first, surface, passes, ways, cell_m, cell_m2, film, thickness, volume,
                depth, need, order, counts, purse, stamp, swallow, way_cells, steady,
            )  # fmt: skip
            if pit < 0:
                break
        beyond = _pond(
            pit, surface, bed, on_map, passes, ways, east, north, width, cell_m, cell_m2, film, volume,
            depth, need, order, counts, purse, stamp, noted, crests, whence, swallow, record,
        )  # fmt: skip
        if filled < ponds.shape[0]:
            ponds[filled, 0], ponds[filled, 1], ponds[filled, 2] = pit, record[0], record[1]
            ponds[filled, 3], ponds[filled, 4] = record[2], beyond
            filled += 1
        if beyond < 0:
            break
        if not on_map[beyond]:
            purse[_LOST_AT] = volume - purse[_LEFT]
            purse[_LOST] = purse[_LEFT]
            purse[_LEFT] = 0.0
            break
        start = beyond
        if record[0] - bed[pit] > max(film, thickness):
            # What comes over a lip gathers anew; a hollow shallower than the film gathers nothing.
            purse[_X_M], purse[_TOP_M] = 0.0, surface[beyond]
            purse[_BEFORE] = volume - purse[_LEFT]
    return (
        counts[_COUNT], counts[_WAY], filled, counts[_SWALLOWED_BY],
        purse[_LEFT], purse[_LOST], purse[_LOST_AT],
    )  # fmt: skip


@kernel
def dry_up(bed: Floats, surface: Floats, depth: Floats, need: Floats, order: Integers, counts: Integers) -> None:
    """Undo what the last run did, for the next."""
    for index in range(counts[_COUNT]):
        cell = order[index]
        surface[cell] = bed[cell]
        depth[cell] = 0.0
        need[cell] = inf


@kernel
def contacts(
    bed: Floats,
    on_map: Mask,
    passes: Passes,
    east: Floats,
    north: Floats,
    width: int,
    cell_m: float,
    cell_m2: float,
    sources: Integers,
    volumes: Floats,
    film: float,
    thickness: Floats,
    steady: bool,  # noqa: FBT001 - kernels take no keywords
    targets: Integers,
    begins: Integers,
    surface: Floats,
    depth: Floats,
    need: Floats,
    stamp: Integers,
    noted: Integers,
    crests: Floats,
    whence: Integers,
    order: Integers,
    counts: Integers,
    needed: Floats,
    lost_at: Floats,
) -> None:
    """Let many volumes come to rest, each alone, and note how much lay on the floor before each target was reached.

    `thickness` goes with the volumes. The cells of target j are `targets[begins[j]:begins[j + 1]]`. Fills `needed` (one
    row per volume [m³]) and `lost_at` (what lay on the floor before the first left the map [m³]); infinite where it
    never came to that.
    """
    nothing, no_ponds = np.zeros(0, np.int64), np.zeros((0, 5))
    for row in range(sources.size):
        _, _, _, _, _, lost, before = come_to_rest(
            bed, on_map, passes, east, north, width, cell_m, cell_m2, sources[row], volumes[row], film, thickness[row],
            steady, nothing, surface, depth, need, stamp, noted, crests, whence, order, counts, nothing, no_ponds,
        )  # fmt: skip
        lost_at[row] = before if lost > 0 else inf
        for column in range(begins.size - 1):
            least = inf
            for index in range(begins[column], begins[column + 1]):
                least = min(least, need[targets[index]])
            needed[row, column] = least
        dry_up(bed, surface, depth, need, order, counts)


@kernel
def open_ways(on_map: Mask, east: Floats, north: Floats, width: int, film: float) -> Passes:
    """Find for each cell on the map to which of its neighbours a film gets: one bit each, anticlockwise from east."""
    ways = _ways(width)
    found = np.zeros(on_map.size, np.uint8)
    for cell in range(on_map.size):
        if on_map[cell]:
            for way in range(8):
                if on_map[cell + ways[way]] and _barrier_m(on_map, east, north, width, cell, way) <= film:
                    found[cell] |= np.uint8(1 << way)
    return found


@kernel
def grow_within(
    cells: Integers, allowed: Mask, on_map: Mask, east: Floats, north: Floats, width: int, film: float
) -> Integers:
    """Find the allowed cells that hang together with some cells without a barrier higher than the film between."""
    ways = _ways(width)
    seen = np.zeros(on_map.size, np.bool_)
    found = np.empty(on_map.size, np.int64)
    count = 0
    for cell in cells:
        if not seen[cell]:
            seen[cell] = True
            found[count] = cell
            count += 1
    first = 0
    while first < count:
        cell = found[first]
        first += 1
        for way in range(8):
            other = cell + ways[way]
            if not on_map[other] or not allowed[other] or seen[other]:
                continue
            if _barrier_m(on_map, east, north, width, cell, way) <= film:
                seen[other] = True
                found[count] = other
                count += 1
    return found[:count].copy()


@kernel
def first_spills(
    bed: Floats,
    on_map: Mask,
    east: Floats,
    north: Floats,
    width: int,
    cell_m: float,
    cell_m2: float,
    least: float,
    plenty: float,
    ponds: Floats,
) -> int:
    """Fill every hollow by itself until it spills over; rows as in `come_to_rest`, of those that hold `least` [m³].

    `plenty` is more than any of them holds [m³].
    """
    ways, passes = _ways(width), open_ways(on_map, east, north, width, 0.0)
    surface = bed.copy()
    depth, need = np.zeros(bed.size), np.zeros(bed.size)
    stamp, order = np.zeros(bed.size, np.int64), np.empty(bed.size, np.int64)
    noted, whence, crests = np.zeros(bed.size, np.int64), np.empty(bed.size, np.int64), np.empty(bed.size)
    known = np.zeros(bed.size, np.bool_)
    counts = np.zeros(4, np.int64)
    purse, record = np.zeros(7), np.zeros(3)
    swallow = np.zeros(0, np.int64)
    found = 0
    for cell in range(bed.size):
        if not on_map[cell] or known[cell] or found == ponds.shape[0]:
            continue
        lowest = True
        for way in range(8):
            other = cell + ways[way]
            lower = on_map[other] and bed[other] < bed[cell] - _SAME_M
            if lower and _barrier_m(on_map, east, north, width, cell, way) == 0:
                lowest = False
                break
        if not lowest:
            continue
        counts[_COUNT] = 0
        purse[_LEFT] = plenty
        beyond = _pond(
            cell, surface, bed, on_map, passes, ways, east, north, width, cell_m, cell_m2, 0.0, plenty,
            depth, need, order, counts, purse, stamp, noted, crests, whence, swallow, record,
        )  # fmt: skip
        lowest_cell = cell
        for index in range(counts[_COUNT]):
            member = order[index]
            if bed[member] < bed[lowest_cell]:
                lowest_cell = member
            if bed[member] <= bed[cell] + _SAME_M:
                known[member] = True
            depth[member] = 0.0
            surface[member] = bed[member]
        if beyond >= 0 and record[1] >= least:
            ponds[found, 0], ponds[found, 1], ponds[found, 2] = lowest_cell, record[0], record[1]
            ponds[found, 3], ponds[found, 4] = record[2], beyond
            found += 1
    return found
