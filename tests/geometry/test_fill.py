"""Kerbed rooms filled by hand: 10 × 8 m, tight all round unless said, film 5 mm."""

from math import inf

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import Point, box

from geometry.fill import Settled, least_volume_m3, settle
from geometry.floor import FloorPlan, SpillFloor
from tests.geometry.floors import door, kerb, room, wall

FILM_M = 0.005


def settled(plan: FloorPlan, at: Point, volume_m3: float, film_m: float = FILM_M) -> Settled:
    floor = SpillFloor(plan)
    step = floor.passing.step_at(film_m)
    origin = floor.origin(at, cautious=True, step=step)
    return settle(floor.passing.layout(step), origin, volume_m3, film_m)


def levels(found: Settled) -> list[tuple[float, float]]:
    return sorted((round(sheet.area_m2, 6), round(sheet.level_m, 9)) for sheet in found.covered)


def total_m3(found: Settled) -> float:
    return (
        sum(sheet.area_m2 * sheet.level_m for sheet in found.covered) + sum(v for _, v in found.fronts) + found.lost_m3
    )


def test_a_film_that_does_not_cover_the_room() -> None:
    found = settled(room(), Point(5, 4), 0.2)
    assert (found.covered, found.lost_m3) == ([], 0)
    assert [lying for _, lying in found.fronts] == [0.2]


def test_a_tight_room_rises_without_end() -> None:
    assert levels(settled(room(), Point(5, 4), 8.0)) == [(80.0, 0.1)]


def test_an_open_room_keeps_a_film_and_loses_the_rest() -> None:
    found = settled(room(perimeter_tight=False), Point(5, 4), 1.0)
    assert levels(found) == [(80.0, FILM_M)]
    assert found.lost_m3 == pytest.approx(0.6)


KERBED = room(basins=(kerb(1, 1, 5, 3, 0.02),))
"""A kerb of 20 mm round 8 m² leaves 72 m² outside it."""


@pytest.mark.parametrize(
    ("volume", "expected", "beyond"),
    [
        (0.03, [], [0.03]),  # a film on part of the 8 m²
        (0.10, [(8, 0.0125)], []),  # 100 L on 8 m²
        (0.16, [(8, 0.02)], []),  # brimful
        (0.30, [(8, 0.02)], [0.14]),  # 140 L over the lip, a film on 28 of 72 m²
        (1.60, [(8, 0.02), (72, 0.02)], []),  # inside and outside both stand at the lip
        (2.40, [(80, 0.03)], []),  # and rise together
    ],
)
def test_a_kerb_fills_overflows_and_drowns(
    volume: float, expected: list[tuple[float, float]], beyond: list[float]
) -> None:
    found = settled(KERBED, Point(3, 2), volume)
    assert levels(found) == expected
    assert [lying for _, lying in found.fronts] == pytest.approx(beyond)
    assert total_m3(found) == pytest.approx(volume, rel=1e-12)


def test_liquid_outside_comes_over_the_kerb_once_it_stands_as_high() -> None:
    # 72 m² × 20 mm = 1,440 L stay outside, 160 L fill the kerbed area.
    outside_only = settled(KERBED, Point(8, 6), 1.44)
    assert levels(outside_only) == [(72.0, 0.02)]
    half = settled(KERBED, Point(8, 6), 1.44 + 0.08)
    assert levels(half) == [(8.0, 0.01), (72.0, 0.02)]


def test_a_film_deeper_than_the_kerb_goes_over_it() -> None:
    found = settled(KERBED, Point(3, 2), 0.5, film_m=0.025)
    assert found.covered == []
    assert [lying for _, lying in found.fronts] == [0.5]


def test_spill_goes_on_from_room_to_room_over_the_lowest_sill() -> None:
    # Three rooms of 2, 3 and 5 m × 8 m; sills 10 mm and 20 mm; the last one open to off the map.
    plan = room(
        barriers=(wall((2, 0), (2, 8)), wall((5, 0), (5, 8))),
        openings=(
            door((2, 3), (2, 4), tight=True, shut=False, sill_m=0.01),
            door((5, 3), (5, 4), tight=True, shut=False, sill_m=0.02),
            door((10, 3), (10, 4), tight=False),
        ),
    )
    # First 160 L at 10 mm; then the second room too: at 10 mm both 400 L; then both to 20 mm: 800 L; then the third.
    assert levels(settled(plan, Point(1, 1), 0.1)) == [(16.0, 0.00625)]
    found = settled(plan, Point(1, 1), 0.16 + 0.12)
    assert levels(found) == [(16.0, 0.01), (24.0, FILM_M)]
    assert levels(settled(plan, Point(1, 1), 0.8)) == [(40.0, 0.02)]
    last = settled(plan, Point(1, 1), 0.8 + 0.1)
    assert levels(last) == [(40.0, 0.02)]
    assert [lying for _, lying in last.fronts] == pytest.approx([0.1])
    lost = settled(plan, Point(1, 1), 0.8 + 0.2 + 0.3)
    assert levels(lost) == [(40.0, FILM_M), (40.0, 0.02)]
    assert lost.lost_m3 == pytest.approx(0.3)
    # From the last room nothing climbs back: it runs out first.
    assert settled(plan, Point(8, 1), 5.0).lost_m3 == pytest.approx(4.8)


def test_equally_low_ways_into_two_rooms_share_alike() -> None:
    plan = room(
        barriers=(wall((3, 0), (3, 8)), wall((7, 0), (7, 8))),
        openings=(
            door((3, 3), (3, 4), tight=True, shut=False, sill_m=0.01),
            door((7, 3), (7, 4), tight=True, shut=False, sill_m=0.01),
        ),
    )
    found = settled(plan, Point(5, 4), 0.32 + 0.1)
    assert [lying for _, lying in found.fronts] == pytest.approx([0.05, 0.05])


def test_the_map_goes_before_off_the_map_at_equal_height() -> None:
    # A kerb of 20 mm along an open outer wall: the overflow is kept on the map.
    plan = room(perimeter_tight=False, basins=(kerb(0, 0, 4, 2, 0.02),))
    found = settled(plan, Point(2, 1), 0.16 + 0.1)
    assert found.lost_m3 == 0
    assert [lying for _, lying in found.fronts] == pytest.approx([0.1])


def test_a_kerb_alone_off_the_map_loses_its_overflow() -> None:
    plan = FloorPlan(outline=box(0, 0, 4, 2), perimeter_tight=False, basins=(kerb(0, 0, 4, 2, 0.02),))
    found = settled(plan, Point(2, 1), 0.16 + 0.1)
    assert found.lost_m3 == pytest.approx(0.1)
    assert levels(found) == [(8.0, 0.02)]


def test_least_volume_is_found_or_there_is_none() -> None:
    assert least_volume_m3(lambda volume: volume >= 0.3, 1.0) == pytest.approx(0.3, abs=1e-8)
    assert least_volume_m3(lambda volume: volume >= 0.3, 0.2) is None
    assert least_volume_m3(lambda _: True, 1.0) == pytest.approx(0, abs=1e-8)


@settings(max_examples=80, derandomize=True, deadline=None)
@given(
    sills=st.lists(st.sampled_from([0.0, 0.01, 0.02, 0.05, inf]), min_size=4, max_size=4),
    perimeter=st.booleans(),
    start=st.integers(0, 3),
    volume=st.floats(0.001, 20),
    film=st.sampled_from([0.0007, 0.005, 0.015]),
)
def test_volume_is_conserved(*, sills: list[float], perimeter: bool, start: int, volume: float, film: float) -> None:
    # Four rooms in a row, each joined to the next over a sill, and the last one to a kerbed corner.
    plan = room(
        perimeter_tight=perimeter,
        barriers=tuple(wall((x, 0), (x, 8), height_m=sill) for x, sill in zip((2.5, 5, 7.5), sills, strict=False)),
        basins=(kerb(8, 0, 10, 4, sills[3] if sills[3] < inf else 0.1),),
    )
    found = settled(plan, Point(1.2 + 2.5 * start, 6), volume, film)
    assert total_m3(found) == pytest.approx(volume, rel=1e-12)
    assert all(sheet.level_m >= film - 1e-15 for sheet in found.covered)
    members = [member for sheet in found.covered for member in sheet.members]
    assert len(members) == len(set(members))
    if perimeter:
        assert found.lost_m3 == 0


@settings(max_examples=40, derandomize=True, deadline=None)
@given(st.floats(0.01, 4), st.floats(0.01, 4))
def test_more_liquid_never_stands_lower(one: float, other: float) -> None:
    small, large = sorted((one, other))
    lower = {min(s.members): s.level_m for s in settled(KERBED, Point(3, 2), small).covered}
    higher = settled(KERBED, Point(3, 2), large).covered
    for member, level in lower.items():
        assert any(member in sheet.members and sheet.level_m >= level - 1e-12 for sheet in higher)
