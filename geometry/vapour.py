"""How fast a pool evaporates, by the published formulas side by side: indoors they differ by a factor of 7 and more."""

import math
from dataclasses import dataclass

from geometry.constants import ATMOSPHERE_PA, FOOT_M, GAS_CONSTANT_J_MOL_K
from geometry.errors import GeometryRefused
from geometry.ranges import above_zero

EPA = "US EPA, Risk Management Program guidance for offsite consequence analysis, chapter 3 (recalled, not read)"
GUIDE_1987 = "US EPA, FEMA and DOT, Technical Guidance for Hazards Analysis, 1987 (recalled, not read)"
CROWL_LOUVAR = "Crowl and Louvar, Chemical Process Safety, chapter 3 (recalled, not read)"
MACKAY_MATSUGU = (
    "Mackay and Matsugu, Canadian Journal of Chemical Engineering 51 (1973) (abstract read, constants recalled)"
)

INDOOR_AIR_M_S = 0.1
"""Speed of air over a pool indoors that the guidance uses. Source: `EPA` (recalled, not read)."""

WORST_WIND_M_S, WORST_INDOOR_FACTOR = 1.5, 0.1
"""Outdoor wind of the worst case, and the share of that rate which gets out of a building. Source: `EPA`."""

ALTERNATIVE_WIND_M_S, ALTERNATIVE_INDOOR_FACTOR = 3.0, 0.05
"""The same of the alternative case. Source: `EPA`."""

_POUND_KG = 0.45359237
_MM_HG_PA = ATMOSPHERE_PA / 760
_PER_SI = _POUND_KG / 60 / FOOT_M**2 / _MM_HG_PA / 82.05
"""Turns lb/min, ft² and mmHg of the guidance's formula into kg/s, m² and Pa; 82.05 is its gas constant."""

_EPA_FACTOR, _GUIDE_FACTOR = 0.284, 0.106


@dataclass(frozen=True, slots=True)
class Pool:
    """A pool that evaporates at its own temperature.

    Parameters
    ----------
    area_m2 : float
        Area [m²].
    temperature_k : float
        Of the liquid, above 0 [K].
    vapour_pressure_pa : float
        At that temperature [Pa]; below that of the air, since above it the liquid boils and no formula here holds.
    molar_mass_kg_mol : float
        Of the vapour, above 0 [kg/mol].

    Raises
    ------
    GeometryRefused
        If a value is out of range or not finite.
    """

    area_m2: float
    temperature_k: float
    vapour_pressure_pa: float
    molar_mass_kg_mol: float

    def __post_init__(self) -> None:
        if not math.isfinite(self.area_m2) or self.area_m2 < 0:
            raise GeometryRefused(f"area of pool: expected 0 m² or more, found {self.area_m2}")
        if not 0 <= self.vapour_pressure_pa < ATMOSPHERE_PA:
            raise GeometryRefused(
                f"vapour pressure of pool: expected 0 or more and less than the air's {ATMOSPHERE_PA:.0f} Pa, "
                f"found {self.vapour_pressure_pa}"
            )
        above_zero("temperature of pool", self.temperature_k)
        above_zero("molar mass", self.molar_mass_kg_mol)

    @property
    def diameter_m(self) -> float:
        """Diameter of the round pool of the same area [m]."""
        return math.sqrt(4 * self.area_m2 / math.pi)

    @property
    def saturated(self) -> float:
        """Share of vapour in the air just over the liquid [-]: often above the lower flammable limit at once."""
        return self.vapour_pressure_pa / ATMOSPHERE_PA


@dataclass(frozen=True, slots=True)
class EvaporationRate:
    """What one published formula says of one pool.

    Parameters
    ----------
    name : str
        The formula, for people.
    kg_s : float or None
        Vapour given off [kg/s]; None where the formula asks for something that is not known.
    source : str
        Where the formula comes from.
    """

    name: str
    kg_s: float | None
    source: str


def evaporation_rates(pool: Pool, *, air_m_s: float, schmidt: float | None = None) -> tuple[EvaporationRate, ...]:
    """Put what the published formulas say of one pool side by side, largest first, unknown last.

    Parameters
    ----------
    pool : Pool
    air_m_s : float
        Speed of the air over it, above 0 [m/s].
    schmidt : float, optional
        Schmidt number of the vapour in air [-]; without it one formula stays unknown.

    Returns
    -------
    tuple of EvaporationRate

    Raises
    ------
    GeometryRefused
        If a value is not above zero or not finite.

    Notes
    -----
    None counts how the pool cools as it evaporates: the true rate falls below these. None says which is right; show
    the name with the number.
    """
    transfer = None if schmidt is None else mackay_matsugu_m_s(air_m_s, pool.diameter_m, schmidt)
    rows = (
        EvaporationRate(f"EPA guidance, air at {air_m_s:g} m/s", epa_kg_s(pool, air_m_s), EPA),
        EvaporationRate(
            f"1987 guide, air at {air_m_s:g} m/s", epa_kg_s(pool, air_m_s) * _GUIDE_FACTOR / _EPA_FACTOR, GUIDE_1987
        ),
        EvaporationRate("Crowl and Louvar, no air speed in it", crowl_louvar_kg_s(pool), CROWL_LOUVAR),
        EvaporationRate(
            f"Mackay and Matsugu, air at {air_m_s:g} m/s",
            None if transfer is None else transferred_kg_s(pool, transfer),
            MACKAY_MATSUGU,
        ),
        EvaporationRate(
            f"EPA guidance, indoors: {WORST_INDOOR_FACTOR:g} of the worst case outdoors",
            epa_kg_s(pool, WORST_WIND_M_S) * WORST_INDOOR_FACTOR,
            EPA,
        ),
        EvaporationRate(
            f"EPA guidance, indoors: {ALTERNATIVE_INDOOR_FACTOR:g} of the alternative case outdoors",
            epa_kg_s(pool, ALTERNATIVE_WIND_M_S) * ALTERNATIVE_INDOOR_FACTOR,
            EPA,
        ),
    )
    return tuple(sorted(rows, key=lambda row: math.inf if row.kg_s is None else -row.kg_s))


def epa_kg_s(pool: Pool, air_m_s: float) -> float:
    """Evaporation by the formula of the offsite consequence guidance.

    Parameters
    ----------
    pool : Pool
    air_m_s : float
        Speed of the air over it, above 0 [m/s]; in still air the formula would give none, which is wrong.

    Returns
    -------
    float
        Vapour given off [kg/s]: 0.284 U^0.78 M^(2/3) A P / (82.05 T) in lb/min, m/s, g/mol, ft², mmHg and K.

    Raises
    ------
    GeometryRefused
        If the air speed is not above zero or not finite.

    References
    ----------
    .. [1] US EPA, Risk Management Program guidance for offsite consequence analysis, chapter 3 and appendix D
       (recalled; for water confirmed by a public page that quotes the agency).
    """
    blown = float(above_zero("air speed", air_m_s) ** 0.78)
    heavy = float((pool.molar_mass_kg_mol * 1000) ** (2 / 3))
    per_area = _EPA_FACTOR * _PER_SI * blown * heavy * pool.vapour_pressure_pa / pool.temperature_k
    return per_area * pool.area_m2


def crowl_louvar_kg_s(pool: Pool) -> float:
    """Evaporation with the mass transfer that a textbook gives without any air speed.

    Parameters
    ----------
    pool : Pool

    Returns
    -------
    float
        Vapour given off [kg/s], with K = 0.83 (18/M)^(1/3) cm/s.

    Notes
    -----
    At 0.1 m/s it is 7.5 times `epa_kg_s`; at 1.3 m/s both are alike.

    References
    ----------
    .. [1] D. A. Crowl and J. F. Louvar, Chemical Process Safety, chapter 3 (recalled, not read).
    """
    return transferred_kg_s(pool, 0.0083 * float((0.018 / pool.molar_mass_kg_mol) ** (1 / 3)))


def mackay_matsugu_m_s(air_m_s: float, diameter_m: float, schmidt: float) -> float:
    """Mass transfer from a pool by Mackay and Matsugu.

    Parameters
    ----------
    air_m_s : float
        Speed of the air over it, above 0 [m/s].
    diameter_m : float
        Diameter of the pool, above 0 [m].
    schmidt : float
        Schmidt number of the vapour in air, above 0 [-].

    Returns
    -------
    float
        K [m/s]: 0.0048 U^(7/9) X^(-1/9) Sc^(-2/3).

    Raises
    ------
    GeometryRefused
        If a value is not above zero or not finite.

    References
    ----------
    .. [1] D. Mackay and R. S. Matsugu, Canadian Journal of Chemical Engineering 51 (1973) (constants recalled).
    """
    blown = float(above_zero("air speed", air_m_s) ** (7 / 9))
    wide = float(above_zero("diameter of pool", diameter_m) ** (-1 / 9))
    return 0.0048 * blown * wide * float(above_zero("Schmidt number", schmidt) ** (-2 / 3))


def transferred_kg_s(pool: Pool, transfer_m_s: float) -> float:
    """Evaporation with a given mass transfer.

    Parameters
    ----------
    pool : Pool
    transfer_m_s : float
        Mass transfer coefficient K, above 0 [m/s].

    Returns
    -------
    float
        Vapour given off [kg/s]: K A M P / (R T).

    Raises
    ------
    GeometryRefused
        If the coefficient is not above zero or not finite.
    """
    per_volume = pool.molar_mass_kg_mol * pool.vapour_pressure_pa / (GAS_CONSTANT_J_MOL_K * pool.temperature_k)
    return above_zero("mass transfer", transfer_m_s) * pool.area_m2 * per_volume
