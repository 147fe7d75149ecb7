from math import inf, isnan

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import LineString, Point, Polygon, box

from geometry.floor import Barrier
from geometry.stretches import Doorway, Piece, Stretches, as_lines, cut_doorways, join, places_of, segments
from tests.geometry.floors import DEPTH_M, WIDTH_M, walls

ROOM = box(0, 0, 10, 8)


def standing(found: Stretches) -> dict[tuple[tuple[float, ...], ...], float]:
    """Stretches inside the room that stop something, by their ends, with their heights."""
    inner = (~found.outer) & (found.height_m > 0)
    return {
        tuple(sorted([tuple(ends[:2]), tuple(ends[2:])])): height
        for ends, height in zip(found.ends[inner].round(5).tolist(), found.height_m[inner].tolist(), strict=True)
    }


def test_segments_of_lines_rings_and_areas() -> None:
    assert len(segments(LineString([(0, 0), (1, 0), (1, 0), (1, 1)]))) == 2
    assert len(segments(ROOM)) == 4
    assert len(segments(ROOM.difference(box(1, 1, 2, 2)))) == 8


def test_walls_are_cut_where_they_cross() -> None:
    found = join(
        [Piece(LineString([(2, 4), (6, 4)]), inf), Piece(LineString([(4, 2), (4, 6)]), 0.1)],
        ROOM.boundary,
    )
    assert standing(found) == {
        ((2, 4), (4, 4)): inf,
        ((4, 4), (6, 4)): inf,
        ((4, 2), (4, 4)): 0.1,
        ((4, 4), (4, 6)): 0.1,
    }
    assert found.outer.sum() == 4


def test_of_barriers_on_one_line_the_highest_counts() -> None:
    found = join(
        [
            Piece(LineString([(2, 4), (6, 4)]), 0.06, Point(3, 4)),
            Piece(LineString([(4, 4), (8, 4)]), inf),
            Piece(LineString([(2, 4), (6, 4)]), 0.02),
        ],
        ROOM.boundary,
    )
    assert standing(found) == {((2, 4), (4, 4)): 0.06, ((4, 4), (6, 4)): inf, ((6, 4), (8, 4)): inf}
    kerbed = found.height_m == 0.06
    assert found.lip_at[kerbed].tolist() == [[3, 4]]
    assert isnan(found.lip_at[~kerbed].min())


def test_what_has_no_height_is_no_stretch_but_the_edge_stays() -> None:
    found = join([Piece(LineString([(2, 4), (6, 4)]), 0.0)], ROOM.boundary)
    assert standing(found) == {}
    assert len(found) == 4
    assert len(join([], ROOM.boundary)) == 4


@pytest.mark.parametrize(("gap", "closed"), [(0.0, True), (0.02, True), (0.049, True), (0.06, False), (0.5, False)])
def test_a_gap_of_the_drawing_is_closed_and_a_real_one_is_not(gap: float, *, closed: bool) -> None:
    found = join([Piece(LineString([(4, 0), (4, 8 - gap)]), 0.3)], ROOM.boundary)
    heights = found.height_m[~found.outer]
    assert (heights == 0.3).all()
    reaches = any(np.allclose(ends[[1, 3]].max(), 8, atol=1e-5) for ends in found.ends[~found.outer])
    assert reaches is closed


def test_two_walls_drawn_a_little_apart_are_joined() -> None:
    found = join(
        [Piece(LineString([(2, 4), (3.98, 4)]), inf), Piece(LineString([(4, 3), (4, 6)]), 0.05)], ROOM.boundary
    )
    # The joint is as high as the wall that ends there.
    assert standing(found)[((3.98, 4), (4, 4))] == inf


def test_a_closing_ends_on_what_it_closes_to_whatever_the_rounding() -> None:
    # The wall ends 29 mm short of the skew outer wall; as drawn and as rounded that one runs up to 0.7 µm apart.
    skew = Polygon([(0, 0), (0.1764616282637907, 3.293950394257426), (5, 3), (5, 0)])
    wall = LineString([(0.1146027123640689, 1.6055861027553187), (6, 1.7)]).intersection(skew)
    found = join([Piece(wall, inf)], skew.boundary)
    assert len(shapely.get_parts(shapely.polygonize([*as_lines(found, found.height_m >= 0).geoms]))) == 2


@pytest.mark.filterwarnings("error")
def test_a_wall_of_no_length_is_none() -> None:
    triangle = Polygon([(-0.05, -0.0866), (0.1, 0), (-0.05, 0.0866)])
    speck = Piece(LineString([(0, 0), (0, 7.24901671990207e-272)]), inf)
    walls = [Piece(LineString(line), inf) for line in (((-0.05, -0.0866), (-0.05, 1e-17)), ((-0.05, 1e-17), (0.1, 0)))]
    assert join([speck, *walls], triangle.boundary).same_as(join(walls, triangle.boundary))


def test_a_recorded_gap_is_never_closed() -> None:
    wall = [Piece(LineString([(4, 0), (4, 8)]), inf)]
    cut = cut_doorways(wall, [Doorway(LineString([(4, 2), (4, 2.03)]), 0.0)])
    found = standing(join(cut, ROOM.boundary))
    assert ((4, 2), (4, 2.03)) not in found
    assert ((4, 2.03), (4, 8)) in found


def test_a_doorway_takes_the_place_of_its_wall() -> None:
    cut = cut_doorways([Piece(LineString([(4, 0), (4, 8)]), inf)], [Doorway(LineString([(4.2, 2), (4.2, 3)]), 0.02)])
    assert standing(join(cut, ROOM.boundary)) == {
        ((4, 0), (4, 2)): inf,
        ((4, 2), (4, 3)): 0.02,
        ((4, 3), (4, 8)): inf,
    }


def test_a_doorway_is_never_higher_than_its_wall() -> None:
    cut = cut_doorways([Piece(LineString([(4, 0), (4, 8)]), 0.1)], [Doorway(LineString([(4, 2), (4, 3)]), inf)])
    assert {piece.height_m for piece in cut} == {0.1}


def test_where_two_doorways_overlap_the_lower_counts() -> None:
    doorways = [Doorway(LineString([(4, 2), (4, 4)]), 0.02), Doorway(LineString([(4, 3), (4, 5)]), 0.0)]
    cut = cut_doorways([Piece(LineString([(4, 0), (4, 8)]), inf)], doorways)
    assert [(piece.line.bounds[1], piece.line.bounds[3], piece.height_m) for piece in cut] == [
        (0, 2, inf),
        (2, 3, 0.02),
        (3, 4, 0.0),
        (4, 5, 0.0),
        (5, 8, inf),
    ]


@pytest.mark.parametrize(
    ("door", "lies_in_it"),
    [
        ([(4.3, 2), (4.3, 3)], True),
        ([(4.31, 2), (4.31, 3)], False),
        ([(3.9, 2), (4.1, 3)], True),  # turned by 11 degrees
        ([(3.5, 2), (4.5, 3)], False),  # turned by 45 degrees
        ([(4, 9), (4, 10)], False),
        ([(3, 2), (5, 2)], False),
    ],
)
def test_a_doorway_lies_along_a_wall_and_beside_it_at_most_by_its_thickness(
    door: list[tuple[float, float]], *, lies_in_it: bool
) -> None:
    places = places_of(LineString(door), [Piece(LineString([(4, 0), (4, 8)]), inf)])
    assert bool(places) is lies_in_it


def test_a_dam_laid_before_a_door_stays_whole() -> None:
    wall, dam = Piece(LineString([(4, 0), (4, 8)]), inf), Piece(LineString([(4.2, 1), (4.2, 4)]), 0.15)
    cut = cut_doorways([wall, dam], [Doorway(LineString([(4, 2), (4, 3)]), 0.0)])
    assert [piece.height_m for piece in cut] == [inf, 0.0, inf, 0.15]


def test_a_doorway_drawn_round_a_corner_cuts_both_walls() -> None:
    cut = cut_doorways(
        [Piece(LineString([(4, 0), (4, 4), (8, 4)]), inf)], [Doorway(LineString([(4, 3), (4, 4), (5, 4)]), 0.0)]
    )
    open_parts = [piece.line for piece in cut if piece.height_m == 0]
    assert [part.length for part in open_parts] == [1, 1]


def test_a_doorway_lies_in_no_wall_that_has_no_length() -> None:
    # Survey files may hold two corners that differ by less than anything that is measured.
    speck = Piece(LineString([(6e-223, 0), (0, 0)]), inf)
    assert places_of(LineString([(0, 0), (0, 1)]), [speck]) == []


def test_no_doorway_and_no_wall() -> None:
    assert cut_doorways([], [Doorway(LineString([(4, 2), (4, 3)]), 0.0)]) == []
    assert places_of(LineString([(4, 2), (4, 3)]), []) == []
    whole = [Piece(LineString([(4, 0), (4, 8)]), inf)]
    assert cut_doorways(whole, []) == whole


@settings(max_examples=60, derandomize=True, deadline=None)
@given(walls(5), st.sampled_from([0.02, inf]))
def test_stretches_meet_at_their_ends_only_and_lose_no_wall(drawn: tuple[Barrier, ...], height: float) -> None:
    room = box(0, 0, WIDTH_M, DEPTH_M)
    lines = [barrier.line for barrier in drawn]
    found = join([Piece(line, height) for line in lines], room.boundary)
    parts = [LineString(ends.reshape(2, 2)) for ends in found.ends]
    for index, one in enumerate(parts):
        for other in parts[index + 1 :]:
            assert one.intersection(other).length < 1e-9
            assert not one.crosses(other)
    for line in lines:
        assert all(min(part.distance(Point(place)) for part in parts) < 2e-6 for place in line.segmentize(0.4).coords)
