"""A made-up language without vowels, so that what was not translated stands out, on paper of plain letters too."""

from __future__ import annotations

import re
from collections.abc import Iterable
from pathlib import Path

import polib

from advisor.terminal.rules.template import Text

_WITHOUT = str.maketrans("aeiouyAEIOUY", "xxxxxxXXXXXX")
_PLACE = re.compile(r"(\{[^{}]*\})")
_PLAIN = re.compile(r"(?<![^\W\d_])[A-Za-z]{3,}(?![^\W\d_])")
_FORMULA = re.compile(r"(?=\w*[a-z])(?:[A-Z][a-z]?)+")
_VOWEL = re.compile("[aeiouyAEIOUY]")


def marked(text: str) -> str:
    """A text in the made-up language; its places stay as they are."""
    return "".join(part if part.startswith("{") else part.translate(_WITHOUT) for part in _PLACE.split(text))


def catalogue(path: Path, texts: Iterable[Text], **instead: str) -> Path:
    """The compiled catalogue in which every text is marked; ``instead`` gives other translations by text."""
    found = polib.POFile(check_for_duplicates=False)
    found.metadata = {
        "Content-Type": "text/plain; charset=UTF-8",
        "Language": "qaa",
        "Plural-Forms": "nplurals=2; plural=(n != 1);",
    }
    seen = set()
    for one in sorted(texts, key=lambda one: not one.many):
        if (one.context, one.text) in seen:
            continue
        seen.add((one.context, one.text))
        said = instead.get(one.text, marked(one.text))
        entry = polib.POEntry(msgid=one.text, msgctxt=one.context or None)
        if one.many:
            entry.msgid_plural, entry.msgstr_plural = one.many, {0: said, 1: marked(one.many)}
        else:
            entry.msgstr = said
        found.append(entry)
    found.save_as_mofile(str(path))
    return path


def bare(shown: str, known: Iterable[str] = ()) -> list[str]:
    """Words of three letters and more that nothing marked, each with what stands around it.

    Args:
        shown: What the program showed.
        known: What is not translated: ids, authors, titles, what was typed.
    """
    flat = " ".join(shown.split())
    there = {one for one in {" ".join(one.split()) for one in known} if one and one in flat}
    longest_first = map(re.escape, sorted(there, key=len, reverse=True))
    flat = re.sub(rf"(?<!\w)(?:{'|'.join(longest_first)})(?!\w)", "·", flat) if there else flat
    return [
        f"{word[0]}: {flat[max(0, word.start() - 40) : word.end() + 40]}"
        for word in _PLAIN.finditer(flat)
        if _VOWEL.search(word[0]) and not _FORMULA.fullmatch(word[0])
    ]
