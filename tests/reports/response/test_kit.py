"""Absorbents by class, conflicts with what lies nearby, and the kit list.

Never cellulose on oxidisers, carbonate for acids, only calcium for hydrofluoric acid: one university spill guide (read;
other sources accept clay for some acids). Organic absorbent on nitrate: the 2014 waste drum reports (read).
"""

from dataclasses import replace

import pytest

from reports.response.absorbents import absorbent_advice, absorbent_conflict, absorbent_kind
from reports.response.advice import KitLine
from reports.response.kit import kit_lines
from reports.response.overpack_stock import overpack_rows
from reports.response.overpacks import overpack_need
from survey.catalogue.product import Product
from survey.catalogue.products import catalogue
from survey.vocabulary import KitKind, KitPlace
from tests.reports.response.situations import AS_OF, drum, kit_item


def product(key: str) -> Product:
    return catalogue().by_key[key]


# absorbent, product, forbidden; each forbidden pair stands beside one that is allowed
CONFLICTS = [
    ("Sawdust", "hydrogen-peroxide-35", True),
    ("Sawdust", "hydraulic-oil", False),
    ("Paper roll", "nitric-acid-68", True),
    ("Vermiculite", "nitric-acid-68", False),
    ("Peat", "ammonium-nitrate", True),
    ("Wood shavings", "sodium-hypochlorite-12-5", True),
    ("Sand", "sodium-hypochlorite-12-5", False),
    ("Clay granules", "hydrochloric-acid-32", True),
    ("Sodium bicarbonate", "hydrochloric-acid-32", False),
    ("Clay granules", "hydrofluoric-acid", True),
    ("Vermiculite", "hydrofluoric-acid", True),
    ("Sodium bicarbonate", "hydrofluoric-acid", True),
    ("Calcium carbonate", "hydrofluoric-acid", False),
    ("Clay granules", "toluene", False),
    ("Oil pads", "sodium-hydrosulphite", True),
    ("Dry sand", "sodium-hydrosulphite", False),
    ("Sawdust", "mek-peroxide-solution", True),
    ("Perlite", "mek-peroxide-solution", False),
    ("Sawdust", "sodium-hydroxide-50", True),
    ("Sawdust", "unidentified", True),
    ("Oil pads", "unidentified", True),
    ("Vermiculite", "unidentified", False),
]


@pytest.mark.parametrize(("name", "key", "forbidden"), CONFLICTS)
def test_absorbent_is_checked_against_the_product(name: str, key: str, *, forbidden: bool) -> None:
    conflict = absorbent_conflict(kit_item(KitKind.ABSORBENT, name), product(key))
    assert (conflict is not None) is forbidden
    if conflict:
        assert name in conflict
        assert product(key).name in conflict


def test_absorbent_of_unknown_make_is_a_conflict_everywhere() -> None:
    item = kit_item(KitKind.ABSORBENT, "Spill kit bag")
    assert absorbent_kind(item) is None
    for each in catalogue().products:
        assert "not on record" in (absorbent_conflict(item, each) or "")


@pytest.mark.parametrize(
    ("name", "kind"),
    [
        ("Sawdust", "cellulose"),
        ("3 bags of rags", "cellulose"),
        ("storage bag", None),
        ("Calcium bicarbonate", "calcium carbonate"),
        ("Soda ash", "carbonate"),
        ("Universal pads", "polymer"),
        ("Cat litter", "clay"),
        ("one thousand bags", None),
    ],
)
def test_kind_is_read_out_of_whole_words(name: str, kind: str | None) -> None:
    assert absorbent_kind(kit_item(KitKind.ABSORBENT, name)) == kind


def test_kind_is_read_out_of_the_material_too() -> None:
    assert absorbent_kind(kit_item(KitKind.ABSORBENT, "Bag", "diatomite")) == "inert mineral"


def test_other_kit_is_no_absorbent() -> None:
    assert absorbent_conflict(kit_item(KitKind.PLUG, "wood wedges"), product("nitric-acid-68")) is None


def test_advice_comes_strictest_first_and_each_product_once() -> None:
    keys = ["toluene", "hydrofluoric-acid", "unidentified", "toluene", "hydrogen-peroxide-35"]
    advice = absorbent_advice([product(key) for key in keys])
    assert [line.product for line in advice] == [
        "not identified",
        "Hydrofluoric acid, not over 60 %",
        "Hydrogen peroxide 35 %",
        "Toluene",
    ]
    assert "sawdust" in advice[2].never
    assert "calcium" in advice[1].use


def lines(*items: tuple[KitKind, str, int], **places: KitPlace) -> list[KitLine]:
    kit = [kit_item(kind, name, quantity=quantity, **places) for kind, name, quantity in items]
    needs = [overpack_need(drum("toluene"), AS_OF)]
    return list(
        kit_lines(
            kit,
            drains_to_cover=3,
            products=[product("toluene"), product("hydrogen-peroxide-35")],
            overpacks=overpack_rows(needs, kit),
            largest_l={},
        )
    )


def line(found: list[KitLine], word: str) -> KitLine:
    return next(entry for entry in found if word in entry.item)


def test_drain_covers_are_counted_against_drains() -> None:
    cover = line(lines((KitKind.DRAIN_COVER, "drain mat", 2)), "drain cover")
    assert (cover.needed, cover.on_site, cover.missing) == (3, 2, 1)


def test_tools_are_asked_for_by_product() -> None:
    found = lines((KitKind.TOOL, "bung wrench", 1))
    assert line(found, "bung wrench").missing == 0
    sparkless = line(found, "non-sparking")
    assert sparkless.missing == 1
    assert "Toluene" in sparkless.why
    assert not any("calcium gluconate" in entry.item for entry in found)


def test_plain_wrench_is_no_non_sparking_tool() -> None:
    assert line(lines((KitKind.TOOL, "bung wrench", 5)), "non-sparking").on_site == 0
    assert line(lines((KitKind.TOOL, "bronze bung wrench, non-sparking", 1)), "non-sparking").on_site == 1


def test_apparatus_is_counted_apart() -> None:
    cover = line(lines((KitKind.DRAIN_COVER, "drain mat", 2), place=KitPlace.FIRST_ENGINE), "drain cover")
    assert (cover.on_site, cover.on_apparatus) == (0, 2)


def test_absorbent_litres_come_from_the_stocked_item_only() -> None:
    sand = kit_item(KitKind.ABSORBENT, "Sand", quantity=4)
    without = kit_lines(
        [sand], drains_to_cover=0, products=[product("toluene")], overpacks=(), largest_l={"toluene": 200.0}
    )
    counted = replace(sand, capacity_l=20.0)
    with_it = kit_lines(
        [counted], drains_to_cover=0, products=[product("toluene")], overpacks=(), largest_l={"toluene": 200.0}
    )
    assert line(list(without), "absorbent").missing == 200
    assert "No capacity on record" in line(list(without), "absorbent").remark
    assert (line(list(with_it), "absorbent").on_site, line(list(with_it), "absorbent").missing) == (80, 120)


def test_forbidden_absorbent_counts_for_nothing() -> None:
    sawdust = kit_item(KitKind.ABSORBENT, "Sawdust", quantity=9, capacity_l=20.0)
    found = kit_lines(
        [sawdust], drains_to_cover=0, products=[product("hydrogen-peroxide-35")], overpacks=(), largest_l={}
    )
    assert line(list(found), "absorbent").on_site == 0
    assert "sawdust" in line(list(found), "absorbent").remark


def test_solids_ask_for_no_absorbent() -> None:
    found = kit_lines([], drains_to_cover=0, products=[product("sodium-cyanide-solid")], overpacks=(), largest_l={})
    assert not any("absorbent" in entry.item for entry in found)


def test_salvage_drums_stand_in_the_list() -> None:
    steel = line(lines(), "85 gal (322 L) steel salvage drum")
    assert (steel.needed, steel.missing) == (1, 1)


def test_hydrofluoric_acid_asks_for_calcium_gluconate() -> None:
    found = kit_lines([], drains_to_cover=0, products=[product("hydrofluoric-acid")], overpacks=(), largest_l={})
    assert line(list(found), "calcium gluconate").missing == 1


def test_unidentified_asks_for_every_monitor_and_every_antidote() -> None:
    found = kit_lines([], drains_to_cover=0, products=[product("unidentified")], overpacks=(), largest_l={})
    items = " | ".join(entry.item for entry in found)
    for word in ("radiation", "flammable-vapour", "toxic-gas", "pH paper", "thermal camera", "non-sparking"):
        assert word in items
    assert "calcium gluconate" in items, "it may be hydrofluoric acid"
