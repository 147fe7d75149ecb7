"""What one person may lift: the revised NIOSH lifting equation, and a can over the lip of a salvage drum."""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from math import inf

from reports.response.rule_rows import rule_rows

LOAD_CONSTANT_KG = 23.0
"""NIOSH 94-110: the most one person should lift under ideal conditions (51 lb)."""

KG_PER_LB = 0.45359237


@dataclass(frozen=True, slots=True)
class LiftCheck:
    """Whether one person may lift a container into a salvage drum: what the equation allows, and load over limit."""

    kg: float
    limit_kg: float
    index: float

    @property
    def allowed(self) -> bool:
        """Whether the load is within what the equation allows."""
        return self.kg <= self.limit_kg

    @property
    def handling(self) -> str:
        """Mass and check as a sentence."""
        mass = f"{self.kg:.0f} kg ({self.kg / KG_PER_LB:.0f} lb)"
        says = f"NIOSH limit for lifting it over the lip {self.limit_kg:.1f} kg, lifting index {self.index:.1f}"
        if self.allowed:
            return f"{mass}: one person may lift it in, on an even floor ({says})"
        return f"{mass}: not by hand ({says}); by a lifter, or by the slide"


def lift_over_lip(kg: float, width_m: float, grip_m: float, lip_m: float) -> LiftCheck:
    """Check a lift of a small container by its top handle from the floor over the lip of a salvage drum.

    Parameters
    ----------
    kg : float
        Mass of the container with its contents [kg].
    width_m, grip_m : float
        Its width, and the height of its handle above the floor [m].
    lip_m : float
        Height of the lip above the floor [m].

    Returns
    -------
    LiftCheck

    Notes
    -----
    Once, straight ahead, on an even floor. The hands are taken at the height of its handle and half its width
    plus 20 cm in front of the ankles (25 cm where they start below 25 cm); the grip counts as poor, because gloves are
    worn. A container of liquid is an unstable load, and suits, heat and slippery floors are outside the equation: a
    lift within the limit is allowed by it, never recommended.

    References
    ----------
    NIOSH publication 94-110 (rev. 2021), sections 1.2 (limits), 1.3.1.1 (estimate of H) and table 6 note 5 (gloves).
    """
    grip_cm = 100 * grip_m
    reach_cm = (20 if grip_cm >= 25 else 25) + 50 * width_m
    limit_kg = recommended_weight_limit_kg(
        horizontal_cm=reach_cm,
        vertical_cm=grip_cm,
        travel_cm=100 * lip_m,
        asymmetry_deg=0,
        lifts_per_min=0.2,
        hours=1,
        coupling="poor",
    )
    return LiftCheck(kg, limit_kg, kg / limit_kg if limit_kg > 0 else inf)


def recommended_weight_limit_kg(
    *,
    horizontal_cm: float,
    vertical_cm: float,
    travel_cm: float,
    asymmetry_deg: float,
    lifts_per_min: float,
    hours: float,
    coupling: str,
) -> float:
    """Return the recommended weight limit of a two-handed lift [kg].

    Parameters
    ----------
    horizontal_cm : float
        Distance of the hands from the ankles [cm]; under 25 counts as 25, over 63 the limit is 0.
    vertical_cm : float
        Height of the hands above the floor at the start [cm]; 0 to 175.
    travel_cm : float
        Vertical travel [cm]; under 25 counts as 25, over 175 the limit is 0.
    asymmetry_deg : float
        Turn of the body [degree]; over 135 the limit is 0.
    lifts_per_min : float
        Lifts per minute; the next higher tabulated frequency is taken.
    hours : float
        Duration of the work [h], up to 8.
    coupling : str
        Grip: good, fair or poor.

    Returns
    -------
    float
        Recommended weight limit [kg].

    Raises
    ------
    ValueError
        If the grip is not one of the three, or hours exceed 8.

    Notes
    -----
    RWL = LC HM VM DM AM FM CM. For two-handed lifts only: it does not cover tipping, rolling, pushing or team lifts and
    must not be used to justify upending a drum.

    References
    ----------
    NIOSH publication 94-110 (rev. 2021), Applications manual for the revised NIOSH lifting equation, sections 1.1 to
    1.3, table 5 (read), table 7 (recalled). Between tabulated frequencies the manual interpolates; the next higher one
    is never the lighter.
    """
    if hours > 8:
        raise ValueError(f"hours must be at most 8, found {hours}")
    if horizontal_cm > 63 or not 0 <= vertical_cm <= 175 or travel_cm > 175 or asymmetry_deg > 135:
        return 0.0
    low = vertical_cm < 75
    return (
        LOAD_CONSTANT_KG
        * (25 / max(horizontal_cm, 25))
        * (1 - 0.003 * abs(vertical_cm - 75))
        * (0.82 + 4.5 / max(travel_cm, 25))
        * (1 - 0.0032 * asymmetry_deg)
        * _frequency_multiplier(lifts_per_min, hours, low=low)
        * _coupling_multiplier(coupling, low=low)
    )


def _frequency_multiplier(lifts_per_min: float, hours: float, *, low: bool) -> float:
    span = "up_to_1_h" if hours <= 1 else "up_to_2_h" if hours <= 2 else "up_to_8_h"
    column = f"{span}_{'below' if low else 'from'}_75_cm"
    for row in _rows("lift_frequency.csv"):
        if lifts_per_min <= float(row["lifts_per_min"]):
            return float(row[column])
    return 0.0


def _coupling_multiplier(coupling: str, *, low: bool) -> float:
    for row in _rows("lift_coupling.csv"):
        if row["coupling"] == coupling:
            return float(row["below_75_cm" if low else "from_75_cm"])
    raise ValueError(f"coupling must be good, fair or poor, found {coupling!r}")


@cache
def _rows(name: str) -> tuple[Mapping[str, str], ...]:
    return tuple(rule_rows(name))
