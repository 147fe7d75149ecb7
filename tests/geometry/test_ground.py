"""Falling floors as cells: what stands between neighbours, which cells a target touches, shapes that end at walls."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import LineString, Point, Polygon, box

from geometry.errors import GeometryRefused
from geometry.floor import Barrier, FloorPlan
from geometry.ground import Ground, common_cells, common_shape_of
from geometry.kernels.descent import grow_within
from tests.geometry.floors import room, wall, walls
from tests.geometry.slopes import falling


def ground(plan: FloorPlan, *, cell_m: float = 0.1) -> Ground:
    return falling(plan, -0.01, 0.0, cell_m=cell_m).ground(cautious=True)


def test_cells_of_a_small_room() -> None:
    found = ground(room(3, 2), cell_m=1.0)
    assert found.width == 5
    assert np.count_nonzero(found.on_map) == 6
    assert found.cell_m2 == pytest.approx(1.0)
    first = found.cell_of(Point(0.4, 0.6), 0.001)
    assert first == 6
    assert found.centres(np.array([first]))[0] == pytest.approx([0.5, 0.5])
    assert found.bed_m[first] == pytest.approx(-0.005)


def test_a_wall_stands_between_the_cells_it_parts() -> None:
    found = ground(room(4, 2, barriers=(wall((2, 0), (2, 2), height_m=0.05),)), cell_m=1.0)
    east = found.east_m.reshape(4, 6)
    assert east[1:3, 2].tolist() == [0.05, 0.05]
    assert (east[1:3, [0, 4]] == np.inf).all()
    assert (found.north_m.reshape(4, 6)[[0, 2], 1:5] == np.inf).all()
    assert not east[1:3, [1, 3]].any()
    assert not found.north_m.reshape(4, 6)[1, 1:5].any()


@pytest.mark.parametrize("ends", [((0, 0), (8, 6)), ((0.5, 0), (6.5, 6)), ((8, 0), (0.5, 6)), ((0, 3.5), (8, 3.5))])
def test_a_wall_through_cell_centres_has_no_gap(ends: tuple[tuple[float, float], tuple[float, float]]) -> None:
    found = ground(room(8, 6, barriers=(wall(*ends),)), cell_m=1.0)
    start = np.array([found.cell_of(Point(4, 0.6), 0.001)])
    reached = grow_within(
        start, np.ones(len(found.on_map), dtype=np.bool_), found.on_map, found.east_m, found.north_m, found.width, 0.001
    )
    assert 0 < len(reached) < np.count_nonzero(found.on_map)


@settings(max_examples=20)
@given(walls(3), st.sampled_from([0.2, 0.25]))
def test_law_cells_hang_together_only_within_a_compartment(barriers: tuple[Barrier, ...], cell_m: float) -> None:
    falling_floor = falling(room(8, 6, barriers=barriers), -0.01, 0.0, cell_m=cell_m)
    found = falling_floor.ground(cautious=True)
    layout = falling_floor.floor.passing.layout()
    everywhere = np.ones(len(found.on_map), dtype=np.bool_)
    for outline in layout.compartments:
        inside = outline.representative_point()
        if not layout.clear_of_barriers(inside) or outline.boundary.distance(inside) < 0.3:
            continue
        start = np.array([found.cell_of(inside, 0.001)])
        cells = grow_within(start, everywhere, found.on_map, found.east_m, found.north_m, found.width, 0.001)
        apart_m = [outline.distance(Point(centre)) for centre in found.centres(cells)[:: max(len(cells) // 50, 1)]]
        assert max(apart_m) < 1e-6
        assert found.shape_of(cells, 0.001).difference(outline.buffer(1e-6)).area < 1e-9


def test_shape_ends_at_a_slanting_wall() -> None:
    found = ground(room(4, 4, barriers=(wall((0, 1.03), (4, 2.87)),)))
    cells = np.flatnonzero(found.on_map)
    below = cells[found.centres(cells)[:, 1] < 1.03 + found.centres(cells)[:, 0] * 1.84 / 4]
    # Below the wall lies a trapezium of 4 × (1.03 + 2.87) / 2; of cells with their centre beyond it nothing is taken.
    outline = Polygon([(0, 0), (4, 0), (4, 2.87), (0, 1.03)])
    shape = found.shape_of(below, 0.001)
    assert outline.area == pytest.approx(7.8)
    assert shape.difference(outline).area < 1e-9
    assert outline.difference(shape).area < 4.4 * 0.05
    assert found.shape_of(np.array([], dtype=np.int64), 0.001).is_empty


def test_cells_at_a_target() -> None:
    found = ground(room(4, 4, barriers=(wall((0, 2), (4, 2)),)))
    assert len(found.cells_touching(Point(1.04, 1.04), 0.001)) == 1
    assert len(found.cells_touching(box(1.01, 1.01, 1.29, 1.19), 0.001)) == 6
    # Just beyond a wall only the cell on its own side, along the wall those on both.
    (only,) = found.cells_touching(Point(1.04, 2.02), 0.001).tolist()
    assert found.centres(np.array([only]))[0] == pytest.approx([1.05, 2.05])
    assert len(found.cells_touching(LineString([(1.02, 2), (1.08, 2)]), 0.001)) == 2
    # Widened, but not through the wall; a film deeper than it goes over.
    around = found.centres(found.cells_touching(Point(1.04, 2.02), 0.001, widened_m=0.3))
    assert around[:, 1].min() > 2
    assert around[:, 1].max() == pytest.approx(2.35)


def test_source_beside_a_wall_begins_on_its_own_side() -> None:
    found = ground(room(4, 4, barriers=(wall((0, 2.02), (4, 2.02)),)))
    beyond = found.centres(np.array([found.cell_of(Point(1.04, 2.03), 0.001)]))[0]
    assert beyond == pytest.approx([1.05, 2.05])
    before = found.centres(np.array([found.cell_of(Point(1.04, 2.01), 0.001)]))[0]
    assert before == pytest.approx([1.05, 1.95])


def test_source_with_no_floor_around_it_is_refused() -> None:
    with pytest.raises(GeometryRefused, match="expected free floor around it"):
        ground(room(4, 4)).cell_of(Point(9, 9), 0.001)


def test_tiles_are_four_cells_wide_and_told_once() -> None:
    found = ground(room(3, 2), cell_m=0.1)
    assert found.width == 32
    assert found.tiles == 9 * 6
    corner = np.array([0, 1, 3 * 32 + 3, 4, 4 * 32])
    assert found.tiles_of(corner).tolist() == [0, 1, 9]
    assert found.tiles_of(np.array([], dtype=np.int64)).tolist() == []


def test_cells_beside_what_is_low_and_beside_what_is_unknown() -> None:
    lip, loose = wall((2, 0), (2, 4), height_m=0.01), wall((5, 0), (5, 4), tight=None)
    floor = falling(room(8, 4, barriers=(lip, loose)), -0.01, 0.0)
    passing, holding = floor.ground(cautious=True), floor.ground(cautious=False)
    low = passing.centres(passing.cells_beside_low())
    assert low[:, 0].min() == pytest.approx(1.75)
    assert low[:, 0].max() == pytest.approx(2.25)
    assert set(np.round(low[:, 1], 2)) == set(np.round(np.arange(0.05, 4, 0.1), 2))
    apart = passing.centres(passing.cells_apart(holding))
    assert apart[:, 0].min() == pytest.approx(4.75)
    assert apart[:, 0].max() == pytest.approx(5.25)
    assert not len(passing.cells_apart(passing))
    assert not len(ground(room(8, 4)).cells_beside_low())


def test_what_two_readings_have_in_common_ends_at_what_stops_either() -> None:
    floor = falling(room(8, 4, barriers=(wall((3, 0), (5, 4), tight=None),)), -0.01, 0.0)
    passing, holding = floor.ground(cautious=True), floor.ground(cautious=False)
    everything = np.flatnonzero(passing.on_map)
    left = everything[passing.centres(everything)[:, 0] < 4]
    both = common_shape_of([(passing, everything), (holding, left)], 0.001)
    assert common_cells([(passing, everything), (holding, left)]).tolist() == left.tolist()
    assert both.symmetric_difference(holding.shape_of(left, 0.001)).area < 1e-9
    assert common_shape_of([(passing, left)], 0.001).equals(passing.shape_of(left, 0.001))
    assert common_shape_of([(passing, left), (holding, left[:0])], 0.001).is_empty
