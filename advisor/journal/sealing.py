"""A chain of checksums over what is recorded: a byte that changes later is told by ``check``.

Each link is the SHA-256 of the link before it and of one batch or entry as it lies in the file. The chain tells a
change by accident or by hand; it cannot tell one by somebody who writes the whole chain anew.
"""

from __future__ import annotations

import hashlib
import json
import sqlite3
from collections.abc import Sequence
from typing import Any

from advisor.journal import sql

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
        found.append(f"{table} {number} was recorded by another program, or its checksum is lost")
    before = _BEGINNING
    for table, number, sealed in connection.execute(sql.SEALS):
        row = _row(connection, table, number)
        if row is None:
            found.append(f"{table} {number} is gone")
        elif _link(before, table, row) != sealed:
            found.append(f"{table} {number} is not what was recorded: its checksum does not fit")
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
    values = [value.hex() if isinstance(value, bytes) else value for value in row or ()]
    text = json.dumps([before, table, *values], ensure_ascii=True)
    return hashlib.sha256(text.encode()).hexdigest()
