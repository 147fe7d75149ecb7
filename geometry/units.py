"""Both unit systems for people. Pint works here, at the edge, and nowhere else in this room.

Traps kept out by naming every unit in full: pint's *barrel* is 31.5 gallons and not the oil trade's 42, *oz* is a mass,
*gallon* is the US one, and temperatures do not parse as text.
"""

import math
from functools import lru_cache
from typing import TYPE_CHECKING

from geometry.errors import GeometryRefused

if TYPE_CHECKING:
    from pint import UnitRegistry


@lru_cache(maxsize=1)
def _registry() -> "UnitRegistry[float]":
    from pint import UnitRegistry  # noqa: PLC0415  (half a second, paid only where people are shown numbers)

    return UnitRegistry()


def converted(value: float, unit: str, to: str) -> float:
    """Convert a number from one unit to another.

    Parameters
    ----------
    value : float
        The number [unit].
    unit, to : str
        Names of units as pint knows them, in full: *foot*, *US_liquid_gallon*, *degree_Celsius*.

    Returns
    -------
    float
        The number [to].

    Raises
    ------
    GeometryRefused
        If the number is not finite, a unit is unknown, or they do not measure the same kind of thing.
    """
    from pint import DimensionalityError, UndefinedUnitError  # noqa: PLC0415

    if not math.isfinite(value):
        raise GeometryRefused(f"value in {unit}: expected a finite number, found {value}")
    try:
        return float(_registry().Quantity(value, unit).to(to).magnitude)
    except (DimensionalityError, UndefinedUnitError) as error:
        raise GeometryRefused(f"expected {unit} as {to}, found that {error}") from error


def metres_from_feet(feet: float) -> float:
    """Turn feet into metres.

    Parameters
    ----------
    feet : float
        Length [ft].

    Returns
    -------
    float
        Length [m].

    Raises
    ------
    GeometryRefused
        If the number is not finite.
    """
    return converted(feet, "foot", "meter")


def metres_from_inches(inches: float) -> float:
    """Turn inches into metres.

    Parameters
    ----------
    inches : float
        Length [in].

    Returns
    -------
    float
        Length [m].

    Raises
    ------
    GeometryRefused
        If the number is not finite.
    """
    return converted(inches, "inch", "meter")


def litres_from_gallons(gallons: float) -> float:
    """Turn US gallons into litres.

    Parameters
    ----------
    gallons : float
        Volume [US gal].

    Returns
    -------
    float
        Volume [L].

    Raises
    ------
    GeometryRefused
        If the number is not finite.
    """
    return converted(gallons, "US_liquid_gallon", "liter")


def m3_from_l(litres: float) -> float:
    """Turn litres into cubic metres, which is exact: no registry needed.

    Parameters
    ----------
    litres : float
        Volume [L].

    Returns
    -------
    float
        Volume [m³].
    """
    return litres / 1000


def kg_from_lb(pounds: float) -> float:
    """Turn pounds into kilograms.

    Parameters
    ----------
    pounds : float
        Mass [lb].

    Returns
    -------
    float
        Mass [kg].

    Raises
    ------
    GeometryRefused
        If the number is not finite.
    """
    return converted(pounds, "pound", "kilogram")


def l_min_from_gpm(gallons_per_minute: float) -> float:
    """Turn US gallons per minute into litres per minute.

    Parameters
    ----------
    gallons_per_minute : float
        Flow [US gal/min].

    Returns
    -------
    float
        Flow [L/min].

    Raises
    ------
    GeometryRefused
        If the number is not finite.
    """
    return converted(gallons_per_minute, "US_liquid_gallon/minute", "liter/minute")


def metres_and_feet(metres: float, *, places: int | None = None) -> str:
    """Length for people: *2.4 m (7.9 ft)*.

    Parameters
    ----------
    metres : float
        Length [m].
    places : int, optional
        Decimals of the metres; two below 1 m, one below 20 m, none above, unless given.

    Returns
    -------
    str

    Raises
    ------
    GeometryRefused
        If the number is not finite.
    """
    feet = converted(metres, "meter", "foot")
    if places is None:
        places = 2 if abs(metres) < 1 else 1 if abs(metres) < 20 else 0
    return f"{metres:,.{places}f} m ({feet:,.{min(places, 1)}f} ft)"


def mm_and_inches(millimetres: float) -> str:
    """Small length for people: *2.8 mm (0.11 in)*.

    Parameters
    ----------
    millimetres : float
        Length [mm].

    Returns
    -------
    str

    Raises
    ------
    GeometryRefused
        If the number is not finite.
    """
    inches = converted(millimetres, "millimeter", "inch")
    places = 1 if abs(millimetres) < 20 else 0
    return f"{millimetres:,.{places}f} mm ({inches:,.{places + 1}f} in)"


def square_metres_and_feet(square_metres: float) -> str:
    """Area for people: *196 m² (2,110 ft²)*.

    Parameters
    ----------
    square_metres : float
        Area [m²].

    Returns
    -------
    str

    Raises
    ------
    GeometryRefused
        If the number is not finite.
    """
    square_feet = converted(square_metres, "meter**2", "foot**2")
    places = 1 if abs(square_metres) < 10 else 0
    return f"{square_metres:,.{places}f} m² ({square_feet:,.0f} ft²)"


def litres_and_gallons(litres: float) -> str:
    """Volume for people: *208 L (55 US gal)*.

    Parameters
    ----------
    litres : float
        Volume [L].

    Returns
    -------
    str

    Raises
    ------
    GeometryRefused
        If the number is not finite.
    """
    gallons = converted(litres, "liter", "US_liquid_gallon")
    return f"{litres:,.{1 if abs(litres) < 10 else 0}f} L ({gallons:,.{1 if abs(gallons) < 10 else 0}f} US gal)"


def l_min_and_gpm(litres_per_minute: float) -> str:
    """Flow for people: *2,391 L/min (632 US gal/min)*.

    Parameters
    ----------
    litres_per_minute : float
        Flow [L/min].

    Returns
    -------
    str

    Raises
    ------
    GeometryRefused
        If the number is not finite.
    """
    gallons = converted(litres_per_minute, "liter/minute", "US_liquid_gallon/minute")
    places = 1 if abs(litres_per_minute) < 40 else 0
    return f"{litres_per_minute:,.{places}f} L/min ({gallons:,.{places}f} US gal/min)"


def kg_and_lb(kilograms: float) -> str:
    """Mass for people: *318 kg (701 lb)*.

    Parameters
    ----------
    kilograms : float
        Mass [kg].

    Returns
    -------
    str

    Raises
    ------
    GeometryRefused
        If the number is not finite.
    """
    pounds = converted(kilograms, "kilogram", "pound")
    places = 1 if abs(kilograms) < 10 else 0
    return f"{kilograms:,.{places}f} kg ({pounds:,.{places}f} lb)"


def celsius_and_fahrenheit(celsius: float) -> str:
    """Temperature for people: *4 °C (39 °F)*.

    Parameters
    ----------
    celsius : float
        Temperature [°C].

    Returns
    -------
    str

    Raises
    ------
    GeometryRefused
        If the number is not finite.
    """
    fahrenheit = converted(celsius, "degree_Celsius", "degree_Fahrenheit")
    return f"{celsius:.0f} °C ({fahrenheit:.0f} °F)"


def mm_min_and_gpm_ft2(millimetres_per_minute: float) -> str:
    """Sprinkler density for people: *12.2 mm/min (0.30 US gal/min per ft²)*.

    Parameters
    ----------
    millimetres_per_minute : float
        Water per area and time [mm/min, the same as L/min per m²].

    Returns
    -------
    str

    Raises
    ------
    GeometryRefused
        If the number is not finite.
    """
    density = converted(millimetres_per_minute, "millimeter/minute", "US_liquid_gallon/minute/foot**2")
    return f"{millimetres_per_minute:.1f} mm/min ({density:.2f} US gal/min per ft²)"


def recorded_minutes(minutes: float) -> str:
    """Time that somebody recorded, for people: *14.5 min*.

    Parameters
    ----------
    minutes : float
        Time [min].

    Returns
    -------
    str
        Not rounded: what liquid does is read against it.

    Raises
    ------
    GeometryRefused
        If the number is not finite.
    """
    if not math.isfinite(minutes):
        raise GeometryRefused(f"minutes: expected a number, found {minutes}")
    return f"{minutes:g} min"
