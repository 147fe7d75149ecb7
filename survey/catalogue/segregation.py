"""What the transport tables of segregation say of two products: on the road, and at sea.

They govern transport and storage on the way, not a warehouse, and every answer says so. A blank cell is *no listed
restriction for transport*, never a permission; a product that a table does not hold gets no answer, and why is said.
"""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from types import MappingProxyType

from survey.catalogue.product import Form, Mark, Product, Trait
from survey.catalogue.segregation_tables import (
    Cell,
    inhalation_zones,
    notes,
    road_cells,
    road_names,
    sea_cells,
    sea_distances,
)

ROAD, SEA = "road", "sea"
_TITLES: Mapping[str, str] = MappingProxyType({ROAD: "49 CFR 177.848", SEA: "IMDG Code 7.2.4"})
_FROM_MILDEST: Mapping[str, tuple[str, ...]] = MappingProxyType(
    {ROAD: ("", "O", "*", "X"), SEA: ("X", "1", "2", "3", "4", "*")}
)
"""Codes of each table; the first of each asks for nothing."""
_LIMITS: Mapping[str, str] = MappingProxyType(
    {ROAD: "for transport, not a warehouse", SEA: "for ships, not a warehouse"}
)
_IN_BRIEF: Mapping[str, str] = MappingProxyType({"X": "not together", "O": "not together unless leaks could not mix"})
"""Demands of the road table in fewer words than its text has."""
_ZONE_A = "6.1-I-A"
_LIQUID_8 = "8L"
_EXPLOSIVES_AT_SEA = MappingProxyType(
    {"1.1": "1.1-1.2-1.5", "1.2": "1.1-1.2-1.5", "1.5": "1.1-1.2-1.5", "1.3": "1.3-1.6", "1.6": "1.3-1.6"}
)
_WORDED = MappingProxyType(
    {
        _ZONE_A: "6.1 (packing group I, Zone A)",
        _LIQUID_8: "8 (liquid)",
        "2.3A": "2.3 (Zone A)",
        "2.3B": "2.3 (Zone B)",
    }
)


@dataclass(frozen=True, slots=True)
class Segregation:
    """What one table says of two products.

    `code` is its strictest cell for the two, empty where that is blank, None where the table does not hold one of
    them. `certain` is False where a class, a form or an inhalation zone is not on record: the worst then counts.
    """

    table: str
    code: str | None
    certain: bool
    between: str
    says: str
    source: str
    mark: Mark

    @property
    def demands(self) -> bool:
        """Whether the table asks for anything; False is no permission."""
        return self.code is not None and self.code != _FROM_MILDEST[self.table][0]

    @property
    def brief(self) -> str:
        """The demand in a few words, with its use limit; only where there is one."""
        asked = _IN_BRIEF.get(self.code or "") or notes()[self.table, self.code or "blank"].says
        doubt = "" if self.certain else "it cannot be excluded: "
        return f"{_TITLES[self.table]} ({_LIMITS[self.table]}): {doubt}{self.between}, {asked}"

    @property
    def scope(self) -> str:
        """What the table governs."""
        return notes()[self.table, "scope"].says

    @property
    def words(self) -> str:
        """The answer with its use limit."""
        return f"{_TITLES[self.table]}: {self.says}. {self.scope}."


@dataclass(frozen=True, slots=True)
class _Rows:
    """The rows of a table that a product is in, those it may be in, and why some of its hazards are in none."""

    sure: frozenset[str]
    possible: frozenset[str]
    left_out: tuple[str, ...]

    @property
    def every(self) -> frozenset[str]:
        return self.sure | self.possible


def on_the_road(a: Product, b: Product) -> Segregation:
    """Say what 49 CFR 177.848 asks for.

    Parameters
    ----------
    a, b : Product
        In either order.

    Returns
    -------
    Segregation
        By the stricter of all hazards of the two, subsidiary ones too, and by paragraph (c).
    """
    by_class = _answer(ROAD, road_cells(), (_road_rows(a), _road_rows(b)), _road_asks)
    sure = _cyanide_and_acid(a, b, lambda product, trait: trait in product.known_traits)
    if not sure and (by_class.code == "X" or not _cyanide_and_acid(a, b, _may_be)):
        return by_class
    note = notes()[ROAD, "cyanide and acid"]
    says = note.says if sure else f"cannot be excluded: {note.says}"
    return Segregation(
        ROAD, "X", certain=sure, between="a cyanide with an acid", says=says, source=note.source, mark=note.mark
    )


def _cyanide_and_acid(a: Product, b: Product, asked: Callable[[Product, Trait], bool]) -> bool:
    return any(asked(one, Trait.CYANIDE) and asked(other, Trait.ACID) for one, other in ((a, b), (b, a)))


def _may_be(product: Product, trait: Trait) -> bool:
    """Whether a product has a trait, or nobody has said that it has not."""
    return trait in product.traits or not product.identified


def at_sea(a: Product, b: Product) -> Segregation:
    """Say what the segregation table of the IMDG Code asks for.

    Parameters
    ----------
    a, b : Product
        In either order.

    Returns
    -------
    Segregation
        By the stricter of all hazards of the two. What the entry of a product asks for is not held.
    """
    return _answer(SEA, sea_cells(), (_sea_rows(a), _sea_rows(b)), _sea_asks)


def _answer(
    table: str,
    cells: Mapping[tuple[str, str], Cell],
    sides: tuple[_Rows, _Rows],
    asks: Callable[[str, str, str], str],
) -> Segregation:
    one, other = sides
    left_out = tuple(dict.fromkeys(sorted((*one.left_out, *other.left_out))))
    worst = _strictest(table, cells, one.every, other.every)
    if worst is None:
        note = notes()[table, "scope"]
        return Segregation(
            table, None, certain=False, between="", says="; ".join(left_out), source=note.source, mark=note.mark
        )
    sure = _strictest(table, cells, one.sure, other.sure)
    certain = sure is not None and cells[sure].code == cells[worst].code
    chosen = sure if certain and sure else worst
    cell = cells[chosen]
    between = f"class {_worded(chosen[0])} with class {_worded(chosen[1])}"
    said = f"{between}, {asks(*chosen, cell.code)}"
    if cell.code == _FROM_MILDEST[table][0]:
        said = "; ".join((said, *left_out))
    if not certain:
        said = f"cannot be excluded: {said}"
    return Segregation(
        table, cell.code, certain=certain, between=between, says=said, source=cell.source, mark=cell.mark
    )


def _strictest(
    table: str, cells: Mapping[tuple[str, str], Cell], one: Iterable[str], other: Iterable[str]
) -> tuple[str, str] | None:
    """Find the strictest cell of two sets of rows; of equal ones a cell that was read comes first."""
    order = _FROM_MILDEST[table]

    def strictness(pair: tuple[str, str]) -> tuple[int, bool, tuple[str, str]]:
        return order.index(cells[pair].code), cells[pair].mark is Mark.READ, pair

    pairs = [(min(x, y), max(x, y)) for x in one for y in other]
    return max(pairs, key=strictness, default=None)


def _road_rows(product: Product) -> _Rows:
    if not product.identified:
        return _Rows(frozenset(), frozenset(road_names()), ())
    if product.hazard_class is None:
        return _Rows(frozenset(), frozenset(), (_no_class(product),))
    sure, possible, left_out = set(), set(), []
    for hazard in (product.hazard_class, *product.subsidiary):
        if hazard in road_names():
            sure.add(hazard)
        elif hazard in ("1.1", "1.2"):
            sure.add("1.1/1.2")
        elif hazard == "2.3":
            possible |= {"2.3A", "2.3B"}
        elif hazard == "8" and product.form is not Form.SOLID:
            (sure if product.form is Form.LIQUID else possible).add(_LIQUID_8)
        elif hazard == "6.1" and _may_be_zone_a(product):
            (sure if inhalation_zones().get(product.key, ("",))[0] == "A" else possible).add(_ZONE_A)
        else:
            left_out.append(notes()[ROAD, {"8": "8 solid", "6.1": "6.1"}.get(hazard, "9")].says)
    return _Rows(frozenset(sure), frozenset(possible - sure), tuple(left_out))


def _may_be_zone_a(product: Product) -> bool:
    """Whether a product of class 6.1 is in Zone A, or nobody put on record that it is not."""
    known = inhalation_zones().get(product.key)
    if known is not None:
        return known[0] == "A"
    return product.form is not Form.SOLID and product.packing_group in (None, "I")


def _no_class(product: Product) -> str:
    return f"no hazard class of {product.name} is on record, so that the table cannot be asked"


def _sea_rows(product: Product) -> _Rows:
    if not product.identified:
        return _Rows(frozenset(), frozenset(one for one, _ in sea_cells()), ())
    if product.hazard_class is None:
        return _Rows(frozenset(), frozenset(), (_no_class(product),))
    hazards = {_EXPLOSIVES_AT_SEA.get(hazard, hazard) for hazard in (product.hazard_class, *product.subsidiary)}
    return _Rows(frozenset(hazards), frozenset(), ())


def _road_asks(one: str, other: str, code: str) -> str:
    said = notes()[ROAD, code or "blank"].says
    if _LIQUID_8 in (one, other) and code == "O" and ({one, other} - {_LIQUID_8}).pop()[0] in "45":
        said += f"; {notes()[ROAD, 'corrosive beside 4 or 5'].says}"
    if one == other == _LIQUID_8:
        said += f"; {notes()[ROAD, 'one class 8'].says}"
    return said


def _sea_asks(_one: str, _other: str, code: str) -> str:
    said = notes()[SEA, code].says
    if code in sea_distances():
        said += f" (on deck at least {sea_distances()[code].value:g} m, verify)"
    return f"{said}; {notes()[SEA, 'entry first'].says}"


def _worded(row: str) -> str:
    return _WORDED.get(row, row)
