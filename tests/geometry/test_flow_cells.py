from math import inf

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from shapely import LineString, Point, Polygon, box

from geometry.floor import FloorPlan, SpillFloor
from geometry.flow_cells import PAD, FlowCells, barriers_of
from tests.geometry.floors import kerb, room, rooms, wall


def cells(plan: FloorPlan, *dams: LineString, cell_m: float = 0.5, cautious: bool = True) -> FlowCells:
    floor = SpillFloor(plan, cell_m)
    return FlowCells(floor.grid, floor.mapped, barriers_of(floor.flow(cautious=cautious).stretches, dams))


def reached(ground: FlowCells, start: tuple[int, int]) -> np.ndarray:
    """Cells that are joined to one through faces without crests."""
    found = np.zeros_like(ground.inside)
    found[start] = True
    while True:
        grown = found.copy()
        open_x, open_y = ground.crest_x == 0, ground.crest_y == 0
        grown[:, 1:] |= found[:, :-1] & open_x[:, :-1]
        grown[:, :-1] |= found[:, 1:] & open_x[:, :-1]
        grown[1:] |= found[:-1] & open_y[:-1]
        grown[:-1] |= found[1:] & open_y[:-1]
        grown &= ground.inside
        if (grown == found).all():
            return found
        found = grown


def test_a_wall_lies_between_the_cells_on_either_side_of_it() -> None:
    # 4 × 2 m in cells of half a metre, a wall at 2 m from the south edge up to 1.5 m.
    ground = cells(room(4, 2, barriers=(wall((2, 0), (2, 1.5)),)))
    crest = ground.crest_x[PAD:-PAD, PAD:-PAD]
    assert crest.tolist() == [[0, 0, 0, inf, 0, 0, 0, inf]] * 3 + [[0, 0, 0, 0, 0, 0, 0, inf]]
    assert (ground.crest_y[PAD:-PAD, PAD:-PAD][:-1] == 0).all()
    assert (ground.crest_y[PAD - 1, PAD:-PAD] == inf).all()
    assert ground.edge.size == 0


def test_an_open_edge_lets_liquid_out_and_a_kerb_up_to_its_height() -> None:
    ground = cells(room(4, 2, perimeter_tight=False, basins=(kerb(1, 0.5, 3, 1.5, 0.02),)))
    assert len(ground.edge) == 2 * (8 + 4)
    assert ground.crest_x[PAD + 1, PAD : PAD + 8].tolist() == [0, 0.02, 0, 0, 0, 0.02, 0, 0][0:1] * 1 + [
        0.02, 0, 0, 0, 0.02, 0, 0
    ]  # fmt: skip


def test_a_worn_kerb_lets_liquid_over_at_its_worn_place_only() -> None:
    ground = cells(room(6, 4, basins=(kerb(1, 1, 5, 3, 0.02, lip_at=Point(5, 1.25)),)), cell_m=0.25)
    over = ground.crest_x[:, PAD + 19]
    assert set(over[over > 0].tolist()) == {0.02, inf}
    y = (np.flatnonzero(over == 0.02) - PAD + 0.5) * 0.25
    assert y == pytest.approx([1.125, 1.375, 1.625])
    around = ground.crest_x[:, PAD + 3]
    assert set(around[around > 0].tolist()) == {inf}


def test_a_wall_through_the_middle_of_cells_blocks_in_every_direction() -> None:
    # The four diagonals and the two axes through a centre; each parts the floor in two.
    for run in ((1, 1), (1, -1), (1, 0), (0, 1), (2, 1), (-1, 2)):
        middle = np.array([2.25, 2.25])
        far = 5 * np.array(run)
        line = LineString([middle - far, middle + far]).intersection(box(0, 0, 4.5, 4.5))
        ground = cells(room(4.5, 4.5, barriers=(wall(*line.coords),)))
        found = reached(ground, (PAD, PAD) if run != (1, 1) else (PAD, PAD + 3))
        assert 0 < found.sum() < ground.inside.sum()


@settings(max_examples=60)
@given(rooms(5))
def test_no_wall_is_passed_and_no_compartment_is_cut(plan: FloorPlan) -> None:
    floor = SpillFloor(plan, 0.17)
    ground = FlowCells(floor.grid, floor.mapped, barriers_of(floor.passing.stretches, ()))
    for face in floor.passing.layout().compartments:
        inner = face.buffer(-1e-6)
        y, x = np.nonzero(ground.inside)
        here = shapely.contains_xy(inner, _x(ground, x), _y(ground, y))
        if not here.any():
            continue
        first = int(np.flatnonzero(here)[0])
        found = reached(ground, (int(y[first]), int(x[first])))
        ry, rx = np.nonzero(found)
        assert shapely.contains_xy(face.buffer(1e-6), _x(ground, rx), _y(ground, ry)).all()


def _x(ground: FlowCells, columns: np.ndarray) -> np.ndarray:
    return ground.grid.west_m + (columns - PAD + 0.5) * ground.grid.cell_m


def _y(ground: FlowCells, rows: np.ndarray) -> np.ndarray:
    return ground.grid.south_m + (rows - PAD + 0.5) * ground.grid.cell_m


def test_a_drain_beside_a_wall_lies_on_its_own_side() -> None:
    # The cell that holds the drain has its centre west of the wall, the drain lies east of it.
    ground = cells(room(4, 2, barriers=(wall((2.3, 0), (2.3, 2)),)))
    assert ground.cells_of(Point(2.4, 0.75)).tolist() == [[PAD + 1, PAD + 5]]
    assert ground.cells_of(Point(2.2, 0.75)).tolist() == [[PAD + 1, PAD + 4]]


def test_cells_of_lines_areas_corners_and_places_off_the_map() -> None:
    ground = cells(room(4, 2))
    assert ground.cells_of(LineString([(0.1, 0.2), (1.2, 0.2)])).tolist() == [
        [PAD, PAD],
        [PAD, PAD + 1],
        [PAD, PAD + 2],
    ]
    assert len(ground.cells_of(box(0.1, 0.1, 0.9, 0.9))) == 4
    assert len(ground.cells_of(Point(1, 1))) == 4
    assert ground.cells_of(Point(4.2, 0.75)).tolist() == [[PAD + 1, PAD + 7]]
    assert ground.cells_of(Point(4.4, 0.75)).tolist() == []


def test_a_source_spreads_on_its_own_side_of_a_wall() -> None:
    ground = cells(room(4, 2, barriers=(wall((2, 0), (2, 2)),)), cell_m=0.1)
    chosen, weights = ground.disc_of(Point(1.95, 1.0), 0.2)
    assert chosen[:, 1].max() == PAD + 19
    assert weights.sum() == pytest.approx(1)
    assert weights.min() > 0
    # So small that it lies in one cell, and that on a corner in all four.
    assert len(ground.disc_of(Point(1.05, 1.05), 1e-3)[0]) == 1
    corner, even = cells(room(4, 2)).disc_of(Point(1, 1), 1e-3)
    assert len(corner) == 4
    assert even == pytest.approx([0.25] * 4)


def test_a_source_and_a_drain_leave_out_cells_whose_middle_lies_on_a_wall() -> None:
    # Along the diagonal every centre lies on the wall, on either side of it by rounding.
    ground = cells(room(4, 4, barriers=(wall((0, 0), (4, 4)),)), cell_m=0.2)
    chosen, _ = ground.disc_of(Point(1.0, 3.0), 3.0)
    assert (chosen[:, 0] > chosen[:, 1]).all()
    under = ground.cells_of(box(0, 0, 4, 4))
    assert (under[:, 0] != under[:, 1]).all()
    long = cells(room(8, 6, barriers=(wall((4, 0), (7, 3)),)), cell_m=0.1)
    chosen, _ = long.disc_of(Point(0.32, 1.414), 4.3)
    x, y = _x(long, chosen[:, 1]), _y(long, chosen[:, 0])
    assert (y - (x - 4) > 1e-6).all()


def test_a_dam_is_as_tight_as_a_wall_and_joins_the_wall_it_ends_at() -> None:
    ground = cells(room(4, 2), LineString([(2.1, 0.04), (2.1, 1.97)]), cell_m=0.5)
    assert reached(ground, (PAD, PAD)).sum() == 4 * 4
    barriers = barriers_of(SpillFloor(room(4, 2)).passing.stretches, (LineString([(2.1, 0.04), (2.1, 1.5)]),))
    assert len(barriers.height_m) == 4 + 2
    assert np.isinf(barriers.height_m).all()
    assert barriers.ends[-1] == pytest.approx([2.1, 0.04, 2.1, 0.0])
    assert np.isnan(barriers.lip_at).all()


@pytest.mark.parametrize("cell_m", [0.1, 0.2])
def test_rounding_along_a_slanted_edge_opens_no_gap(cell_m: float) -> None:
    # Many centres lie on the slanted edges but for rounding.
    for outline in (
        Polygon([(0, 0), (3, 0), (3, 3), (0.6, 0.6)]),
        Polygon([(1.4, 2), (4.8, -1.4), (-1.8, -3.8), (0.9, -1.6)]),
        Polygon([(0.3, -0.1), (0.6, 2.6), (3.8, -0.1), (-1.9, -0.3)]),
    ):
        ground = cells(FloorPlan(outline=outline, perimeter_tight=True), cell_m=cell_m)
        assert ground.edge.size == 0
        assert not np.isnan(ground.crest_x).any()
