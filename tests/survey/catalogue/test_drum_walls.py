"""Whether a drum's wall suits its product: charts of metals and plastics, and what is listed by name.

Nitric acid never in carbon steel, alkali and chlorinated solvents not in aluminium (EPA-600/2-80-076 pairs and a
university guide, read), chlorosilanes not in plain plastic (49 CFR 173.206, read), hypochlorite not in stainless steel
(a public note of the trade, read); the rest is ordinary safety-sheet knowledge (recalled).
"""

from dataclasses import replace

import pytest

from survey.catalogue.containers import Wall
from survey.catalogue.drum_walls import wall_doubt
from survey.catalogue.materials import WALL_MATERIAL, resistance
from survey.catalogue.product import Form, Trait
from survey.catalogue.products import UNIDENTIFIED, catalogue

# wall and product that do not go together, and the same wall or product in a pair that nothing is listed of
UNSUITED = [
    (Wall.STEEL, "nitric-acid-68", Wall.STAINLESS, "nitric-acid-68"),
    (Wall.STEEL, "hydrochloric-acid-32", Wall.PLASTIC, "hydrochloric-acid-32"),
    (Wall.STEEL, "hydrofluoric-acid", Wall.COMPOSITE, "hydrofluoric-acid"),
    (Wall.STAINLESS, "hydrofluoric-acid", Wall.STAINLESS, "toluene"),
    (Wall.STEEL, "sodium-hypochlorite-12-5", Wall.PLASTIC, "sodium-hypochlorite-12-5"),
    (Wall.STAINLESS, "sodium-hypochlorite-12-5", Wall.STAINLESS, "sodium-hydroxide-50"),
    (Wall.STEEL, "hydrogen-peroxide-35", Wall.PLASTIC, "hydrogen-peroxide-35"),
    (Wall.ALUMINIUM, "sodium-hydroxide-50", Wall.STEEL, "sodium-hydroxide-50"),
    (Wall.ALUMINIUM, "dichloromethane", Wall.STEEL, "dichloromethane"),
    (Wall.PLASTIC, "dichloromethane", Wall.STAINLESS, "dichloromethane"),
    (Wall.PLASTIC, "silicon-tetrachloride", Wall.COMPOSITE, "silicon-tetrachloride"),
    (Wall.STEEL, "bromine", Wall.STEEL, "toluene"),
    (Wall.FIBRE, "toluene", Wall.FIBRE, "sodium-hydroxide-solid"),
]


@pytest.mark.parametrize(("wall", "key", "twin_wall", "twin"), UNSUITED)
def test_wall_that_does_not_suit_and_its_near_miss(wall: Wall, key: str, twin_wall: Wall, twin: str) -> None:
    doubt = wall_doubt(wall, catalogue().by_key[key])
    assert doubt is not None
    assert doubt.because
    assert doubt.source
    assert wall_doubt(twin_wall, catalogue().by_key[twin]) is None


def test_every_liquid_that_the_chart_refuses_is_doubted() -> None:
    for product in catalogue().products:
        for wall, material in WALL_MATERIAL.items():
            if resistance(material, product).refused and product.form is not Form.SOLID:
                assert wall_doubt(wall, product) is not None, (wall, product.key)


def test_dry_solid_is_not_judged_by_the_grade_of_its_solution() -> None:
    solid = catalogue().by_key["sodium-hydrogen-sulphate"]
    assert wall_doubt(Wall.STEEL, solid) is None
    assert wall_doubt(Wall.STEEL, replace(solid, form=Form.LIQUID)) is not None
    assert wall_doubt(Wall.STEEL, replace(solid, form=Form.UNKNOWN)) is not None


def test_alkali_eats_aluminium_dry_or_not() -> None:
    assert wall_doubt(Wall.ALUMINIUM, catalogue().by_key["sodium-hydroxide-solid"]) is not None


def test_what_is_not_known_raises_no_doubt_of_this_kind() -> None:
    assert all(wall_doubt(wall, UNIDENTIFIED) is None for wall in Wall)
    assert all(wall_doubt(Wall.UNKNOWN, product) is None for product in catalogue().products)


def test_open_answer_of_a_safety_data_sheet_is_not_held_against_the_wall() -> None:
    toluene = catalogue().by_key["toluene"]
    presumed = replace(toluene, traits=frozenset({Trait.HYPOCHLORITE}), presumed=frozenset({Trait.HYPOCHLORITE}))
    assert wall_doubt(Wall.STAINLESS, presumed) is None
    answered = replace(presumed, presumed=frozenset())
    assert wall_doubt(Wall.STAINLESS, answered) is not None
