"""Whether a drum's wall suits the product named on it: a clue that the name is wrong, or that the wall is being eaten.

Charts grade liquids; a dry solid is judged by what is listed for it alone. That there is no doubt on record does not
say that a wall suits.
"""

from dataclasses import dataclass
from functools import cache

from survey.catalogue.containers import Wall
from survey.catalogue.materials import WALL_MATERIAL, resistance
from survey.catalogue.named_pairs import Side, side
from survey.catalogue.product import Form, Mark, Product
from survey.catalogue.rows import rows


@dataclass(frozen=True, slots=True)
class WallDoubt:
    """Why a wall does not suit a product."""

    because: str
    source: str
    mark: Mark


@dataclass(frozen=True, slots=True)
class _Unsuited:
    walls: frozenset[Wall]
    contents: Side
    liquids: bool
    doubt: WallDoubt


def wall_doubt(wall: Wall, product: Product) -> WallDoubt | None:
    """Say why a drum of this wall would not be used for a product.

    Parameters
    ----------
    wall : Wall
    product : Product

    Returns
    -------
    WallDoubt or None
        What is listed by name first, then the chart's grade of the wall's material. None where no doubt is on record,
        and where wall or product is not known: neither says that the wall suits.
    """
    if not product.identified:
        return None
    answered = product.as_answered
    for row in _unsuited():
        if wall in row.walls and row.contents.takes(answered) and (not row.liquids or product.form is not Form.SOLID):
            return row.doubt
    material = WALL_MATERIAL.get(wall)
    if material is None or product.form is Form.SOLID:
        return None
    grade = resistance(material, product)
    if not grade.refused:
        return None
    graded = f"{grade.material} is graded {grade.words} for products of its kind"
    return WallDoubt(graded, grade.source, grade.mark)


@cache
def _unsuited() -> tuple[_Unsuited, ...]:
    return tuple(
        _Unsuited(
            frozenset(map(Wall, row["walls"].split("|"))),
            side(row["contents"], "drum_walls.csv"),
            row["liquids"] == "yes",
            WallDoubt(row["because"], row["source"], Mark(row["mark"])),
        )
        for row in rows("drum_walls.csv")
    )
