"""Figures as a document shows them."""

from __future__ import annotations

from advisor.advice.documents.common import Span
from advisor.units import Range
from advisor.units.measures import format_number


def span(amount: Range) -> Span:
    """A range as a part of the advice, rounded to what a balance or thermometer can show."""
    shown = shown_range(amount)
    return Span(low=shown.low, likely=shown.likely, high=shown.high)


def shown_range(amount: Range) -> Range:
    """A range as every document shows it, so that all of them round alike."""
    return Range(shown_figure(amount.low), shown_figure(amount.likely), shown_figure(amount.high))


def shown_figure(value: float) -> float:
    """A figure to four places that count."""
    return float(format_number(value, 4))
