"""Pallets, neighbours, drains and storage zones for the site page: the paper's words, and where each leads."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from app.web.anchors import Anchors, finding_anchor
from app.web.contexts import DoorItem, DrainItem, Link, PairItem, PalletItem, ReachItem, Share, StopItem, ZoneItem
from app.web.words import MARKS
from geometry.units import litres_and_gallons, metres_and_feet, mm_and_inches, square_metres_and_feet
from reports.assessment import (
    Assessment,
    DrainReach,
    FloorAssessment,
    PalletAssessment,
    Reach,
    Verdict,
    ZoneAssessment,
)
from reports.maps import grid_of
from reports.preplan.build import KINDS
from reports.preplan.pairs import unlisted_text
from reports.preplan.plan import DrainPart, FloorPart, PairText, ReadingText, StopText, ZonePart
from reports.preplan.stops import Place, places_of, stop_texts
from reports.preplan.words import day, span
from reports.response.advice import StopLine
from reports.wording import counted, listed

NEIGHBOURS_AT_FIRST: Final = 3
"""The rest of a pallet's neighbours stands behind one tap, counted."""


@dataclass(frozen=True, slots=True)
class FloorWords:
    """One floor twice over: as assessed, and as the paper words it, item by item in the same order."""

    assessment: Assessment
    floor: FloorAssessment
    part: FloorPart
    disputes: tuple[ReadingText, ...]
    anchors: Anchors
    places: Mapping[str, Place]

    @property
    def zones(self) -> Iterator[tuple[ZoneAssessment, ZonePart]]:
        return zip(self.floor.zones, self.part.zones, strict=True)

    def link(self, noun: str, name: str) -> Link:
        """Link one thing on this floor."""
        return self.anchors.one(noun, self.floor.name, name)


def floor_words(
    assessment: Assessment, parts: Sequence[FloorPart], disputes: tuple[ReadingText, ...], anchors: Anchors
) -> tuple[FloorWords, ...]:
    """Put each floor beside its words."""
    places = places_of(assessment)
    return tuple(
        FloorWords(assessment, floor, part, disputes, anchors, places)
        for floor, part in zip(assessment.floors, parts, strict=True)
    )


def stop_items(assessment: Assessment, stops: Iterable[StopText], anchors: Anchors) -> tuple[StopItem, ...]:
    """Link each STOP line to the pallets it holds for."""
    places = places_of(assessment)
    holds: dict[tuple[str, str, str], list[Link]] = {}
    for floor in assessment.floors:
        for pallet in floor.pallets:
            link = Link(pallet.name, f"#{anchors.of(pallet.id)}")
            for text in stop_texts(_stops_on(assessment, pallet), places):
                holds.setdefault(_rule_of(text), []).append(link)
    return tuple(StopItem(text, tuple(dict.fromkeys(holds.get(_rule_of(text), ())))) for text in stops)


def _rule_of(text: StopText) -> tuple[str, str, str]:
    """What a STOP line says whatever drums it holds for; its sentence may name what stands beside one of them."""
    return text.basis.rule, text.because, text.instead


def _stops_on(assessment: Assessment, pallet: PalletAssessment) -> list[StopLine]:
    return [line for line in assessment.stops if line.drum in pallet.stopped_drums]


def drain_items(words: FloorWords) -> tuple[DrainItem, ...]:
    """Give the drains of a floor in the order of the paper."""
    return tuple(
        DrainItem(words.anchors.of(drain.id), part, _reach_items(words, drain.reaches, part))
        for drain, part in zip(words.floor.drains, words.part.drains, strict=True)
    )


def door_items(words: FloorWords) -> tuple[DoorItem, ...]:
    """Give the doors that lead off a floor, as the paper words them."""
    floor = words.floor.name if len(words.assessment.floors) > 1 else ""
    return tuple(
        DoorItem(text, MARKS[door.verdict], floor)
        for door, text in zip(words.floor.doors_out, words.part.doors, strict=True)
    )


def _reach_items(words: FloorWords, reaches: Iterable[DrainReach], part: DrainPart) -> tuple[ReachItem, ...]:
    told = [reach for reach in reaches if reach.verdict is not Verdict.NOT_REACHED]
    return tuple(
        ReachItem(text, MARKS[reach.verdict], words.link("pallet", reach.pallet), words.link("drain", reach.drain))
        for reach, text in zip(told, part.reaches, strict=True)
    )


def pair_item(words: FloorWords, text: PairText) -> PairItem:
    """Link the pallets whose products react; two products on one pallet lead to it once."""
    return PairItem(text, MARKS[text.meets], tuple(words.link("pallet", name) for name in text.pallets))


def pair_items(words: FloorWords) -> tuple[PairItem, ...]:
    """Give the pairs of a floor, worst first."""
    return tuple(pair_item(words, text) for text in words.part.pairs)


def zone_items(words: FloorWords) -> tuple[ZoneItem, ...]:
    """Give the storage zones of a floor, worst first."""
    return tuple(_zone_item(words, zone, part) for zone, part in words.zones)


def _zone_item(words: FloorWords, zone: ZoneAssessment, part: ZonePart) -> ZoneItem:
    unknown = 100 * zone.unknown_share
    return ZoneItem(
        anchor=words.anchors.of(zone.id),
        text=part,
        kind=KINDS[zone.worst_kind],
        unknown=Share("Not seen or not identified", f"{unknown:.1f} %", "of the drums", 100 - unknown),
        no_methods="" if part.methods else "No method is given for any drum here.",
        pallets=words.anchors.to("pallet", words.floor.name, zone.pallets),
        findings=finding_links(words.assessment, zone.findings),
    )


def finding_links(assessment: Assessment, indices: Iterable[int]) -> tuple[Link, ...]:
    """Link findings by their own sentence."""
    return tuple(Link(assessment.findings[index].sentence, f"#{finding_anchor(index + 1)}") for index in indices)


def pallet_items(words: FloorWords) -> tuple[PalletItem, ...]:
    """Describe every pallet of a floor, in the order of their names."""
    reaches: dict[str, list[ReachItem]] = {}
    for drain in drain_items(words):
        for reach in drain.reaches:
            reaches.setdefault(reach.text.pallet, []).append(reach)
    pallets = sorted(words.floor.pallets, key=lambda pallet: (pallet.name, str(pallet.id)))
    return tuple(_pallet_item(words, pallet, tuple(reaches.get(pallet.name, ()))) for pallet in pallets)


def _pallet_item(words: FloorWords, pallet: PalletAssessment, reaches: tuple[ReachItem, ...]) -> PalletItem:
    findings = [index for index, found in enumerate(words.assessment.findings) if pallet.name in found.pallets]
    neighbours = tuple(pair_item(words, text) for text in words.part.pairs if pallet.name in text.pallets)
    total = pallet.drums + pallet.empty
    empty = f" and {pallet.empty} empty" if pallet.empty else ""
    return PalletItem(
        anchor=words.anchors.of(pallet.id),
        name=pallet.name,
        kind="" if pallet.kind == "pallet" else pallet.kind,
        zone=next(iter(words.anchors.to("zone", words.floor.name, [pallet.zone])), None) if pallet.zone else None,
        products=pallet.products or ("nothing recorded",),
        counts=f"{counted(pallet.drums, 'drum')}{empty}, {litres_and_gallons(pallet.litres)}",
        known=f"of {total}: {pallet.seen} seen, {pallet.label_read} label read, {pallet.identified} identified",
        facts=tuple(_facts(words.floor, pallet)),
        signs="; ".join(pallet.signs) or "none recorded",
        readings=pallet.readings,
        dispute=next((dispute for dispute in words.disputes if dispute.pallet == pallet.name), None),
        stops=stop_texts(_stops_on(words.assessment, pallet), words.places),
        reaches=reaches,
        no_reach="" if reaches else _no_reach(words.floor, pallet),
        neighbours_first=neighbours[:NEIGHBOURS_AT_FIRST],
        neighbours_more=neighbours[NEIGHBOURS_AT_FIRST:],
        findings=finding_links(words.assessment, findings),
    )


def _facts(floor: FloorAssessment, pallet: PalletAssessment) -> Iterator[tuple[str, str]]:
    tolerance = metres_and_feet(pallet.tolerance_m)
    yield "Stands at", f"square {grid_of(floor).reference(pallet.at)} of the map, known to ± {tolerance}"
    if pallet.containers:
        yield "Containers", listed(pallet.containers)
    if pallet.classes:
        yield "Hazard class", listed(pallet.classes)
    if pallet.base_height_m:
        yield "Height", f"{metres_and_feet(pallet.base_height_m)} above the floor, level {pallet.stack_level}"
    if pallet.one_drum is not None:
        yield "One drum wets", _pool(pallet.one_drum)
    if pallet.whole is not None:
        yield "All of it wets", _pool(pallet.whole)
    if pallet.unlisted is not None:
        yield "More neighbours", unlisted_text(pallet)
    yield "Recorded", f"{day(pallet.recorded_at)}, {pallet.recorded_by}"


def _pool(reach: Reach) -> str:
    thick, thin = (square_metres_and_feet(pool.area_m2) for pool in (reach.thick, reach.thin))
    return f"{thick} (thick film) to {thin} (thin film)"


def _no_reach(floor: FloorAssessment, pallet: PalletAssessment) -> str:
    if pallet.one_drum is None:
        return "No liquid is recorded on it."
    if not floor.drains:
        return "No drain is recorded on this floor."
    film = span(floor.film_mm, mm_and_inches, low="thin", high="thick")
    return f"One drum gets into no recorded drain, at a film of {film}."
