"""The whole journal written as JSON or CSV, an entry at a time, so that ten years of batches fit any laptop."""

from __future__ import annotations

import csv
import os
import tempfile
from collections.abc import Callable, Iterable, Iterator, Sequence
from pathlib import Path
from typing import IO, Any

from advisor import __version__
from advisor.document import json_of, without_orders
from advisor.journal import sql
from advisor.journal.faults import JournalError, file_faults
from advisor.journal.rows import Batch, Entry, Recorded
from advisor.words import tr

VERSION = 2
"""Of the exported documents; the first had no ``day``."""
FILES = ("batches.csv", "entries.csv", "about.csv")
ABOUT = ("document", "version", "program", "batches", "entries")
RISKY = ("=", "+", "-", "@", "\t", "\r", "'")
"""What a spreadsheet would take for a formula, and the sign that says it is none."""


def as_json(recorded: Recorded) -> str:
    """The journal as one JSON document."""
    return "".join(_json_parts(recorded.batches, recorded.entries))


def write_json(recorded: Recorded, to: Path) -> tuple[int, int]:
    """Write the JSON document to a new file, whole or not at all.

    Returns:
        How many batches and entries were written.

    Raises:
        JournalError: If the file exists or cannot be written.
    """
    with file_faults(to):
        if to.exists() or to.is_symlink():
            raise JournalError(tr("{to} exists already; name a new file", to=to))
        batches, entries = _Counted(recorded.batches), _Counted(recorded.entries)
        handle, temporary = tempfile.mkstemp(dir=to.parent, prefix=".export-")
        try:
            _write(handle, lambda file: file.writelines(_json_parts(batches, entries)))
            os.replace(temporary, to)
        finally:
            Path(temporary).unlink(missing_ok=True)
    return batches.count, entries.count


def write_csv(recorded: Recorded, to: Path) -> tuple[int, int]:
    """Write three CSV files to a new or empty folder, all or none.

    Returns:
        How many batches and entries were written.

    Raises:
        JournalError: If the folder holds something or cannot be written.
    """
    with file_faults(to):
        if to.exists() and (not to.is_dir() or any(to.iterdir())):
            raise JournalError(tr("{to} is there already and not an empty folder; name a new folder", to=to))
        batches, entries = _Counted(recorded.batches), _Counted(recorded.entries)
        tables: tuple[tuple[Sequence[str], Iterable[Sequence[Any]]], ...] = (
            (sql.BATCH_COLUMNS, (_cells(batch, sql.BATCH_COLUMNS) for batch in batches)),
            (sql.ENTRY_COLUMNS, (_cells(entry, sql.ENTRY_COLUMNS) for entry in entries)),
            # Written last, when all has been counted; made only when it is asked for.
            (ABOUT, (("journal", VERSION, _PROGRAM, batches.count, entries.count) for _ in range(1))),
        )
        temporary = Path(tempfile.mkdtemp(dir=to.parent, prefix=".export-"))
        try:
            for name, table in zip(FILES, tables, strict=True):
                handle = os.open(temporary / name, os.O_CREAT | os.O_EXCL | os.O_WRONLY, 0o600)
                _write(handle, lambda file, table=table: _table(file, *table))  # type: ignore[misc]
            os.replace(temporary, to)
        finally:
            if temporary.exists():
                for left in temporary.iterdir():
                    left.unlink()
                temporary.rmdir()
    return batches.count, entries.count


_PROGRAM = f"advisor {__version__}"


class _Counted:
    """Hands things on and counts them."""

    def __init__(self, things: Iterable[Any]) -> None:
        self.count = 0
        self._things = things

    def __iter__(self) -> Iterator[Any]:
        for thing in self._things:
            self.count += 1
            yield thing


def _json_parts(batches: Iterable[Batch], entries: Iterable[Entry]) -> Iterator[str]:
    yield f'{{\n "document": "journal",\n "version": {VERSION},\n "program": {json_of(_PROGRAM)}'
    for name, rows in (("batches", batches), ("entries", entries)):
        yield f',\n "{name}": ['
        between = "\n"
        for row in rows:
            # No text in JSON holds a plain end of line, so every line can be set in.
            yield between + "\n".join(f"  {line}" for line in without_orders(row.model_dump_json(indent=1)).split("\n"))
            between = ",\n"
        yield "]" if between == "\n" else "\n ]"
    yield "\n}\n"


def _write(handle: int, fill: Callable[[IO[str]], None]) -> None:
    with open(handle, "w", encoding="utf-8", newline="") as file:
        fill(file)
        file.flush()
        os.fsync(file.fileno())


def _table(file: IO[str], columns: Sequence[str], rows: Iterable[Sequence[Any]]) -> None:
    writer = csv.writer(file, quoting=csv.QUOTE_ALL)
    writer.writerow(columns)
    writer.writerows(rows)


def _cells(row: Batch | Entry, columns: Sequence[str]) -> list[str]:
    values = row.model_dump()
    return [cell(values[column]) for column in columns]


def cell(value: Any) -> str:
    """A value as it stands in a cell; what a spreadsheet would take for a formula is marked as text."""
    if value is None:
        return ""
    if isinstance(value, dict):
        return json_of(value)
    if isinstance(value, float | int):
        return repr(value)
    return f"'{value}" if value.startswith(RISKY) else str(value)
