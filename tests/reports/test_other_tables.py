"""What other tables say beside the one shown: only where they ask for something, and with the use limit."""

from itertools import combinations

import pytest

from reports.other_tables import other_tables
from reports.preplan.build import preplan
from survey.catalogue.compatibility import reactions
from survey.catalogue.product import Mark
from survey.catalogue.products import UNIDENTIFIED, catalogue
from tests.demo_sites import demo_assessment, demo_facts

# by hand from 40 CFR 264 Appendix V, 49 CFR 177.848 and IMDG Code 7.2.4
ALSO = [
    ("hydrochloric-acid-32", "sodium-cyanide-solid", ["group 5", "a cyanide with an acid, not together"]),
    ("toluene", "hydrogen-peroxide-35", ["group 6", "class 3 with class 5.1, not together unless leaks"]),
    ("hydrochloric-acid-32", "sodium-hypochlorite-12-5", ["group 1"]),
    ("sodium-hydroxide-50", "hydrochloric-acid-32", ["group 1"]),
    ("sodium-hydrosulphite", "acetic-acid-glacial", ["class 4.2 with class 8 (liquid), not together"]),
    ("toluene-diisocyanate", "sodium-hydroxide-50", ["group 3"]),
]


@pytest.mark.parametrize(("one", "other", "words"), ALSO)
def test_other_tables_beside_a_pair(one: str, other: str, words: list[str]) -> None:
    a, b = catalogue().by_key[one], catalogue().by_key[other]
    shown = reactions(a, b)[0]
    found = other_tables(a, b, shown)
    assert other_tables(b, a, shown) == found
    assert len(found) == len(words), found
    for word, each in zip(words, found, strict=True):
        assert word in each.words


def test_use_limit_stands_beside_every_transport_answer() -> None:
    products = catalogue().products[::4]
    said = 0
    for a, b in combinations(products, 2):
        for shown in reactions(a, b)[:1]:
            for each in other_tables(a, b, shown):
                assert each.cite.source
                if each.cite.rule.startswith("segregation"):
                    said += 1
                    assert "not a warehouse" in each.words
    assert said


def test_table_that_is_shown_already_is_not_said_again() -> None:
    a, b = catalogue().by_key["isopropanol"], catalogue().by_key["sodium-hydroxide-50"]
    shown = reactions(a, b)[0]
    assert shown.rule == "Appendix V group 3"
    assert not any("group 3" in each.words for each in other_tables(a, b, shown))


def test_recalled_cell_is_marked() -> None:
    a, b = catalogue().by_key["hydrochloric-acid-32"], catalogue().by_key["calcium-carbide"]
    (road,) = [each for each in other_tables(a, b, reactions(a, b)[0]) if each.cite.rule == "segregation road"]
    assert "class 4.3 with class 8 (liquid)" in road.words
    assert road.cite.mark is Mark.RECALLED


def test_nothing_is_said_of_what_is_not_certain() -> None:
    acid = catalogue().by_key["hydrochloric-acid-32"]
    assert other_tables(UNIDENTIFIED, acid, reactions(UNIDENTIFIED, acid)[0]) == ()


def test_paper_says_what_other_tables_say_and_what_is_asked_for_in_a_building() -> None:
    plan = preplan(demo_assessment("A"), demo_facts("A"))
    first, second, *_ = plan.floors[0].pairs
    assert "group 1" in first.also[0].text
    assert any("not a warehouse" in each.text for each in second.also)
    assert "6.1 m (20 ft)" in plan.apart[0].text
    assert {each.basis.source for each in plan.apart} <= set(plan.source_numbers)
