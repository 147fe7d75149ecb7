"""What stands nearby, against its definition asked of every two pallets."""

from math import hypot

import pytest

from geometry.incompatible_neighbours import liquids_meet
from reports.alarms import alarming
from reports.assessor import floor_view
from reports.facts import DrumFact, PalletFact
from reports.floors.nearby import Around
from reports.floors.view import FloorView
from reports.gather import gather
from tests.demo_sites import DAY
from tests.reports.floors.mixed_store import mixed_view
from tests.reports.judged import a_store, stock


def near(view: FloorView, a: PalletFact, b: PalletFact) -> bool:
    """Same pallet, within 2 m, or one in a pool that the thick film of the other may be."""
    if a is b or a.footprint.distance(b.footprint) - hypot(a.tolerance_m, b.tolerance_m) <= 2.0:
        return True
    for one, other in ((a, b), (b, a)):
        rested = [view.spills.rested(drum) for drum in one.drums if drum.fill_l > 0]
        thick_m = view.spills.film.thick_m
        pools = [pool for each in rested if each for pool, film_m in each.each if film_m == thick_m]
        if any(liquids_meet(pool.shape, other.footprint) for pool in pools):
            return True
    return False


def around_the_long_way(view: FloorView, pallet: PalletFact, drum: DrumFact) -> Around:
    others = [
        (other, place)
        for place in view.floor.pallets
        if near(view, pallet, place)
        for other in place.drums
        if other.id != drum.id
    ]
    unknown = sorted(
        (0.0 if place is pallet else pallet.footprint.distance(place.footprint), other.name)
        for other, place in others
        if other.contents_unknown and not other.empty_uncleaned
    )
    return Around(
        nearest=tuple((name, metres) for metres, name in unknown[:1]),
        more=max(len(unknown) - 1, 0),
        alarming=any(alarming(other) for other, _ in others),
    )


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_each_drum_has_round_it_what_asking_of_every_two_pallets_finds(seed: int) -> None:
    view = mixed_view(seed)
    found = {drum.id: around for pallet in view.floor.pallets for drum, around in _of(view, pallet)}
    expected = {
        drum.id: around_the_long_way(view, pallet, drum) for pallet in view.floor.pallets for drum in pallet.drums
    }
    assert found == expected
    assert len({around.more for around in found.values()}) > 3
    assert {around.alarming for around in found.values()} == {False, True}


def _of(view: FloorView, pallet: PalletFact) -> list[tuple[DrumFact, Around]]:
    around = view.nearby.around(pallet)
    return [(drum, around[drum.id]) for drum in pallet.drums]


def test_a_drum_is_not_its_own_neighbour() -> None:
    build = a_store()
    stock(build, "P1", (5, 5), None, signs=["bulging"])
    facts = gather(build.survey(), as_of=DAY)
    view = floor_view(facts, facts.floors[0])
    ((_, alone),) = _of(view, view.floor.pallets[0])
    assert alone == Around((), 0, alarming=False)
