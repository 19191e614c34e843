"""Amounts as people write them, and ranges with their arithmetic."""

from advisor.measures.ranges import Range
from advisor.measures.units import (
    DIMENSIONLESS,
    Dimension,
    MeasureError,
    Unit,
    format_measure,
    parse_measure,
    unit_named,
)

__all__ = [
    "DIMENSIONLESS",
    "Dimension",
    "MeasureError",
    "Range",
    "Unit",
    "format_measure",
    "parse_measure",
    "unit_named",
]
