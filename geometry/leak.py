"""How fast a drum runs out through a hole, and how much of it can: first version, vented drums."""

import math
from dataclasses import dataclass

from geometry.constants import FOOT_M, GRAVITY_M_S2, INCH_M
from geometry.errors import GeometryRefused

SHARP_ROUND = 0.61
"""Discharge coefficient of a sharp-edged round hole: usual safety-handbook value, recalled. The Encyclopaedia
Britannica, 11th edition, Hydraulics, section 18 has 0.62."""

SLOT = 0.64
"""Of a sharp-edged slot of 4 to 1. Source: Encyclopaedia Britannica, 11th edition, Hydraulics, coefficient table."""

SHORT_TUBE = 0.80
"""Of a short tube, as an open bung fitting is. Source: published orifice tables (0.798)."""

IN_DOUBT = 1.0
"""Where nothing is known of the hole: no real hole lets more through."""


@dataclass(frozen=True, slots=True)
class RunOut:
    """How a vented drum empties through one hole.

    Parameters
    ----------
    first_m3_s : float
        Flow at the start [m³/s].
    leaves_m3 : float
        What can leave: the liquid above the hole [m³].
    half_s : float
        Time until half of that has left [s].
    empty_s : float
        Time until the flow stops [s].
    """

    first_m3_s: float
    leaves_m3: float
    half_s: float
    empty_s: float


def round_hole_m2(diameter_m: float) -> float:
    """Area of a round hole.

    Parameters
    ----------
    diameter_m : float
        Diameter [m].

    Returns
    -------
    float
        Area [m²].

    Raises
    ------
    GeometryRefused
        If the diameter is negative or not finite.
    """
    return math.pi * _checked("hole diameter", diameter_m) ** 2 / 4


def jet_speed_m_s(head_m: float, *, gauge_pa: float = 0.0, density_kg_m3: float = 1000.0) -> float:
    """Speed of a jet from an ideal hole.

    Parameters
    ----------
    head_m : float
        Liquid above the hole [m].
    gauge_pa : float
        Pressure over the liquid above that of the air [Pa].
    density_kg_m3 : float
        Of the liquid [kg/m³]; matters only under pressure.

    Returns
    -------
    float
        Speed [m/s].

    Raises
    ------
    GeometryRefused
        If a value is out of range or not finite.

    References
    ----------
    .. [1] Torricelli's law; with pressure, D. A. Crowl and J. F. Louvar, Chemical Process Safety, chapter 4
       (recalled, not read).
    """
    if not math.isfinite(density_kg_m3) or density_kg_m3 <= 0:
        raise GeometryRefused(f"density: expected more than 0 kg/m³, found {density_kg_m3}")
    return math.sqrt(2 * (GRAVITY_M_S2 * _checked("head", head_m) + _checked("pressure", gauge_pa) / density_kg_m3))


def outflow_m3_s(
    head_m: float, hole_m2: float, coefficient: float, *, gauge_pa: float = 0.0, density_kg_m3: float = 1000.0
) -> float:
    """Flow through a hole.

    Parameters
    ----------
    head_m : float
        Liquid above the hole [m].
    hole_m2 : float
        Area of the hole [m²]; 0 lets nothing out.
    coefficient : float
        Discharge coefficient, above 0, at most 1 [-].
    gauge_pa, density_kg_m3 : float
        As in `jet_speed_m_s`.

    Returns
    -------
    float
        Flow [m³/s].

    Raises
    ------
    GeometryRefused
        If a value is out of range or not finite.

    Notes
    -----
    For thin liquids. Below a Reynolds number of about ten thousand it gives too much.
    """
    speed = jet_speed_m_s(head_m, gauge_pa=gauge_pa, density_kg_m3=density_kg_m3)
    return _coefficient(coefficient) * _checked("hole area", hole_m2) * speed


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
    return section_m2 / (_coefficient(coefficient) * hole_m2 * GRAVITY_M_S2) * (fast - slow)


def upright_run_out(
    diameter_m: float, level_m: float, *, hole_height_m: float, hole_m2: float, coefficient: float
) -> RunOut:
    """How an upright vented drum empties through a hole in its wall or bottom.

    Parameters
    ----------
    diameter_m : float
        Inside diameter of the drum [m].
    level_m : float
        Liquid in it [m].
    hole_height_m : float
        Height of the hole above the bottom inside [m].
    hole_m2 : float
        Area of the hole [m²].
    coefficient : float
        Discharge coefficient, above 0, at most 1 [-].

    Returns
    -------
    RunOut
        All zero where the hole lies above the liquid.

    Raises
    ------
    GeometryRefused
        If the drum holds no liquid, the hole is larger than the drum, or a value is out of range or not finite.

    Notes
    -----
    A closed drum runs out more slowly and may stall; a vented one is the cautious case.

    References
    ----------
    .. [1] Torricelli's law integrated over the level.
    """
    section = round_hole_m2(diameter_m)
    if _checked("level", level_m) == 0:
        raise GeometryRefused("leak: expected a drum with liquid in it, found an empty one")
    _hole_in(hole_m2, section, "drum")
    head = level_m - _checked("height of hole", hole_height_m)
    if head <= 0:
        return RunOut(0.0, 0.0, 0.0, 0.0)
    return RunOut(
        first_m3_s=outflow_m3_s(head, hole_m2, coefficient),
        leaves_m3=section * head,
        half_s=time_between_levels_s(section, head, head / 2, hole_m2=hole_m2, coefficient=coefficient),
        empty_s=time_between_levels_s(section, head, 0.0, hole_m2=hole_m2, coefficient=coefficient),
    )


def lying_volume_m3(diameter_m: float, length_m: float, depth_m: float) -> float:
    """Liquid in a lying drum.

    Parameters
    ----------
    diameter_m, length_m : float
        Inside diameter and length of the drum [m].
    depth_m : float
        Depth of liquid over the lowest line [m].

    Returns
    -------
    float
        Volume [m³].

    Raises
    ------
    GeometryRefused
        If the depth is more than the diameter, or a value is out of range or not finite.

    References
    ----------
    .. [1] Area of a segment of a circle.
    """
    if _checked("depth", depth_m) > _checked("diameter", diameter_m):
        raise GeometryRefused(f"depth in lying drum: expected at most {diameter_m} m, found {depth_m}")
    radius = diameter_m / 2
    if radius == 0:
        return 0.0
    segment = radius**2 * math.acos(1 - depth_m / radius) - (radius - depth_m) * math.sqrt(
        depth_m * (diameter_m - depth_m)
    )
    # Both terms are alike for a mere film, and their difference may round to just below nothing.
    return _checked("length", length_m) * max(segment, 0.0)


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
    return 4 * length_m * drained / (3 * _coefficient(coefficient) * hole_m2 * math.sqrt(2 * GRAVITY_M_S2))


def unwin_coefficient(head_m: float, diameter_m: float) -> float:
    """Discharge coefficient of a sharp round hole by Unwin's fit.

    Parameters
    ----------
    head_m : float
        Liquid above the hole [m].
    diameter_m : float
        Diameter of the hole [m].

    Returns
    -------
    float
        0.6075 + 0.0098/√h - 0.0037 d, with h in feet and d in inches.

    Raises
    ------
    GeometryRefused
        If the head is not above zero, or a value is out of range or not finite.

    References
    ----------
    .. [1] Encyclopaedia Britannica, 11th edition, Hydraulics, section 18.
    """
    if _checked("head", head_m) == 0:
        raise GeometryRefused("head: expected more than 0 m, found 0")
    return 0.6075 + 0.0098 / math.sqrt(head_m / FOOT_M) - 0.0037 * _checked("hole diameter", diameter_m) / INCH_M


def _hole_in(hole_m2: float, section_m2: float, what: str) -> None:
    _checked("hole area", hole_m2)
    if hole_m2 == 0:
        raise GeometryRefused("hole area: expected more than 0 m², found 0")
    if hole_m2 >= section_m2:
        raise GeometryRefused(f"hole area: expected less than the {what}'s {section_m2:.4g} m², found {hole_m2:.4g}")


def _coefficient(coefficient: float) -> float:
    if not 0 < coefficient <= 1:
        raise GeometryRefused(f"discharge coefficient: expected more than 0 and at most 1, found {coefficient}")
    return coefficient


def _checked(name: str, value: float) -> float:
    if not math.isfinite(value) or value < 0:
        raise GeometryRefused(f"{name}: expected 0 or more, found {value}")
    return value
