from hypothesis import given, settings
from hypothesis import strategies as st

from geometry.kept import Kept


def test_what_was_not_asked_for_longest_goes_first() -> None:
    kept: Kept[str, int] = Kept(10, float)
    for key, weight in (("a", 4), ("b", 4)):
        assert kept.put(key, weight) == weight
    assert kept.get("a") == 4
    kept.put("c", 4)
    assert (kept.get("a"), kept.get("b"), kept.get("c")) == (4, None, 4)


def test_a_result_heavier_than_the_limit_is_kept_alone() -> None:
    kept: Kept[str, int] = Kept(10, float)
    kept.put("a", 4)
    kept.put("b", 50)
    assert (kept.get("a"), kept.get("b"), len(kept)) == (None, 50, 1)


def test_a_newer_result_takes_the_place_of_the_older() -> None:
    kept: Kept[str, int] = Kept(10, float)
    kept.put("a", 9)
    kept.put("a", 1)
    kept.put("b", 9)
    assert (kept.get("a"), kept.get("b")) == (1, 9)


@settings(max_examples=50, derandomize=True, deadline=None)
@given(st.lists(st.tuples(st.integers(0, 5), st.integers(1, 6)), min_size=1, max_size=30))
def test_never_keeps_more_than_the_limit_and_always_the_last(puts: list[tuple[int, int]]) -> None:
    kept: Kept[int, int] = Kept(10, float)
    for key, weight in puts:
        kept.put(key, weight)
        assert sum(kept.get(other) or 0 for other in range(6)) <= 10
        assert kept.get(key) == weight
