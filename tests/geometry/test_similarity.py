from collections.abc import Callable
from math import inf, nan, pi, sqrt
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from geometry.errors import GeometryRefused
from geometry.similarity import (
    SLOPE_FRONT_LEAST,
    SLOPE_FRONT_MOST,
    axisymmetric_radius_m,
    axisymmetric_time_s,
    cone_radius_m,
    film_reynolds,
    film_speed_m_s,
    inertial_radius_m,
    inertial_time_s,
    inertial_viscous_crossing,
    line_release_front_m,
    manning_depth_m,
    nusselt_depth_m,
    plane_front_m,
    plane_time_s,
    pond_length_m,
    sheet_depth_m,
    slope_front_m,
    slope_front_time_s,
    slope_half_width_m,
    steady_depth_m,
    steady_half_width_m,
)

THIN, OIL = 4e-7, 1e-4
G = 9.80665

seconds = st.floats(1e-2, 1e5)
metres = st.floats(1e-2, 1e2)
flows = st.floats(1e-6, 1e-1)
viscosities = st.floats(1e-7, 1e-2)
slopes = st.floats(1e-3, 0.1)


def test_laws_worked_by_hand() -> None:
    # With viscosity g/3 the pull g/3ν is 1, so every law is its factor times powers of what is given.
    nu = G / 3
    assert axisymmetric_radius_m(16, nu_m2_s=nu, flow_m3_s=1) == pytest.approx(4 * 0.715016)
    assert axisymmetric_radius_m(256, nu_m2_s=nu, volume_m3=1) == pytest.approx(2 * 0.893914)
    assert plane_front_m(32, nu_m2_s=nu, flow_m2_s=1) == pytest.approx(16 * 1.001013)
    assert plane_front_m(32, nu_m2_s=nu, area_m2=1) == pytest.approx(2 * 1.411245)
    assert nusselt_depth_m(0.08, nu, 0.01) == pytest.approx(2)
    assert film_speed_m_s(2, nu, 0.01) == pytest.approx(0.04)
    assert manning_depth_m(32, 1, 1) == pytest.approx(8)
    assert line_release_front_m(4 / 27, 2, nu, 0.25) == pytest.approx(1)
    assert slope_front_m(512, 1, nu, 1, factor=0.9) == pytest.approx(0.9 * 128)
    assert slope_half_width_m(4, 1, 0.5) == pytest.approx(1.01 * 2)
    assert inertial_radius_m(2, pi / (8 * G), 1) == pytest.approx(sqrt(3))
    assert pond_length_m(0.5, 1, 0.01) == pytest.approx(10)
    assert cone_radius_m(pi / 3 * 0.08, 0.01) == pytest.approx(2)


def test_nothing_let_out_goes_nowhere_and_takes_for_ever() -> None:
    assert axisymmetric_radius_m(60, nu_m2_s=THIN, flow_m3_s=0) == 0
    assert axisymmetric_time_s([0, 1], nu_m2_s=THIN, flow_m3_s=0).tolist() == [0, inf]
    assert plane_time_s([0, 1], nu_m2_s=THIN, area_m2=0).tolist() == [0, inf]
    assert slope_front_time_s([0, 1], 0, THIN, 0.01).tolist() == [0, inf]
    assert inertial_time_s([0.2, 1], 0, 0.3).tolist() == [0, inf]
    assert steady_half_width_m(1, 0, THIN, 0.01) == 0
    assert steady_depth_m(1, 0, THIN, 0.01, beside_m=[0.0, 1.0]).tolist() == [0, 0]
    assert line_release_front_m(60, 0, THIN, 0.01) == 0
    assert pond_length_m(0, 1, 0.01) == cone_radius_m(0, 0.01) == 0
    assert nusselt_depth_m(0, THIN, 0.01) == sheet_depth_m(0, THIN, 0.01) == film_reynolds(0, THIN) == 0


def test_nothing_has_moved_at_the_start() -> None:
    assert axisymmetric_radius_m(0, nu_m2_s=THIN, flow_m3_s=1e-3) == 0
    assert slope_front_m(0, 1e-3, THIN, 0.01) == slope_half_width_m(0, 1e-3, 0.01) == 0
    assert inertial_radius_m(0, 0.2, 0.3) == pytest.approx(0.3)
    assert inertial_time_s(0.3, 0.2, 0.3) == 0


def test_arrays_are_answered_in_their_shape() -> None:
    times = axisymmetric_time_s(np.ones((2, 1)), nu_m2_s=THIN, flow_m3_s=np.full(3, 1e-3))
    assert times.shape == (2, 3)
    assert slope_front_time_s([1.0, 2.0], [1e-3, 1e-3], THIN, 0.01).shape == (2,)


def test_a_thick_liquid_is_viscous_from_the_first() -> None:
    found = inertial_viscous_crossing(0.2, 0.3, 1e3)
    assert (found.time_s, found.radius_m) == (0, 0.3)
    assert found.depth_m == pytest.approx(0.2 / (pi * 0.09))


def test_a_volume_that_stood_on_a_point_crosses_too() -> None:
    found = inertial_viscous_crossing(0.2, 0, 1e-4)
    assert inertial_radius_m(found.time_s, 0.2, 0) == pytest.approx(
        axisymmetric_radius_m(found.time_s, nu_m2_s=1e-4, volume_m3=0.2)
    )


@pytest.mark.parametrize("bad", [nan, inf, -1.0])
@pytest.mark.parametrize(
    ("law", "names"),
    [
        (axisymmetric_radius_m, {"t_s": 1.0, "nu_m2_s": 1e-6, "flow_m3_s": 1e-3}),
        (axisymmetric_time_s, {"radius_m": 1.0, "nu_m2_s": 1e-6, "volume_m3": 0.2}),
        (plane_front_m, {"t_s": 1.0, "nu_m2_s": 1e-6, "flow_m2_s": 1e-3}),
        (plane_time_s, {"front_m": 1.0, "nu_m2_s": 1e-6, "area_m2": 0.2}),
        (film_reynolds, {"q_m2_s": 1e-3, "nu_m2_s": 1e-6}),
        (nusselt_depth_m, {"q_m2_s": 1e-3, "nu_m2_s": 1e-6, "slope": 0.01}),
        (manning_depth_m, {"q_m2_s": 1e-3, "slope": 0.01, "roughness": 0.013}),
        (sheet_depth_m, {"q_m2_s": 1e-3, "nu_m2_s": 1e-6, "slope": 0.01, "roughness": 0.013}),
        (line_release_front_m, {"t_s": 1.0, "area_m2": 0.1, "nu_m2_s": 1e-6, "slope": 0.01}),
        (steady_half_width_m, {"x_m": 1.0, "flow_m3_s": 1e-3, "nu_m2_s": 1e-6, "slope": 0.01}),
        (steady_depth_m, {"x_m": 1.0, "flow_m3_s": 1e-3, "nu_m2_s": 1e-6, "slope": 0.01, "beside_m": 0.0}),
        (film_speed_m_s, {"depth_m": 1e-3, "nu_m2_s": 1e-6, "slope": 0.01}),
        (slope_front_m, {"t_s": 1.0, "flow_m3_s": 1e-3, "nu_m2_s": 1e-6, "slope": 0.01, "factor": 0.8}),
        (slope_front_time_s, {"front_m": 1.0, "flow_m3_s": 1e-3, "nu_m2_s": 1e-6, "slope": 0.01, "factor": 0.8}),
        (slope_half_width_m, {"t_s": 1.0, "flow_m3_s": 1e-3, "slope": 0.01}),
        (inertial_radius_m, {"t_s": 1.0, "volume_m3": 0.2, "start_radius_m": 0.3}),
        (inertial_time_s, {"radius_m": 1.0, "volume_m3": 0.2, "start_radius_m": 0.3}),
        (inertial_viscous_crossing, {"volume_m3": 0.2, "start_radius_m": 0.3, "nu_m2_s": 1e-6}),
        (pond_length_m, {"volume_m3": 0.2, "width_m": 10.0, "slope": 0.01}),
        (cone_radius_m, {"volume_m3": 0.2, "slope": 0.01}),
    ],
)
def test_refuses_what_is_no_number_or_negative(law: Callable[..., Any], names: dict[str, float], bad: float) -> None:
    law(**names)
    for name in names:
        with pytest.raises(GeometryRefused, match=r"expected .* found"):
            law(**{**names, name: bad})


@pytest.mark.parametrize("nothing", ["nu_m2_s", "slope"])
def test_refuses_a_liquid_without_viscosity_and_a_slope_that_is_none(nothing: str) -> None:
    given = {"t_s": 1.0, "flow_m3_s": 1e-3, "nu_m2_s": 1e-6, "slope": 0.01, nothing: 0.0}
    with pytest.raises(GeometryRefused, match="expected more than 0, found 0"):
        slope_front_m(**given)


def test_refuses_both_or_neither() -> None:
    for round_pool in ({}, {"flow_m3_s": 1.0, "volume_m3": 1.0}):
        with pytest.raises(GeometryRefused, match="found both or neither"):
            axisymmetric_radius_m(1.0, nu_m2_s=1e-6, **round_pool)
    for plane in ({}, {"flow_m2_s": 1.0, "area_m2": 1.0}):
        with pytest.raises(GeometryRefused, match="found both or neither"):
            plane_front_m(1.0, nu_m2_s=1e-6, **plane)


def test_refuses_the_first_bad_one_of_many_by_its_value() -> None:
    with pytest.raises(GeometryRefused, match=r"time: expected 0 or more, found -2"):
        axisymmetric_radius_m([1.0, -2.0, nan], nu_m2_s=1e-6, flow_m3_s=1e-3)


@given(seconds, flows, viscosities, slopes)
def test_time_and_distance_are_the_same_law(time: float, flow: float, nu: float, slope: float) -> None:
    for amount in ({"flow_m3_s": flow}, {"volume_m3": flow}):
        radius = axisymmetric_radius_m(time, nu_m2_s=nu, **amount)
        assert axisymmetric_time_s(radius, nu_m2_s=nu, **amount) == pytest.approx(time)
    for plane in ({"flow_m2_s": flow}, {"area_m2": flow}):
        assert plane_time_s(plane_front_m(time, nu_m2_s=nu, **plane), nu_m2_s=nu, **plane) == pytest.approx(time)
    assert slope_front_time_s(slope_front_m(time, flow, nu, slope), flow, nu, slope) == pytest.approx(time)
    assert inertial_time_s(inertial_radius_m(time, flow, 0.3), flow, 0.3) == pytest.approx(time, rel=1e-6, abs=1e-6)


@given(metres, metres, flows, flows, viscosities, slopes)
def test_farther_is_never_earlier_and_more_flow_never_later(
    a: float, b: float, small: float, large: float, nu: float, slope: float
) -> None:
    (a, b), (small, large) = sorted((a, b)), sorted((small, large))
    laws: list[Callable[[float, float], Any]] = [
        lambda way, flow: axisymmetric_time_s(way, nu_m2_s=nu, flow_m3_s=flow),
        lambda way, flow: plane_time_s(way, nu_m2_s=nu, flow_m2_s=flow),
        lambda way, flow: slope_front_time_s(way, flow, nu, slope),
        lambda way, flow: inertial_time_s(way, flow, 0.3),
    ]
    for law in laws:
        assert law(a, large) <= law(b, large)
        assert law(a, large) <= law(a, small)


@given(metres, flows, viscosities, slopes)
def test_the_hard_bounds_hold_the_front_between_them(way: float, flow: float, nu: float, slope: float) -> None:
    first, likely, last = (
        float(slope_front_time_s(way, flow, nu, slope, factor=factor))
        for factor in (SLOPE_FRONT_MOST, 0.81, SLOPE_FRONT_LEAST)
    )
    assert first < likely < last


@given(flows, viscosities, slopes, metres)
def test_the_steady_stream_carries_its_flow_everywhere(flow: float, nu: float, slope: float, way: float) -> None:
    # Across the parabola h0 (1 - η²) the flow g s h³ / 3ν has the mean 16/35 of that on the axis, over twice the
    # half-width.
    on_axis, half = steady_depth_m(way, flow, nu, slope), steady_half_width_m(way, flow, nu, slope)
    assert on_axis * film_speed_m_s(on_axis, nu, slope) * 2 * half * 16 / 35 == pytest.approx(flow)


@given(st.floats(1e-3, 1.0), st.floats(0.0, 0.5), viscosities)
def test_both_laws_agree_where_they_cross(volume: float, start: float, nu: float) -> None:
    found = inertial_viscous_crossing(volume, start, nu)
    if found.time_s > 0:
        assert found.radius_m == pytest.approx(float(inertial_radius_m(found.time_s, volume, start)))
        assert found.radius_m == pytest.approx(
            float(axisymmetric_radius_m(found.time_s, nu_m2_s=nu, volume_m3=volume)), rel=1e-6
        )
        assert found.depth_m == pytest.approx(volume / (pi * found.radius_m**2))
