"""The reactivity chart and the reactions built on it, against what is published.

EPA-600/2-80-076 (1980): 41 groups, hence 41 x 40 / 2 = 820 pairs (read in a transcription). 40 CFR 264 Appendix V lists
six pairs of potentially incompatible waste groups with their consequences (groups 1, 3, 4 and 5 read in a copy, group 2
in part, 6 recalled).
"""

from itertools import combinations

import pytest

from survey.catalogue.appendix_v import examples
from survey.catalogue.compatibility import matrix, reactions
from survey.catalogue.product import Mark
from survey.catalogue.products import UNIDENTIFIED, catalogue
from survey.catalogue.rows import rows

GROUPS = 41


def test_chart_holds_every_pair_once() -> None:
    groups = [int(row["group"]) for row in rows("reaction_groups.csv")]
    assert len(groups) == GROUPS
    assert groups == [*range(1, 35), *range(101, 108)]
    wanted = {(one, other) for one in groups for other in groups if one < other}
    assert len(wanted) == GROUPS * (GROUPS - 1) // 2 == 820
    assert set(matrix()) == wanted
    assert sum(1 for _ in rows("reaction_matrix.csv")) == 820


def test_codes_are_those_of_the_chart() -> None:
    known = {"H", "F", "G", "GT", "GF", "E", "P", "S", "U", "107"}
    assert {code for cell in matrix().values() for code in cell.codes} <= known


def test_codes_acted_on_are_those_read_and_recalled_ones_only_where_the_copy_is_suspect() -> None:
    for row in rows("reaction_matrix.csv"):
        assert set(row["codes"].split()) == {*row["codes_read"].split(), *row["codes_recalled"].split()}, row
        assert row["suspect"] == "yes" or not row["codes_recalled"], row


def test_suspect_cells_are_fourteen() -> None:
    assert sum(cell.suspect for cell in matrix().values()) == 14


def test_water_reactive_row_says_do_not_mix_throughout() -> None:
    assert all(matrix()[one, 107].codes == ("107",) for one in [*range(1, 35), *range(101, 107)])


# pairs of the printed chart known from the method's own worked examples and from its text (recalled)
@pytest.mark.parametrize(
    ("pair", "codes"),
    [
        ((1, 10), {"H"}),
        ((1, 11), {"GT", "GF"}),
        ((1, 33), {"GT", "GF"}),
        ((2, 101), {"H", "F", "GT"}),
        ((101, 104), {"H", "F", "G"}),
        ((18, 106), {"H", "G"}),
        ((10, 22), {"H", "GF"}),
        ((16, 104), {"H", "F"}),
        ((28, 103), set()),
    ],
)
def test_spot_cells(pair: tuple[int, int], codes: set[str]) -> None:
    assert set(matrix()[pair].codes) == codes


# 40 CFR 264 Appendix V: group, a product of its list A, one of its list B, a word of its consequence
APPENDIX_V = [
    ("1", "sodium-hydroxide-50", "sulphuric-acid-50", "heat"),
    ("1", "potassium-hydroxide-45", "hydrochloric-acid-32", "heat"),
    ("2", "aluminium-powder", "hydrochloric-acid-32", "fire"),
    ("2", "zinc-dust", "sodium-hydroxide-50", "hydrogen"),
    ("3", "isopropanol", "sulphuric-acid-93-98", "fire"),
    ("3", "urea-solution", "sodium-metal", "gas"),
    ("4", "acetone", "nitric-acid-68", "fire"),
    ("4", "nitrobenzene", "sodium-hydroxide-50", "explode"),
    ("5", "sodium-cyanide-solution-30", "hydrochloric-acid-32", "hydrogen cyanide"),
    ("5", "sodium-sulphide-solution", "sulphuric-acid-50", "hydrogen sulphide"),
    ("6", "sodium-hypochlorite-12-5", "acetic-acid-glacial", "chlorine"),
    ("6", "potassium-permanganate", "toluene", "fire"),
    ("6", "ammonium-nitrate", "zinc-dust", "fire"),
]


@pytest.mark.parametrize(("group", "one", "other", "word"), APPENDIX_V)
def test_appendix_v_pairs_are_found(group: str, one: str, other: str, word: str) -> None:
    found = reactions(catalogue().by_key[one], catalogue().by_key[other])
    assert any(word in reaction.clause for reaction in found), (group, [reaction.clause for reaction in found])
    named = examples(catalogue().by_key[one], catalogue().by_key[other])
    assert group in [example.group for example in named]
    assert named == examples(catalogue().by_key[other], catalogue().by_key[one])


# near misses: the same list beside something that the other list does not hold
@pytest.mark.parametrize(
    ("group", "one", "other"),
    [
        ("1", "sodium-hydroxide-50", "toluene"),
        ("2", "aluminium-powder", "toluene"),
        ("3", "isopropanol", "sulphuric-acid-50"),
        ("4", "nitrobenzene", "sulphuric-acid-50"),
        ("5", "sodium-cyanide-solution-30", "sodium-hydroxide-50"),
        ("6", "potassium-permanganate", "sodium-hydroxide-50"),
    ],
)
def test_appendix_v_near_misses(group: str, one: str, other: str) -> None:
    found = examples(catalogue().by_key[one], catalogue().by_key[other])
    assert group not in [example.group for example in found]


def test_where_appendix_v_names_two_products_the_tool_is_never_silent() -> None:
    for one, other in combinations(catalogue().products, 2):
        if examples(one, other):
            assert any(reaction.certain for reaction in reactions(one, other)), (one.key, other.key)


def test_appendix_v_speaks_where_the_chart_is_silent_and_says_so() -> None:
    # group 3: alcohols with concentrated alkali, pair 4-10 of the chart is blank
    assert matrix()[4, 10].codes == ()
    found, *_ = reactions(catalogue().by_key["isopropanol"], catalogue().by_key["sodium-hydroxide-50"])
    assert (found.rule, found.mark, found.lethal) == ("Appendix V group 3", Mark.READ, False)
    assert not reactions(catalogue().by_key["isopropanol"], catalogue().by_key["ammonia-solution-25"])


def test_appendix_v_says_nothing_of_what_is_not_identified() -> None:
    assert examples(UNIDENTIFIED, catalogue().by_key["nitric-acid-68"]) == ()
