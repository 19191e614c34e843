"""A journal that was exported, read back an entry at a time."""

from __future__ import annotations

import csv
import json
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import IO, Any, TypeVar

from pydantic import ValidationError

from advisor.journal import sql
from advisor.journal.exchange.exporting import ABOUT, FILES, VERSION
from advisor.journal.exchange.json_stream import JsonStream
from advisor.journal.faults import JournalError, file_faults
from advisor.journal.rows import MOST_DOCUMENT, Batch, Entry, Flow
from advisor.rulebase.reading.refused import right_words
from advisor.words import tr

Row = TypeVar("Row", Batch, Entry)

_MOST_CELL = 2 * MOST_DOCUMENT
_KEYS = ("document", "version", "program", "batches", "entries")
_AGAIN = tr("export the journal again")


@contextmanager
def reading_export(path: Path) -> Iterator[Flow]:
    """What an exported file or folder holds, to be gone through once, the batches first.

    Raises:
        JournalError: If it is none; what is wrong further on is raised while one goes through it.
    """
    if path.is_dir():
        with _tables(path) as files:
            yield _from_csv(path, *files)
        return
    with _text_of(path) as file:
        yield _from_json(file, path)


@contextmanager
def _text_of(path: Path) -> Iterator[IO[str]]:
    with file_faults(path):
        if path.exists() and not path.is_file():
            raise JournalError(
                tr("{path} is not an ordinary file; name a file made by  advisor journal export", path=path)
            )
        # Line ends inside an entry stay as they are.
        file = path.open(encoding="utf-8", newline="")
    with file:
        yield file


def _from_json(file: IO[str], path: Path) -> Flow:
    source = JsonStream(file, 2 * _MOST_CELL)
    _json_head(source, path)
    return Flow(_json_rows(Batch, "batches", source, path), _json_rows(Entry, "entries", source, path))


def _json_head(source: JsonStream, path: Path) -> None:
    with _json_faults(path):
        if not source.opens("{"):
            raise _no_journal(path)
        for key in _KEYS[:3]:
            if not source.has_key(key):
                raise _no_journal(path) if key == "document" else _out_of_order(path)
            value = source.value()
            if key == "document" and value != "journal":
                raise _no_journal(path)
            if key == "version":
                _check_version(value, path)


def _json_rows(kind: type[Row], name: str, source: JsonStream, path: Path) -> Iterator[Row]:
    """The rows of one list; both lists come from one source, in their order."""
    with _json_faults(path):
        if not source.has_key(name):
            raise _out_of_order(path)
        if not source.opens("["):
            raise JournalError(tr("{path}: {name}: no list stands there; {again}", path=path, name=name, again=_AGAIN))
    place = 0
    while True:
        with _json_faults(path):
            if not source.has_item():
                break
            values = source.value()
        yield _checked(kind, values, f"{path}: {name}.{place}")
        place += 1
    if name == _KEYS[-1]:
        with _json_faults(path):
            source.ends()


@contextmanager
def _json_faults(path: Path) -> Iterator[None]:
    try:
        yield
    except UnicodeDecodeError:
        raise JournalError(tr("{path} holds no text; name a file made by  advisor journal export", path=path)) from None
    except (ValueError, RecursionError) as problem:
        said = " ".join(str(problem).split())[:200]
        raise JournalError(
            tr("{path} holds no JSON ({said}); name a file made by  advisor journal export", path=path, said=said)
        ) from None
    except OSError as problem:
        raise _unreadable(path, problem) from None


def _unreadable(path: Path, problem: OSError) -> JournalError:
    return JournalError(
        tr("{path} cannot be read ({why}); copy it to this machine's disk", path=path, why=problem.strerror)
    )


def _no_journal(path: Path) -> JournalError:
    return JournalError(tr("{path} is not an exported journal; name a file made by  advisor journal export", path=path))


def _out_of_order(path: Path) -> JournalError:
    return JournalError(
        tr("{path} does not hold {keys} in this order; {again}", path=path, keys=", ".join(_KEYS), again=_AGAIN)
    )


def _check_version(version: Any, path: Path) -> None:
    if version not in range(1, VERSION + 1) or isinstance(version, bool):
        raise JournalError(
            tr(
                "{path} is of version {version!r}; update the program to take it in",
                path=path,
                version=str(version)[:20],
            )
        )


def _checked(kind: type[Row], values: Any, where: str) -> Row:
    try:
        return kind.model_validate(values)
    except ValidationError as problem:
        first = problem.errors(include_url=False)[0]
        inside = "".join(f".{part}" for part in first["loc"])
        wrong = tr("this does not fit here ({right})", right=right_words(first))
        raise JournalError(f"{where}{inside}: {wrong}; {_AGAIN}") from None


@contextmanager
def _tables(folder: Path) -> Iterator[tuple[IO[str], ...]]:
    for name in FILES:
        if not (folder / name).is_file():
            raise JournalError(
                tr(
                    "{folder} has no {name}; name a folder made by  advisor journal export --csv",
                    folder=folder,
                    name=name,
                )
            )
    batches, entries, about = (folder / name for name in FILES)
    with _text_of(about) as last, _text_of(batches) as first, _text_of(entries) as second:
        yield first, second, last


def _from_csv(folder: Path, batches: IO[str], entries: IO[str], about: IO[str]) -> Flow:
    head = next(_cells(about, folder / FILES[2], ABOUT), {})
    if head.get("document") != "journal":
        raise _no_journal(folder)
    version = head.get("version") or ""
    number = int(version) if version.isascii() and version.isdigit() and len(version) < 3 else version
    _check_version(number, folder)
    # The first version had no day, which is the last column.
    last = -1 if number == 1 else None
    batch_columns, entry_columns = tuple(sql.BATCH_COLUMNS)[:last], tuple(sql.ENTRY_COLUMNS)[:last]
    return Flow(
        _csv_rows(Batch, batches, folder / FILES[0], batch_columns, head.get("batches")),
        _csv_rows(Entry, entries, folder / FILES[1], entry_columns, head.get("entries")),
    )


def _csv_rows(kind: type[Row], file: IO[str], path: Path, columns: Sequence[str], lines: Any) -> Iterator[Row]:
    count = 0
    for values in _cells(file, path, columns):
        yield _checked(kind, values, f"{path}: {path.stem}.{count}")
        count += 1
    if lines != str(count):
        raise JournalError(tr("{path} does not hold as many lines as about.csv says; {again}", path=path, again=_AGAIN))


_FREE_TEXT = ("name", "text", "who", "why", "unit", "kind", "state", "uid", "batch", "at", "supersedes")
_MAY_BE_MISSING = ("low", "likely", "high", "unit", "document", "supersedes", "why", "day")


def _cells(file: IO[str], path: Path, columns: Sequence[str]) -> Iterator[dict[str, Any]]:
    """The lines of a table as values by column."""
    csv.field_size_limit(_MOST_CELL)
    reader = csv.DictReader(file, strict=True)
    documents = "document" in columns and "kind" in columns
    while True:
        try:
            if tuple(reader.fieldnames or ()) != tuple(columns):
                raise ValueError(tr("its first line is not {columns}", columns=",".join(columns)))
            row = next(reader, None)
            values = None if row is None else {key: _value(key, cell, documents) for key, cell in row.items()}
        except (csv.Error, ValueError, RecursionError) as problem:
            raise JournalError(
                tr("{path} cannot be understood ({problem}); {again}", path=path, problem=problem, again=_AGAIN)
            ) from None
        except OSError as problem:
            raise _unreadable(path, problem) from None
        if values is None:
            return
        yield values


def _value(key: str | None, cell: str | None, documents: bool) -> Any:
    if key is None or cell is None:
        raise ValueError(tr("a line has too many or too few cells"))
    if cell == "" and key in _MAY_BE_MISSING:
        return None
    if key == "document" and documents:
        return json.loads(cell)
    if key in _FREE_TEXT and cell.startswith("'"):
        return cell[1:]
    return cell
