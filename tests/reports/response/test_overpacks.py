"""Salvage drums: material by product, size by geometry, and no salvage drum where none may be closed."""

from dataclasses import replace
from datetime import date
from typing import Any

import pytest

from reports.facts import DrumFact, KitFact
from reports.response.advice import OverpackNeed
from reports.response.overpack_stock import overpack_rows
from reports.response.overpacks import overpack_need
from reports.response.salvage import CLEARANCE_M, salvage_drums
from survey.vocabulary import ConditionSign as Sign
from survey.vocabulary import KitKind, KitPlace, LabelState, YesNoUnknown
from tests.reports.response.situations import AS_OF, drum, kit_item, known_size


def need(found: DrumFact) -> OverpackNeed:
    return overpack_need(found, AS_OF)


# product, code, material, vented. Poly for corrosives, steel for solvents: fire service training notes (read). Vents of
# peroxide: IMDG P501 (read); of hypochlorite and isocyanate: common practice, no source.
MATERIALS = [
    ("hydrochloric-acid-32", "1H1", "poly", False),
    ("sodium-hypochlorite-12-5", "1H1", "poly", True),
    ("sodium-hydroxide-50", "1H1", "poly", False),
    ("hydrogen-peroxide-35", "1H1", "poly", True),
    ("sodium-cyanide-solution-30", "1H1", "poly", False),
    ("sodium-sulphide-solution", "1H1", "poly", False),
    ("ammonia-solution-25", "1H1", "poly", False),
    ("phosphoric-acid-75", "1H1", "poly", False),
    ("acetic-acid-glacial", "1H1", "poly", False),
    ("calcium-hypochlorite-dry", "1H2", "poly", True),
    ("toluene", "1A1", "steel", False),
    ("isopropanol", "1A1", "steel", False),
    ("acetone", "1A1", "steel", False),
    ("dichloromethane", "1A1", "steel", False),
    ("hydraulic-oil", "1A1", "steel", False),
    ("toluene-diisocyanate", "1A1", "steel", True),
    ("sodium-hydrosulphite", "1A2", "steel", True),
]


@pytest.mark.parametrize(("product", "code", "material", "vented"), MATERIALS)
def test_material_and_vent_follow_the_product(product: str, code: str, material: str, *, vented: bool) -> None:
    found = need(drum(product, code))
    assert (found.possible, found.material, found.vented) == (True, material, vented)


def test_nitric_acid_never_goes_into_carbon_steel() -> None:
    for code, stainless in (("1A1", True), ("1H1", False), ("1A1", False)):
        found = need(drum("nitric-acid-68", code, stainless=stainless))
        assert found.material == "poly"
        assert "Never carbon steel" in found.remark
        assert "verify" in found.remark
        assert "pump it over" in found.remark


def test_bromine_goes_into_none_on_record() -> None:
    assert not need(drum("bromine", "1A1")).possible


# what forbids a salvage drum, and the twin that allows it
FORBIDDEN: list[tuple[DrumFact, dict[str, Any], str]] = [
    (drum("acetone", signs=frozenset({Sign.BULGING})), {"signs": frozenset({Sign.WALL_DENT})}, "bulges"),
    (drum("acetone", signs=frozenset({Sign.HISSING})), {"signs": frozenset({Sign.LEAKING})}, "vents"),
    (drum("acetone", signs=frozenset({Sign.HOT})), {"signs": frozenset({Sign.PITTED})}, "hot"),
    (drum("tetrahydrofuran", signs=frozenset({Sign.CRYSTALS_AT_CLOSURE})), {"signs": frozenset()}, "crystals"),
    (drum("unidentified"), {"product": drum("toluene").product}, "identified"),
    (drum("toluene", label_read=False, identified=False), {"label_read": True}, "identified"),
    (drum("toluene", label=LabelState.CONTRADICTS_CONTENT), {"label": LabelState.LEGIBLE}, "identified"),
    (
        drum("styrene-stabilised", inhibitor_until=date(2026, 1, 31)),
        {"inhibitor_until": date(2026, 12, 31)},
        "inhibitor",
    ),
    (drum("styrene-stabilised"), {"inhibitor_until": date(2026, 12, 31)}, "inhibitor"),
]


@pytest.mark.parametrize(("found", "twin", "says"), FORBIDDEN)
def test_no_salvage_drum_where_none_may_be_closed(found: DrumFact, twin: dict[str, Any], says: str) -> None:
    refused, allowed = need(found), need(replace(found, **twin))
    assert not refused.possible
    assert says in refused.remark
    assert allowed.possible


# container, litres, expected size: geometry of physics by trade sizes (recalled); a 55 gal drum into an 85 gal salvage
# drum and a 30 gal into a 55 gal are a drum maker's pairing (read)
SIZES = [
    ("1A1", 208.2, "toluene", "85 gal (322 L)"),
    ("1H1", 208.2, "sodium-hydroxide-50", "95 gal (360 L)"),
    ("1A1", 113.6, "toluene", "55 gal (208 L)"),
    ("3H1", 25.0, "mek-peroxide-solution", "30 gal (114 L)"),
    ("3A1", 25.0, "toluene", "30 gal (114 L)"),
]


@pytest.mark.parametrize(("code", "litres", "product", "label"), SIZES)
def test_size_is_the_smallest_that_takes_the_drum(code: str, litres: float, product: str, label: str) -> None:
    found = drum(product, code, capacity_l=litres, fill_l=litres)
    assert need(found).size_label == label
    outer = next(each for each in salvage_drums() if each.label == label and each.material == need(found).material)
    inner = known_size(found)
    assert outer.inside_diameter_m - inner.outside_diameter_m >= 2 * CLEARANCE_M
    assert outer.inside_height_m > inner.outside_height_m


def test_dented_drum_that_just_goes_in_does_not_fit() -> None:
    outer = next(each for each in salvage_drums() if each.label.startswith("85 gal"))
    size = known_size(drum("toluene"))
    assert outer.takes(size)
    assert outer.takes(replace(size, outside_diameter_m=outer.inside_diameter_m - 2 * CLEARANCE_M - 1e-6))
    assert not outer.takes(replace(size, outside_diameter_m=outer.inside_diameter_m - CLEARANCE_M))
    assert not outer.takes(replace(size, outside_height_m=outer.inside_height_m))


def test_a_salvage_drum_takes_no_more_than_it_holds_whatever_the_outside_of_the_drum() -> None:
    outer = next(each for each in salvage_drums() if each.label.startswith("85 gal"))
    size = known_size(drum("toluene"))
    assert outer.takes(size, outer.size_l)
    assert not outer.takes(size, outer.size_l + 0.1)


@pytest.mark.parametrize("litres", [275 * 3.785411784, 1000.0])
def test_more_than_a_salvage_drum_may_hold_is_transferred(litres: float) -> None:
    # 49 CFR 173.3(c): 450 L at most, so that an intermediate bulk container cannot go into one
    found = need(drum("toluene", capacity_l=litres, fill_l=litres))
    assert not found.possible
    assert "transfer by technicians" in found.remark


def test_gross_mass_counts_drum_contents_and_salvage_drum() -> None:
    found = need(drum("toluene"))
    # 208.198 L of 868 kg/m3, 27.2 kg drum, 40 kg salvage drum; 322 - 250.5 L of room round it filled with vermiculite
    # of 0.16 kg/L (masses recalled, worked by hand)
    assert found.net_kg == pytest.approx(208.198 * 0.868 + 27.2 + 71.5 * 0.16, abs=0.5)
    assert found.gross_kg == pytest.approx(found.net_kg + 40)
    assert "no hand lift" in found.handling
    assert found.pallet_id == drum("toluene").pallet_id


def test_unknown_mass_says_that_it_is_a_worst_case() -> None:
    assert "worst case" in need(drum("paint-flammable")).remark
    assert "worst case" not in need(drum("toluene")).remark


def test_needed_is_the_worst_single_pallet() -> None:
    four = [drum("toluene", name=f"A05-{number}") for number in range(1, 5)]
    two = [drum("isopropanol", name=f"A04-{number}") for number in range(1, 3)]
    (row,) = overpack_rows([need(each) for each in (*four, *two)], [])
    assert (row.drums_served, row.needed, row.missing) == (6, 4, 4)
    assert row.products == ("Isopropanol", "Toluene")


def steel_85(**changes: Any) -> KitFact:
    return kit_item(KitKind.SALVAGE_DRUM, "85 gal salvage drum", "steel", capacity_l=322, **changes)


def test_what_is_held_is_counted_by_material_size_and_place() -> None:
    needs = [need(drum("toluene", name=f"A05-{number}")) for number in range(1, 5)]
    kit = [steel_85(quantity=2), steel_85(quantity=1, place=KitPlace.TECHNICIANS)]
    (row,) = overpack_rows(needs, kit)
    assert (row.needed, row.on_site, row.on_apparatus, row.missing) == (4, 2, 1, 1)


@pytest.mark.parametrize(
    "item",
    [
        replace(steel_85(), material="poly"),
        replace(steel_85(), capacity_l=208),
        replace(steel_85(), kind=KitKind.OTHER),
    ],
)
def test_what_does_not_fit_is_not_counted(item: KitFact) -> None:
    (row,) = overpack_rows([need(drum("toluene"))], [item])
    assert (row.on_site, row.missing) == (0, 1)


@pytest.mark.parametrize("item", [replace(steel_85(), capacity_l=None), replace(steel_85(), material="")])
def test_what_is_not_on_record_is_not_counted_and_is_named(item: KitFact) -> None:
    (row,) = overpack_rows([need(drum("toluene"))], [item])
    assert row.missing == 1
    assert "not on record: 85 gal salvage drum" in row.remark


@pytest.mark.parametrize(("vented", "held"), [(YesNoUnknown.YES, 1), (YesNoUnknown.NO, 0), (YesNoUnknown.UNKNOWN, 0)])
def test_vented_need_is_met_by_a_vented_drum_only(vented: YesNoUnknown, held: int) -> None:
    poly = kit_item(KitKind.SALVAGE_DRUM, "95 gal poly", "HDPE", capacity_l=360, vented=vented)
    (row,) = overpack_rows([need(drum("sodium-hypochlorite-12-5", "1H1"))], [poly])
    assert row.on_site == held


def test_steel_only_stock_leaves_every_poly_need_missing() -> None:
    stock = ["hydrochloric-acid-32", "sodium-hypochlorite-12-5", "sodium-hydroxide-50", "hydrogen-peroxide-35"]
    needs = [need(drum(key, "1H1", name=f"{key}-1")) for key in stock]
    rows = overpack_rows(needs, [steel_85(quantity=2)])
    assert {(row.material, row.vented, row.missing) for row in rows} == {("poly", False, 1), ("poly", True, 1)}


def test_drums_that_may_not_be_overpacked_are_not_counted() -> None:
    assert overpack_rows([need(drum("acetone", signs=frozenset({Sign.BULGING})))], []) == ()
