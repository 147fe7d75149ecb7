"""Thickness marks of steel drums: read as they stand, refused where misread, and never more lenient than the rule."""

from math import inf, nan

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from survey.catalogue.thickness import (
    BODY_MM,
    HEADS_MM,
    THROUGHOUT_MM,
    Reuse,
    Thickness,
    ThicknessRefused,
    reuse,
    reuse_if_measured,
    thickness,
)


@pytest.mark.parametrize("mark", ["1.2/0.9/1.2", "1.2 0.9 1.2", " 1,2/0,9/1,2 mm", "1.2 / 0.9 / 1.2", "1.2/0.9/1.2MM"])
def test_a_mark_is_read_however_it_is_spaced(mark: str) -> None:
    assert thickness(mark) == Thickness(1.2, 0.9, 1.2)


def test_one_number_stands_for_all_of_the_drum() -> None:
    assert thickness("1.0") == thickness("1") == Thickness(1.0, 1.0, 1.0)


@pytest.mark.parametrize(
    "mark",
    [
        "",
        "  ",
        "mm",
        "1.2/0.9",
        "1.2/0.9/1.2/1.2",
        "1.2/x/1.2",
        "-1.0",
        "nan",
        "1.2.3",
        "1e0",
        "١.٢/٠.٩/١.٢/",
        "1A1/X1.4/250",
    ],
)
def test_a_mark_that_is_none_is_refused(mark: str) -> None:
    with pytest.raises(
        ThicknessRefused, match=r"thickness mark: expected one number or three as in 1\.2/0\.9/1\.2, found"
    ):
        thickness(mark)


@pytest.mark.parametrize("mark", ["0", "12", "12/9/12", "0.2", "1.2/0.0/1.2", "100"])
def test_a_thickness_that_no_drum_has_is_refused(mark: str) -> None:
    with pytest.raises(ThicknessRefused, match=r"thickness mark: expected 0\.3 to 3\.0 mm, found"):
        reuse(mark)


@pytest.mark.parametrize(
    ("mark", "expected"),
    [
        ("1.0/0.9/1.0", Reuse.NO),  # neither throughout nor with thick heads
        ("1.1/0.9/1.1", Reuse.IF_MEASURED),  # heads of 1.1 may fall short of 1.11
        ("1.2/0.8/1.2", Reuse.IF_MEASURED),  # a body of 0.8 may fall short of 0.82
        ("1.2/0.9/1.1", Reuse.IF_MEASURED),  # the thinner head counts
        ("0.9/1.2/0.9", Reuse.NO),
        ("1.0/1.2/1.0", Reuse.YES),
        ("1.2/0.7/1.2", Reuse.NO),
        ("1.5", Reuse.YES),
    ],
)
def test_marks_near_the_limits(mark: str, expected: Reuse) -> None:
    assert reuse(mark) is expected


def test_measured_thickness_decides_at_the_limit() -> None:
    assert reuse_if_measured(body_mm=BODY_MM, heads_mm=HEADS_MM)
    assert not reuse_if_measured(body_mm=BODY_MM - 0.01, heads_mm=HEADS_MM)
    assert not reuse_if_measured(body_mm=BODY_MM, heads_mm=HEADS_MM - 0.01)
    assert reuse_if_measured(body_mm=THROUGHOUT_MM, heads_mm=THROUGHOUT_MM)
    for bad in (nan, inf, 0.0, -1.0):
        with pytest.raises(ThicknessRefused, match="measured thickness: expected"):
            reuse_if_measured(body_mm=bad, heads_mm=1.2)


TENTHS = st.integers(3, 30).map(lambda tenths: tenths / 10)


@settings(max_examples=100, derandomize=True, deadline=None)
@given(TENTHS, TENTHS, TENTHS)
def test_a_yes_holds_for_the_thinnest_sheet_so_marked_and_a_no_is_never_turned_by_thinner_sheet(
    top: float, body: float, bottom: float
) -> None:
    answers = [Reuse.NO, Reuse.IF_MEASURED, Reuse.YES]
    here = answers.index(reuse(f"{top}/{body}/{bottom}"))
    if body > 0.3:
        assert answers.index(reuse(f"{top}/{body - 0.1:.1f}/{bottom}")) <= here
    # What is allowed without measuring is at least thick enough as marked.
    if here == 2:
        assert reuse_if_measured(body_mm=body, heads_mm=min(top, bottom))
