"""A picture as SVG text: black and white, self-contained, fit for print."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING
from xml.sax.saxutils import escape, quoteattr

from advisor.frozen import frozen
from advisor.present.drawing.sampling import Grid, paint
from advisor.rulebase.drawings.fills import DRAWN_AS_LINES, Fill
from advisor.rulebase.drawings.model import Drawing, Point, box_of, plain, ring_of

if TYPE_CHECKING:
    from advisor.rulebase.drawings.entries import ShapeEntry

_ACROSS, _DOWN = 24, 12
"""Cells of the grid on which it is found where a part can be seen."""
_MARGIN = 1
"""White around the picture, in drawing units, so that no edge is cut off."""
_TYPE = 6.0
"""Height of the letters of labels, in drawing units of a picture 96 wide."""

_PLAIN: dict[Fill, str] = {
    "air": "#fff",
    "glint": "#fff",
    "hole": "#fff",
    "metal": "#000",
}
_NO_EDGE = frozenset({"air", "glint"})
_WHITE_EDGE = frozenset({"metal", "stain_dark"})
"""Dark parts get a white edge, so that they stay apart where they touch."""

_TILES: dict[Fill, tuple[float, float, str]] = {
    "slag_glassy": (9, 9, '<path d="M1 7Q3 2 8 2" {thin}/>'),
    "slag_stony": (7, 7, '<path d="M1 1l2 1-1 2zM5 3l1.5 1-1 1.5zM2 5l1.5.5-1 1.2z" {black}/>'),
    "matte": (4, 3, '<path d="M0 1.5H4" {thick}/>'),
    "speiss": (5, 5, '<path d="M2.5 .7V4.3M.7 2.5H4.3" {medium}/>'),
    "metal_dull": (2.4, 2.4, '<path d="M0 0L2.4 2.4M2.4 0L0 2.4" {medium}/>'),
    "metal_coppery": (5, 5, '<path d="M-1 1L1 -1M0 5L5 0M4 6L6 4" {heavy}/>'),
    "metal_frosted": (
        3,
        3,
        '<circle cx=".6" cy=".7" r=".3" {black}/><circle cx="2.1" cy="1.1" r=".3" {black}/>'
        '<circle cx="1.2" cy="2.3" r=".3" {black}/>',
    ),
    "litharge": (8, 4, '<path d="M0 2Q2 0 4 2T8 2" {medium}/>'),
    "charge": (9, 9, '<circle cx="3" cy="3" r="2.2" {edge}/><path d="M5.5 8.5l1-3.5 2.2 1.5-.8 2z" {edge}/>'),
    "crust": (6, 5, '<path d="M0 4L1.5 1L3 4L4.5 1L6 4" {medium}/>'),
    "iron": (3, 3, '<path d="M1.5 0V3" {heavy}/>'),
    "crucible": (4, 4, '<path d="M-1 1L1 -1M0 4L4 0M3 5L5 3" {medium}/>'),
    "cupel": (6, 6, '<circle cx="1.5" cy="1.5" r=".5" {black}/><circle cx="4.5" cy="4.5" r=".5" {black}/>'),
    "cupel_soaked": (4, 4, '<circle cx="1" cy="1" r=".9" {black}/><circle cx="3" cy="3" r=".9" {black}/>'),
    "stain_green": (5, 5, '<circle cx="2.5" cy="2.5" r="1.6" {edge}/>'),
    "stain_dark": (4, 4, '<rect width="4" height="4" {black}/><circle cx="2" cy="2" r="1.15" fill="#fff"/>'),
}
_STYLES = {
    "black": 'fill="#000"',
    "edge": 'fill="#fff" stroke="#000" stroke-width=".5"',
    "thin": 'fill="none" stroke="#000" stroke-width=".4"',
    "medium": 'fill="none" stroke="#000" stroke-width=".6"',
    "thick": 'fill="none" stroke="#000" stroke-width=".9"',
    "heavy": 'fill="none" stroke="#000" stroke-width="1.6"',
}
_STROKES: dict[Fill, str] = {
    "outline": 'fill="none" stroke="#000" stroke-width=".9"',
    "crack": 'fill="none" stroke="#000" stroke-width="1.6"',
    "fume": 'fill="none" stroke="#000" stroke-width=".7" stroke-dasharray="2.5 1.2"',
}


def svg_text(drawing: Drawing, size_mm: float = 40, prefix: str | None = None) -> str:
    """Draw a picture for paper or a page.

    Args:
        drawing: The picture.
        size_mm: Width of the picture itself in mm; labels add a column to the right of it.
        prefix: Start of every id, so that several pictures can stand in one page; the name of the picture unless
            given. Give different ones when the same picture stands twice in a page.

    Returns:
        One ``svg`` element without an XML declaration, so that it can stand in HTML or in a file of its own.
    """
    mark = _id(prefix or drawing.name)
    type_size = _TYPE * drawing.width / 96
    labels = _labels(drawing, type_size)
    wide = drawing.width + 2 * _MARGIN + max((label.width for label in labels), default=0)
    high = drawing.height + 2 * _MARGIN
    scale = max(1.0, size_mm) / drawing.width
    fills = sorted({shape.fill for shape in drawing.shapes} & _TILES.keys())
    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{_n(wide * scale)}mm" '
        f'height="{_n(high * scale)}mm" '
        f'viewBox="-{_MARGIN} -{_MARGIN} {_n(wide)} {_n(high)}" role="img" aria-labelledby="{mark}-title {mark}-desc">',
        f'<title id="{mark}-title">{_safe(drawing.title)}</title>',
        f'<desc id="{mark}-desc">{_safe(drawing.caption)}</desc>',
        "<defs>",
        *(_pattern(fill, mark) for fill in fills),
        "</defs>",
        f'<rect x="-{_MARGIN}" y="-{_MARGIN}" width="{_n(wide)}" height="{_n(high)}" fill="#fff"/>',
        *(_shape(shape, mark) for shape in drawing.shapes),
        *(_labelled(label, drawing.width, type_size) for label in labels),
        "</svg>",
    ]
    return "\n".join(parts) + "\n"


def _id(name: str) -> str:
    """A name that is safe as the start of an id and in an address."""
    return "d-" + re.sub(r"[^A-Za-z0-9_-]+", "-", name)[:80]


def _safe(text: str) -> str:
    return escape(plain(text), {'"': "&quot;", "'": "&#39;"})


def _n(value: float) -> str:
    return f"{value:.2f}".rstrip("0").rstrip(".")


def _pattern(fill: Fill, mark: str) -> str:
    wide, high, body = _TILES[fill]
    return (
        f'<pattern id="{mark}-{fill}" width="{_n(wide)}" height="{_n(high)}" patternUnits="userSpaceOnUse">'
        f'<rect width="{_n(wide)}" height="{_n(high)}" fill="#fff"/>{body.format(**_STYLES)}</pattern>'
    )


def _style(fill: Fill, mark: str) -> str:
    if fill in DRAWN_AS_LINES:
        return _STROKES[fill] + ' stroke-linecap="round" stroke-linejoin="round"'
    pen = "#fff" if fill in _WHITE_EDGE else "#000"
    edge = "" if fill in _NO_EDGE else f' stroke="{pen}" stroke-width=".7" stroke-linejoin="round"'
    colour = _PLAIN.get(fill) or f"url(#{mark}-{fill})"
    return f'fill="{colour}"{edge}'


def _shape(shape: ShapeEntry, mark: str) -> str:
    style = _style(shape.fill, mark)
    if shape.points is not None:
        tag = "polyline" if shape.kind == "line" else "polygon"
        points = " ".join(f"{_n(x)},{_n(y)}" for x, y in shape.points)
        return f"<{tag} points={quoteattr(points)} {style}/>"
    left, top, right, bottom = box_of(shape)
    wide, high = right - left, bottom - top
    if shape.kind == "rect":
        return f'<rect x="{_n(left)}" y="{_n(top)}" width="{_n(wide)}" height="{_n(high)}" {style}/>'
    x, y = (left + right) / 2, (top + bottom) / 2
    return f'<ellipse cx="{_n(x)}" cy="{_n(y)}" rx="{_n(wide / 2)}" ry="{_n(high / 2)}" {style}/>'


@frozen
class _Label:
    """A label with the place it points at.

    Attributes:
        text: The words.
        anchor: The place on the part it names.
        y: Height of its line of text.
        width: Room it needs to the right of the picture.
    """

    text: str
    anchor: Point
    y: float
    width: float


def _labels(drawing: Drawing, type_size: float) -> list[_Label]:
    """The labels from top to bottom, moved apart so that none covers another."""
    grid = paint(drawing, _ACROSS, _DOWN, range(1, len(drawing.shapes) + 1))
    anchors: dict[str, Point] = {}
    for number, shape in enumerate(drawing.shapes, 1):
        text = plain(shape.label or "")
        if text and text not in anchors:
            anchors[text] = _anchor(drawing, grid, number, shape)
    ordered = sorted(anchors.items(), key=lambda item: item[1][1])
    step, least = type_size * 1.25, type_size * 0.75
    top, heights = least, []
    for _, (_, y) in ordered:
        top = max(top, y)
        heights.append(top)
        top += step
    bottom = drawing.height - least
    for place in reversed(range(len(heights))):
        heights[place] = min(heights[place], bottom)
        bottom = heights[place] - step
    return [
        _Label(text, anchor, y, type_size * (1.4 + 0.62 * len(text)))
        for (text, anchor), y in zip(ordered, heights, strict=True)
    ]


def _anchor(drawing: Drawing, grid: Grid, number: int, shape: ShapeEntry) -> Point:
    """A place where the shape can be seen, well inside it and to the right."""
    if shape.fill in DRAWN_AS_LINES:
        ring = ring_of(shape)
        if shape.kind != "line":
            return max(ring)
        (x1, y1), (x2, y2) = ring[(len(ring) - 1) // 2 : (len(ring) - 1) // 2 + 2]
        return (x1 + x2) / 2, (y1 + y2) / 2
    runs = [run for row, line in enumerate(grid.samples) for run in _runs(line, row, number)]
    if not runs:
        left, top, right, bottom = box_of(shape)
        return (left + right) / 2, (top + bottom) / 2
    longest = max(end - start for _, start, end in runs)
    fair = [run for run in runs if run[2] - run[1] >= longest * 0.6]
    row, start, end = fair[len(fair) // 2]
    column = max(end - 3, (start + end) / 2)
    return column * drawing.width / len(grid.samples[0]), (row + 0.5) * drawing.height / len(grid.samples)


def _runs(line: bytearray, row: int, number: int) -> list[tuple[int, int, int]]:
    """Row, start and end of each stretch of one shape in a line of samples."""
    return [(row, found.start(), found.end()) for found in re.finditer(re.escape(bytes([number])) + b"+", bytes(line))]


def _labelled(label: _Label, edge: float, type_size: float) -> str:
    (x, y), bend = label.anchor, edge + type_size * 0.3
    path = f"M{_n(x)} {_n(y)}L{_n(bend)} {_n(label.y)}h{_n(type_size * 0.5)}"
    return (
        f'<path d="{path}" fill="none" stroke="#fff" stroke-width="1.8"/>'
        f'<path d="{path}" fill="none" stroke="#000" stroke-width=".5"/>'
        f'<circle cx="{_n(x)}" cy="{_n(y)}" r="1.1" fill="#fff" stroke="#000" stroke-width=".5"/>'
        f'<text x="{_n(bend + type_size * 0.7)}" y="{_n(label.y + type_size * 0.35)}" font-family="sans-serif" '
        f'font-size="{_n(type_size)}" fill="#000">{_safe(label.text)}</text>'
    )
