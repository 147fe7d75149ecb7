"""The lifting equation: every condition can only lower what one person may lift."""

import pytest

from reports.response.lifting import lift_over_lip, recommended_weight_limit_kg

BEST = {
    "horizontal_cm": 25.0,
    "vertical_cm": 75.0,
    "travel_cm": 25.0,
    "asymmetry_deg": 0.0,
    "lifts_per_min": 0.2,
    "hours": 1.0,
}


def test_ideal_lift_is_the_load_constant() -> None:
    assert recommended_weight_limit_kg(**BEST, coupling="good") == pytest.approx(23.0)


@pytest.mark.parametrize(
    ("change", "limit_kg"),
    [
        ({"horizontal_cm": 10.0}, 23.0),
        ({"travel_cm": 5.0}, 23.0),
        ({"horizontal_cm": 63.1}, 0.0),
        ({"vertical_cm": -1.0}, 0.0),
        ({"vertical_cm": 176.0}, 0.0),
        ({"travel_cm": 176.0}, 0.0),
        ({"asymmetry_deg": 136.0}, 0.0),
        ({"lifts_per_min": 16.0}, 0.0),
    ],
)
def test_edges_of_the_equation(change: dict[str, float], limit_kg: float) -> None:
    assert recommended_weight_limit_kg(**{**BEST, **change}, coupling="good") == pytest.approx(limit_kg)


def test_bad_grip_and_long_days_are_refused() -> None:
    with pytest.raises(ValueError, match="coupling must be good, fair or poor"):
        recommended_weight_limit_kg(**BEST, coupling="slippery")
    with pytest.raises(ValueError, match="hours must be at most 8"):
        recommended_weight_limit_kg(**{**BEST, "hours": 9.0}, coupling="good")


def test_worse_conditions_never_raise_the_limit() -> None:
    best = recommended_weight_limit_kg(**BEST, coupling="good")
    for change in (
        {"horizontal_cm": 40.0},
        {"vertical_cm": 20.0},
        {"travel_cm": 100.0},
        {"lifts_per_min": 6.0},
        {"hours": 8.0},
    ):
        assert recommended_weight_limit_kg(**{**BEST, **change}, coupling="good") < best
    assert recommended_weight_limit_kg(**BEST, coupling="poor") < best


@pytest.mark.parametrize(
    ("width_m", "grip_m", "lip_m", "kg", "allowed"),
    [
        (0.39, 0.46, 0.6985, 10.5, True),
        (0.39, 0.46, 0.6985, 10.7, False),
        (0.39, 0.20, 0.6985, 8.4, True),  # hands below 25 cm reach 5 cm farther: worked by hand, 8.59 kg
        (0.39, 0.20, 0.6985, 8.6, False),
        (0.39, 0.46, 1.80, 0.5, False),  # above 175 cm of travel nothing may be lifted
    ],
)
def test_a_can_over_the_lip(width_m: float, grip_m: float, lip_m: float, kg: float, *, allowed: bool) -> None:
    check = lift_over_lip(kg, width_m, grip_m, lip_m)
    assert check.allowed is allowed
    assert ("one person may lift it in" in check.handling) is allowed
    assert (check.index <= 1) is allowed
