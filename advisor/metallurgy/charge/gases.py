"""How fast the gas of a charge may come."""

from __future__ import annotations

from advisor.metallurgy.common.bounds import range_within, within
from advisor.metallurgy.common.figure import Figure
from advisor.metallurgy.common.range_sums import cited
from advisor.metallurgy.common.rows import in_words
from advisor.units import Range
from advisor.words import tr

_SECONDS_PER_MINUTE = 60.0
_ML_PER_L = 1000.0


def charge_area_cm2(crucible_ml: float, factor: Range) -> Range:
    """Cross-section of the charge in a crucible of usual shape, cm2.

    Args:
        crucible_ml: Crucible volume to the brim, ml.
        factor: Table ``pot_mouth``.
    """
    within(tr("The crucible volume"), crucible_ml, "ml", 0.0, 1e9, open_low=True)
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
    range_within(tr("The gas"), hot_gas_l, "L", 0.0)
    minutes = hot_gas_l.scaled(_ML_PER_L / _SECONDS_PER_MINUTE) / (area_cm2 * limit_ml_s)
    how = tr(
        "{hot_gas} of hot gas / ({area} x {limit})",
        hot_gas=in_words(hot_gas_l, "L"),
        area=in_words(area_cm2, "cm2"),
        limit=in_words(limit_ml_s, "ml/s"),
    )
    return Figure("gas_time_min", tr("least time to let the gas out"), minutes, "min", how, cited(source))
