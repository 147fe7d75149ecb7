"""Minutes in words: the early end rounds down, the late end up, and nothing that is unknown looks known."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from reports.assessment import ClockKind, ClockLine, LeakTime, Order
from reports.minutes import leaks_text, line_minutes, minutes_text, order, span_of_time


@pytest.mark.parametrize(
    ("early_min", "late_min", "says"),
    [
        (None, None, "time unknown"),
        (None, 5.0, "time unknown"),
        (0.0, 0.0, "under 1 min"),
        (0.2, 0.9, "under 1 min"),
        (0.2, 6.3, "under 1 to 7 min"),
        (3.7, 17.2, "3 to 18 min"),
        (3.0, 3.0, "3 min"),
        (3.9, 3.95, "3 to 4 min"),
        (0.3, None, "from under 1 min"),
        (14.2, None, "from 14 min"),
        (5.0, 61.0, "5 min to over an hour"),
        (5.0, 60.0, "5 to 60 min"),
        (60.0, None, "not within the hour"),
        (75.0, 80.0, "not within the hour"),
    ],
)
def test_range_of_minutes(early_min: float | None, late_min: float | None, says: str) -> None:
    assert minutes_text(early_min, late_min) == says


@pytest.mark.parametrize(
    ("early_min", "late_min", "beside", "says"),
    [
        (0.2, 4.54, (5.0, 35.0), "under 1 to 4.6 min"),
        (0.2, 4.54, (6.0,), "under 1 to 5 min"),
        (0.2, 4.97, (5.0,), "under 1 to 4.97 min"),
        (5.6, 9.2, (5.5,), "5.6 to 10 min"),
        (5.0, 9.2, (5.0,), "5 to 10 min"),
        (0.7, 3.0, (0.5,), "0.7 to 3 min"),
        (3.9, None, (3.5,), "from 3.9 min"),
    ],
)
def test_whole_minutes_do_not_turn_the_order_round(
    early_min: float, late_min: float | None, beside: tuple[float, ...], says: str
) -> None:
    assert minutes_text(early_min, late_min, beside) == says


@given(st.floats(0, 59.9), st.floats(0, 59.9))
def test_the_printed_range_holds_the_true_one(a: float, b: float) -> None:
    early, late = sorted((a, b))
    numbers = [int(word) for word in minutes_text(early, late).split() if word.isdigit()]
    assert numbers[0] <= early or numbers == [1] or "under" in minutes_text(early, late)
    assert numbers[-1] >= late or numbers[-1] == early


@pytest.mark.parametrize(
    ("minutes", "says"), [(1.64, "1.6 min"), (9.96, "10.0 min"), (25.4, "25 min"), (119.0, "119 min"), (600, "10 h")]
)
def test_one_length_of_time(minutes: float, says: str) -> None:
    assert span_of_time(minutes) == says


@pytest.mark.parametrize(
    ("early_min", "late_min", "there_min", "found"),
    [
        (3, 7, 12, Order.BEFORE),
        (3, 7, 7, Order.MAYBE),
        (3, 20, 12, Order.MAYBE),
        (3, None, 12, Order.MAYBE),
        (12, 20, 12, Order.AFTER),
        (3, 7, None, Order.UNKNOWN),
    ],
)
def test_who_is_there_first(early_min: float, late_min: float | None, there_min: float | None, found: Order) -> None:
    assert order(early_min, late_min, there_min) is found


def test_a_line_of_the_clock_says_a_range_or_one_time() -> None:
    def says(kind: ClockKind, early_min: float | None, late_min: float | None) -> str:
        return line_minutes(ClockLine(kind, early_min, late_min, "", "", None, None))

    assert says(ClockKind.DRAIN, 3.2, 6.1) == "3 to 7 min"
    assert says(ClockKind.OVERFLOW, 1.64, 1.64) == "1.6 min"
    assert says(ClockKind.OVERFLOW, 0.0, 0.0) == "at once"
    assert says(ClockKind.FIRST_ENGINE, 7.0, 7.0) == "7 min"
    assert says(ClockKind.TECHNICIANS, None, None) == "time unknown"


def leak_time(leak: str, early_min: float, late_min: float | None, **changes: object) -> LeakTime:
    given = {"why": "", "recorded": False, "first_l_min": 11.0, "leaves_l": 208.0, "falling_min": None} | changes
    return LeakTime(leak=leak, early_min=early_min, late_min=late_min, **given)  # type: ignore[arg-type]


def test_leaks_of_one_time_are_named_together_and_a_fall_and_a_running_leak_are_said() -> None:
    said = leaks_text(
        [
            leak_time("10 mm hole", 3.4, 6.6, falling_min=0.4),
            leak_time("100 × 10 mm slot", 0.3, 0.9, falling_min=0.1),
            leak_time("open 2 in bung", 0.2, 0.6),
            leak_time("bung weep of X1", 0.2, 0.6, recorded=True, why="size not recorded"),
        ]
    )
    assert said == (
        "10 mm hole: 3 to 7 min, or under 1 min if the floor falls that way; "
        "100 × 10 mm slot and open 2 in bung: under 1 min; "
        "bung weep of X1: under 1 min, leaking already (size not recorded)"
    )
