"""Runs of words that rules and cases share with a book: ``python -m tests.rulebase.own_words BOOK.txt [BOOK.htm ...]``.

What a book says is told here in our own words; where its wording is the point it stands in double quotation marks with
the source. The books are not in this repository, so whoever adds rules from one names the text that was read. Each run
is printed with file and place; ``--marks`` prints for each the line by which the tests know the run without its text.
"""

from __future__ import annotations

import argparse
import hashlib
import html
import re
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

import yaml

ROOT = Path(__file__).resolve().parent.parent.parent
LENGTH = 7
"""Words that may not follow one another as they do in a book."""

_WORD = re.compile(r"[a-z0-9]+")
_QUOTED = re.compile(r'"[^"]*"')
_PAGE_MARK = re.compile(r"\[(?:Pg|page) ?[\divxlc]+\]", re.IGNORECASE)
_TAG = re.compile(r"<[^>]+>")


@dataclass(frozen=True)
class Run:
    """Words of a text that stand in the same order in a book.

    Attributes:
        where: File and place.
        words: The words, seven or more.
    """

    where: str
    words: tuple[str, ...]


def words_of(text: str) -> list[str]:
    """The words of a text in lower case, without signs."""
    return _WORD.findall(text.lower().replace("'", ""))


def shingles(words: list[str]) -> list[tuple[str, ...]]:
    """Every seven words that follow one another, in order."""
    return [tuple(words[start : start + LENGTH]) for start in range(len(words) - LENGTH + 1)]


def mark(shingle: tuple[str, ...]) -> str:
    """Seven words as nine hexadecimal digits, from which nobody reads the words."""
    return hashlib.sha256(" ".join(shingle).encode()).hexdigest()[:9]


def unquoted(text: str) -> list[list[str]]:
    """The words of a text piece by piece, without what stands in double quotation marks."""
    return [words_of(piece) for piece in _QUOTED.split(text)]


def strings(data: Any, where: str) -> Iterator[tuple[str, str]]:
    """Every text in a parsed YAML file, with its place."""
    if isinstance(data, str):
        yield where, data
    elif isinstance(data, dict):
        for key, value in data.items():
            yield from strings(value, f"{where}.{key}")
    elif isinstance(data, list):
        for position, value in enumerate(data):
            yield from strings(value, f"{where}.{position}")


@cache
def prose() -> tuple[tuple[str, str], ...]:
    """Every text of the rules and cases, with file and place."""
    files = sorted([*(ROOT / "rules").rglob("*.yaml"), *(ROOT / "cases").rglob("*.yaml")])
    loader = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
    return tuple(
        found
        for path in files
        for found in strings(yaml.load(path.read_text("utf-8"), loader), str(path.relative_to(ROOT)))
    )


def runs(text: str, where: str, book: set[tuple[str, ...]]) -> list[Run]:
    """What a text shares with a book, given as its shingles; overlapping shingles make one run."""
    found: list[Run] = []
    for words in unquoted(text):
        end = 0
        for start, shingle in enumerate(shingles(words)):
            if shingle not in book:
                continue
            if found and start < end:
                found[-1] = Run(where, (*found[-1].words, *words[end : start + LENGTH]))
            else:
                found.append(Run(where, shingle))
            end = start + LENGTH
    return found


def book_shingles(path: Path) -> set[tuple[str, ...]]:
    """The shingles of a book in plain text or HTML, page marks left out."""
    raw = path.read_bytes()
    text = raw.decode("utf-8") if _is_utf8(raw) else raw.decode("latin-1")
    if path.suffix.startswith(".htm"):
        text = html.unescape(_TAG.sub(" ", text))
    return set(shingles(words_of(_PAGE_MARK.sub(" ", text))))


def _is_utf8(raw: bytes) -> bool:
    try:
        raw.decode("utf-8")
    except UnicodeDecodeError:
        return False
    return True


def main() -> int:
    """Print the runs shared with the books; the exit status is 1 if there is one."""
    parser = argparse.ArgumentParser(description="Print what rules and cases share word by word with books.")
    parser.add_argument("books", nargs="+", type=Path, metavar="BOOK", help="the text of a book, .txt or .htm")
    parser.add_argument("--marks", action="store_true", help="print the marks for the tests, and no words")
    options = parser.parse_args()
    book = set().union(*(book_shingles(path) for path in options.books))
    found = [run for where, text in prose() for run in runs(text, where, book)]
    for run in found:
        if options.marks:
            print(f'    "{" ".join(mark(shingle) for shingle in shingles(list(run.words)))}",')
        else:
            print(f"{run.where}: {' '.join(run.words)}")
    return 1 if found else 0


if __name__ == "__main__":
    raise SystemExit(main())
