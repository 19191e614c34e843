"""Small helpers on ranges: sum, positive part, share; and several sources as one text."""

from __future__ import annotations

from collections.abc import Iterable

from advisor.rulebase.model import WITHOUT_TEXT
from advisor.units import Range

ZERO = Range.exact(0.0)
ONE = Range.exact(1.0)


def total(parts: Iterable[Range]) -> Range:
    """The sum of any number of ranges; nothing at all adds up to zero."""
    result = ZERO
    for part in parts:
        result = result + part
    return result


def positive(amount: Range) -> Range:
    """The range with everything below zero cut off to zero."""
    return amount.most(ZERO)


def complement(part: Range) -> Range:
    """One less a share."""
    return positive(ONE - part)


def share(part: Range, whole: Range) -> Range:
    """Which share of ``whole`` the ``part`` is, between 0 and 1.

    Args:
        part: A part of the whole, in the same unit; not negative.
        whole: The whole, not negative.

    Returns:
        The share; 0 where the whole is zero, and up to 1 where the whole may be zero.

    Example:
        >>> share(Range.exact(1.0), Range.exact(4.0)).likely
        0.25
    """
    if whole.high <= 0.0:
        return ZERO
    low = min(1.0, part.low / whole.high)
    ceiling = part.high / whole.low if whole.low > 0.0 else float(part.high > 0.0)
    high = min(1.0, ceiling)
    likely = min(1.0, part.likely / whole.likely) if whole.likely > 0.0 else 0.0
    return Range(min(low, likely), likely, max(high, likely))


def cited(*sources: str) -> str:
    """Several references as one text, each once; practice and memory in full words."""
    parts = [part.strip() for source in sources for part in source.split(";")]
    return "; ".join(dict.fromkeys(WITHOUT_TEXT[part]() if part in WITHOUT_TEXT else part for part in parts if part))
