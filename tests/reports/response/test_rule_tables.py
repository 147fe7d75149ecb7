"""Every rule table of this room: a source and a mark in every row, and no word that a rule does not know."""

from collections.abc import Callable, Mapping
from pathlib import Path

import pytest

import reports.response
from reports.response.absorbents import absorbent_advice
from reports.response.method_rules import method_rules, method_steps, read_bars, read_rules, read_steps
from reports.response.rule_rows import filled, rule_rows
from reports.response.stop_rules import read_stop_rules, stop_rules
from survey.catalogue.containers import Wall
from survey.catalogue.materials import materials
from survey.catalogue.product import Form, Mark, Trait
from survey.catalogue.products import catalogue
from survey.catalogue.rows import CatalogueFault
from survey.vocabulary import BreachKind

FILES = sorted(path.name for path in (Path(reports.response.__file__).parent / "data").glob("*.csv"))


def test_there_are_tables_to_walk() -> None:
    assert len(FILES) >= 12


@pytest.mark.parametrize("name", FILES)
def test_every_row_has_source_and_mark(name: str) -> None:
    found = list(rule_rows(name))
    assert found
    for row in found:
        assert row["source"].strip()
        assert row["mark"] in set(Mark)


@pytest.mark.parametrize("name", [name for name in FILES if not name.startswith("lift_")])
def test_rule_names_are_unique(name: str) -> None:
    names = [row["rule"] for row in rule_rows(name)]
    assert len(names) == len(set(names))


def test_no_two_tables_share_a_rule_name() -> None:
    by_table = {name: {row["rule"] for row in rule_rows(name)} for name in FILES if not name.startswith("lift_")}
    every = [rule for rules in by_table.values() for rule in rules]
    assert sorted(every) == sorted(set(every))


@pytest.mark.parametrize("name", ["ensemble_rules.csv", "absorbent_rules.csv", "kit_items.csv"])
def test_traits_asked_for_exist_and_something_catches_the_rest(name: str) -> None:
    asked = {ask for row in rule_rows(name) for ask in row["traits"].split("|")}
    assert asked - {"any", "unidentified"} <= {str(trait) for trait in Trait}
    assert "any" in asked


def test_step_materials_are_those_of_the_resistance_table() -> None:
    named = {material for step in method_steps() for need in step.needs for material in need.materials}
    assert named <= set(materials())


def test_every_bar_bars_a_step_and_says_why() -> None:
    steps = {step.cite.rule for step in method_steps()}
    for name in ("method_bars.csv",):
        for row in rule_rows(name):
            assert set(row["steps"].split("|")) <= steps
            assert row["because"]
    for step in method_steps():
        assert step.short, "a step that may be refused has a short name"


READERS: dict[str, Callable[[list[Mapping[str, str]]], object]] = {
    "stop_rules.csv": read_stop_rules,
    "methods.csv": lambda rows: list(read_rules(rows)),
    "method_steps.csv": lambda rows: list(read_steps(rows, {})),
    "method_bars.csv": read_bars,
    "entry_kit.csv": lambda rows: list(filled(rows)),
}


@pytest.mark.parametrize("name", READERS)
def test_an_empty_cell_is_never_a_permission(name: str) -> None:
    """Whichever cell of whichever row is emptied, the table is refused as a whole: nothing is read as *no bar*."""
    found = [dict(row) for row in rule_rows(name)]
    READERS[name](list(found))
    for place, row in enumerate(found):
        for column in row:
            holed = [*found[:place], row | {column: " "}, *found[place + 1 :]]
            with pytest.raises((CatalogueFault, ValueError)):
                READERS[name](list(holed))


@pytest.mark.parametrize("wall", Wall)
@pytest.mark.parametrize("form", [Form.LIQUID, Form.SOLID])
def test_every_wall_has_a_row_for_a_leak_not_found_yet(wall: Wall, form: Form) -> None:
    assert any(
        BreachKind.UNKNOWN in rule.breaches and wall in rule.walls and form in rule.forms for rule in method_rules()
    )


def test_every_breach_has_a_row_of_its_own() -> None:
    assert {kind for rule in method_rules() for kind in rule.breaches} == set(BreachKind)


def test_absorbent_advice_takes_every_product() -> None:
    assert len(absorbent_advice(catalogue().products)) == len(catalogue().products)


def test_stop_rules_cite_and_weigh() -> None:
    weights = [rule.weight for rule in stop_rules()]
    assert len(weights) == len(set(weights)), "two rules of one weight would be ordered by name alone"
