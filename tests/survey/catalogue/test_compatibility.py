"""What two products do: named lethal gas first, the chart next, and silence never a clearance."""

from dataclasses import replace
from itertools import combinations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from survey.catalogue.compatibility import NO_GROUPS, NOT_LISTED, matrix, reactions, silence
from survey.catalogue.named_pairs import lethal_pairs, named_pairs, side
from survey.catalogue.product import Mark, Product, Trait
from survey.catalogue.products import UNIDENTIFIED, catalogue
from survey.catalogue.rows import CatalogueFault

PRODUCTS = catalogue().products
any_product = st.sampled_from((*PRODUCTS, UNIDENTIFIED))

# Makers of lethal gas: cyanides from 49 CFR 177.848(c), sulphides from 40 CFR 264 Appendix V group 5, and from one
# university's list of reactions that make toxic gas: arsenic with reducing agents, azides, hypochlorites and nitrites
# with acids, nitrates with sulphuric acid, nitric acid with heavy metals (read); the rest is ordinary safety-sheet
# knowledge (recalled). Each with a near miss that makes no lethal gas.
LETHAL = [
    ("hydrochloric-acid-32", "sodium-cyanide-solution-30", "hydrogen cyanide"),
    ("acetic-acid-glacial", "sodium-cyanide-solid", "hydrogen cyanide"),
    ("nitric-acid-68", "sodium-cyanide-solid", "hydrogen cyanide"),
    ("phosphoric-acid-75", "sodium-sulphide-solution", "hydrogen sulphide"),
    ("sodium-hydrogen-sulphate", "sodium-sulphide-hydrated", "hydrogen sulphide"),
    ("hydrochloric-acid-32", "sodium-hypochlorite-12-5", "chlorine"),
    ("acetic-acid-glacial", "calcium-hypochlorite-dry", "chlorine"),
    ("sodium-hypochlorite-12-5", "ammonia-solution-25", "chloramine and nitrogen chlorides"),
    ("sodium-hypochlorite-12-5", "diethylenetriamine", "chloramine and nitrogen chlorides"),
    ("sodium-hypochlorite-12-5", "urea-solution", "chloramine and nitrogen chlorides"),
    ("sodium-hypochlorite-12-5", "sodium-cyanide-solution-30", "cyanogen chloride"),
    ("sulphuric-acid-50", "sodium-azide", "hydrazoic acid vapour"),
    ("hydrochloric-acid-37", "sodium-chlorite-solution", "chlorine dioxide"),
    ("hydrochloric-acid-32", "sodium-hydrosulphite", "sulphur dioxide"),
    ("sulphuric-acid-50", "sodium-metabisulphite", "sulphur dioxide"),
    ("hydrochloric-acid-32", "sodium-nitrite", "nitrogen oxides"),
    ("hydrochloric-acid-32", "aluminium-phosphide", "phosphine"),
    ("sulphuric-acid-93-98", "formic-acid-85", "carbon monoxide"),
    ("sulphuric-acid-93-98", "ammonium-bifluoride-solution", "hydrogen fluoride"),
    ("sodium-hydroxide-50", "aluminium-phosphide", "phosphine"),
    ("urea-solution", "aluminium-phosphide", "phosphine"),
    ("arsenic-acid", "zinc-dust", "arsine"),
    ("thionyl-chloride", "sodium-cyanide-solution-30", "hydrogen cyanide"),
    ("sulphamic-acid", "trichloroisocyanuric-acid", "chlorine"),
    ("hydrochloric-acid-32", "potassium-permanganate", "chlorine"),
    ("hydrochloric-acid-32", "nitric-acid-60", "chlorine and nitrosyl chloride"),
    ("sodium-hypochlorite-12-5", "ammonium-nitrate", "chloramine and nitrogen chlorides"),
    ("sulphuric-acid-50", "sodium-chlorate", "chlorine dioxide"),
    ("sulphuric-acid-93-98", "sodium-nitrate", "nitrogen oxides"),
    ("nitric-acid-68", "mercury", "nitrogen oxides"),
    ("thionyl-chloride", "ethanol", "hydrogen chloride and sulphur dioxide"),
    ("silicon-tetrachloride", "urea-solution", "hydrogen chloride"),
    ("sodium-hydroxide-50", "ammonium-nitrate", "ammonia"),
]
NOT_LETHAL = [
    ("sodium-hydroxide-50", "sodium-cyanide-solution-30"),
    ("sodium-hydroxide-50", "sodium-sulphide-solution"),
    ("sodium-hydroxide-50", "sodium-hypochlorite-12-5"),
    ("hydrochloric-acid-32", "hydrogen-peroxide-35"),
    ("hydrochloric-acid-32", "ammonia-solution-25"),
    ("toluene", "aluminium-phosphide"),
    ("arsenic-acid", "toluene"),
    ("sodium-hydroxide-50", "trichloroisocyanuric-acid"),
    ("phosphoric-acid-75", "potassium-permanganate"),
    ("phosphoric-acid-75", "nitric-acid-60"),
    ("sodium-hydroxide-50", "sodium-chlorate"),
    ("sodium-hypochlorite-12-5", "sodium-nitrate"),
    ("sulphuric-acid-50", "sodium-nitrate"),
    ("phosphoric-acid-75", "mercury"),
    ("silicon-tetrachloride", "toluene"),
    ("thionyl-chloride", "toluene"),
    ("triethanolamine", "ammonium-nitrate"),
    ("nitric-acid-68", "acetic-acid-glacial"),
    ("hydrogen-peroxide-35", "ammonia-solution-25"),
    ("sodium-hypochlorite-12-5", "sodium-sulphide-solution"),
    ("hydrochloric-acid-32", "sodium-nitrate"),
    ("sulphuric-acid-50", "formic-acid-85"),
    ("sodium-hypochlorite-12-5", "isopropanol"),
    ("hydrochloric-acid-32", "unidentified"),
]


def product(key: str) -> Product:
    return catalogue().by_key[key]


@pytest.mark.parametrize(("one", "other", "gas"), LETHAL)
def test_lethal_gas_is_named_first(one: str, other: str, gas: str) -> None:
    worst = reactions(product(one), product(other))[0]
    assert (worst.gas, worst.lethal, worst.certain) == (gas, True, True)


@pytest.mark.parametrize(("one", "other"), NOT_LETHAL)
def test_near_misses_make_no_lethal_gas(one: str, other: str) -> None:
    assert not any(reaction.lethal for reaction in reactions(product(one), product(other)))


def test_both_members_of_every_named_pair_are_in_the_catalogue() -> None:
    for pair in (*lethal_pairs(), *named_pairs()):
        found = [(one.key, other.key) for one, other in combinations(PRODUCTS, 2) if pair.joins(one, other)]
        assert found, pair.rule


def test_worst_lethal_gas_is_hydrogen_cyanide() -> None:
    for pairs in (lethal_pairs(), named_pairs()):
        assert [pair.rank for pair in pairs] == list(range(1, len(pairs) + 1))
        assert [pair.rule for pair in pairs] == sorted(pair.rule for pair in pairs)  # floors order by the rule's name
    assert lethal_pairs()[0].gas == "hydrogen cyanide"


# Plain clauses that finish "together they …", worked from the chart's codes by hand.
CLAUSES = [
    ("toluene", "hydrogen-peroxide-35", "can start a fire"),  # 16-104 H,F
    ("sodium-hydroxide-50", "hydrochloric-acid-32", "heat up and boil"),  # 1-10 H
    ("phosphoric-acid-75", "hydrogen-peroxide-35", "give off toxic gas"),  # 1-104 H,GT
    ("nitric-acid-68", "acetic-acid-glacial", "toxic red-brown fumes"),  # named, over 2-3 and 3-104
    ("methyl-ethyl-ketone", "mek-peroxide-solution", "can explode"),  # 19-30 E
    ("styrene-stabilised", "hydrochloric-acid-32", "set off violent polymerisation"),  # 1-103 H,P
    ("toluene-diisocyanate", "isopropanol", "set off violent polymerisation"),  # 4-18 H,P
    ("sodium-hydroxide-50", "aluminium-powder", "make hydrogen"),  # 10-22 H,GF
    ("hydrogen-peroxide-35", "sodium-hypochlorite-12-5", "oxygen"),  # one group, not in the chart; named
]

# Other pairs by name, each with a near miss that the name does not hold: ACS and university lists of incompatible
# chemicals (read), ordinary safety-sheet knowledge (recalled).
NAMED = [
    ("sodium-azide", "copper-cyanide", "explode when touched", "potassium-cyanide-solid"),
    ("sodium-azide", "sodium-hypochlorite-12-5", "halogen azides", "hydrogen-peroxide-35"),
    ("sodium-azide", "chloroform", "form compounds that explode", "toluene"),
    ("potassium-permanganate", "sulphuric-acid-93-98", "manganese oxide that explodes", "sulphuric-acid-50"),
    ("ammonium-nitrate", "sodium-nitrite", "ammonium salts that explode", "sodium-nitrate"),
    ("bromine", "ammonia-solution-25", "form compounds that explode", "urea-solution"),
    ("hydrazine-hydrate", "hydrogen-peroxide-50", "catch fire by themselves or explode", "acetone"),
    ("hydrogen-peroxide-35", "acetone", "form peroxides that explode", "toluene"),
    ("calcium-hypochlorite-dry", "trichloroisocyanuric-acid", "explode and give off chlorine", "sodium-nitrate"),
    ("potassium-permanganate", "glycerol", "fire by themselves within minutes", "toluene"),
    ("calcium-hypochlorite-dry", "ethylene-glycol", "fire by themselves within minutes", "methanol"),
    ("sodium-hydrosulphite", "sodium-chlorate", "catch fire by themselves", "sodium-sulphite"),
    ("hydrogen-peroxide-35", "sodium-hydroxide-50", "make oxygen fast", "sodium-nitrate"),
    ("sodium-hypochlorite-12-5", "isopropanol", "chloroform", "toluene"),
    ("sodium-chlorite-solution", "sodium-hypochlorite-12-5", "chlorine dioxide", "hydrogen-peroxide-35"),
    ("trichloroethylene", "sodium-hydroxide-50", "dichloroacetylene", "ammonia-solution-25"),
    ("sodium-metal", "methanol", "hydrogen that catches fire", "toluene"),
    ("calcium-carbide", "urea-solution", "acetylene", "toluene"),
    ("hydrochloric-acid-32", "hydrogen-peroxide-35", "give off chlorine", "sodium-nitrate"),
    ("sodium-hypochlorite-12-5", "sodium-sulphite", "heat up violently", "sodium-nitrate"),
    ("chloroform", "acetone", "any alkali", "toluene"),
    ("formaldehyde-solution-37", "hydrochloric-acid-32", "causes cancer", "sulphuric-acid-50"),
]


@pytest.mark.parametrize(("one", "other", "says", "twin"), NAMED)
def test_other_named_pairs_and_their_near_misses(one: str, other: str, says: str, twin: str) -> None:
    assert says in reactions(product(one), product(other))[0].clause
    assert not any(says in reaction.clause for reaction in reactions(product(one), product(twin)))


@pytest.mark.parametrize(("one", "other", "says"), CLAUSES)
def test_clause_says_the_worst_in_plain_words(one: str, other: str, says: str) -> None:
    assert says in reactions(product(one), product(other))[0].clause


# Pairs that an experienced technician would not want in the list: common practice, and blank or trivial in the chart.
QUIET = [
    ("sodium-hydroxide-50", "ammonia-solution-25"),
    ("hydraulic-oil", "ethylene-glycol"),
    ("toluene", "acetone"),
    ("isopropanol", "methyl-ethyl-ketone"),
    ("hydrochloric-acid-32", "phosphoric-acid-75"),
    ("hydrochloric-acid-32", "acetic-acid-glacial"),
    ("sodium-hydroxide-50", "sodium-hypochlorite-12-5"),
    ("hydrochloric-acid-32", "urea-solution"),
    ("toluene", "toluene"),
    ("mek-peroxide-solution", "mek-peroxide-solution"),
    ("chromic-acid-solution", "chromic-acid-solution"),
]


@pytest.mark.parametrize(("one", "other"), QUIET)
def test_pairs_that_would_only_flood_the_list_are_left_out(one: str, other: str) -> None:
    assert reactions(product(one), product(other)) == ()


@pytest.mark.parametrize(
    "wet", ["hydrochloric-acid-32", "urea-solution", "sodium-hydroxide-50", "paraquat-concentrate"]
)
@pytest.mark.parametrize("dry", ["toluene-diisocyanate", "sodium-metal", "acetic-anhydride", "sodium-hydrosulphite"])
def test_water_is_said_beside_what_reacts_with_water(wet: str, dry: str) -> None:
    assert reactions(product(wet), product(dry)), (wet, dry)


def test_water_reactive_is_silent_beside_a_dry_solvent_that_nothing_lists() -> None:
    assert reactions(product("toluene-diisocyanate"), product("toluene")) == ()


def test_every_oxidiser_reacts_with_every_flammable_liquid() -> None:
    # 49 CFR 177.848 keeps class 3 and 5.1 apart (read); a pair that the chart left silent would be a gap
    missing = [
        (one.key, other.key)
        for one in PRODUCTS
        if one.hazard_class == "5.1"
        for other in PRODUCTS
        if other.hazard_class == "3" and other.reaction_groups and not reactions(one, other)
    ]
    assert missing == []


def test_every_acid_reacts_with_every_base_and_cyanide_and_hypochlorite() -> None:
    acids = [found for found in PRODUCTS if Trait.ACID in found.traits]
    for trait in (Trait.BASE, Trait.CYANIDE, Trait.HYPOCHLORITE, Trait.SULPHIDE):
        for other in PRODUCTS:
            if trait in other.traits and Trait.ACID not in other.traits:
                assert all(reactions(acid, other) for acid in acids), (trait, other.key)


@settings(max_examples=300, deadline=None)
@given(any_product, any_product)
def test_order_of_the_two_makes_no_difference(one: Product, other: Product) -> None:
    assert reactions(one, other) == reactions(other, one)


@settings(max_examples=300, deadline=None)
@given(any_product, any_product)
def test_worst_comes_first_and_lethal_is_only_said_of_named_gas(one: Product, other: Product) -> None:
    found = reactions(one, other)
    assert [reaction.rank for reaction in found] == sorted(reaction.rank for reaction in found)
    named = {pair.rule for pair in lethal_pairs()}
    for reaction in found:
        assert reaction.lethal == (reaction.rule in named)
        assert not reaction.lethal or reaction.gas
        assert reaction.source
        assert reaction.clause.split()[0] in {"make", "can", "heat", "may", "drive"}


@settings(max_examples=300, deadline=None)
@given(any_product, any_product)
def test_putting_unidentified_in_never_turns_a_reaction_into_silence(one: Product, other: Product) -> None:
    if reactions(one, other):
        in_its_place = reactions(UNIDENTIFIED, other)
        assert in_its_place
        assert not any(reaction.certain or reaction.lethal for reaction in in_its_place)


def test_unidentified_beside_an_acid_may_make_hydrogen_cyanide() -> None:
    (reaction,) = reactions(UNIDENTIFIED, product("nitric-acid-68"))
    assert reaction.gas == "hydrogen cyanide"
    assert reaction.clause.startswith("may make hydrogen cyanide")
    assert "cannot be excluded" in reaction.clause


def test_two_unidentified_are_not_excluded_either() -> None:
    (reaction,) = reactions(UNIDENTIFIED, UNIDENTIFIED)
    assert not reaction.certain


def test_suspect_cell_is_marked() -> None:
    # 13-105 and 16-105 stand in the shifted row of the transcription
    (suspect,) = reactions(product("ethyl-acetate"), product("sodium-metabisulphite"))
    assert suspect.suspect
    assert suspect.mark is Mark.RECALLED
    (sound,) = reactions(product("toluene"), product("hydrogen-peroxide-35"))
    assert not sound.suspect
    assert sound.mark is Mark.READ


def test_chart_cells_that_are_blank_give_no_codes() -> None:
    blanks = sum(not cell.codes for cell in matrix().values())
    assert 0 < blanks < len(matrix())
    assert matrix()[10, 16].codes == ()


def test_silence_is_never_a_permission_and_says_where_the_chart_holds_no_such_pair() -> None:
    assert silence(product("toluene"), product("acetone")) == NOT_LISTED
    assert "not a clearance" in NOT_LISTED
    alike = silence(product("potassium-nitrate"), product("sodium-dichromate"))
    assert alike.startswith(NOT_LISTED)
    assert "Both are in group 104" in alike
    assert "not in the chart at all" in alike
    wet = silence(product("urea-solution"), product("paraquat-concentrate"))
    assert wet == NOT_LISTED  # both hold water, which is no kinship


def test_product_in_no_group_is_not_taken_for_harmless() -> None:
    bare = replace(product("toluene"), key="from-a-sheet", reaction_groups=(), traits=frozenset())
    for other in (product("toluene"), product("nitric-acid-68"), UNIDENTIFIED):
        assert reactions(bare, other)
        assert reactions(bare, other) == reactions(other, bare)
        assert not any(reaction.certain for reaction in reactions(bare, other))
    assert reactions(bare, product("toluene"))[0].rule == NO_GROUPS
    named = replace(bare, traits=frozenset({Trait.CYANIDE}))
    assert reactions(named, product("nitric-acid-68"))[0].gas == "hydrogen cyanide"


@pytest.mark.parametrize("cell", ["", "acid|", "group:water", "grupp:1", "product:", "acid+sour"])
def test_a_side_that_names_nothing_is_refused(cell: str) -> None:
    with pytest.raises(CatalogueFault, match=r"made_up\.csv: a side is"):
        side(cell, "made_up.csv")


def test_every_product_named_in_a_pair_is_in_the_catalogue() -> None:
    for pair in (*lethal_pairs(), *named_pairs()):
        for key in (*pair.a.keys, *pair.b.keys):
            assert key in catalogue().by_key, (pair.rule, key)
