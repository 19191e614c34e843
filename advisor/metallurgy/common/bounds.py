"""Refuses numbers that cannot be, with a sentence that says what would be right."""

from __future__ import annotations

import math

from advisor.errors import InputError
from advisor.units import Range
from advisor.words import tr


def within(what: str, value: float, unit: str, least: float, most: float = math.inf, *, open_low: bool = False) -> None:
    """Let a finite number pass that lies within its bounds.

    Args:
        what: The thing in words, as the start of a sentence: ``The weight in air``.
        value: Its value.
        unit: Its unit as printed; empty for a plain number.
        least: Lowest value allowed.
        most: Highest value allowed.
        open_low: Whether the value must be above ``least`` and not equal to it.

    Raises:
        InputError: If it does not.
    """
    if math.isfinite(value) and (least < value if open_low else least <= value) and value <= most:
        return
    tail = f" {unit}" if unit else ""
    bounds = tr("above {least:g}", least=least) if open_low else tr("at least {least:g}", least=least)
    if math.isfinite(most):
        bounds = tr("{least} and at most {most:g}", least=bounds, most=most)
    raise InputError(
        tr(
            "{what} is given as {found:g}{unit}; it must be {bounds}{unit}",
            what=what,
            found=value,
            unit=tail,
            bounds=bounds,
        )
    )


def range_within(what: str, value: Range, unit: str, least: float, most: float = math.inf) -> None:
    """Let a range pass whose ends both lie within the bounds.

    Raises:
        InputError: If one does not.
    """
    within(what, value.low, unit, least, most)
    within(what, value.high, unit, least, most)
