"""The transport tables of segregation against what is published of them.

49 CFR 177.848(d): 18 rows and columns, the same both ways round, 173 cells that are not blank (the count that a public
test asserts over the official text; the grid itself is recalled). Cells in `READ` were read: in that test, in a second
public check of the official text, in paragraph (c), and in PHMSA interpretation 17-0064. IMDG Code 7.2.4, amendment
40-20: 17 rows and columns, read whole in a copy that a public test holds.
"""

import pytest

from survey.catalogue.product import Mark
from survey.catalogue.products import catalogue
from survey.catalogue.rows import rows
from survey.catalogue.segregation import at_sea, on_the_road
from survey.catalogue.segregation_tables import inhalation_zones, notes, road_cells, sea_cells, sea_distances

ROAD_CLASSES = [
    "1.1/1.2",
    "1.3",
    "1.4",
    "1.5",
    "1.6",
    "2.1",
    "2.2",
    "2.3A",
    "2.3B",
    "3",
    "4.1",
    "4.2",
    "4.3",
    "5.1",
    "5.2",
]
ROAD_CLASSES += ["6.1-I-A", "7", "8L"]
SEA_CLASSES = [
    "1.1-1.2-1.5",
    "1.3-1.6",
    "1.4",
    "2.1",
    "2.2",
    "2.3",
    "3",
    "4.1",
    "4.2",
    "4.3",
    "5.1",
    "5.2",
    "6.1",
    "6.2",
    "7",
]
SEA_CLASSES += ["8", "9"]
READ = [
    ("3", "5.1", "O"),
    ("3", "1.1/1.2", "X"),
    ("8L", "4.2", "X"),
    ("8L", "5.1", "O"),
    ("4.1", "8L", "O"),
    ("3", "6.1-I-A", "X"),
    ("7", "2.1", "O"),
    ("2.2", "1.3", ""),
    *(("6.1-I-A", other, "X") for other in ("8L", "4.1", "4.2", "4.3", "5.1", "5.2")),
]


def raw(name: str) -> dict[tuple[str, str], str]:
    """Read a square table cell by cell, as it stands in its file."""
    beside = {"class", "name", "note", "source", "mark"}
    return {(row["class"], column): code for row in rows(name) for column, code in row.items() if column not in beside}


@pytest.mark.parametrize(
    ("name", "classes"), [("segregation_road.csv", ROAD_CLASSES), ("segregation_sea.csv", SEA_CLASSES)]
)
def test_table_is_square_and_the_same_both_ways_round(name: str, classes: list[str]) -> None:
    cells = raw(name)
    assert set(cells) == {(one, other) for one in classes for other in classes}
    assert all(cells[one, other] == cells[other, one] for one, other in cells)


def test_road_table_has_as_many_cells_as_published() -> None:
    assert len(road_cells()) == 18 * 18
    assert sum(cell.code != "" for cell in road_cells().values()) == 173
    assert {cell.code for cell in road_cells().values()} == {"", "X", "O", "*"}


def test_sea_table_has_as_many_cells_as_published() -> None:
    assert len(sea_cells()) == 17 * 17
    assert {cell.code for cell in sea_cells().values()} == {"X", "1", "2", "3", "4", "*"}
    assert all(cell.code == "X" for (one, _), cell in sea_cells().items() if one == "9")


@pytest.mark.parametrize(("one", "other", "code"), READ)
def test_cells_that_were_read(one: str, other: str, code: str) -> None:
    assert road_cells()[one, other].code == road_cells()[other, one].code == code
    assert road_cells()[one, other].mark is Mark.READ


def test_every_other_road_cell_says_that_it_is_recalled() -> None:
    read = {frozenset((one, other)) for one, other, _ in READ}
    for pair, cell in road_cells().items():
        assert (cell.mark is Mark.READ) == (frozenset(pair) in read), pair


# IMDG Code 7.2.4 (read), with the terms of 7.2.2
@pytest.mark.parametrize(
    ("one", "other", "code"),
    [
        ("3", "5.1", "2"),
        ("3", "8", "X"),
        ("4.2", "8", "1"),
        ("4.3", "8", "1"),
        ("5.1", "5.2", "2"),
        ("6.2", "4.1", "3"),
    ],
)
def test_sea_cells(one: str, other: str, code: str) -> None:
    assert sea_cells()[one, other].code == sea_cells()[other, one].code == code


def test_every_code_has_its_meaning_and_every_numbered_one_a_distance() -> None:
    assert {cell.code or "blank" for cell in road_cells().values()} <= {
        note for table, note in notes() if table == "road"
    }
    assert {cell.code for cell in sea_cells().values()} <= {note for table, note in notes() if table == "sea"}
    assert [sea_distances()[code].value for code in "1234"] == [3, 6, 12, 24]


def test_zones_are_those_of_products_of_class_6_1() -> None:
    # 49 CFR 172.102, special provisions 1 and 2 (recalled): bromine is the only one of Zone A among them
    for key in inhalation_zones():
        product = catalogue().by_key[key]
        assert "6.1" in (product.hazard_class, *product.subsidiary), key
    assert [key for key, (zone, _) in inhalation_zones().items() if zone == "A"] == ["bromine"]


# Worked by hand from the tables for products as sold; each with what flips the answer.
ON_THE_ROAD = [
    (
        "toluene",
        "hydrogen-peroxide-35",
        "O",
    ),  # 3 with 5.1, which PHMSA 17-0064 holds to even where the two do not react
    ("sodium-hydrosulphite", "hydrochloric-acid-32", "X"),  # 4.2 with 8 liquid
    ("sodium-hydrosulphite", "sodium-hydroxide-solid", None),  # a corrosive solid is not in the table
    ("toluene", "bromine", "X"),  # bromine is 8 with 6.1 Zone A: the subsidiary hazard is the stricter
    ("toluene", "allyl-alcohol", ""),  # 6.1 I of Zone B, and 3 with 3
    ("sodium-cyanide-solid", "hydrochloric-acid-32", "X"),  # paragraph (c); 6.1 I solid has no row
    ("sodium-cyanide-solid", "sodium-hydroxide-50", None),  # the same without the acid
    ("hydrochloric-acid-32", "sodium-hydroxide-50", ""),  # both class 8
    ("nitric-acid-68", "acetic-acid-glacial", "O"),  # 8 (5.1) with 8 (3): by the subsidiary hazards
]


@pytest.mark.parametrize(("one", "other", "code"), ON_THE_ROAD)
def test_worked_answers_for_the_road(one: str, other: str, code: str | None) -> None:
    answer = on_the_road(catalogue().by_key[one], catalogue().by_key[other])
    assert (answer.code, answer.certain) == (code, code is not None)


@pytest.mark.parametrize(
    ("one", "other", "code"),
    [
        ("toluene", "hydrogen-peroxide-35", "2"),
        ("toluene", "acetone", "X"),
        ("sodium-hydrosulphite", "hydrochloric-acid-32", "1"),
        ("acrylonitrile", "hydrogen-peroxide-35", "2"),
    ],
)
def test_worked_answers_at_sea(one: str, other: str, code: str) -> None:
    assert at_sea(catalogue().by_key[one], catalogue().by_key[other]).code == code
