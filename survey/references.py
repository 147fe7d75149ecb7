"""Which fields name another entry, which noun they name, and what becomes of them when that entry goes."""

from collections.abc import Mapping
from dataclasses import dataclass

import sqlalchemy as sa
from sqlmodel import SQLModel

from survey.nouns import NOUNS, Noun


@dataclass(frozen=True, slots=True)
class Reference:
    """One field that holds the id of an entry of another noun, or of the same."""

    field: str
    target: str
    """Plural of the noun it names."""
    goes_with_it: bool
    """Whether its entry goes when the named one goes; otherwise the field is emptied."""


def table_of_class(mapped: type[SQLModel]) -> sa.Table:
    """Give the database table of a table class."""
    table = sa.inspect(mapped, raiseerr=True).local_table
    if not isinstance(table, sa.Table):
        raise TypeError(f"{mapped.__name__} is not mapped to a table")
    return table


def table_of(noun: Noun) -> sa.Table:
    """Give the database table of a noun."""
    return table_of_class(noun.table)


_PLURAL_OF_TABLE = {table_of(noun).name: noun.plural for noun in NOUNS}


def _references_of(noun: Noun) -> tuple[Reference, ...]:
    keys = sorted(table_of(noun).foreign_keys, key=lambda key: key.parent.name)
    return tuple(
        Reference(key.parent.name, _PLURAL_OF_TABLE[key.column.table.name], key.ondelete == "CASCADE") for key in keys
    )


REFERENCES: Mapping[str, tuple[Reference, ...]] = {noun.plural: _references_of(noun) for noun in NOUNS}
"""By plural: every field of that noun that names an entry."""

CHAINS: Mapping[str, str] = {
    noun.plural: reference.field
    for noun in NOUNS
    for reference in REFERENCES[noun.plural]
    if reference.target == noun.plural
}
"""By plural: the field that names an entry of the same noun, and so could run in a circle."""
