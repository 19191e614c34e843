"""Gas that a charge gives off, how fast it may come, and the room it needs.

Volumes by the gas law; sulphur, arsenic and white arsenic are counted as the molecules S2, As4 and As4O6 that
they are at the heat of a pot. Gas constant: 8.314462618 J/(mol K), exact by the definition of units of 2019.
"""

from __future__ import annotations

from collections.abc import Mapping

from advisor.metallurgy.common.bounds import range_within, within
from advisor.metallurgy.common.figure import Figure
from advisor.metallurgy.common.range_sums import cited, total
from advisor.metallurgy.common.rows import said
from advisor.metallurgy.common.substances import molar_mass_g
from advisor.units import Range

GAS_CONSTANT = 8.314462618
ZERO_CELSIUS_K = 273.15
STANDARD_PRESSURE_KPA = 101.325
_MOLECULES = {"S": 0.5, "As": 0.25, "As2O3": 0.5}
_SECONDS_PER_MINUTE = 60.0
_ML_PER_L = 1000.0


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
    within("The temperature of the gas", temperature_c, "°C", -ZERO_CELSIUS_K, 3000.0, open_low=True)
    within("The pressure of the air", pressure_kpa, "kPa", 10.0, 200.0)
    return moles.scaled(GAS_CONSTANT * (temperature_c + ZERO_CELSIUS_K) / pressure_kpa)


def charge_area_cm2(crucible_ml: float, factor: Range) -> Range:
    """Cross-section of the charge in a crucible of usual shape, cm2.

    Args:
        crucible_ml: Crucible volume to the brim, ml.
        factor: Table ``pot_mouth``.
    """
    within("The crucible volume", crucible_ml, "ml", 0.0, 1e9, open_low=True)
    return factor.scaled(crucible_ml ** (2.0 / 3.0))


def slow_heat(hot_gas_l: Range, area_cm2: Range, limit_ml_s: Range, source: str) -> Figure:
    """Least time over which the gas must be let out, so that the charge does not rise over the rim.

    Args:
        hot_gas_l: Gas of one pot at the heat where it comes, litres.
        area_cm2: Cross-section of the charge, cm2.
        limit_ml_s: Hot gas that may pass 1 cm2 in a second, ml/s, table ``gas_limit``.
        source: Source of the limit.

    Returns:
        Minutes. No published limit exists; what is seen in the pot decides.
    """
    range_within("The gas", hot_gas_l, "L", 0.0)
    minutes = hot_gas_l.scaled(_ML_PER_L / _SECONDS_PER_MINUTE) / (area_cm2 * limit_ml_s)
    how = f"{said(hot_gas_l, 'L')} of hot gas / ({said(area_cm2, 'cm2')} x {said(limit_ml_s, 'ml/s')})"
    return Figure("gas_time_min", "least time to let the gas out", minutes, "min", how, cited(source))
