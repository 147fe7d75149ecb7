"""The tables of overpacks, people and kit: no blank cell, and no table that another one contradicts."""

from collections.abc import Callable, Iterator, Mapping
from types import ModuleType
from typing import Any

import pytest

from reports.response import (
    absorbents,
    decontamination,
    duties,
    kit,
    monitoring,
    notifications,
    overpack_ways,
    overpacks,
    protective_equipment,
    salvage,
)
from reports.response.absorbents import absorbent_rules, absorbing
from reports.response.monitoring import monitor_rules
from reports.response.rule_rows import rule_rows
from reports.response.salvage import padding_for, salvage_drums
from survey.catalogue.materials import materials
from survey.catalogue.product import Trait
from survey.catalogue.products import UNIDENTIFIED, catalogue
from survey.catalogue.rows import CatalogueFault

READERS: dict[str, tuple[ModuleType, Callable[[], Any]]] = {
    "absorbent_kinds.csv": (absorbents, absorbents._kinds.__wrapped__),
    "absorbent_rules.csv": (absorbents, absorbents.absorbent_rules.__wrapped__),
    "decontamination.csv": (decontamination, lambda: decontamination._rules.__wrapped__("method")),
    "duties.csv": (duties, duties._rules.__wrapped__),
    "ensemble_rules.csv": (protective_equipment, protective_equipment._rules.__wrapped__),
    "ensembles.csv": (protective_equipment, protective_equipment._consists.__wrapped__),
    "kit_items.csv": (kit, kit._tools.__wrapped__),
    "kit_materials.csv": (kit, kit._materials.__wrapped__),
    "monitors.csv": (monitoring, monitoring.monitor_rules.__wrapped__),
    "notifications.csv": (notifications, notifications._rules.__wrapped__),
    "overpack_rules.csv": (overpacks, overpacks._rules.__wrapped__),
    "overpack_ways.csv": (overpack_ways, overpack_ways._ways.__wrapped__),
    "salvage_drums.csv": (salvage, salvage.salvage_drums.__wrapped__),
    "salvage_padding.csv": (salvage, salvage._paddings.__wrapped__),
    "salvage_transport.csv": (salvage, salvage.transport_rules.__wrapped__),
}


@pytest.mark.parametrize("name", READERS)
def test_a_blank_cell_is_refused_and_never_becomes_a_permission(name: str, monkeypatch: pytest.MonkeyPatch) -> None:
    module, read = READERS[name]
    whole = [dict(row) for row in rule_rows(name)]
    for column in whole[0]:

        def blanked(_name: str, column: str = column) -> Iterator[Mapping[str, str]]:
            yield from ({**row, column: "" if place == 0 else row[column]} for place, row in enumerate(whole))

        monkeypatch.setattr(module, "rule_rows", blanked)
        with pytest.raises(CatalogueFault):
            read()


def test_a_word_that_is_no_answer_is_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    whole = [dict(row) for row in rule_rows("overpack_rules.csv")]
    whole[-1]["answer"] = "nope"
    monkeypatch.setattr(overpacks, "rule_rows", lambda _name: iter(whole))
    with pytest.raises(CatalogueFault, match="no answer to vent"):
        overpacks._rules.__wrapped__()


def test_every_instrument_is_counted_in_the_kit_list_for_whatever_asks_for_it() -> None:
    items = {row["rule"]: row for row in rule_rows("kit_items.csv")}
    for rule in monitor_rules():
        item = items[rule.kit]
        assert item["kind"] == "monitor"
        assert "any" in rule.asks or set(rule.asks) <= set(item["traits"].split("|")), rule.monitor


def test_traits_asked_for_exist() -> None:
    known = {str(trait) for trait in Trait} | {"any", "unidentified", "drains", "no drains", "free", "stopped"}
    for name, column in (
        ("monitors.csv", "traits"),
        ("decontamination.csv", "traits"),
        ("duties.csv", "when"),
        ("kit_items.csv", "traits"),
    ):
        for row in rule_rows(name):
            assert set(row[column].split("|")) <= known, row["rule"]


def test_every_graded_material_can_be_told_from_its_words() -> None:
    assert {row["material"] for row in rule_rows("kit_materials.csv")} == set(materials())


def test_every_kind_of_absorbent_that_a_rule_allows_has_words_and_a_mass() -> None:
    kinds = {kind for rule in absorbent_rules() for kind in rule.allowed_kinds}
    assert kinds <= {row["kind"] for row in rule_rows("absorbent_kinds.csv")}
    assert kinds - {"cellulose"} <= {row["kind"] for row in rule_rows("salvage_padding.csv")}


@pytest.mark.parametrize("product", [*catalogue().products, UNIDENTIFIED], ids=lambda product: product.key)
def test_every_product_has_an_absorbent_and_a_padding(product: Any) -> None:
    assert absorbing(product).kinds
    assert padding_for(product).kind in absorbing(product).kinds


def test_salvage_drums_are_within_what_the_rule_allows() -> None:
    assert {salvage.max_net_kg for salvage in salvage_drums()} == {400.0}
