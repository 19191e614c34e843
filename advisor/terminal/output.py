"""The one place where text reaches the screen."""

from __future__ import annotations

import codecs
import contextlib
import os
import sys
from collections.abc import Callable
from functools import cache
from shutil import get_terminal_size
from typing import TYPE_CHECKING, Any, TextIO

from advisor.document import json_text
from advisor.present.text.letters import screen_width, tame
from advisor.present.text.page import Page
from advisor.words import tr

if TYPE_CHECKING:
    from rich.console import Console

    from advisor.present.text.page import Screen


@cache
def screen() -> Console:
    """The console for answers, on standard output."""
    return _console(stderr=False)


class Plain:
    """Standard output that is no terminal: lines go straight out, and rich, which takes long to load, stays away.

    Attributes:
        width: Width in letters.
    """

    is_terminal = False
    no_color = True

    def __init__(self, width: int) -> None:
        self.width = width

    @property
    def file(self) -> TextIO:
        """Where lines go."""
        return sys.stdout

    @property
    def encoding(self) -> str:
        """How letters are written there."""
        return self.file.encoding

    def print(self, *things: Any, **how: Any) -> None:
        """Anything but plain lines is left to the console."""
        screen().print(*things, **how)


@cache
def page_screen() -> Screen:
    """What a page of text is printed on: the console, or something plainer where that looks the same."""
    columns = os.environ.get("COLUMNS", "80")
    as_terminal = any(os.environ.get(name) for name in ("FORCE_COLOR", "TTY_COMPATIBLE"))
    if as_terminal or sys.stdout.isatty() or not columns.isdigit():
        return screen()
    _mend(sys.stdout)
    return Plain(screen_width(int(columns)))


@cache
def notices() -> Console:
    """The console for notices and faults, on standard error."""
    return _console(stderr=True)


def _console(*, stderr: bool) -> Console:
    from rich.console import Console

    _mend(sys.stderr if stderr else sys.stdout)
    console = Console(stderr=stderr, highlight=False, markup=False, emoji=False, soft_wrap=False)
    width = console.width if console.is_terminal or os.environ.get("COLUMNS") else 80
    if console.is_dumb_terminal:
        # Rich takes every such terminal for one of 80 columns, whatever it has.
        width, console.height = get_terminal_size()
    console.width = screen_width(width)
    return console


_IN_ASCII = {"\N{DEGREE SIGN}": "", "\N{PER MILLE SIGN}": "permille", "\N{MULTIPLICATION SIGN}": "x"}
"""How letters are written where there are only those of ASCII; 1200 °C is then 1200 C, as it may be typed."""


def _spell_out(problem: UnicodeError) -> tuple[str, int]:
    """A letter that a stream lacks, in others; a question mark where there are none."""
    assert isinstance(problem, UnicodeEncodeError)
    lacking = problem.object[problem.start : problem.end]
    return "".join(_IN_ASCII.get(letter, "?") for letter in lacking), problem.end


codecs.register_error("advisor-spell-out", _spell_out)


def _mend(stream: Any) -> None:
    """Let a stream that lacks a character spell it out, or show a question mark, instead of ending the program."""
    if hasattr(stream, "reconfigure"):
        stream.reconfigure(errors="advisor-spell-out")


def notice(words: str) -> None:
    """Something to know beside the document; each line stays in one piece, so that a command can be copied."""
    from rich.text import Text

    notices().print(Text(tame(words)), soft_wrap=True)


def say_fault(message: str) -> None:
    """One sentence a line about what is wrong."""
    from rich.text import Text

    notices().print(Text(tame(message)), soft_wrap=True)


def fault_of_system(problem: OSError) -> str:
    """What the system refused, in a sentence: a file that has a name, or else the output."""
    reason = problem.strerror or str(problem) or tr("the system gives no reason")
    if problem.filename is None:
        return tr("the output cannot be written ({reason}); free some room or write it elsewhere", reason=reason)
    return tr(
        "{filename} cannot be used ({reason}); check its name and permissions, and that the disk has room",
        filename=problem.filename,
        reason=reason,
    )


def typed_line(console: Screen) -> str | None:
    """One line typed at the prompt; None at Ctrl-C, at the end of input, or when there is no input at all.

    On a terminal the line can be edited, and what was typed before in this run comes back with the arrow keys.
    """
    from rich.console import Console
    from rich.text import Text

    _mend_input()
    try:
        if console.file is sys.stdout and _editing():
            sys.stdout.flush()
            return input("> ").strip()
        return (console if isinstance(console, Console) else screen()).input(Text("> ")).strip()
    except (EOFError, KeyboardInterrupt, RuntimeError):
        # RuntimeError: standard input is closed altogether.
        return None


@cache
def _mend_input() -> None:
    """Let a letter in another encoding not be understood, instead of ending the program; before anything is read."""
    if hasattr(sys.stdin, "reconfigure"):
        with contextlib.suppress(OSError):
            sys.stdin.reconfigure(errors="replace")


@cache
def _editing() -> bool:
    """Whether a line can be edited while it is typed: at a terminal, where Python has what it takes."""
    if sys.stdin is None or not (sys.stdin.isatty() and sys.stdout.isatty()):
        # It is not even loaded there, since it writes to standard output when it is.
        return False
    try:
        import readline
    except ImportError:
        return False
    # Nothing of the folder shows at the Tab key, and nothing but the letters typed goes to the terminal.
    for order in ("set disable-completion on", "set enable-bracketed-paste off", "set enable-meta-key off"):
        readline.parse_and_bind(order)
    return True


def show_paged(show: Callable[[Page], None], *, explain: bool = False) -> None:
    """Show a text; on a terminal with fewer lines through the pager, so that its beginning is seen first."""
    console = screen()
    if not console.is_terminal:
        show(Page(console, explain=explain))
        return
    from io import StringIO

    from rich.console import Console

    kept = Console(
        file=StringIO(), force_terminal=True, width=console.width, no_color=console.no_color, highlight=False,
        markup=False, emoji=False, color_system="standard",
    )  # fmt: skip
    show(Page(kept, explain=explain))
    text = kept.file.getvalue()  # type: ignore[attr-defined]
    if text.count("\n") < console.height:
        console.file.write(text)
        return
    # The usual pager shows styles when it is told to, and stays where it is at the end.
    os.environ.setdefault("LESS", "-R")
    from pydoc import pager

    with contextlib.suppress(KeyboardInterrupt):
        pager(text)


def somebody_types() -> bool:
    """Whether somebody sits at a terminal."""
    return sys.stdin is not None and sys.stdin.isatty()


def number_typed(typed: str, most: int) -> int | None:
    """The number from 1 to ``most`` that was typed, or None; a cat on the keyboard types thousands of digits."""
    if typed.isascii() and typed.isdigit() and len(typed) <= len(str(most)) + 1 and 1 <= int(typed) <= most:
        return int(typed)
    return None


def close_output() -> None:
    """Let the last words of standard output go nowhere, so that leaving does not fail again."""
    os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())


def write_document(text: str) -> None:
    """A document for other programs on standard output, in UTF-8 whatever the terminal can show."""
    stream = getattr(sys.stdout, "buffer", None)
    if stream is None:
        sys.stdout.write(text)
        return
    sys.stdout.flush()
    stream.write(text.encode("utf-8"))
    stream.flush()


def write_json(document: object) -> None:
    """A document as JSON on standard output."""
    write_document(json_text(document) + "\n")


def read_standard_input() -> str:
    """All of standard input as text.

    Raises:
        InputError: If there is none, or it is too large or no text.
    """
    from advisor.errors import InputError
    from advisor.rulebase.reading.yaml_reader import MOST_BYTES, decode

    if sys.stdin is None:
        raise InputError(tr("standard input is closed; name a file, or pipe the answers in"))
    return decode(sys.stdin.buffer.read(MOST_BYTES + 1), "standard input")
