"""Runs over the cells of a falling floor: each leaves its slate clean, ends take what gets to them, many are as one."""

import math
from concurrent.futures import ThreadPoolExecutor

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import Point

from geometry.errors import GeometryRefused
from geometry.ground import Ground
from geometry.rest import Rest, contacts_m3, run_to_rest
from geometry.running import NARROW, WIDE, Running
from tests.geometry.floors import room, wall
from tests.geometry.slopes import WATER, falling

NO_TARGETS = np.array([], dtype=np.int64)


def ground() -> Ground:
    plan = room(10, 6, barriers=(wall((5, 0), (5, 6), height_m=0.01),))
    return falling(plan, -0.01, 0.0).ground(cautious=True)


def cell(on: Ground, x: float, y: float) -> int:
    return on.cell_of(Point(x, y), 0.001)


def told(rest: Rest) -> list[object]:
    return [
        rest.cells.tolist(), rest.depths_m.tolist(), rest.need_m3.tolist(), rest.way.tolist(), rest.ponds.tolist(),
        rest.swallowed_by, rest.left_m3, rest.lost_m3, rest.lost_at_m3,
    ]  # fmt: skip


def test_a_thimble_wets_its_own_cell() -> None:
    on = ground()
    at = cell(on, 2.03, 3.02)
    rest = run_to_rest(on, at, 5e-6, 0.001, WATER)
    assert rest.cells.tolist() == [at]
    assert rest.depths_m.tolist() == [pytest.approx(5e-6 / 0.01)]
    assert rest.need_m3.tolist() == [0.0]
    assert rest.needed_m3(np.array([at])) == 0
    assert rest.needed_m3(np.array([at + 1])) is None


def test_no_liquid_wets_nothing() -> None:
    on = ground()
    rest = run_to_rest(on, cell(on, 2, 3), 0.0, 0.001, WATER)
    assert len(rest.cells) == 0
    assert rest.needed_m3(np.array([5])) is None


@settings(max_examples=20)
@given(st.lists(st.tuples(st.floats(0.3, 9.7), st.floats(0.3, 5.7), st.floats(0, 0.2)), min_size=1, max_size=4))
def test_law_a_used_slate_is_as_good_as_a_new_one(spills: list[tuple[float, float, float]]) -> None:
    used = ground()
    for x, y, volume_m3 in spills:
        if abs(x - 5) < 0.01:
            continue
        source, end = cell(used, x, y), used.cells_touching(Point(9.5, 3), 0.001)
        for ends in ([], [end]):
            fresh = ground()
            assert told(run_to_rest(used, source, volume_m3, 0.001, WATER, ends)) == told(
                run_to_rest(fresh, source, volume_m3, 0.001, WATER, ends)
            )
    assert len(used.slates) <= 1


def test_runs_at_once_have_a_slate_each() -> None:
    on = ground()
    sources = [cell(on, 0.53 + 0.3 * number, 3.02) for number in range(24)]
    alone = [told(run_to_rest(on, source, 0.1, 0.001, WATER)) for source in sources]
    with ThreadPoolExecutor(4) as threads:
        together = list(threads.map(lambda source: told(run_to_rest(on, source, 0.1, 0.001, WATER)), sources))
    assert together == alone


def test_contacts_are_those_of_single_runs() -> None:
    on = ground()
    sources = np.array([cell(on, x, 3.02) for x in (1.03, 3.03, 6.03)])
    targets = [on.cells_touching(Point(x, 3), 0.001) for x in (4.5, 7.5, 9.9)]
    found, lost_at = contacts_m3(on, sources, np.array([0.02, 0.2, 0.1]), 0.001, NARROW, targets)
    for row, (source, volume_m3) in enumerate(zip(sources.tolist(), (0.02, 0.2, 0.1), strict=True)):
        rest = run_to_rest(on, source, volume_m3, 0.001, NARROW)
        alone = [rest.needed_m3(cells) for cells in targets]
        assert found[row].tolist() == [math.inf if each is None else each for each in alone]
    assert np.isinf(lost_at).all()
    assert np.isinf(found).any()
    assert np.isfinite(found).any()


def test_no_targets_and_no_spills() -> None:
    on = ground()
    found, lost_at = contacts_m3(on, NO_TARGETS, np.array([]), 0.001, WIDE, [NO_TARGETS])
    assert found.shape == (0, 1)
    assert lost_at.shape == (0,)
    (row,) = contacts_m3(on, np.array([cell(on, 2, 3)]), np.array([0.1]), 0.001, WIDE, [NO_TARGETS])[0].tolist()
    assert row == [math.inf]


def test_refused_numbers() -> None:
    on = ground()
    source = cell(on, 2, 3)
    with pytest.raises(GeometryRefused, match="spilt volume: expected 0 m³ or more, found nan"):
        contacts_m3(on, np.array([source]), np.array([math.nan]), 0.001, WATER, [])
    with pytest.raises(GeometryRefused, match="viscosity"):
        run_to_rest(on, source, 0.1, 0.001, Running(-1.0, 1e-4))
