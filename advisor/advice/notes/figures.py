"""The figures of a correction in words, as they stand in its steps."""

from __future__ import annotations

from collections.abc import Callable

from advisor.advice.plan.correction import FOR_EACH, PIECE_G, Corrections
from advisor.advice.plan.weighing import weight_words
from advisor.engine import Conclusions
from advisor.metallurgy.common.figure import Figure
from advisor.metallurgy.common.rows import in_words
from advisor.units import Range, format_measure, unit_named
from advisor.units.measures import MeasureError, symbol_shown
from advisor.words import tr


def words_for(acting: Conclusions, corrections: Corrections) -> Callable[[str], str]:
    """What stands in a step of a correction for the name of a figure or a threshold."""
    rule_base = acting.rule_base

    def shown(name: str) -> str:
        if name in rule_base.figures:
            return figure_words(corrections.figure(name))
        if name in rule_base.thresholds:
            threshold = rule_base.thresholds[name]
            return format_measure(threshold.amount, threshold.unit, 6)
        return tr("enough")  # What a plan weighs for the batch says nothing of a piece.

    return shown


def figure_words(figure: Figure | None) -> str:
    """A figure of a correction in words."""
    if figure is None:
        return tr("not known before it is weighed")
    if figure.unit == "g":
        return _grams(figure.amount)
    if figure.unit == FOR_EACH:
        return _grams_for_each(figure.amount)
    return in_words(figure.amount, _symbol(figure.unit))


def _grams(amount: Range) -> str:
    """A weight; of one that may be nothing the most it can be."""
    if amount.high <= 0:
        return tr("nothing")
    if amount.low <= 0:
        return tr("up to {weight}", weight=weight_words(Range.exact(amount.high)))
    return weight_words(amount)


def _grams_for_each(amount: Range) -> str:
    """A weight for a piece that nobody has weighed."""
    if amount.high <= 0:
        return _grams(amount)
    return tr("{weight} for every {piece:g} g of it", weight=_grams(amount), piece=PIECE_G)


def _symbol(unit: str) -> str:
    """A unit as it is printed beside a number; what a figure counts in words, such as rounds, stays as it is."""
    try:
        return symbol_shown(unit_named(unit))
    except MeasureError:
        return unit
