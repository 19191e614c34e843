"""Reads typed values out of table rows, and straight lines between them."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from itertools import pairwise

from advisor.frozen import frozen
from advisor.units import Range
from advisor.units.measures import format_number

Row = Mapping[str, float | str]
Rows = Sequence[Row]
Curve = tuple[tuple[float, Range], ...]
"""Points in rising order of their first value, each with the range that holds there."""


@frozen
class Note:
    """Something a plan says in words beside its figures.

    Attributes:
        key: Its name in the table of notes, or the metal or mineral it speaks of.
        text: The sentence for people.
        source: Where it comes from.
    """

    key: str
    text: str
    source: str

    @classmethod
    def from_rows(cls, rows: Rows) -> dict[str, Note]:
        """From a table of notes with the columns ``key`` and ``text``, by key."""
        return {text(row, "key"): cls(text(row, "key"), text(row, "text"), source_of(row)) for row in rows}


@frozen
class SourcedRange:
    """A range and where it comes from.

    Attributes:
        amount: Low, likely and high value.
        source: Where it comes from.
    """

    amount: Range
    source: str


def number(row: Row, column: str) -> float:
    """A number from a row; that it is one was checked when the rules were read."""
    return float(row[column])


def number_or(row: Row, column: str, otherwise: float) -> float:
    """A finite number from a row, or ``otherwise`` where the column is left out."""
    return number(row, column) if column in row else otherwise


def text(row: Row, column: str) -> str:
    """Text from a row; that it is there was checked when the rules were read."""
    return str(row[column]).strip()


def source_of(row: Row) -> str:
    """The source of a row."""
    return text(row, "source")


def range_of(row: Row, tail: str = "") -> Range:
    """The columns ``low``, ``likely`` and ``high`` of a row, each with ``tail`` in its name."""
    return Range(number(row, f"low{tail}"), number(row, f"likely{tail}"), number(row, f"high{tail}"))


def ends_of(row: Row) -> Range:
    """The columns ``low`` and ``high`` of a row; the middle is taken as likely."""
    return Range.between(number(row, "low"), number(row, "high"))


def in_words(amount: Range, unit: str) -> str:
    """A range in words for the ``how`` of a figure: ``8 g`` or ``8 to 10 g``."""
    low, high = format_number(amount.low), format_number(amount.high)
    return f"{low if low == high else f'{low} to {high}'} {unit}".rstrip()


def curve(points: Iterable[tuple[float, Range]]) -> Curve:
    """Points in rising order of their first value."""
    return tuple(sorted(points, key=lambda point: point[0]))


def on_curve(points: Curve, at: float) -> Range:
    """The range of a curve at a point: straight lines between its rows, the end rows outside.

    Args:
        points: Rows in rising order.
        at: Where to read it.
    """
    if at <= points[0][0]:
        return points[0][1]
    for (left, low), (right, high) in pairwise(points):
        if at <= right:
            part = (at - left) / (right - left)
            return low.scaled(1 - part) + high.scaled(part)
    return points[-1][1]
