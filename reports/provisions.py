"""What a site's incidents would need of overpacks and kit, against what is there."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from uuid import UUID

from reports.assessment import Verdict
from reports.facts import PalletFact, SiteFacts
from reports.floors.view import FloorView
from reports.response.advice import KitLine, OverpackNeed, OverpackRow
from reports.response.kit import kit_lines
from reports.response.overpacks import overpack_rows

HEADING = "Needed, on site and on the apparatus, missing"
NOT_FIRST_CREWS = "For a later technician team only: not for first crews"


@dataclass(frozen=True, slots=True)
class Provisions:
    """Overpacks and kit of a site, and the heading they are printed under."""

    overpacks: tuple[OverpackRow, ...]
    kit: tuple[KitLine, ...]
    kit_heading: str


def provisions(
    facts: SiteFacts, views: Sequence[FloorView], needs: Mapping[UUID, OverpackNeed], *, stay_out: bool
) -> Provisions:
    """Count overpacks and kit for one accident at a time.

    Parameters
    ----------
    facts : SiteFacts
    views : sequence of FloorView
    needs : mapping of UUID to OverpackNeed
        The overpack of every drum, by the drum's id.
    stay_out : bool
        Whether first crews stay out; the lists are then headed as a later team's.
    """
    pallets = [pallet for floor in facts.floors for pallet in floor.pallets]
    drums = [drum for pallet in pallets for drum in pallet.drums]
    rows = overpack_rows([need for pallet in pallets for need in _needs(pallet, needs)], facts.kit)
    products = {drum.product.key: drum.product for drum in drums}
    return Provisions(
        overpacks=rows,
        kit=kit_lines(
            facts.kit,
            drains_to_cover=sum(_reached(view) for view in views),
            products=[products[key] for key in sorted(products)],
            overpacks=rows,
            spill_l=max((drum.fill_l for drum in drums), default=0.0),
        ),
        kit_heading=NOT_FIRST_CREWS if stay_out else HEADING,
    )


def _needs(pallet: PalletFact, every: Mapping[UUID, OverpackNeed]) -> Iterator[OverpackNeed]:
    """Give what the drums of a pallet would go into: of each kind, for the reading that asks for most."""
    needs = {drum.id: every[drum.id] for drum in pallet.drums if not drum.empty_uncleaned}
    for kind in dict.fromkeys(_kind(need) for need in needs.values()):
        asked = pallet.worst_by(lambda drum, kind=kind: float(drum.id in needs and _kind(needs[drum.id]) == kind))  # type: ignore[misc]
        yield from (needs[drum.id] for drum in asked if drum.id in needs and _kind(needs[drum.id]) == kind)


def _kind(need: OverpackNeed) -> tuple[str, str, bool, bool]:
    return need.size_label, need.material, need.vented, need.possible


def _reached(view: FloorView) -> int:
    """Number of drains that liquid reaches or may reach; one that was not found counts too."""
    arriving = {arrival.target for arrival in view.drain_arrivals if arrival.verdict is not Verdict.NOT_REACHED}
    return sum(drain.shape is None or f"drain {drain.name}" in arriving for drain in view.floor.drains)
