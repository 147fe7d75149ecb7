"""A walk over every row of the catalogue: units, sources, marks, numbers and classes, and what has to be among them.

Sources: check digit of a CAS registry number (CAS, recalled); packing groups of class 3 by flash and boiling point
(49 CFR 173.121, recalled); flammability degrees of NFPA 704-2001 table 4 (read in part). What departs from them is
listed here with its reason, so that a new departure fails.
"""

import json
from collections.abc import Iterator
from importlib.resources import files

import pytest

from survey.catalogue.product import Form, Mark, Product, Trait
from survey.catalogue.products import catalogue
from survey.catalogue.properties import PROPERTIES
from survey.catalogue.rows import CatalogueFault, listed, rated, rows, storage_limit
from survey.catalogue.second_key import cas_number_checks

CLASSES = {"3", "4.1", "4.2", "4.3", "5.1", "5.2", "6.1", "8", "9"}
PACKING_GROUPS = ("I", "II", "III")
UNCLASSED_WITH_NUMBER = {"calcium-oxide": "UN 1910 is class 8 by air only"}
PACKING_GROUP_DEPARTS = {
    "acrylonitrile": "packing group I by its toxicity",
    "carbon-disulphide": "packing group I by its toxicity",
    "xylenes": "the entry has II and III; the strictest is kept",
}
FLAMMABILITY_DEPARTS = {
    "carbon-disulphide": "boils at 46 degrees, above the limit of degree 4; rated 4 for its ignition by warm surfaces",
    "ethyl-silicate": "recalled rating of low confidence, by a flash point of 52 degrees; others give 37 and 38",
}
WITH_WATER = {
    Trait.WATER_REACTIVE,
    Trait.WATER_MISCIBLE,
    Trait.PARTLY_MISCIBLE,
    Trait.FLOATS,
    Trait.SINKS,
}
WITH_WATER_UNKNOWN = {
    "adhesive-flammable": "mixture of the maker's choice",
    "corrosive-acid-nos": "whatever is carried under the collective entry",
    "corrosive-alkali-nos": "whatever is carried under the collective entry",
    "cutback-bitumen": "near the density of water",
    "ethyl-silicate": "reacts slowly with water; no source on record",
    "flammable-liquid-toxic": "whatever is carried under the collective entry",
    "organophosphorus-pesticide": "formulation of the maker's choice",
    "paint-flammable": "mixture of the maker's choice",
    "printing-ink-flammable": "mixture of the maker's choice",
    "resin-solution": "mixture of the maker's choice",
    "waste-solvent-flammable": "no property of it is assured",
}


@pytest.mark.parametrize(
    "name",
    [
        "products.csv",
        "product_values.csv",
        "product_traits.csv",
        "synonyms.csv",
        "confusables.csv",
        "nfpa_704.csv",
        "storage_limits.csv",
    ],
)
def test_every_row_has_source_and_mark_and_speaks_of_a_product(name: str) -> None:
    prefix = "identity_" if name == "products.csv" else ""
    found = list(rows(name))
    assert len(found) > 20
    for row in found:
        assert row["key"] in catalogue().by_key, row
        assert row[f"{prefix}source"].strip(), row
        assert row[f"{prefix}mark"] in set(Mark), row
    assert len({tuple(row.values()) for row in found}) == len(found), "a row stands twice"


def test_every_value_has_a_unit_of_its_property_and_a_temperature_where_that_matters() -> None:
    units = {
        "density": {"kg/m3"},
        "viscosity": {"Pa.s"},
        "flash point": {"degC"},
        "boiling point": {"degC"},
        "vapour pressure": {"Pa"},
        "molar mass": {"kg/mol"},
        "lower flammable limit": {"vol%"},
        "upper flammable limit": {"vol%"},
        "immediately dangerous concentration": {"ppm", "mg/m3"},
        "reportable quantity": {"lb"},
    }
    assert set(units) == set(PROPERTIES)
    for row in rows("product_values.csv"):
        assert row["unit"] in units[row["property"]], row
        if row["property"] in ("density", "viscosity", "vapour pressure"):
            assert float(row["temperature_c"]) in (20, 25), row


def test_numbers_of_the_transport_list_and_of_the_registry() -> None:
    for product in catalogue().products:
        assert product.un_number is None or (len(product.un_number) == 4 and product.un_number.isdigit()), product.key
        assert all(map(cas_number_checks, product.cas_numbers)), product.key


def test_classes_and_packing_groups_are_of_the_fixed_set() -> None:
    for product in catalogue().products:
        if product.hazard_class is None:
            assert (product.subsidiary, product.packing_group) == ((), None), product.key
            assert product.un_number is None or product.key in UNCLASSED_WITH_NUMBER
            continue
        assert product.un_number, product.key
        assert {product.hazard_class, *product.subsidiary} <= CLASSES, product.key
        assert product.hazard_class not in product.subsidiary, product.key
        assert len(set(product.subsidiary)) == len(product.subsidiary), product.key
        # organic peroxides have types, no packing groups
        assert product.packing_group in ((None,) if product.hazard_class == "5.2" else PACKING_GROUPS), product.key


def test_packing_group_of_class_3_follows_flash_and_boiling_point_but_for_those_listed() -> None:
    departs, count = set(), 0
    for product in catalogue().products:
        if product.hazard_class != "3" or product.flash_c is None or product.boiling_c is None:
            continue
        count += 1
        by_flash = "II" if product.flash_c.value < 23 else "III"
        if product.packing_group != ("I" if product.boiling_c.value <= 35 else by_flash):
            departs.add(product.key)
        assert product.flash_c.value <= 60, product.key
    assert count >= 45
    assert departs == set(PACKING_GROUP_DEPARTS)


def test_flammability_rating_follows_flash_and_boiling_point_but_for_those_listed() -> None:
    departs, count = set(), 0
    for product in catalogue().products:
        if product.nfpa_704 is None or product.flash_c is None:
            continue
        count += 1
        flash, low_boiling = product.flash_c.value, product.boiling_c is not None and product.boiling_c.value < 37.8
        degree = 3 if flash < 37.8 else 2 if flash < 93.4 else 1
        if product.nfpa_704.flammability != (4 if flash < 22.8 and low_boiling else degree):
            departs.add(product.key)
    assert count >= 65
    assert departs == set(FLAMMABILITY_DEPARTS)


def test_what_every_liquid_does_with_water_is_known_or_listed_as_unknown() -> None:
    silent = {
        product.key
        for product in catalogue().products
        if product.form is Form.LIQUID and not product.traits & WITH_WATER
    }
    assert silent == set(WITH_WATER_UNKNOWN)
    for product in catalogue().products:
        assert not {Trait.FLOATS, Trait.SINKS} <= product.traits, product.key
        assert not {Trait.WATER_MISCIBLE, Trait.PARTLY_MISCIBLE} <= product.traits, product.key
        density = product.density_kg_m3
        if density is not None and product.form is Form.LIQUID:
            assert Trait.SINKS not in product.traits or density.value > 1000, product.key
            assert Trait.FLOATS not in product.traits or density.value < 1000, product.key


def test_what_polymerises_or_makes_peroxides_says_how_long_it_keeps() -> None:
    for product in catalogue().products:
        dangers = {limit.danger for limit in product.storage_limits}
        assert Trait.POLYMERISES not in product.traits or "polymerisation" in dangers, product.key
        assert Trait.PEROXIDE_FORMER not in product.traits or dangers, product.key
        assert not dangers or product.traits & {Trait.POLYMERISES, Trait.PEROXIDE_FORMER}, product.key
    # two public university lists (read): list A 3 months, list B 12 months, list C 12 months inhibited
    for key, letter, months in (("diisopropyl-ether", "A", 3), ("diethyl-ether", "B", 12), ("acrylonitrile", "C", 12)):
        limits = catalogue().by_key[key].storage_limits
        assert [(limit.peroxide_list, limit.months) for limit in limits if limit.mark is Mark.READ] == [
            (letter, months)
        ]


def test_ratings_stand_side_by_side_and_the_highest_of_each_part_is_acted_on() -> None:
    # acetone: 2-3-0 in a public list (read), 1-3-0 recalled; propylene oxide: 4-2-2 and 3-4-2
    for key, both, acted_on in (
        ("acetone", {(2, 3, 0), (1, 3, 0)}, (2, 3, 0)),
        ("propylene-oxide", {(4, 2, 2), (3, 4, 2)}, (4, 4, 2)),
    ):
        ratings = catalogue().ratings[key]
        assert {(rating.health, rating.flammability, rating.instability) for rating in ratings} == both
        rating = catalogue().by_key[key].nfpa_704
        assert rating is not None
        assert (rating.health, rating.flammability, rating.instability) == acted_on
        assert rating.mark is Mark.RECALLED, "one of the two was recalled: to be verified"
    water, oxidiser = (catalogue().by_key[key].nfpa_704 for key in ("sulphuric-acid-93-98", "nitric-acid-68"))
    assert water is not None
    assert oxidiser is not None
    assert (water.special, oxidiser.special) == (("W",), ("OX",))
    assert len(catalogue().ratings) >= 100


def test_second_values_on_record_are_carried() -> None:
    # immediately dangerous concentrations of which a later value is recalled beside the older one
    for key, both in (("acrylonitrile", [60, 85]), ("acetonitrile", [137, 500])):
        values = next(value for value in catalogue().values[key] if value.prop == "immediately dangerous concentration")
        assert sorted(entry.value for entry in values.all) == both
        assert values.acted_on.value == both[0]


def test_every_product_of_the_demo_sites_is_in_the_catalogue() -> None:
    used = set()
    for name in ("tessaly_road", "vellinor_street", "quillmere_shed_4"):
        used |= _products(json.loads(files("seed_demo").joinpath(f"{name}.json").read_text(encoding="utf-8")))
    assert len(used) >= 25
    assert used <= set(catalogue().by_key)


def _products(value: object) -> set[str]:
    if isinstance(value, dict):
        own = value.get("product")
        return {key for inner in value.values() for key in _products(inner)} | (
            {own} if isinstance(own, str) else set()
        )
    if isinstance(value, list):
        return {key for inner in value for key in _products(inner)}
    return set()


@pytest.mark.parametrize("name", ["lethal_gas.csv", "named_pairs.csv"])
def test_both_members_of_every_named_pair_are_in_the_catalogue(name: str) -> None:
    pairs = list(rows(name))
    assert len(pairs) >= 9
    for row in pairs:
        for side in ("side_a", "side_b"):
            members = list(_members(row[side]))
            assert members, (row["rule"], side)
            assert all(fitting for fitting in members), (row["rule"], side)


def _members(side: str) -> Iterator[list[Product]]:
    """Give the products that each part of a pair's side stands for."""
    for part in side.split("|"):
        wanted = part.split("+")
        yield [product for product in catalogue().products if all(_is(product, each.strip()) for each in wanted)]


def _is(product: Product, wanted: str) -> bool:
    if wanted.startswith("product:"):
        return product.key == wanted.removeprefix("product:")
    if wanted.startswith("group:"):
        return int(wanted.removeprefix("group:")) in product.reaction_groups
    return Trait(wanted) in product.traits


def test_flammable_limits_and_molar_mass_are_there_for_what_gives_off_vapour() -> None:
    """Vapour in a room needs all four; a blend of the maker's choice has none on record."""
    whole = [
        product.key
        for product in catalogue().products
        if None
        not in (
            product.lower_flammable_vol_pct,
            product.upper_flammable_vol_pct,
            product.molar_mass_kg_mol,
            product.vapour_pressure_pa,
        )
    ]
    assert len(whole) >= 60
    assert {"toluene", "acetone", "methanol", "styrene-stabilised", "isopropanol", "methyl-ethyl-ketone"} <= set(whole)
    assert catalogue().by_key["waste-solvent-flammable"].lower_flammable_vol_pct is None


@pytest.mark.parametrize(
    "changed", [{"health": "5"}, {"flammability": ""}, {"special": "COR"}, {"instability": "-1"}, {"health": "2.5"}]
)
def test_a_rating_that_is_none_is_refused(changed: dict[str, str]) -> None:
    row = {"key": "x", "health": "1", "flammability": "3", "instability": "0", "special": "", "source": "s"}
    with pytest.raises(CatalogueFault, match=r"nfpa_704\.csv: x"):
        rated(row | {"mark": "read"} | changed)


@pytest.mark.parametrize("changed", [{"danger": "rust"}, {"list": "D"}, {"needs_air": "maybe"}])
def test_a_storage_limit_that_is_none_is_refused(changed: dict[str, str]) -> None:
    row = {"key": "x", "danger": "peroxides", "list": "", "inhibitor": "", "needs_air": "", "months": ""}
    assert storage_limit(row | {"source": "s", "mark": "read"}).months is None
    with pytest.raises(CatalogueFault, match=r"storage_limits\.csv: x"):
        storage_limit(row | {"source": "s", "mark": "read"} | changed)


def test_listed_departures_speak_of_products() -> None:
    for departures in (PACKING_GROUP_DEPARTS, FLAMMABILITY_DEPARTS, WITH_WATER_UNKNOWN, UNCLASSED_WITH_NUMBER):
        assert set(departures) <= set(catalogue().by_key)
    assert listed("A; B") == ("A", "B")
