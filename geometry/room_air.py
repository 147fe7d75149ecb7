"""Vapour in a room as if it were well mixed: concentration over time, and when it gets to the lower flammable limit."""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from geometry.constants import ATMOSPHERE_PA, GAS_CONSTANT_J_MOL_K
from geometry.errors import GeometryRefused
from geometry.ranges import not_negative

ROOM_AVERAGE = (
    "The room average is not safety: vapour lies on the floor, and over the pool it may already be flammable "
    "while the average is far below."
)
"""To be printed wherever a number of this module is."""

MIXING = (0.1, 0.5)
"""Usual mixing factors, poor and fair; 1 would be perfect. Source: teaching slides after Crowl and Louvar (read)."""

LIMIT_SHARES = (0.10, 0.25, 1.0)
"""Shares of the lower flammable limit that crews act on: 10 % and 25 % are common practice, no source."""


@dataclass(frozen=True, slots=True)
class Room:
    """A room whose air is changed.

    Parameters
    ----------
    volume_m3 : float
        Volume of air, above 0 [m³].
    air_m3_s : float
        Fresh air [m³/s]; 0 where there is none.
    mixing : float
        Share of the fresh air that does its work, above 0, at most 1 [-].

    Raises
    ------
    GeometryRefused
        If a value is out of range or not finite.
    """

    volume_m3: float
    air_m3_s: float
    mixing: float

    def __post_init__(self) -> None:
        if not math.isfinite(self.volume_m3) or self.volume_m3 <= 0:
            raise GeometryRefused(f"volume of room: expected more than 0 m³, found {self.volume_m3}")
        not_negative("fresh air", self.air_m3_s)
        if not 0 < self.mixing <= 1:
            raise GeometryRefused(f"mixing factor: expected more than 0 and at most 1, found {self.mixing}")


def room_of_changes(volume_m3: float, changes_per_h: float, *, mixing: float) -> Room:
    """Describe a room by its air changes.

    Parameters
    ----------
    volume_m3 : float
        Volume of air, above 0 [m³].
    changes_per_h : float
        Air changes an hour [1/h].
    mixing : float
        As in `Room` [-].

    Returns
    -------
    Room

    Raises
    ------
    GeometryRefused
        As `Room`.
    """
    return Room(volume_m3, not_negative("air changes", changes_per_h) * volume_m3 / 3600, mixing)


def vapour_m3_s(kg_s: float, *, molar_mass_kg_mol: float, temperature_k: float) -> float:
    """Volume that vapour takes up, at the pressure of the air.

    Parameters
    ----------
    kg_s : float
        Vapour given off [kg/s].
    molar_mass_kg_mol : float
        Of the vapour, above 0 [kg/mol].
    temperature_k : float
        Of the room, above 0 [K].

    Returns
    -------
    float
        Volume [m³/s]; of a mass in kg, the volume in m³.

    Raises
    ------
    GeometryRefused
        If a value is out of range or not finite.

    References
    ----------
    .. [1] Law of ideal gases.
    """
    for name, value in (("molar mass", molar_mass_kg_mol), ("temperature", temperature_k)):
        if not_negative(name, value) == 0:
            raise GeometryRefused(f"{name}: expected more than 0, found 0")
    moles = not_negative("vapour", kg_s) / molar_mass_kg_mol
    return moles * GAS_CONSTANT_J_MOL_K * temperature_k / ATMOSPHERE_PA


def all_vapour_share(mass_kg: float, room_m3: float, *, molar_mass_kg_mol: float, temperature_k: float) -> float:
    """Share of a room's air that a liquid would be if all of it were vapour and none left the room.

    Parameters
    ----------
    mass_kg : float
        Liquid spilt [kg].
    room_m3 : float
        Volume of air, above 0 [m³].
    molar_mass_kg_mol, temperature_k : float
        As in `vapour_m3_s`.

    Returns
    -------
    float
        Volume of vapour over that of the room [-]; times a million, ppm. Above 1 there is more than the room holds.

    Raises
    ------
    GeometryRefused
        If a value is out of range or not finite.

    Notes
    -----
    No average can come out higher. Near the pool it can.
    """
    if not_negative("volume of room", room_m3) == 0:
        raise GeometryRefused("volume of room: expected more than 0 m³, found 0")
    return vapour_m3_s(mass_kg, molar_mass_kg_mol=molar_mass_kg_mol, temperature_k=temperature_k) / room_m3


def steady_share(room: Room, leak_m3_s: float, *, large: bool = False) -> float:
    """Share of vapour that a room comes to in the end.

    Parameters
    ----------
    room : Room
    leak_m3_s : float
        Vapour given off [m³/s].
    large : bool
        Whether the vapour's own volume counts beside the fresh air, as it does where there is much of it.

    Returns
    -------
    float
        Average [-]: G / (m Q), which may come out above 1 and is infinite without fresh air; *large* G / (m Q + G).

    Raises
    ------
    GeometryRefused
        If the leak is negative or not finite.

    Notes
    -----
    The average of the room, not the worst place in it: `ROOM_AVERAGE`.

    References
    ----------
    .. [1] Teaching slides after Crowl and Louvar, Chemical Process Safety (read): C = G / (k Q).
    """
    away = _carried_off(room, leak_m3_s, large=large)
    if leak_m3_s == 0:
        return 0.0
    return leak_m3_s / away if away > 0 else math.inf


def share_at(room: Room, leak_m3_s: float, t_s: ArrayLike, *, large: bool = False) -> NDArray[np.float64]:
    """Share of vapour in a room over time, from none.

    Parameters
    ----------
    room : Room
    leak_m3_s : float
        Vapour given off, steadily [m³/s].
    t_s : array_like
        Times since it began [s].
    large : bool
        As in `steady_share`.

    Returns
    -------
    array of the same shape
        Average [-].

    Raises
    ------
    GeometryRefused
        If a value is negative or not finite.

    Notes
    -----
    Holds while the pool lasts. The dilute form, without *large*, gives more: the cautious one.
    """
    times = np.asarray(t_s, dtype=np.float64)
    if not np.all(np.isfinite(times) & (times >= 0)):
        raise GeometryRefused(f"time: expected 0 s or more, found {times.tolist()}")
    away = _carried_off(room, leak_m3_s, large=large)
    if away == 0:
        return np.asarray(leak_m3_s * times / room.volume_m3)
    return np.asarray(leak_m3_s / away * -np.expm1(-away * times / room.volume_m3))


def time_to_share_s(room: Room, leak_m3_s: float, share: float, *, large: bool = False) -> float:
    """Time until the average of a room gets to a share of vapour.

    Parameters
    ----------
    room : Room
    leak_m3_s : float
        Vapour given off, steadily [m³/s].
    share : float
        Volume of vapour over that of air [-].
    large : bool
        As in `steady_share`.

    Returns
    -------
    float
        Time [s]; infinite where it never gets there, which does not mean that no place in the room does.

    Raises
    ------
    GeometryRefused
        If a value is negative or not finite.

    References
    ----------
    .. [1] Well-mixed room, as public engineering pages give it (read): t = -V / (m Q) ln(1 - C / Css).
    """
    if not_negative("share of vapour", share) == 0:
        return 0.0
    away = _carried_off(room, leak_m3_s, large=large)
    if leak_m3_s == 0 or share * away >= leak_m3_s:
        return math.inf
    if away == 0:
        return share * room.volume_m3 / leak_m3_s
    return -room.volume_m3 / away * math.log1p(-share * away / leak_m3_s)


def times_to_limit_s(room: Room, leak_m3_s: float, lower_limit: float, *, large: bool = False) -> dict[float, float]:
    """Times until the average of a room gets to 10 %, 25 % and all of the lower flammable limit.

    Parameters
    ----------
    room : Room
    leak_m3_s : float
        Vapour given off, steadily [m³/s].
    lower_limit : float
        Lower flammable limit, above 0, at most 1 [-]. Tables differ: take the lowest, or say which.
    large : bool
        As in `steady_share`.

    Returns
    -------
    dict of float to float
        Time [s] by each of `LIMIT_SHARES`; infinite where it never gets there. Print `ROOM_AVERAGE` beside them.

    Raises
    ------
    GeometryRefused
        If the limit is out of range, or a value negative or not finite.
    """
    if not 0 < lower_limit <= 1:
        raise GeometryRefused(f"lower flammable limit: expected more than 0 and at most 1, found {lower_limit}")
    return {part: time_to_share_s(room, leak_m3_s, part * lower_limit, large=large) for part in LIMIT_SHARES}


def purge_changes(from_share: float, to_share: float, *, mixing: float) -> float:
    """Air changes that bring a room from one share of vapour down to another, once nothing more is given off.

    Parameters
    ----------
    from_share, to_share : float
        Share of vapour at first, and at last, above 0 [-].
    mixing : float
        As in `Room` [-].

    Returns
    -------
    float
        Air changes [-]: ln(from / to) / m.

    Raises
    ------
    GeometryRefused
        If the share would rise, or a value is out of range or not finite.

    References
    ----------
    .. [1] HVAC design guide, 2000/2006, page 106 (read), with a mixing factor of 0.2.
    """
    if not 0 < mixing <= 1:
        raise GeometryRefused(f"mixing factor: expected more than 0 and at most 1, found {mixing}")
    if not 0 < to_share <= not_negative("share of vapour", from_share):
        raise GeometryRefused(
            f"share of vapour: expected one that falls to more than 0, found {from_share} to {to_share}"
        )
    return math.log(from_share / to_share) / mixing


def purge_s(room: Room, from_share: float, to_share: float) -> float:
    """Time in which fresh air brings a room from one share of vapour down to another.

    Parameters
    ----------
    room : Room
    from_share, to_share : float
        As in `purge_changes` [-].

    Returns
    -------
    float
        Time [s]; infinite without fresh air.

    Raises
    ------
    GeometryRefused
        As `purge_changes`.
    """
    changes = purge_changes(from_share, to_share, mixing=room.mixing)
    if changes == 0:
        return 0.0
    return changes * room.volume_m3 / room.air_m3_s if room.air_m3_s > 0 else math.inf


def _carried_off(room: Room, leak_m3_s: float, *, large: bool) -> float:
    """Volume of the room's air that leaves it, effectively [m³/s]."""
    own = not_negative("vapour given off", leak_m3_s)
    return room.mixing * room.air_m3_s + (own if large else 0.0)
