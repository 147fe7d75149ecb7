"""A floor judged anywhere and any way round: neighbours, distances and drains are those of the floor as it stood."""

from dataclasses import fields, is_dataclass, replace
from math import cos, pi, sin
from typing import Any

import pytest
from shapely.affinity import affine_transform
from shapely.geometry.base import BaseGeometry

from reports.assessor import floor_view
from reports.facts import FloorFact
from reports.floors.view import FloorView
from reports.gather import gather
from tests.demo_sites import DAY
from tests.reports.floors.mixed_store import mixed_store

TURNS = {
    "a quarter turn": (pi / 2, False, (0.0, 0.0)),
    "mirrored": (0.0, True, (20.0, 0.0)),
    "somewhere else, askew": (0.7, False, (131.7, -48.3)),
    "askew and mirrored": (-2.1, True, (3.33, 7.77)),
}


def turned(part: Any, matrix: list[float]) -> Any:
    """Carry every shape in some facts to where a matrix puts it."""
    if isinstance(part, BaseGeometry):
        return affine_transform(part, matrix)
    if isinstance(part, tuple):
        return tuple(turned(each, matrix) for each in part)
    if is_dataclass(part) and not isinstance(part, type):
        return replace(part, **{field.name: turned(getattr(part, field.name), matrix) for field in fields(part)})
    return part


def pairs_of(view: FloorView) -> dict[tuple[str, ...], tuple[Any, ...]]:
    found = {}
    for pair in view.pairs:
        key = tuple(sorted([f"{pair.a} {pair.product_a}", f"{pair.b} {pair.product_b}"]))
        found[*key, pair.reaction] = (
            (pair.gas, pair.lethal, pair.certain, pair.meets, pair.above, set(pair.where), pair.more),
            [
                None if metres is None else pytest.approx(metres, abs=1e-4)
                for metres in (
                    None if pair.separation is None else pair.separation.metres,
                    pair.along_floor_m,
                    pair.hydraulic_m,
                )
            ],
        )
    return found


def reaches_of(view: FloorView) -> dict[tuple[str, ...], tuple[Any, ...]]:
    return {
        (reach.drain, reach.pallet, *sorted(reach.products)): (
            reach.verdict,
            pytest.approx(reach.gap.metres, abs=1e-4),
            pytest.approx(reach.litres.low, abs=1e-2),
            pytest.approx(reach.litres.high, abs=1e-2),
        )
        for drain in view.drains
        for reach in drain.reaches
    }


@pytest.mark.parametrize("turn", TURNS)
@pytest.mark.parametrize("seed", [4, 28])
def test_a_floor_turned_or_mirrored_is_judged_as_it_stood(seed: int, turn: str) -> None:
    angle, mirrored, (east, north) = TURNS[turn]
    side = -1 if mirrored else 1
    facts = gather(mixed_store(seed, 24).survey(), as_of=DAY)
    (floor,) = facts.floors
    there: FloorFact = turned(floor, [side * cos(angle), -sin(angle), side * sin(angle), cos(angle), east, north])
    here, gone = floor_view(facts, floor), floor_view(facts, there)
    assert here.pairs
    assert pairs_of(gone) == pairs_of(here)
    assert reaches_of(gone) == reaches_of(here)
