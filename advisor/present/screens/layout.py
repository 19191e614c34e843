"""Lines of a screen: folded under their labels, in two columns where there is room."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import dropwhile, takewhile, zip_longest

from advisor.frozen import frozen
from advisor.present.text.letters import fold, tame

WIDTH = 79
"""Letters of a line; the last column of a terminal of 80 stays free, since some break a full line."""

HEIGHT = 24
"""Lines of the smallest usual terminal; the last one is for typing."""

LABEL = 10
"""Width of a label at the margin."""

_GAP = 2


_BETWEEN = 3
_LEFT_LEAST = 26
_TWO_COLUMNS = 70
"""Below this width tables stand under each other."""


@frozen
class Line:
    """One line of a screen.

    Attributes:
        text: What it says.
        style: How rich shows it on a terminal; what matters is said in words and by its place besides.
    """

    text: str
    style: str = ""


@frozen
class Block:
    """A table under its title; nothing where it has no rows."""

    title: str
    rows: tuple[tuple[str, ...], ...]

    def lines(self, width: int) -> list[Line]:
        """Its lines."""
        return [Line(self.title, "bold"), *rows(self.rows, width)] if self.rows else []


def labelled(label: str, text: str, width: int, style: str = "") -> list[Line]:
    """A text that hangs beside its label; nothing where there is no text."""
    if not text:
        return []
    head = f"{label:<{LABEL - 1}} " if label else " " * LABEL
    return folded(text, width, head, " " * LABEL, style)


def folded(text: str, width: int, head: str = "", rest: str = "", style: str = "") -> list[Line]:
    """A text folded to a width."""
    return [Line(line, style) for line in fold(text, width, head, rest)]


def rows(table: Sequence[tuple[str, ...]], width: int) -> list[Line]:
    """A table: the first column as wide as it must be and folded where it is too wide, the others at the right."""
    tamed = [tuple(tame(cell) for cell in row) for row in table]
    widths = [max(len(row[n]) for row in tamed) for n in range(len(tamed[0]))] if tamed else []
    first = max(8, min(widths[0], width - sum(widths[1:]) - _GAP * (len(widths) - 1))) if tamed else 0
    lines = []
    for row in tamed:
        names = fold(row[0], first) or [""]
        cells = "".join(f"{'':{_GAP}}{cell:>{w}}" for cell, w in zip(row[1:], widths[1:], strict=True))
        lines.append(Line(f"{names[0]:<{first}}{cells}".rstrip()))
        lines += [Line(f"  {name}") for name in names[1:]]
    return lines


def beside(left: Block, right: Block, width: int) -> list[Line]:
    """Two tables beside each other, the right one as wide as it wants, or under each other on a narrow screen."""
    if not left.rows or not right.rows or width < _TWO_COLUMNS:
        return [*left.lines(width), *right.lines(width)]
    theirs = right.lines(width - _LEFT_LEAST - _BETWEEN)
    ours = left.lines(width - max(len(line.text) for line in theirs) - _BETWEEN)
    margin = width - max(len(line.text) for line in theirs)
    pairs = zip_longest(ours, theirs, fillvalue=Line(""))
    return [Line(f"{a.text:<{margin}}{b.text}".rstrip(), a.style or b.style) for a, b in pairs]


def in_sight(lines: Sequence[Line], ending: int, height: int) -> list[Line]:
    """Lines of which a small terminal shows the last alone: their heading stands again above the ending.

    Args:
        lines: The lines.
        ending: How many of them, at the end, say what to type.
        height: Lines of the terminal; one is for typing.
    """
    if len(lines) < height:
        return [*lines]
    heading = takewhile(lambda line: "reverse" in line.style, dropwhile(lambda line: not line.style, lines))
    return [*lines[:-ending], *heading, *lines[-ending:]]


def listed(words: Iterable[str]) -> str:
    """Several things in one line, each once."""
    return "; ".join(dict.fromkeys(words))
