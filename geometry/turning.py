"""What turning a leaking drum would do: the position that puts its hole above the liquid, and the litres saved by it.

Information for technicians who decide whether a drum may be touched at all. It asks nobody to go near one.
"""

import math
from dataclasses import dataclass
from typing import Literal

import numpy as np

from geometry.drum import DrumShape, Posture, held_m3, level_of_m
from geometry.errors import GeometryRefused

Standing = Literal["upright", "on its head", "lying"]
"""How a drum is found. Upright means on the bottom that a breach is measured from."""

SAME_M3 = 1e-9
"""Positions that differ by less than a microlitre save the same: rounding."""


@dataclass(frozen=True, slots=True)
class Breach:
    """Where a drum is open, told by the drum itself and not by how it stands.

    Parameters
    ----------
    along_m : float
        From the inside of the bottom along the side to the middle of the hole [m].
    off_axis_m : float
        From the drum's axis to the middle of the hole [m]: the radius for a hole in the wall, less for one in a head.
    across_m : float
        The hole's size from edge to edge [m].
    """

    along_m: float
    off_axis_m: float
    across_m: float = 0.0


@dataclass(frozen=True, slots=True)
class Turn:
    """One position of a leaking drum.

    Parameters
    ----------
    position : str
        *as it is*, *upright*, *on its head* or *lying, hole at the top*.
    posture : Posture
        *upright* or *lying*, as `leak` takes it.
    hole_height_m : float
        Height of the hole's lowest edge above the lowest point inside in that position [m].
    leaves_m3 : float
        What can still leave in that position [m³].
    saved_m3 : float
        How much less that is than as it is [m³]; below zero for a position that is worse.
    """

    position: str
    posture: Posture
    hole_height_m: float
    leaves_m3: float
    saved_m3: float


def turns(
    drum: DrumShape, content_m3: float, breach: Breach, *, standing: Standing, clock_deg: float = 180.0
) -> tuple[Turn, ...]:
    """Compare the positions that a leaking drum could be turned to.

    Parameters
    ----------
    drum : DrumShape
        Its inside.
    content_m3 : float
        Liquid still in it [m³].
    breach : Breach
        Where it is open.
    standing : Standing
        How it is found: *upright*, *on its head* or *lying*.
    clock_deg : float
        Of a lying drum, how far round from the top the hole is [degree]: 0 at the top, 180 at the bottom, as where it
        is not known.

    Returns
    -------
    tuple of Turn
        As it is first, then the others, least turning first.

    Raises
    ------
    GeometryRefused
        If the hole lies outside the drum or is as wide as it, the drum holds more than it can, or a value is out of
        range or not finite.

    Notes
    -----
    Compares positions only. What leaves on the way is not counted: while a drum is turned its hole may pass below the
    liquid. A drum on its head stands on its closures, which must be tight. Whether a drum may be moved is for the stop
    rules to say, not for this.
    """
    level_of_m(drum, content_m3, "upright")
    _check_inside(drum, breach)
    if not math.isfinite(clock_deg):
        raise GeometryRefused(f"hole round the drum: expected a number of degrees, found {clock_deg}")
    radius, edge = drum.diameter_m / 2, breach.across_m / 2
    heights: dict[str, float] = {
        "upright": breach.along_m - edge,
        "on its head": drum.length_m - breach.along_m - edge,
        "lying": radius + breach.off_axis_m * math.cos(math.radians(clock_deg)) - edge,
        "lying, hole at the top": radius + breach.off_axis_m - edge,
    }
    if standing not in {"upright", "on its head", "lying"}:
        raise GeometryRefused(f"drum: expected one upright, on its head or lying, found {standing!r}")
    order = (
        ("lying, hole at the top", "upright", "on its head")
        if standing == "lying"
        else ("lying, hole at the top", "on its head" if standing == "upright" else "upright")
    )
    now = _leaves_m3(drum, content_m3, standing, heights[standing])
    found = [Turn("as it is", _posture(standing), max(heights[standing], 0.0), now, 0.0)]
    for position in order:
        leaves = _leaves_m3(drum, content_m3, position, heights[position])
        found.append(Turn(position, _posture(position), max(heights[position], 0.0), leaves, now - leaves))
    return tuple(found)


def best_turn(
    drum: DrumShape, content_m3: float, breach: Breach, *, standing: Standing, clock_deg: float = 180.0
) -> Turn:
    """Find the position in which least can still leave a leaking drum, and what is saved by it.

    Parameters
    ----------
    drum, content_m3, breach, standing, clock_deg
        As in `turns` [m³, degree].

    Returns
    -------
    Turn
        *as it is* where no turning saves anything; of equals the one with least turning.

    Raises
    ------
    GeometryRefused
        As `turns`.

    Notes
    -----
    As `turns`: information for technicians, not an instruction to approach or to move a drum.
    """
    best, *others = turns(drum, content_m3, breach, standing=standing, clock_deg=clock_deg)
    for other in others:
        if other.leaves_m3 < best.leaves_m3 - SAME_M3:
            best = other
    return best


def _posture(position: str) -> Posture:
    return "lying" if position.startswith("lying") else "upright"


def _leaves_m3(drum: DrumShape, content_m3: float, position: str, hole_height_m: float) -> float:
    posture = _posture(position)
    stays = held_m3(drum, np.array([min(max(hole_height_m, 0.0), drum.height_m(posture))]), posture)
    return max(content_m3 - float(stays[0]), 0.0)


def _check_inside(drum: DrumShape, breach: Breach) -> None:
    for name, value, most in (
        ("hole along the drum", breach.along_m, drum.length_m),
        ("hole off the drum's axis", breach.off_axis_m, drum.diameter_m / 2),
        ("hole from edge to edge", breach.across_m, drum.diameter_m),
    ):
        if not 0 <= value <= most:
            raise GeometryRefused(f"{name}: expected 0 to {most} m, found {value}")
