"""Products as sold: identity, cautious values, search and confusable names.

UN numbers, classes and packing groups are checked against the writer's memory of the list in 49 CFR 172.101 (recalled),
written here before the data were looked at.
"""

import pytest

from survey.catalogue.product import Form, Mark, Product, Trait
from survey.catalogue.products import UNIDENTIFIED, catalogue
from survey.catalogue.rows import rows

# key, UN number, class, subsidiary hazards, packing group: recalled from 49 CFR 172.101
IDENTITIES = [
    ("hydrochloric-acid-32", "1789", "8", (), "II"),
    ("sodium-hypochlorite-12-5", "1791", "8", (), "II"),
    ("sodium-hydroxide-50", "1824", "8", (), "II"),
    ("isopropanol", "1219", "3", (), "II"),
    ("toluene", "1294", "3", (), "II"),
    ("hydrogen-peroxide-35", "2014", "5.1", ("8",), "II"),
    ("hydraulic-oil", None, None, (), None),
    ("ethylene-glycol", None, None, (), None),
    ("acetone", "1090", "3", (), "II"),
    ("methyl-ethyl-ketone", "1193", "3", (), "II"),
    ("xylenes", "1307", "3", (), "II"),
    ("styrene-stabilised", "2055", "3", (), "III"),
    ("acetic-acid-glacial", "2789", "8", ("3",), "II"),
    ("nitric-acid-68", "2031", "8", ("5.1",), "II"),
    ("sodium-cyanide-solution-30", "3414", "6.1", (), "I"),
    ("sodium-sulphide-solution", "3266", "8", (), "II"),
    ("sodium-sulphide-hydrated", "1849", "8", (), "II"),
    ("sodium-hydrosulphite", "1384", "4.2", (), "II"),
    ("sodium-hydrogen-sulphate", None, None, (), None),
    ("sodium-bisulphate-solution", "2837", "8", (), "II"),
    ("toluene-diisocyanate", "2078", "6.1", (), "II"),
    ("lubricating-oil", None, None, (), None),
    ("ammonia-solution-25", "2672", "8", (), "III"),
    ("phosphoric-acid-75", "1805", "8", (), "III"),
    ("mek-peroxide-solution", "3105", "5.2", (), None),
    ("calcium-hypochlorite-dry", "1748", "5.1", (), "II"),
    ("methanol", "1230", "3", ("6.1",), "II"),
    ("waste-solvent-flammable", "1993", "3", (), "II"),
    ("flammable-liquid-toxic", "1992", "3", ("6.1",), "II"),
    ("dichloromethane", "1593", "6.1", (), "III"),
    ("sodium-cyanide-solid", "1689", "6.1", (), "I"),
    ("tetrahydrofuran", "2056", "3", (), "II"),
    ("sodium-azide", "1687", "6.1", (), "II"),
    ("hydrofluoric-acid", "1790", "8", ("6.1",), "II"),
    ("nitric-acid-red-fuming", "2032", "8", ("5.1", "6.1"), "I"),
    ("formic-acid-85", "3412", "8", (), "II"),
    ("ammonium-sulphide-solution", "2683", "8", ("3", "6.1"), "II"),
]


def product(key: str) -> Product:
    return catalogue().by_key[key]


@pytest.mark.parametrize(("key", "un", "hazard_class", "subsidiary", "packing_group"), IDENTITIES)
def test_identity_is_as_listed(
    key: str, un: str | None, hazard_class: str | None, subsidiary: tuple[str, ...], packing_group: str | None
) -> None:
    found = product(key)
    assert (found.un_number, found.hazard_class, found.subsidiary, found.packing_group) == (
        un,
        hazard_class,
        subsidiary,
        packing_group,
    )


def test_catalogue_is_as_large_as_the_trade_needs() -> None:
    assert len(catalogue().products) >= 120
    assert len(catalogue().by_key) == len(catalogue().products) + 1, "every product and the one not identified"


@pytest.mark.parametrize(
    ("hazard", "trait"),
    [
        ("3", Trait.FLAMMABLE),
        ("4.2", Trait.SELF_HEATING),
        ("4.3", Trait.WATER_REACTIVE),
        ("5.1", Trait.OXIDISER),
        ("5.2", Trait.ORGANIC_PEROXIDE),
        ("6.1", Trait.TOXIC),
        ("8", Trait.CORROSIVE),
    ],
)
def test_hazard_class_and_trait_never_part(hazard: str, trait: Trait) -> None:
    members = [found for found in catalogue().products if hazard in (found.hazard_class, *found.subsidiary)]
    assert members
    assert [found.key for found in members if trait not in found.traits] == []


def test_every_trait_has_a_source_and_a_product() -> None:
    used = {trait for found in catalogue().products for trait in found.traits}
    assert used == set(Trait)
    for found in catalogue().products:
        for trait in found.traits:
            source, mark = catalogue().trait_sources[found.key, trait]
            assert source
            assert mark in set(Mark)


def test_liquid_densities_viscosities_and_limits_are_plausible() -> None:
    for found in catalogue().products:
        if found.form is Form.LIQUID and found.density_kg_m3 is not None:
            assert 600 < found.density_kg_m3.value < 14_000, found.key
        if found.viscosity_pa_s is not None:
            assert 1e-4 < found.viscosity_pa_s.value < 100, found.key
        limits = {value.prop: value.acted_on.value for value in catalogue().values.get(found.key, ())}
        if {"lower flammable limit", "upper flammable limit"} <= limits.keys():
            assert 0 < limits["lower flammable limit"] < limits["upper flammable limit"] <= 100, found.key


def test_of_several_sources_the_cautious_value_is_acted_on() -> None:
    # flash point of MEK: NFPA 497 (2008) gives -6, IEC 60079-20-1 (2010) -10, a public data set -8.9 (all read)
    mek = next(value for value in catalogue().values["methyl-ethyl-ketone"] if value.prop == "flash point")
    assert sorted(entry.value for entry in mek.all) == [-10, -8.9, -6]
    assert mek.acted_on.value == -10
    # density of 50 % caustic: Laliberte (2009) gives 1516, Perry's handbook about 1525 (recalled): the heavier one
    caustic = product("sodium-hydroxide-50").density_kg_m3
    assert caustic is not None
    assert caustic.value == 1525


def test_unidentified_knows_nothing_and_says_so() -> None:
    assert product("unidentified") is UNIDENTIFIED
    assert not UNIDENTIFIED.identified
    assert UNIDENTIFIED.form is Form.UNKNOWN
    assert UNIDENTIFIED.density_kg_m3 is None
    assert UNIDENTIFIED not in catalogue().products
    assert all(found.identified for found in catalogue().products)


def test_unknown_key_gives_none() -> None:
    assert catalogue().get("no-such-product") is None


@pytest.mark.parametrize(
    ("typed", "first"),
    [
        ("1384", "sodium-hydrosulphite"),
        ("UN1384", "sodium-hydrosulphite"),
        ("UN 1384", "sodium-hydrosulphite"),
        ("67-64-1", "acetone"),
        ("Sodium hydrosulfite", "sodium-hydrosulphite"),
        ("sodum hydrosulphte", "sodium-hydrosulphite"),
        ("TOLUENE", "toluene"),
        ("tolune", "toluene"),
        ("sulfuric acid", "sulphuric-acid-93-98"),
        ("aluminum powder", "aluminium-powder"),
        ("THF", "tetrahydrofuran"),
        ("caustic soda", "sodium-hydroxide-50"),
        ("bleach", "sodium-hypochlorite-12-5"),
        ("muriatic acid", "hydrochloric-acid-32"),
        ("peroxide hydrogen 35", "hydrogen-peroxide-35"),
    ],
)
def test_search_forgives_spelling(typed: str, first: str) -> None:
    assert catalogue().search(typed, limit=3)[0].key == first


def test_search_finds_every_product_by_its_own_name() -> None:
    for found in catalogue().products:
        assert found in catalogue().search(found.name, limit=3), found.name


@pytest.mark.parametrize("typed", ["", "   ", "???", "xqzzkv"])
def test_search_for_nothing_gives_nothing(typed: str) -> None:
    assert catalogue().search(typed) == ()


def test_search_keeps_to_its_limit() -> None:
    assert len(catalogue().search("acid", limit=4)) == 4


def test_confusable_names_warn_both_ways() -> None:
    assert "sodium-hydrogen-sulphate" in product("sodium-hydrosulphite").confusable_with
    for pair in catalogue().confusables:
        one, other = pair.keys
        assert one != other
        assert other in product(one).confusable_with
        assert one in product(other).confusable_with
        assert pair in catalogue().confusable(one)
        assert pair.why
    assert catalogue().confusable("tetrahydrofuran") == ()


def test_group_assignments_are_marked_derived() -> None:
    # the groups are assigned by us from the group names, not read from the report's own compound list
    marks = {row["reaction_groups_mark"] for row in rows("products.csv") if row["reaction_groups"]}
    assert marks == {"derived"}
    grouped = [found for found in catalogue().products if found.reaction_groups]
    assert len(grouped) > 150
    assert all(group in {*range(1, 35), *range(101, 108)} for found in grouped for group in found.reaction_groups)
