"""What a kerbed area holds, against the published rules and against sprinkler water."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from geometry.errors import GeometryRefused

SPRINKLER_MINUTES = 20.0
"""Minutes of sprinkler water beside the largest vessel (common practice, no source read)."""


@dataclass(frozen=True, slots=True)
class ContainmentRule:
    """What one rule asks of a containment.

    Parameters
    ----------
    name : str
        The rule, for people.
    needed_m3 : float
        Volume it asks for [m³].
    source : str
        Where the rule comes from, and whether it was read or recalled.
    """

    name: str
    needed_m3: float
    source: str


def capacity_m3(area_m2: float, lip_m: float, *, open_outlets: int) -> float:
    """Volume a level kerbed area holds up to its lowest lip.

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
    Level floor; what stands inside is not taken off, so that the true capacity is a little less.
    """
    _checked("area", area_m2)
    _checked("lip", lip_m)
    _checked("open outlets", open_outlets)
    return 0.0 if open_outlets else area_m2 * lip_m


def published_rules(container_volumes_m3: Sequence[float]) -> tuple[ContainmentRule, ...]:
    """What the published rules ask for a set of containers, side by side.

    Parameters
    ----------
    container_volumes_m3 : sequence of float
        Volume of every container with liquid inside the kerb [m³]; may be empty.

    Returns
    -------
    tuple of ContainmentRule
        Largest container; 10 % of all; 25 % of all; 110 % of the largest.

    Raises
    ------
    GeometryRefused
        If a volume is negative or not finite.

    Notes
    -----
    The rules disagree; all are shown. US waste stores: 10 % of all or the largest, whichever is more. One US military
    handbook: 110 % of the largest or 10 % of all. British habit: 110 % of the largest or 25 % of all.

    References
    ----------
    .. [1] 40 CFR 264.175(b).
    .. [2] MIL-HDBK-1022A, page 185.
    .. [3] CIRIA C736, Containment systems for the prevention of pollution (recalled, not read).
    """
    for volume in container_volumes_m3:
        _checked("container volume", volume)
    largest, total = max(container_volumes_m3, default=0.0), math.fsum(container_volumes_m3)
    return (
        ContainmentRule("largest container", largest, "40 CFR 264.175(b)"),
        ContainmentRule("10 % of all containers", total * 0.10, "40 CFR 264.175(b)"),
        ContainmentRule("25 % of all containers", total * 0.25, "CIRIA C736 (recalled, not read)"),
        ContainmentRule(
            "110 % of the largest container",
            largest * 1.10,
            "MIL-HDBK-1022A, page 185; CIRIA C736 (recalled, not read)",
        ),
    )


def waste_rule_m3(container_volumes_m3: Sequence[float]) -> float:
    """Volume asked for by the US rule for waste stores: the largest container or 10 % of all, whichever is more.

    Parameters
    ----------
    container_volumes_m3 : sequence of float
        Volume of every container [m³]; may be empty.

    Returns
    -------
    float
        Volume [m³].

    Raises
    ------
    GeometryRefused
        If a volume is negative or not finite.

    References
    ----------
    .. [1] 40 CFR 264.175(b).
    """
    largest, tenth, _, _ = published_rules(container_volumes_m3)
    return max(largest.needed_m3, tenth.needed_m3)


def sprinkler_flow_m3_s(density_m_s: float, area_m2: float) -> float:
    """Water from sprinklers over an area.

    Parameters
    ----------
    density_m_s : float
        Water per area and time [m/s]; 12.2 mm/min is 2.033e-4.
    area_m2 : float
        Area over which heads are open [m²].

    Returns
    -------
    float
        Flow [m³/s].

    Raises
    ------
    GeometryRefused
        If a value is negative or not finite.

    Notes
    -----
    Say beside the number how many heads, or what area, are taken as open.
    """
    return _checked("water density", density_m_s) * _checked("area", area_m2)


def overflow_time_s(free_m3: float, inflow_m3_s: float) -> float:
    """Time until what is free overflows.

    Parameters
    ----------
    free_m3 : float
        Volume still free [m³].
    inflow_m3_s : float
        What comes in [m³/s].

    Returns
    -------
    float
        Time [s]; infinite where nothing comes in.

    Raises
    ------
    GeometryRefused
        If a value is negative or not finite.
    """
    _checked("free volume", free_m3)
    _checked("inflow", inflow_m3_s)
    return free_m3 / inflow_m3_s if inflow_m3_s > 0 else math.inf


def with_sprinklers_m3(largest_m3: float, inflow_m3_s: float, *, minutes: float = SPRINKLER_MINUTES) -> float:
    """Volume of the largest vessel and some minutes of sprinkler water.

    Parameters
    ----------
    largest_m3 : float
        Largest container [m³].
    inflow_m3_s : float
        Sprinkler water [m³/s].
    minutes : float
        How long it runs [min].

    Returns
    -------
    float
        Volume [m³].

    Raises
    ------
    GeometryRefused
        If a value is negative or not finite.
    """
    _checked("largest container", largest_m3)
    return largest_m3 + _checked("inflow", inflow_m3_s) * _checked("minutes", minutes) * 60


def _checked(name: str, value: float) -> float:
    if not math.isfinite(value) or value < 0:
        raise GeometryRefused(f"{name}: expected 0 or more, found {value}")
    return value
