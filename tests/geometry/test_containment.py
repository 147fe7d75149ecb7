from math import inf, nan

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from geometry.containment import (
    capacity_m3,
    drum_rules_l,
    lip_capacity_m3,
    overflow_min,
    sprinkler_l_min,
    twenty_minute_need_l,
    waste_store_need_l,
)
from geometry.errors import GeometryRefused


def test_the_kerbed_bay_of_the_freight_shed() -> None:
    # demo_ideas.md, site B, Z1: 196 m², ramp worn to 20 mm, kerb 100 mm, sprinklers 12.2 mm/min, 40 drums.
    assert lip_capacity_m3(196, 0.020) * 1000 == pytest.approx(3920)
    assert lip_capacity_m3(196, 0.100) * 1000 == pytest.approx(19_600)
    flow = sprinkler_l_min(12.2, 196)
    assert flow == pytest.approx(2391, abs=0.5)
    assert overflow_min(3920, flow) == pytest.approx(1.6, abs=0.05)
    assert overflow_min(19_600, flow) == pytest.approx(8.2, abs=0.05)
    assert twenty_minute_need_l(208.198, flow) == pytest.approx(48_032, abs=1)
    # Site B, Z2: 80 m² behind 60 mm.
    assert lip_capacity_m3(80, 0.060) * 1000 == pytest.approx(4800)


def test_the_rules_stand_side_by_side() -> None:
    assert drum_rules_l([208.0] * 40) == pytest.approx(
        {"largest drum": 208, "10 % of all": 832, "25 % of all": 2080, "110 % of largest": 228.8}
    )
    assert drum_rules_l([25, 1000, 208]) == pytest.approx(
        {"largest drum": 1000, "10 % of all": 123.3, "25 % of all": 308.25, "110 % of largest": 1100}
    )
    assert set(drum_rules_l([]).values()) == {0.0}


def test_the_waste_store_rule_takes_the_larger() -> None:
    assert waste_store_need_l([208.0] * 40) == pytest.approx(832)
    assert waste_store_need_l([208.0] * 8) == 208
    assert waste_store_need_l([208.0] * 10) == pytest.approx(208)
    assert waste_store_need_l([]) == 0


def test_nothing_is_held_while_an_outlet_is_open() -> None:
    assert capacity_m3(196, 0.02, open_outlets=0) == pytest.approx(3.92)
    assert capacity_m3(196, 0.02, open_outlets=1) == 0
    assert capacity_m3(0, 0.02, open_outlets=0) == 0


def test_without_water_nothing_overflows() -> None:
    assert overflow_min(3920, 0) == inf
    assert overflow_min(0, 10) == 0
    assert sprinkler_l_min(12.2, 0) == 0


@pytest.mark.parametrize("bad", [-1.0, nan, inf])
def test_what_is_no_quantity_is_refused(bad: float) -> None:
    for refused in (
        lambda: lip_capacity_m3(bad, 0.02),
        lambda: lip_capacity_m3(196, bad),
        lambda: capacity_m3(196, bad, open_outlets=1),
        lambda: drum_rules_l([208, bad]),
        lambda: waste_store_need_l([bad]),
        lambda: sprinkler_l_min(bad, 196),
        lambda: sprinkler_l_min(12.2, bad),
        lambda: overflow_min(bad, 10),
        lambda: overflow_min(10, bad),
        lambda: twenty_minute_need_l(bad, 10),
        lambda: twenty_minute_need_l(10, bad),
    ):
        with pytest.raises(GeometryRefused, match="expected 0 or more, found"):
            refused()


@settings(max_examples=60, derandomize=True, deadline=None)
@given(st.lists(st.floats(0, 1000), max_size=12), st.floats(0, 1000))
def test_another_container_never_asks_for_less(capacities: list[float], added: float) -> None:
    before, after = drum_rules_l(capacities), drum_rules_l([*capacities, added])
    assert all(after[name] >= before[name] for name in before)
