from math import inf, nan

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from geometry.containment import (
    capacity_m3,
    drum_rules_l,
    full_after_s,
    heads_open,
    lip_capacity_m3,
    overflow_min,
    sloping_capacity_m3,
    sprinkler_l_min,
    twenty_minute_need_l,
    waste_store_need_l,
)
from geometry.drum import DrumShape
from geometry.errors import GeometryRefused
from geometry.leak import leak, sudden
from geometry.orifice import round_hole
from geometry.similarity import cone_radius_m, pond_length_m

LEAK = leak(DrumShape(0.5715, 0.8509), 0.2, round_hole(0.010), posture="upright", vented=True)


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


def test_a_sloping_floor_holds_a_wedge() -> None:
    # 10 m wide, 1 % down to a wall 50 mm high: water stands 5 m up the slope, 0.5 × 5 × 0.05 × 10 = 1.25 m³.
    levels = np.repeat((np.arange(100) + 0.5) * 0.1 * 0.01, 100)
    found = sloping_capacity_m3(levels, 0.05, cell_m2=0.01, open_outlets=0)
    assert found == pytest.approx(1.25, rel=1e-3)
    assert pond_length_m(found, 10, 0.01) == pytest.approx(5, rel=1e-3)
    assert sloping_capacity_m3(levels, 0.05, cell_m2=0.01, open_outlets=1) == 0
    # A floor that falls 1 % to a point 2 m away all round, with a lip at that level: a cone of that radius.
    x, y = np.meshgrid(np.arange(-2, 2, 0.02) + 0.01, np.arange(-2, 2, 0.02) + 0.01)
    cone = sloping_capacity_m3(np.hypot(x, y) * 0.01, 0.02, cell_m2=0.0004, open_outlets=0)
    assert cone_radius_m(cone, 0.01) == pytest.approx(2, rel=1e-3)
    # Level, touching and above the lip.
    assert sloping_capacity_m3([0.0] * 400, 0.02, cell_m2=0.25, open_outlets=0) == pytest.approx(
        capacity_m3(100, 0.02, open_outlets=0)
    )
    assert sloping_capacity_m3([0.02, 0.03], 0.02, cell_m2=1, open_outlets=0) == 0


def test_heads_over_an_area() -> None:
    assert heads_open(196, 9.3) == 22
    assert heads_open(186, 9.3) == 20
    assert heads_open(0, 9.3) == 0


def test_a_fading_leak_may_never_fill_a_tank() -> None:
    # 200 L above a 10 mm hole: a 100 L tank is full after the time to half; one of 201 L never.
    assert full_after_s(0.1, LEAK) == pytest.approx(LEAK.half_s)
    assert full_after_s(0.201, LEAK) == inf
    assert full_after_s(0, LEAK) == 0
    # With 10 L/min beside it, the last litre after the leak has stopped comes from that alone.
    steady = 10 / 60_000
    late = full_after_s(0.201 + steady * LEAK.stop_s, LEAK, steady_m3_s=steady)
    assert late == pytest.approx(LEAK.stop_s + 6)
    assert full_after_s(0.1, sudden(0.2)) == 0
    assert full_after_s(0.3, sudden(0.2), steady_m3_s=0.001) == pytest.approx(100)
    assert full_after_s(0.1, sudden(0.2), steady_m3_s=0.001) == 0


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
        lambda: heads_open(bad, 9),
        lambda: heads_open(100, bad),
        lambda: full_after_s(bad, LEAK),
        lambda: full_after_s(0.1, LEAK, steady_m3_s=bad),
        lambda: sloping_capacity_m3([0.0], 0.02, cell_m2=bad, open_outlets=0),
    ):
        with pytest.raises(GeometryRefused, match="expected 0 or more, found"):
            refused()


@pytest.mark.parametrize(
    ("refused", "message"),
    [
        (lambda: heads_open(100, 0), "area per head: expected more than 0 m², found 0"),
        (
            lambda: sloping_capacity_m3([], 0.02, cell_m2=1, open_outlets=0),
            "levels inside a kerb: expected finite ones",
        ),
        (lambda: sloping_capacity_m3([0, nan], 0.02, cell_m2=1, open_outlets=0), "levels inside a kerb: .*nan"),
        (lambda: sloping_capacity_m3([0], inf, cell_m2=1, open_outlets=0), "levels inside a kerb: .*lip inf"),
        (lambda: sloping_capacity_m3([0], 1, cell_m2=0, open_outlets=0), "area of cell: expected more than 0 m²"),
    ],
)
def test_what_cannot_be_held_is_refused(refused, message: str) -> None:  # type: ignore[no-untyped-def]
    with pytest.raises(GeometryRefused, match=message):
        refused()


LAW = settings(max_examples=60, derandomize=True, deadline=None)


@LAW
@given(st.lists(st.floats(-0.1, 0.1), min_size=1, max_size=40), st.floats(-0.1, 0.2), st.floats(0, 0.1))
def test_a_higher_lip_never_holds_less(levels: list[float], lip: float, more: float) -> None:
    low, high = (sloping_capacity_m3(levels, each, cell_m2=0.01, open_outlets=0) for each in (lip, lip + more))
    assert low <= high <= low + more * 0.01 * len(levels) + 1e-12


@LAW
@given(st.floats(0, 0.4), st.floats(0, 0.002))
def test_when_it_is_full_that_much_has_run_in(free: float, steady: float) -> None:
    time = full_after_s(free, LEAK, steady_m3_s=steady)
    if time < inf:
        assert float(LEAK.out_m3(time)) + steady * time == pytest.approx(free, abs=1e-9)
    else:
        assert steady == 0
        assert free > LEAK.leaves_m3
    assert time <= full_after_s(free, LEAK)


@settings(max_examples=60, derandomize=True, deadline=None)
@given(st.lists(st.floats(0, 1000), max_size=12), st.floats(0, 1000))
def test_another_container_never_asks_for_less(capacities: list[float], added: float) -> None:
    before, after = drum_rules_l(capacities), drum_rules_l([*capacities, added])
    assert all(after[name] >= before[name] for name in before)
