"""Neighbours: which pairs are reported, how far apart, and where their liquids meet."""

import math

import pytest

from reports.assessment import Kind, Verdict
from tests.builders import SurveyBuilder, rectangle
from tests.reports.judged import a_store, judged, judged_floor, stock


def test_no_pair_without_a_reaction() -> None:
    build = a_store()
    stock(build, "P1", (3, 3), "toluene")
    stock(build, "P2", (5, 3), "xylenes")
    assert judged_floor(build).pairs == ()


def test_pools_that_overlap_meet() -> None:
    build = a_store()
    stock(build, "P1", (3, 5), "hydrochloric-acid-32")
    stock(build, "P2", (6, 5), "sodium-hypochlorite-12-5")
    (pair,) = judged_floor(build).pairs
    assert pair.meets is Verdict.REACHES
    assert pair.where == ("the floor",)
    assert pair.hydraulic_m == 0
    assert pair.separation is not None
    assert pair.separation.metres == pytest.approx(1.8)
    assert judged(build).worst.kind is Kind.LETHAL_GAS_MEETING  # type: ignore[union-attr]


def two_rooms(tight: str) -> SurveyBuilder:
    """Two reacting pallets 3 m apart with a wall from side to side between them."""
    build = a_store(perimeter_tight="yes")
    build.wall("W", [(10, 0), (10, 10)], tight_at_floor=tight)
    stock(build, "P1", (8, 5), "hydrochloric-acid-32")
    stock(build, "P2", (12, 5), "sodium-hypochlorite-12-5")
    return build


@pytest.mark.parametrize(
    ("tight", "meets"),
    [("no", Verdict.REACHES), ("unknown", Verdict.MAY_REACH), ("yes", Verdict.NOT_REACHED)],
)
def test_only_a_wall_recorded_tight_keeps_liquids_apart(tight: str, meets: Verdict) -> None:
    (pair,) = judged_floor(two_rooms(tight)).pairs
    assert pair.meets is meets
    assert pair.separation is not None
    assert pair.separation.metres == pytest.approx(2.8)


def test_the_way_along_the_floor_goes_round_a_wall() -> None:
    build = a_store(perimeter_tight="yes")
    build.wall("W", [(10, 0), (10, 8)], tight_at_floor="yes")
    stock(build, "P1", (7.4, 4.4), "hydrochloric-acid-32")
    stock(build, "P2", (12.6, 4.4), "sodium-hypochlorite-12-5")
    (pair,) = judged_floor(build).pairs
    assert pair.separation is not None
    assert pair.separation.metres == pytest.approx(4.0)
    # From (8, 5) to the wall's end at (10, 8) and back to (12, 5): two 2-3 triangles.
    assert pair.along_floor_m == pytest.approx(2 * math.hypot(2, 3), abs=1e-3)


def test_a_partition_that_meets_the_rule_takes_the_nearness_away() -> None:
    build = a_store(perimeter_tight="yes")
    build.wall("W", [(10, 0), (10, 10)], tight_at_floor="yes", meets_partition_rule="yes")
    stock(build, "P1", (8, 5), "hydrochloric-acid-32")
    stock(build, "P2", (12, 5), "sodium-hypochlorite-12-5")
    assert judged_floor(build).pairs == ()


@pytest.mark.parametrize(("gap_m", "reported"), [(6.05, True), (6.15, True), (6.25, False)])
def test_solids_are_paired_within_the_published_separation(gap_m: float, reported: bool) -> None:  # noqa: FBT001
    # 6.1 m (20 ft): IFC 5003.9.8 / NFPA 400 6.1.12; both places are good to 0.05 m, so to 0.07 m together.
    build = a_store()
    stock(build, "P1", (3, 5), "calcium-hypochlorite-dry")
    stock(build, "P2", (3 + 1.2 + gap_m, 5), "sodium-hydrosulphite")
    assert bool(judged_floor(build).pairs) is reported


def test_liquid_that_runs_under_a_solid_meets_it() -> None:
    build = a_store()
    stock(build, "P1", (5, 5), "hydrochloric-acid-32")
    stock(build, "P2", (8, 5), "sodium-cyanide-solid")
    (pair,) = judged_floor(build).pairs
    assert pair.gas == "hydrogen cyanide"
    assert pair.meets is Verdict.REACHES


def test_joined_sumps_bring_two_bunds_together() -> None:
    build = a_store()
    build.bund("K1", rectangle(1, 1, 4, 8), height_mm=100, tight_at_floor="yes")
    build.bund("K2", rectangle(15, 1, 4, 8), height_mm=100, tight_at_floor="yes")
    s1, s2 = build.sump("S1", (4, 5)), build.sump("S2", (16, 5))
    build.pipe("S1-S2", s1, s2, valve="no valve")
    stock(build, "P1", (2, 5), "hydrochloric-acid-32")
    stock(build, "P2", (18, 5), "sodium-cyanide-solution-30")
    (pair,) = judged_floor(build).pairs
    assert pair.separation is not None
    assert pair.separation.metres == pytest.approx(14.8)
    assert pair.hydraulic_m == 0
    assert {"sump S1", "sump S2"} <= set(pair.where)


def test_one_above_the_other_is_a_pair_at_any_height() -> None:
    build = a_store()
    stock(build, "P1", (5, 5), "sodium-hydrosulphite")
    stock(build, "P2", (5, 5), "calcium-hypochlorite-dry", base_height_m=3.0)
    (pair,) = judged_floor(build).pairs
    assert pair.above


def test_alternative_readings_of_one_pallet_do_not_react_with_each_other() -> None:
    build = a_store()
    build.pallet("P1", (5, 5), read=False)
    build.reading("A. One")
    build.drum("P1-1", "hydrochloric-acid-32")
    build.reading("B. Two")
    build.drum("P1-1", "sodium-hypochlorite-12-5")
    assert judged_floor(build).pairs == ()


def test_additional_readings_of_one_pallet_do() -> None:
    build = a_store()
    build.pallet("P1", (5, 5), read=False)
    build.reading("A. One")
    build.drum("P1-1", "hydrochloric-acid-32")
    build.reading("B. Two", inclusion="additional")
    build.drum("P1-2", "sodium-hypochlorite-12-5")
    (pair,) = judged_floor(build).pairs
    assert (pair.a, pair.b) == ("P1", "P1")


def test_an_alternative_and_an_additional_reading_can_both_be_there() -> None:
    build = a_store()
    build.pallet("P1", (5, 5), read=False)
    build.reading("A. One")
    build.drum("a-1", "toluene")
    build.drum("a-2", "toluene")
    build.reading("B. Two")
    build.drum("b-1", "sodium-cyanide-solution-30")
    build.reading("C. Three", inclusion="additional")
    build.drum("c-1", "hydrochloric-acid-32")
    assert any(pair.gas == "hydrogen cyanide" for pair in judged_floor(build).pairs)


def test_what_stands_on_another_is_above_it() -> None:
    build = a_store()
    lower = build.pallet("P1", (5, 5))
    build.drum("P1-1", "sodium-hydrosulphite")
    build.pallet("P2", (5, 5), stack_level=2, stands_on_id=lower.id)
    build.drum("P2-1", "calcium-hypochlorite-dry")
    (pair,) = judged_floor(build).pairs
    assert pair.above


def test_in_a_block_no_distance_is_claimed() -> None:
    build = a_store()
    stock(build, "K1", (5, 5), "nitric-acid-68", kind="block")
    stock(build, "K2", (7, 5), "sodium-cyanide-solid", kind="block")
    (pair,) = judged_floor(build).pairs
    assert pair.separation is None
    assert pair.meets is not Verdict.NOT_REACHED
