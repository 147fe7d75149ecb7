"""Names as typed: one spelling for British and American, and near enough for a slip of the finger."""

import pytest

from survey.catalogue.names import Name, Typed, folded


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ("Sulphuric acid", "sulfuric ACID"),
        ("aluminium powder", "Aluminum powder"),
        ("styrene, stabilised", "Styrene  stabilized"),
        ("N,N-Dimethylformamide", "n n dimethylformamide"),
        ("Laliberté", "laliberte"),
    ],
)
def test_spellings_fold_together(one: str, other: str) -> None:
    assert folded(one) == folded(other)


@pytest.mark.parametrize(
    ("one", "other"), [("sulphite", "sulphide"), ("nitrite", "nitrate"), ("acetone", "acetic acid")]
)
def test_different_substances_do_not_fold_together(one: str, other: str) -> None:
    assert folded(one) != folded(other)


def test_closeness_falls_with_distance() -> None:
    typed = Typed("toluene")
    same, beginning, word, slip, far = (
        typed.closeness(Name(name))
        for name in ("toluene", "toluene di isocyanate", "2 4 toluene di isocyanate", "toluenne", "brine")
    )
    assert 1 == same > beginning > word > slip > far == 0
