"""Packaging codes: the wall and head they stand for, read out of a whole marking, and unknown where unknown."""

import pytest

from survey.catalogue.containers import Head, Wall, container, containers

# 49 CFR 178.502 letters and numerals (read): 1 drum, 3 jerrican, 6 composite; A steel, B aluminium, H plastic, G fibre
CODES = [
    ("1A1", Wall.STEEL, Head.TIGHT),
    ("1A2", Wall.STEEL, Head.OPEN),
    ("1B1", Wall.ALUMINIUM, Head.TIGHT),
    ("1N2", Wall.OTHER_METAL, Head.OPEN),
    ("1H1", Wall.PLASTIC, Head.TIGHT),
    ("1H2", Wall.PLASTIC, Head.OPEN),
    ("1G", Wall.FIBRE, Head.OPEN),
    ("1D", Wall.PLYWOOD, Head.OPEN),
    ("3H1", Wall.PLASTIC, Head.TIGHT),
    ("6HA1", Wall.COMPOSITE, Head.TIGHT),
]


@pytest.mark.parametrize(("code", "wall", "head"), CODES)
def test_code_says_wall_and_head(code: str, wall: Wall, head: Head) -> None:
    found = container(code)
    assert (found.wall, found.head, found.known) == (wall, head, True)


@pytest.mark.parametrize("marking", ["UN 1A1/X1.4/250", "un1A1/Y1.2/100/24", " 1a1 ", "1A1T", "UN: 1A1V/X"])
def test_code_is_read_out_of_a_marking(marking: str) -> None:
    assert container(marking).code == "1A1"


@pytest.mark.parametrize("code", [None, "", "  "])
def test_no_code_is_not_recorded(code: str | None) -> None:
    found = container(code)
    assert (found.known, found.wall, found.head, found.name) == (
        False,
        Wall.UNKNOWN,
        Head.UNKNOWN,
        "container not recorded",
    )


@pytest.mark.parametrize("code", ["9Z9", "drum", "UN", "/"])
def test_unknown_code_is_kept_as_seen_and_assumes_nothing(code: str) -> None:
    found = container(code)
    assert not found.known
    assert found.code == code
    assert found.wall is Wall.UNKNOWN
    assert found.max_capacity_l is None


def test_stainless_is_said_of_steel_only() -> None:
    assert container("1A1", stainless=True).wall is Wall.STAINLESS
    assert container("1A1", stainless=True).name == "stainless steel drum, tight head"
    assert container("1H1", stainless=True).wall is Wall.PLASTIC


def test_jerricans_are_small_and_drums_are_not() -> None:
    assert {code for code, found in containers().items() if found.small} == {"3A1", "3A2", "3B1", "3B2", "3H1", "3H2"}


def test_limits_are_those_of_the_rule() -> None:
    # 49 CFR 178.504 to 178.522 (recalled): drums 450 L and 400 kg, jerricans 60 L and 120 kg, composites 250 L
    drum, can, composite = container("1A1"), container("3H1"), container("6HA1")
    for found, litres, kilograms in ((drum, 450, 400), (can, 60, 120), (composite, 250, 400)):
        assert found.max_capacity_l is not None
        assert found.max_net_kg is not None
        assert (found.max_capacity_l.value, found.max_net_kg.value) == (litres, kilograms)
