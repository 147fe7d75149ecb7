"""Drums whose wall does not suit the product named on them, worked out or marked by who saw them (kind 7)."""

from collections import defaultdict
from collections.abc import Iterator

from reports.assessment import Finding, Kind
from reports.facts import DrumFact, PalletFact
from reports.findings.shape import finding
from reports.floors.view import FloorView
from reports.response.advice import Cite
from reports.wording import counted, phrase
from survey.catalogue.drum_walls import WallDoubt, wall_doubt
from survey.catalogue.product import Mark
from survey.vocabulary import ConditionSign

RULE = "wall-does-not-suit"
MARKED = WallDoubt(
    "who saw them marked that drums of this type are not used for it",
    "NIOSH/OSHA/USCG/EPA guidance manual, chapter on drums: drum type as a clue",
    Mark.READ,
)


def wall_findings(view: FloorView) -> Iterator[Finding]:
    """Give one finding per pallet, product and kind of drum."""
    for pallet in view.floor.pallets:
        doubted: dict[tuple[str, str], list[DrumFact]] = defaultdict(list)
        doubts: dict[tuple[str, str], WallDoubt] = {}
        for drum in pallet.drums:
            doubt = _doubt(drum)
            if doubt is not None:
                kind = (drum.product.name, _kind(drum))
                doubted[kind].append(drum)
                doubts.setdefault(kind, doubt)
        for kind in sorted(doubted):
            yield _unsuited(view, pallet, doubted[kind], doubts[kind])


def _doubt(drum: DrumFact) -> WallDoubt | None:
    marked = MARKED if ConditionSign.TYPE_MISMATCH in drum.signs else None
    return wall_doubt(drum.container.wall, drum.product) or marked


def _kind(drum: DrumFact) -> str:
    """Name the kind of drum: *plastic drum, tight head*."""
    return drum.container.name


def _unsuited(view: FloorView, pallet: PalletFact, drums: list[DrumFact], doubt: WallDoubt) -> Finding:
    product = drums[0].product.name
    return finding(
        view,
        Cite(RULE, doubt.source, doubt.mark),
        Kind.REST,
        f"{pallet.name}: {counted(len(drums), 'drum')} named {product}, {_kind(drums[0])}: name and drum do not go "
        "together. Confirm what they hold before they are moved; look for a thinned, softened or weeping wall.",
        f"{phrase(doubt.because[0].upper() + doubt.because[1:])}. Either the name is wrong or the wall is being eaten.",
        pallets=[pallet.name],
        drums=[drum.name for drum in drums],
        inputs=[("wall", str(drums[0].container.wall)), ("product", product)],
        litres=pallet.litres_of(drums),
    )
