"""Laws of overpacks, people and kit: doubt and bad signs only ever ask for more and allow less."""

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from reports.facts import DrumFact
from reports.response import methods
from reports.response.absorbents import absorbent_rules, absorbing
from reports.response.kit import kit_lines, kit_material_conflict
from reports.response.method_rules import method_steps
from reports.response.methods import method_tables
from reports.response.monitoring import monitor_lines
from reports.response.notifications import Outlet, notification_lines
from reports.response.overpack_ways import Place, gear_on_record
from reports.response.overpacks import overpack_need
from survey.catalogue.containers import Wall
from survey.catalogue.product import Form, Product, Trait
from survey.catalogue.products import UNIDENTIFIED, catalogue
from survey.vocabulary import BreachKind, ConditionSign, DrainDestination, KitKind
from tests.reports.response.situations import AS_OF, breach, drum, kit_item
from tests.reports.response.test_laws import drums, known_products


@settings(max_examples=150, deadline=None)
@given(known_products, st.frozensets(st.sampled_from(Trait), max_size=5), st.sampled_from(Trait))
def test_a_further_trait_never_allows_an_absorbent(product: Product, traits: frozenset[Trait], more: Trait) -> None:
    one = replace(product, traits=traits)
    two = replace(product, traits=traits | {more})
    if any("any" not in rule.asks and {str(each) for each in traits} & set(rule.asks) for rule in absorbent_rules()):
        assert absorbing(two).kinds <= absorbing(one).kinds


@settings(max_examples=100, deadline=None)
@given(st.lists(known_products, min_size=1, max_size=4), st.data())
def test_replacing_a_product_by_unidentified_never_removes_kit_or_an_instrument(
    products: list[Product], data: st.DataObject
) -> None:
    place = data.draw(st.integers(0, len(products) - 1))
    nameless = [*products[:place], UNIDENTIFIED, *products[place + 1 :]]

    def tools(of: list[Product]) -> set[str]:
        lines = kit_lines((), drains_to_cover=1, products=of, overpacks=(), largest_l={})
        return {line.cite.rule for line in lines if not line.item.startswith("absorbent") and line.needed}

    assert tools(products) <= tools(nameless)
    assert {line.monitor for line in monitor_lines(products)} <= {line.monitor for line in monitor_lines(nameless)}
    assert any(
        "absorbent" in line.item
        for line in kit_lines((), drains_to_cover=0, products=nameless, overpacks=(), largest_l={})
    )


@pytest.mark.parametrize("product", catalogue().products, ids=lambda product: product.key)
def test_kit_and_method_check_a_material_alike(product: Product, monkeypatch: pytest.MonkeyPatch) -> None:
    """What a method names for a product is kit for it, and what none names is not.

    Walls, signs and sizes bar steps too, but say nothing of a material against a product: they are left out here.
    """
    bare = tuple(
        replace(step, walls=frozenset(Wall), bars=tuple(bar for bar in step.bars if bar.asks == "trait"))
        for step in method_steps()
    )
    monkeypatch.setattr(methods, "method_steps", lambda: bare)
    monkeypatch.setattr(methods, "MATERIALS_NAMED", 99)
    pierced = [
        replace(
            drum(code=code, name=f"X-{code}-{kind}", breaches=(breach(kind, 2.0),)),
            product=replace(product, form=Form.LIQUID),
        )
        for code in ("1A1", "1H1", "1G")
        for kind in BreachKind
    ]
    rows = [row for each in pierced for table in method_tables([each], {each.id: ()}) for row in table.rows]
    said = {named for row in rows for named in row.materials}
    used = {material for step in method_steps() for need in step.needs for material in need.materials}
    named = {material for material in used for part in said if part.startswith((f"{material} ", f"{material}:"))}
    kit = {each for each in used if kit_material_conflict(kit_item(KitKind.PLUG, "item", each), product) is None}
    assert kit == named


@settings(max_examples=100, deadline=None)
@given(drums(), st.sampled_from(ConditionSign), st.floats(0, 10), st.booleans())
def test_adding_a_sign_never_opens_a_way_into_a_salvage_drum(
    found: DrumFact,
    sign: ConditionSign,
    room_m: float,
    stacked: bool,  # noqa: FBT001 - drawn by Hypothesis
) -> None:
    place = Place(room_m, stacked, gear_on_record([kit_item(KitKind.TOOL, "Drum lifter")]))

    def taken(of: DrumFact) -> set[str]:
        return {way.name for way in overpack_need(of, AS_OF, place=place).ways if not way.refused}

    assert taken(replace(found, signs=found.signs | {sign})) <= taken(found)
    assert {way.name for way in overpack_need(found, AS_OF).ways if not way.refused} <= taken(found), (
        "no place is worst"
    )


@settings(max_examples=100, deadline=None)
@given(st.lists(drums(), min_size=1, max_size=3), st.sampled_from(DrainDestination), st.booleans())
def test_unknown_destinations_and_products_never_tell_fewer(
    stock: list[DrumFact],
    goal: DrainDestination,
    proven: bool,  # noqa: FBT001 - drawn by Hypothesis
) -> None:
    def told(destination: DrainDestination, of: list[DrumFact]) -> set[str]:
        lines = notification_lines([Outlet("D1", destination, proven, ())], of, ())
        return {line.who for line in lines if line.cite.rule not in ("J13", "J14", "J15", "J17", "J18", "J19")}

    assert told(goal, stock) <= told(DrainDestination.UNKNOWN, stock)
    nameless = [replace(drum, product=UNIDENTIFIED) for drum in stock]
    assert told(goal, stock) <= told(goal, nameless)


@settings(max_examples=120, deadline=None)
@given(drums(), st.frozensets(st.sampled_from(Trait), max_size=6), st.floats(1, 2000))
def test_whatever_a_product_is_a_salvage_drum_is_chosen_or_refused_in_words(
    found: DrumFact, traits: frozenset[Trait], litres: float
) -> None:
    odd = replace(found, product=replace(found.product, traits=traits), capacity_l=litres, fill_l=litres)
    need = overpack_need(odd, AS_OF)
    assert need.possible or need.remark
    if need.possible:
        assert need.size_l >= litres
        assert need.net_kg <= 400 or "weigh it first" in need.remark
        assert need.fit
        assert need.padding
