"""The one place where text reaches the screen."""

from __future__ import annotations

import os
import sys
from functools import cache
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from rich.console import Console

WIDEST = 100


@cache
def screen() -> Console:
    """The console for answers, on standard output."""
    return _console(stderr=False)


@cache
def notices() -> Console:
    """The console for notices and faults, on standard error."""
    return _console(stderr=True)


def _console(*, stderr: bool) -> Console:
    from rich.console import Console

    stream = sys.stderr if stderr else sys.stdout
    if hasattr(stream, "reconfigure"):
        # An old terminal that lacks a character shows a question mark instead of ending the program.
        stream.reconfigure(errors="replace")
    console = Console(stderr=stderr, highlight=False, markup=False, emoji=False, soft_wrap=False)
    width = console.width if console.is_terminal or os.environ.get("COLUMNS") else 80
    console.width = max(40, min(width, WIDEST))
    return console


def say_fault(message: str) -> None:
    """One sentence a line about what is wrong; a name from outside cannot give the terminal orders."""
    from rich.text import Text

    tame = "".join(letter if letter.isprintable() or letter == "\n" else "?" for letter in message)
    notices().print(Text(tame), soft_wrap=True)
