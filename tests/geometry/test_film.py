from math import inf, nan

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from geometry.errors import GeometryRefused
from geometry.film import capillary_length_m, film_for, film_of_liquid, puddle_depth_m, spreads_for_s


@pytest.mark.parametrize(
    ("finish", "thin_mm", "thick_mm"),
    [("sealed", 0.7, 2.8), ("bare concrete", 2.8, 5), ("jointed or pitted", 5, 10), ("unknown", 0.7, 10)],
)
def test_each_finish_has_its_range(finish: str, thin_mm: float, thick_mm: float) -> None:
    found = film_for(finish)
    assert (found.thin_m * 1000, found.thick_m * 1000) == (pytest.approx(thin_mm), pytest.approx(thick_mm))
    assert f"{thin_mm:g} to {thick_mm:g} mm" in found.model
    assert "recalled, not read" in found.source


def test_an_unknown_finish_spans_every_other() -> None:
    unknown = film_for("unknown")
    others = [film_for(finish) for finish in ("sealed", "bare concrete", "jointed or pitted")]
    assert unknown.thin_m == min(film.thin_m for film in others)
    assert unknown.thick_m == max(film.thick_m for film in others)


def test_a_finish_without_a_range_is_refused() -> None:
    with pytest.raises(GeometryRefused, match=r"floor finish: expected one of sealed, .*, found 'carpet'"):
        film_for("carpet")


def test_a_puddle_vanishes_as_the_liquid_wets_and_is_deepest_where_it_does_not() -> None:
    assert puddle_depth_m(0.0728, 998.2, 0) == 0
    assert puddle_depth_m(0.0728, 998.2, 180) == pytest.approx(2 * capillary_length_m(0.0728, 998.2))
    with pytest.raises(GeometryRefused, match="contact angle: expected 0 to 180"):
        puddle_depth_m(0.0728, 998.2, 181)
    with pytest.raises(GeometryRefused, match="density: expected more than 0"):
        puddle_depth_m(0.0728, 0, 30)


def test_a_known_liquid_names_its_puddle_and_may_raise_the_thick_end_only() -> None:
    # Water at 90° stands 3.86 mm deep: deeper than the thick end of a sealed floor, not than that of bare concrete.
    sealed = film_of_liquid("sealed", surface_tension_n_m=0.0728, density_kg_m3=998.2, contact_angle_deg=90)
    assert (sealed.thin_m, sealed.thick_m) == (0.0007, pytest.approx(0.003857, rel=1e-3))
    assert "3.9 mm deep: taken as the thick end" in sealed.model
    assert "Capillarity" in sealed.source
    bare = film_of_liquid("bare concrete", surface_tension_n_m=0.0728, density_kg_m3=998.2, contact_angle_deg=90)
    assert (bare.thin_m, bare.thick_m) == (0.0028, 0.005)
    assert "3.9 mm deep" in bare.model
    unknown = film_of_liquid("sealed", surface_tension_n_m=0.0728, density_kg_m3=998.2, contact_angle_deg=None)
    assert (unknown.thin_m, unknown.thick_m) == (0.0007, 0.0028)
    assert "how the liquid wets it is not known; no puddle of it is deeper than 5.5 mm" in unknown.model


def test_a_thick_liquid_takes_its_time() -> None:
    # Huppert: r⁸ = 0.89391⁸ g V³ t / 3ν, with r² = V / π h: 0.1 m³ of 1e-3 m²/s to 10 mm is r = 1.784 m.
    expected = (1.784124 / 0.893911) ** 8 * 3e-3 / (9.80665 * 0.1**3)
    assert spreads_for_s(0.1, 0.010, viscosity_m2_s=1e-3) == pytest.approx(expected, rel=1e-4)


@pytest.mark.parametrize("bad", [0.0, -1.0, nan, inf])
def test_what_does_not_spread_is_refused(bad: float) -> None:
    for refused in (
        lambda: spreads_for_s(bad, 0.01, viscosity_m2_s=1e-3),
        lambda: spreads_for_s(0.1, bad, viscosity_m2_s=1e-3),
        lambda: spreads_for_s(0.1, 0.01, viscosity_m2_s=bad),
        lambda: film_of_liquid("sealed", surface_tension_n_m=bad, density_kg_m3=998, contact_angle_deg=None),
        lambda: film_of_liquid("sealed", surface_tension_n_m=0.07, density_kg_m3=bad, contact_angle_deg=30),
    ):
        with pytest.raises(GeometryRefused, match="expected more than 0"):
            refused()


LAW = settings(max_examples=60, derandomize=True, deadline=None)


@LAW
@given(
    st.sampled_from(["sealed", "bare concrete", "jointed or pitted", "unknown"]),
    st.floats(0.005, 0.5),
    st.floats(500, 3000),
    st.one_of(st.none(), st.floats(0, 180)),
)
def test_a_liquid_never_moves_the_thin_end_nor_lowers_the_thick_one(
    finish: str, tension: float, density: float, angle: float | None
) -> None:
    plain = film_for(finish)
    film = film_of_liquid(finish, surface_tension_n_m=tension, density_kg_m3=density, contact_angle_deg=angle)
    assert film.thin_m == plain.thin_m
    assert film.thick_m >= plain.thick_m
    assert film.model.startswith(plain.model)


@LAW
@given(st.floats(0.001, 1), st.floats(0.0005, 0.02), st.floats(1.0, 4.0), st.floats(1e-7, 1e-2))
def test_thinner_takes_longer_and_thicker_liquids_too(
    volume: float, depth: float, factor: float, viscosity: float
) -> None:
    time = spreads_for_s(volume, depth, viscosity_m2_s=viscosity)
    assert spreads_for_s(volume, depth / factor, viscosity_m2_s=viscosity) >= time * (1 - 1e-12)
    assert spreads_for_s(volume, depth, viscosity_m2_s=viscosity * factor) == pytest.approx(time * factor)
