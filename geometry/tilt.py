"""How far a spill gets on a floor that is level only within its tolerance, whichever way it happens to fall."""

import math
from dataclasses import dataclass

from shapely import MultiPolygon, Point, Polygon

from geometry.constants import SNAP_M
from geometry.descent import Running
from geometry.floor import SpillFloor
from geometry.layout import areas_of
from geometry.line_fall import LineFall
from geometry.ranges import above_zero, not_negative
from geometry.relief import SLAB_TOLERANCE_M, STEEPEST_FALL

DROP_M = 2 * SLAB_TOLERANCE_M
"""How much lower than another any place of a nominally level slab may lie, 38 mm: from the top of its tolerance to the
bottom. Source: see `SLAB_TOLERANCE_M`."""

_LENGTH_TOLERANCE = 1e-4


@dataclass(frozen=True, slots=True)
class Tilt:
    """The tilt at which a spill gets farthest, and how far.

    Parameters
    ----------
    slope : float
        Fall by the whole tolerance between source and front [m/m].
    reach_m : float
        Length of the way [m].
    """

    slope: float
    reach_m: float


def tilted_reach_m(
    volume_m3: float,
    film_m: float,
    viscosity_m2_s: float,
    flow_m3_s: float,
    slope: float,
    *,
    steady: bool = False,
) -> float:
    """Find how far a spill runs down an even slope.

    Parameters
    ----------
    volume_m3 : float
        How much is let out [m³].
    film_m : float
        Depth of the film that is left behind [m].
    viscosity_m2_s : float
        Kinematic viscosity [m²/s].
    flow_m3_s : float
        Leak [m³/s].
    slope : float
        Fall [m/m]; 0 is level.
    steady : bool
        As in `descent.Running`.

    Returns
    -------
    float
        Length [m]: the volume lies as a film on a disc of radius H / s, with H = (3 ν Q / g)^(1/4), and on a tongue
        beyond it. Without slope, the radius of the level pool.

    Raises
    ------
    GeometryRefused
        If a number is negative, not finite, or zero where that has no meaning.

    Notes
    -----
    Nothing stops the liquid. Where liquid and leak are not known, a small viscosity and a small leak are the cautious
    choice: the tongue is narrower and so longer (see `descent.NARROW`). Steps of half a per cent of the length.

    References
    ----------
    .. [1] As in `descent.Descents`.
    """
    return _reach_m(_checked(volume_m3, film_m), film_m, _running(viscosity_m2_s, flow_m3_s, steady=steady), slope)


def worst_tilt(volume_m3: float, film_m: float, running: Running, *, drop_m: float = DROP_M) -> Tilt:
    """Find how far a spill may run on a nominally level floor.

    Parameters
    ----------
    volume_m3 : float
        How much is let out [m³].
    film_m : float
        Depth of the film that is left behind [m].
    running : Running
        What runs and how fast; `descent.NARROW` where that is not known.
    drop_m : float
        By how much the front may lie lower than the source [m].

    Returns
    -------
    Tilt

    Raises
    ------
    GeometryRefused
        If a number is negative, not finite, or zero where that has no meaning.

    Notes
    -----
    Judgement: the floor is taken to fall evenly by the whole of `drop_m` between the source and the front, which is the
    steepest even tilt that the tolerance allows over that length. A steeper stretch would have to end sooner. A liquid
    thicker than the drop does not notice it, and what wets less than a micrometre is no spill.
    """
    _checked(volume_m3, film_m)
    _running(running.viscosity_m2_s, running.flow_m3_s, steady=running.steady)
    above_zero("drop of the floor", drop_m)
    short_m = _reach_m(volume_m3, film_m, running, 0.0)
    if short_m <= SNAP_M:
        return Tilt(0.0, short_m)
    # The longer the way, the less steep it may be, and the less far the spill gets: there is one length that fits.
    long_m = max(_reach_m(volume_m3, film_m, running, drop_m / short_m), short_m)
    while long_m > short_m * (1 + _LENGTH_TOLERANCE):
        middle_m = short_m * math.sqrt(long_m / short_m)  # the product of two tiny lengths would be nothing
        if _reach_m(volume_m3, film_m, running, drop_m / middle_m) >= middle_m:
            short_m = middle_m
        else:
            long_m = middle_m
    return Tilt(drop_m / long_m, long_m)


def fan_slope(line: LineFall) -> float:
    """Give the steepest that a floor may fall of which levels on one line are known.

    Parameters
    ----------
    line : LineFall
        Those levels.

    Returns
    -------
    float
        Fall [m/m]. Judgement: across the line no more than along it where that is steepest, so √2 times as much.
    """
    return math.sqrt(2) * min(line.steepest, STEEPEST_FALL)


def fan_reach_m(volume_m3: float, film_m: float, running: Running, line: LineFall) -> float:
    """Find how far a spill may run on a floor of which only levels on one line are known.

    Parameters
    ----------
    volume_m3 : float
        How much is let out [m³].
    film_m : float
        Depth of the film that is left behind [m].
    running : Running
        What runs and how fast; `descent.NARROW` where that is not known.
    line : LineFall
        Those levels.

    Returns
    -------
    float
        Length of the way [m], down `fan_slope`.

    Raises
    ------
    GeometryRefused
        If a number is negative, not finite, or zero where that has no meaning.

    Notes
    -----
    As for `tilted_reach_m`, nothing stops the liquid. Which way it runs is not known: to any place that lies no higher
    along the line than its source, see `LineFall.not_above`.
    """
    _checked(volume_m3, film_m)
    _running(running.viscosity_m2_s, running.flow_m3_s, steady=running.steady)
    return max(_reach_m(volume_m3, film_m, running, fan_slope(line)), _reach_m(volume_m3, film_m, running, 0.0))


def tilted_area(floor: SpillFloor, source: Point, reach_m: float, film_m: float) -> Polygon | MultiPolygon:
    """Find every place that a spill may get to if the floor happens to fall towards it.

    Parameters
    ----------
    floor : SpillFloor
        A nominally level floor.
    source : Point
        Where the liquid is let out [m].
    reach_m : float
        How far it may run [m]; see `worst_tilt`.
    film_m : float
        Depth of the film that is left behind [m]: what is no higher does not stop it.

    Returns
    -------
    Polygon or MultiPolygon
        Everything within the reach along the cautious floor [m]: not one pool, but all the places where one tongue may
        end. What fills up and spills over a lip is not in it; the level pool is its own answer.

    Raises
    ------
    GeometryRefused
        If a number is out of range or there is no free floor within 0.2 m of the source.
    """
    not_negative("reach", reach_m)
    _checked(0.0, film_m)
    step = floor.passing.step_at(film_m)
    return areas_of(floor.origin(floor.free_place(source), cautious=True, step=step).within(reach_m))


def _reach_m(volume_m3: float, film_m: float, running: Running, slope: float) -> float:
    level_m = math.sqrt(volume_m3 / film_m / math.pi)
    thickness_m = float(running.thickness_m(volume_m3))
    if not_negative("slope", slope) * level_m <= thickness_m:
        return level_m
    from geometry.kernels.descent import tongue_m  # noqa: PLC0415 - compiled code is loaded where computing begins

    return float(tongue_m(volume_m3, film_m, thickness_m, slope, running.steady))


def _checked(volume_m3: float, film_m: float) -> float:
    above_zero("film depth", film_m)
    return not_negative("spilt volume", volume_m3)


def _running(viscosity_m2_s: float, flow_m3_s: float, *, steady: bool) -> Running:
    return Running(above_zero("viscosity", viscosity_m2_s), above_zero("leak", flow_m3_s), steady)
