"""One name for one thing: what bears a name already taken on the site is printed with a number behind it."""

from collections.abc import Iterable, Sequence
from dataclasses import replace
from typing import TypeVar

from reports.facts import DrainFact, DrumFact, Flag, FloorFact, PalletFact, SumpFact, ZoneFact

Named = TypeVar("Named", ZoneFact, DrainFact, SumpFact, PalletFact)


def with_names_told_apart(floors: Sequence[FloorFact], flags: list[Flag]) -> tuple[FloorFact, ...]:
    """Give the floors with names that are used once: of storage zones, drains, sumps, pallets and drums.

    Judgement and paper speak of things by name. A drum may bear the same name in several readings of its pallet,
    which then speak of the same drum.
    """
    zones, drains, sumps, pallets, drums = (set[str]() for _ in range(5))
    return tuple(
        replace(
            floor,
            zones=tuple(_apart("storage zone", floor.zones, zones, flags)),
            drains=tuple(_apart("drain", floor.drains, drains, flags)),
            sumps=tuple(_apart("sump", floor.sumps, sumps, flags)),
            pallets=tuple(
                replace(pallet, drums=_drums_apart(pallet, drums, flags))
                for pallet in _apart("pallet", floor.pallets, pallets, flags)
            ),
        )
        for floor in floors
    )


def _apart(noun: str, things: Iterable[Named], taken: set[str], flags: list[Flag]) -> Iterable[Named]:
    for thing in things:
        name = _free(noun, thing.name, taken, flags)
        taken.add(name)
        yield replace(thing, name=name)


def _drums_apart(pallet: PalletFact, taken: set[str], flags: list[Flag]) -> tuple[DrumFact, ...]:
    here: set[str] = set()
    by_reading: dict[object, set[str]] = {}
    found = []
    for drum in pallet.drums:
        own = by_reading.setdefault(drum.reading_id, set())
        name = _free("drum", drum.name, taken | own, flags)
        own.add(name)
        here.add(name)
        found.append(replace(drum, name=name))
    taken |= here
    return tuple(found)


def _free(noun: str, name: str, taken: set[str], flags: list[Flag]) -> str:
    if name not in taken:
        return name
    number = 2
    while f"{name} ({number})" in taken:
        number += 1
    new = f"{name} ({number})"
    flags.append(Flag(f"{noun} {name}", "name", "used more than once on this site", f"printed as {new}"))
    return new
