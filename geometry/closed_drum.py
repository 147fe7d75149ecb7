"""What a closed drum does: its headspace stretches until it holds the liquid back, then air glugs in through the hole.

A closed drum is never counted on to stop. Where its closure is not known the vented leak is used, which is faster.
"""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from geometry.constants import ATMOSPHERE_PA, GRAVITY_M_S2
from geometry.drum import DrumShape, Posture, held_m3, level_of_m
from geometry.errors import GeometryRefused
from geometry.orifice import Hole
from geometry.ranges import above_zero

AIR_KG_M3 = 1.204
"""Dry air at 20 °C and one atmosphere: ideal gas of 28.96 g/mol."""

GLUG = 3.0
"""Factor of the time in which an ideal bottle on its head empties.
Source: Clanet and Searby, Journal of Fluid Mechanics 510 (2004) (recalled, not read)."""

HOLDING = 3.682
"""Capillary lengths across the widest hole that may hold: twice 1.841, the first mode in a round tube.
Source: Rayleigh and Taylor's instability in a tube (recalled, not read)."""

FLOODING = (0.7, 1.0)
"""Constant of the flooding correlation, low and high. Source: Wallis; Whalley 1987 (recalled, not read)."""

SIDE_HOLES = "side holes let air in sooner: do not promise a stop"


@dataclass(frozen=True, slots=True)
class Stall:
    """Where a closed drum would come to a stop, if no air came in through the hole.

    Parameters
    ----------
    out_m3 : float
        What has left by then [m³].
    head_m : float
        Liquid that then stands over the hole [m].
    suction_pa : float
        How far the headspace then is below the air outside [Pa].
    """

    out_m3: float
    head_m: float
    suction_pa: float


def stall(drum: DrumShape, content_m3: float, hole_height_m: float, *, posture: Posture, density_kg_m3: float) -> Stall:
    """Find where a closed drum stalls, holding its liquid back by the suction in its headspace.

    Parameters
    ----------
    drum : DrumShape
        Its inside.
    content_m3 : float
        Liquid in it [m³].
    hole_height_m : float
        Height of the hole above the lowest point inside [m].
    posture : Posture
        *upright* or *lying*.
    density_kg_m3 : float
        Of the liquid, above 0 [kg/m³].

    Returns
    -------
    Stall
        Of nothing where the hole lies above the liquid, or the drum is full to the brim.

    Raises
    ------
    GeometryRefused
        If the drum holds more than it can, the hole lies above it, or a value is out of range or not finite.

    Notes
    -----
    Information, not a promise: it may go on glugging, and side holes let air in sooner. The gas keeps its temperature
    and the drum its shape, and vapour of the liquid does not fill the headspace: a volatile liquid loses more.

    References
    ----------
    .. [1] Boyle's law against the head of liquid: P x / (V + x) = ρ g h.
    """
    level = level_of_m(drum, content_m3, posture)
    above_zero("density", density_kg_m3)
    if not 0 <= hole_height_m <= drum.height_m(posture):
        raise GeometryRefused(
            f"height of hole: expected 0 to the drum's {drum.height_m(posture)} m, found {hole_height_m}"
        )
    head = max(level - hole_height_m, 0.0)
    stands = held_m3(drum, np.array([level]), posture)[0]
    headspace = max(drum.capacity_m3 - stands, 0.0)

    def gone(over_hole_m: float) -> float:
        level_m = min(hole_height_m + over_hole_m, drum.height_m(posture))  # a sum may be above the brim by rounding
        return max(float(stands - held_m3(drum, np.array([level_m]), posture)[0]), 0.0)

    low, high = 0.0, head
    while low < (middle := (low + high) / 2) < high:
        if ATMOSPHERE_PA * _stretch(gone(middle), headspace) < density_kg_m3 * GRAVITY_M_S2 * middle:
            high = middle
        else:
            low = middle
    return Stall(gone(high), high, density_kg_m3 * GRAVITY_M_S2 * high)


def closed_heads_m(heads_m: NDArray[np.float64], stalls_at_m: float) -> NDArray[np.float64]:
    """Add levels to a table where a closed drum's flow falls off, in the first litre.

    Parameters
    ----------
    heads_m : (n,) array
        Liquid over the hole, falling to 0 [m].
    stalls_at_m : float
        Liquid over the hole where it stalls [m].

    Returns
    -------
    (m,) array
        The same and more, falling to 0 [m].
    """
    fine = stalls_at_m + (heads_m[0] - stalls_at_m) * np.linspace(1.0, 0.0, 33) ** 2
    return np.unique(np.concatenate([heads_m, fine]))[::-1]


def closed_flow_m3_s(
    drum: DrumShape,
    hole: Hole,
    heads_m: NDArray[np.float64],
    left_m3: NDArray[np.float64],
    density_kg_m3: float,
) -> NDArray[np.float64]:
    """Flow out of a closed drum at given levels.

    Parameters
    ----------
    drum : DrumShape
    hole : Hole
    heads_m : (n,) array
        Liquid over the hole, falling [m].
    left_m3 : (n,) array
        What is left in the drum at these levels, the first being what it began with [m³].
    density_kg_m3 : float
        Of the liquid, above 0 [kg/m³].

    Returns
    -------
    (n,) array
        Flow [m³/s]: what the headspace still lets out or what glugs, whichever is more; never more than vented.

    Raises
    ------
    GeometryRefused
        If the density is not above zero or not finite.
    """
    gone = np.maximum(left_m3[0] - left_m3, 0.0)
    headspace = max(drum.capacity_m3 - float(left_m3[0]), 0.0)
    suction = np.array([ATMOSPHERE_PA * _stretch(each, headspace) for each in gone.tolist()])
    net = np.maximum(GRAVITY_M_S2 * heads_m - suction / above_zero("density", density_kg_m3), 0.0)
    vented, held_back = (hole.coefficient * hole.area_m2 * np.sqrt(2 * each) for each in (GRAVITY_M_S2 * heads_m, net))
    return np.asarray(np.maximum(held_back, np.minimum(glug_m3_s(hole.diameter_m), vented)))


def glug_m3_s(diameter_m: float) -> float:
    """Flow out of a closed drum on its head that glugs through its open bung.

    Parameters
    ----------
    diameter_m : float
        Diameter of the opening [m].

    Returns
    -------
    float
        Flow [m³/s]; it hangs on neither drum nor level.

    Raises
    ------
    GeometryRefused
        If the diameter is not above zero or not finite.

    Notes
    -----
    For a round opening that faces down, thin liquid. A second hole can help or hinder. A side hole or a slot may let
    air in along its upper edge and run faster, up to vented.

    References
    ----------
    .. [1] C. Clanet and G. Searby, On the glug-glug of ideal bottles, Journal of Fluid Mechanics 510 (2004): time
       3.0 L/√(g D) (D/d)^2.5 (recalled, not read); as a flow, the drum's own sizes cancel.
    """
    return math.pi / (4 * GLUG) * math.sqrt(GRAVITY_M_S2) * float(above_zero("hole diameter", diameter_m) ** 2.5)


def glug_time_s(drum: DrumShape, diameter_m: float) -> float:
    """Time in which a full closed drum on its head empties by glugging.

    Parameters
    ----------
    drum : DrumShape
    diameter_m : float
        Diameter of the open bung [m].

    Returns
    -------
    float
        Time [s].

    Raises
    ------
    GeometryRefused
        If the opening is as wide as the drum, or its diameter not above zero or not finite.

    References
    ----------
    .. [1] As `glug_m3_s`.
    """
    if above_zero("hole diameter", diameter_m) >= drum.diameter_m:
        raise GeometryRefused(f"hole diameter: expected less than the drum's {drum.diameter_m} m, found {diameter_m}")
    slow = GLUG * drum.length_m / math.sqrt(GRAVITY_M_S2 * drum.diameter_m)
    return float(slow * (drum.diameter_m / diameter_m) ** 2.5)


def flooding_m3_s(diameter_m: float, density_kg_m3: float) -> tuple[float, float]:
    """Flow through an opening in which air goes up as fast as liquid comes down: a second opinion on glugging.

    Parameters
    ----------
    diameter_m : float
        Diameter of the opening [m].
    density_kg_m3 : float
        Of the liquid, more than air [kg/m³].

    Returns
    -------
    tuple of float
        Flow, low and high [m³/s], for both ends of `FLOODING`.

    Raises
    ------
    GeometryRefused
        If the liquid is not denser than air, or a value is not above zero or not finite.

    References
    ----------
    .. [1] G. B. Wallis's flooding correlation, √j_g* + √j_l* = C; C from P. B. Whalley, 1987 (recalled, not read).
    """
    if above_zero("density", density_kg_m3) <= AIR_KG_M3:
        raise GeometryRefused(f"density: expected more than that of air, {AIR_KG_M3} kg/m³, found {density_kg_m3}")
    area = math.pi * above_zero("hole diameter", diameter_m) ** 2 / 4
    buoyant = math.sqrt(GRAVITY_M_S2 * diameter_m * (density_kg_m3 - AIR_KG_M3))
    low, high = (area * c**2 * buoyant / (AIR_KG_M3**0.25 + density_kg_m3**0.25) ** 2 for c in FLOODING)
    return low, high


def holding_diameter_m(surface_tension_n_m: float, density_kg_m3: float) -> float:
    """Width up to which a level hole that faces down may hold the liquid of a closed drum.

    Parameters
    ----------
    surface_tension_n_m : float
        Of the liquid [N/m].
    density_kg_m3 : float
        Of the liquid [kg/m³].

    Returns
    -------
    float
        Diameter [m].

    Raises
    ------
    GeometryRefused
        If a value is not above zero or not finite.

    Notes
    -----
    Information only: a side hole lets air in sooner, and a knock starts any hole. Do not promise a stop.

    References
    ----------
    .. [1] Rayleigh and Taylor's instability of the face of a liquid in a tube: 3.68 capillary lengths (recalled).
    """
    length = above_zero("surface tension", surface_tension_n_m) / (above_zero("density", density_kg_m3) * GRAVITY_M_S2)
    return HOLDING * math.sqrt(length)


def _stretch(gone_m3: float, headspace_m3: float) -> float:
    """By what share the pressure in a headspace falls; a drum without any cannot let go of a drop."""
    return gone_m3 / (headspace_m3 + gone_m3) if headspace_m3 > 0 else 1.0
