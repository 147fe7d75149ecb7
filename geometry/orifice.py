"""Holes in drums: their kinds, how well each lets liquid through, and the flow under a head."""

import itertools
import math
from dataclasses import dataclass

from geometry.constants import FOOT_M, GRAVITY_M_S2, INCH_M
from geometry.errors import GeometryRefused
from geometry.ranges import above_zero, not_negative, share_above_zero

SHARP_ROUND = 0.61
"""Discharge coefficient of a sharp-edged round hole: usual safety-handbook value, recalled. The Encyclopaedia
Britannica, 11th edition, Hydraulics, section 18 has 0.62."""

SLOT = 0.64
"""Of a sharp-edged slot of 4 to 1. Source: Encyclopaedia Britannica, 11th edition, Hydraulics, coefficient table."""

SLOTS = ((1.0, 0.628), (4.0, 0.643), (16.0, 0.664))
"""Of sharp-edged slots, length over width and coefficient, each the upper of the two that are printed.
Source: Encyclopaedia Britannica, 11th edition, Hydraulics, coefficient table (0.196 in², heads of 1 and 2 ft)."""

SHORT_TUBE = 0.80
"""Of a short tube, as an open bung fitting is. Source: published orifice tables (0.798)."""

IN_DOUBT = 1.0
"""Where nothing is known of the hole: no real hole lets more through."""

ORIFICE_REYNOLDS = 1e4
"""Reynolds number in the hole below which the orifice law gives too much (recalled, not read; the abstract of Joye and
Barrett 2003 says so without the number)."""


@dataclass(frozen=True, slots=True)
class Hole:
    """A hole in a drum as the drum stands or lies.

    Parameters
    ----------
    area_m2 : float
        Its area [m²].
    coefficient : float
        Discharge coefficient, above 0, at most 1 [-].
    height_m : float
        Height of its lowest edge above the lowest point inside the drum [m]; what stands below stays in.

    Raises
    ------
    GeometryRefused
        If the area is not above zero, or a value is out of range or not finite.

    Notes
    -----
    The head is counted from the lowest edge, so that the flow of a hole tall beside the liquid over it comes out too
    large: the cautious side.
    """

    area_m2: float
    coefficient: float
    height_m: float

    def __post_init__(self) -> None:
        above_zero("hole area", self.area_m2)
        share_above_zero("discharge coefficient", self.coefficient)
        not_negative("height of hole", self.height_m)

    @property
    def diameter_m(self) -> float:
        """Diameter of the round hole of the same area [m]."""
        return math.sqrt(4 * self.area_m2 / math.pi)


def round_hole(diameter_m: float, height_m: float = 0.0) -> Hole:
    """Sharp-edged round hole.

    Parameters
    ----------
    diameter_m : float
        Diameter [m].
    height_m : float
        Height of its lowest edge above the lowest point inside [m].

    Returns
    -------
    Hole
        With `SHARP_ROUND`.

    Raises
    ------
    GeometryRefused
        As `Hole`.

    Notes
    -----
    Briscoe and Shaw, 1980, page 127, take about 0.5; the larger value is the cautious one.
    """
    return Hole(round_hole_m2(diameter_m), SHARP_ROUND, height_m)


def slot(length_m: float, width_m: float, height_m: float = 0.0) -> Hole:
    """Sharp-edged slot or split.

    Parameters
    ----------
    length_m, width_m : float
        Its sides [m]; either may be the longer.
    height_m : float
        Height of its lowest edge above the lowest point inside [m].

    Returns
    -------
    Hole
        With the coefficient of `slot_coefficient`.

    Raises
    ------
    GeometryRefused
        As `Hole`.
    """
    area_m2 = not_negative("slot length", length_m) * not_negative("slot width", width_m)
    if area_m2 == 0:
        raise GeometryRefused(f"slot: expected sides of more than 0 m, found {length_m} by {width_m}")
    return Hole(area_m2, slot_coefficient(length_m, width_m), height_m)


def open_bung(diameter_m: float, height_m: float = 0.0) -> Hole:
    """Open bung, whose fitting is a short tube.

    Parameters
    ----------
    diameter_m : float
        Clear diameter [m].
    height_m : float
        Height of its lowest edge above the lowest point inside [m].

    Returns
    -------
    Hole
        With `SHORT_TUBE`.

    Raises
    ------
    GeometryRefused
        As `Hole`.
    """
    return Hole(round_hole_m2(diameter_m), SHORT_TUBE, height_m)


def slot_coefficient(length_m: float, width_m: float) -> float:
    """Discharge coefficient of a sharp-edged slot by its slenderness.

    Parameters
    ----------
    length_m, width_m : float
        Its sides, above 0 [m].

    Returns
    -------
    float
        Between the printed values in a straight line over the logarithm of length over width; beyond 16 to 1 the last
        of them. A tear with its edges bent outward lets through more, up to `IN_DOUBT`.

    Raises
    ------
    GeometryRefused
        If a side is not above zero or not finite.

    References
    ----------
    .. [1] Encyclopaedia Britannica, 11th edition, Hydraulics, coefficient table; the line between is ours.
    """
    short, long = sorted((not_negative("slot length", length_m), not_negative("slot width", width_m)))
    if short == 0:
        raise GeometryRefused(f"slot: expected sides of more than 0 m, found {length_m} by {width_m}")
    slender = math.log(long / short)
    for (ratio, low), (next_ratio, high) in itertools.pairwise(SLOTS):
        start, end = math.log(ratio), math.log(next_ratio)
        if slender <= end:
            return low + (high - low) * (slender - start) / (end - start)
    return SLOTS[-1][1]


def hole_reynolds(head_m: float, diameter_m: float, viscosity_m2_s: float) -> float:
    """Reynolds number of the jet in a hole.

    Parameters
    ----------
    head_m : float
        Liquid above the hole [m].
    diameter_m : float
        Diameter of the hole, or of the round one of the same area [m].
    viscosity_m2_s : float
        Kinematic viscosity of the liquid, above 0 [m²/s].

    Returns
    -------
    float
        Below `ORIFICE_REYNOLDS` the true leak is slower than these laws say.

    Raises
    ------
    GeometryRefused
        If a value is out of range or not finite.
    """
    return jet_speed_m_s(head_m) * not_negative("hole diameter", diameter_m) / above_zero("viscosity", viscosity_m2_s)


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
    return math.pi * not_negative("hole diameter", diameter_m) ** 2 / 4


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
    return math.sqrt(
        2 * (GRAVITY_M_S2 * not_negative("head", head_m) + not_negative("pressure", gauge_pa) / density_kg_m3)
    )


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
    return share_above_zero("discharge coefficient", coefficient) * not_negative("hole area", hole_m2) * speed


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
    head_ft, diameter_in = above_zero("head", head_m) / FOOT_M, not_negative("hole diameter", diameter_m) / INCH_M
    return 0.6075 + 0.0098 / math.sqrt(head_ft) - 0.0037 * diameter_in
