"""Fill and spill: how a volume settles over compartments that overflow into one another."""

import math
from collections.abc import Callable
from dataclasses import dataclass, field

from geometry.layout import Layout, Origin, Outlet


@dataclass(slots=True)
class Standing:
    """Compartments whose liquid stands as one sheet.

    Parameters
    ----------
    members : set of int
        The compartments.
    area_m2 : float
        Their area.
    level_m : float
        Depth of the sheet [m].
    """

    members: set[int]
    area_m2: float
    level_m: float


@dataclass(slots=True)
class Settled:
    """Where a volume has come to rest.

    Parameters
    ----------
    covered : list of Standing
        Compartments that are wet all over, with the depth in them.
    fronts : list of (Origin, float)
        Compartments that are wet in part: where the liquid came in, and how much of it lies there [m³].
    lost_m3 : float
        What left the mapped floor because everything before that way out was covered [m³].
    """

    covered: list[Standing] = field(default_factory=list)
    fronts: list[tuple[Origin, float]] = field(default_factory=list)
    lost_m3: float = 0.0


def settle(layout: Layout, source: Origin, volume_m3: float, film_m: float) -> Settled:
    """Let a volume come to rest on a level floor.

    Parameters
    ----------
    layout : Layout
        The floor as a film of this depth finds it.
    source : Origin
        Where the volume is let out.
    volume_m3 : float
        How much [m³].
    film_m : float
        Depth at which liquid rests on open floor [m]; lower than every barrier of the layout.

    Returns
    -------
    Settled
        Volumes add up to `volume_m3` but for rounding.

    Notes
    -----
    A compartment first takes a film. Once it is covered its level rises to the lowest outlet, then it spills into the
    compartment beyond; where that one stands as high, the two rise together. Several equally low outlets into
    different compartments share alike; off the map goes only what no equally low outlet into the map takes.
    """
    settled = Settled()
    sheets: dict[int, Standing] = {}
    part: dict[int, tuple[Origin, float]] = {}
    work: list[tuple[int, Origin | None, float]] = [(source.compartment, source, volume_m3)]
    while work:
        compartment, origin, volume = work.pop()
        if compartment not in sheets:
            volume = _film(layout, compartment, origin, volume, film_m, part, sheets)
        if volume > 0:
            _rise(layout, sheets, compartment, volume, film_m, work, settled)
    settled.fronts = [part[compartment] for compartment in sorted(part)]
    unique = {id(sheet): sheet for sheet in sheets.values()}
    settled.covered = sorted(unique.values(), key=lambda sheet: min(sheet.members))
    return settled


def _film(
    layout: Layout,
    compartment: int,
    origin: Origin | None,
    volume_m3: float,
    film_m: float,
    part: dict[int, tuple[Origin, float]],
    sheets: dict[int, Standing],
) -> float:
    """Lay a film; return what is left once the compartment is covered."""
    first, lying = part.pop(compartment, (origin, 0.0))
    area = layout.compartments[compartment].area
    needed = area * film_m
    if lying + volume_m3 < needed:
        if first is not None:
            part[compartment] = (first, lying + volume_m3)
        return 0.0
    sheets[compartment] = Standing({compartment}, area, film_m)
    return lying + volume_m3 - needed


def _rise(
    layout: Layout,
    sheets: dict[int, Standing],
    compartment: int,
    volume_m3: float,
    film_m: float,
    work: list[tuple[int, Origin | None, float]],
    settled: Settled,
) -> None:
    """Raise the sheet of a covered compartment to its lowest outlet and hand on what comes over."""
    while volume_m3 > 0:
        sheet = sheets[compartment]
        lowest_m, ways = _lowest(layout, sheet)
        # An outlet with no kerb lets everything over at the depth of the film.
        lip_m = max(lowest_m, film_m, sheet.level_m)
        room_m3 = math.inf if math.isinf(lowest_m) else sheet.area_m2 * (lip_m - sheet.level_m)
        if volume_m3 <= room_m3:
            sheet.level_m += volume_m3 / sheet.area_m2
            return
        volume_m3 -= room_m3
        sheet.level_m = lip_m
        inward = {way.into: way for way in reversed(ways) if way.into is not None}
        level_with = [into for into in inward if into in sheets and sheets[into].level_m >= lip_m]
        if level_with:
            _merge(sheets, sheet, sheets[level_with[0]])
            continue
        if not inward:
            settled.lost_m3 += volume_m3
            return
        share = volume_m3 / len(inward)
        work.extend((into, layout.entry(way), share) for into, way in sorted(inward.items()))
        return


def _lowest(layout: Layout, sheet: Standing) -> tuple[float, list[Outlet]]:
    ways = [way for member in sheet.members for way in layout.outlets[member] if way.into not in sheet.members]
    if not ways:
        return math.inf, []
    lowest_m = min(way.height_m for way in ways)
    return lowest_m, [way for way in ways if way.height_m <= lowest_m]


def _merge(sheets: dict[int, Standing], one: Standing, other: Standing) -> None:
    volume = one.area_m2 * one.level_m + other.area_m2 * other.level_m
    one.members |= other.members
    one.area_m2 += other.area_m2
    one.level_m = volume / one.area_m2
    for member in other.members:
        sheets[member] = one


def least_volume_m3(reached: Callable[[float], bool], most_m3: float) -> float | None:
    """Find the least volume for which something holds, given that more liquid never undoes it.

    Parameters
    ----------
    reached : callable
        Whether a volume [m³] is enough.
    most_m3 : float
        Largest volume to try [m³].

    Returns
    -------
    float or None
        Accurate to a billionth of `most_m3`; None where even the largest is not enough.
    """
    if not reached(most_m3):
        return None
    low, high = 0.0, most_m3
    while high - low > 1e-9 * most_m3:
        middle = (low + high) / 2
        if reached(middle):
            high = middle
        else:
            low = middle
    return high
