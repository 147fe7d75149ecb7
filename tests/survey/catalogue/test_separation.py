"""Separation limits as published, in metres and in the feet and inches of their sources."""

import pytest

from survey.catalogue.product import Mark
from survey.catalogue.products import UNIDENTIFIED, catalogue
from survey.catalogue.separation import (
    AMMONIUM_NITRATE,
    PARTITION_RISE,
    SEPARATION,
    asks_nitrate_distance,
    separation_rules,
    separation_ways,
)

FOOT_M = 0.3048


def test_separation_is_twenty_feet() -> None:
    assert SEPARATION.unit == "m"
    assert pytest.approx(20 * FOOT_M, abs=0.01) == SEPARATION.value


def test_partition_rises_eighteen_inches() -> None:
    assert PARTITION_RISE.unit == "mm"
    assert pytest.approx(18 * 25.4, abs=1) == PARTITION_RISE.value


def test_ammonium_nitrate_is_kept_thirty_feet_away() -> None:
    assert pytest.approx(30 * FOOT_M, abs=0.05) == AMMONIUM_NITRATE.value


def test_every_limit_says_what_it_asks_for() -> None:
    for meaning, limit in separation_rules().values():
        assert meaning
        assert limit.value > 0


# IFC 5003.9.8 and NFPA 400 6.1.12 (distance and partition read in copies, the rest recalled); 40 CFR 264.177(c) (read)
@pytest.mark.parametrize(
    ("way", "words", "mark"),
    [
        ("apart", "6.1 m (20 ft)", Mark.READ),
        ("partition", "457 mm (18 in)", Mark.READ),
        ("cabinet", "never both in one", Mark.RECALLED),
        ("trigger", "2 L (0.5 gal) or 2 kg (5 lb)", Mark.RECALLED),
        ("waste", "dike, berm, wall or other device; no distance is given", Mark.READ),
        ("ammonium nitrate", "9.1 m (30 ft)", Mark.READ),
    ],
)
def test_ways_are_worded_with_their_limits(way: str, words: str, mark: Mark) -> None:
    assert words in separation_ways()[way].says
    assert separation_ways()[way].mark is mark


@pytest.mark.parametrize(
    ("key", "kept"),
    [
        ("toluene", True),
        ("hydrochloric-acid-32", True),
        ("zinc-dust", True),
        ("hydraulic-oil", True),
        ("sodium-hydroxide-50", False),
        ("ammonium-nitrate", False),
        ("potassium-nitrate", False),
    ],
)
def test_what_ammonium_nitrate_is_kept_from(key: str, *, kept: bool) -> None:
    nitrate, other = catalogue().by_key["ammonium-nitrate"], catalogue().by_key[key]
    assert asks_nitrate_distance(nitrate, other) is asks_nitrate_distance(other, nitrate) is kept


def test_what_nobody_identified_may_be_one_of_them() -> None:
    assert asks_nitrate_distance(catalogue().by_key["ammonium-nitrate"], UNIDENTIFIED)
    assert not asks_nitrate_distance(catalogue().by_key["potassium-nitrate"], catalogue().by_key["toluene"])
