"""What of a text a screen may show, and how wide."""

from __future__ import annotations

import unicodedata

NARROWEST, WIDEST = 40, 100


def screen_width(columns: int) -> int:
    """The width to fold text to, in letters, for a screen of so many columns."""
    return max(NARROWEST, min(columns, WIDEST))


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
