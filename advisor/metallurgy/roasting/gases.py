"""Oxygen, air, gas and smoke of a roast as figures."""

from __future__ import annotations

from advisor.metallurgy.common.figure import Figure
from advisor.metallurgy.common.gas_law import STANDARD_PRESSURE_KPA, gas_volume_l
from advisor.metallurgy.common.range_sums import cited
from advisor.metallurgy.common.rows import in_words
from advisor.metallurgy.roasting.chemistry import Leaving
from advisor.metallurgy.roasting.tables import RoastingTables
from advisor.units import Range
from advisor.units.substances import molar_mass_g
from advisor.words import tr

ROOM_C = 25.0
BALANCE = f"calculation, {tr('molar masses')}"
_GAS_LAW = f"calculation, {tr('molar masses and the law of ideal gases')}"


def oxygen_figure(oxygen_g: Range) -> Figure:
    """Oxygen taken from the air, in g."""
    how = tr("oxygen in all products less that in the minerals")
    return Figure("oxygen_g", tr("oxygen taken from the air"), oxygen_g, "g", how, BALANCE)


def air_figures(oxygen_g: Range, tables: RoastingTables) -> tuple[Figure, Figure]:
    """The least air that holds the oxygen, and the air to sweep over the bed, in m3 at room temperature.

    Example:
        73.4 g of oxygen: 0.27 m3 of air at least, three to ten times that over the bed.
    """
    oxygen_l = _volume_l(oxygen_g, "O2", ROOM_C)
    share, times = tables.oxygen_in_air, tables.air_excess
    least = oxygen_l.scaled(1e-3) / share.amount
    return (
        Figure(
            "air_least_m3",
            tr("air that holds this oxygen"),
            least,
            "m3",
            tr(
                "{oxygen} of oxygen at {at} / {share:g}",
                oxygen=in_words(oxygen_l, "L"),
                at=_at(ROOM_C),
                share=share.amount.likely,
            ),
            cited(_GAS_LAW, share.source),
        ),
        Figure(
            "air_to_give_m3",
            tr("air to sweep over the bed"),
            least * times.amount,
            "m3",
            f"{in_words(least, 'm3')} x {in_words(times.amount, '')}",
            cited(times.source),
        ),
    )


def gas_figure(gas: Leaving, mass_g: Range) -> Figure:
    """Gas or smoke made, in g."""
    how = tr("mass of the minerals x share that becomes this; low and high over all it may become")
    return Figure(f"{gas.product.lower()}_g", gas.title, mass_g, "g", how, BALANCE)


def volume_figure(gas: Leaving, mass_g: Range, temperature_c: float) -> Figure:
    """Volume of a gas, or of smoke while it is still vapour, in L.

    Example:
        106.8 g of sulphur dioxide at 25 °C and 101.325 kPa: 40.8 L.
    """
    volume = _volume_l(mass_g, gas.vapour, temperature_c)
    how = tr("{mass} as {vapour} at {at}", mass=in_words(mass_g, "g"), vapour=gas.vapour, at=_at(temperature_c))
    return Figure(f"{gas.product.lower()}_l", tr("volume of the {gas}", gas=gas.title), volume, "L", how, _GAS_LAW)


def _at(temperature_c: float) -> str:
    """The temperature and pressure a volume holds for."""
    return tr("{temperature_c:g} °C and {pressure:g} kPa", temperature_c=temperature_c, pressure=STANDARD_PRESSURE_KPA)


def _volume_l(mass_g: Range, molecule: str, temperature_c: float) -> Range:
    return gas_volume_l(mass_g.scaled(1.0 / molar_mass_g(molecule)), temperature_c)
