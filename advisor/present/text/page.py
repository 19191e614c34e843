"""Folded text with indents, the same for every view."""

from __future__ import annotations

from collections.abc import Iterable
from typing import IO, Any, Protocol

from advisor.present.text.letters import fold, tame
from advisor.units.measures import format_number
from advisor.words import tr


class Screen(Protocol):
    """What a page is printed on: a console of rich, or whatever takes lines as it does."""

    @property
    def width(self) -> int:
        """Width in letters."""

    @property
    def is_terminal(self) -> bool:
        """Whether a person sees it at once."""

    @property
    def file(self) -> IO[str]:
        """Where plain lines go."""

    @property
    def encoding(self) -> str:
        """How letters are written there."""

    no_color: bool

    def print(self, *things: Any, **how: Any) -> None:
        """Print what is more than a plain line."""


class StyledLine(Protocol):
    """A line that says how it is shown."""

    @property
    def text(self) -> str:
        """What it says."""

    @property
    def style(self) -> str:
        """How rich shows it."""


_LONGEST = 76


class Page:
    """Prints folded text with indents to one console.

    Attributes:
        console: What it is printed on.
        explain: Whether every argument, figure and source is shown in full.
        columns: Width of the screen in letters; the last column stays free.
        width: Width of a paragraph in letters; longer lines are hard to read.
        coloured: Whether styles are shown.
    """

    def __init__(self, console: Screen, *, explain: bool = False) -> None:
        self.console = console
        self.explain = explain
        self.columns = max(24, console.width - 1)
        self.width = min(self.columns, _LONGEST)
        self.coloured = console.is_terminal and not console.no_color

    def _write(self, line: str, style: str) -> None:
        """One line; a plain one goes straight out, since an advice of a thousand lines would take seconds by rich."""
        if style and self.coloured:
            from rich.text import Text

            self.console.print(Text(line, style=style), soft_wrap=True)
        else:
            self.console.file.write(line + "\n")

    def heading(self, text: str) -> None:
        """A heading with a line under it."""
        self._write("", "")
        for line in fold(text.upper(), self.console.width):
            self._write(line, "bold")
        self._write("-" * min(len(text), self.console.width), "")

    def say(self, text: str, indent: int = 0, mark: str = "", style: str = "") -> None:
        """One paragraph; ``mark`` stands before its first line and the rest hangs under the text."""
        head = " " * indent + tame(mark)
        for line in fold(text, self.width, head, " " * len(head)) or [head]:
            self._write(line, style)

    def lines(self, lines: Iterable[StyledLine]) -> None:
        """Lines of a screen as they are, each in its style."""
        for line in lines:
            self._write(line.text, line.style)

    def verbatim(self, line: str) -> None:
        """One line as it is."""
        self._write(tame(line), "")

    def gap(self) -> None:
        """An empty line."""
        self._write("", "")


def between(low: float, high: float, likely: float | None = None) -> str:
    """A range in words; a wide one does not pretend to a third figure, unless its likely value would lie outside."""
    figures = 2 if high > 2 * abs(low) else 3
    if likely is not None and not float(f"{low:.{figures}g}") <= likely <= float(f"{high:.{figures}g}"):
        figures = 3
    first, last = format_number(low, figures), format_number(high, figures)
    return first if first == last else tr("{first} to {last}", first=first, last=last)
