"""Data files of the catalogue: every row has a source and a mark, and a fault is named."""

from pathlib import Path

import pytest

import survey.catalogue
from survey.catalogue.product import Mark
from survey.catalogue.rows import CatalogueFault, checked, rows

FILES = sorted(path.name for path in (Path(survey.catalogue.__file__).parent / "data").glob("*.csv"))


def test_there_are_data_files_to_walk() -> None:
    assert len(FILES) >= 12


@pytest.mark.parametrize("name", FILES)
def test_every_row_has_source_and_mark(name: str) -> None:
    found = list(rows(name))
    assert found
    for row in found:
        sources = [value for key, value in row.items() if key.endswith("source") and value]
        marks = [value for key, value in row.items() if key.endswith("mark") and value]
        assert sources
        assert len(sources) == len(marks)
        assert all(mark in set(Mark) for mark in marks)


@pytest.mark.parametrize("name", FILES)
def test_no_two_rows_are_the_same(name: str) -> None:
    found = [tuple(row.values()) for row in rows(name)]
    assert len(found) == len(set(found))


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("key,source,mark\na,,read\n", "row 2: source is blank"),
        ("key,source,mark\na,Perry,read\nb,Perry,seen\n", "row 3: mark must be one of"),
        ("key,source,mark\na,Perry\n", "row 2: expected 3 fields"),
        ("key,source,mark\na,Perry,read,more\n", "row 2: expected 3 fields"),
        ("key,value\na,1\n", "no column says where the row comes from"),
        ("key,limits_source,limits_mark\na,,recalled\n", "limits_source is blank"),
        ("key,source,mark,reaction_groups_source,reaction_groups_mark\na,Perry,read,,derived\n", "is blank"),
    ],
)
def test_bad_row_is_refused_by_file_row_and_field(text: str, says: str) -> None:
    with pytest.raises(CatalogueFault, match=says) as fault:
        list(checked(text, "made_up.csv"))
    assert str(fault.value).startswith("made_up.csv")


def test_fact_not_on_record_needs_no_source() -> None:
    text = "key,source,mark,reaction_groups_source,reaction_groups_mark\na,Perry,read,,\n"
    assert [row["key"] for row in checked(text, "made_up.csv")] == ["a"]
