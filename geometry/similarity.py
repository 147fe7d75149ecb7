"""How far a film has run by when: the closed laws of spreading, on a level floor and down a slope.

Each law holds on a floor without walls. They are exact answers to check a grid against, and the quick answer where no
grid is run. All take numbers or arrays, and answer in the shape that numpy makes of their inputs. Slopes are rise over
run. Liquids are told apart by their kinematic viscosity alone.
"""

import math
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from geometry.constants import GRAVITY_M_S2
from geometry.errors import GeometryRefused

Values = npt.NDArray[np.float64]

ROUND_VOLUME = (1024 / (81 * math.pi**3)) ** (1 / 8)
"""0.89391, factor of a round current of fixed volume. Source: H. E. Huppert, The propagation of two-dimensional and
axisymmetric viscous gravity currents over a rigid horizontal surface, Journal of Fluid Mechanics 121 (1982) 43 prints
0.894 (recalled, not read); closed form integrated anew."""

ROUND_FLOW = 0.715016
"""Of a round current under steady flow. Source: as `ROUND_VOLUME` prints 0.715 (recalled, not read); these digits by
our own integration of its equation, which a test repeats."""

PLANE_VOLUME = (math.sqrt(math.pi) * 0.2 * 0.3 ** (1 / 3) * math.gamma(1 / 3) / math.gamma(5 / 6)) ** (-3 / 5)
"""1.41124, factor of a current of fixed volume between walls. Source: as `ROUND_VOLUME` prints 1.411 (recalled, not
read); closed form integrated anew."""

PLANE_FLOW = 1.001013
"""Of a current under steady flow between walls. Source: our own integration of Huppert's equation, repeated by a
test."""

SLOPE_FRONT = 0.81
"""Factor of the front below a steady point source on a slope. Source: our own two-dimensional finite-volume run on
cells of 0.2 and 0.1 of the natural length, 0.807 and 0.814; no published value was found."""

SLOPE_FRONT_LEAST = 0.67
"""The least the factor can be: the volume let out, laid out as the later steady stream, reaches this far."""

SLOPE_FRONT_MOST = 0.90
"""The most it can be: no front outruns the liquid on the axis of the steady stream."""

SLOPE_HALF_WIDTH = 1.01
"""Factor of the greatest half-width while the front runs. Source: as `SLOPE_FRONT`."""

SMOOTH_FILM_REYNOLDS = 30.0
TURBULENT_FILM_REYNOLDS = 1800.0
"""Reynolds numbers 4 q / ν up to which a falling film is smooth, and from which it is turbulent. Source: heat-transfer
textbooks (recalled, not read)."""

MANNING_CONCRETE = 0.013
"""Manning's roughness of finished concrete [s/m^(1/3)]. Source: open-channel tables (recalled, not read)."""


@dataclass(frozen=True, slots=True)
class Crossing:
    """When weight and inertia hand over to viscosity as the brake on a volume let go at once.

    Parameters
    ----------
    time_s : float
        Since the loss [s].
    radius_m : float
        Of the pool then [m].
    depth_m : float
        Its mean depth then [m].
    """

    time_s: float
    radius_m: float
    depth_m: float


def axisymmetric_radius_m(
    t_s: npt.ArrayLike,
    *,
    nu_m2_s: npt.ArrayLike,
    flow_m3_s: npt.ArrayLike | None = None,
    volume_m3: npt.ArrayLike | None = None,
) -> Values:
    """Radius of a pool that spreads by its own weight on an open level floor.

    Parameters
    ----------
    t_s : array_like
        Time since it began [s].
    nu_m2_s : array_like
        Kinematic viscosity [m²/s].
    flow_m3_s, volume_m3 : array_like, optional
        Steady flow from a point [m³/s], or a fixed volume let go there [m³]: one of the two.

    Returns
    -------
    ndarray
        Radius [m]: η (g Q³ / 3ν)^(1/8) t^(1/2) for a flow, t^(1/8) for a volume.

    Raises
    ------
    GeometryRefused
        If not exactly one of flow and volume is given, or a value is out of range or not finite.

    Notes
    -----
    Laminar, and without end: no surface tension, no roughness, nothing that lets the film rest. The law of fixed volume
    holds only after the first seconds (`inertial_viscous_crossing`); the mean depth under steady flow never changes.

    References
    ----------
    .. [1] H. E. Huppert, Journal of Fluid Mechanics 121 (1982) 43 (abstract read; factors recalled and integrated
       anew).
    """
    amount, factor, power = _round(flow_m3_s, volume_m3)
    return factor * _pull(nu_m2_s) ** (1 / 8) * amount ** (3 / 8) * _some("time", t_s) ** power


def axisymmetric_time_s(
    radius_m: npt.ArrayLike,
    *,
    nu_m2_s: npt.ArrayLike,
    flow_m3_s: npt.ArrayLike | None = None,
    volume_m3: npt.ArrayLike | None = None,
) -> Values:
    """Time in which a pool on an open level floor gets to a radius: `axisymmetric_radius_m` turned round.

    Parameters
    ----------
    radius_m : array_like
        Radius [m].
    nu_m2_s : array_like
        Kinematic viscosity [m²/s].
    flow_m3_s, volume_m3 : array_like, optional
        As in `axisymmetric_radius_m`.

    Returns
    -------
    ndarray
        Time [s]; infinite where nothing is let out.

    Raises
    ------
    GeometryRefused
        As in `axisymmetric_radius_m`.
    """
    amount, factor, power = _round(flow_m3_s, volume_m3)
    return _when(radius_m, factor * _pull(nu_m2_s) ** (1 / 8) * amount ** (3 / 8), power)


def plane_front_m(
    t_s: npt.ArrayLike,
    *,
    nu_m2_s: npt.ArrayLike,
    flow_m2_s: npt.ArrayLike | None = None,
    area_m2: npt.ArrayLike | None = None,
) -> Values:
    """Length of a film that runs one way along a level strip between walls.

    Parameters
    ----------
    t_s : array_like
        Time since it began [s].
    nu_m2_s : array_like
        Kinematic viscosity [m²/s].
    flow_m2_s, area_m2 : array_like, optional
        Steady flow per width of the strip [m²/s], or a fixed volume per width [m²]: one of the two.

    Returns
    -------
    ndarray
        Length [m]: η (g q³ / 3ν)^(1/5) t^(4/5) for a flow, t^(1/5) for a volume.

    Raises
    ------
    GeometryRefused
        If not exactly one of flow and volume is given, or a value is out of range or not finite.

    Notes
    -----
    As `axisymmetric_radius_m`.

    References
    ----------
    .. [1] As `axisymmetric_radius_m`.
    """
    amount, factor, power = _plane(flow_m2_s, area_m2)
    return factor * _pull(nu_m2_s) ** (1 / 5) * amount ** (3 / 5) * _some("time", t_s) ** power


def plane_time_s(
    front_m: npt.ArrayLike,
    *,
    nu_m2_s: npt.ArrayLike,
    flow_m2_s: npt.ArrayLike | None = None,
    area_m2: npt.ArrayLike | None = None,
) -> Values:
    """Time in which a film runs so far along a level strip: `plane_front_m` turned round.

    Parameters
    ----------
    front_m : array_like
        Length [m].
    nu_m2_s : array_like
        Kinematic viscosity [m²/s].
    flow_m2_s, area_m2 : array_like, optional
        As in `plane_front_m`.

    Returns
    -------
    ndarray
        Time [s]; infinite where nothing is let out.

    Raises
    ------
    GeometryRefused
        As in `plane_front_m`.
    """
    amount, factor, power = _plane(flow_m2_s, area_m2)
    return _when(front_m, factor * _pull(nu_m2_s) ** (1 / 5) * amount ** (3 / 5), power)


def film_reynolds(q_m2_s: npt.ArrayLike, nu_m2_s: npt.ArrayLike) -> Values:
    """Reynolds number of a film.

    Parameters
    ----------
    q_m2_s : array_like
        Flow per width [m²/s].
    nu_m2_s : array_like
        Kinematic viscosity [m²/s].

    Returns
    -------
    ndarray
        4 q / ν [-]; smooth below 30, wavy but laminar up to about 1,800, turbulent beyond.

    Raises
    ------
    GeometryRefused
        If a value is out of range or not finite.
    """
    return 4 * _some("flow per width", q_m2_s) / _more("viscosity", nu_m2_s)


def nusselt_depth_m(q_m2_s: npt.ArrayLike, nu_m2_s: npt.ArrayLike, slope: npt.ArrayLike) -> Values:
    """Depth of an even laminar film on a slope.

    Parameters
    ----------
    q_m2_s : array_like
        Flow per width [m²/s].
    nu_m2_s : array_like
        Kinematic viscosity [m²/s].
    slope : array_like
        Rise over run, above 0 [-].

    Returns
    -------
    ndarray
        Depth [m]: (3 ν q / (g s))^(1/3). The mean speed is q over it.

    Raises
    ------
    GeometryRefused
        If a value is out of range or not finite.

    References
    ----------
    .. [1] W. Nusselt's film, classical.
    """
    return np.cbrt(_some("flow per width", q_m2_s) / (_pull(nu_m2_s) * _more("slope", slope)))


def manning_depth_m(q_m2_s: npt.ArrayLike, slope: npt.ArrayLike, roughness: npt.ArrayLike = MANNING_CONCRETE) -> Values:
    """Depth of an even turbulent sheet on a slope.

    Parameters
    ----------
    q_m2_s : array_like
        Flow per width [m²/s].
    slope : array_like
        Rise over run, above 0 [-].
    roughness : array_like
        Manning's n [s/m^(1/3)].

    Returns
    -------
    ndarray
        Depth [m]: (n q / √s)^(3/5).

    Raises
    ------
    GeometryRefused
        If a value is out of range or not finite.

    Notes
    -----
    An empirical law of open channels; at films of a millimetre it is outside its range. Use `sheet_depth_m`.

    References
    ----------
    .. [1] Manning's formula for a wide sheet, classical.
    """
    held = _more("roughness", roughness) / np.sqrt(_more("slope", slope))
    return (_some("flow per width", q_m2_s) * held) ** (3 / 5)


def sheet_depth_m(
    q_m2_s: npt.ArrayLike,
    nu_m2_s: npt.ArrayLike,
    slope: npt.ArrayLike,
    roughness: npt.ArrayLike = MANNING_CONCRETE,
) -> Values:
    """Depth of an even sheet on a slope, laminar or turbulent: the law that brakes it more.

    Parameters
    ----------
    q_m2_s : array_like
        Flow per width [m²/s].
    nu_m2_s : array_like
        Kinematic viscosity [m²/s].
    slope : array_like
        Rise over run, above 0 [-].
    roughness : array_like
        As in `manning_depth_m` [s/m^(1/3)].

    Returns
    -------
    ndarray
        Depth [m].

    Raises
    ------
    GeometryRefused
        If a value is out of range or not finite.
    """
    return np.maximum(nusselt_depth_m(q_m2_s, nu_m2_s, slope), manning_depth_m(q_m2_s, slope, roughness))


def line_release_front_m(
    t_s: npt.ArrayLike, area_m2: npt.ArrayLike, nu_m2_s: npt.ArrayLike, slope: npt.ArrayLike
) -> Values:
    """How far down a slope a volume has run that was let go along a level line.

    Parameters
    ----------
    t_s : array_like
        Time since it was let go [s].
    area_m2 : array_like
        Volume per width [m²].
    nu_m2_s : array_like
        Kinematic viscosity [m²/s].
    slope : array_like
        Rise over run, above 0 [-].

    Returns
    -------
    ndarray
        Distance of the front [m]: (9 A² g s t / (4 ν))^(1/3). The front is then 1.5 A over it deep.

    Raises
    ------
    GeometryRefused
        If a value is out of range or not finite.

    References
    ----------
    .. [1] H. E. Huppert, Flow and instability of a viscous current down a slope, Nature 300 (1982) 427 (recalled, not
       read; the volume checked by integration).
    """
    return np.cbrt(
        27 / 4 * _some("volume per width", area_m2) ** 2 * _pull(nu_m2_s) * _more("slope", slope) * _some("time", t_s)
    )


def steady_half_width_m(
    x_m: npt.ArrayLike, flow_m3_s: npt.ArrayLike, nu_m2_s: npt.ArrayLike, slope: npt.ArrayLike
) -> Values:
    """Half-width of the steady stream below a point source on a slope.

    Parameters
    ----------
    x_m : array_like
        Distance down the slope [m].
    flow_m3_s : array_like
        Flow of the source [m³/s].
    nu_m2_s : array_like
        Kinematic viscosity [m²/s].
    slope : array_like
        Rise over run, above 0 [-].

    Returns
    -------
    ndarray
        Half-width [m]: e x^(3/7).

    Raises
    ------
    GeometryRefused
        If a value is out of range or not finite.

    Notes
    -----
    Far below the source, where the stream is long against its depth over the slope. Liquids that do not wet the floor
    run in narrower and faster rivulets.

    References
    ----------
    .. [1] P. C. Smith, A similarity solution for slow viscous flow down an inclined plane, Journal of Fluid Mechanics
       58 (1973) 275 (abstract read: powers 3/7 and -1/7, parabola across); factor derived, its flow integrated anew.
    """
    return _spread_of(flow_m3_s, nu_m2_s, slope) * _some("distance", x_m) ** (3 / 7)


def steady_depth_m(
    x_m: npt.ArrayLike,
    flow_m3_s: npt.ArrayLike,
    nu_m2_s: npt.ArrayLike,
    slope: npt.ArrayLike,
    *,
    beside_m: npt.ArrayLike = 0.0,
) -> Values:
    """Depth of the steady stream below a point source on a slope.

    Parameters
    ----------
    x_m : array_like
        Distance down the slope, above 0 [m].
    flow_m3_s : array_like
        Flow of the source [m³/s].
    nu_m2_s : array_like
        Kinematic viscosity [m²/s].
    slope : array_like
        Rise over run, above 0 [-].
    beside_m : array_like
        Distance to the side of the axis [m].

    Returns
    -------
    ndarray
        Depth [m]; 0 beside the stream.

    Raises
    ------
    GeometryRefused
        If a value is out of range or not finite.

    References
    ----------
    .. [1] As `steady_half_width_m`.
    """
    along = _more("distance", x_m)
    spread = _spread_of(flow_m3_s, nu_m2_s, slope)
    on_axis: Values = 3 / 14 * _more("slope", slope) * spread**2 * along ** (-1 / 7)
    side = _some("distance beside the axis", beside_m)
    half = spread * along ** (3 / 7)
    across: Values = np.divide(side, half, out=np.full(np.broadcast(side, half).shape, np.inf), where=half > 0)
    return on_axis * np.maximum(1 - across**2, 0.0)


def film_speed_m_s(depth_m: npt.ArrayLike, nu_m2_s: npt.ArrayLike, slope: npt.ArrayLike) -> Values:
    """Mean speed of a laminar film down a slope.

    Parameters
    ----------
    depth_m : array_like
        Depth [m].
    nu_m2_s : array_like
        Kinematic viscosity [m²/s].
    slope : array_like
        Rise over run, above 0 [-].

    Returns
    -------
    ndarray
        Speed [m/s]: g s h² / (3 ν).

    Raises
    ------
    GeometryRefused
        If a value is out of range or not finite.

    References
    ----------
    .. [1] As `nusselt_depth_m`.
    """
    return _pull(nu_m2_s) * _more("slope", slope) * _some("depth", depth_m) ** 2


def slope_front_m(
    t_s: npt.ArrayLike,
    flow_m3_s: npt.ArrayLike,
    nu_m2_s: npt.ArrayLike,
    slope: npt.ArrayLike,
    *,
    factor: float = SLOPE_FRONT,
) -> Values:
    """How far the front has run down a slope below a steady point source.

    Parameters
    ----------
    t_s : array_like
        Time since it began [s].
    flow_m3_s : array_like
        Flow of the source [m³/s].
    nu_m2_s : array_like
        Kinematic viscosity [m²/s].
    slope : array_like
        Rise over run, above 0 [-].
    factor : float
        `SLOPE_FRONT`, or one of its hard bounds `SLOPE_FRONT_LEAST` and `SLOPE_FRONT_MOST` [-].

    Returns
    -------
    ndarray
        Distance [m]: c [Q⁴ (g/3ν)³ s⁵ t⁷]^(1/9).

    Raises
    ------
    GeometryRefused
        If a value is out of range or not finite.

    Notes
    -----
    Beyond a distance of (3νQ/g)^(1/4) / s; nearer, the liquid spreads as on a level floor.

    References
    ----------
    .. [1] J. R. Lister, Viscous flows down an inclined plane from point and line sources, Journal of Fluid Mechanics
       242 (1992) 631 (abstract read: powers of time); factor from our own run.
    """
    return _checked_factor(factor) * _slope_rate(flow_m3_s, nu_m2_s, slope) * _some("time", t_s) ** (7 / 9)


def slope_front_time_s(
    front_m: npt.ArrayLike,
    flow_m3_s: npt.ArrayLike,
    nu_m2_s: npt.ArrayLike,
    slope: npt.ArrayLike,
    *,
    factor: float = SLOPE_FRONT,
) -> Values:
    """Time in which the front runs so far down a slope: `slope_front_m` turned round.

    Parameters
    ----------
    front_m : array_like
        Distance down the slope [m].
    flow_m3_s : array_like
        Flow of the source [m³/s].
    nu_m2_s : array_like
        Kinematic viscosity [m²/s].
    slope : array_like
        Rise over run, above 0 [-].
    factor : float
        As in `slope_front_m` [-].

    Returns
    -------
    ndarray
        Time [s]; infinite where nothing flows.

    Raises
    ------
    GeometryRefused
        As in `slope_front_m`.
    """
    return _when(front_m, _checked_factor(factor) * _slope_rate(flow_m3_s, nu_m2_s, slope), 7 / 9)


def slope_half_width_m(t_s: npt.ArrayLike, flow_m3_s: npt.ArrayLike, slope: npt.ArrayLike) -> Values:
    """Greatest half-width of the stream while its front still runs down the slope.

    Parameters
    ----------
    t_s : array_like
        Time since it began [s].
    flow_m3_s : array_like
        Flow of the source [m³/s].
    slope : array_like
        Rise over run, above 0 [-].

    Returns
    -------
    ndarray
        Half-width [m]: 1.01 (Q t / s)^(1/3). No viscosity in it; narrower than the later steady stream.

    Raises
    ------
    GeometryRefused
        If a value is out of range or not finite.

    References
    ----------
    .. [1] As `slope_front_m`.
    """
    return SLOPE_HALF_WIDTH * np.cbrt(_some("flow", flow_m3_s) * _some("time", t_s) / _more("slope", slope))


def inertial_radius_m(t_s: npt.ArrayLike, volume_m3: npt.ArrayLike, start_radius_m: npt.ArrayLike) -> Values:
    """Farthest that a volume let go at once can have spread on a level floor: nothing brakes it but its own weight.

    Parameters
    ----------
    t_s : array_like
        Time since it was let go [s].
    volume_m3 : array_like
        Volume [m³].
    start_radius_m : array_like
        Radius at which it stood [m].

    Returns
    -------
    ndarray
        Radius [m]: √(R0² + t √(8 g V / π)).

    Raises
    ------
    GeometryRefused
        If a value is out of range or not finite.

    Notes
    -----
    A bound on how early, not a prediction: it has no friction, and its basis on land is disputed.

    References
    ----------
    .. [1] F. Briscoe and P. Shaw, Spread and evaporation of liquid, Progress in Energy and Combustion Science 6 (1980)
       127 (first page read; law recalled). Disputed: D. M. Webber, On models of spreading pools, Journal of Loss
       Prevention in the Process Industries (abstract read).
    """
    start, rate = _inertial(volume_m3, start_radius_m)
    return np.sqrt(start**2 + rate * _some("time", t_s))


def inertial_time_s(radius_m: npt.ArrayLike, volume_m3: npt.ArrayLike, start_radius_m: npt.ArrayLike) -> Values:
    """Earliest that a volume let go at once can get to a radius: `inertial_radius_m` turned round.

    Parameters
    ----------
    radius_m : array_like
        Radius [m].
    volume_m3 : array_like
        Volume [m³].
    start_radius_m : array_like
        Radius at which it stood [m].

    Returns
    -------
    ndarray
        Time [s]; 0 within the radius at which it stood, infinite beyond it where there is no volume.

    Raises
    ------
    GeometryRefused
        As in `inertial_radius_m`.
    """
    start, rate = _inertial(volume_m3, start_radius_m)
    return _over(np.maximum(_some("radius", radius_m) ** 2 - start**2, 0.0), rate)


def inertial_viscous_crossing(volume_m3: float, start_radius_m: float, nu_m2_s: float) -> Crossing:
    """When a volume let go at once stops running by inertia and goes on as a viscous film.

    Parameters
    ----------
    volume_m3 : float
        Volume, above 0 [m³].
    start_radius_m : float
        Radius at which it stood [m].
    nu_m2_s : float
        Kinematic viscosity [m²/s].

    Returns
    -------
    Crossing
        Where the two laws give one radius. At time 0 for a liquid so thick that it never outruns its viscous law.

    Raises
    ------
    GeometryRefused
        If a value is out of range or not finite.
    """
    from scipy.optimize import brentq  # noqa: PLC0415 - a slow import for a question that is seldom asked

    volume = float(_more("volume", volume_m3))
    start, rate = (float(each) for each in _inertial(volume, start_radius_m))
    viscous_1_s = float(axisymmetric_radius_m(1.0, nu_m2_s=nu_m2_s, volume_m3=volume))

    def ahead(t_s: float) -> float:
        return start**2 + rate * t_s - viscous_1_s**2 * math.sqrt(math.sqrt(t_s))

    closest_s = (viscous_1_s**2 / (4 * rate)) ** (4 / 3)
    if ahead(closest_s) >= 0:
        return Crossing(0.0, start, volume / (math.pi * start**2) if start else math.inf)
    last_s = (viscous_1_s**2 / rate) ** (4 / 3)  # where the start no longer matters, the crossing lies before this
    time_s = float(brentq(ahead, closest_s, last_s, xtol=1e-12, rtol=1e-12)) if ahead(last_s) > 0 else last_s
    radius_m = math.sqrt(start**2 + rate * time_s)
    return Crossing(time_s, radius_m, volume / (math.pi * radius_m**2))


def pond_length_m(volume_m3: npt.ArrayLike, width_m: npt.ArrayLike, slope: npt.ArrayLike) -> Values:
    """How far up a slope a pond reaches from a wall across its foot.

    Parameters
    ----------
    volume_m3 : array_like
        Volume [m³].
    width_m : array_like
        Width of the floor along the wall, above 0 [m].
    slope : array_like
        Rise over run, above 0 [-].

    Returns
    -------
    ndarray
        Length [m]: √(2 V / (W s)). At the wall it is slope times this deep.

    Raises
    ------
    GeometryRefused
        If a value is out of range or not finite.
    """
    return np.sqrt(2 * _some("volume", volume_m3) / (_more("width", width_m) * _more("slope", slope)))


def cone_radius_m(volume_m3: npt.ArrayLike, slope: npt.ArrayLike) -> Values:
    """Radius of a pond over a blocked point drain towards which the floor falls from all sides.

    Parameters
    ----------
    volume_m3 : array_like
        Volume [m³].
    slope : array_like
        Rise over run, above 0 [-].

    Returns
    -------
    ndarray
        Radius [m]: (3 V / (π s))^(1/3).

    Raises
    ------
    GeometryRefused
        If a value is out of range or not finite.
    """
    return np.cbrt(3 * _some("volume", volume_m3) / (math.pi * _more("slope", slope)))


def _round(flow_m3_s: npt.ArrayLike | None, volume_m3: npt.ArrayLike | None) -> tuple[Values, float, float]:
    if volume_m3 is not None and flow_m3_s is None:
        return _some("volume", volume_m3), ROUND_VOLUME, 1 / 8
    if flow_m3_s is not None and volume_m3 is None:
        return _some("flow", flow_m3_s), ROUND_FLOW, 1 / 2
    raise GeometryRefused("spreading law: expected a flow or a volume, found both or neither")


def _plane(flow_m2_s: npt.ArrayLike | None, area_m2: npt.ArrayLike | None) -> tuple[Values, float, float]:
    if area_m2 is not None and flow_m2_s is None:
        return _some("volume per width", area_m2), PLANE_VOLUME, 1 / 5
    if flow_m2_s is not None and area_m2 is None:
        return _some("flow per width", flow_m2_s), PLANE_FLOW, 4 / 5
    raise GeometryRefused("spreading law: expected a flow or a volume per width, found both or neither")


def _pull(nu_m2_s: npt.ArrayLike) -> Values:
    """Gravity over three times the viscosity, which every laminar law holds."""
    return GRAVITY_M_S2 / (3 * _more("viscosity", nu_m2_s))


def _slope_rate(flow_m3_s: npt.ArrayLike, nu_m2_s: npt.ArrayLike, slope: npt.ArrayLike) -> Values:
    # Root by root: whole powers of small flows leave the range of numbers.
    flow, pull, fall = _some("flow", flow_m3_s), _pull(nu_m2_s), _more("slope", slope)
    found: Values = flow ** (4 / 9) * pull ** (1 / 3) * fall ** (5 / 9)
    return found


def _spread_of(flow_m3_s: npt.ArrayLike, nu_m2_s: npt.ArrayLike, slope: npt.ArrayLike) -> Values:
    """Smith's factor of the half-width: e⁷ = (3νQ / (g s)) (35/32) (14 / (3s))³."""
    fall = _more("slope", slope)
    seventh = _some("flow", flow_m3_s) / (_pull(nu_m2_s) * fall) * (35 / 32) * (14 / (3 * fall)) ** 3
    found: Values = seventh ** (1 / 7)
    return found


def _inertial(volume_m3: npt.ArrayLike, start_radius_m: npt.ArrayLike) -> tuple[Values, Values]:
    rate = np.sqrt(8 * GRAVITY_M_S2 * _some("volume", volume_m3) / math.pi)
    return _some("start radius", start_radius_m), rate


def _when(distance_m: npt.ArrayLike, rate: Values, power: float) -> Values:
    """Solve distance = rate × time^power for the time."""
    with np.errstate(over="ignore"):  # a time beyond all numbers is none
        found: Values = _over(_some("distance", distance_m), rate) ** (1 / power)
    return found


def _over(way: Values, rate: Values) -> Values:
    """Divide; no way takes no time, and nothing that flows takes for ever."""
    shape = np.broadcast(way, rate).shape
    never = np.broadcast_to(np.where(way > 0, np.inf, 0.0), shape).copy()
    found: Values = np.divide(way, rate, out=never, where=rate > 0)
    return found


def _checked_factor(factor: float) -> float:
    if not SLOPE_FRONT_LEAST <= factor <= SLOPE_FRONT_MOST:
        raise GeometryRefused(
            f"factor of the front: expected {SLOPE_FRONT_LEAST} to {SLOPE_FRONT_MOST}, found {factor}"
        )
    return factor


def _some(name: str, given: npt.ArrayLike) -> Values:
    values = np.asarray(given, dtype=np.float64)
    if not (np.isfinite(values) & (values >= 0)).all():
        raise GeometryRefused(f"{name}: expected 0 or more, found {_first_bad(values, values < 0)}")
    return values


def _more(name: str, given: npt.ArrayLike) -> Values:
    values = np.asarray(given, dtype=np.float64)
    if not (np.isfinite(values) & (values > 0)).all():
        raise GeometryRefused(f"{name}: expected more than 0, found {_first_bad(values, values <= 0)}")
    return values


def _first_bad(values: Values, wrong: npt.NDArray[np.bool_]) -> float:
    return float(values[~np.isfinite(values) | wrong].flat[0])
