"""Ranking: kinds first, figures only break ties, and the order of the input never matters."""

from hypothesis import given
from hypothesis import strategies as st

from reports.assessment import Finding, Kind
from reports.ranking import ranked, zone_order
from reports.response.advice import Cite
from survey.catalogue.product import Mark


def a_finding(
    kind: int,
    *zones: str,
    metres: float | None = None,
    minutes: float | None = None,
    litres: float | None = None,
    sentence: str = "x",
) -> Finding:
    cite = Cite("rule", "source", Mark.READ)
    return Finding(cite, Kind(kind), sentence, "", (), "", zones, (), (), (), litres, minutes, metres, stop=False)


def test_kind_comes_before_every_figure() -> None:
    near = a_finding(5, metres=0.0, litres=1e6)
    worse = a_finding(2, metres=100.0)
    assert ranked([near, worse]) == (worse, near)


def test_figures_break_ties() -> None:
    far, near = a_finding(5, metres=3.0), a_finding(5, metres=0.4)
    late, soon = a_finding(6, minutes=9.0), a_finding(6, minutes=1.6)
    little, much = a_finding(7, litres=10.0), a_finding(7, litres=900.0)
    assert ranked([little, late, far, much, soon, near]) == (near, far, soon, late, much, little)


def test_an_unknown_figure_comes_after_the_known_ones() -> None:
    unknown, known = a_finding(5), a_finding(5, metres=50.0)
    assert ranked([unknown, known]) == (known, unknown)


def test_zones_rank_by_their_worst_then_the_next() -> None:
    findings = [a_finding(2, "a", "b"), a_finding(5, "b", metres=1.0), a_finding(7, "a"), a_finding(1, "c")]
    assert zone_order(["d", "a", "b", "c"], findings) == ("c", "b", "a", "d")


def test_more_of_the_same_ranks_higher() -> None:
    findings = [a_finding(2, "one", metres=0.0), a_finding(2, "two", metres=0.0), a_finding(2, "two", metres=0.0)]
    assert zone_order(["one", "two"], findings) == ("two", "one")


FINDINGS = st.builds(
    lambda kind, metres, sentence: a_finding(kind, "z", metres=metres, sentence=sentence),
    st.integers(1, 7),
    st.none() | st.floats(0, 100),
    st.text(max_size=5),
)


@given(st.lists(FINDINGS, max_size=8), st.randoms(use_true_random=False))
def test_the_order_of_the_input_does_not_matter(findings: list[Finding], random: object) -> None:
    shuffled = list(findings)
    random.shuffle(shuffled)  # type: ignore[attr-defined]
    assert ranked(shuffled) == ranked(findings)
    kinds = [finding.kind for finding in ranked(findings)]
    assert kinds == sorted(kinds)
