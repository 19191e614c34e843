"""The figures of a correction in words, as they stand in its steps."""

from __future__ import annotations

from collections.abc import Callable

from advisor.advice.plan.correction import FOR_EACH, Corrections
from advisor.advice.plan.weighing import weight_words
from advisor.engine import Conclusions
from advisor.metallurgy.common.figure import Figure
from advisor.units import Range, format_measure, unit_named
from advisor.units.measures import MeasureError, format_number, symbol_shown


def words_for(acting: Conclusions, corrections: Corrections) -> Callable[[str], str]:
    """What stands in a step of a correction for the name of a figure or a threshold."""
    rule_base = acting.rule_base

    def shown(name: str) -> str:
        if name in rule_base.figures:
            return figure_words(corrections.figure(name))
        if name in rule_base.thresholds:
            threshold = rule_base.thresholds[name]
            return format_measure(threshold.amount, threshold.unit, 6)
        return "enough"  # What a plan weighs for the batch says nothing of a piece.

    return shown


def figure_words(figure: Figure | None) -> str:
    """A figure of a correction in words."""
    if figure is None:
        return "not known before it is weighed"
    if figure.unit in ("g", FOR_EACH):
        return _grams(figure.amount, figure.unit[1:])
    low, high = (format_number(value) for value in (figure.amount.low, figure.amount.high))
    return f"{low if low == high else f'{low} to {high}'} {_symbol(figure.unit)}".rstrip()


def _grams(amount: Range, for_each: str) -> str:
    """A weight; of one that may be nothing the most it can be."""
    if amount.high <= 0:
        return "nothing"
    if amount.low <= 0:
        return f"up to {weight_words(Range.exact(amount.high))}{for_each}"
    return weight_words(amount) + for_each


def _symbol(unit: str) -> str:
    """A unit as it is printed beside a number; what a figure counts in words, such as rounds, stays as it is."""
    try:
        return symbol_shown(unit_named(unit))
    except MeasureError:
        return unit
