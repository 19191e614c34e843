"""What of a text a screen may show, and how it is folded."""

from __future__ import annotations

import re
import textwrap
import unicodedata

from advisor.document import TURNING
from advisor.units.measures import spellings

NARROWEST, WIDEST = 40, 100


def screen_width(columns: int) -> int:
    """The width to fold text to, in letters, for a screen of so many columns."""
    return max(NARROWEST, min(columns, WIDEST))


def tame(text: str) -> str:
    """Text from outside without anything a terminal would obey; letters of every script stay as they are."""
    if text.isprintable():
        # Nearly every line; what is printable holds no order.
        return text
    return "".join("?" if _is_order(letter) else letter for letter in text)


def _is_order(letter: str) -> bool:
    return letter in TURNING or (letter != "\n" and unicodedata.category(letter) in ("Cc", "Cs", "Zl", "Zp"))


_JOINED = "\u00a0"
_FIGURE_AND_WORD = re.compile(r"(?<=\d) (?=(\S+))")
_AFTER_A_UNIT = ".,;:!?)]"


def fold(text: str, width: int, head: str = "", rest: str = "") -> list[str]:
    """A text in lines of a width; a figure and its unit stand on one line.

    Args:
        text: The text.
        width: Letters of a line.
        head: What the first line begins with.
        rest: What the others begin with.
    """
    text = tame(text)
    if text and len(head) + len(text) <= width and text.isprintable() and text == text.strip():
        return [head + text]
    joined = _FIGURE_AND_WORD.sub(_joined, text)
    lines = textwrap.wrap(joined, width, initial_indent=head, subsequent_indent=rest, break_on_hyphens=False)
    return [line.replace(_JOINED, " ") for line in lines] if joined != text else lines


def _joined(found: re.Match[str]) -> str:
    """The space between a figure and a word, one that does not break where the word is a unit."""
    return _JOINED if found[1].rstrip(_AFTER_A_UNIT).lower() in spellings() else " "
