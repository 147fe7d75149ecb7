"""The registry of nouns, the tables and the references agree."""

from enum import StrEnum
from typing import get_args

import pytest
import sqlalchemy as sa

from survey.nouns import BY_PLURAL, NOUNS, Noun
from survey.references import CHAINS, REFERENCES, table_of

PLURALS = [noun.plural for noun in NOUNS]
each_noun = pytest.mark.parametrize("noun", NOUNS, ids=PLURALS)


@each_noun
def test_table_has_the_fields_and_a_revision(noun: Noun) -> None:
    assert {column.name for column in table_of(noun).columns} == {*noun.fields.model_fields, "revision"}


@each_noun
def test_parents_are_written_before_children_and_take_them_along(noun: Noun) -> None:
    references = {reference.field: reference for reference in REFERENCES[noun.plural]}
    for reference in references.values():
        chain = CHAINS.get(noun.plural) == reference.field
        assert chain or PLURALS.index(reference.target) < PLURALS.index(noun.plural)
    if noun.parent is None:
        assert noun.plural == "sites"
    else:
        assert references[noun.parent].goes_with_it
        assert not table_of(noun).c[noun.parent].nullable


@each_noun
def test_every_reference_is_indexed_and_emptied_only_where_it_may_be(noun: Noun) -> None:
    for reference in REFERENCES[noun.plural]:
        column = table_of(noun).c[reference.field]
        assert column.index
        assert reference.goes_with_it or column.nullable


@each_noun
def test_words_are_stored_as_text_that_outlives_a_downgrade(noun: Noun) -> None:
    words = [
        name
        for name, field in noun.fields.model_fields.items()
        for kind in (field.annotation, *get_args(field.annotation))
        if isinstance(kind, type) and issubclass(kind, StrEnum)
    ]
    assert "source" in words
    for name in words:
        column_type = table_of(noun).c[name].type
        if isinstance(column_type, sa.JSON):
            continue
        assert isinstance(column_type, sa.Enum), name
        assert (column_type.native_enum, column_type.length) == (False, 60)
        assert all(len(word) <= 60 for word in column_type.enums)


@each_noun
def test_entries_carry_their_age_and_source(noun: Noun) -> None:
    required = {name for name, field in noun.fields.model_fields.items() if field.is_required()}
    assert {"recorded_at", "recorded_by", "source"} <= required


def test_chains_are_those_of_readings_and_pallets() -> None:
    assert CHAINS == {"readings": "replaces_id", "pallets": "stands_on_id"}


def test_plurals_are_unique() -> None:
    assert len(BY_PLURAL) == len(NOUNS)
