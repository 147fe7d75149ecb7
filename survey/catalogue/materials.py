"""How plugs, patches, gaskets and walls stand up to a product: published grades, unknown never acceptable.

Charts grade long immersion at room temperature; a plug works for minutes to hours, so that a fair grade may serve.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from functools import cache

from survey.catalogue.containers import Wall
from survey.catalogue.product import Mark, Product, Trait
from survey.catalogue.rows import rows


class Rating(StrEnum):
    """Grades of the published charts; poor is treated as not recommended."""

    EXCELLENT = "E"
    GOOD = "G"
    FAIR = "F"
    POOR = "P"
    NOT_RECOMMENDED = "N"
    UNKNOWN = "unknown"


_FROM_BEST = (Rating.EXCELLENT, Rating.GOOD, Rating.FAIR, Rating.POOR, Rating.NOT_RECOMMENDED, Rating.UNKNOWN)
_WORDS = {
    Rating.EXCELLENT: "excellent",
    Rating.GOOD: "good",
    Rating.FAIR: "fair",
    Rating.POOR: "poor",
    Rating.NOT_RECOMMENDED: "not recommended",
    Rating.UNKNOWN: "not known",
}

NEVER = "never"
"""Stands in place of a published grade where a trait of the product rules a material out."""

WALL_MATERIAL: Mapping[Wall, str] = {
    Wall.STEEL: "carbon steel",
    Wall.STAINLESS: "stainless steel 304",
    Wall.ALUMINIUM: "aluminium",
    Wall.PLASTIC: "HDPE",
    Wall.COMPOSITE: "HDPE",
    Wall.FIBRE: "fibreboard",
}
"""The material whose grade stands for a wall; the lesser stainless grade, because drums seldom say which."""


@dataclass(frozen=True, slots=True)
class Grade:
    """The grade acted on (the worse end of a published range) and the words of the source."""

    material: str
    rating: Rating
    as_published: str
    source: str
    mark: Mark
    note: str = ""

    @property
    def acceptable(self) -> bool:
        """Whether the material may touch the product for a short time; unknown never is."""
        return self.rating in (Rating.EXCELLENT, Rating.GOOD, Rating.FAIR)

    @property
    def refused(self) -> bool:
        """Whether a source says no, as against nothing being known."""
        return self.rating in (Rating.POOR, Rating.NOT_RECOMMENDED)

    @property
    def never(self) -> bool:
        """Whether a trait of the product rules the material out, whatever the chart says."""
        return self.as_published == NEVER

    @property
    def place(self) -> int:
        """Order of grades, best first."""
        return _FROM_BEST.index(self.rating)

    @property
    def words(self) -> str:
        return _WORDS[self.rating]


def resistance(material: str, product: Product) -> Grade:
    """Return how a material stands up to a product; unknown where either has no grade on record.

    What a product of some trait attacks whatever the chart says of its class (wood in an oxidiser) is not recommended;
    `note` says why. Methods and kit both ask here, so that they cannot differ.

    Raises
    ------
    KeyError
        If no material of that name is in the table.
    """
    graded = _table()[material]
    for bar in _bars():
        if bar.material == material and bar.traits & product.traits:
            return Grade(material, Rating.NOT_RECOMMENDED, NEVER, bar.source, bar.mark, bar.because)
    found = graded.get(product.resistance_class or "")
    if found is None:
        return Grade(material, Rating.UNKNOWN, "unknown", "no value found", Mark.RECALLED)
    return found


def wall_resistance(wall: Wall, product: Product) -> Grade:
    """Return how a drum's own wall stands up to its product; unknown for walls without a grade."""
    material = WALL_MATERIAL.get(wall)
    if material is None:
        return Grade(str(wall), Rating.UNKNOWN, "unknown", "no value found", Mark.RECALLED)
    return resistance(material, product)


def materials() -> tuple[str, ...]:
    """Return the names of all materials in the table."""
    return tuple(_table())


@dataclass(frozen=True, slots=True)
class _Bar:
    """A material never used with products of these traits, whatever the chart says of their class."""

    material: str
    traits: frozenset[Trait]
    because: str
    source: str
    mark: Mark


@cache
def _bars() -> tuple[_Bar, ...]:
    return tuple(
        _Bar(
            row["material"],
            frozenset(map(Trait, row["traits"].split("|"))),
            row["because"],
            row["source"],
            Mark(row["mark"]),
        )
        for row in rows("material_bars.csv")
    )


@cache
def _table() -> dict[str, dict[str, Grade]]:
    table: dict[str, dict[str, Grade]] = {}
    for row in rows("material_resistance.csv"):
        grade = Grade(
            row["material"], _worse_end(row["rating"]), row["rating"], row["source"], Mark(row["mark"]), row["note"]
        )
        table.setdefault(row["material"], {})[row["resistance_class"]] = grade
    return table


def _worse_end(published: str) -> Rating:
    return max((Rating(part) for part in published.split("-")), key=_FROM_BEST.index)
