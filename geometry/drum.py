"""The inside of a drum: how high a content stands in it, upright and lying, and what goes into what."""

import math
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from geometry.errors import GeometryRefused

Posture = Literal["upright", "lying"]
"""How a drum stands. One on its head is upright: its holes are then counted from what is lowest."""

BRIM = 1e-9
"""A content may be more than the drum holds by this share: rounding of a drum filled to the brim."""


@dataclass(frozen=True, slots=True)
class DrumShape:
    """The inside of a drum.

    Parameters
    ----------
    diameter_m, length_m : float
        Inside diameter, and inside distance between the heads [m].

    Raises
    ------
    GeometryRefused
        If a value is not above zero or not finite.
    """

    diameter_m: float
    length_m: float

    def __post_init__(self) -> None:
        for name, value in (("drum diameter", self.diameter_m), ("drum length", self.length_m)):
            if not math.isfinite(value) or value <= 0:
                raise GeometryRefused(f"{name}: expected more than 0 m, found {value}")

    @property
    def head_m2(self) -> float:
        """Area of a head inside [m²]."""
        return math.pi * self.diameter_m**2 / 4

    @property
    def capacity_m3(self) -> float:
        """Volume to the brim [m³]."""
        return self.head_m2 * self.length_m

    def height_m(self, posture: Posture) -> float:
        """Tell how tall the inside is as the drum stands or lies.

        Parameters
        ----------
        posture : Posture
            *upright* or *lying*.

        Returns
        -------
        float
            Height [m].

        Raises
        ------
        GeometryRefused
            If the posture is neither.
        """
        if posture not in {"upright", "lying"}:
            raise GeometryRefused(f"posture of drum: expected upright or lying, found {posture!r}")
        return self.length_m if posture == "upright" else self.diameter_m


def held_m3(drum: DrumShape, level_m: NDArray[np.float64], posture: Posture) -> NDArray[np.float64]:
    """Volume below levels in a drum.

    Parameters
    ----------
    drum : DrumShape
    level_m : (n,) array
        Levels over the lowest point inside [m].
    posture : Posture
        *upright* or *lying*.

    Returns
    -------
    (n,) array
        Volumes [m³].

    Raises
    ------
    GeometryRefused
        If a level is negative, above the drum, or not finite, or the posture is neither.

    References
    ----------
    .. [1] Area of a segment of a circle.
    """
    height = drum.height_m(posture)
    level = np.asarray(level_m, dtype=np.float64)
    if not np.all((level >= 0) & (level <= height)):
        raise GeometryRefused(f"level in {posture} drum: expected 0 to {height} m, found {level.tolist()}")
    if posture == "upright":
        return np.asarray(drum.head_m2 * level)
    turn = 2 * np.arcsin(np.sqrt(level / drum.diameter_m))
    segment = (drum.diameter_m / 2) ** 2 * (turn - np.sin(turn) * np.cos(turn))
    # Both terms are alike for a film, and their difference may round to just below nothing.
    return np.asarray(drum.length_m * np.maximum(segment, 0.0))


def level_of_m(drum: DrumShape, content_m3: float, posture: Posture) -> float:
    """How high a content stands in a drum.

    Parameters
    ----------
    drum : DrumShape
    content_m3 : float
        Liquid in it [m³].
    posture : Posture
        *upright* or *lying*.

    Returns
    -------
    float
        Level over the lowest point inside [m].

    Raises
    ------
    GeometryRefused
        If the content is negative, not finite or more than the drum holds, or the posture is neither.
    """
    height = drum.height_m(posture)
    if not math.isfinite(content_m3) or content_m3 < 0:
        raise GeometryRefused(f"content of drum: expected 0 m³ or more, found {content_m3}")
    share = content_m3 / drum.capacity_m3
    if share > 1 + BRIM:
        raise GeometryRefused(
            f"content of drum: expected at most the {drum.capacity_m3:.4g} m³ it holds, found {content_m3:.4g}"
        )
    if posture == "upright" or share >= 1:
        return min(share, 1.0) * height
    low, high = 0.0, math.pi
    while low < (half := (low + high) / 2) < high:
        if half - math.sin(half) * math.cos(half) < math.pi * share:
            low = half
        else:
            high = half
    return height * math.sin(low / 2) ** 2


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
        If a side is not above zero, the depth is more than the diameter, or a value is out of range or not finite.

    References
    ----------
    .. [1] Area of a segment of a circle.
    """
    return float(held_m3(DrumShape(diameter_m, length_m), np.array([depth_m]), "lying")[0])
