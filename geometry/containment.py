"""What a kerbed area holds, against the published rules and against sprinkler water.

Litres and minutes here, since that is how the rules are read and printed.
"""

import math
from collections.abc import Sequence

from geometry.errors import GeometryRefused

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
    return _checked("area", area_m2) * _checked("lip", lip_m)


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
    return 0.0 if _checked("open outlets", open_outlets) else volume_m3


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
        _checked("capacity of container", capacity)
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
    return _checked("water density", density_mm_min) * _checked("area", area_m2)


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
    _checked("free volume", free_l)
    return free_l / inflow_l_min if _checked("inflow", inflow_l_min) > 0 else math.inf


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
    return _checked("largest container", largest_l) + _checked("inflow", inflow_l_min) * SPRINKLER_MINUTES


def _checked(name: str, value: float) -> float:
    if not math.isfinite(value) or value < 0:
        raise GeometryRefused(f"{name}: expected 0 or more, found {value}")
    return value
