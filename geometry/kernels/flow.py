"""Steps of a thin film over a grid: fluxes through cell faces, what a cell can give, new depths; many steps to a call.

All arrays are padded by two cells on every side, of which the inner are swept. Face [r, c] of the x fluxes lies between
cell [r, c] and [r, c + 1], that of the y fluxes between [r, c] and [r + 1, c]. Loops run along rows without branches,
so that they compile to vector instructions; every expression gives the same number, to the last bit, for a floor that
is mirrored or turned by a quarter.
"""

from math import pi, sqrt

import numpy as np
from numpy.typing import NDArray

from geometry.kernels.jit import kernel

Floats = NDArray[np.float64]
Integers = NDArray[np.int64]

_TINY = 1e-40  # keeps a division by nothing at nothing
_GRAVITY_M_S2 = 9.80665  # as in geometry.constants; a kernel reads no names of other modules
_COURANT = 0.7  # share of the longest stable step: the depth at the source may double before the next is worked out
_LONGEST_STEP_S = 1.0
_AHEAD = 0.25  # of a step
_MOST_FASTER = 64.0  # gravity waves are made at most eight times as fast
_MOST_GRIP = 100.0  # that of a micrometre
_LEAST_DEEP_M = 1e-4  # a floor that is nearly dry asks for no longer steps
_VECTOR = 8
_MARGIN = 4  # cells around what is wet that are swept as well; a front goes one cell in a step


@kernel
def stable_step_s(cell_m: float, depth_m: float, viscosity_m2_s: float, dimensions: int) -> float:
    """Find the longest stable step at a depth, times the Courant number 0.7.

    Linear stability of the scheme on standing waves of two cells: d·g·h·(dt / dx)² ≤ 1 + k·dt / 2 with k = 3ν / h²,
    which is dx / √(d·g·h) without friction and the limit of explicit diffusion, k·dx² / (2·d·g·h), with much of it.
    """
    wave = dimensions * _GRAVITY_M_S2 * depth_m / cell_m**2
    half_friction = 1.5 * viscosity_m2_s / depth_m**2
    return _COURANT * (half_friction + sqrt(half_friction**2 + 4 * wave)) / (2 * wave)


@kernel
def _faces(
    flux: Floats,
    one: Floats,
    other: Floats,
    bed_one: Floats,
    bed_other: Floats,
    crest: Floats,
    grip_one: Floats,
    grip_other: Floats,
    deepest: Floats,
    step_s: float,
    cell_m: float,
    viscosity_m2_s: float,
    film_m: float,
    manning: float,
    level: bool,  # noqa: FBT001 - kernels take no keywords
) -> None:
    """Advance the fluxes per width through a row of faces, from *one* to *other* [m²/s]."""
    push = _GRAVITY_M_S2 * step_s / cell_m
    drag = 3 * viscosity_m2_s
    rough = _GRAVITY_M_S2 * manning * manning
    wave = push * step_s / cell_m
    for c in range(len(flux)):
        # The edge of a resting film stands as high as the film; so that is what a front has to rise over, and what lies
        # lower draws no more than a front at that depth.
        deep_one = max(one[c], film_m)
        deep_other = max(other[c], film_m)
        top_one = bed_one[c] + deep_one
        top_other = bed_other[c] + deep_other
        drop = top_one - top_other
        sill = max(bed_one[c], bed_other[c])
        up = max(max(top_one, top_other) - (sill + crest[c]), 0.0)
        below = deep_one if drop < 0 else deep_other
        down = min(max(below - crest[c], 0.0), 2 * up)
        grip = grip_one[c] if drop > 0 else grip_other[c]
        # Mean of h³ between both depths: the flux is then the exact difference of h⁴ / 4.
        mobility = 0.25 * ((up + down) * (up * up + down * down))
        old = flux[c]
        friction = max(drag, rough * abs(old) * grip)
        square = up * up
        brake = step_s * friction
        if level:
            flux[c] = (old * square + push * mobility * drop) / (square + brake)
        else:
            fall = abs(bed_one[c] - bed_other[c])
            upwind = max(1 - (up + down) / (3 * fall + _TINY), 0.0)
            mobility = mobility + upwind * (up * square - mobility)
            # Inertia is lessened where the law would let roll waves grow, kinematic waves (three times as fast as the
            # film, by Manning's law 5/3) being faster than gravity waves; as far as the step allows, and so that the
            # steady flux stays the same. Speed as it is or as the slope makes it, whichever is less: a pond has none.
            steep = min(fall, abs(drop)) / cell_m
            speed = min(_GRAVITY_M_S2 * steep * square / friction, abs(old) / (up + _TINY))
            kinematic = 3 * speed if friction <= drag else (5.0 / 3.0) * speed
            wanted = max(min(2 * kinematic * kinematic / (_GRAVITY_M_S2 * up + _TINY), _MOST_FASTER), 1.0)
            deepest[c] = max(deepest[c], up * wanted)
            allowed = 2 * _COURANT * square / max(4 * wave * up * square - brake, _TINY)
            faster = min(wanted, max(allowed, 1.0))
            flux[c] = (old * square + faster * push * mobility * drop) / (square + faster * brake)


@kernel
def _shares(
    share: Floats, west: Floats, east: Floats, south: Floats, north: Floats, depth: Floats, film_m: float, ratio: float
) -> None:
    """Find what share of its outflow each cell of a row can give from above its film."""
    for c in range(len(share)):
        out = (max(east[c], 0.0) + max(-west[c], 0.0)) + (max(north[c], 0.0) + max(-south[c], 0.0))
        share[c] = min(max(depth[c] - film_m, 0.0) / (ratio * out + _TINY), 1.0)


@kernel
def _cut(flux: Floats, share_one: Floats, share_other: Floats) -> None:
    """Reduce fluxes to what the cells they come from can give."""
    for c in range(len(flux)):
        flux[c] = flux[c] * (share_one[c] if flux[c] > 0 else share_other[c])


@kernel
def _depths(
    depth: Floats,
    west: Floats,
    east: Floats,
    south: Floats,
    north: Floats,
    grip: Floats,
    head: Floats,
    arrival: Floats,
    deepest: Floats,
    ratio: float,
    drag_step: float,
    now_s: float,
    wet_m: float,
) -> None:
    """Give a row its new depths, the moment where it became wet, and what the next fluxes go by.

    Head is the depth a little ahead of its time: that damps waves of a few cells, which nothing else would in thin
    liquids, and changes nothing that is steady. Only where inertia counts: a film that friction rules needs no damping,
    and would bear less of a step. Grip, one over the cube root of the depth, follows it by one step of Newton's method:
    exact where the depth lasts, a few steps behind where a floor has just become wet.
    """
    for c in range(len(depth)):
        gain = ratio * ((west[c] - east[c]) + (south[c] - north[c]))
        new = depth[c] + gain
        square = new * new
        depth[c] = new
        head[c] = new + _AHEAD * gain * square / (square + drag_step)
    # A second loop, since one that writes to so many rows is not made into vector instructions.
    for c in range(len(depth)):
        new = depth[c]
        deepest[c] = max(deepest[c], new)
        arrival[c] = min(arrival[c], now_s if new >= wet_m else np.inf)
        last = max(grip[c], 1.0)
        grip[c] = min(last * (4 - min(new * (last * last * last), 2.5)) * (1.0 / 3.0), _MOST_GRIP)


@kernel
def _spans(depth: Floats, wet: Integers, span: Integers, band: Integers, columns: int) -> None:
    """Find the columns of each row that may become wet within the next steps; what was wet counts as wet."""
    rows = len(wet)
    for r in range(max(band[0], 1), min(band[1], rows - 1)):
        # Columns of the row that were wet before, none as (columns, 0); only beyond these has a scan to look.
        first, past = wet[r, 0], wet[r, 1]
        for c in range(span[r, 0], min(first, span[r, 1])):
            if depth[r, c] > 0:
                first = c
                break
        for c in range(span[r, 1] - 1, max(past, span[r, 0]) - 1, -1):
            if depth[r, c] > 0:
                past = c + 1
                break
        wet[r, 0], wet[r, 1] = first, past
    top, bottom = rows, 0
    for r in range(1, rows - 1):
        low, high = columns, 0
        for near in range(max(r - _MARGIN, 1), min(r + _MARGIN + 1, rows - 1)):
            if wet[near, 1] > wet[near, 0]:
                low, high = min(low, wet[near, 0]), max(high, wet[near, 1])
        if high > low:
            # Whole vectors: what is left over at the end of a row costs as much as several of them.
            first, past = max(low - _MARGIN, 1), min(high + _MARGIN, columns - 1)
            past = min(first + (past - first + _VECTOR - 1) // _VECTOR * _VECTOR, columns - 1)
            span[r, 0], span[r, 1] = max(past - (past - first + _VECTOR - 1) // _VECTOR * _VECTOR, 1), past
            top, bottom = min(top, r), max(bottom, r + 1)
        else:
            span[r, 0], span[r, 1] = 1, 1
    band[0], band[1] = top, bottom


@kernel
def _table_at(times: Floats, values: Floats, at: int, now: float) -> float:
    """Read a table between two of its rows."""
    last = len(times) - 1
    if now >= times[last]:
        return float(values[last])
    share = (now - times[at]) / (times[at + 1] - times[at])
    return float(values[at] + share * (values[at + 1] - values[at]))


@kernel
def _sweep(
    cells: Floats,
    arrival_s: Floats,
    span: Integers,
    band: Integers,
    deepest: Floats,
    step_s: float,
    now_s: float,
    cell_m: float,
    viscosity_m2_s: float,
    film_m: float,
    wet_m: float,
    manning: float,
    level: bool,  # noqa: FBT001 - kernels take no keywords
) -> int:
    """Make one step over all rows, the depths one row behind the fluxes; give the count of cells swept."""
    depth, bed, crest_x, crest_y = cells[0], cells[1], cells[2], cells[3]
    flux_x, flux_y, share, grip, head = cells[4], cells[5], cells[6], cells[7], cells[8]
    ratio = step_s / cell_m
    swept = 0
    for r in range(band[0], band[1] + 1):
        if r < band[1]:
            a, b = span[r, 0], span[r, 1]
            _faces(
                flux_x[r, a:b],
                head[r, a:b],
                head[r, a + 1 : b + 1],
                bed[r, a:b],
                bed[r, a + 1 : b + 1],
                crest_x[r, a:b],
                grip[r, a:b],
                grip[r, a + 1 : b + 1],
                deepest[a:b],
                step_s,
                cell_m,
                viscosity_m2_s,
                film_m,
                manning,
                level,
            )
            _faces(
                flux_y[r, a:b],
                head[r, a:b],
                head[r + 1, a:b],
                bed[r, a:b],
                bed[r + 1, a:b],
                crest_y[r, a:b],
                grip[r, a:b],
                grip[r + 1, a:b],
                deepest[a:b],
                step_s,
                cell_m,
                viscosity_m2_s,
                film_m,
                manning,
                level,
            )
            _shares(
                share[r, a:b],
                flux_x[r, a - 1 : b - 1],
                flux_x[r, a:b],
                flux_y[r - 1, a:b],
                flux_y[r, a:b],
                depth[r, a:b],
                film_m,
                ratio,
            )
            _cut(flux_x[r, a:b], share[r, a:b], share[r, a + 1 : b + 1])
            swept += b - a
        if r > band[0]:
            s = r - 1
            a, b = span[s, 0], span[s, 1]
            _cut(flux_y[s, a:b], share[s, a:b], share[r, a:b])
            _depths(
                depth[s, a:b],
                flux_x[s, a - 1 : b - 1],
                flux_x[s, a:b],
                flux_y[s - 1, a:b],
                flux_y[s, a:b],
                grip[s, a:b],
                head[s, a:b],
                arrival_s[s, a:b],
                deepest[a:b],
                ratio,
                3 * viscosity_m2_s * step_s,
                now_s,
                wet_m,
            )
    return swept


@kernel
def _coming_m(flow_m3_s: float, cells: int, cell_m: float) -> float:
    """Estimate the depth that a leak stands at where it meets the floor: twice the critical one at the rim."""
    per_width = flow_m3_s / (2 * cell_m * sqrt(pi * cells))
    return float(2 * (per_width * per_width / _GRAVITY_M_S2) ** (1.0 / 3.0))


@kernel
def _swallow(
    depth: Floats,
    head: Floats,
    arrival_s: Floats,
    sinks: Integers,
    taken_m3: Floats,
    first_s: Floats,
    area_m2: float,
    now_s: float,
) -> None:
    """Empty the cells of drains and beyond the edge of the floor."""
    for n in range(len(sinks)):
        r, c, drain = sinks[n, 0], sinks[n, 1], sinks[n, 2]
        if depth[r, c] > 0:
            taken_m3[drain] += depth[r, c] * area_m2
            first_s[drain] = min(first_s[drain], now_s)
            arrival_s[r, c] = min(arrival_s[r, c], now_s)
            depth[r, c] = 0.0
            head[r, c] = 0.0


@kernel
def _largest(cells: Floats, span: Integers, band: Integers) -> float:
    """Find the largest value, sign aside, in what is swept."""
    largest = 0.0
    for r in range(band[0], band[1]):
        for c in range(span[r, 0], span[r, 1]):
            largest = max(largest, abs(cells[r, c]))
    return largest


@kernel
def advance(
    cells: Floats,
    arrival_s: Floats,
    wet: Integers,
    span: Integers,
    band: Integers,
    sinks: Integers,
    taken_m3: Floats,
    first_s: Floats,
    sources: Integers,
    weights: Floats,
    leak_s: Floats,
    leak_m3: Floats,
    clock: Floats,
    stop_s: float,
    steps: int,
    cell_m: float,
    viscosity_m2_s: float,
    film_m: float,
    wet_m: float,
    manning: float,
    level: bool,  # noqa: FBT001 - kernels take no keywords
) -> tuple[int, int]:
    """Let the film flow until a time, or for a number of steps.

    Parameters
    ----------
    cells : (9, rows, columns) array
        Depth, bed, crest on the x and on the y faces, flux through them, share, grip and head.
    arrival_s : (rows, columns) array
        When each cell became wet.
    wet, span : (rows, 2) arrays
        First and past-the-last column that is wet, and that is swept.
    band : (2,) array
        First and past-the-last row that is swept.
    sinks : (n, 3) array
        Row, column and number of the drain of each cell that swallows.
    taken_m3, first_s : (drains,) arrays
        What each has swallowed [m³], and since when [s].
    sources, weights : (n, 2) and (n,) arrays
        Cells into which the leak runs, and their shares.
    leak_s, leak_m3 : (n,) arrays
        What has left the drum, as a table.
    clock : (3,) array
        Time [s], what has left the drum until then [m³], and the largest flux of the last step [m²/s].
    stop_s, steps : float, int
        When to return, whichever comes first.
    cell_m, viscosity_m2_s, film_m, wet_m, manning : float
        Side of a cell, viscosity, what a cell keeps, the depth at which it counts as wet, roughness of the bed.
    level : bool
        Whether the bed is level.

    Returns
    -------
    (int, int)
        Steps made, and cells swept in them.
    """
    depth = cells[0]
    columns = depth.shape[1]
    deepest = np.zeros(columns)
    deepest_m = _largest(depth, span, band)
    at, done, swept = 0, 0, 0
    area_m2 = cell_m * cell_m
    while clock[0] < stop_s and done < steps:
        if done % (_MARGIN - 1) == 0:
            _spans(depth, wet, span, band, columns)
        now = clock[0]
        while at < len(leak_s) - 2 and leak_s[at + 1] <= now:
            at += 1
        flow = (leak_m3[at + 1] - leak_m3[at]) / (leak_s[at + 1] - leak_s[at]) if now < leak_s[-1] else 0.0
        depth_m = max(deepest_m, _coming_m(flow, len(weights), cell_m), _LEAST_DEEP_M)
        step_s = min(stable_step_s(cell_m, depth_m, viscosity_m2_s, 2), _LONGEST_STEP_S)
        if now + step_s >= stop_s:
            step_s = stop_s - now
            clock[0] = stop_s
        else:
            clock[0] = now + step_s
        while at < len(leak_s) - 2 and leak_s[at + 1] <= clock[0]:
            at += 1
        out_m3 = _table_at(leak_s, leak_m3, at, clock[0])
        for n in range(len(weights)):
            more_m = weights[n] * (out_m3 - clock[1]) / area_m2
            depth[sources[n, 0], sources[n, 1]] += more_m
            cells[8, sources[n, 0], sources[n, 1]] += more_m
        clock[1] = out_m3
        deepest[:] = 0.0
        swept += _sweep(
            cells,
            arrival_s,
            span,
            band,
            deepest,
            step_s,
            clock[0],
            cell_m,
            viscosity_m2_s,
            film_m,
            wet_m,
            manning,
            level,
        )
        _swallow(depth, cells[8], arrival_s, sinks, taken_m3, first_s, area_m2, clock[0])
        deepest_m = deepest.max()
        done += 1
    clock[2] = max(_largest(cells[4], span, band), _largest(cells[5], span, band))
    return done, swept
