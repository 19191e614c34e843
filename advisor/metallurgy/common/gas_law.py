"""Moles and volume of gases.

Volumes by the gas law; sulphur, arsenic and white arsenic are counted as the molecules S2, As4 and As4O6 that
they are at the heat of a pot. Gas constant in J/(mol K), exact by the definition of units of 2019.
"""

from __future__ import annotations

from collections.abc import Mapping

from advisor.metallurgy.common.bounds import within
from advisor.metallurgy.common.range_sums import total
from advisor.units import Range
from advisor.units.substances import molar_mass_g
from advisor.words import tr

GAS_CONSTANT = 8.31446261815324
ZERO_CELSIUS_K = 273.15
STANDARD_PRESSURE_KPA = 101.325
_MOLECULES = {"S": 0.5, "As": 0.25, "As2O3": 0.5}


def gas_moles(grams: Mapping[str, Range]) -> Range:
    """Moles of gas molecules.

    Args:
        grams: Mass of each gas, g by formula.
    """
    return total(mass.scaled(_MOLECULES.get(formula, 1.0) / molar_mass_g(formula)) for formula, mass in grams.items())


def gas_volume_l(moles: Range, temperature_c: float = 0.0, pressure_kpa: float = STANDARD_PRESSURE_KPA) -> Range:
    """Volume of a gas.

    Args:
        moles: Moles of gas.
        temperature_c: Its temperature, °C; above -273.15 and up to 3000.
        pressure_kpa: Its pressure, kPa; about 70 at 3000 m above the sea.

    Returns:
        Litres; by default at 0 °C and 101.325 kPa.

    Raises:
        InputError: If the temperature or pressure cannot be.

    Example:
        >>> round(gas_volume_l(Range.exact(1.0)).likely, 3)
        22.414
    """
    within(tr("The temperature of the gas"), temperature_c, "°C", -ZERO_CELSIUS_K, 3000.0, open_low=True)
    within(tr("The pressure of the air"), pressure_kpa, "kPa", 10.0, 200.0)
    return moles.scaled(GAS_CONSTANT * (temperature_c + ZERO_CELSIUS_K) / pressure_kpa)
