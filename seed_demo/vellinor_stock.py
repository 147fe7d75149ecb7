"""What was seen of the stock in Vellinor Street, and what must stand behind it."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, date, datetime
from typing import Any

from seed_demo.authoring import Origin, Recorder, Ring, Spot, box
from seed_demo.drums import NOMINAL_L, drum, unnamed
from survey.vocabulary import (
    Closure,
    ConditionSign,
    LabelState,
    PositionSource,
    Sighting,
    Source,
    StandKind,
    YesNoUnknown,
)

WALK = Origin(datetime(2026, 11, 17, 13, 40, tzinfo=UTC), "Noor Hesketh")

# A drum that was seen is written as its label (a short name of a product, `partial` or `none`), then its signs.
_SIGNS = {
    "rust": ConditionSign.HEAVY_RUST,
    "leak": ConditionSign.LEAKING,
    "bulge": ConditionSign.BULGING,
    "crystals": ConditionSign.CRYSTALS_AT_CLOSURE,
    "marks": ConditionSign.MARKS_DISAGREE,
}
_SHORT = {
    "nitric": "nitric-acid-68",
    "chlorinated": "dichloromethane",
    "waste": "waste-solvent-flammable",
    "hypochlorite": "calcium-hypochlorite-dry",
    "cyanide": "sodium-cyanide-solid",
    "methanol": "methanol",
}
_TORN_LABEL: dict[str, Any] = {
    "product": "tetrahydrofuran",
    "product_text": "…HYDROFURAN",
    "dated": date(2017, 10, 1),
    "note": "Label torn: only “…HYDROFURAN” is left, dated nine years ago. Do not touch, do not jar.",
}


@dataclass(frozen=True, slots=True)
class Block:
    """One block: where it stands, how it is piled, and the face that was seen, tier by tier from below."""

    name: str
    title: str
    footprint: tuple[float, float, float, float]
    kind: StandKind
    rows_behind: int
    stable: YesNoUnknown
    position: tuple[PositionSource, float]
    face: tuple[str, ...]

    @property
    def middle(self) -> Spot:
        """The middle of the footprint [m]."""
        west, south, east, north = self.footprint
        return (round((west + east) / 2, 3), round((south + north) / 2, 3))

    @property
    def size(self) -> Spot:
        """East to west and south to north [m]."""
        west, south, east, north = self.footprint
        return (round(east - west, 3), round(north - south, 3))


BLOCKS = (
    Block(
        "K1",
        "block on the north wall, three high",
        (16.0, 24.0, 20.0, 28.0),
        StandKind.BLOCK,
        2,
        YesNoUnknown.NO,
        (PositionSource.TAPPED, 0.5),
        (
            "nitric, none rust, partial rust, none rust leak, methanol, none",
            "waste rust, none rust, partial marks, none, nitric, partial",
            "none rust, none rust bulge, partial marks, methanol rust, none bulge, none rust leak",
        ),
    ),
    Block(
        "K2",
        "block on the north wall, three high, over gully D1",
        (20.5, 24.0, 24.5, 28.0),
        StandKind.BLOCK,
        2,
        YesNoUnknown.NO,
        (PositionSource.TAPPED, 0.5),
        (
            "nitric, none rust leak, partial, chlorinated, none rust, waste",
            "none rust, hypochlorite, partial marks, none, partial rust, none rust",
            "methanol, none rust leak, none, partial rust, chlorinated rust, none",
        ),
    ),
    Block(
        "K3",
        "block on the north wall, three high",
        (27.0, 24.0, 30.0, 28.0),
        StandKind.BLOCK,
        2,
        YesNoUnknown.NO,
        (PositionSource.TAPPED, 0.5),
        (
            "none rust leak, methanol, partial rust, cyanide",
            "none bulge, waste rust, partial marks, none rust",
            "methanol, none rust, none, partial rust",
        ),
    ),
    Block(
        "K4",
        "block in the west room, two high",
        (4.3, 18.0, 5.7, 22.0),
        StandKind.BLOCK,
        1,
        YesNoUnknown.UNKNOWN,
        (PositionSource.TAPPED, 1.0),
        (
            "nitric, none rust leak, waste, partial marks, none rust, hypochlorite",
            "waste rust, none, partial rust, none, chlorinated, none",
        ),
    ),
    Block(
        "K5",
        "single row beside the pit",
        (26.4, 11.7, 33.6, 12.3),
        StandKind.BLOCK,
        0,
        YesNoUnknown.YES,
        (PositionSource.DRAWN, 0.3),
        (
            "methanol, none rust, partial crystals, waste, none leak, chlorinated, "
            "partial marks, none rust crystals, methanol, partial, hypochlorite, none rust leak",
        ),
    ),
    Block(
        "K6",
        "loose drums by the door",
        (42.1, 4.4, 43.9, 5.6),
        StandKind.LOOSE,
        0,
        YesNoUnknown.YES,
        (PositionSource.DRAWN, 0.3),
        ("methanol, waste rust, partial, none leak, none bulge, chlorinated",),
    ),
)

_K6_SPOTS: tuple[Spot, ...] = ((-0.6, -0.3), (0.0, -0.3), (0.6, -0.3), (-0.6, 0.3), (0.0, 0.3), (0.6, 0.3))


def block_zones() -> Iterator[tuple[str, str, Ring]]:
    """Give one storage zone per block: its name, title and outline, a hand's breadth round the block."""
    for block in BLOCKS:
        west, south, east, north = block.footprint
        yield block.name, block.title, box(west - 0.2, south - 0.2, east + 0.2, min(north + 0.2, 28))


def add_stock(site: Recorder) -> None:
    """Write down every block with the one reading there is of it."""
    for block in BLOCKS:
        source, tolerance_m = block.position
        width_m, depth_m = block.size
        site.add(
            "pallets",
            block.name,
            kind=block.kind,
            at=block.middle,
            width_m=width_m,
            depth_m=depth_m,
            position_source=source,
            tolerance_m=tolerance_m,
            stable=block.stable,
        )
        seen = list(_seen(block))
        site.reading(block.name, seen)
        for number, hidden in enumerate(_hidden(block), start=len(seen) + 1):
            name = f"{block.name}-{number}"
            site.add("drums", name, origin=WALK.says(Source.INFERRED), **hidden)


def _seen(block: Block) -> Iterator[dict[str, Any]]:
    for tier, words in enumerate(block.face, start=1):
        drums = words.split(", ")
        for place, word in enumerate(drums):
            yield _seen_drum(*word.split()) | {"tier": tier, "offset": _spot(block, place, len(drums))}


def _seen_drum(label: str, *signs: str) -> dict[str, Any]:
    looks: dict[str, Any] = {
        "fill_pct": None,
        "signs": [_SIGNS[sign] for sign in signs],
        "signs_checked": False,
        "closure": Closure.UNKNOWN,
    }
    if "marks" in signs:
        looks["note"] = "Raised mark of one firm, remains of a label for the content of another."
    if label in _SHORT:
        return drum(_SHORT[label], **looks)
    state = LabelState(label)
    if "crystals" in signs and state is LabelState.PARTIAL:
        looks |= _TORN_LABEL
    return unnamed(None, state, **looks)


def _spot(block: Block, place: int, in_row: int) -> Spot:
    """Give the place of a seen drum from the middle of its block [m]: K4 shows its east face, K1 to K3 their south."""
    width_m, depth_m = block.size
    if block.name == "K6":
        return _K6_SPOTS[place]
    if block.name == "K4":
        return (round(width_m / 4, 2), round(depth_m * ((place + 0.5) / in_row - 0.5), 2))
    along_m = round(width_m * ((place + 0.5) / in_row - 0.5), 2)
    return (along_m, round(-depth_m / 2 + depth_m / (2 * (block.rows_behind + 1)), 2))


def _hidden(block: Block) -> Iterator[dict[str, Any]]:
    for tier, words in enumerate(block.face, start=1):
        for _ in range(block.rows_behind * len(words.split(", "))):
            yield {
                "capacity_l": NOMINAL_L,
                "tier": tier,
                "sighting": Sighting.NOT_SEEN,
                "label": LabelState.NOT_SEEN,
                "note": "Not seen: counted from the rows and tiers of the block.",
            }
