"""Builders of drums and surroundings for this room: a quiet, fully known drum, changed one thing at a time."""

from dataclasses import replace
from datetime import UTC, date, datetime
from typing import Any
from uuid import UUID, uuid5

from shapely import Point

from reports.facts import BreachFact, DrumFact, KitFact
from reports.response.conditions import Surroundings
from reports.response.handling import DrumSize, drum_size
from survey.catalogue.containers import container
from survey.catalogue.products import catalogue
from survey.vocabulary import (
    BreachKind,
    BreachPlace,
    Closure,
    KitKind,
    KitPlace,
    LabelState,
    Orientation,
    Sighting,
    YesNoUnknown,
)

AS_OF = date(2026, 5, 4)
DRUM_L = 208.198
_SPACE = UUID("6f1c7d52-3b0a-5a0e-9a53-0c7b4f0d1e11")


def drum(product: str = "toluene", code: str | None = "1A1", *, stainless: bool = False, **changes: Any) -> DrumFact:
    """Make a full, upright, sound drum that two sources identify; `changes` replace any field."""
    name = str(changes.get("name", "X01-1"))
    quiet = DrumFact(
        id=uuid5(_SPACE, name),
        name=name,
        pallet_id=uuid5(_SPACE, name.rsplit("-", 1)[0]),
        reading_id=uuid5(_SPACE, "reading"),
        counted=True,
        product=catalogue().by_key[product],
        product_as_recorded=product,
        concentration_pct=None,
        container=container(code, stainless=stainless),
        capacity_l=DRUM_L,
        fill_l=DRUM_L,
        fill_known=True,
        empty_uncleaned=False,
        net_mass_kg=None,
        orientation=Orientation.UPRIGHT,
        closure=Closure.BUNGS,
        at=Point(1, 1),
        tolerance_m=0.05,
        tier=1,
        base_height_m=0.0,
        sighting=Sighting.SEEN,
        label=LabelState.LEGIBLE,
        label_read=True,
        identified=True,
        signs=frozenset(),
        signs_checked=True,
        breaches=(),
        inhibitor_until=None,
        dated=None,
        recorded_at=datetime(2026, 4, 1, 9, 0, tzinfo=UTC),
        recorded_by="A. Inspector",
    )
    return replace(quiet, **changes)


def around(**changes: Any) -> Surroundings:
    """Make quiet surroundings; `changes` replace any field."""
    quiet = Surroundings(
        unidentified=(),
        bulging_nearby=False,
        stack_unstable=False,
        stack_not_inspected=False,
        heat_sources=(),
        technicians_min=45.0,
        as_of=AS_OF,
        backup_crew=YesNoUnknown.YES,
        way_out=YesNoUnknown.YES,
        decontamination=YesNoUnknown.YES,
        vapour_suits=True,
    )
    return replace(quiet, **changes)


def breach(kind: BreachKind, size_mm: float | None = None, length_mm: float | None = None) -> BreachFact:
    """Make one breach low on the drum."""
    return BreachFact(kind, BreachPlace.LOW, size_mm, length_mm)


def kit_item(kind: KitKind, name: str, material: str = "", **changes: Any) -> KitFact:
    """Make one kit item on site; `changes` replace any field."""
    item = KitFact(
        kind=kind,
        place=KitPlace.SITE,
        name=name,
        material=material,
        quantity=1,
        capacity_l=None,
        vented=YesNoUnknown.UNKNOWN,
        where="by the door",
        beside_pallet="",
    )
    return replace(item, **changes)


def known_size(case: DrumFact) -> DrumSize:
    """Give the trade size of a drum that has one."""
    size = drum_size(case)
    assert size is not None
    return size
