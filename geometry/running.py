"""How fast what liquid runs down a floor: it sets how thick it is round its source and how wide its tongue is."""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from geometry.constants import DRUM_55_GALLON_M3, GRAVITY_M_S2
from geometry.errors import GeometryRefused

Floats = NDArray[np.float64]


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
    full_m3 : float or None
        With how much in it the drum leaks like that [m³]: less leaks more slowly, as the root of its share, and more no
        faster. None: any volume leaks like that.
    """

    viscosity_m2_s: float
    flow_m3_s: float
    steady: bool = False
    full_m3: float | None = None

    def flow_of_m3_s(self, volume_m3: ArrayLike) -> Floats:
        """Find how fast a content leaks.

        Parameters
        ----------
        volume_m3 : array_like
            How much is let out [m³].

        Returns
        -------
        array of the same shape
            Leak [m³/s].
        """
        volumes = np.asarray(volume_m3, dtype=np.float64)
        share = np.ones_like(volumes) if self.full_m3 is None else np.minimum(volumes / self.full_m3, 1.0)
        return np.asarray(self.flow_m3_s * np.sqrt(share))

    def thickness_m(self, volume_m3: ArrayLike) -> Floats:
        """Find how thick the liquid is round its source.

        Parameters
        ----------
        volume_m3 : array_like
            How much is let out [m³].

        Returns
        -------
        array of the same shape
            (3 ν Q / g)^(1/4) [m].
        """
        return np.asarray((3 * self.viscosity_m2_s * self.flow_of_m3_s(volume_m3) / GRAVITY_M_S2) ** 0.25)


NARROW = Running(4e-7, 4.8e-5, full_m3=DRUM_55_GALLON_M3)
"""A thin liquid that trickles from a small hole, whose tongue is narrow and therefore long: the cautious choice where
liquid and hole are not known. Judgement: acetone-like, and the mean flow of the last quarter of what runs out of a
drum through a 10 mm hole. By Torricelli's law an upright drum begins with Q₀, 1.9e-4 m³/s when it is full, which falls
as the root of what is left; the last share x leaves at √x Q₀ / 2 on the average, so the last quarter at Q₀ / 4. Beside
the flow on a grid, 4 to 208 L on 0.25 to 5 % with films of 0.7 to 5 mm, the tongue of Q₀ is too short by up to two
fifths and that of the mean, Q₀ / 2, still by a tenth; this one is longer by a seventh at the least. A container five
times as wide as a drum leaks what little is left in it more slowly: there it is too short by a tenth. A smaller hole
gives a narrower tongue still."""

WIDE = Running(1e-4, 4.9e-3, steady=True)
"""A gear oil through an open 2 in bung, whose tongue is wide and short, and taken at its full width from the start:
what is said to be reached for certain is reached even so. Judgement."""

BETWEEN = Running(1e-6, 4.9e-3)
"""Water through an open 2 in bung: about as much wider than the narrow tongue as the wide one is wider than it, so that
what lies too far aside for the one and too far down for the other is not missed. Judgement."""

TONGUES = BETWEEN, WIDE, NARROW
"""What the true tongue lies among where liquid and hole are not known."""


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
    full_m3 = running.full_m3
    if full_m3 is not None and (not math.isfinite(full_m3) or full_m3 <= 0):
        raise GeometryRefused(f"content of a full drum: expected more than 0 m³, found {full_m3}")
    for name, number, unit in (
        ("viscosity", running.viscosity_m2_s, "m²/s"),
        ("leak", running.flow_m3_s, "m³/s"),
    ):
        if not math.isfinite(number) or number <= 0:
            raise GeometryRefused(f"{name}: expected more than 0 {unit}, found {number}")
