"""What a picture is made of, as it stands in a rule file."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Annotated, Any, Literal

from pydantic import (
    AfterValidator,
    BaseModel,
    BeforeValidator,
    ConfigDict,
    Field,
    StringConstraints,
    WithJsonSchema,
    model_validator,
)

from advisor.rulebase.drawings.fills import DRAWN_AS_LINES, LINE_ONLY, Fill
from advisor.rulebase.drawings.model import Point, box_of, plain
from advisor.words import tr

GREATEST = 200
"""Greatest coordinate and greatest width and height of a picture, in drawing units."""
MOST_SHAPES = 60
MOST_POINTS = 60
LEAST_SIZE = 1
"""A part smaller than this, in drawing units, cannot be seen."""


def _visible(text: str) -> str:
    if plain(text) != text:
        raise ValueError(
            tr("this holds a control character, a line break or a double space; write one line of plain text")
        )
    return text


def _number(given: Any) -> bool:
    return isinstance(given, int | float) and not isinstance(given, bool) and 0 <= given <= GREATEST


def _pair(given: Any, what: str) -> Point:
    if not isinstance(given, list | tuple) or len(given) != 2 or not all(map(_number, given)):
        raise ValueError(
            tr(
                "this is not {what}; write two numbers from 0 to {greatest}, such as [48, 36]",
                what=what,
                greatest=GREATEST,
            )
        )
    return float(given[0]), float(given[1])


def _point(given: Any) -> Point:
    return _pair(given, tr("a point"))


def _size(given: Any) -> Point:
    size = _pair(given, tr("a size"))
    if min(size) < LEAST_SIZE:
        raise ValueError(tr("this is too small to be seen; make width and height at least {least}", least=LEAST_SIZE))
    return size


def _points(given: Any) -> tuple[Point, ...]:
    if not isinstance(given, list | tuple) or not 2 <= len(given) <= MOST_POINTS:
        raise ValueError(
            tr("these are not points; write 2 to {most} of them, such as [[10, 5], [40, 60]]", most=MOST_POINTS)
        )
    return tuple(_point(one) for one in given)


_PAIR_SCHEMA = {
    "type": "array",
    "items": {"type": "number", "minimum": 0, "maximum": GREATEST},
    "minItems": 2,
    "maxItems": 2,
}
_SIZE_SCHEMA = {**_PAIR_SCHEMA, "items": {"type": "number", "minimum": LEAST_SIZE, "maximum": GREATEST}}
_POINTS_SCHEMA = {"type": "array", "items": _PAIR_SCHEMA, "minItems": 2, "maxItems": MOST_POINTS}

_TEXT_SCHEMA = {"type": ["string", "number"], "minLength": 1}
SHOWN = object()
"""Marks what is a text for people. The logic knows only its place; see ``language.words``."""

Title = Annotated[
    str,
    StringConstraints(strip_whitespace=True, min_length=1, max_length=60),
    AfterValidator(_visible),
    SHOWN,
    WithJsonSchema({**_TEXT_SCHEMA, "maxLength": 60}),
]
Caption = Annotated[
    str,
    StringConstraints(strip_whitespace=True, min_length=1, max_length=120),
    AfterValidator(_visible),
    SHOWN,
    WithJsonSchema({**_TEXT_SCHEMA, "maxLength": 120}),
]
Label = Annotated[
    str,
    StringConstraints(strip_whitespace=True, min_length=1, max_length=20),
    AfterValidator(_visible),
    SHOWN,
    WithJsonSchema({**_TEXT_SCHEMA, "maxLength": 20}),
]
Side = Annotated[int, Field(ge=10, le=GREATEST)]


class _Frozen(BaseModel):
    """Frozen, and unknown keys are faults."""

    model_config = ConfigDict(frozen=True, extra="forbid", coerce_numbers_to_str=True, defer_build=True)


class ShapeEntry(_Frozen):
    """One part of a picture.

    Attributes:
        kind: ``polygon`` (closed), ``line`` (open, through its points), ``ellipse`` or ``rect``.
        fill: What the part is; ``outline`` draws only its edge, ``crack`` and ``fume`` are lines.
        points: Corners of a polygon or points of a line, each as [x, y]; y grows downwards.
        at: Centre of an ellipse, upper left corner of a rect.
        size: Width and height of an ellipse or rect.
        label: What the reader should call it, one or two words; drawn beside the picture.
    """

    kind: Literal["polygon", "ellipse", "line", "rect"]
    fill: Fill
    points: Annotated[tuple[Point, ...], BeforeValidator(_points), WithJsonSchema(_POINTS_SCHEMA)] | None = None
    at: Annotated[Point, BeforeValidator(_point), WithJsonSchema(_PAIR_SCHEMA)] | None = None
    size: Annotated[Point, BeforeValidator(_size), WithJsonSchema(_SIZE_SCHEMA)] | None = None
    label: Label | None = None

    @model_validator(mode="after")
    def _kind_has_its_keys(self) -> ShapeEntry:
        by_points = self.kind in ("polygon", "line")
        if by_points and (self.points is None or self.at is not None or self.size is not None):
            raise ValueError(tr("a {kind} needs points, and neither at nor size", kind=self.kind))
        if not by_points and (self.at is None or self.size is None or self.points is not None):
            raise ValueError(tr("'{kind}' needs at and size, and no points", kind=self.kind))
        if self.kind == "line" and self.fill not in DRAWN_AS_LINES:
            raise ValueError(
                tr(
                    "a line is an outline, a crack or fume; draw {fill} as a polygon, an ellipse or a rect",
                    fill=self.fill,
                )
            )
        if self.kind != "line" and self.fill in LINE_ONLY:
            raise ValueError(tr("{fill} is drawn as a line; write  kind: line", fill=self.fill))
        return self

    @model_validator(mode="after")
    def _can_be_seen(self) -> ShapeEntry:
        points = self.points or ()
        if self.kind == "polygon" and (len(points) < 3 or abs(_area(points)) < LEAST_SIZE):
            raise ValueError(
                tr("this polygon encloses nothing; give it at least 3 corners that do not lie on one line")
            )
        if self.kind == "line" and max(map(math.dist, points, points[1:])) < LEAST_SIZE:
            raise ValueError(tr("this line has no length; put its points further apart"))
        return self


def _area(points: Sequence[Point]) -> float:
    """Twice this is the cross product over the ring; the sign says which way round it goes."""
    after = (*points[1:], points[0])
    return sum(x * next_y - next_x * y for (x, y), (next_x, next_y) in zip(points, after, strict=True)) / 2


def _not_too_many(given: Any) -> Any:
    """Counted before the shapes are read: a fault in one of them is then no fault of their number."""
    if not isinstance(given, list | tuple) or not 1 <= len(given) <= MOST_SHAPES:
        raise ValueError(tr("these are not shapes; write a list of 1 to {most} of them", most=MOST_SHAPES))
    return given


_SHAPES_SCHEMA: dict[str, Any] = {"minItems": 1, "maxItems": MOST_SHAPES}


class DrawingEntry(_Frozen):
    """One picture in a rule file.

    Attributes:
        title: What it shows, a few words.
        caption: One short sentence: what the eye sees.
        width: Width in drawing units; 4 of them are one character when the picture is 96 wide.
        height: Height in drawing units; 8 of them are one line when the picture is 72 high.
        shapes: The parts; a later one covers the earlier ones.
    """

    title: Title
    caption: Caption
    width: Side = 96
    height: Side = 72
    shapes: Annotated[tuple[ShapeEntry, ...], BeforeValidator(_not_too_many), Field(json_schema_extra=_SHAPES_SCHEMA)]

    @model_validator(mode="after")
    def _shapes_stay_inside(self) -> DrawingEntry:
        slack = 1e-6
        for number, shape in enumerate(self.shapes, 1):
            left, top, right, bottom = box_of(shape)
            if min(left, top) < -slack or right > self.width + slack or bottom > self.height + slack:
                raise ValueError(
                    tr(
                        "shape {number} ({kind}, {fill}) reaches beyond the picture; "
                        "keep x within 0 to {width} and y within 0 to {height}",
                        number=number,
                        kind=shape.kind,
                        fill=shape.fill,
                        width=self.width,
                        height=self.height,
                    )
                )
        return self
