from math import cos, hypot, inf, isinf, isnan, nan, pi, sin
from typing import TypeVar

import numpy as np
import pytest
import shapely
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from shapely import LineString, Point, affinity, box
from shapely.geometry.base import BaseGeometry

from geometry.errors import GeometryRefused
from geometry.floor import Barrier, Basin, FloorPlan, SpillFloor
from geometry.many_reaches import ManyReaches, places_on
from geometry.shapes import disc
from geometry.spill_reach import Spread, spread
from tests.geometry.floors import DEPTH_M, DRUM_M3, WIDTH_M, kerb, places, room, rooms, stand_clear, wall, walls

Shape = TypeVar("Shape", bound=BaseGeometry)


def many(plan: FloorPlan, *at: tuple[float, float]) -> ManyReaches:
    return ManyReaches(SpillFloor(plan), np.array(at, dtype=float))


def exactly_m2(floor: SpillFloor, at: Point, radius_m: float) -> float:
    """Area within a length by polygons whose arcs have 1,024 corners."""
    origin = floor.origin(at, cautious=True)
    layout = origin.layout
    parts = [origin.views[0].intersection(disc(at, radius_m, quarter=256))]
    for bend in np.flatnonzero(origin.to_bend_m < radius_m).tolist():
        around = disc(Point(layout.bends[bend]), radius_m - float(origin.to_bend_m[bend]), quarter=256)
        parts.append(layout.bend_view(bend).intersection(around))
    return float(shapely.union_all(parts, grid_size=1e-9).area)


# ── areas ────────────────────────────────────────────────────────────────────────────────────────────────────────────


def test_area_is_a_disc_until_something_stops_it() -> None:
    found = many(room(10, 8), (5, 4)).areas_within_m2(np.array([[0.0, 1.0, 4.0, 100.0, inf]]), cautious=True)
    assert found[0] == pytest.approx([0, pi, 16 * pi, 80, 80], rel=1e-12)


def test_area_beside_a_wall_is_a_disc_less_the_segment_beyond_it() -> None:
    # 1 m from the wall a disc of 2 m loses the segment of 120°: 4 (2π/3 - sin 120°) / 2.
    found = many(room(20, 20), (1, 10)).areas_within_m2(np.array([[2.0]]), cautious=True)
    assert found[0, 0] == pytest.approx(4 * pi - 2 * (2 * pi / 3 - sin(2 * pi / 3)), rel=1e-12)


def test_area_round_a_free_end_is_a_smaller_disc_about_it() -> None:
    # From (4, 6), 1 m west of the free end at (5, 6), 2 m far: the disc, less half the segment of 120° behind the wall,
    # and of that the quarter disc of 1 m about the free end.
    plan = room(10, 12, barriers=(wall((5, 0), (5, 6)),))
    found = many(plan, (4, 6)).areas_within_m2(np.array([[2.0]]), cautious=True)
    assert found[0, 0] == pytest.approx(4 * pi - (2 * pi / 3 - sin(2 * pi / 3)) + pi / 4, rel=1e-5)


@settings(max_examples=40, derandomize=True, deadline=None)
@given(plan=rooms(5), at=places(), radius=st.floats(0.2, 12))
def test_areas_agree_with_exact_polygons(plan: FloorPlan, at: Point, radius: float) -> None:
    assume(stand_clear(plan, at))
    floor = SpillFloor(plan)
    found = ManyReaches(floor, np.array([[at.x, at.y]])).areas_within_m2(np.array([[radius]]), cautious=True)
    assert found[0, 0] == pytest.approx(exactly_m2(floor, at, radius), rel=1e-3)


@settings(max_examples=20, derandomize=True, deadline=None)
@given(plan=rooms(5), at=places())
def test_area_grows_with_length_up_to_the_whole_compartment(plan: FloorPlan, at: Point) -> None:
    assume(stand_clear(plan, at))
    floor = SpillFloor(plan)
    lengths = np.linspace(0, 60, 200)[None, :]
    (found,) = ManyReaches(floor, np.array([[at.x, at.y]])).areas_within_m2(lengths, cautious=True)
    layout = floor.passing.layout()
    compartment = layout.compartment_at(at)
    assert compartment is not None
    assert (np.diff(found) >= -1e-9).all()
    assert found[-1] == pytest.approx(layout.compartments[compartment].area, rel=1e-3)


def test_a_way_along_a_wall_goes_round_its_far_end_on_the_right_side() -> None:
    # The way to (4, 3) runs along the wall from (4.5, 3.5), in line with the bend it comes from.
    plan = room(
        WIDTH_M,
        DEPTH_M,
        barriers=(
            wall((8, 2), (4.5, 3.5)),
            wall((4.5, 3.5), (4, 3)),
            wall((7, 3.5), (6, 1)),
            wall((5.5, 4.5), (2.5, 6)),
        ),
    )
    at = Point(5.63951991, 5.73944101)
    found = many(plan, (at.x, at.y)).areas_within_m2(np.array([[3.9, 6.0, 9.0]]), cautious=True)
    assert found[0] == pytest.approx([exactly_m2(SpillFloor(plan), at, r) for r in (3.9, 6.0, 9.0)], rel=1e-3)


# ── one by one and all at once ───────────────────────────────────────────────────────────────────────────────────────

VOLUMES = st.sampled_from([0.0, 0.005, 0.05, 0.2, 0.5, 1.0])
TIGHT = st.sampled_from([True, None, False])
HEIGHTS = st.sampled_from([inf, 0.003, 0.02])


@st.composite
def floors(draw: st.DrawFn, tight: st.SearchStrategy[bool | None] = TIGHT) -> FloorPlan:
    """Rooms whose walls, kerb and outer wall are tight, not tight or not known, high or low."""
    drawn = tuple(Barrier("wall", barrier.line, draw(HEIGHTS), draw(tight)) for barrier in draw(walls(3)))
    basins: tuple[Basin, ...] = ()
    if draw(st.booleans()):
        worn = Point(4, 2) if draw(st.booleans()) else None
        basins = (kerb(1, 1, 4, 3, draw(st.sampled_from([0.002, 0.004, 0.02])), lip_at=worn),)
    return room(WIDTH_M, DEPTH_M, perimeter_tight=draw(tight), barriers=drawn, basins=basins)


def targets_near(to: Point) -> list[BaseGeometry]:
    """A gully, a trench, a footprint, a place off the map and a trench along the outer wall."""
    return [
        to,
        LineString([(to.x, to.y), (WIDTH_M - to.x, DEPTH_M - to.y)]),
        box(to.x / 2, to.y / 2, to.x / 2 + 1, to.y / 2 + 1),
        Point(20, 3),
        LineString([(0, 1), (0, 2)]),
    ]


@settings(max_examples=12, derandomize=True, deadline=None)
@given(
    plan=floors(st.booleans()),
    at=st.lists(places(), min_size=1, max_size=3),
    to=places(),
    volume=VOLUMES,
    films=st.sampled_from([(0.0007, 0.001), (0.0028, 0.005)]),
    tolerance=st.sampled_from([0.0, 0.3]),
)
def test_all_at_once_says_what_one_by_one_says_where_all_is_known(
    plan: FloorPlan, at: list[Point], to: Point, volume: float, films: tuple[float, float], tolerance: float
) -> None:
    assume(stand_clear(plan, *at, to))
    floor = SpillFloor(plan)
    thin, thick = films
    targets = targets_near(to)
    rows = np.arange(len(at))
    together = ManyReaches(floor, np.array([[place.x, place.y] for place in at]))
    volumes = np.full(len(at), volume)
    found = together.arrivals(rows, volumes, targets, np.full((len(at), len(targets)), tolerance), thin, thick)
    for row, place in enumerate(at):
        alone = spread(floor, place)
        for column, target in enumerate(targets):
            length = alone.distance_m(target, cautious=True)
            assert found.distance_m[row, column] == pytest.approx(inf if length is None else length, abs=1e-5)
            critical = alone.critical_depth_m(volume, target, cautious=True)
            assert found.critical_m[row, column] == pytest.approx(
                nan if critical is None else critical, rel=1e-2, nan_ok=True
            )
            lips = [step for step in floor.passing.steps_m if thin < step <= thick]
            for films_m, litres in (((thin, *lips, thick), found.thin_m3), ((thick,), found.thick_m3)):
                each = [alone.litres_to(volume, target, film, cautious=True, tolerance_m=tolerance) for film in films_m]
                assert litres[row, column] == pytest.approx(max(each) / 1000, abs=0.01 * volume + 3e-4)
            # Cells count a fraction of a per cent wrong, so that films this near to reaching may go either way.
            if critical is None or not any(abs(critical / film - 1) < 0.02 for film in films):
                sure = alone.reaches(volume, target, thick, cautious=False)
                assert bool(found.surely[row, column]) == sure or tight_call(alone, volume, target, thick)
            if tolerance == 0 and (critical is None or not any(abs(critical / film - 1) < 0.02 for film in films)):
                may = alone.reaches_within(volume, target, thin, thick, cautious=True)
                assert bool(found.perhaps[row, column]) == may


def tight_call(alone: Spread, volume: float, target: BaseGeometry, film: float) -> bool:
    """Whether a film 2 % thinner or thicker would change the answer."""
    thinner, thicker = (alone.reaches(volume, target, film * factor, cautious=False) for factor in (0.98, 1.02))
    return thinner != thicker


@settings(max_examples=30, derandomize=True, deadline=None)
@given(
    plan=floors(), at=places(), volume=VOLUMES, film=st.sampled_from([0.0007, 0.0028, 0.005]), cautious=st.booleans()
)
def test_pools_at_once_are_the_pools_one_by_one(
    *, plan: FloorPlan, at: Point, volume: float, film: float, cautious: bool
) -> None:
    assume(stand_clear(plan, at))
    floor = SpillFloor(plan)
    found = ManyReaches(floor, np.array([[at.x, at.y]])).pools(
        np.array([0]), np.array([volume]), film, cautious=cautious
    )
    alone = spread(floor, at).pool(volume, film, cautious=cautious)
    assert found.area_m2[0] == pytest.approx(alone.area_m2, rel=1e-9)
    assert found.depth_m[0] == pytest.approx(alone.depth_m, rel=1e-9)
    assert found.off_map_m3[0] == pytest.approx(alone.off_map_m3, abs=0.01 * volume + 3e-4)
    assert found.on_floor_m3[0] + found.lost_m3[0] == pytest.approx(volume, rel=1e-12)
    assert found.lost_m3[0] - 1e-12 <= found.off_map_m3[0] <= volume + 1e-12
    assert found.shapes[0].area == pytest.approx(alone.area_m2, rel=2e-3)
    assert found.shapes[0].symmetric_difference(alone.shape).area <= 5e-3 * alone.area_m2
    assert not found.free[0] or found.shapes[0].equals(disc(at, float(found.radius_m[0])))


# ── laws ─────────────────────────────────────────────────────────────────────────────────────────────────────────────


def turned(plan: FloorPlan, turn: "Turn") -> FloorPlan:
    return FloorPlan(
        outline=turn(plan.outline),
        perimeter_tight=plan.perimeter_tight,
        barriers=tuple(Barrier(b.name, turn(b.line), b.height_m, b.tight) for b in plan.barriers),
        basins=tuple(
            Basin(b.name, turn(b.outline), b.lip_m, None if b.lip_at is None else turn(b.lip_at), b.tight)
            for b in plan.basins
        ),
    )


class Turn:
    """The plane turned by an angle about the origin, and mirrored or not."""

    def __init__(self, angle: float, *, mirrored: bool) -> None:
        side = -1 if mirrored else 1
        self.matrix = [side * cos(angle), -sin(angle), side * sin(angle), cos(angle), 0.0, 0.0]

    def __call__(self, shape: Shape) -> Shape:
        return affinity.affine_transform(shape, self.matrix)


@settings(max_examples=30, derandomize=True, deadline=None)
@given(
    plan=floors(),
    at=places(),
    to=places(),
    volume=VOLUMES,
    angle=st.one_of(st.floats(0, 6.28), st.sampled_from([pi / 2, pi])),
    mirrored=st.booleans(),
)
def test_turning_or_mirroring_the_floor_changes_nothing(
    *, plan: FloorPlan, at: Point, to: Point, volume: float, angle: float, mirrored: bool
) -> None:
    assume(stand_clear(plan, at, to))
    turn = Turn(angle, mirrored=mirrored)
    there, goal = turn(at), turn(to)
    rows, volumes, exact = np.array([0]), np.array([volume]), np.zeros((1, 1))
    one = ManyReaches(SpillFloor(plan), np.array([[at.x, at.y]]))
    other = ManyReaches(SpillFloor(turned(plan, turn), cell_m=0.2), np.array([[there.x, there.y]]))
    here = one.arrivals(rows, volumes, [to], exact, 0.0028, 0.005)
    gone = other.arrivals(rows, volumes, [goal], exact, 0.0028, 0.005)
    assert gone.distance_m[0, 0] == pytest.approx(here.distance_m[0, 0], rel=1e-6)
    assert gone.critical_m[0, 0] == pytest.approx(here.critical_m[0, 0], rel=1e-5, nan_ok=True)
    assert gone.thin_m3[0, 0] == pytest.approx(here.thin_m3[0, 0], abs=1e-5 * volume)
    pool, same = (each.pools(rows, volumes, 0.0028, cautious=True) for each in (one, other))
    assert same.area_m2[0] == pytest.approx(pool.area_m2[0], rel=1e-6)
    assert same.radius_m[0] == pytest.approx(pool.radius_m[0], rel=1e-5)
    assert same.off_map_m3[0] == pytest.approx(pool.off_map_m3[0], abs=1e-5 * volume)


# ── places, and what is refused ──────────────────────────────────────────────────────────────────────────────────────


def test_places_on_barriers_are_moved_and_say_so() -> None:
    found = places_on(SpillFloor(room()), np.array([[5.0, 4.0], [0.0, 4.0], [20.0, 4.0], [nan, 0.0]]))
    assert found.moved_m[0] == 0
    assert found.moved_m[1] == pytest.approx(hypot(*(found.at_m[1] - (0, 4))))
    assert 0 < found.moved_m[1] < 0.1
    assert list(found.refused) == [2, 3]
    assert "expected free floor within 0.2 m" in found.refused[2]
    assert isnan(found.moved_m[2])


def test_no_places_no_spills_and_no_targets() -> None:
    nobody = ManyReaches(SpillFloor(room()), np.zeros((0, 2)))
    assert nobody.distances_m([Point(1, 1)], cautious=True).shape == (0, 1)
    someone = many(room(), (5, 4))
    nothing = np.zeros(0)
    assert someone.pools(nothing.astype(int), nothing, 0.005, cautious=True).shapes == ()
    assert someone.arrivals(np.array([0]), np.array([0.2]), [], np.zeros((1, 0)), 0.003, 0.005).surely.shape == (1, 0)
    dry = someone.pools(np.array([0]), np.array([0.0]), 0.005, cautious=True)
    assert (dry.area_m2[0], dry.depth_m[0], dry.shapes[0].is_empty) == (0, 0, True)


def test_a_drum_that_touches_its_drain_reaches_it_at_any_film() -> None:
    found = many(room(), (5, 4)).arrivals(
        np.array([0]), np.array([DRUM_M3]), [Point(5, 4)], np.zeros((1, 1)), 0.003, 0.005
    )
    assert isinf(found.critical_m[0, 0])
    assert found.thin_m3[0, 0] == pytest.approx(DRUM_M3)
    assert found.surely[0, 0]


@pytest.mark.parametrize(
    ("volume", "films", "tolerance", "message"),
    [
        (-1.0, (0.003, 0.005), 0.0, "spilt volume: expected 0 m³ or more, found -1"),
        (nan, (0.003, 0.005), 0.0, "spilt volume: expected 0 m³ or more, found nan"),
        (0.2, (0.0, 0.005), 0.0, "film depth: expected more than 0 m, found 0"),
        (0.2, (0.005, 0.003), 0.0, "film range: expected the thin end first, found 0.005 to 0.003 m"),
        (0.2, (0.003, 0.005), -0.1, "tolerance: expected 0 m or more"),
    ],
)
def test_spills_that_are_none_are_refused(
    volume: float, films: tuple[float, float], tolerance: float, message: str
) -> None:
    with pytest.raises(GeometryRefused, match=message):
        many(room(), (5, 4)).arrivals(np.array([0]), np.array([volume]), [Point(1, 1)], np.array([[tolerance]]), *films)


def test_places_and_targets_that_are_none_are_refused() -> None:
    with pytest.raises(GeometryRefused, match="places: expected finite coordinates"):
        many(room(), (nan, 4))
    with pytest.raises(GeometryRefused, match=r"source at \(20, 4\): expected free floor, found none"):
        many(room(), (20, 4)).distances_m([Point(1, 1)], cautious=True)
    someone = many(room(), (5, 4))
    with pytest.raises(GeometryRefused, match="target: expected a shape"):
        someone.distances_m([Point()], cautious=True)
    with pytest.raises(GeometryRefused, match="spills: expected places 0 to 0, found 3 to 3"):
        someone.pools(np.array([3]), np.array([0.2]), 0.005, cautious=True)
    with pytest.raises(GeometryRefused, match="spills: expected one volume for each place"):
        someone.pools(np.array([0]), np.array([0.2, 0.2]), 0.005, cautious=True)
    with pytest.raises(GeometryRefused, match="radius: expected a length, found not a number"):
        someone.areas_within_m2(np.array([[nan]]), cautious=True)
