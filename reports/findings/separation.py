"""Ammonium nitrate nearer than its own distance, farther than that of others, to what it is kept from (kind 5)."""

from collections.abc import Iterator

from reports.assessment import Distance, Finding, Kind
from reports.findings.shape import finding
from reports.floors.lots import Lot
from reports.floors.view import FloorView
from reports.response.advice import Cite
from reports.tolerance import between, distance_text
from reports.wording import named
from survey.catalogue.separation import AMMONIUM_NITRATE, asks_nitrate_distance, separation_ways
from survey.vocabulary import StandKind

NITRATE = Cite("ammonium-nitrate-distance", AMMONIUM_NITRATE.source, AMMONIUM_NITRATE.mark)


def separation_findings(view: FloorView) -> Iterator[Finding]:
    """Give one finding per lot of ammonium nitrate that stands too near to what it is kept from."""
    for lot in view.lots:
        near = sorted(_too_near(view, lot), key=lambda each: (each[1].metres, each[0].pallet.name, each[0].product.key))
        if near:
            yield _nitrate(view, lot, near)


def _too_near(view: FloorView, nitrate: Lot) -> Iterator[tuple[Lot, Distance]]:
    for other in view.lots:
        if nitrate.product.key != "ammonium-nitrate" or not asks_nitrate_distance(nitrate.product, other.product):
            continue
        metres = nitrate.pallet.footprint.distance(other.pallet.footprint)
        apart = between(metres, nitrate.pallet.tolerance_m, other.pallet.tolerance_m)
        if apart.metres - apart.tolerance_m <= AMMONIUM_NITRATE.value:
            yield other, apart


def _nitrate(view: FloorView, lot: Lot, near: list[tuple[Lot, Distance]]) -> Finding:
    others = list(dict.fromkeys(f"{other.product.name} ({other.pallet.name})" for other, _ in near))
    nearest, apart = near[0]
    block = StandKind.BLOCK in (lot.pallet.kind, nearest.pallet.kind)
    where = "where in its block it stands is not known" if block else f"the nearest {distance_text(apart)} away"
    return finding(
        view,
        NITRATE,
        Kind.OTHER_PAIR,
        f"{lot.pallet.name}: {lot.product.name} stands nearer than {AMMONIUM_NITRATE.value:g} m to {named(others)}; "
        f"{where}.",
        f"In a building {separation_ways()['ammonium nitrate'].says}. The fire rating of walls is not on record.",
        pallets=[lot.pallet.name, *(other.pallet.name for other, _ in near)],
        drums=[drum.name for drum in lot.drums],
        inputs=[("distance asked", f"{AMMONIUM_NITRATE.value:g} m"), ("nearest", distance_text(apart))],
        metres=apart.metres,
    )
