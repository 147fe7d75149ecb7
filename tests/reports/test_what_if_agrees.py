"""What-if answers held against the assessment of the demo sites: two engines, one by shapes and one by cells.

Two implications hold. What a run comes to, at either end of its range, may be reached: the assessment asks for less,
the thin film within the tolerance of both positions. And what the whole content of a drum surely reaches, a run of all
of it comes to at both ends, where no other drain takes it on the way and none leaves the map. The other ways round do
not: what may be reached needs only one doubtful wall to be as nobody hopes, and a run ends with its time. No run is
sooner at a drain than the laws of the first-hour clock allow.
"""

from collections import defaultdict
from collections.abc import Iterator, Mapping
from dataclasses import replace
from functools import cache
from math import inf
from typing import Any

import pytest

from reports.assessment import Verdict
from reports.assessment.what_if import HoleKind, HolePlace, RunEnd, WhatIf, WhatIfAnswer
from reports.assessor import floor_view
from reports.facts import DrumFact, PalletFact
from reports.floors.one_drum import drum_alone
from reports.floors.view import FloorView
from reports.what_if import what_if
from reports.what_if_leak import asked_leak
from tests.demo_sites import demo_facts, demo_floor

Stand = tuple[PalletFact, DrumFact]

CELL_M = 0.2
LONG_MIN = 600
"""By then every sudden loss on the demo sites has come to rest, or is within a cell of where it rests."""
SOME = 12
"""Drums of a site that the slow tests ask of."""
REACHED = (Verdict.REACHES, Verdict.MAY_REACH)
HOLES: tuple[dict[str, Any], ...] = ({}, {"hole": HoleKind.SLOT, "size_mm": 10, "length_mm": 100})
"""Everything at once, and the slot of a forklift's tine."""


@cache
def view_of(letter: str) -> FloorView:
    facts = demo_facts(letter)
    return floor_view(facts, facts.floors[0])


def stands(letter: str, number: int) -> tuple[Stand, ...]:
    """Give drums that differ by place, content or product, spread over the floor."""
    found: dict[tuple[float, float, float, str], Stand] = {}
    for pallet in view_of(letter).floor.pallets:
        for drum in pallet.drums:
            if drum.fill_l > 0:
                found.setdefault((drum.at.x, drum.at.y, drum.fill_l, drum.product.key), (pallet, drum))
    every = tuple(found.values())
    return every[:: max(len(every) // number, 1)][:number]


def asked(drum: DrumFact, **changes: Any) -> WhatIf:
    everything = WhatIf(
        drum_id=drum.id,
        hole=HoleKind.ALL_AT_ONCE,
        size_mm=None,
        length_mm=None,
        place=HolePlace.WALL,
        along_mm=0,
        clock_deg=180,
        orientation=None,
        closed=False,
        at=None,
        dams=(),
        covered_drains=(),
        shut_doors=(),
        until_min=10,
    )
    return replace(everything, **changes)


def answered(letter: str, drum: DrumFact, **changes: Any) -> WhatIfAnswer:
    return what_if(demo_facts(letter), asked(drum, **changes), cell_m=CELL_M)


def ends(answer: WhatIfAnswer) -> Iterator[tuple[str, RunEnd]]:
    yield "far", answer.far
    yield "near", answer.near


def verdicts(letter: str, pallet: PalletFact, drum: DrumFact) -> dict[str, Verdict]:
    """Give what the assessment says of the drum's lot, by drain and sump; over the floor or by a sump."""
    found: dict[str, list[Verdict]] = defaultdict(list)
    for arrival in view_of(letter).drain_arrivals:
        if arrival.lot.pallet.id == pallet.id and arrival.lot.product.key == drum.product.key:
            found[arrival.target].append(arrival.verdict)
    return {target: min(each, key=list(Verdict).index) for target, each in found.items()}


def come_to(letter: str, end: RunEnd) -> Iterator[str]:
    """Name what a run comes to."""
    for drain in end.drains:
        if drain.first_min is not None:
            yield f"drain {drain.name}"
    for sump in view_of(letter).floor.sumps:
        if end.wet[-1].shape.intersects(sump.at):
            yield f"sump {sump.name}"
    for door in end.doors:
        if door.first_min is not None:
            yield f"door {door.name}"


def contradictions(letter: str, several: tuple[Stand, ...], until_min: float) -> list[str]:
    """Name what a run comes to that is said not to be reached, and drains it comes to before their early end."""
    times = demo_floor(letter).drain_times
    wrong = []
    for pallet, drum in several:
        said = {target for target, verdict in verdicts(letter, pallet, drum).items() if verdict in REACHED}
        said |= {time.target for time in times if (time.pallet, time.product) == (pallet.name, drum.product.name)}
        for hole in HOLES:
            soonest = soonest_min(letter, pallet, drum, hole)
            for name, end in ends(answered(letter, drum, until_min=until_min, **hole)):
                where = f"{drum.name} {hole} {name}"
                wrong += [f"{where}: {target} not said" for target in come_to(letter, end) if target not in said]
                wrong += [
                    f"{where}: drain {drain.name} after {drain.first_min} min"
                    for drain in end.drains
                    if drain.first_min is not None and drain.first_min < soonest.get(f"drain {drain.name}", inf)
                ]
    return wrong


def soonest_min(letter: str, pallet: PalletFact, drum: DrumFact, hole: dict[str, Any]) -> Mapping[str, float]:
    """Give how soon the laws of the clock allow the leak at each drain and door."""
    view = view_of(letter)
    run_out = asked_leak(drum, asked(drum, **hole)).far
    return drum_alone(demo_facts(letter), view.spills, pallet, drum, drum.at, run_out).soonest_min


def surely_reached_and_dry(letter: str, several: tuple[Stand, ...]) -> list[str]:
    wrong = []
    for pallet, drum in several:
        for arrival in view_of(letter).drain_arrivals:
            if arrival.lot.pallet.id != pallet.id or not arrival.target.startswith("drain "):
                continue
            if not any(each.id == drum.id and to.verdict is Verdict.REACHES for each, to in arrival.arrivals):
                continue
            drains = view_of(letter).floor.drains
            covered = tuple(drain.id for drain in drains if f"drain {drain.name}" != arrival.target)
            answer = answered(letter, drum, covered_drains=covered, until_min=LONG_MIN)
            wrong += [
                f"{drum.name} {name}: {arrival.target}"
                for name, end in ends(answer)
                if end.off_map_l < 1 and arrival.target not in come_to(letter, end)
            ]
    return wrong


@pytest.mark.parametrize("letter", ["A", "C"])
def test_what_a_run_comes_to_is_never_said_not_to_be_reached_nor_not_so_soon(letter: str) -> None:
    assert contradictions(letter, stands(letter, 2), until_min=3) == []


def test_a_run_of_everything_comes_to_what_is_surely_reached() -> None:
    assert surely_reached_and_dry("A", stands("A", 3)) == []


@pytest.mark.slow
@pytest.mark.parametrize("letter", ["A", "B", "C"])
def test_runs_and_verdicts_agree_on_every_demo_site(letter: str) -> None:
    several = stands(letter, SOME)
    assert contradictions(letter, several, until_min=10) == []
    assert surely_reached_and_dry(letter, several) == []
