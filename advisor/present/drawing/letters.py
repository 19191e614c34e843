"""A picture as lines of text for the terminal, with its legend. Text only: no colours, no markup."""

from __future__ import annotations

import unicodedata

from advisor.present.drawing.sampling import FIRST_STROKE, NOTHING, STROKES, paint
from advisor.rulebase.drawings.fills import FILLS, LOOKS, Fill
from advisor.rulebase.drawings.model import Drawing, plain
from advisor.words import tr

WIDTH = 24
HEIGHT = 9
"""The usual picture, in characters and lines; with these a picture of 96 by 72 units keeps its proportions."""

_CODE: dict[Fill, int] = {fill: number for number, fill in enumerate(FILLS)}
assert _CODE["air"] == NOTHING


def terminal_lines(drawing: Drawing, width: int = WIDTH, height: int = HEIGHT, ascii_only: bool = False) -> list[str]:
    """Draw a picture with characters.

    Args:
        drawing: The picture.
        width: Characters across, at least 1.
        height: Lines, at least 1.
        ascii_only: Use plain ASCII; otherwise some parts are shaded blocks.

    Returns:
        Exactly ``height`` lines of at most ``width`` characters, without spaces at their ends.
    """
    columns, rows = max(1, width), max(1, height)
    grid = paint(drawing, columns, rows, [_CODE[shape.fill] for shape in drawing.shapes])
    tiles = [LOOKS[fill].tile(ascii_only) for fill in FILLS]
    return [
        "".join(_character(grid.cell(column, row), column, row, tiles) for column in range(columns)).rstrip()
        for row in range(rows)
    ]


def _character(cell: bytes, column: int, row: int, tiles: list[tuple[str, ...]]) -> str:
    code = cell[0] if cell.count(cell[0]) == len(cell) else _most_seen(cell)
    if code >= FIRST_STROKE:
        return STROKES[code - FIRST_STROKE]
    line = tiles[code][row % len(tiles[code])]
    return line[column % len(line)]


def _most_seen(cell: bytes) -> int:
    """What covers most of a cell; of two equal ones the later in the list of fills, so that air never wins."""
    return max(set(cell), key=lambda code: (cell.count(code), code))


def legend_lines(drawing: Drawing, width: int = WIDTH, ascii_only: bool = False) -> list[str]:
    """The labels of a picture with the look of what they name, such as ``.. slag  ## metal``.

    Returns:
        Lines of at most ``width`` characters; none when the picture has no labels.
    """
    pieces: dict[str, None] = {}
    for shape in drawing.shapes:
        if shape.label:
            label = printable(shape.label, ascii_only)
            pieces[cut(f"{_sample(shape.fill, ascii_only)} {label}", width)] = None
    lines: list[str] = []
    for piece in pieces:
        if lines and columns_of(lines[-1]) + 2 + columns_of(piece) <= width:
            lines[-1] += "  " + piece
        else:
            lines.append(piece)
    return lines


def _sample(fill: Fill, ascii_only: bool) -> str:
    """Two characters that show the look of a fill; a word where there is nothing to show."""
    if fill == "air":
        return tr("blank:")
    tile = LOOKS[fill].tile(ascii_only)[0]
    return tile * 2 if len(tile) == 1 else tile


def printable(text: str, ascii_only: bool) -> str:
    """The text without control characters; in plain ASCII with ``?`` for whatever else it held."""
    seen = plain(text)
    return seen.encode("ascii", "replace").decode("ascii") if ascii_only else seen


def columns_of(text: str) -> int:
    """How many columns of a terminal a text takes."""
    return sum(_columns_of_one(character) for character in text)


def _columns_of_one(character: str) -> int:
    if unicodedata.combining(character):
        return 0
    return 2 if unicodedata.east_asian_width(character) in "WF" else 1


def cut(text: str, width: int) -> str:
    """The text shortened to at most this many columns."""
    while columns_of(text) > max(0, width):
        text = text[:-1]
    return text
