"""The closed laws of spreading against published figures; P-numbers are those of the project's list of checks.

The source stands beside each check. *Recalled* means that the value was known by heart and the document not read.
"""

from math import pi

import numpy as np
import numpy.typing as npt
import pytest
from scipy.integrate import quad, solve_ivp

from geometry.constants import GRAVITY_M_S2
from geometry.similarity import (
    PLANE_FLOW,
    PLANE_VOLUME,
    ROUND_FLOW,
    ROUND_VOLUME,
    SLOPE_FRONT_LEAST,
    SLOPE_FRONT_MOST,
    axisymmetric_radius_m,
    cone_radius_m,
    film_reynolds,
    film_speed_m_s,
    inertial_time_s,
    inertial_viscous_crossing,
    line_release_front_m,
    manning_depth_m,
    nusselt_depth_m,
    pond_length_m,
    sheet_depth_m,
    slope_front_m,
    slope_front_time_s,
    slope_half_width_m,
    steady_depth_m,
    steady_half_width_m,
)

DRUM_M3, DRUM_RADIUS_M = 0.2082, 0.28575
"""A 55 gallon drum, let go at once where it stood. Source: a published drum table (22.5 in inside)."""


def factor_by_shooting(*, round_pool: bool, steady_flow: bool) -> float:
    """Integrate the similarity equation h = t^b f(x / x_N) inward from the front, where f goes as a cube root.

    With g / 3ν taken as 1, (sⁿ f³ f')' = sⁿ (b f - c s f') for n = 1 (round) or 0 (plane); the volume then scales the
    profile.
    """
    n, alpha = int(round_pool), int(steady_flow)
    c = (3 * alpha + 1) / (5 + 3 * n)
    b = alpha - (n + 1) * c
    offset = 1e-5
    edge = (3 * c * offset) ** (1 / 3)

    def change(s: float, state: npt.NDArray[np.float64]) -> list[float]:
        f, flux = map(float, state)
        slope = flux / (s**n * f**3)
        return [slope, s**n * (b * f - c * s * slope)]

    start = 1e-4 if round_pool else 1e-9
    found = solve_ivp(
        change,
        (1 - offset, start),
        [edge, -c * (1 - offset) ** (n + 1) * edge],
        method="LSODA",
        rtol=1e-10,
        atol=1e-13,
        dense_output=True,
    )
    profile = found.sol
    assert profile is not None
    volume = quad(lambda s: s**n * profile(s)[0], start, 1 - offset, limit=400)[0] + 0.75 * offset * edge
    return float(((2 * pi if round_pool else 1) * volume) ** (-1 / (n + 1 + 2 / 3)))


@pytest.mark.parametrize(
    ("ours", "printed", "case"),
    [
        # Huppert, J. Fluid Mech. 121 (1982) 43, prints 0.894, 0.715 and 1.411 (recalled); 1.411 also on a public page
        # (read); the fourth was not to be had in print, so it stands as integrated.
        (ROUND_VOLUME, 0.894, {"round_pool": True, "steady_flow": False}),
        (ROUND_FLOW, 0.715, {"round_pool": True, "steady_flow": True}),
        (PLANE_VOLUME, 1.411, {"round_pool": False, "steady_flow": False}),
        (PLANE_FLOW, 1.0010, {"round_pool": False, "steady_flow": True}),
    ],
)
def test_p17_factors(ours: float, printed: float, case: dict[str, bool]) -> None:
    assert ours == pytest.approx(printed, rel=0.005)
    assert ours == pytest.approx(factor_by_shooting(**case), rel=1e-6)


def test_p18_a_drum_of_gear_oil_let_go_at_once() -> None:
    # Huppert's law of fixed volume; expected values worked by hand from the factor 0.8939.
    radii = axisymmetric_radius_m([60, 600], nu_m2_s=1e-4, volume_m3=DRUM_M3)
    assert radii == pytest.approx([3.036, 4.048], rel=0.01)
    assert DRUM_M3 / (pi * radii[0] ** 2) * 1000 == pytest.approx(7.19, rel=0.01)


def test_p19_a_steady_leak_of_water() -> None:
    # Huppert's law of steady flow; expected values worked by hand from the factor 0.7150.
    seconds = [60.0, 240.0]
    radii = axisymmetric_radius_m(seconds, nu_m2_s=1e-6, flow_m3_s=0.19e-3)
    assert radii == pytest.approx([1.453, 2.906], rel=0.01)
    for time, radius in zip(seconds, radii, strict=True):
        assert 0.19e-3 * time / (pi * radius**2) * 1000 == pytest.approx(1.719, rel=0.01)


def test_p20_inertial_bound() -> None:
    # Briscoe and Shaw 1980 (first page read, law recalled); 208.2 L to the radius of a pool 10 and 5 mm deep.
    radii = [(DRUM_M3 / (pi * depth)) ** 0.5 for depth in (0.010, 0.005)]
    assert inertial_time_s(radii, DRUM_M3, DRUM_RADIUS_M) == pytest.approx([2.87, 5.78], rel=0.01)


@pytest.mark.parametrize(
    ("nu_m2_s", "time_s", "radius_m", "depth_mm"),
    # Root of the two laws, worked beforehand and independently of this code.
    [(4e-7, 10.3, 4.9, 2.8), (1e-6, 7.59, 4.17, 3.81), (1e-5, 3.5, 2.8, 8.2), (1e-4, 1.60, 1.93, 17.8)],
)
def test_p21_inertia_hands_over_to_viscosity(nu_m2_s: float, time_s: float, radius_m: float, depth_mm: float) -> None:
    found = inertial_viscous_crossing(DRUM_M3, DRUM_RADIUS_M, nu_m2_s)
    assert found.time_s == pytest.approx(time_s, rel=0.02)
    assert found.radius_m == pytest.approx(radius_m, rel=0.02)
    assert found.depth_m * 1000 == pytest.approx(depth_mm, rel=0.02)


def test_p22_film_on_a_slope() -> None:
    # Nusselt's film, any heat-transfer textbook (recalled); 0.1 L/s per metre of water.
    depth = nusselt_depth_m(1e-4, 1e-6, [0.01, 0.02])
    assert depth * 1000 == pytest.approx([1.452, 1.152], rel=0.005)
    assert 1e-4 / depth[0] == pytest.approx(0.0689, rel=0.005)
    assert film_speed_m_s(depth[0], 1e-6, 0.01) == pytest.approx(0.0689, rel=0.005)
    assert film_reynolds(1e-4, 1e-6) == pytest.approx(400, rel=0.005)


def test_p23_steady_stream_below_a_point_source() -> None:
    # Smith, J. Fluid Mech. 58 (1973) 275 (abstract read; factor derived); 0.19 L/s of water on 1 %, 5 m down.
    source = (0.19e-3, 1e-6, 0.01)
    half = float(steady_half_width_m(5, *source))
    assert half == pytest.approx(1.873, rel=0.01)
    on_axis = steady_depth_m(5, *source)
    assert on_axis * 1000 == pytest.approx(1.503, rel=0.01)
    assert film_speed_m_s(on_axis, 1e-6, 0.01) == pytest.approx(0.0738, rel=0.01)

    def flux(side_m: float) -> float:
        depth = steady_depth_m(5, *source, beside_m=abs(side_m))
        return float(depth * film_speed_m_s(depth, 1e-6, 0.01))

    assert quad(flux, -half, half)[0] == pytest.approx(0.19e-3, rel=1e-6)
    assert steady_depth_m(5, *source, beside_m=half * 1.001) == 0


def test_p24_front_below_a_point_source() -> None:
    # Powers of Lister, J. Fluid Mech. 242 (1992) 631 (abstract read); factor and hard bounds computed for this project.
    source = (0.19e-3, 1e-6, 0.01)
    assert slope_front_m(60, *source) == pytest.approx(4.99, rel=0.01)
    assert slope_front_m(60, *source, factor=SLOPE_FRONT_LEAST) == pytest.approx(4.13, rel=0.01)
    assert slope_front_m(60, *source, factor=SLOPE_FRONT_MOST) == pytest.approx(5.53, rel=0.01)
    assert slope_front_time_s(5, *source) == pytest.approx(60, rel=0.01)
    assert slope_front_time_s(5, *source, factor=SLOPE_FRONT_MOST) == pytest.approx(52.7, rel=0.01)
    assert slope_front_time_s(5, *source, factor=SLOPE_FRONT_LEAST) == pytest.approx(76.8, rel=0.01)
    assert slope_half_width_m(60, 0.19e-3, 0.01) == pytest.approx(1.06, rel=0.01)


def test_p24_the_least_factor_lays_the_volume_out_as_the_steady_stream() -> None:
    # Volume balance: when the front of the least factor is at x, the steady stream down to x holds all that was let
    # out.
    source = (0.19e-3, 1e-6, 0.01)
    front = float(slope_front_m(60, *source, factor=SLOPE_FRONT_LEAST))
    held = quad(lambda x: float(4 / 3 * steady_depth_m(x, *source) * steady_half_width_m(x, *source)), 1e-6, front)[0]
    assert held == pytest.approx(0.19e-3 * 60, rel=0.03)


def test_p25_line_release_on_a_slope() -> None:
    # Huppert, Nature 300 (1982) 427 (recalled); 20 L per metre of gear oil on 1 %.
    front = line_release_front_m([60, 600], 0.02, 1e-4, 0.01)
    assert front == pytest.approx([3.755, 8.090], rel=0.01)
    assert 1.5 * 0.02 / front * 1000 == pytest.approx([7.99, 3.71], rel=0.01)


def test_p27_turbulent_law_governs_a_thick_sheet() -> None:
    # Manning n = 0.013 (recalled from open-channel tables) against Nusselt's film; 1 L/s per metre of water on 1 %.
    assert manning_depth_m(1e-3, 0.01, 0.013) * 1000 == pytest.approx(4.66, rel=0.01)
    assert nusselt_depth_m(1e-3, 1e-6, 0.01) * 1000 == pytest.approx(3.13, rel=0.01)
    assert film_reynolds(1e-3, 1e-6) == pytest.approx(4000)
    assert sheet_depth_m(1e-3, 1e-6, 0.01, 0.013) == manning_depth_m(1e-3, 0.01, 0.013)


def test_p29_ponds() -> None:
    # A wedge of water at a wall 10 m wide, a cone over a blocked gully: plain geometry.
    lengths = pond_length_m(DRUM_M3, 10, [0.01, 0.005])
    assert lengths == pytest.approx([2.041, 2.886], rel=0.005)
    assert lengths * [0.01, 0.005] * 1000 == pytest.approx([20.4, 14.4], rel=0.005)
    assert cone_radius_m(DRUM_M3, 0.01) == pytest.approx(2.709, rel=0.005)


def test_arrival_table_of_the_level_floor() -> None:
    # Table worked beforehand from Huppert's law: 0.19 L/s of water gets to 3 and 6 m after 256 and 1,023 s.
    flow = 0.19e-3
    rate = GRAVITY_M_S2 / 3e-6
    for radius, seconds in ((3, 256), (6, 1023)):
        assert (radius / 0.71502 / (rate * flow**3) ** (1 / 8)) ** 2 == pytest.approx(seconds, rel=0.01)
        assert axisymmetric_radius_m(seconds, nu_m2_s=1e-6, flow_m3_s=flow) == pytest.approx(radius, rel=0.01)
