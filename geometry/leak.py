"""How a drum runs out through a hole: litres and flow over time, vented or closed."""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from geometry.closed_drum import SIDE_HOLES, closed_flow_m3_s, closed_heads_m, holding_diameter_m, stall
from geometry.constants import GRAVITY_M_S2
from geometry.drum import DrumShape, Posture, held_m3, level_of_m
from geometry.errors import GeometryRefused
from geometry.orifice import ORIFICE_REYNOLDS, Hole, hole_reynolds

__all__ = [
    "DrumShape",
    "Hole",
    "Leak",
    "leak",
    "sudden",
]

STEPS = 256
"""Steps of level in a table. The time to stop of a lying drum is then within 0.01 % of the integral."""

VENTED = "vented: Torricelli's law"
CLOSED = "closed: headspace expands, then air comes in by glugging (Clanet and Searby); it may run faster, up to vented"
MAY_HOLD = f"; a hole as small as this may hold if it faces down, but {SIDE_HOLES}"
THICK = "; a liquid as thick as this runs out more slowly"
SUDDEN = "everything at once"


@dataclass(frozen=True, slots=True, eq=False)
class Leak:
    """How a drum runs out, as a table over time; use `leak` or `sudden` to make one.

    Parameters
    ----------
    time_s : (n,) array
        Times, first 0 [s].
    flow_m3_s : (n,) array
        Flow at these times, a straight line between, none after the last [m³/s].
    left_m3 : (n,) array
        What is then left in the drum [m³].
    leaves_m3 : float
        What leaves in all [m³].
    half_s : float
        Time until half of that has left [s].
    stop_s : float
        Time until the flow stops, the last of the table [s].
    model : str
        What the numbers are, for people.

    Notes
    -----
    Volume is closed: flow summed over a step is exactly what is missing after it.
    """

    time_s: NDArray[np.float64]
    flow_m3_s: NDArray[np.float64]
    left_m3: NDArray[np.float64]
    leaves_m3: float
    half_s: float
    stop_s: float
    model: str

    def flow_at(self, t_s: ArrayLike) -> NDArray[np.float64]:
        """Flow at given times.

        Parameters
        ----------
        t_s : array_like
            Times since the start [s].

        Returns
        -------
        array of the same shape
            Flow [m³/s]; 0 once it has stopped.

        Raises
        ------
        GeometryRefused
            If a time is negative or no number.
        """
        times = _times(t_s)
        return np.asarray(np.interp(times, self.time_s, self.flow_m3_s, right=0.0), dtype=np.float64)

    def out_m3(self, t_s: ArrayLike) -> NDArray[np.float64]:
        """Volume that has left by given times.

        Parameters
        ----------
        t_s : array_like
            Times since the start [s]; infinite means when all is over.

        Returns
        -------
        array of the same shape
            Volume [m³]: the flow of `flow_at`, summed exactly.

        Raises
        ------
        GeometryRefused
            If a time is negative or no number.
        """
        times = np.minimum(_times(t_s), self.stop_s)
        step = np.clip(np.searchsorted(self.time_s, times, side="right") - 1, 0, len(self.time_s) - 1)
        since = times - self.time_s[step]
        mean = (self.flow_m3_s[step] + np.interp(times, self.time_s, self.flow_m3_s)) / 2
        gone = self.leaves_m3 - (self.left_m3[step] - self.left_m3[-1])
        return np.asarray(np.clip(gone + mean * since, 0.0, self.leaves_m3), dtype=np.float64)

    def when_out_s(self, volume_m3: float) -> float:
        """Time until a volume has left.

        Parameters
        ----------
        volume_m3 : float
            Volume [m³].

        Returns
        -------
        float
            Time [s]; infinite where it never leaves.

        Raises
        ------
        GeometryRefused
            If the volume is negative or not finite.
        """
        if not math.isfinite(volume_m3) or volume_m3 < 0:
            raise GeometryRefused(f"volume out of a drum: expected 0 m³ or more, found {volume_m3}")
        if volume_m3 > self.leaves_m3:
            return math.inf
        gone = self.leaves_m3 - (self.left_m3 - self.left_m3[-1])
        step = int(np.searchsorted(gone, volume_m3, side="right")) - 1
        if step < 0 or step == len(gone) - 1:
            return float(self.time_s[step]) if step > 0 else 0.0
        more, lasts = volume_m3 - gone[step], self.time_s[step + 1] - self.time_s[step]
        first, last = self.flow_m3_s[step], self.flow_m3_s[step + 1]
        root = math.sqrt(max(first**2 + 2 * (last - first) / lasts * more, 0.0))
        return float(self.time_s[step] + (2 * more / (first + root) if more > 0 else 0.0))


def leak(
    drum: DrumShape,
    content_m3: float,
    hole: Hole,
    *,
    posture: Posture,
    vented: bool,
    density_kg_m3: float | None = None,
    surface_tension_n_m: float | None = None,
    viscosity_m2_s: float | None = None,
) -> Leak:
    """Work out how a drum runs out through one hole.

    Parameters
    ----------
    drum : DrumShape
        Its inside.
    content_m3 : float
        Liquid in it, above 0 [m³].
    hole : Hole
        Its height counted from what is lowest as the drum stands or lies.
    posture : Posture
        *upright* or *lying*; a drum on its head is upright.
    vented : bool
        Whether air comes in freely above the liquid. Where that is not known, say that it does: it is the faster leak.
    density_kg_m3 : float, optional
        Of the liquid [kg/m³]; needed for a closed drum.
    surface_tension_n_m : float, optional
        Of the liquid [N/m]; changes no number, but the model of a closed drum says where the hole is so small that it
        may hold.
    viscosity_m2_s : float, optional
        Kinematic viscosity of the liquid [m²/s]; changes no number, but the model says where the liquid is so thick
        that the true leak is slower.

    Returns
    -------
    Leak
        Of nothing where the hole lies above the liquid.

    Raises
    ------
    GeometryRefused
        If the drum holds no liquid or more than it can, the hole lies above the drum or is as large as its head, a
        closed drum comes without a density, or a value is out of range or not finite.

    Notes
    -----
    For thin liquids; a thick one (see `orifice.hole_reynolds`) runs out more slowly than this. Nothing evaporates, the
    drum keeps its shape and place, and there is one hole.

    References
    ----------
    .. [1] Torricelli's law, summed over the level; for closed drums see `closed_drum`.
    """
    if content_m3 == 0:
        raise GeometryRefused("leak: expected a drum with liquid in it, found an empty one")
    level, height = level_of_m(drum, content_m3, posture), drum.height_m(posture)
    if hole.height_m > height:
        raise GeometryRefused(f"height of hole: expected at most the drum's {height} m, found {hole.height_m}")
    if hole.area_m2 >= drum.head_m2:
        raise GeometryRefused(
            f"hole area: expected less than the drum's {drum.head_m2:.4g} m², found {hole.area_m2:.4g}"
        )
    if not vented and (density_kg_m3 is None or not math.isfinite(density_kg_m3) or density_kg_m3 <= 0):
        raise GeometryRefused(f"density in a closed drum: expected more than 0 kg/m³, found {density_kg_m3}")
    closed = None if vented else density_kg_m3
    model = (VENTED if closed is None else CLOSED) + _thick(level - hole.height_m, hole, viscosity_m2_s)
    if closed is not None and surface_tension_n_m is not None:
        model += MAY_HOLD if hole.diameter_m <= holding_diameter_m(surface_tension_n_m, closed) else ""
    if level <= hole.height_m:
        return _table(np.zeros(1), np.zeros(1), np.array([content_m3]), model)
    heads = (level - hole.height_m) * (1 - np.linspace(0.0, 1.0, STEPS + 1)) ** 2
    if closed is not None:
        held = stall(drum, content_m3, hole.height_m, posture=posture, density_kg_m3=closed)
        heads = closed_heads_m(heads, held.head_m)
    left = held_m3(drum, np.minimum(hole.height_m + heads, height), posture)
    if closed is None:
        flow = hole.coefficient * hole.area_m2 * np.sqrt(2 * GRAVITY_M_S2 * heads)
    else:
        flow = closed_flow_m3_s(drum, hole, heads, left, closed)
    steps = 2 * (left[:-1] - left[1:]) / (flow[:-1] + flow[1:])
    return _table(np.concatenate([np.zeros(1), np.cumsum(steps)]), flow, left, model)


def sudden(volume_m3: float) -> Leak:
    """Say that everything comes out at once, as when a drum bursts or is run through.

    Parameters
    ----------
    volume_m3 : float
        Volume, above 0 [m³].

    Returns
    -------
    Leak
        All out at time 0 (`out_m3`), with no flow after (`flow_at`).

    Raises
    ------
    GeometryRefused
        If the volume is not above zero or not finite.
    """
    if not math.isfinite(volume_m3) or volume_m3 <= 0:
        raise GeometryRefused(f"leak: expected a drum with liquid in it, found {volume_m3} m³")
    nothing = np.zeros(1)
    return _frozen(nothing, nothing, nothing, volume_m3, 0.0, SUDDEN)


def _thick(head_m: float, hole: Hole, viscosity_m2_s: float | None) -> str:
    if viscosity_m2_s is None or head_m <= 0:
        return ""
    return THICK if hole_reynolds(head_m, hole.diameter_m, viscosity_m2_s) < ORIFICE_REYNOLDS else ""


def _table(
    time_s: NDArray[np.float64], flow_m3_s: NDArray[np.float64], left_m3: NDArray[np.float64], model: str
) -> Leak:
    leaves_m3 = float(left_m3[0] - left_m3[-1])
    whole = _frozen(time_s, flow_m3_s, left_m3, leaves_m3, 0.0, model)
    return _frozen(time_s, flow_m3_s, left_m3, leaves_m3, whole.when_out_s(leaves_m3 / 2), model)


def _frozen(
    time_s: NDArray[np.float64],
    flow_m3_s: NDArray[np.float64],
    left_m3: NDArray[np.float64],
    leaves_m3: float,
    half_s: float,
    model: str,
) -> Leak:
    for array in (time_s, flow_m3_s, left_m3):
        array.flags.writeable = False
    return Leak(time_s, flow_m3_s, left_m3, leaves_m3, half_s, float(time_s[-1]), model)


def _times(t_s: ArrayLike) -> NDArray[np.float64]:
    times = np.asarray(t_s, dtype=np.float64)
    if not np.all(times >= 0):
        raise GeometryRefused(f"time: expected 0 s or more, found {times.tolist()}")
    return times
