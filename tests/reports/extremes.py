"""Sites at the edge of what a paper meets: empty, crowded, tiny, huge, tall, with names of every length and script."""

from dataclasses import replace
from typing import TypeVar

from shapely import Point, box
from shapely.affinity import scale
from shapely.geometry.base import BaseGeometry

from reports.assessment import Assessment, Coverage, FloorAssessment
from reports.facts import SiteFacts
from tests.reports import sample

Shape = TypeVar("Shape", bound=BaseGeometry)

LONG = "Hinterer Lagerabschnitt für Rücklieferungen und Sonderposten der Handelsgesellschaft Nordwest 0001"
SCRIPTS = ("北倉庫第一区画", "מחסן צפוני", "المخزن الشمالي", "Склад № 7", "창고 북쪽", "ห้องเก็บ", "Lager 🛢")
"""Chinese, Hebrew, Arabic, Cyrillic and Korean are in the bundled faces; Thai and the drum sign are not."""


def empty() -> tuple[Assessment, SiteFacts]:
    """A site of which nothing is recorded but its name and address."""
    judged = sample.assessment(
        last_walk=None,
        oldest_entry=None,
        newest_entry=None,
        coverage=Coverage(
            drums=0, empty=0, small_containers=0, unread_pallets=0, seen=0, hidden=0, label_read=0, identified=0
        ),
        floors=(),
        findings=(),
        stops=(),
        stand_off=None,
        first_actions=(),
        overpacks=(),
        kit=(),
        disputes=(),
        flags=(),
        unknowns=(),
        operator_tasks=(),
    )
    facts = sample.facts(
        shifts=(),
        side_labels=(),
        contacts=(),
        access=(),
        utilities=(),
        water_supplies=(),
        protection=(),
        impairments=(),
        walks=(),
        ages=(),
        tenancy_since=None,
        travel_first_engine_min=None,
        travel_technicians_min=None,
        flags=(),
    )
    return judged, facts


def bare_floor() -> tuple[Assessment, SiteFacts]:
    """A floor with nothing on it: no pallet, no drain, no storage zone, no door."""
    bare = sample.floor(
        surfaces=(),
        walls=(),
        doors=(),
        bunds=(),
        sumps=(),
        pipes=(),
        heat_sources=(),
        water_ingress=(),
        zones=(),
        pallets=(),
        drains=(),
        pairs=(),
        containment=(),
        main_entrances=(),
    )
    judged, facts = empty()
    return replace(judged, floors=(bare,)), facts


def crowded(pallets: int = 60) -> tuple[Assessment, SiteFacts]:
    """Pallets in rows, half a metre apart, in one storage zone."""
    rows = 6
    placed = tuple(
        sample.pallet(
            f"Q{number + 1:02d}",
            "Hall",
            2 + 1.7 * (number // rows),
            2 + 1.9 * (number % rows),
            ("sodium hydroxide 50 % (UN 1824)",),
            stopped=(f"Q{number + 1:02d}-1",) if number % 5 == 0 else (),
        )
        for number in range(pallets)
    )
    outline = box(0, 0, max(24.0, 4 + 1.7 * (pallets / rows)), 15)
    zone = replace(
        sample.ZONES[0],
        name="Hall",
        outline=box(0.5, 0.5, outline.bounds[2] - 0.5, 13),
        pallets=tuple(pallet.name for pallet in placed),
        stops=tuple(
            replace(sample.STOPS[0], drum=pallet.stopped_drums[0]) for pallet in placed if pallet.stopped_drums
        ),
    )
    floor = sample.floor(outline=outline, surfaces=(), zones=(zone,), pallets=placed, pairs=(), bunds=())
    stops = zone.stops
    return sample.assessment(floors=(floor,), stops=stops), sample.facts()


def renamed(name: str) -> tuple[Assessment, SiteFacts]:
    """The sample with one name, and its number, wherever somebody may type one."""
    floor = sample.floor()
    pallets = tuple(replace(each, name=f"{name} {n}") for n, each in enumerate(floor.pallets))
    new = {old.name: each.name for old, each in zip(floor.pallets, pallets, strict=True)}
    zones = tuple(
        replace(each, name=f"{name} Z{n}", title=name, tenant=name, pallets=tuple(new[old] for old in each.pallets))
        for n, each in enumerate(floor.zones)
    )
    drains = tuple(replace(each, name=f"{name} D{n}", outfall=name) for n, each in enumerate(floor.drains))
    floor = replace(floor, name=name, pallets=pallets, zones=zones, drains=drains, pairs=())
    judged = sample.assessment(
        site=name,
        floors=(floor,),
        unknowns=tuple(f"{name} {n}" for n in range(9)),
        no_entry=f"Do not enter: {name}",
        prior_plan_invalid=f"Earlier record: {name}",
    )
    judged = replace(judged, findings=tuple(replace(each, floor=name) for each in judged.findings))
    people = tuple(replace(each, name=name, organisation=name) for each in sample.facts().contacts * 4)
    facts = sample.facts(
        name=name,
        operator=name,
        address=name,
        present_use=name,
        side_labels=tuple((letter, name) for letter in "ABCDEF"),
        contacts=people,
        utilities=tuple(replace(each, shut_off=name) for each in sample.facts().utilities * 3),
        access=tuple(replace(each, name=name, where=name) for each in sample.facts().access * 2),
    )
    return judged, facts


def resized(factor: float) -> FloorAssessment:
    """The floor of the sample, with all that stands where it stands, larger or smaller."""

    def bigger(shape: Shape) -> Shape:
        return scale(shape, factor, factor, origin=Point(0, 0))

    floor = sample.floor()
    return replace(
        floor,
        outline=bigger(floor.outline),
        surfaces=tuple((name, bigger(shape)) for name, shape in floor.surfaces),
        walls=tuple((name, bigger(shape)) for name, shape in floor.walls),
        doors=tuple((name, bigger(shape), shut) for name, shape, shut in floor.doors),
        bunds=tuple((name, bigger(shape)) for name, shape in floor.bunds),
        sumps=tuple((name, bigger(shape)) for name, shape in floor.sumps),
        pipes=tuple((name, bigger(shape), passes) for name, shape, passes in floor.pipes),
        heat_sources=tuple((name, bigger(shape)) for name, shape in floor.heat_sources),
        water_ingress=tuple((name, bigger(shape)) for name, shape in floor.water_ingress),
        zones=tuple(replace(each, outline=bigger(each.outline)) for each in floor.zones),
        pallets=tuple(
            replace(each, at=bigger(each.at), footprint=bigger(each.footprint), one_drum=None) for each in floor.pallets
        ),
        drains=tuple(replace(each, shape=None if each.shape is None else bigger(each.shape)) for each in floor.drains),
        pairs=tuple(replace(each, a_at=bigger(each.a_at), b_at=bigger(each.b_at)) for each in floor.pairs),
    )


def tall() -> FloorAssessment:
    """A floor four times as deep as wide."""
    return sample.floor(outline=box(0, 0, 24, 96), surfaces=())


def two_floors() -> tuple[Assessment, SiteFacts]:
    """The sample with a second floor above it."""
    upper = replace(sample.floor(), id=sample.made_id("Loft"), name="Loft")
    upper = replace(
        upper,
        zones=tuple(replace(each, id=sample.made_id(f"Loft {each.name}")) for each in upper.zones),
        pallets=tuple(replace(each, id=sample.made_id(f"Loft {each.name}")) for each in upper.pallets),
        drains=tuple(replace(each, id=sample.made_id(f"Loft {each.name}")) for each in upper.drains),
    )
    return sample.assessment(floors=(sample.floor(), upper)), sample.facts()
