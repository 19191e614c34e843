"""One computed number with everything a reader needs to trust it or to check it by hand."""

from __future__ import annotations

from advisor.frozen import frozen
from advisor.units import Range


@frozen
class Figure:
    """A result of a computation.

    Attributes:
        name: Its name in documents, with the unit in it, for example ``soda_ash_g``.
        title: What it is, in words.
        amount: Low, likely and high value in the unit.
        unit: Symbol of the unit: g, ml, C, min, %, permille, mg/m3, m3/h, L ...; empty for a plain number.
        how: The formula in words with the figures put in.
        source: Where the formula and its constants come from, or "common practice, no source", or "from memory".
    """

    name: str
    title: str
    amount: Range
    unit: str
    how: str
    source: str
