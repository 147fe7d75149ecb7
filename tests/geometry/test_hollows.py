"""The volume at which a part of a floor spills over, level and falling."""

import math

import pytest
from shapely import Point

from geometry.errors import GeometryRefused
from geometry.floor import Basin, SpillFloor
from geometry.hollows import hollows, trays
from geometry.relief import Fall
from tests.geometry.floors import kerb, room, wall
from tests.geometry.slopes import dished, falling


def test_kerbed_part_of_a_level_floor() -> None:
    # 3 × 2 m with a kerb of 50 mm holds 0.3 m³; the other 74 m² of the closed room spill into it at 3.7 m³.
    floor = SpillFloor(room(basins=(kerb(1, 1, 4, 3, 0.05),)))
    tray, rest = trays(floor, cautious=True)
    assert rest.volume_m3 == pytest.approx(3.7)
    assert (tray.volume_m3, tray.lip_m) == pytest.approx((0.3, 0.05))
    assert tray.outline.area == pytest.approx(6)
    assert tray.lips.length == pytest.approx(10)
    assert not tray.off_map


def test_the_smaller_tray_comes_first_and_unknown_kerbs_hold_only_on_the_hopeful_floor() -> None:
    unknown = Basin("unknown", kerb(5, 1, 6, 3, 0.02).outline, 0.02, None, tight=None)
    floor = SpillFloor(room(basins=(kerb(1, 1, 4, 3, 0.05), unknown)))
    assert [tray.volume_m3 for tray in trays(floor, cautious=True)] == pytest.approx([0.3, 3.7])
    assert [tray.volume_m3 for tray in trays(floor, cautious=False)] == pytest.approx([0.04, 0.3, 1.44])


def test_a_low_wall_keeps_two_rooms_apart() -> None:
    floor = SpillFloor(room(10, 8, barriers=(wall((4, 0), (4, 8), height_m=0.1),)))
    assert [tray.volume_m3 for tray in trays(floor, cautious=True)] == pytest.approx([3.2, 4.8])


def test_an_open_floor_holds_nothing() -> None:
    assert trays(SpillFloor(room(perimeter_tight=False)), cautious=True) == ()
    assert hollows(falling(room(perimeter_tight=False), -0.01, 0.0), cautious=True) == ()


def test_kerb_across_a_slope() -> None:
    # W h² / (2 s) = 8 × 0.05² / 0.02 = 1.0 m³; the foot of the slope fills back to the kerb, 50 mm deep there and 170
    # mm at the wall: 8 × 12 × 0.11 = 10.56 m³.
    floor = falling(room(20, 8, barriers=(wall((8, 0), (8, 8), height_m=0.05),)), -0.01, 0.0)
    found, foot = hollows(floor, cautious=True)
    assert foot.volume_m3 == pytest.approx(10.56, rel=0.01)
    assert found.volume_m3 == pytest.approx(1.0, rel=0.03)
    assert found.lip_at is not None
    assert found.lip_at.x == pytest.approx(7.95)
    assert found.depth_m == pytest.approx(0.05, abs=0.0011)


def test_dishes_round_two_drains() -> None:
    # π s R³ / 3: 21 L at 2 % over 1 m, 4 L at 1 % over 0.72 m.
    floor = dished(room(), Fall("A", Point(3, 4), 0.02, 1.0), Fall("B", Point(7, 4), 0.01, 0.72))
    found = hollows(floor, cautious=True)
    assert [hollow.volume_m3 for hollow in found] == pytest.approx(
        [math.pi * 0.01 * 0.72**3 / 3, math.pi * 0.02 / 3], rel=0.05
    )
    assert found[0].at.distance(Point(7, 4)) < 0.1
    assert hollows(floor, cautious=True, least_m3=0.01) == found[1:]


def test_refused_least_volume() -> None:
    with pytest.raises(GeometryRefused, match="least hollow"):
        hollows(falling(room(), -0.01, 0.0), cautious=True, least_m3=0.0)
