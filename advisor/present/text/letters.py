"""What of a text a screen may show, and how wide."""

from __future__ import annotations

import unicodedata

from advisor.document import TURNING

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
