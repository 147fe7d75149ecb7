"""What the transport tables say of two products: the use limit every time, and never a permission."""

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from survey.catalogue.product import Form, Mark, Product, Trait
from survey.catalogue.products import UNIDENTIFIED, catalogue
from survey.catalogue.rows import CatalogueFault
from survey.catalogue.segregation import Segregation, at_sea, on_the_road
from survey.catalogue.segregation_tables import _square, road_cells

PRODUCTS = catalogue().products
any_product = st.sampled_from((*PRODUCTS, UNIDENTIFIED))
STRICTNESS = {"road": ["", "O", "*", "X"], "sea": ["X", "1", "2", "3", "4", "*"]}


def product(key: str) -> Product:
    return catalogue().by_key[key]


def strictness(answer: Segregation) -> int:
    return -1 if answer.code is None else STRICTNESS[answer.table].index(answer.code)


def both(a: Product, b: Product) -> tuple[Segregation, Segregation]:
    return on_the_road(a, b), at_sea(a, b)


@settings(max_examples=300, deadline=None)
@given(any_product, any_product)
def test_order_of_the_two_makes_no_difference(one: Product, other: Product) -> None:
    assert both(one, other) == both(other, one)


@settings(max_examples=300, deadline=None)
@given(any_product, any_product)
def test_use_limit_is_said_every_time_and_nothing_reads_as_a_permission(one: Product, other: Product) -> None:
    for answer in both(one, other):
        assert "not a warehouse" in answer.words
        assert answer.source
        assert "compatible" not in answer.words
        assert "no restrictions" not in answer.words
        if not answer.demands and answer.code is not None:
            assert "no clearance" in answer.words


@settings(max_examples=300, deadline=None)
@given(any_product, any_product)
def test_putting_unidentified_in_never_makes_an_answer_milder(one: Product, other: Product) -> None:
    for known, doubtful in zip(both(one, other), both(UNIDENTIFIED, other), strict=True):
        assert strictness(doubtful) >= strictness(known)
        assert not doubtful.certain


@settings(max_examples=200, deadline=None)
@given(any_product, any_product, st.sampled_from(["3", "4.1", "4.2", "4.3", "5.1", "5.2", "6.1", "8"]))
def test_a_further_hazard_never_makes_an_answer_milder(one: Product, other: Product, hazard: str) -> None:
    if one.hazard_class is None:
        return
    more = replace(one, subsidiary=(*one.subsidiary, hazard))
    for before, after in zip(both(one, other), both(more, other), strict=True):
        assert strictness(after) >= strictness(before)


def test_scope_of_the_road_table_is_said_where_it_does_not_reach() -> None:
    ordinary = on_the_road(product("dichloromethane"), product("toluene"))
    assert ordinary.code is None
    assert "only liquids of packing group I, Zone A" in ordinary.words
    nine = on_the_road(replace(product("toluene"), hazard_class="9", subsidiary=()), product("hydrogen-peroxide-35"))
    assert nine.code is None
    assert "class 9 and combustible liquids are not in the table" in nine.words
    solid = on_the_road(product("sodium-hydroxide-solid"), product("toluene"))
    assert solid.code is None
    assert "of class 8 only liquids" in solid.words
    eights = on_the_road(product("hydrochloric-acid-32"), product("sodium-hydroxide-50"))
    assert "acid and alkali are both class 8" in eights.words
    assert not eights.demands


def test_corrosive_liquid_is_never_above_or_beside_an_oxidiser() -> None:
    assert "never above or beside" in on_the_road(product("hydrochloric-acid-32"), product("sodium-chlorate")).words
    assert "never above or beside" not in on_the_road(product("toluene"), product("sodium-chlorate")).words


def test_inhalation_zone_that_nobody_recorded_counts_as_the_worst() -> None:
    entered = replace(product("dimethyl-sulphate"), key="from-a-sheet")
    answer = on_the_road(entered, product("toluene"))
    assert (answer.code, answer.certain) == ("X", False)
    assert answer.says.startswith("cannot be excluded")
    for harmless in (
        replace(entered, packing_group="II"),
        replace(entered, form=Form.SOLID),
        product("dimethyl-sulphate"),
    ):
        assert on_the_road(harmless, product("toluene")).code != "X"
    assert on_the_road(replace(entered, packing_group=None), product("toluene")).code == "X"


def test_form_that_nobody_recorded_counts_as_liquid() -> None:
    entered = replace(product("sodium-hydroxide-solid"), form=Form.UNKNOWN)
    answer = on_the_road(entered, product("sodium-hydrosulphite"))
    assert (answer.code, answer.certain) == ("X", False)


def test_cyanide_with_an_acid_by_paragraph_c() -> None:
    answer = on_the_road(product("copper-cyanide"), product("hydrochloric-acid-32"))
    assert (answer.code, answer.certain, answer.mark) == ("X", True, Mark.READ)
    assert "hydrogen cyanide" in answer.words
    plain = replace(product("copper-cyanide"), traits=product("copper-cyanide").traits - {Trait.CYANIDE})
    assert on_the_road(plain, product("hydrochloric-acid-32")).code is None
    open_answer = replace(plain, traits=plain.traits | {Trait.CYANIDE}, presumed=frozenset({Trait.CYANIDE}))
    for doubtful in (
        on_the_road(product("copper-cyanide"), UNIDENTIFIED),
        on_the_road(open_answer, product("hydrochloric-acid-32")),
    ):
        assert (doubtful.code, doubtful.certain) == ("X", False)
        assert doubtful.says.startswith("cannot be excluded")


def test_product_without_a_class_gets_no_answer_and_why_is_said() -> None:
    for answer in both(product("mdi"), product("toluene")):
        assert (answer.code, answer.demands, answer.certain) == (None, False, False)
        assert "no hazard class" in answer.words


def test_table_that_is_not_the_same_both_ways_round_is_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    lopsided = [
        {"class": "3", "name": "", "note": "", "3": "", "5.1": "O", "source": "made up", "mark": "read"},
        {"class": "5.1", "name": "", "note": "", "3": "", "5.1": "", "source": "made up", "mark": "read"},
    ]
    monkeypatch.setattr("survey.catalogue.segregation_tables.rows", lambda _name: lopsided)
    with pytest.raises(CatalogueFault, match="not the same both ways round"):
        _square("made_up.csv")


def test_cell_read_otherwise_than_the_grid_is_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    grid = [{"class": "3", "name": "", "note": "", "3": "", "source": "made up", "mark": "recalled"}]
    read = [{"class_a": "3", "class_b": "3", "cell": "X", "source": "made up", "mark": "read"}]
    files = {"segregation_road.csv": grid, "segregation_road_read.csv": read}
    monkeypatch.setattr("survey.catalogue.segregation_tables.rows", lambda name: files[name])
    with pytest.raises(CatalogueFault, match="read 'X', the grid has ''"):
        road_cells.__wrapped__()
