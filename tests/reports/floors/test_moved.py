"""One pallet at another place is judged as a whole judgement with it there judges it."""

from dataclasses import replace
from random import Random

import pytest
from shapely import Point

from reports.assessment import Verdict
from reports.assessor import floor_view
from reports.facts import PalletFact
from reports.floors.moved import Moved, moved, placed
from reports.floors.neighbours import Neighbours, worded
from reports.floors.pallets import pallets_on
from reports.floors.together import all_together
from reports.floors.view import FloorView
from reports.floors.worst_pairs import worst_pairs
from reports.gather import gather
from reports.gather_floor import elsewhere
from tests.demo_sites import DAY
from tests.reports.floors.mixed_store import mixed_view
from tests.reports.judged import a_store, stock


def judged_whole(view: FloorView, pallet: PalletFact) -> FloorView:
    """Judge everything anew with this pallet where it stands now."""
    floor = view.floor
    pallets = tuple(pallet if each.id == pallet.id else each for each in floor.pallets)
    zones = floor.zones
    if pallet.zone_id not in {zone.id for zone in zones}:
        zones = (*zones, elsewhere(floor))
    there = replace(floor, pallets=pallets, zones=zones)
    return floor_view(replace(view.site, floors=(there,)), there)


def own_pairs(view: FloorView, pallet: PalletFact) -> Neighbours:
    """All pairs of a floor but those that this pallet has no part in, cut to the worst of each kind."""
    table = view.table
    rows = table.rows[pallet.name]
    parts = [
        part.take(((part.one[:, None] == rows) | (part.other[:, None] == rows)).any(axis=1))
        for part in all_together(table)
    ]
    return worded(table, view.spills, worst_pairs(table, parts))


def check(view: FloorView, pallet: PalletFact) -> Moved:
    found = moved(view, pallet)
    whole = judged_whole(view, pallet)
    expected = own_pairs(whole, pallet)
    assert found.pairs == expected.pairs
    assert found.unlisted == expected.unlisted.get(pallet.id)
    assert found.stops == {drum.id: whole.stops[drum.id] for drum in pallet.drums}
    assert found.arrivals == whole.arrivals_of.get(pallet.id, ())
    said = next(each for each in pallets_on(whole) if each.id == pallet.id)
    assert (found.one_drum, found.whole, found.tilted) == (said.one_drum, said.whole, said.tilted)
    return found


@pytest.mark.parametrize(
    ("seed", "size", "count"), [(1, 24, 2), *(pytest.param(seed, 60, 8, marks=pytest.mark.slow) for seed in (2, 3))]
)
def test_a_moved_pallet_is_judged_as_a_whole_judgement_judges_it(seed: int, size: int, count: int) -> None:
    view = mixed_view(seed, size)
    draw = Random(seed)  # noqa: S311 - places, no secrets
    pairs = stops = 0
    for pallet in draw.sample(view.floor.pallets, count):
        at = Point(draw.uniform(1, 19), draw.uniform(1, 9))
        found = check(view, placed(view.floor, pallet, at))
        pairs += len(found.pairs)
        stops += sum(map(len, found.stops.values()))
    assert pairs > 20
    assert stops > 0


def test_a_pallet_that_stays_is_judged_as_before() -> None:
    view = mixed_view(1)
    pallet = view.floor.pallets[3]
    assert placed(view.floor, pallet, pallet.at).footprint.equals(pallet.footprint)
    check(view, placed(view.floor, pallet, pallet.at))


def test_out_of_every_storage_zone_it_stands_elsewhere() -> None:
    build = a_store(perimeter_tight="yes", outline=[(0, 0), (30, 0), (30, 10), (0, 10)])
    stock(build, "P1", (5, 5), "hydrochloric-acid-32")
    stock(build, "P2", (18, 5), "sodium-hypochlorite-12-5")
    facts = gather(build.survey(), as_of=DAY)
    view = floor_view(facts, facts.floors[0])
    found = check(view, placed(view.floor, view.floor.pallets[0], Point(21, 5)))
    (pair,) = found.pairs
    assert (pair.zone_a, pair.zone_b) == ("Elsewhere", "All")


def test_a_pallet_is_never_its_own_neighbour_at_its_old_place() -> None:
    # One unidentified drum, moved a hand's breadth: where it stood nothing stands now.
    build = a_store()
    stock(build, "P1", (5, 5), None)
    facts = gather(build.survey(), as_of=DAY)
    view = floor_view(facts, facts.floors[0])
    found = check(view, placed(view.floor, view.floor.pallets[0], Point(5.1, 5)))
    assert found.pairs == ()
    assert all("beside" not in line.cite.rule for lines in found.stops.values() for line in lines)


def test_solids_on_one_spot_stand_close_and_no_liquid_meets() -> None:
    build = a_store()
    stock(build, "P1", (3, 5), "calcium-hypochlorite-dry")
    stock(build, "P2", (12, 5), "sodium-hydrosulphite")
    facts = gather(build.survey(), as_of=DAY)
    view = floor_view(facts, facts.floors[0])
    (pair,) = check(view, placed(view.floor, view.floor.pallets[0], Point(12.2, 5))).pairs
    assert pair.meets is Verdict.NOT_REACHED
    assert not pair.above
