"""Pairs in columns say what looking at every two lots says; of each kind the worst are listed, the rest is counted."""

from collections import Counter, defaultdict
from dataclasses import replace
from functools import cache

import pytest

from reports.assessment import PairAssessment
from reports.assessor import floor_view
from reports.floors.neighbours import Neighbours, pair_order, worded
from reports.floors.together import all_together
from reports.floors.worst_pairs import worst_pairs
from tests.demo_sites import demo_facts
from tests.reports.floors.mixed_store import mixed_view
from tests.reports.floors.pairs_the_long_way import pairs_the_long_way

SEEDS = (1, 2, 3)


@cache
def every_pair(seed: int) -> tuple[PairAssessment, ...]:
    return tuple(pairs_the_long_way(mixed_view(seed)))


def listing(seed: int, most: int) -> Neighbours:
    here = mixed_view(seed)
    return worded(here.table, here.spills, worst_pairs(here.table, all_together(here.table), most))


def kind(pair: PairAssessment) -> tuple[object, ...]:
    return (
        frozenset((pair.zone_a, pair.zone_b)),
        frozenset((pair.product_a, pair.product_b)),
        pair.reaction,
        pair.meets,
        pair.separation is None,
        pair.above,
        pair.a == pair.b,
    )


@pytest.mark.parametrize("seed", SEEDS)
def test_without_a_limit_the_list_is_that_of_looking_at_every_two(seed: int) -> None:
    found = listing(seed, most=10_000)
    assert found.pairs == every_pair(seed)
    assert found.unlisted == {}
    assert len(found.pairs) > 100


def test_the_stores_hold_every_way_to_be_together() -> None:
    pairs = [pair for seed in SEEDS for pair in every_pair(seed)]
    assert {pair.meets.value for pair in pairs} == {"reaches", "may reach", "not reached"}
    assert any(pair.above for pair in pairs)
    assert any(pair.a == pair.b for pair in pairs)
    assert any(pair.separation is None for pair in pairs)
    assert any(not pair.certain for pair in pairs)
    assert any(pair.lethal for pair in pairs)
    assert {"the floor", "drain D1", "sump S"} <= {place for pair in pairs for place in pair.where}


@pytest.mark.parametrize("letter", ["A", "B", "C"])
def test_the_demo_sites_list_all_their_pairs(letter: str) -> None:
    facts = demo_facts(letter)
    here = floor_view(facts, facts.floors[0])
    assert here.pairs == tuple(pairs_the_long_way(here))
    assert here.unlisted == {}


@pytest.mark.parametrize("seed", SEEDS)
@pytest.mark.parametrize("most", [1, 2, 5])
def test_the_worst_of_each_kind_are_listed_and_the_others_counted(seed: int, most: int) -> None:
    found = listing(seed, most)
    kinds: dict[tuple[object, ...], list[PairAssessment]] = defaultdict(list)
    for pair in every_pair(seed):
        kinds[kind(pair)].append(pair)
    expected = []
    for pairs in kinds.values():
        shown, rest = pairs[:most], pairs[most:]
        seen = {place for pair in shown for place in pair.where}
        where = {place for pair in rest for place in pair.where} - seen
        assert all(pair_order(a) <= pair_order(b) for a in shown for b in rest)
        expected += [(replace(shown[0], more=len(rest)), where), *((pair, set()) for pair in shown[1:])]
    expected.sort(key=lambda each: pair_order(each[0]))
    assert [replace(pair, more_where=()) for pair in found.pairs] == [pair for pair, _ in expected]
    assert [set(pair.more_where) for pair in found.pairs] == [where for _, where in expected]
    assert sum(pair.more for pair in found.pairs) + len(found.pairs) == len(every_pair(seed))


@pytest.mark.parametrize("seed", SEEDS)
def test_a_pallet_says_how_many_of_its_pairs_are_not_listed_and_which_is_the_worst(seed: int) -> None:
    found = listing(seed, 1)
    listed = {(pair.a, pair.b, pair.product_a, pair.product_b) for pair in found.pairs}
    left = [p for p in every_pair(seed) if (p.a, p.b, p.product_a, p.product_b) not in listed]
    count = Counter(name for pair in left for name in {pair.a, pair.b})
    names = {pallet.id: pallet.name for pallet in mixed_view(seed).floor.pallets}
    assert {names[key]: rest.pairs for key, rest in found.unlisted.items()} == dict(count)
    for key, rest in found.unlisted.items():
        worst = next(pair for pair in left if names[key] in (pair.a, pair.b))
        assert {names[key], rest.beside} == {worst.a, worst.b}
        assert {rest.product, rest.beside_product} == {worst.product_a, worst.product_b}
        assert (rest.reaction, rest.meets, rest.separation) == (worst.reaction, worst.meets, worst.separation)


def test_pairs_are_the_same_looked_at_all_at_once_or_row_by_row(monkeypatch: pytest.MonkeyPatch) -> None:
    whole = listing(1, 2)
    monkeypatch.setattr("reports.floors.together._AT_ONCE", 1)
    assert listing(1, 2) == whole
