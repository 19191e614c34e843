"""Figures as a document shows them."""

from __future__ import annotations

from advisor.advice.documents.common import Span
from advisor.units import Range
from advisor.units.measures import format_number


def span(amount: Range) -> Span:
    """A range as a part of the advice, rounded to what a balance or thermometer can show."""
    return Span(low=shown_figure(amount.low), likely=shown_figure(amount.likely), high=shown_figure(amount.high))


def shown_figure(value: float) -> float:
    """A figure to four places that count."""
    return float(format_number(value, 4))
