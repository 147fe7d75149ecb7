"""Which drawn lines and outlines have a meaning; the rest is malformed and refused.

A ring is written without repeating its first corner: it closes itself, so an outline that does not close shows as
too few corners, no area, or sides that cross. A doubled corner (a double tap) does no harm and is kept.
"""

from collections.abc import Sequence

import shapely
from pydantic_core import PydanticCustomError

Corner = tuple[float, float]
_FEWEST_CORNERS = 3


def closed_ring(corners: list[Corner]) -> list[Corner]:
    """Give `corners` back if they bound one area without touching or crossing themselves.

    Raises
    ------
    PydanticCustomError
        With what was expected and found, and the corner at fault where there is one.
    """
    if len(corners) > 1 and corners[0] == corners[-1]:
        raise _refusal(
            "an outline that closes itself, its first corner not repeated at the end",
            f"the first corner {_spelled(corners[0])} again",
            at=len(corners) - 1,
        )
    if len(set(corners)) < _FEWEST_CORNERS:
        raise _refusal(f"at least {_FEWEST_CORNERS} different corners", f"{len(set(corners))}")
    polygon = shapely.Polygon(corners)
    if polygon.area == 0 and _in_one_line(corners):
        raise _refusal("an outline that encloses an area", "corners that all lie in one line")
    if not polygon.is_valid:
        raise _refusal(
            "an outline that does not cross or touch itself",
            f"{shapely.is_valid_reason(polygon).lower()} (x y, metres)",
        )
    return corners


def closed_ring_or_none(corners: list[Corner]) -> list[Corner]:
    """Give `corners` back if there are none or they form a closed ring."""
    return closed_ring(corners) if corners else corners


def extended_line(points: list[Corner]) -> list[Corner]:
    """Give `points` back unless they are several and all the same, which is neither a point nor a line."""
    if len(points) > 1 and len(set(points)) == 1:
        raise _refusal("a line between different points", f"{len(points)} times {_spelled(points[0])}", at=1)
    return points


def _in_one_line(corners: Sequence[Corner]) -> bool:
    return shapely.MultiPoint(corners).convex_hull.geom_type != "Polygon"


def _spelled(corner: Corner) -> str:
    return f"({corner[0]:g}, {corner[1]:g})"


def _refusal(expected: str, found: str, *, at: int | None = None) -> PydanticCustomError:
    context: dict[str, str | int] = {"expected": expected, "found": found}
    if at is not None:
        context["at"] = at
    return PydanticCustomError("shape", "expected {expected}, found {found}", context)
