"""The one place where text reaches the screen."""

from __future__ import annotations

import os
import sys
import unicodedata
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


_UNSEEN_ORDERS = frozenset("\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069")
"""Letters that turn the direction of writing, with which a name could pose as another."""


def tame(text: str) -> str:
    """Text from outside without anything a terminal would obey; letters of every script stay as they are."""
    if text.isprintable():
        # Nearly every line; what is printable holds no order.
        return text
    return "".join("?" if _is_order(letter) else letter for letter in text)


def _is_order(letter: str) -> bool:
    return letter in _UNSEEN_ORDERS or (letter != "\n" and unicodedata.category(letter) in ("Cc", "Cs", "Zl", "Zp"))


def say_fault(message: str) -> None:
    """One sentence a line about what is wrong."""
    from rich.text import Text

    notices().print(Text(tame(message)), soft_wrap=True)


def typed_line(console: Console) -> str | None:
    """One line typed at the prompt; None at Ctrl-C, at the end of input, or when there is no input at all."""
    from rich.text import Text

    try:
        return console.input(Text("> ")).strip()
    except (EOFError, KeyboardInterrupt, RuntimeError):
        # RuntimeError: standard input is closed altogether.
        return None


def write_document(text: str) -> None:
    """A document for other programs on standard output, in UTF-8 whatever the terminal can show."""
    if sys.stdout is None:
        return
    stream = getattr(sys.stdout, "buffer", None)
    if stream is None:
        sys.stdout.write(text)
        return
    sys.stdout.flush()
    stream.write(text.encode("utf-8"))
    stream.flush()


def read_standard_input() -> str:
    """All of standard input as text.

    Raises:
        InputError: If there is none, or it is too large or no text.
    """
    from advisor.errors import InputError
    from advisor.knowledge.yaml_reader import MOST_BYTES, decode

    if sys.stdin is None:
        raise InputError("standard input is closed; name a file, or pipe the answers in")
    return decode(sys.stdin.buffer.read(MOST_BYTES + 1), "standard input")
