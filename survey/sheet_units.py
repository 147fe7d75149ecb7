"""Units as they stand on safety data sheets, and what they are in the units of this program."""

from collections.abc import Mapping
from enum import StrEnum
from types import MappingProxyType

CELSIUS_AT_0_K = -273.15


class DensityUnit(StrEnum):
    """Of a density; a relative one is told against water."""

    KG_M3 = "kg/m3"
    G_CM3 = "g/cm3"
    KG_L = "kg/L"
    LB_US_GAL = "lb/US gal"
    RELATIVE = "relative to water"


class ViscosityUnit(StrEnum):
    """Of a viscosity; in mm2/s and cSt it is a kinematic one and needs the density."""

    PA_S = "Pa.s"
    MPA_S = "mPa.s"
    CP = "cP"
    MM2_S = "mm2/s"
    CST = "cSt"

    @property
    def kinematic(self) -> bool:
        """Whether the density is still to be multiplied with."""
        return self in (ViscosityUnit.MM2_S, ViscosityUnit.CST)


class PressureUnit(StrEnum):
    """Of a vapour pressure."""

    PA = "Pa"
    HPA = "hPa"
    KPA = "kPa"
    MBAR = "mbar"
    BAR = "bar"
    MMHG = "mmHg"
    PSI = "psi"


class TemperatureUnit(StrEnum):
    """Of a temperature."""

    CELSIUS = "degC"
    FAHRENHEIT = "degF"
    KELVIN = "K"


class MolarMassUnit(StrEnum):
    """Of a molar mass."""

    G_MOL = "g/mol"
    KG_MOL = "kg/mol"


class VolumeShareUnit(StrEnum):
    """Of a limit of the flammable range."""

    VOL_PCT = "vol%"


Unit = DensityUnit | ViscosityUnit | PressureUnit | MolarMassUnit | VolumeShareUnit

_FACTORS: Mapping[Unit, float] = MappingProxyType(
    {
        DensityUnit.KG_M3: 1.0,
        DensityUnit.G_CM3: 1000.0,
        DensityUnit.KG_L: 1000.0,
        DensityUnit.LB_US_GAL: 119.82642731689663,
        # Sheets leave the temperature of the water open; it is 1000 kg/m3 at 4 °C and 998 at 20 °C.
        DensityUnit.RELATIVE: 1000.0,
        ViscosityUnit.PA_S: 1.0,
        ViscosityUnit.MPA_S: 1e-3,
        ViscosityUnit.CP: 1e-3,
        ViscosityUnit.MM2_S: 1e-6,
        ViscosityUnit.CST: 1e-6,
        PressureUnit.PA: 1.0,
        PressureUnit.HPA: 100.0,
        PressureUnit.KPA: 1000.0,
        PressureUnit.MBAR: 100.0,
        PressureUnit.BAR: 100_000.0,
        PressureUnit.MMHG: 133.322387415,
        PressureUnit.PSI: 6894.757293168361,
        MolarMassUnit.G_MOL: 1e-3,
        MolarMassUnit.KG_MOL: 1.0,
        VolumeShareUnit.VOL_PCT: 1.0,
    }
)


def in_si(value: float, unit: Unit) -> float:
    """Give a number in the unit of this program: kg/m3, Pa.s (m2/s if kinematic), Pa, kg/mol, vol%."""
    return value * _FACTORS[unit]


def in_celsius(value: float, unit: TemperatureUnit) -> float:
    """Give a temperature in °C."""
    if unit is TemperatureUnit.FAHRENHEIT:
        return (value - 32) / 1.8
    return value + CELSIUS_AT_0_K if unit is TemperatureUnit.KELVIN else value
