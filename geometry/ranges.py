"""Single numbers held against the range they must lie in."""

import math

from geometry.errors import GeometryRefused


def not_negative(name: str, value: float) -> float:
    """Check a number that may be zero.

    Parameters
    ----------
    name : str
        What it is, for the message.
    value : float
        In any unit [-].

    Returns
    -------
    float
        The same number.

    Raises
    ------
    GeometryRefused
        If it is negative or not finite.
    """
    if not math.isfinite(value) or value < 0:
        raise GeometryRefused(f"{name}: expected 0 or more, found {value}")
    return value


def above_zero(name: str, value: float) -> float:
    """Check a number that may not be zero.

    Parameters
    ----------
    name : str
        What it is, for the message.
    value : float
        In any unit [-].

    Returns
    -------
    float
        The same number.

    Raises
    ------
    GeometryRefused
        If it is not above zero or not finite.
    """
    if not math.isfinite(value) or value <= 0:
        raise GeometryRefused(f"{name}: expected more than 0, found {value}")
    return value


def share_above_zero(name: str, value: float) -> float:
    """Check a share or coefficient that may not be zero.

    Parameters
    ----------
    name : str
        What it is, for the message.
    value : float
        In any unit [-].

    Returns
    -------
    float
        The same number.

    Raises
    ------
    GeometryRefused
        If it is not above zero and at most 1.
    """
    if not 0 < value <= 1:
        raise GeometryRefused(f"{name}: expected more than 0 and at most 1, found {value}")
    return value
