"""Methods for technicians: tables that say the same for several products are set once, with the materials of each."""

from collections import Counter
from collections.abc import Iterator, Sequence

from reports.preplan.plan import MethodSheet, MethodText
from reports.preplan.words import basis, capital, drum_names, sentence
from reports.response.advice import MethodRow, MethodTable
from reports.wording import listed

_Key = tuple[object, ...]


def method_sheets(tables: Sequence[MethodTable], stopped: set[str]) -> tuple[MethodSheet, ...]:
    """Word the method tables of one storage zone.

    Parameters
    ----------
    tables
        By product and wall.
    stopped
        Drums with a STOP line. They are left out whatever a table says: a drum has a STOP line or a method.
    """
    groups: dict[_Key, list[MethodTable]] = {}
    for table in tables:
        if table.rows and any(drum not in stopped for drum in table.drums):
            groups.setdefault(_says(table), []).append(table)
    return tuple(_sheet(group, stopped) for group in groups.values())


def common_cautions(tables: Sequence[MethodTable]) -> tuple[str, ...]:
    """Give the sentences that every table's caution holds, in their order."""
    if not tables:
        return ()
    return tuple(
        each for each in _sentences(tables[0].caution) if all(each in _sentences(table.caution) for table in tables)
    )


def _sentences(text: str) -> list[str]:
    return [sentence(part) for part in text.replace(".\n", ". ").split(". ") if part.strip()]


def _says(table: MethodTable) -> _Key:
    return (table.wall, table.caution, tuple(_row_says(row) for row in table.rows))


def _row_says(row: MethodRow) -> _Key:
    return (row.cite, row.breach, row.first_move, row.method, row.not_here, row.who, row.present)


def _sheet(tables: Sequence[MethodTable], stopped: set[str]) -> MethodSheet:
    first = tables[0]
    times = Counter(step for row in first.rows for step in row.not_here)
    never = [step for step, count in times.items() if count > 1]
    move, count = Counter(row.first_move for row in first.rows).most_common(1)[0]
    usual = move if count > 1 else ""
    return MethodSheet(
        title=f"{listed([table.product for table in tables])} in {first.wall}",
        drums=drum_names([drum for table in tables for drum in table.drums if drum not in stopped]),
        cautions=tuple(_sentences(first.caution)),
        never=tuple(sentence(step) for step in never),
        first_move=sentence(usual),
        rows=tuple(_rows(tables, never, usual)),
    )


def _rows(tables: Sequence[MethodTable], never: Sequence[str], usual: str) -> Iterator[MethodText]:
    for place, row in enumerate(tables[0].rows):
        products: dict[tuple[str, ...], list[str]] = {}
        for table in tables:
            products.setdefault(table.rows[place].materials, []).append(table.product)
        yield MethodText(
            breach=capital(row.breach),
            present=row.present,
            first_move="" if row.first_move == usual else sentence(row.first_move),
            method=sentence(row.method),
            materials=tuple(_materials(products)),
            not_here=tuple(sentence(step) for step in row.not_here if step not in never),
            who=row.who.value,
            basis=basis(row.cite),
        )


def _materials(products: dict[tuple[str, ...], list[str]]) -> Iterator[str]:
    for materials, names in products.items():
        if materials:
            graded = "; ".join(_by_grade(materials))
            yield graded if len(products) == 1 else f"{listed(names)}: {graded}"


def _by_grade(materials: Sequence[str]) -> Iterator[str]:
    """Gather materials of one grade: *good: EPDM pad and butyl pad*."""
    grades: dict[str, list[str]] = {}
    for material in materials:
        name, _, grade = material.partition(": ")
        grades.setdefault(grade, []).append(name)
    for grade, names in grades.items():
        yield f"{grade}: {listed(names)}" if grade else listed(names)
