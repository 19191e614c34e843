"""A picture as it is drawn: its parts, the corners of a part, and the room that it takes."""

from __future__ import annotations

import math
import re
from typing import TYPE_CHECKING

from advisor.frozen import frozen

if TYPE_CHECKING:
    from advisor.rulebase.drawings.entries import DrawingEntry, ShapeEntry

Point = tuple[float, float]

_UNPRINTABLE = re.compile(r"[\x00-\x1f\x7f-\x9f\u200b-\u200f\u2028-\u202e\u2060-\u206f\ud800-\udfff\ufeff\ufffe\uffff]")


def plain(text: str) -> str:
    """The text with whatever is not a visible character or a space taken out; runs of spaces become one."""
    return " ".join(_UNPRINTABLE.sub(" ", text).split())


_CIRCLE = tuple((math.cos(math.tau * step / 32), math.sin(math.tau * step / 32)) for step in range(32))


def ring_of(shape: ShapeEntry) -> tuple[Point, ...]:
    """The corners of a part in order; an ellipse gives 32 of them."""
    if shape.points is not None:
        return shape.points
    assert shape.at is not None
    assert shape.size is not None
    (x, y), (wide, high) = shape.at, shape.size
    if shape.kind == "rect":
        return (x, y), (x + wide, y), (x + wide, y + high), (x, y + high)
    return tuple((x + wide / 2 * cosine, y + high / 2 * sine) for cosine, sine in _CIRCLE)


def box_of(shape: ShapeEntry) -> tuple[float, float, float, float]:
    """Left, top, right and bottom of a part."""
    if shape.at is not None and shape.size is not None:
        (x, y), (wide, high) = shape.at, shape.size
        left, top = (x, y) if shape.kind == "rect" else (x - wide / 2, y - high / 2)
        return left, top, left + wide, top + high
    xs, ys = zip(*ring_of(shape), strict=True)
    return min(xs), min(ys), max(xs), max(ys)


@frozen
class Drawing:
    """One picture with its name.

    Attributes:
        name: Its name in the rules, such as ``mould_two_layers``.
        entry: As written.
    """

    name: str
    entry: DrawingEntry

    @property
    def title(self) -> str:
        """What it shows, a few words."""
        return self.entry.title

    @property
    def caption(self) -> str:
        """One short sentence: what the eye sees."""
        return self.entry.caption

    @property
    def width(self) -> int:
        """Width in drawing units."""
        return self.entry.width

    @property
    def height(self) -> int:
        """Height in drawing units."""
        return self.entry.height

    @property
    def shapes(self) -> tuple[ShapeEntry, ...]:
        """The parts; a later one covers the earlier ones."""
        return self.entry.shapes
