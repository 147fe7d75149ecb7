"""Many pairs of one kind: the finding names the worst, counts the rest and says where any of them meet."""

from functools import cache

from reports.assessment import Assessment, PairAssessment, Verdict
from reports.floors.worst_pairs import LISTED
from reports.preplan.pairs import unlisted_text
from reports.wording import MOST_NAMED, named
from tests.reports.judged import a_store, judged, stock

ACIDS, LYES = 4, 3


@cache
def twelve_pairs() -> Assessment:
    """Four pallets of acid and three of lye in one row: each of the one meets each of the other."""
    build = a_store(perimeter_tight="yes")
    build.drain("D1", (19.5, 9.5), position_source="measured")
    for number in range(ACIDS):
        stock(build, f"A{number}", (6 + 0.3 * number, 5), "hydrochloric-acid-32", base_height_m=1.2 * number)
    for number in range(LYES):
        stock(build, f"L{number}", (8.2 + 0.3 * number, 5), "sodium-hydroxide-50", base_height_m=1.2 * number)
    return judged(build)


def pairs() -> tuple[PairAssessment, ...]:
    (floor,) = twelve_pairs().floors
    return floor.pairs


def test_the_worst_are_listed_and_the_first_says_how_many_more() -> None:
    assert len(pairs()) == LISTED
    assert [pair.more for pair in pairs()] == [ACIDS * LYES - LISTED, *(0,) * (LISTED - 1)]
    metres = [pair.separation.metres for pair in pairs() if pair.separation is not None]
    assert metres == sorted(metres)


def test_the_finding_counts_what_is_not_listed() -> None:
    (found,) = [each for each in twelve_pairs().findings if each.cite.rule == pairs()[0].cite.rule]
    assert found.sentence.endswith("There are 4 more pairs like it in these storage zones.")
    assert "They stand 0.10 ± 0.07 m apart." in found.sentence


def test_every_pallet_says_what_of_it_is_not_listed() -> None:
    (floor,) = twelve_pairs().floors
    listed = {frozenset((pair.a, pair.b)) for pair in floor.pairs}
    every = {frozenset((f"A{one}", f"L{other}")) for one in range(ACIDS) for other in range(LYES)}
    for pallet in floor.pallets:
        left = [ends for ends in every - listed if pallet.name in ends]
        assert (0 if pallet.unlisted is None else pallet.unlisted.pairs) == len(left)
    far = next(pallet for pallet in floor.pallets if pallet.unlisted is not None and pallet.name == "A0")
    assert far.unlisted is not None
    assert far.unlisted.meets is Verdict.REACHES
    said = unlisted_text(far)
    assert said.startswith("Pairs of it that react and are not listed: 2; the worst: Hydrochloric acid 32 % with ")
    assert "liquids meet: together they can heat up and boil" in said


def test_names_past_what_a_sentence_bears_are_counted() -> None:
    names = [f"P{number}" for number in range(40)]
    assert named(names).endswith("P11 and 28 more")
    assert named(names[: MOST_NAMED + 1]).endswith("P11 and P12")
