"""Reads rows of the file as what they stand for, and finds what makes no sense."""

from __future__ import annotations

import sqlite3
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from advisor.frozen import frozen
from advisor.journal import sql
from advisor.journal.faults import JournalError
from advisor.journal.rows import Batch, Entry, unpacked
from advisor.journal.sealing import broken_seals


def faults_in(connection: sqlite3.Connection, path: Path) -> list[str]:
    """What is wrong with the file and what it holds; empty if nothing is."""
    found = [_one_line(row[0]) for row in connection.execute(sql.INTEGRITY) if row[0] != "ok"]
    if found:
        return found
    lost = connection.execute(sql.FOREIGN_KEYS)
    found = [f"{row[0]} row {row[1]} names a {row[2]} that is missing" for row in lost]
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
            f"entry {row[0]} of {path} is damaged ({_first_line(problem)}); go on with your last backup"
        ) from None


def batch_from(row: Sequence[Any]) -> Batch:
    """A batch as the file holds it.

    Raises:
        JournalError: If it makes no sense.
    """
    try:
        return Batch(**dict(zip(sql.BATCH_COLUMNS, row, strict=True)))
    except ValueError as problem:
        raise JournalError(f"batch {row[0]} is damaged ({_first_line(problem)}); go on with your last backup") from None


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
            found.append(f"entry {new.number} supersedes entry {old.number}, which is about something else")
    return found
