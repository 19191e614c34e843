"""A range: a low, a likely and a high value, with the arithmetic of intervals."""

from __future__ import annotations

import math
from collections.abc import Iterable

from advisor.frozen import frozen
from advisor.words import tr


@frozen
class Range:
    """Low, likely and high value of one quantity, in one unit.

    The arithmetic is that of intervals for low and high (every combination of the true values lies inside)
    and plain arithmetic for the likely value.

    Attributes:
        low: The least value it may have.
        likely: The value to work with; ``low <= likely <= high``.
        high: The greatest value it may have.

    Raises:
        ValueError: If the three are not finite or not in order.
    """

    low: float
    likely: float
    high: float

    def __init__(self, low: float, likely: float, high: float) -> None:
        # Written out: one plan makes ten thousand of them.
        if not -math.inf < low <= likely <= high < math.inf:
            raise ValueError(_fault_of(low, likely, high))
        _put_low(self, low)
        _put_likely(self, likely)
        _put_high(self, high)

    @classmethod
    def exact(cls, value: float) -> Range:
        """The range that holds one value only."""
        return cls(value, value, value)

    @classmethod
    def between(cls, low: float, high: float) -> Range:
        """A range known only by its ends; the middle is taken as likely."""
        return cls(low, (low + high) / 2, high)

    @classmethod
    def hull(cls, ranges: Iterable[Range]) -> Range:
        """The smallest range that holds all the given ones; the first one's likely value is kept."""
        all_ranges = list(ranges)
        return cls(min(r.low for r in all_ranges), all_ranges[0].likely, max(r.high for r in all_ranges))

    @property
    def is_exact(self) -> bool:
        """Whether low and high are the same value."""
        return self.low == self.high

    def __add__(self, other: Range) -> Range:
        return Range(self.low + other.low, self.likely + other.likely, self.high + other.high)

    def __sub__(self, other: Range) -> Range:
        return Range(self.low - other.high, self.likely - other.likely, self.high - other.low)

    def __mul__(self, other: Range) -> Range:
        ends = (self.low * other.low, self.low * other.high, self.high * other.low, self.high * other.high)
        return _around(min(ends), self.likely * other.likely, max(ends))

    def __truediv__(self, other: Range) -> Range:
        if other.low <= 0.0 <= other.high:
            raise ZeroDivisionError(tr("division by a range that holds zero"))
        # Ends are divided, not multiplied by a reciprocal: rounding twice could leave a true quotient outside.
        ends = (self.low / other.low, self.low / other.high, self.high / other.low, self.high / other.high)
        return _around(min(ends), self.likely / other.likely, max(ends))

    def least(self, other: Range) -> Range:
        """The smaller of the two, value by value."""
        return Range(min(self.low, other.low), min(self.likely, other.likely), min(self.high, other.high))

    def most(self, other: Range) -> Range:
        """The greater of the two, value by value."""
        return Range(max(self.low, other.low), max(self.likely, other.likely), max(self.high, other.high))

    def scaled(self, factor: float) -> Range:
        """This range times a plain number."""
        return self * Range.exact(factor)


def _around(low: float, likely: float, high: float) -> Range:
    """A range whose likely value may have left the ends by a rounding error."""
    return Range(low, min(max(likely, low), high), high)


def _fault_of(low: float, likely: float, high: float) -> str:
    if not (math.isfinite(low) and math.isfinite(likely) and math.isfinite(high)):
        return tr("a range needs finite numbers")
    return tr("a range needs low <= likely <= high, not {low}, {likely}, {high}", low=low, likely=likely, high=high)


_put_low, _put_likely, _put_high = (vars(Range)[name].__set__ for name in ("low", "likely", "high"))
