"""Reads rows of the file as what they stand for, and finds what makes no sense or is not what was recorded.

A chain of checksums runs over all that is recorded. Each link is the SHA-256 of the link before it and of one batch or
entry as it lies in the file. It tells a change by accident or by hand; it cannot tell one by somebody who writes the
whole chain anew.
"""

from __future__ import annotations

import hashlib
import json
import sqlite3
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from advisor.frozen import frozen
from advisor.journal import sql
from advisor.journal.faults import JournalError
from advisor.journal.rows import Batch, Entry, unpacked
from advisor.words import tr


def faults_in(connection: sqlite3.Connection, path: Path) -> list[str]:
    """What is wrong with the file and what it holds; empty if nothing is."""
    found = [_one_line(row[0]) for row in connection.execute(sql.INTEGRITY) if row[0] != "ok"]
    if found:
        return found
    lost = connection.execute(sql.FOREIGN_KEYS)
    found = [
        tr("{row} row {row_2} names a {row_3} that is missing", row=row[0], row_2=row[1], row_3=row[2]) for row in lost
    ]
    links: dict[str, _Link] = {}
    for row in connection.execute(sql.BATCHES):
        try:
            batch_from(row)
        except JournalError as problem:
            found.append(str(problem))
    for row in connection.execute(sql.ENTRIES):
        try:
            entry = entry_from(row, path)
        except JournalError as problem:
            found.append(str(problem))
        else:
            about = (entry.batch, entry.kind, entry.name)
            links[entry.uid] = _Link(entry.number, about, entry.supersedes)
    return found + _wrong_chains(links) + broken_seals(connection)


def entry_from(row: Sequence[Any], path: Path) -> Entry:
    """An entry as the file holds it.

    Raises:
        JournalError: If it makes no sense.
    """
    values = dict(zip(sql.ENTRY_COLUMNS, row, strict=True))
    try:
        return Entry(**{**values, "document": unpacked(values["document"])})
    except ValueError as problem:
        raise JournalError(
            tr(
                "entry {row} of {path} is damaged ({first_line}); go on with your last backup",
                row=row[0],
                path=path,
                first_line=_first_line(problem),
            )
        ) from None


def batch_from(row: Sequence[Any]) -> Batch:
    """A batch as the file holds it.

    Raises:
        JournalError: If it makes no sense.
    """
    try:
        return Batch(**dict(zip(sql.BATCH_COLUMNS, row, strict=True)))
    except ValueError as problem:
        raise JournalError(
            tr(
                "batch {row} is damaged ({first_line}); go on with your last backup",
                row=row[0],
                first_line=_first_line(problem),
            )
        ) from None


def _first_line(problem: ValueError) -> str:
    errors = getattr(problem, "errors", None)
    return _one_line(errors()[0]["msg"] if errors is not None else problem)


def _one_line(said: object) -> str:
    return " ".join(str(said).split())


@frozen
class _Link:
    """What is to be known of an entry to follow what supersedes what; the entry itself may be long."""

    number: int
    about: tuple[str, str, str]
    supersedes: str | None


def _wrong_chains(links: dict[str, _Link]) -> list[str]:
    """Entries that supersede one of another batch or kind."""
    found = []
    for new in links.values():
        old = links.get(new.supersedes or "")
        if old is not None and old.about != new.about:
            found.append(
                tr(
                    "entry {number} supersedes entry {number_2}, which is about something else",
                    number=new.number,
                    number_2=old.number,
                )
            )
    return found


_BEGINNING = ""
_SEALED = {"batch": sql.BATCH_SEALED, "entry": sql.ENTRY_SEALED}


def seal_new(connection: sqlite3.Connection) -> None:
    """Add a link for each batch and entry that has none, in the order of their numbers."""
    row = connection.execute(sql.LAST_SEAL).fetchone()
    before = _BEGINNING if row is None else row[0]
    for table, number in _unsealed(connection):
        before = _link(before, table, _row(connection, table, number))
        connection.execute(sql.ADD_SEAL, (table, number, before))


def broken_seals(connection: sqlite3.Connection) -> list[str]:
    """What no longer is as it was recorded; empty if all is."""
    found = []
    for table, number in _unsealed(connection):
        found.append(
            tr("{table} {number} was recorded by another program, or its checksum is lost", table=table, number=number)
        )
    before = _BEGINNING
    for table, number, sealed in connection.execute(sql.SEALS):
        row = _row(connection, table, number)
        if row is None:
            found.append(tr("{table} {number} is gone", table=table, number=number))
        elif _link(before, table, row) != sealed:
            found.append(
                tr("{table} {number} is not what was recorded: its checksum does not fit", table=table, number=number)
            )
        # Each link is held against the one before as it lies in the file, so that one change is told once.
        before = sealed
    return found


def _unsealed(connection: sqlite3.Connection) -> list[tuple[str, int]]:
    """Which batches and entries have no link yet; their rows may be long and are read one at a time."""
    return [
        (table, row[0])
        for table, unsealed in (("batch", sql.UNSEALED_BATCHES), ("entry", sql.UNSEALED_ENTRIES))
        for row in connection.execute(unsealed)
    ]


def _row(connection: sqlite3.Connection, table: str, number: int) -> Sequence[Any] | None:
    row: Sequence[Any] | None = connection.execute(_SEALED[table], (number,)).fetchone()
    return row


def _link(before: str, table: str, row: Sequence[Any] | None) -> str:
    # In a changed file bytes may stand anywhere, in the place of the link before too.
    values = [value.hex() if isinstance(value, bytes) else value for value in (before, table, *(row or ()))]
    text = json.dumps(values, ensure_ascii=True)
    return hashlib.sha256(text.encode()).hexdigest()
