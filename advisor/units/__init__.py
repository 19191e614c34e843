"""Amounts as people write them, and ranges with their arithmetic."""

from advisor.units.measures import (
    DIMENSIONLESS,
    Dimension,
    MeasureError,
    Unit,
    format_measure,
    parse_measure,
    unit_named,
)
from advisor.units.ranges import Range

__all__ = [
    "DIMENSIONLESS",
    "Dimension",
    "MeasureError",
    "Range",
    "Unit",
    "format_measure",
    "measures",
    "parse_measure",
    "statistics",
    "substances",
    "unit_named",
]
