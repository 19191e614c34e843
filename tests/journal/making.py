"""Journals for tests: a clock that is told, and batches with invented figures."""

from __future__ import annotations

import os
import select
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


def writer(path: Path, report: int, batch_uid: str | None) -> int:
    """A process that records without end and reports each pair of entries once it is recorded; its number.

    Args:
        path: The journal.
        report: The pipe for its reports.
        batch_uid: The batch; without one it opens its own.
    """
    pid = os.fork()
    if pid == 0:
        try:
            _write(path, report, batch_uid)
        finally:
            os._exit(1)
    return pid


def _write(path: Path, report: int, batch_uid: str | None) -> None:
    journal = Journal(path)
    if batch_uid is None:
        batch, _ = journal.start("Night", "Ana")
    else:
        batch = next(one for one in journal.look().batches if one.uid == batch_uid)
    turn = 0
    while True:
        # Some entries are long, so that the kill also falls between the pages of one entry.
        turn += 1
        entries = journal.add(batch, "Ana", [note(f"{turn} " + "x" * (4000 if turn % 3 == 0 else 10)), note("second")])
        os.write(report, f"{batch.uid} {entries[0].uid} {entries[1].uid}\n".encode())


def reported(pipe: int) -> list[list[str]]:
    """What writers that are gone had reported: the batch and two entries each time."""
    said = b""
    while select.select([pipe], [], [], 0)[0] and (chunk := os.read(pipe, 1 << 16)):
        said += chunk
    os.close(pipe)
    return [line.split() for line in said.decode().splitlines()]


def kill(pid: int) -> None:
    """End a process at once, as a power switch would."""
    os.kill(pid, signal.SIGKILL)
    os.waitpid(pid, 0)
