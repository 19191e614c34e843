"""The whole journal as JSON or CSV, and back without loss."""

from __future__ import annotations

import csv
import io
import json
import os
import tempfile
from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import Any, Literal

from pydantic import BaseModel, ConfigDict, Field, ValidationError

from advisor import __version__
from advisor.journal import sql
from advisor.journal.faults import JournalError, told
from advisor.journal.rows import Batch, Contents, Entry

_FILES = ("about.csv", "batches.csv", "entries.csv")
_ABOUT = ("document", "version", "program", "batches", "entries")
_MOST_BYTES = 200_000_000
_RISKY = ("=", "+", "-", "@", "\t", "\r", "'")
"""What a spreadsheet would take for a formula, and the sign that says it is none."""


class JournalDocument(BaseModel):
    """A whole journal as one document."""

    model_config = ConfigDict(frozen=True, extra="forbid")
    document: Literal["journal"] = "journal"
    version: Literal[1] = 1
    program: str = f"advisor {__version__}"
    batches: tuple[Batch, ...] = Field(default=())
    entries: tuple[Entry, ...] = Field(default=())


def as_json(contents: Contents) -> str:
    """The journal as one JSON document."""
    return JournalDocument(batches=contents.batches, entries=contents.entries).model_dump_json(indent=1) + "\n"


def from_json(text: str, name: str) -> Contents:
    """The journal in a JSON document.

    Raises:
        JournalError: If it is none.
    """
    try:
        data = json.loads(text)
    except (ValueError, RecursionError) as problem:
        raise JournalError(f"{name} holds no JSON ({problem}); name a file made by  advisor journal export") from None
    return _checked(data, name)


def write_json(contents: Contents, to: Path) -> None:
    """Write the JSON document to a new file, whole or not at all.

    Raises:
        JournalError: If the file exists or cannot be written.
    """
    with told(to):
        if to.exists() or to.is_symlink():
            raise JournalError(f"{to} exists already; name a new file")
        handle, temporary = tempfile.mkstemp(dir=to.parent, prefix=".export-")
        try:
            _write(handle, as_json(contents))
            os.replace(temporary, to)
        finally:
            Path(temporary).unlink(missing_ok=True)


def write_csv(contents: Contents, to: Path) -> None:
    """Write three CSV files to a new or empty folder, all or none.

    Raises:
        JournalError: If the folder holds something or cannot be written.
    """
    texts = (
        _table(_ABOUT, [("journal", 1, f"advisor {__version__}", len(contents.batches), len(contents.entries))]),
        _table(sql.BATCH_COLUMNS, (_cells(batch, sql.BATCH_COLUMNS) for batch in contents.batches)),
        _table(sql.ENTRY_COLUMNS, (_cells(entry, sql.ENTRY_COLUMNS) for entry in contents.entries)),
    )
    with told(to):
        if to.exists() and (not to.is_dir() or any(to.iterdir())):
            raise JournalError(f"{to} is there already and not an empty folder; name a new folder")
        temporary = Path(tempfile.mkdtemp(dir=to.parent, prefix=".export-"))
        try:
            for name, text in zip(_FILES, texts, strict=True):
                _write(os.open(temporary / name, os.O_CREAT | os.O_EXCL | os.O_WRONLY, 0o600), text)
            os.replace(temporary, to)
        finally:
            if temporary.exists():
                for left in temporary.iterdir():
                    left.unlink()
                temporary.rmdir()


def read_export(path: Path) -> Contents:
    """The journal in an exported file or folder.

    Raises:
        JournalError: If it is none.
    """
    with told(path):
        if path.is_dir():
            return _from_csv(path)
        try:
            return from_json(_text_of(path), str(path))
        except UnicodeDecodeError:
            raise JournalError(f"{path} holds no text; name a file made by  advisor journal export") from None


def _text_of(path: Path) -> str:
    if path.exists() and not path.is_file():
        raise JournalError(f"{path} is no plain file; name a file made by  advisor journal export")
    if path.stat().st_size > _MOST_BYTES:
        raise JournalError(
            f"{path} is larger than {_MOST_BYTES // 1_000_000} MB; take the journal over with  advisor journal backup"
        )
    # Line ends inside an entry stay as they are.
    with path.open(encoding="utf-8", newline="") as file:
        return file.read()


def _write(handle: int, text: str) -> None:
    with open(handle, "w", encoding="utf-8", newline="") as file:
        file.write(text)
        file.flush()
        os.fsync(file.fileno())


def _cells(row: Batch | Entry, columns: Sequence[str]) -> list[str]:
    values = row.model_dump()
    return [_cell(values[column]) for column in columns]


def _cell(value: Any) -> str:
    if value is None:
        return ""
    if isinstance(value, dict):
        return json.dumps(value, ensure_ascii=False, allow_nan=False)
    if isinstance(value, float | int):
        return repr(value)
    return f"'{value}" if value.startswith(_RISKY) else str(value)


def _table(columns: Sequence[str], rows: Iterable[Sequence[Any]]) -> str:
    out = io.StringIO()
    writer = csv.writer(out, quoting=csv.QUOTE_ALL)
    writer.writerow(columns)
    writer.writerows(rows)
    return out.getvalue()


def _from_csv(folder: Path) -> Contents:
    tables = []
    for name, columns in zip(_FILES, (_ABOUT, sql.BATCH_COLUMNS, sql.ENTRY_COLUMNS), strict=True):
        file = folder / name
        if not file.is_file():
            raise JournalError(f"{folder} has no {name}; name a folder made by  advisor journal export --csv")
        try:
            tables.append(_rows(file, columns, documents=columns is sql.ENTRY_COLUMNS))
        except (csv.Error, ValueError, RecursionError) as problem:
            raise JournalError(f"{file} cannot be understood ({problem}); export the journal again") from None
    about, batches, entries = tables
    head = about[0] if about else {}
    version = head.get("version")
    if (head.get("batches"), head.get("entries")) != (str(len(batches)), str(len(entries))):
        raise JournalError(f"{folder} does not hold as many lines as about.csv says; export the journal again")
    data = {
        "document": head.get("document"),
        "version": int(version) if version == "1" else version,
        "program": head.get("program") or "",
        "batches": batches,
        "entries": entries,
    }
    return _checked(data, str(folder))


_FREE_TEXT = ("name", "text", "who", "why", "unit", "kind", "state", "uid", "batch", "at", "supersedes")
_MAY_BE_MISSING = ("low", "likely", "high", "unit", "document", "supersedes", "why")


def _rows(file: Path, columns: Sequence[str], *, documents: bool) -> list[dict[str, Any]]:
    csv.field_size_limit(1 << 30)
    reader = csv.DictReader(io.StringIO(_text_of(file), newline=""), strict=True)
    if tuple(reader.fieldnames or ()) != tuple(columns):
        raise ValueError(f"its first line is not {','.join(columns)}")
    rows = list(reader)
    return [{key: _value(key, cell, documents) for key, cell in row.items()} for row in rows]


def _value(key: str | None, cell: str | None, documents: bool) -> Any:
    if key is None or cell is None:
        raise ValueError("a line has too many or too few cells")
    if cell == "" and key in _MAY_BE_MISSING:
        return None
    if key == "document" and documents:
        return json.loads(cell)
    if key in _FREE_TEXT and cell.startswith("'"):
        return cell[1:]
    return cell


def _checked(data: Any, name: str) -> Contents:
    if not isinstance(data, dict) or data.get("document") != "journal":
        raise JournalError(f"{name} is no exported journal; name a file made by  advisor journal export")
    if data.get("version") != 1:
        raise JournalError(f"{name} is of version {str(data.get('version'))[:20]!r}; update the program to take it in")
    try:
        read = JournalDocument.model_validate(data)
    except ValidationError as problem:
        first = problem.errors(include_url=False)[0]
        where = ".".join(map(str, first["loc"]))
        raise JournalError(f"{name}: {where}: {first['msg']}; export the journal again") from None
    return Contents(read.batches, read.entries)
