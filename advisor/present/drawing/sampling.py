"""Which part of a picture shows at each place: the shapes painted over each other on a fine grid."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise
from typing import TYPE_CHECKING

from advisor.frozen import frozen
from advisor.rulebase.drawings.fills import DRAWN_AS_LINES
from advisor.rulebase.drawings.model import Drawing, Point, ring_of

if TYPE_CHECKING:
    from advisor.rulebase.drawings.entries import ShapeEntry

ACROSS = 4
DOWN = 4
"""Samples in each cell, across and down."""

NOTHING = 0
STROKES = "-_|/\\()"
FIRST_STROKE = 200
"""A sample of this code or above shows a piece of a line: ``STROKES[code - FIRST_STROKE]``."""

_STAMP = 1.25
"""A part that is not larger than this many cells fills the cell in its middle, so that it is never lost."""


@frozen
class Grid:
    """The samples of a picture.

    Attributes:
        columns: Cells across.
        rows: Cells down.
        samples: One code for each sample, row by row; ``NOTHING`` where no shape is.
    """

    columns: int
    rows: int
    samples: list[bytearray]

    def cell(self, column: int, row: int) -> bytes:
        """The samples of one cell."""
        left, top = column * ACROSS, row * DOWN
        return b"".join(line[left : left + ACROSS] for line in self.samples[top : top + DOWN])

    def fill_cell(self, column: int, row: int, code: int) -> None:
        """Give a whole cell to one code."""
        left, top = column * ACROSS, row * DOWN
        for line in self.samples[top : top + DOWN]:
            line[left : left + ACROSS] = bytes([code]) * ACROSS


def paint(drawing: Drawing, columns: int, rows: int, codes: Sequence[int]) -> Grid:
    """Paint the shapes in their order.

    Args:
        drawing: The picture.
        columns: Cells across, at least 1.
        rows: Cells down, at least 1.
        codes: The code of each shape, below ``FIRST_STROKE``; lines are painted as pieces of line instead.
    """
    grid = Grid(columns, rows, [bytearray(columns * ACROSS) for _ in range(rows * DOWN)])
    for shape, code in zip(drawing.shapes, codes, strict=True):
        ring = [(x / drawing.width * columns, y / drawing.height * rows) for x, y in ring_of(shape)]
        if shape.fill in DRAWN_AS_LINES:
            _stroke(grid, ring if shape.kind == "line" else [*ring, ring[0]], shape)
        elif not _stamp(grid, ring, code):
            _cover(grid, ring, code)
    return grid


def _stamp(grid: Grid, ring: Sequence[Point], code: int) -> bool:
    xs, ys = zip(*ring, strict=True)
    if max(xs) - min(xs) > _STAMP or max(ys) - min(ys) > _STAMP:
        return False
    column, row = int((min(xs) + max(xs)) / 2), int((min(ys) + max(ys)) / 2)
    grid.fill_cell(min(column, grid.columns - 1), min(row, grid.rows - 1), code)
    return True


def _cover(grid: Grid, ring: Sequence[Point], code: int) -> None:
    """Fill the samples whose middle lies in the ring (even-odd rule)."""
    edges = [(a, b) for a, b in pairwise((*ring, ring[0])) if a[1] != b[1]]
    ys = [y for _, y in ring]
    last = len(grid.samples) - 1
    for number in range(max(0, int(min(ys) * DOWN)), min(last, int(max(ys) * DOWN)) + 1):
        height = (number + 0.5) / DOWN
        crossings = sorted(
            x1 + (height - y1) / (y2 - y1) * (x2 - x1)
            for (x1, y1), (x2, y2) in edges
            if (y1 <= height) != (y2 <= height)
        )
        line = grid.samples[number]
        for start, end in zip(crossings[::2], crossings[1::2], strict=False):
            left, right = max(0, round(start * ACROSS)), min(len(line), round(end * ACROSS))
            if right > left:
                line[left:right] = bytes([code]) * (right - left)


def _stroke(grid: Grid, path: Sequence[Point], shape: ShapeEntry) -> None:
    for start, end in pairwise(path):
        for column, row, stroke in _pieces(start, end, shape.fill == "fume"):
            place = min(max(column, 0), grid.columns - 1), min(max(row, 0), grid.rows - 1)
            grid.fill_cell(*place, FIRST_STROKE + STROKES.index(stroke))


def _pieces(start: Point, end: Point, curls: bool) -> Iterator[tuple[int, int, str]]:
    """The cells a straight line passes and the character that shows its direction in each."""
    (x1, y1), (x2, y2) = start, end
    across, down = x2 - x1, y2 - y1
    if abs(across) > abs(down) * 1.5:
        yield from _flat_pieces((start, end) if across > 0 else (end, start))
        return
    if down == 0:
        return
    upright = "|" if abs(across) < 0.35 * abs(down) else "\\" if across * down > 0 else "/"
    for row in _steps(y1, y2):
        along = min(max(row + 0.5, min(y1, y2)), max(y1, y2))
        x = x1 + (along - y1) / down * across
        yield int(x), row, "()"[row % 2] if curls else upright


def _flat_pieces(ends: tuple[Point, Point]) -> Iterator[tuple[int, int, str]]:
    (x1, y1), (x2, y2) = ends
    slope = (y2 - y1) / (x2 - x1)
    for column in _steps(x1, x2):
        left, right = max(column, x1), min(column + 1, x2)
        here, there = y1 + (left - x1) * slope, y1 + (right - x1) * slope
        middle = (here + there) / 2
        level = "_" if middle % 1 > 0.6 else "-"
        yield column, int(middle), level if int(here) == int(there) else "\\" if slope > 0 else "/"


def _steps(start: float, end: float) -> range:
    """The cells between two places; a place on the border between two cells adds no cell of its own."""
    low, high = min(start, end), max(start, end)
    first = int(low)
    return range(first, max(first + 1, -int(-high // 1)))
