"""The kinds of consultation, and where the answers of each are kept."""

from __future__ import annotations

from pathlib import Path

from advisor.frozen import frozen
from advisor.terminal.settings import record
from advisor.words import tr


class LeftError(Exception):
    """The person left before the end; the answers are kept."""


@frozen
class ConsultationKind:
    """One kind of consultation.

    Attributes:
        command: The command that runs it.
        document: What it gives, in a word.
        option: The option that takes its answers from a file.
    """

    command: str
    document: str
    option: str

    @property
    def unfinished_file(self) -> Path:
        """Where a consultation is kept while it runs."""
        return record(f"unfinished-{self.command}.yaml")

    @property
    def last_file(self) -> Path:
        """Where the answers of the last finished consultation are kept."""
        return record(f"last-{self.command}.yaml")


ROUTE = ConsultationKind("route", tr("advice"), "--answers")
DIAGNOSE = ConsultationKind("diagnose", tr("diagnosis"), "--observations")
