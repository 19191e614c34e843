"""Journals for tests: a clock that is told, and batches with invented figures."""

from __future__ import annotations

import os
import signal
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from pathlib import Path

from advisor.journal import Batch, Draft, Journal
from advisor.journal.sql import LAYOUTS, Layouts
from advisor.journal.vocabulary import read_pair

START = datetime(2031, 5, 6, 21, 30, tzinfo=UTC)
"""An invented evening."""

NEXT_LAYOUT: Layouts = (*LAYOUTS, ("ALTER TABLE batch ADD COLUMN shift TEXT", "CREATE TABLE later (x INTEGER)"))
"""The layout of a program one step newer than this one."""


class Clock:
    """Goes on by a minute each time it is read."""

    def __init__(self) -> None:
        self.moment = START

    def __call__(self) -> datetime:
        self.moment += timedelta(minutes=1)
        return self.moment


def journal_at(path: Path, **options: object) -> Journal:
    """A journal with a clock that is told."""
    return Journal(path, Clock(), **options)  # type: ignore[arg-type]


def note(text: str) -> Draft:
    """A note."""
    return Draft("note", "note", text)


def filled(path: Path) -> tuple[Journal, Batch]:
    """A journal with one batch: a note, a bead that was amended, and a material that is not known."""
    journal = journal_at(path)
    batch, _ = journal.start("Invented night table", "Ana", [note("wet")])
    first, _ = journal.add(batch, "Ana", [read_pair("bead=12.31g"), read_pair("weighed.litharge=u")])
    journal.amend(first.number, "Juan", "read the scale wrong", read_pair("bead=12.13g"))
    return journal, batch


def in_child(work: Callable[[], None]) -> int:
    """Run something in a process of its own; returns its exit status, or minus the signal that ended it."""
    pid = os.fork()
    if pid == 0:
        status = 1
        try:
            work()
            status = 0
        finally:
            os._exit(status)
    return os.waitstatus_to_exitcode(os.waitpid(pid, 0)[1])


def kill(pid: int) -> None:
    """End a process at once, as a power switch would."""
    os.kill(pid, signal.SIGKILL)
    os.waitpid(pid, 0)
