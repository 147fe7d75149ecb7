"""What a kerbed area holds, against the published rules and against sprinkler water.

Litres and minutes here, since that is how the rules are read and printed.
"""

import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import ArrayLike

from geometry.errors import GeometryRefused
from geometry.leak import Leak
from geometry.ranges import not_negative

SPRINKLER_MINUTES = 20.0
"""Minutes of sprinkler water beside the largest vessel. Source: International Fire Code 5004.2.2.3."""


def lip_capacity_m3(area_m2: float, lip_m: float) -> float:
    """Volume a level kerbed area takes up to its lowest lip, whatever outlets it has.

    Parameters
    ----------
    area_m2 : float
        Area inside the kerb [m²].
    lip_m : float
        Lowest height of the kerb [m].

    Returns
    -------
    float
        Volume [m³].

    Raises
    ------
    GeometryRefused
        If a value is negative or not finite.

    Notes
    -----
    Level floor. The volume of what stands inside below the lip is not taken off, so the true one is a little less.
    """
    return not_negative("area", area_m2) * not_negative("lip", lip_m)


def capacity_m3(area_m2: float, lip_m: float, *, open_outlets: int) -> float:
    """Volume a level kerbed area can be trusted to hold.

    Parameters
    ----------
    area_m2 : float
        Area inside the kerb [m²].
    lip_m : float
        Lowest height of the kerb [m].
    open_outlets : int
        Outlets (drains, valves, gaps) that are open or not proven shut.

    Returns
    -------
    float
        Volume [m³]; 0 while any outlet is open or unproven.

    Raises
    ------
    GeometryRefused
        If a value is negative or not finite.

    Notes
    -----
    As `lip_capacity_m3`.
    """
    volume_m3 = lip_capacity_m3(area_m2, lip_m)
    return 0.0 if not_negative("open outlets", open_outlets) else volume_m3


def sloping_capacity_m3(elevation_m: ArrayLike, lip_level_m: float, *, cell_m2: float, open_outlets: int) -> float:
    """Volume a kerbed area with an uneven or sloping floor can be trusted to hold up to its lowest lip.

    Parameters
    ----------
    elevation_m : array_like
        Levels of the floor inside the kerb, one for each cell of it [m].
    lip_level_m : float
        Level of the lowest point of the kerb's crest, from the same datum [m].
    cell_m2 : float
        Area of a cell, above 0 [m²].
    open_outlets : int
        As in `capacity_m3`.

    Returns
    -------
    float
        Volume [m³]: what lies between floor and lip level; 0 while any outlet is open or unproven.

    Raises
    ------
    GeometryRefused
        If no level is given, one is not finite, or a value is negative or not finite.

    Notes
    -----
    One hollow: where ridges inside the kerb stand above the lip's level, what runs into one hollow may go over the lip
    before the others are full. On a level floor this is `capacity_m3`; a floor that rises away from the lip holds less.
    """
    levels = np.asarray(elevation_m, dtype=np.float64)
    if levels.size == 0 or not np.all(np.isfinite(levels)) or not math.isfinite(lip_level_m):
        raise GeometryRefused(f"levels inside a kerb: expected finite ones, found {levels.tolist()}, lip {lip_level_m}")
    if not_negative("area of cell", cell_m2) == 0:
        raise GeometryRefused("area of cell: expected more than 0 m², found 0")
    volume_m3 = float(np.maximum(lip_level_m - levels, 0.0).sum()) * cell_m2
    return 0.0 if not_negative("open outlets", open_outlets) else volume_m3


def drum_rules_l(capacities_l: Sequence[float]) -> dict[str, float]:
    """Say what the published rules ask for a set of containers, side by side.

    Parameters
    ----------
    capacities_l : sequence of float
        Capacity of every container with liquid inside the kerb [L]; may be empty.

    Returns
    -------
    dict of str to float
        Volume each rule asks for [L]: *largest drum*, *10 % of all*, *25 % of all*, *110 % of largest*.

    Raises
    ------
    GeometryRefused
        If a capacity is negative or not finite.

    Notes
    -----
    The rules disagree, so all are shown. US waste stores: 10 % of all or the largest, whichever is more. One US
    military handbook: 110 % of the largest or 10 % of all. British habit: 110 % of the largest or 25 % of all.

    References
    ----------
    .. [1] 40 CFR 264.175(b)(3).
    .. [2] MIL-HDBK-1022A, page 185.
    .. [3] CIRIA C736, Containment systems for the prevention of pollution (recalled, not read).
    """
    for capacity in capacities_l:
        not_negative("capacity of container", capacity)
    largest, total = max(capacities_l, default=0.0), math.fsum(capacities_l)
    return {
        "largest drum": largest,
        "10 % of all": total * 0.10,
        "25 % of all": total * 0.25,
        "110 % of largest": largest * 1.10,
    }


def waste_store_need_l(capacities_l: Sequence[float]) -> float:
    """Volume asked for by the US rule for waste stores: the largest container or 10 % of all, whichever is more.

    Parameters
    ----------
    capacities_l : sequence of float
        Capacity of every container [L]; may be empty.

    Returns
    -------
    float
        Volume [L].

    Raises
    ------
    GeometryRefused
        If a capacity is negative or not finite.

    References
    ----------
    .. [1] 40 CFR 264.175(b)(3).
    """
    rules = drum_rules_l(capacities_l)
    return max(rules["largest drum"], rules["10 % of all"])


def sprinkler_l_min(density_mm_min: float, area_m2: float) -> float:
    """Water from sprinklers over an area.

    Parameters
    ----------
    density_mm_min : float
        Water per area and time [mm/min, the same as L/min per m²].
    area_m2 : float
        Area over which heads are open [m²].

    Returns
    -------
    float
        Flow [L/min].

    Raises
    ------
    GeometryRefused
        If a value is negative or not finite.

    Notes
    -----
    Say beside the number over what area heads are taken as open.
    """
    return not_negative("water density", density_mm_min) * not_negative("area", area_m2)


def heads_open(area_m2: float, area_per_head_m2: float) -> int:
    """Count the sprinkler heads that are taken as open over an area.

    Parameters
    ----------
    area_m2 : float
        Area over which heads are open: the design area, or the wetted one where that is smaller [m²].
    area_per_head_m2 : float
        Area that one head covers, above 0 [m²]; where it is not on record say the area instead.

    Returns
    -------
    int
        Heads, rounded up.

    Raises
    ------
    GeometryRefused
        If a value is negative or not finite, or a head covers nothing.
    """
    if not_negative("area per head", area_per_head_m2) == 0:
        raise GeometryRefused("area per head: expected more than 0 m², found 0")
    # A hair's breadth over a whole number of heads is rounding, not another head.
    return math.ceil(not_negative("area", area_m2) / area_per_head_m2 - 1e-9)


def overflow_min(free_l: float, inflow_l_min: float) -> float:
    """Time until what is free overflows.

    Parameters
    ----------
    free_l : float
        Volume still free [L].
    inflow_l_min : float
        What comes in [L/min].

    Returns
    -------
    float
        Time [min]; infinite where nothing comes in.

    Raises
    ------
    GeometryRefused
        If a value is negative or not finite.
    """
    not_negative("free volume", free_l)
    return free_l / inflow_l_min if not_negative("inflow", inflow_l_min) > 0 else math.inf


def full_after_s(free_m3: float, leak: Leak, *, steady_m3_s: float = 0.0) -> float:
    """Time until a leak, and what runs in beside it, has filled what is free: a kerb, a pit or a holding tank.

    Parameters
    ----------
    free_m3 : float
        Volume still free [m³].
    leak : Leak
        What runs in and fades.
    steady_m3_s : float
        What runs in beside it and does not, such as sprinkler or hose water [m³/s].

    Returns
    -------
    float
        Time [s]; infinite where the leak gives out first and nothing else runs in.

    Raises
    ------
    GeometryRefused
        If a value is negative or not finite.

    Notes
    -----
    All of it is taken as getting there at once; nothing stays as a film on the way.
    """
    not_negative("inflow", steady_m3_s)
    if not_negative("free volume", free_m3) == 0:
        return 0.0
    if steady_m3_s == 0:
        return leak.when_out_s(free_m3)
    within = leak.out_m3(leak.time_s) + steady_m3_s * leak.time_s
    if within[-1] < free_m3:
        return leak.stop_s + (free_m3 - float(within[-1])) / steady_m3_s
    step = int(np.searchsorted(within, free_m3, side="left")) - 1
    if step < 0:
        return 0.0
    lasts = float(leak.time_s[step + 1] - leak.time_s[step])
    first, last = float(leak.flow_m3_s[step]) + steady_m3_s, float(leak.flow_m3_s[step + 1]) + steady_m3_s
    more = free_m3 - float(within[step])
    root = math.sqrt(max(first**2 + 2 * (last - first) / lasts * more, 0.0))
    return float(leak.time_s[step]) + 2 * more / (first + root)


def twenty_minute_need_l(largest_l: float, inflow_l_min: float) -> float:
    """Volume of the largest vessel and twenty minutes of sprinkler water.

    Parameters
    ----------
    largest_l : float
        Largest container [L].
    inflow_l_min : float
        Sprinkler water over the design area or the room, whichever is smaller [L/min].

    Returns
    -------
    float
        Volume [L].

    Raises
    ------
    GeometryRefused
        If a value is negative or not finite.

    References
    ----------
    .. [1] International Fire Code 5004.2.2.3.
    """
    return not_negative("largest container", largest_l) + not_negative("inflow", inflow_l_min) * SPRINKLER_MINUTES
