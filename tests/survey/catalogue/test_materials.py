"""How materials stand up to products: unknown is never acceptable, and a range counts by its worse end."""

import pytest

from survey.catalogue.containers import Wall
from survey.catalogue.materials import Rating, materials, resistance, wall_resistance
from survey.catalogue.product import Product
from survey.catalogue.products import UNIDENTIFIED, catalogue

# material, product, acceptable: charts of elastomers and metals (read) and EPA-600/2-80-076 pair codes (read)
GRADES = [
    ("natural rubber", "toluene", False),
    ("nitrile", "toluene", True),
    ("nitrile", "acetone", False),
    ("EPDM", "acetone", True),
    ("EPDM", "toluene", False),
    ("neoprene", "sodium-hydroxide-50", True),
    ("wood", "nitric-acid-68", False),
    ("wood", "hydrogen-peroxide-35", False),
    ("wood", "toluene", True),
    ("carbon steel", "nitric-acid-68", False),
    ("carbon steel", "hydrochloric-acid-32", False),
    ("carbon steel", "toluene", True),
    ("stainless steel 304", "nitric-acid-68", True),
    ("stainless steel 304", "hydrochloric-acid-32", False),
    ("aluminium", "sodium-hydroxide-50", False),
    ("HDPE", "sodium-hydroxide-50", True),
    ("HDPE", "nitric-acid-68", False),
    ("HDPE", "dichloromethane", False),
    ("fibreboard", "hydrogen-peroxide-35", False),
]


def product(key: str) -> Product:
    return catalogue().by_key[key]


@pytest.mark.parametrize(("material", "key", "acceptable"), GRADES)
def test_grade_is_as_published(material: str, key: str, *, acceptable: bool) -> None:
    grade = resistance(material, product(key))
    assert grade.acceptable is acceptable
    assert grade.refused is not acceptable
    assert grade.source


def test_range_counts_by_its_worse_end() -> None:
    grade = resistance("HDPE", product("nitric-acid-68"))
    assert (grade.as_published, grade.rating) == ("F-N", Rating.NOT_RECOMMENDED)


@pytest.mark.parametrize("material", materials())
def test_nothing_is_known_to_stand_up_to_what_is_not_identified(material: str) -> None:
    grade = resistance(material, UNIDENTIFIED)
    assert grade.rating is Rating.UNKNOWN
    assert not grade.acceptable
    assert not grade.refused


def test_empty_cell_is_never_a_permission() -> None:
    unknown = [
        (material, found.key)
        for material in materials()
        for found in catalogue().products
        if resistance(material, found).rating is Rating.UNKNOWN
    ]
    assert unknown
    assert not any(resistance(material, product(key)).acceptable for material, key in unknown)


def test_unknown_material_is_an_error() -> None:
    with pytest.raises(KeyError):
        resistance("unobtainium", product("toluene"))


@pytest.mark.parametrize(
    ("wall", "key", "refused"),
    [
        (Wall.STEEL, "nitric-acid-68", True),
        (Wall.STAINLESS, "nitric-acid-68", False),
        (Wall.STEEL, "toluene", False),
        (Wall.PLASTIC, "dichloromethane", True),
        (Wall.COMPOSITE, "sodium-hydroxide-50", False),
        (Wall.UNKNOWN, "nitric-acid-68", False),
    ],
)
def test_drum_wall_is_checked_against_its_product(wall: Wall, key: str, *, refused: bool) -> None:
    assert wall_resistance(wall, product(key)).refused is refused


def test_wall_that_is_not_on_record_is_not_known_to_stand_up() -> None:
    assert not wall_resistance(Wall.UNKNOWN, product("toluene")).acceptable


def test_every_product_class_has_a_column() -> None:
    for found in catalogue().products:
        if found.resistance_class:
            assert any(resistance(material, found).rating is not Rating.UNKNOWN for material in materials()), found.key
