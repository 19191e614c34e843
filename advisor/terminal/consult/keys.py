"""What is typed after a first screen: one key for each part of the document, for the work and for the sheet."""

from __future__ import annotations

from collections.abc import Iterable

from advisor.advice.documents.advice import Advice
from advisor.advice.documents.diagnosis import Diagnosis
from advisor.words import tr

PARTS_OF_KEY = {"1": ("dangers",), "2": ("why", "change"), "3": ("ways",), "4": ("answers",), "6": ("numbers",)}
"""The parts that a key shows."""

WAYS, ANSWERS, SHEET, WHOLE, NEXT, LEAVE = "3", "4", "5", "7", "8", "0"


def keys_line(document: Advice | Diagnosis, *, next_batch: bool = False) -> str:
    """The keys that go on from here."""
    enter = tr("Enter work  ") if document.phases else ""
    sheet = tr("5 sheet ") if isinstance(document, Advice) else ""
    following = tr("8 next batch ") if next_batch else ""
    return tr(
        "{enter}1 dangers 2 why 3 ways 4 answers {sheet}6 numbers 7 all {following} 0 leave",
        enter=enter,
        sheet=sheet,
        following=following,
    )


def rest_line(parts: Iterable[str]) -> str:
    """How to see the rest of a document that came from a file."""
    return tr("MORE  --show {parts}  --all", parts="|".join(parts))
