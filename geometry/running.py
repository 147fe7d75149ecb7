"""How fast what liquid runs down a floor: it sets how thick it is round its source and how wide its tongue is."""

import math
from dataclasses import dataclass

from geometry.constants import GRAVITY_M_S2
from geometry.errors import GeometryRefused


@dataclass(frozen=True, slots=True)
class Running:
    """How fast what liquid runs: it sets how wide the tongue is.

    Parameters
    ----------
    viscosity_m2_s : float
        Kinematic viscosity [m²/s].
    flow_m3_s : float
        Leak [m³/s].
    steady : bool
        True: the tongue is as wide everywhere as it is in the end, e·x^(3/7). False: as wide as it has become by the
        time the front gets there, and only where it is deeper than the film that rests; this is narrower, goes farther
        and is the cautious choice.
    """

    viscosity_m2_s: float
    flow_m3_s: float
    steady: bool = False

    @property
    def thickness_m(self) -> float:
        """Thickness of the liquid round a source, (3 ν Q / g)^(1/4) [m]."""
        return float((3 * self.viscosity_m2_s * self.flow_m3_s / GRAVITY_M_S2) ** 0.25)


NARROW = Running(4e-7, 1.9e-4)
"""A thin liquid from a small hole, whose tongue is narrow and therefore long: the cautious choice where liquid and hole
are not known. Judgement: acetone-like, and the first flow of a full 55 gallon drum through a 10 mm hole. A smaller hole
gives a narrower tongue still."""

WIDE = Running(1e-4, 4.9e-3, steady=True)
"""A gear oil through an open 2 in bung, whose tongue is wide and short, and taken at its full width from the start:
what is said to be reached for certain is reached even so. Judgement."""


def checked_run(volume_m3: float, film_m: float, running: Running) -> None:
    """Refuse what no liquid can be.

    Parameters
    ----------
    volume_m3 : float
        How much is let out [m³].
    film_m : float
        Depth of the film that rests on open floor [m].
    running : Running
        What runs and how fast.

    Raises
    ------
    GeometryRefused
        If a number is negative, not finite, or zero where that has no meaning.
    """
    if not math.isfinite(volume_m3) or volume_m3 < 0:
        raise GeometryRefused(f"spilt volume: expected 0 m³ or more, found {volume_m3}")
    if not math.isfinite(film_m) or film_m <= 0:
        raise GeometryRefused(f"film depth: expected more than 0 m, found {film_m}")
    for name, number, unit in (
        ("viscosity", running.viscosity_m2_s, "m²/s"),
        ("leak", running.flow_m3_s, "m³/s"),
    ):
        if not math.isfinite(number) or number <= 0:
            raise GeometryRefused(f"{name}: expected more than 0 {unit}, found {number}")
