"""What stands in Quillmere Freight Shed 4: 31 pallets and a cabinet."""

from collections.abc import Sequence
from datetime import UTC, date, datetime
from typing import Any

from seed_demo.authoring import Fields, Origin, Recorder, Spot
from seed_demo.drums import BY_LABEL, BY_LABEL_AND_LIST, BY_LABEL_AND_PAPERS, drum, unnamed
from survey.vocabulary import (
    BreachKind,
    BreachPlace,
    Closure,
    ConditionSign,
    IdentitySource,
    LabelState,
    Orientation,
    PositionSource,
    StandKind,
    YesNoUnknown,
)

WALK = Origin(datetime(2026, 11, 5, 9, 10, tzinfo=UTC), "Idris Calloway")
FIRST_LOOK = Origin(datetime(2026, 11, 5, 10, 20, tzinfo=UTC), "Idris Calloway")
SECOND_LOOK = Origin(datetime(2026, 11, 5, 10, 30, tzinfo=UTC), "Noor Hesketh")
TAPED: dict[str, Any] = {"position_source": PositionSource.MEASURED, "tolerance_m": 0.05}

COATINGS = "Brindlemark Coatings"
PLATING = "Ostrell Plating Supply"
SUNDRIES = "Fennock Sundries"

STOCK_LIST_SAYS = "stock list: sodium hydrogen sulphate, 8"
RACK_LEVEL_3: dict[str, Any] = {"stack_level": 3, "base_height_m": 4.5}

# Pallets of four drums that do not differ: name, centre, product.
_ALIKE: tuple[tuple[str, Spot, str], ...] = (
    ("B01", (2.0, 34.0), "toluene"),
    ("B02", (5.0, 34.0), "toluene"),
    ("B03", (8.0, 34.0), "toluene"),
    ("B04", (11.0, 34.0), "methyl-ethyl-ketone"),
    ("B05", (2.0, 30.0), "methyl-ethyl-ketone"),
    ("B06", (5.0, 30.0), "methyl-ethyl-ketone"),
    ("B07", (8.0, 30.0), "isopropanol"),
    ("B08", (11.0, 30.0), "isopropanol"),
    ("B09", (2.0, 26.0), "xylenes"),
    ("B11", (17.5, 34.0), "hydrochloric-acid-32"),
    ("B12", (17.5, 32.4), "hydrochloric-acid-32"),
    ("B13", (20.5, 34.0), "acetic-acid-glacial"),
    ("B14", (22.0, 34.0), "nitric-acid-68"),
    ("B15", (27.5, 34.0), "sodium-hydroxide-50"),
    ("B16", (27.5, 32.4), "sodium-hydroxide-50"),
    ("B17", (30.5, 34.0), "sodium-cyanide-solution-30"),
    ("B21", (46.0, 30.0), "toluene-diisocyanate"),
    ("B27", (43.0, 10.0), "sodium-hypochlorite-12-5"),
    ("B28", (44.6, 10.0), "sodium-hypochlorite-12-5"),
    ("B29", (46.2, 10.0), "ammonia-solution-25"),
)
_ON_THE_RACK: tuple[tuple[str, Spot, str], ...] = (
    ("B22", (40.0, 16.0), "lubricating-oil"),
    ("B23", (42.0, 16.0), "lubricating-oil"),
    ("B24", (44.0, 16.0), "lubricating-oil"),
    ("B25", (46.0, 16.0), "ethylene-glycol"),
    ("B26", (48.0, 16.0), "ethylene-glycol"),
)


def add_stock(site: Recorder) -> None:
    """Write down every pallet with its readings and drums."""
    for name, at, product in _ALIKE:
        _pallet(site, name, at, [drum(product, identity_sources=BY_LABEL_AND_LIST)] * 4)
    for name, at, product in _ON_THE_RACK:
        _pallet(site, name, at, [drum(product)] * 4, **RACK_LEVEL_3)
    _styrene(site)
    _sulphide(site)
    _hydrosulphite(site)
    _returns(site)
    _peroxide_cabinet(site)


def _pallet(site: Recorder, name: str, at: Spot, drums: Sequence[Fields], **fields: Any) -> None:
    site.add("pallets", name, at=at, stable=YesNoUnknown.YES, **TAPED, **fields)
    site.reading(name, drums)


def _styrene(site: Recorder) -> None:
    styrene = drum(
        "styrene-stabilised",
        identity_sources=BY_LABEL_AND_LIST,
        inhibitor_until=date(2026, 8, 31),
        note="Inhibitor date on the label has passed; temperature not taken.",
    )
    _pallet(site, "B10", (5.0, 26.0), [styrene] * 4)


def _sulphide(site: Recorder) -> None:
    sulphide = drum(
        "sodium-sulphide-solution",
        identity_sources=BY_LABEL_AND_LIST,
        product_text="sodium sulphide solution, UN 1849",
        note="UN 1849 is the entry of the hydrated solid; a solution is shipped under another one. Ask the tenant.",
    )
    _pallet(site, "B18", (32.5, 34.0), [sulphide] * 4)


def _hydrosulphite(site: Recorder) -> None:
    as_packed = {"net_mass_kg": 110, "note": "Unopened; full as packed, 110 kg net."}
    site.add("pallets", "B19", at=(40.0, 30.0), stable=YesNoUnknown.YES, **TAPED)
    no_number = {"un_number": None, "cas_number": None}
    first = drum(
        "sodium-hydrosulphite", product_text=f"label: sodium hydrosulphite; {STOCK_LIST_SAYS}", **no_number, **as_packed
    )
    second = unnamed(
        "1A2",
        LabelState.PARTIAL,
        product="sodium-hydrogen-sulphate",
        product_text=f"label torn after “sodium hydro…”; {STOCK_LIST_SAYS}",
        closure=Closure.RING_LID,
        fill_pct=100,
        identity_sources=(IdentitySource.STOCK_LIST,),
        note="Named from the stock list. UN number not seen.",
    )
    site.reading("B19", [first] * 4, origin=FIRST_LOOK, note="UN number faces the wall; confirm by UN number.")
    site.reading("B19", [second] * 3, origin=SECOND_LOOK, note="Written down without sight of the other reading.")
    _pallet(
        site,
        "B20",
        (41.6, 30.0),
        [drum("sodium-hydrosulphite", product_text=f"label: sodium hydrosulphite; {STOCK_LIST_SAYS}", **as_packed)] * 4,
    )


def _returns(site: Recorder) -> None:
    dented_acid = drum("hydrochloric-acid-32", signs=[ConditionSign.WALL_DENT])
    _pallet(
        site,
        "B30",
        (57.0, 3.0),
        [
            dented_acid,
            dented_acid,
            unnamed("1A1", LabelState.NONE, closure=Closure.BUNGS, note="No label, no papers."),
            drum("methyl-ethyl-ketone", signs=[ConditionSign.CHIME_DENT]),
        ],
    )
    returned = drum("phosphoric-acid-75", identity_sources=BY_LABEL_AND_PAPERS)
    empty = returned | {"fill_pct": 0, "note": "Empty and not cleaned."}
    weeping = returned | {
        "offset": (0.3, -0.3),
        "orientation": Orientation.LYING,
        "signs": [ConditionSign.LEAKING, ConditionSign.WET_RING],
        "breaches": [{"kind": BreachKind.BUNG_WEEP, "place": BreachPlace.LOW}],
        "note": "Lies on its side, bung low; drips across the threshold towards D1.",
    }
    peroxide = drum("hydrogen-peroxide-35", identity_sources=BY_LABEL_AND_PAPERS, offset=(-0.3, -0.3))
    _pallet(site, "B31", (58.6, 3.0), [weeping, peroxide, empty, empty])


def _peroxide_cabinet(site: Recorder) -> None:
    site.add(
        "pallets",
        "Cabinet",
        kind=StandKind.CABINET,
        at=(52.0, 33.0),
        width_m=1.2,
        depth_m=0.6,
        stable=YesNoUnknown.YES,
        **TAPED,
    )
    site.reading(
        "Cabinet",
        [
            drum(
                "mek-peroxide-solution",
                identity_sources=BY_LABEL,
                capacity_l=25,
                offset=(east_m, 0.0),
                tier=shelf,
            )
            for shelf in (1, 2)
            for east_m in (-0.45, -0.15, 0.15, 0.45)
        ],
    )
