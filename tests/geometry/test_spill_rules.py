from itertools import pairwise
from math import inf, nan

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from geometry.errors import GeometryRefused
from geometry.spill_rules import (
    ROUGHNESS_DEPTH_M,
    THIN_SPILL_BREAK_M3,
    published_rules,
    regulatory_area_m2,
    roughness_area_m2,
    thin_spill_area_m2,
    thin_spill_area_printed_m2,
)


def test_the_printed_rule_breaks_at_95_litres_and_the_mended_one_does_not() -> None:
    assert thin_spill_area_printed_m2(0.0949) == pytest.approx(132.9, abs=0.05)
    assert thin_spill_area_printed_m2(0.208198) == pytest.approx(74.95, abs=0.05)
    assert thin_spill_area_m2(0.0949) == pytest.approx(132.9, abs=0.05)
    assert thin_spill_area_m2(0.208198) == pytest.approx(133)
    # 133 m² at 0.36 m²/L are 369 L; from there on both are one again.
    assert thin_spill_area_m2(0.4) == thin_spill_area_printed_m2(0.4) == pytest.approx(144)


def test_rules_side_by_side_for_one_drum() -> None:
    rules = published_rules(0.208198)
    assert [round(rule.area_m2, 1) for rule in rules] == [133.0, 41.6, 20.8]
    assert all(rule.area_m2 * rule.depth_m == pytest.approx(0.208198) for rule in rules)
    with pytest.raises(GeometryRefused, match="expected more than 0, found 0"):
        published_rules(0)


def test_a_puddle_stands_beside_the_rules_unless_the_liquid_wets_the_floor() -> None:
    rules = published_rules(0.208198, puddle_m=0.0028)
    assert [rule.name.split(",")[0] for rule in rules] == [
        "thin spill",
        "puddle on a smooth floor",
        "roughness depth of concrete",
        "worst-case vapour rule",
    ]
    assert rules[1].area_m2 == pytest.approx(74.36, rel=1e-3)
    assert published_rules(0.208198, puddle_m=0.0) == published_rules(0.208198)
    for bad in (-0.001, nan, inf):
        with pytest.raises(GeometryRefused, match="depth of puddle: expected 0 or more"):
            published_rules(0.1, puddle_m=bad)


def test_roughness_needs_a_known_surface() -> None:
    assert roughness_area_m2(0.1, "potholes") == pytest.approx(4)
    with pytest.raises(GeometryRefused, match=r"surface: expected one of concrete, .*, found 'ice'"):
        roughness_area_m2(0.1, "ice")


@pytest.mark.parametrize("bad", [-0.1, nan, inf])
def test_a_volume_that_is_none_is_refused(bad: float) -> None:
    for refused in (
        lambda: regulatory_area_m2(bad),
        lambda: thin_spill_area_m2(bad),
        lambda: thin_spill_area_printed_m2(bad),
        lambda: roughness_area_m2(bad, "concrete"),
        lambda: published_rules(bad),
    ):
        with pytest.raises(GeometryRefused, match=r"spilt volume: expected (0 or more|more than 0)"):
            refused()


@settings(max_examples=100, derandomize=True, deadline=None)
@given(st.lists(st.floats(0, 1), min_size=2, max_size=8))
def test_a_bigger_spill_is_never_smaller(volumes: list[float]) -> None:
    for smaller, larger in pairwise(sorted([*volumes, THIN_SPILL_BREAK_M3, THIN_SPILL_BREAK_M3 - 1e-9])):
        assert thin_spill_area_m2(smaller) <= thin_spill_area_m2(larger)
        assert regulatory_area_m2(smaller) <= regulatory_area_m2(larger)
        assert all(roughness_area_m2(smaller, name) <= roughness_area_m2(larger, name) for name in ROUGHNESS_DEPTH_M)
