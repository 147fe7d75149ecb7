"""What the published rules say of how large a spill gets: side by side, since they disagree by a factor of 14."""

from dataclasses import dataclass

from geometry.constants import FOOT_M
from geometry.errors import GeometryRefused
from geometry.ranges import above_zero, not_negative

THIN_SPILL = "SFPE Handbook of Fire Protection Engineering, Gottuk and White, Liquid Fuel Fires (recalled, not read)"
ROUGHNESS = "TNO Yellow Book, CPR 14E, 3rd edition, chapter 3, table of surface roughness (recalled, not read)"
ONE_CENTIMETRE = "US EPA on 40 CFR 68.25; DOE-STD-3014-96, page 86: pool 1 cm deep"
PUDDLE = "de Gennes, Brochard-Wyart and Quéré, Capillarity and Wetting Phenomena, chapter 2 (as quoted, book not read)"

REGULATORY_DEPTH_M = 0.01
"""Depth of an unconfined pool in worst-case rules for vapour. Source: `ONE_CENTIMETRE`."""

REGULATORY_DEPTH_FEET_M = 0.033 * FOOT_M
"""The same depth as the guidance rounds it for areas in square feet (recalled, not read)."""

THIN_SPILL_BREAK_M3 = 0.095
"""Volume at which the handbook's rule changes branch. Source: `THIN_SPILL`."""

SMALL_SPILL_M2_PER_M3 = 1400.0
"""Area per volume below the break: 1.4 m²/L, a film of 0.71 mm. Source: `THIN_SPILL`."""

LARGE_SPILL_M2_PER_M3 = 360.0
"""Area per volume from the break on: 0.36 m²/L, a film of 2.8 mm. Source: `THIN_SPILL`."""

ROUGHNESS_DEPTH_M = {
    "concrete": 0.005,
    "flat sandy soil": 0.005,
    "stones": 0.005,
    "gravel": 0.010,
    "rough soil or grass": 0.020,
    "potholes": 0.025,
}
"""Depth at which a spill stops on each surface [m]. Source: `ROUGHNESS`."""


@dataclass(frozen=True, slots=True)
class SpillRule:
    """What one published rule says of one spill.

    Parameters
    ----------
    name : str
        The rule, for people.
    area_m2 : float
        Area of the spill [m²].
    depth_m : float
        Its mean depth [m].
    source : str
        Where the rule comes from.
    """

    name: str
    area_m2: float
    depth_m: float
    source: str


def regulatory_area_m2(volume_m3: float) -> float:
    """Area of a pool 1 cm deep, the convention of worst-case vapour rules.

    Parameters
    ----------
    volume_m3 : float
        Volume spilt [m³].

    Returns
    -------
    float
        Area [m²].

    Raises
    ------
    GeometryRefused
        If the volume is negative or not finite.

    Notes
    -----
    A convention for vapour. It is not cautious for reach: thin films go four times as far.

    References
    ----------
    .. [1] US EPA, question-and-answer page on 40 CFR 68.25; US DOE-STD-3014-96, page 86.
    """
    return not_negative("spilt volume", volume_m3) / REGULATORY_DEPTH_M


def thin_spill_area_printed_m2(volume_m3: float) -> float:
    """Area of an unconfined spill of liquid fuel by the handbook's rule of two branches, as printed.

    Parameters
    ----------
    volume_m3 : float
        Volume spilt [m³].

    Returns
    -------
    float
        Area [m²]: 1.4 m²/L below 95 L, 0.36 m²/L from 95 L on.

    Raises
    ------
    GeometryRefused
        If the volume is negative or not finite.

    Notes
    -----
    The rule breaks at 95 L: 94.9 L gives 132.9 m² and 208 L only 75 m². Use `thin_spill_area_m2` for judgement.

    References
    ----------
    .. [1] SFPE Handbook of Fire Protection Engineering, Gottuk and White, Liquid Fuel Fires (recalled, not read).
    """
    per_volume = (
        SMALL_SPILL_M2_PER_M3
        if not_negative("spilt volume", volume_m3) < THIN_SPILL_BREAK_M3
        else LARGE_SPILL_M2_PER_M3
    )
    return volume_m3 * per_volume


def thin_spill_area_m2(volume_m3: float) -> float:
    """Area by the handbook's thin-spill rule, mended so that a bigger spill is never smaller.

    Parameters
    ----------
    volume_m3 : float
        Volume spilt [m³].

    Returns
    -------
    float
        Area [m²]: as printed, but from 95 L on never less than the 133 m² that the first branch ends with. That
        floor holds up to 369 L.

    Raises
    ------
    GeometryRefused
        If the volume is negative or not finite.

    References
    ----------
    .. [1] As `thin_spill_area_printed_m2`; the mending is ours.
    """
    printed = thin_spill_area_printed_m2(volume_m3)
    return printed if volume_m3 < THIN_SPILL_BREAK_M3 else max(printed, THIN_SPILL_BREAK_M3 * SMALL_SPILL_M2_PER_M3)


def roughness_area_m2(volume_m3: float, surface: str) -> float:
    """Area of a pool that stops when it is as shallow as the surface is rough.

    Parameters
    ----------
    volume_m3 : float
        Volume spilt [m³].
    surface : str
        A key of `ROUGHNESS_DEPTH_M`.

    Returns
    -------
    float
        Area [m²].

    Raises
    ------
    GeometryRefused
        If the surface is not in the table, or the volume negative or not finite.

    References
    ----------
    .. [1] TNO, Methods for the calculation of physical effects (Yellow Book), CPR 14E, 3rd edition, chapter 3
       (recalled, not read).
    """
    if surface not in ROUGHNESS_DEPTH_M:
        raise GeometryRefused(f"surface: expected one of {', '.join(ROUGHNESS_DEPTH_M)}, found {surface!r}")
    return not_negative("spilt volume", volume_m3) / ROUGHNESS_DEPTH_M[surface]


def published_rules(volume_m3: float, *, puddle_m: float | None = None) -> tuple[SpillRule, ...]:
    """Put what the published rules say of one spill side by side, largest area first.

    Parameters
    ----------
    volume_m3 : float
        Volume spilt, above 0 [m³].
    puddle_m : float, optional
        Depth of a puddle of the liquid, by `film.puddle_depth_m` [m]; none is listed where it is not known, or 0 as of
        a liquid that wets the floor, for which the rule says nothing.

    Returns
    -------
    tuple of SpillRule

    Raises
    ------
    GeometryRefused
        If the volume is not above zero, or a value negative or not finite.
    """
    above_zero("spilt volume", volume_m3)
    if puddle_m is not None:
        not_negative("depth of puddle", puddle_m)
    areas = [
        ("thin spill, handbook rule of two branches, mended at 95 L", thin_spill_area_m2(volume_m3), THIN_SPILL),
        ("roughness depth of concrete, 5 mm", roughness_area_m2(volume_m3, "concrete"), ROUGHNESS),
        ("worst-case vapour rule, 1 cm", regulatory_area_m2(volume_m3), ONE_CENTIMETRE),
    ]
    if puddle_m:
        areas.append((f"puddle on a smooth floor, {puddle_m * 1000:.1f} mm", volume_m3 / puddle_m, PUDDLE))
    rules = [SpillRule(name, area, volume_m3 / area, source) for name, area, source in areas]
    return tuple(sorted(rules, key=lambda rule: -rule.area_m2))
