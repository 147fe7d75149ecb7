"""Times of emptying in closed form, for vented vessels: what the tables of `leak` are held against."""

import math

from geometry.constants import GRAVITY_M_S2
from geometry.drum import lying_volume_m3
from geometry.errors import GeometryRefused
from geometry.orifice import jet_speed_m_s, round_hole_m2
from geometry.ranges import above_zero, share_above_zero


def time_between_levels_s(
    section_m2: float,
    from_m: float,
    to_m: float,
    *,
    hole_m2: float,
    coefficient: float,
    gauge_pa: float = 0.0,
    density_kg_m3: float = 1000.0,
) -> float:
    """Time in which the level over a hole falls, in a vessel of the same section all the way up.

    Parameters
    ----------
    section_m2 : float
        Section of the vessel [m²].
    from_m, to_m : float
        Level above the hole at first and at last [m].
    hole_m2 : float
        Area of the hole [m²].
    coefficient : float
        Discharge coefficient, above 0, at most 1 [-].
    gauge_pa, density_kg_m3 : float
        As in `jet_speed_m_s`; the pressure is kept up.

    Returns
    -------
    float
        Time [s].

    Raises
    ------
    GeometryRefused
        If the level would rise, the hole is as wide as the vessel, or a value is out of range or not finite.

    References
    ----------
    .. [1] Torricelli's law integrated over the level, for instance Engineering Prep, problem 435.
    """
    if to_m > from_m:
        raise GeometryRefused(f"level: expected one that falls, found {from_m} to {to_m} m")
    _hole_in(hole_m2, section_m2, "vessel")
    fast = jet_speed_m_s(from_m, gauge_pa=gauge_pa, density_kg_m3=density_kg_m3)
    slow = jet_speed_m_s(to_m, gauge_pa=gauge_pa, density_kg_m3=density_kg_m3)
    share_above_zero("discharge coefficient", coefficient)
    return section_m2 / (coefficient * hole_m2 * GRAVITY_M_S2) * (fast - slow)


def lying_time_to_empty_s(
    diameter_m: float, length_m: float, depth_m: float, *, hole_m2: float, coefficient: float
) -> float:
    """Time in which a lying vented drum empties through a hole at its lowest line.

    Parameters
    ----------
    diameter_m, length_m : float
        Inside diameter and length of the drum [m].
    depth_m : float
        Depth of liquid at first [m].
    hole_m2 : float
        Area of the hole [m²].
    coefficient : float
        Discharge coefficient, above 0, at most 1 [-].

    Returns
    -------
    float
        Time [s].

    Raises
    ------
    GeometryRefused
        If the drum holds no liquid, is shallower than the liquid, the hole is larger than the drum's head, or a value
        is out of range or not finite.

    References
    ----------
    .. [1] Torricelli's law integrated over the depth: 4 L [D^1.5 - (D - h)^1.5] / (3 C A sqrt(2 g)).
    """
    if lying_volume_m3(diameter_m, length_m, depth_m) == 0:
        raise GeometryRefused("leak: expected a drum with liquid in it, found an empty one")
    _hole_in(hole_m2, round_hole_m2(diameter_m), "drum")
    drained: float = diameter_m**1.5 - (diameter_m - depth_m) ** 1.5
    share_above_zero("discharge coefficient", coefficient)
    return 4 * length_m * drained / (3 * coefficient * hole_m2 * math.sqrt(2 * GRAVITY_M_S2))


def _hole_in(hole_m2: float, section_m2: float, what: str) -> None:
    if above_zero("hole area", hole_m2) >= section_m2:
        raise GeometryRefused(f"hole area: expected less than the {what}'s {section_m2:.4g} m², found {hole_m2:.4g}")
