"""First actions: never into the pool, the stand-off or the sight of a drum that stops them."""

import pytest
from shapely import Point

from reports.gather import gather
from reports.stand_off import in_sight, stand_off
from tests.builders import SurveyBuilder, rectangle
from tests.demo_sites import DAY, demo_assessment, demo_facts
from tests.reports.judged import a_store, judged, stock


def with_drain(**floor: object) -> SurveyBuilder:
    build = a_store(**floor)
    build.drain("D1", (8, 5), joins="storm", proof="dye test", outfall="Ditch")
    stock(build, "P1", (6, 5), "toluene")
    return build


def whats(build: SurveyBuilder) -> list[str]:
    return [action.what for action in judged(build).first_actions]


def test_a_quiet_store_has_its_drain_covered() -> None:
    first, *_ = judged(with_drain()).first_actions
    assert first.what == "Cover drain D1"
    assert first.at == Point(8, 5)
    assert first.who == "operations level"
    assert first.leave_when


def test_a_bulging_drum_moves_the_task_to_the_outfall() -> None:
    build = with_drain()
    stock(build, "P2", (18, 5), "acetone", signs=["bulging"])
    actions = judged(build).first_actions
    assert all(action.at is None for action in actions)
    (dam,) = [action for action in actions if "Ditch" in action.what]
    assert dam.instead_of == "drain D1: 10 m from P2-1, inside the stand-off, in its sight"


def test_a_wall_hides_but_the_stand_off_still_bars() -> None:
    build = with_drain()
    build.wall("W", [(12, 0), (12, 10)])
    stock(build, "P2", (18, 5), "acetone", signs=["hissing"])
    (dam,) = [action for action in judged(build).first_actions if "Ditch" in action.what]
    assert dam.instead_of == "drain D1: 10 m from P2-1, inside the stand-off"


def test_the_pool_of_an_unidentified_drum_bars() -> None:
    build = with_drain()
    stock(build, "P2", (10, 5), None)
    assert "Cover drain D1" not in whats(build)
    assert any("inside the pool of P2-1" in action.instead_of for action in judged(build).first_actions)


def test_an_unidentified_drum_elsewhere_does_not_bar() -> None:
    build = with_drain()
    stock(build, "P2", (18, 5), None)
    assert "Cover drain D1" in whats(build)


def test_a_drain_out_of_reach_is_no_task() -> None:
    build = a_store(perimeter_tight="yes")
    build.drain("D1", (19, 5))
    stock(build, "P1", (2, 5), "toluene")
    assert whats(build) == []


def test_what_a_leak_runs_to_now_comes_first() -> None:
    build = a_store()
    build.drain("D1", (5, 5), joins="storm")
    build.drain("D2", (15, 5), joins="sanitary")
    stock(build, "P1", (5, 7), "toluene")
    stock(build, "P2", (15, 7), "toluene", breaches=[{"kind": "bung weep"}])
    assert whats(build)[:2] == ["Cover drain D2", "Cover drain D1"]


def test_where_nobody_may_go_something_is_still_to_be_done() -> None:
    build = a_store()
    build.drain("D1", (6, 5), joins="storm", proof="dye test")
    stock(build, "P1", (5, 5), "acetone", signs=["bulging", "leaking"])
    (action,) = judged(build).first_actions
    assert action.what.startswith("Find out who runs the sewer")
    assert action.at is None
    assert "P1-1" in action.instead_of


def test_no_way_in_past_a_bulging_drum() -> None:
    build = SurveyBuilder()
    build.floor(width_m=200, depth_m=10, perimeter_tight="yes", finish="bare concrete")
    build.wall("W", [(100, 0), (100, 10)])
    build.door("Main", [(0, 4), (0, 6)], main_entrance=True, tight_at_floor="yes")
    build.drain("D1", (151, 5), joins="storm", proof="dye test")
    stock(build, "P1", (149, 5), "toluene")
    stock(build, "P2", (2, 5), "acetone", signs=["bulging"])
    assert "Cover drain D1" not in whats(build)
    build.door("Far", [(200, 4), (200, 6)], tight_at_floor="yes")
    (cover,) = [action for action in judged(build).first_actions if action.what == "Cover drain D1"]
    assert cover.from_where.startswith("by Far")


def test_a_trench_is_judged_by_its_nearest_end() -> None:
    build = SurveyBuilder()
    build.floor(width_m=200, depth_m=10, perimeter_tight="yes", finish="bare concrete")
    build.drain("T1", (4, 5), (196, 5), kind="trench", joins="storm", proof="dye test")
    stock(build, "P1", (150, 6.5), "toluene")
    stock(build, "P2", (2, 5), "acetone", signs=["bulging"])
    assert all("whole length" not in what for what in whats(build))


def test_an_alarm_on_another_floor_bars_this_one() -> None:
    build = with_drain()
    build.floor("Upper floor", width_m=20, depth_m=10)
    stock(build, "P9", (14, 5), "acetone", signs=["bulging"])
    assert all(action.at is None for action in judged(build).first_actions)


def test_an_open_valve_nobody_may_reach_goes_outward() -> None:
    build = a_store()
    build.bund("K", rectangle(1, 1, 4, 4), height_mm=100, tight_at_floor="yes")
    sump, drain = build.sump("S1", (4, 4)), build.drain("D1", (18, 9), joins="sanitary", proof="dye test")
    build.pipe("S1-D1", sump, drain, valve="open")
    stock(build, "P1", (3, 3), "acetone", signs=["bulging"])
    assert any("drain D1" in what for what in whats(build))
    assert all(action.at is None for action in judged(build).first_actions)


def test_a_door_recorded_tight_needs_no_dam() -> None:
    loose, tight = a_store(), a_store()
    loose.door("Door", [(20, 4), (20, 6)], main_entrance=True, sill_mm=0)
    tight.door("Door", [(20, 4), (20, 6)], main_entrance=True, sill_mm=0, tight_at_floor="yes")
    assert whats(loose) == ["Dam the sill of Door from outside"]
    assert whats(tight) == []


class TestStandOff:
    def metres(self, build: SurveyBuilder) -> float:
        found = stand_off(gather(build.survey(), as_of=DAY))
        assert found is not None
        return found.metres

    def test_an_empty_site_has_none(self) -> None:
        assert stand_off(gather(SurveyBuilder().survey(), as_of=DAY)) is None

    def test_known_and_unidentified(self) -> None:
        # 50 m and 100 m (guide 111): Emergency Response Guidebook, recalled.
        known = a_store()
        stock(known, "P1", (3, 3), "toluene")
        assert self.metres(known) == 50
        stock(known, "P2", (9, 3), None)
        assert self.metres(known) == 100

    def test_an_alarm_never_shortens_it(self) -> None:
        build = a_store()
        stock(build, "P2", (9, 3), None)
        stock(build, "P1", (3, 3), "toluene", signs=["bulging"])
        assert self.metres(build) == 100

    def test_a_product_that_no_source_supports_is_not_known(self) -> None:
        build = a_store()
        stock(build, "P1", (3, 3), "toluene", label="none", identity_sources=[])
        assert self.metres(build) == 100


@pytest.mark.parametrize(
    ("a", "b", "seen"),
    [
        ((2, 5), (8, 5), True),
        ((2, 2), (12, 2), False),
        ((2, 5), (12, 5), True),
        ((12, 2), (30, 2), False),
        ((12, 5), (30, 5), True),
        ((3, 3), (3, 3), True),
    ],
)
def test_in_sight(a: tuple[float, float], b: tuple[float, float], seen: bool) -> None:  # noqa: FBT001
    build = a_store()
    build.outdoor_surface("Yard", rectangle(20, 0, 15, 10))
    build.wall("W", [(10, 0), (10, 10)])
    build.door("Inner", [(10, 4), (10, 6)])
    build.door("Outer", [(20, 4), (20, 6)])
    floor = gather(build.survey(), as_of=DAY).floors[0]
    assert in_sight(floor, Point(a), Point(b)) is seen
    assert in_sight(floor, Point(b), Point(a)) is seen


@pytest.mark.parametrize("letter", "ABC")
def test_no_task_on_a_demo_site_leads_into_danger(letter: str) -> None:
    assessment = demo_assessment(letter)
    assert assessment.stand_off is not None
    assert assessment.first_actions
    for action in assessment.first_actions:
        if action.at is None:
            continue
        for floor, facts in zip(assessment.floors, demo_facts(letter).floors, strict=True):
            for centre in assessment.stand_off.centres:
                assert action.at.distance(centre) >= assessment.stand_off.metres
                assert not in_sight(facts, action.at, centre)
            for pallet in floor.pallets:
                if pallet.stopped_drums and "not identified" in pallet.products and pallet.one_drum:
                    assert not pallet.one_drum.thick.shape.covers(action.at)
