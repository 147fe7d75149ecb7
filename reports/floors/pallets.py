"""Pallet facts → what screen and paper say of a pallet."""

from collections.abc import Iterable

from reports.assessment import PalletAssessment
from reports.facts import DrumFact, PalletFact, ReadingFact
from reports.floors.view import FloorView
from reports.sheet_notes import FROM_SHEET
from survey.catalogue.product import Product
from survey.vocabulary import Orientation


def pallets_on(view: FloorView) -> tuple[PalletAssessment, ...]:
    """Assess every pallet of a floor, in the order of names."""
    return tuple(_pallet(view, pallet) for pallet in view.floor.pallets)


def _pallet(view: FloorView, pallet: PalletFact) -> PalletAssessment:
    counted = pallet.counted
    most = pallet.worst_by(lambda drum: drum.fill_l)
    return PalletAssessment(
        id=pallet.id,
        name=pallet.name,
        kind=pallet.kind,
        zone=view.zone_of(pallet).name if pallet.zone_id else None,
        at=pallet.at,
        footprint=pallet.footprint,
        base_height_m=pallet.base_height_m,
        stack_level=pallet.stack_level,
        tolerance_m=pallet.tolerance_m,
        products=_sorted(name_and_number(drum.product) for drum in pallet.drums),
        classes=_sorted(drum.product.hazard_class for drum in pallet.drums if drum.product.hazard_class),
        containers=_sorted(drum.container.name for drum in pallet.drums),
        drums=sum(not drum.empty_uncleaned for drum in counted),
        empty=sum(drum.empty_uncleaned for drum in counted),
        seen=sum(not drum.hidden for drum in counted),
        label_read=sum(drum.label_read for drum in counted),
        identified=sum(drum.identified for drum in counted),
        litres=sum(drum.fill_l for drum in most),
        signs=_signs(pallet.drums),
        readings=tuple(reading_text(reading) for reading in pallet.readings),
        disputed=pallet.disputed,
        stopped_drums=tuple(dict.fromkeys(drum.name for drum in pallet.drums if view.stops[drum.id])),
        recorded_at=pallet.recorded_at,
        recorded_by=pallet.recorded_by,
        one_drum=view.pools.reach([drum for drum in pallet.drums if drum.fill_l > 0]),
        whole=view.spills.whole([drum for drum in most if drum.fill_l > 0], pallet.at),
        unlisted=view.unlisted.get(pallet.id),
        tilted=view.pools.tilted(pallet.drums, pallet.at),
    )


def reading_text(reading: ReadingFact) -> str:
    """Say who read what when, and whether it is the reading acted on."""
    acted = " (acted on)" if reading.governs else ""
    return f"{reading.author}, {reading.taken_at:%Y-%m-%d %H:%M} UTC: {reading.says}{acted}"


def name_and_number(product: Product) -> str:
    """Name a product with its UN number, and say so where it was entered from its safety data sheet."""
    number = product.un_number
    said = [] if number is None else [f"UN {number.removeprefix('UN')}"]
    if product.from_sheet:
        said.append(FROM_SHEET)
    return f"{product.name} ({'; '.join(said)})" if said else product.name


def _signs(drums: tuple[DrumFact, ...]) -> tuple[str, ...]:
    counts = {sign.value: sum(sign in drum.signs for drum in drums) for drum in drums for sign in drum.signs}
    for way in (Orientation.LYING, Orientation.INVERTED):
        if any(drum.orientation is way for drum in drums):
            counts[way.value] = sum(drum.orientation is way for drum in drums)
    return tuple(f"{count} × {sign}" for sign, count in sorted(counts.items()))


def _sorted(names: Iterable[str]) -> tuple[str, ...]:
    return tuple(sorted(set(names)))
