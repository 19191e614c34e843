"""Words for the sheet: made safe to print, shortened by rule, and put into ASCII for an old printer."""

from __future__ import annotations

import re
import unicodedata

from advisor.advice.documents.common import Span
from advisor.document import TURNING
from advisor.units.measures import format_number

LONGEST_TITLE = 60
"""Letters of a batch name that are printed; the rest is in the answers."""

LONGEST_TEXT = 110
"""Letters of a step or control without a brief text of its own."""

"""Letters that turn the direction of writing."""

_MOST_MARKS = 2
"""Accents on one letter; a tower of them would print over the lines above."""

_ASCII = str.maketrans(
    {
        "°": "",
        "–": "-",
        "—": "-",
        "‑": "-",
        "−": "-",
        "×": "x",
        "·": ".",
        "…": "...",
        "‰": "per 1000",
        "≥": ">=",
        "≤": "<=",
        "µ": "u",
        "“": '"',
        "”": '"',
        "‘": "'",
        "’": "'",
        "ß": "ss",
    }
)


def clean(text: str) -> str:
    """Text without anything a printer or browser could obey, on one line and without towers of accents."""
    kept: list[str] = []
    marks = 0
    for letter in unicodedata.normalize("NFC", " ".join(text.split())):
        category = unicodedata.category(letter)
        marks = marks + 1 if category in ("Mn", "Me") else 0
        if marks > _MOST_MARKS:
            continue
        kept.append("?" if letter in TURNING or category in ("Cc", "Cs", "Zl", "Zp") else letter)
    return "".join(kept)


def cut(text: str, most: int) -> str:
    """Text of no more than ``most`` letters, cut at a word where there is one, with dots that say so."""
    if len(text) <= most:
        return text
    head = text[: most - 3]
    word = head.rsplit(" ", 1)[0]
    return (word if len(word) > most // 2 else head).rstrip(" ,;:") + "..."


def first_sentence(text: str) -> str:
    """The first sentence of a text."""
    return re.split(r"(?<=[.!?])\s", text, maxsplit=1)[0]


def shortened(brief: str | None, text: str) -> str:
    """The brief text of a rule; where it has none, its first sentence, cut if that is still long."""
    return clean(brief) if brief else cut(clean(first_sentence(text)), LONGEST_TEXT)


def ascii_words(text: str) -> str:
    """Text in plain ASCII: accents dropped, signs spelt out, any other script as question marks."""
    plain = unicodedata.normalize("NFKD", text.translate(_ASCII))
    return "".join(
        letter if " " <= letter <= "~" else "?" for letter in plain if not unicodedata.category(letter).startswith("M")
    )


def between(low: float, high: float, unit: str) -> str:
    """A range with its unit; a wide one does not pretend to a third figure."""
    figures = 2 if high > 2 * abs(low) else 3
    first, last = format_number(low, figures), format_number(high, figures)
    return f"{first} {unit}" if first == last else f"{first}–{last} {unit}"


def time_words(span: Span | None) -> str:
    """A time in minutes, hours or days, whichever reads best."""
    if span is None:
        return ""
    for least, minutes, unit in ((1440.0, 1440.0, "d"), (120.0, 60.0, "h")):
        if span.low >= least:
            return between(span.low / minutes, span.high / minutes, unit)
    return between(span.low, span.high, "min")
