"""Reads typed values out of table rows, and straight lines between them."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from functools import cache
from itertools import pairwise
from typing import Any, TypeVar, get_type_hints

from advisor.errors import InputError
from advisor.frozen import frozen
from advisor.rulebase.reading.texts import fill
from advisor.units import Range
from advisor.units.measures import format_number
from advisor.units.substances import Reaction
from advisor.words import tr

T = TypeVar("T")

Row = Mapping[str, float | str]
Rows = Sequence[Row]
Curve = tuple[tuple[float, Range], ...]
"""Points in rising order of their first value, each with the range that holds there."""


@frozen
class Note:
    """Something a computation says in words beside its figures.

    Attributes:
        key: Its name in the table of notes, or the metal or mineral it speaks of.
        text: The sentence for people, with places in braces for what is computed.
        source: Where it comes from.
    """

    key: str
    text: str
    source: str

    def said(self, **values: str) -> str:
        """The sentence with what was computed in its places.

        Raises:
            InputError: If it has a place for which there is no value.

        Example:
            >>> Note("add", "Add {grams} g.", "practice").said(grams="5")
            'Add 5 g.'
        """

        def value_of(place: str) -> str:
            if place not in values:
                raise InputError(
                    tr(
                        "nothing is put into {{{place}}} of the note '{note}'; its places are {places}",
                        place=place,
                        note=self.key,
                        places=", ".join(values) or tr("none"),
                    )
                )
            return values[place]

        return fill(self.text, value_of)


Notes = Mapping[str, Note]
"""Notes by key."""


@frozen
class SourcedRange:
    """A range and where it comes from.

    Attributes:
        amount: Low, likely and high value.
        source: Where it comes from.
    """

    amount: Range
    source: str


def from_row(kind: type[T], row: Row, /, **given: object) -> T:
    """An object of a frozen class from a row: what is not given is read from the column of its name, by its type.

    Text, numbers and equations stand in the column of that name; a range in ``low``, ``likely`` and ``high``.

    Example:
        >>> from_row(SourcedRange, {"low": 1, "likely": 2, "high": 3, "source": "practice"}).amount.likely
        2.0
    """
    whole: Any = kind
    read = {name: _READERS.get(of, text)(row, name) for name, of in _types(whole).items() if name not in given}
    return kind(**read, **given)


def keyed(kind: type[T], rows: Rows, column: str, field: str = "") -> dict[str, T]:
    """Objects of a frozen class from the rows of a table, by the text in a column.

    Args:
        kind: The class.
        rows: The rows.
        column: The column with the key.
        field: The field that takes the key, where it is not called as the column is.
    """
    return {text(row, column): from_row(kind, row, **({field: text(row, column)} if field else {})) for row in rows}


def sourced(row: Row) -> SourcedRange:
    """The range of a row and its source."""
    return SourcedRange(range_of(row), source_of(row))


def sourced_by(rows: Rows, column: str) -> dict[str, SourcedRange]:
    """The range of each row and its source, by the text in a column."""
    return {text(row, column): sourced(row) for row in rows}


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
    span = low if low == high else tr("{low} to {high}", low=low, high=high)
    return f"{span} {unit}".rstrip()


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


_READERS: Mapping[object, Callable[[Row, str], object]] = {
    float: number,
    Range: lambda row, _: range_of(row),
    Reaction: lambda row, column: Reaction.parse(text(row, column)),
}


@cache
def _types(kind: type) -> Mapping[str, Any]:
    """The fields of a frozen class with their types."""
    return get_type_hints(kind)
