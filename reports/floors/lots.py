"""Lots: the drums of one product on one pallet, which is what meets, reacts and is counted."""

from dataclasses import dataclass

from reports.assessment import Verdict
from reports.facts import DrumFact, FloorFact, PalletFact
from reports.floors.spills import Arrival
from survey.catalogue.product import Product
from survey.vocabulary import StandKind


@dataclass(frozen=True, slots=True)
class Lot:
    """Drums of one product on one pallet, from all its open readings."""

    pallet: PalletFact
    product: Product
    drums: tuple[DrumFact, ...]

    @property
    def liquid(self) -> tuple[DrumFact, ...]:
        """Drums of it that hold something that can run."""
        return tuple(drum for drum in self.drums if drum.fill_l > 0)

    @property
    def place_known(self) -> bool:
        """Whether its drums' places are known better than the block they stand in, of which only a face is seen."""
        return self.pallet.kind is not StandKind.BLOCK


@dataclass(frozen=True, slots=True)
class LotArrival:
    """The arrivals of one lot's drums at one drain, sump or door; the verdict is the lot's most certain one."""

    lot: Lot
    target: str
    verdict: Verdict
    arrivals: tuple[tuple[DrumFact, Arrival], ...]


def lots_on(floor: FloorFact) -> tuple[Lot, ...]:
    """Sort the drums of a floor into lots, in the order of pallets and products.

    Parameters
    ----------
    floor : FloorFact

    Returns
    -------
    tuple of Lot
        Empty and uncleaned drums belong to the lot of what they held.
    """
    return tuple(lot for pallet in floor.pallets for lot in lots_of(pallet))


def lots_of(pallet: PalletFact) -> tuple[Lot, ...]:
    """Sort the drums of one pallet into lots, in the order of products.

    Parameters
    ----------
    pallet : PalletFact

    Returns
    -------
    tuple of Lot
    """
    by_product: dict[str, list[DrumFact]] = {}
    for drum in pallet.drums:
        by_product.setdefault(drum.product.key, []).append(drum)
    return tuple(Lot(pallet, drums[0].product, tuple(drums)) for _, drums in sorted(by_product.items()))
