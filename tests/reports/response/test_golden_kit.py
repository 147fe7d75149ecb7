"""Golden advice on overpacks, people and kit, and that enough of it stands."""

import pytest

from tests.reports.response.golden_kit import SITUATIONS, GoldenKit


@pytest.mark.parametrize("golden", SITUATIONS, ids=lambda golden: golden.title)
def test_advice_holds_and_its_near_miss_flips_it(golden: GoldenKit) -> None:
    case, twin = golden.ask(golden.case), golden.ask(golden.twin)
    assert golden.says in case
    assert golden.instead in twin
    assert golden.says not in twin, "the twin must flip it"
    assert golden.instead not in case, "what the twin says must not be said anyway"


def test_there_are_enough_of_them_and_each_names_its_basis() -> None:
    assert len(SITUATIONS) >= 18
    assert sum(golden.field_practice for golden in SITUATIONS) >= 8
    for golden in SITUATIONS:
        assert any(word in golden.basis for word in ("read", "recalled", "common practice")), golden.title
