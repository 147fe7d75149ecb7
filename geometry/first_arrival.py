"""When a leak first gets to places on the floor: the quick answer for all of them at once, from the closed laws.

Times are ranges. The early end is what the laws do not allow to be beaten, the late end what they promise, each for the
floor as said. Where a pool would rest before it gets there, the late end is infinite. The full answer, with walls and
depths, is a run of the flow on the grid.
"""

import math
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from geometry.constants import GRAVITY_M_S2, SNAP_M
from geometry.errors import GeometryRefused
from geometry.leak import Leak
from geometry.similarity import (
    ROUND_FLOW,
    ROUND_VOLUME,
    SLOPE_FRONT_LEAST,
    SLOPE_FRONT_MOST,
    SLOPE_HALF_WIDTH,
    Values,
    axisymmetric_time_s,
    inertial_radius_m,
    inertial_time_s,
    slope_front_time_s,
)

HEAD_START = 0.2
"""How far ahead of the law of the slope the front is at most while it still spreads as on the level, as a share of the
length (3νQ/g)^(1/4) / s. Source: our own two-dimensional finite-volume run on cells of 0.05 and 0.025 of that length,
where it was 0.16 at most, and nothing from about 4 lengths on."""

LEVEL = (
    "level floor: no sooner than the first flow spreads (Huppert) or weight alone allows, no later than the film covers"
)
FALLING = "falling floor: front below a steady source (Lister's powers), between its hard bounds"

_HALVINGS = 60


@dataclass(frozen=True, slots=True)
class Spreading:
    """What decides how a liquid spreads on a floor, each as a range.

    Parameters
    ----------
    thin_viscosity_m2_s, thick_viscosity_m2_s : float
        Kinematic viscosity, above 0 [m²/s]; alike where it is known.
    thin_m, thick_m : float
        Depth at which the film rests [m]; 0 is a film that never rests.

    Raises
    ------
    GeometryRefused
        If a value is out of range or not finite, or the thick end is below the thin one.
    """

    thin_viscosity_m2_s: float
    thick_viscosity_m2_s: float
    thin_m: float
    thick_m: float

    def __post_init__(self) -> None:
        for name, low, high in (
            ("viscosity", self.thin_viscosity_m2_s, self.thick_viscosity_m2_s),
            ("film", self.thin_m, self.thick_m),
        ):
            if not (0 <= low <= high < math.inf):
                raise GeometryRefused(f"{name} range: expected the thin end first, 0 or more, found {low} to {high}")
        if self.thin_viscosity_m2_s == 0:
            raise GeometryRefused("viscosity: expected more than 0 m²/s, found 0")


@dataclass(frozen=True, slots=True, eq=False)
class FirstArrival:
    """When a leak first gets to each of several places.

    Parameters
    ----------
    early_s, late_s : (n,) array
        Ends of the range [s]; infinite where it does not get there.
    model : str
        What the numbers are, for people.
    """

    early_s: Values
    late_s: Values
    model: str


def level_arrival(
    leak: Leak,
    distance_m: npt.ArrayLike,
    spreading: Spreading,
    *,
    nearer_m2: npt.ArrayLike | None = None,
    start_radius_m: float = 0.0,
) -> FirstArrival:
    """When a leak first gets to places on a level floor.

    Parameters
    ----------
    leak : Leak
        How the drum runs out.
    distance_m : array_like
        Length along the floor to each place [m].
    spreading : Spreading
        Viscosity and film.
    nearer_m2 : array_like, optional
        Floor that lies nearer than each place [m²]; a disc where it is not given. Walls make it smaller, and what is
        hemmed in comes sooner.
    start_radius_m : float
        Radius at which a volume let go at once stood [m].

    Returns
    -------
    FirstArrival

    Raises
    ------
    GeometryRefused
        If a value is out of range or not finite, or floor and distance contradict each other.

    Notes
    -----
    Early: the largest flow spreads as a steady one (Huppert's law), which a leak that wanes never beats; never sooner
    than weight alone would carry the whole volume, nor than the thin film covers the nearer floor. Late: the mean flow
    so far spreads as a steady one, and what has run out covers the nearer floor with the thick film; a volume let go at
    once is held to the later of weight and viscosity. Where walls hem
    the liquid in, the flow counts as larger by the disc over the nearer floor: exact in a wedge, 16 % too far in a
    corridor, and so a little soon at both ends. Walls that let liquid through hem nothing in. A jet that clears the
    pallet lands nearer to the place than the drum stands; that is not counted.

    References
    ----------
    .. [1] See `similarity.axisymmetric_radius_m` and `similarity.inertial_radius_m`.
    """
    way = _checked("distance", distance_m)
    disc = math.pi * way**2
    nearer = disc if nearer_m2 is None else _nearer(way, nearer_m2)
    hemmed = np.maximum(np.divide(disc, nearer, out=np.ones_like(nearer), where=nearer > 0), 1.0)
    weight = inertial_time_s(way, leak.leaves_m3 * hemmed, start_radius_m)
    at_once = leak.stop_s == 0
    first = weight if at_once else np.maximum(weight, _spreads_s(leak, way, hemmed, spreading.thin_viscosity_m2_s))
    early = np.maximum(first, _out_s(leak, nearer * spreading.thin_m))
    factor = ROUND_VOLUME if at_once else ROUND_FLOW
    pull = GRAVITY_M_S2 / (3 * spreading.thick_viscosity_m2_s)
    # r⁸ = c⁸ (g / 3ν) V³ t, by roots: whole powers of long times leave the range of numbers. So on the slope.
    drawn = _reached_s(leak, 3 / 4, (way / factor) ** 2 / (pull ** (1 / 4) * hemmed ** (3 / 4)))
    late = np.maximum(np.maximum(drawn, _out_s(leak, nearer * spreading.thick_m)), early)
    return _nothing_out(leak, FirstArrival(early, late, LEVEL))


def falling_arrival(
    leak: Leak,
    distance_m: npt.ArrayLike,
    fall: npt.ArrayLike,
    spreading: Spreading,
    *,
    start_radius_m: float = 0.0,
) -> FirstArrival:
    """When a leak first gets to places towards which the floor falls.

    Parameters
    ----------
    leak : Leak
        How the drum runs out.
    distance_m : array_like
        Length along the floor to each place [m].
    fall : array_like
        Rise over run towards the drum, above 0 [-].
    spreading : Spreading
        Viscosity and film.
    start_radius_m : float
        As in `level_arrival` [m].

    Returns
    -------
    FirstArrival

    Raises
    ------
    GeometryRefused
        If a value is out of range or not finite.

    Notes
    -----
    Early: the front of a steady stream of the largest flow at the upper bound of its law, with the head start that it
    has near the source; a volume let go at once slides without friction. Late: the lower bound with the mean flow so
    far, once enough has run out to leave the thick film behind along the way. Laminar: in streams of more than about
    half a litre a second and metre the true front is slower. Liquids that do not wet the floor run in narrow rivulets,
    sooner than this. Nothing hems the stream in.

    References
    ----------
    .. [1] See `similarity.slope_front_m`.
    """
    way, falls = np.broadcast_arrays(_checked("distance", distance_m), _checked("fall", fall))
    if (falls == 0).any():
        raise GeometryRefused("fall: expected more than 0, found 0")
    if leak.stop_s == 0:
        early = _slides_s(leak.leaves_m3, way, falls, start_radius_m)
    else:
        flow = float(leak.flow_m3_s.max())
        depth = (3 * spreading.thin_viscosity_m2_s * flow / GRAVITY_M_S2) ** (1 / 4)
        ahead = np.maximum(way - HEAD_START * depth / falls, 0.0)
        early = slope_front_time_s(ahead, flow, spreading.thin_viscosity_m2_s, falls, factor=SLOPE_FRONT_MOST)
    pull = GRAVITY_M_S2 / (3 * spreading.thick_viscosity_m2_s)
    runs = _reached_s(leak, 4 / 7, (way / SLOPE_FRONT_LEAST) ** (9 / 7) / (pull ** (3 / 7) * falls ** (5 / 7)))
    left_behind = (2 * SLOPE_HALF_WIDTH * spreading.thick_m * way) ** 1.5 / np.sqrt(falls)
    late = np.maximum(np.maximum(runs, _out_s(leak, left_behind)), early)
    return _nothing_out(leak, FirstArrival(early, late, FALLING))


def _spreads_s(leak: Leak, way: Values, hemmed: Values, viscosity_m2_s: float) -> Values:
    return axisymmetric_time_s(way, nu_m2_s=viscosity_m2_s, flow_m3_s=float(leak.flow_m3_s.max()) * hemmed)


def _slides_s(volume_m3: float, way: Values, falls: Values, start_radius_m: float) -> Values:
    """Time of a volume that spreads by weight and slides without friction, by halving."""
    # Either alone takes longer.
    high = np.minimum(inertial_time_s(way, volume_m3, start_radius_m), np.sqrt(2 * way / (GRAVITY_M_S2 * falls)))
    low = np.zeros_like(high)
    for _ in range(_HALVINGS):
        middle = (low + high) / 2
        front = inertial_radius_m(middle, volume_m3, start_radius_m) + GRAVITY_M_S2 * falls * middle**2 / 2
        short = front < way
        low, high = np.where(short, middle, low), np.where(short, high, middle)
    return low


def _out_s(leak: Leak, volume_m3: Values) -> Values:
    """Time until volumes have left the drum."""
    flat = [leak.when_out_s(float(volume)) for volume in volume_m3.ravel()]
    return np.asarray(flat, dtype=np.float64).reshape(volume_m3.shape)


def _reached_s(leak: Leak, share: float, needed: Values) -> Values:
    """Time t at which V(t)^share t^(1 - share) has come to what is needed, V being what has left the drum by then.

    That is nearly a straight line from step to step of the leak's table, since V begins as the flow times t.
    """
    grown = leak.out_m3(leak.time_s) ** share * leak.time_s ** (1 - share)
    within = np.interp(needed, grown, leak.time_s)
    rest = np.full_like(needed, np.inf)
    np.divide(needed, leak.leaves_m3**share, out=rest, where=leak.leaves_m3 > 0)
    with np.errstate(over="ignore"):  # a time beyond all numbers is none
        after = rest ** (1 / (1 - share))
    found: Values = np.where(needed <= grown[-1], within, after)
    return found


def _nothing_out(leak: Leak, found: FirstArrival) -> FirstArrival:
    """Where nothing leaves the drum nothing arrives, not even beside it."""
    if leak.leaves_m3 > 0:
        return found
    never = np.full_like(found.early_s, np.inf)
    return FirstArrival(never, never, found.model)


def _nearer(way: Values, nearer_m2: npt.ArrayLike) -> Values:
    nearer = _checked("nearer floor", nearer_m2)
    way, nearer = np.broadcast_arrays(way, nearer)
    if ((nearer == 0) & (way > SNAP_M)).any():
        raise GeometryRefused("nearer floor: expected more than 0 m² where there is a way, found 0")
    return nearer


def _checked(name: str, given: npt.ArrayLike) -> Values:
    values = np.atleast_1d(np.asarray(given, dtype=np.float64))
    wrong = ~(np.isfinite(values) & (values >= 0))
    if wrong.any():
        raise GeometryRefused(f"{name}: expected 0 or more, found {values[wrong].flat[0]}")
    return values
