"""Drum facts → leaks: what each breach is taken for, and that what is not recorded gets its larger meaning."""

from typing import Any

import pytest

from geometry.orifice import round_hole_m2
from reports.facts import BreachFact
from reports.floors.leaks import (
    REFERENCE_SLOT_M,
    THICK_VISCOSITY_M2_S,
    THIN_VISCOSITY_M2_S,
    NamedLeak,
    drum_leaks,
    drum_shape,
    viscosity_m2_s,
)
from survey.catalogue.products import catalogue
from survey.vocabulary import BreachKind, BreachPlace, ConditionSign, Orientation
from tests.reports.response.situations import drum


def recorded(breach: BreachFact, **changes: Any) -> NamedLeak:
    (found,) = (each for each in drum_leaks(drum(breaches=(breach,), **changes)) if each.recorded)
    return found


def first_l_min(named: NamedLeak) -> float:
    return float(named.leak.flow_m3_s[0]) * 60_000


def test_reference_leaks_of_a_full_55_gallon_drum() -> None:
    # Table of the physics list, section 1: 10 mm hole 11.5 L/min and empty in 36.3 min, slot 153 L/min and 2.7 min.
    hole, cut, bung = drum_leaks(drum())
    assert first_l_min(hole) == pytest.approx(11.5, rel=0.01)
    assert hole.leak.stop_s / 60 == pytest.approx(36.3, rel=0.01)
    assert first_l_min(cut) == pytest.approx(155, rel=0.02)
    assert cut.leak.stop_s / 60 == pytest.approx(2.7, rel=0.03)
    assert first_l_min(bung) > first_l_min(cut)
    assert not any(each.recorded for each in (hole, cut, bung))


def test_everything_can_leave_by_a_reference_leak() -> None:
    for each in drum_leaks(drum()):
        assert each.leak.leaves_m3 == pytest.approx(0.208198)


def test_a_drum_that_holds_nothing_loses_nothing() -> None:
    assert drum_leaks(drum(fill_l=0.0)) == ()
    assert drum_leaks(drum(fill_l=1e-300, capacity_l=1e-300)) == ()


def test_a_vessel_smaller_than_the_hole_lets_everything_go_at_once() -> None:
    for each in drum_leaks(drum(fill_l=0.002, capacity_l=0.002)):
        assert each.leak.leaves_m3 == pytest.approx(2e-6)
    assert drum_leaks(drum(fill_l=0.002, capacity_l=0.002))[1].leak.stop_s == 0


def test_a_sound_drum_has_no_leak_on_record() -> None:
    assert not any(each.recorded for each in drum_leaks(drum()))


@pytest.mark.parametrize(
    ("breach", "area_m2", "says"),
    [
        (BreachFact(BreachKind.PUNCTURE, BreachPlace.LOW, 20, None), round_hole_m2(0.02), "20 mm"),
        (BreachFact(BreachKind.TEAR, BreachPlace.LOW, 3, 60), 0.06 * 0.003, "60 × 3 mm"),
        (BreachFact(BreachKind.TEAR, BreachPlace.LOW, None, 60), 0.06 * 0.01, "width not recorded"),
        (BreachFact(BreachKind.PINHOLE, BreachPlace.LOW, None, None), round_hole_m2(0.01), "10 mm hole"),
        (BreachFact(BreachKind.BUNG_WEEP, BreachPlace.LOW, None, None), round_hole_m2(0.0508), "2 in bung"),
        (BreachFact(BreachKind.PLASTIC_CRACK, BreachPlace.LOW, None, None), 0.001, "size not recorded"),
    ],
)
def test_what_a_breach_is_taken_for(breach: BreachFact, area_m2: float, says: str) -> None:
    found = recorded(breach)
    speed = 0.61 * (2 * 9.80665 * 0.8116) ** 0.5
    assert float(found.leak.flow_m3_s[0]) / speed == pytest.approx(area_m2, rel=0.35)  # coefficients 0.61 to 0.80
    assert says in found.why


@pytest.mark.parametrize(("size_mm", "length_mm"), [(1e-290, None), (None, 1e-290), (5e-324, 5e-324)])
def test_a_size_that_nobody_can_measure_is_that_of_a_hair(size_mm: float | None, length_mm: float | None) -> None:
    named = recorded(BreachFact(BreachKind.TEAR, BreachPlace.LOW, size_mm, length_mm))
    assert 0 < first_l_min(named) < 0.01
    assert "0.1 mm" in named.why


def test_height_keeps_back_what_stands_below_and_unknown_height_keeps_nothing() -> None:
    shape = drum_shape(drum())
    leaves = {place: recorded(BreachFact(BreachKind.PUNCTURE, place, 20, None)).leak.leaves_m3 for place in BreachPlace}
    assert leaves[BreachPlace.LOW] == leaves[BreachPlace.BOTTOM] == leaves[BreachPlace.UNKNOWN]
    assert leaves[BreachPlace.UNKNOWN] == pytest.approx(0.208198)
    assert leaves[BreachPlace.MIDDLE] == pytest.approx(0.208198 - shape.capacity_m3 / 3)
    assert leaves[BreachPlace.HIGH] == pytest.approx(0.208198 - shape.capacity_m3 * 2 / 3)
    assert leaves[BreachPlace.TOP] == 0
    assert "height not recorded" in recorded(BreachFact(BreachKind.PUNCTURE, BreachPlace.UNKNOWN, 20, None)).why


def test_a_drum_of_unknown_orientation_leaks_with_its_hole_lowest() -> None:
    top = BreachFact(BreachKind.BUNG_WEEP, BreachPlace.TOP, None, None)
    assert recorded(top, orientation=Orientation.UPRIGHT).leak.leaves_m3 == 0
    unknown = recorded(top, orientation=Orientation.UNKNOWN)
    assert unknown.leak.leaves_m3 == pytest.approx(drum().fill_l / 1000)
    assert "taken with the hole lowest" in unknown.why


def test_a_lying_drum_leaks_over_its_lowest_line() -> None:
    puncture = BreachFact(BreachKind.PUNCTURE, BreachPlace.LOW, 20, None)
    lying, standing = recorded(puncture, orientation=Orientation.LYING), recorded(puncture)
    assert first_l_min(lying) < first_l_min(standing)
    assert "taken with the hole lowest" in recorded(puncture, orientation=Orientation.UNKNOWN).why


def test_a_leak_seen_without_its_hole_is_taken_as_the_slot() -> None:
    (found,) = (each for each in drum_leaks(drum(signs=frozenset({ConditionSign.LEAKING}))) if each.recorded)
    assert first_l_min(found) == pytest.approx(first_l_min(drum_leaks(drum())[1]))
    assert REFERENCE_SLOT_M == (0.1, 0.01)
    assert "size not recorded" in found.why
    assert "height not recorded" in found.why


def test_a_hole_as_large_as_the_head_lets_everything_go_at_once() -> None:
    found = recorded(BreachFact(BreachKind.BOTTOM_HEAD, BreachPlace.BOTTOM, 600, None))
    assert "at once" in found.why
    assert found.leak.stop_s == 0
    assert float(found.leak.out_m3(0.0)) == pytest.approx(0.208198)


def test_a_drum_of_another_capacity_has_the_same_proportions() -> None:
    small = drum_shape(drum(capacity_l=25.0, fill_l=25.0))
    assert small.capacity_m3 / drum_shape(drum()).capacity_m3 == pytest.approx(25 / 208.198)
    assert small.length_m / small.diameter_m == pytest.approx(0.8509 / 0.5715)


def test_viscosity_is_unknown_where_either_value_is() -> None:
    # Toluene 0.59 mPa·s over 867 kg/m³.
    toluene = catalogue().by_key["toluene"]
    found = viscosity_m2_s(toluene)
    assert found == pytest.approx(6.8e-7, rel=0.02)
    assert viscosity_m2_s(catalogue().by_key["unidentified"]) is None
    assert THIN_VISCOSITY_M2_S < 6.8e-7 < THICK_VISCOSITY_M2_S
