"""What the entries of one survey owe each other: ids used once, references that lead somewhere, no circles."""

from collections.abc import Iterable, Mapping
from uuid import UUID

from survey.faults import Fault
from survey.nouns import Noun
from survey.references import CHAINS, REFERENCES
from survey.tables.entry import Entry

Located = tuple[str, Noun, Entry]
"""An entry with its path in the document."""


def contradictions(located: Iterable[Located]) -> list[Fault]:
    """Find ids used twice, references to nothing or to another noun, and chains that run in a circle."""
    rows = list(located)
    first: dict[UUID, Located] = {}
    faults: list[Fault] = []
    for path, noun, entry in rows:
        if entry.id in first:
            faults.append(Fault(f"{path}.id", "an id used once", f"{entry.id}, also the id of {first[entry.id][0]}"))
        else:
            first[entry.id] = (path, noun, entry)
    for row in rows:
        faults.extend(_loose_ends(row, first))
    # A circle can only be told where every reference leads somewhere.
    return faults or _circles(rows)


def _loose_ends(row: Located, by_id: Mapping[UUID, Located]) -> Iterable[Fault]:
    path, noun, entry = row
    for reference in REFERENCES[noun.plural]:
        named: UUID | None = getattr(entry, reference.field)
        if named is None:
            continue
        expected = f"the id of one of {reference.target}"
        if named not in by_id:
            yield Fault(f"{path}.{reference.field}", expected, f"{named}, which is not in this survey")
        elif by_id[named][1].plural != reference.target:
            yield Fault(f"{path}.{reference.field}", expected, f"{named}, the id of {by_id[named][0]}")


def _circles(rows: list[Located]) -> list[Fault]:
    faults = []
    for plural, field in CHAINS.items():
        paths = {entry.id: path for path, noun, entry in rows if noun.plural == plural}
        following: dict[UUID, UUID | None] = {
            entry.id: getattr(entry, field) for _, noun, entry in rows if noun.plural == plural
        }
        settled: set[UUID] = set()
        for start in following:
            trail: list[UUID] = []
            here: UUID | None = start
            while here is not None and here not in settled and here not in trail:
                trail.append(here)
                here = following[here]
            if here in trail:
                circle = " → ".join(paths[step] for step in [*trail[trail.index(here) :], here])
                faults.append(Fault(f"{paths[here]}.{field}", "a chain that ends", f"a circle {circle}"))
            settled.update(trail)
    return faults
