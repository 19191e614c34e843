"""Hostile journals: files of another make, damaged files, and exports that were tampered with."""

from __future__ import annotations

import contextlib
import functools
import json
import random
import sqlite3
import tempfile
import zlib
from pathlib import Path
from typing import Any

from advisor.document import json_text
from advisor.journal import Journal
from advisor.journal.accounts import accounts
from advisor.journal.balance_document import balance_of_all
from advisor.journal.exchange.exporting import as_json, write_csv, write_json
from advisor.journal.gathering import experience
from advisor.journal.rows import Contents
from advisor.journal.sql import BATCH_COLUMNS, ENTRY_COLUMNS
from advisor.journal.vocabulary import read_pair
from tests.hostile import mutate
from tests.journal.exports import read_export
from tests.journal.making import filled, journal_at, note

_SCHEMES = (
    "CREATE VIEW v AS WITH RECURSIVE n(x) AS (SELECT 1 UNION ALL SELECT x + 1 FROM n) SELECT * FROM n",
    "CREATE TRIGGER t AFTER INSERT ON entry BEGIN UPDATE entry SET who = 'x'; END",
    "CREATE TRIGGER t2 BEFORE INSERT ON batch BEGIN SELECT load_extension('x'); END",
    "DROP TRIGGER entry_update_refused",
    "ALTER TABLE batch ADD COLUMN more TEXT",
    "ALTER TABLE entry RENAME TO other",
    "CREATE TABLE more (x)",
    "CREATE INDEX i ON entry (text)",
    "PRAGMA user_version = 2000000000",
    "PRAGMA application_id = 5",
    "PRAGMA writable_schema = ON",
)
_FIELDS = (*BATCH_COLUMNS, *ENTRY_COLUMNS)


@functools.cache
def _whole() -> tuple[bytes, str, dict[str, str]]:
    """A small journal: as a file, as JSON and as CSV."""
    with tempfile.TemporaryDirectory() as folder:
        place = Path(folder)
        journal, batch = filled(place / "journal.sqlite")
        pairs = ("feed=250g", "feed_gold=5 %", "slag=320g", "slag_gold=40 g/t", "outcome=clean", "fineness=900")
        journal.add(batch, "Ana", [note("=1+1"), *map(read_pair, pairs)])
        contents = journal.look(advice=True)
        write_csv(contents, place / "csv")
        tables = {path.name: path.read_text(encoding="utf-8") for path in (place / "csv").iterdir()}
        return journal.path.read_bytes(), as_json(contents), tables


def _cell(r: random.Random) -> Any:
    kind = r.randrange(6)
    if kind == 0:
        return zlib.compress(json.dumps({"document": "plan", "version": 1}).encode())
    if kind == 1:
        return r.choice((b"\xff\xfe", b"", 2**63 - 1, -(2**63), 1e308, -1e308, 5e-324, float("inf")))
    if kind == 2:
        return zlib.compress(b"[" * 5000 + b"]" * 5000)
    wrong = mutate.word(r)
    return wrong if isinstance(wrong, str | int | float | None) else str(wrong)


def look_at(journal: Journal, work: Path) -> None:
    """Everything that reads a journal."""
    journal.faults()
    contents = journal.look(advice=True)
    json_text(balance_of_all(accounts(contents)))
    experience(journal)
    as_json(contents)
    journal.copy_to(work / "copy.sqlite")


def files(r: random.Random, work: Path) -> None:
    """A journal file with other bytes, other tables or other values."""
    path = work / "journal.sqlite"
    kind = r.randrange(3)
    raw = bytearray(_whole()[0])
    if kind == 0:
        for _ in range(r.randint(1, 6)):
            at = r.randrange(len(raw))
            raw[at : at + 1] = bytes([r.randrange(256)])
        if r.random() < 0.2:
            del raw[r.randrange(len(raw)) :]
    path.write_bytes(bytes(raw))
    if kind:
        with contextlib.closing(sqlite3.connect(path, isolation_level=None)) as connection:
            _tamper(r, connection, schema=kind == 1)
    if r.random() < 0.1:
        (work / "journal.sqlite-journal").write_bytes(bytes(r.randrange(256) for _ in range(r.choice((0, 30, 600)))))
    journal = journal_at(path, wait_s=0.1)
    look_at(journal, work)
    journal.start("Another", "Ana", [note("x")])


def _tamper(r: random.Random, connection: sqlite3.Connection, *, schema: bool) -> None:
    with contextlib.suppress(sqlite3.Error):
        if schema:
            for statement in r.sample(_SCHEMES, r.randint(1, 3)):
                connection.execute(statement)
            return
        connection.execute("PRAGMA ignore_check_constraints = ON")
        for trigger in ("batch_update_refused", "entry_update_refused"):
            connection.execute(f"DROP TRIGGER {trigger}")
        kept = [row[0] for row in connection.execute("SELECT sql FROM sqlite_temp_master")]
        for _ in range(r.randint(1, 4)):
            table, columns = r.choice((("batch", BATCH_COLUMNS), ("entry", ENTRY_COLUMNS)))
            with contextlib.suppress(sqlite3.Error, OverflowError, UnicodeError):
                connection.execute(f"UPDATE {table} SET {r.choice(columns)} = ?", (_cell(r),))
        assert kept == []
        _triggers_again(connection)


def _triggers_again(connection: sqlite3.Connection) -> None:
    """Put back what guards the tables, so that the file looks like the program's own."""
    from advisor.journal.sql import LAYOUTS

    for statement in LAYOUTS[0]:
        if "TRIGGER batch_update" in statement or "TRIGGER entry_update" in statement:
            connection.execute(statement)


def exports(r: random.Random, work: Path) -> None:
    """An export that was tampered with, taken in and given out again."""
    _, text, tables = _whole()
    if r.random() < 0.6:
        place = work / "export.json"
        data = mutate.spoiled(r, json.loads(text), _field, 2)
        written = json.dumps(data, default=str)
        if r.random() < 0.2:
            written = mutate.spoiled_text(r, written)
        place.write_bytes(mutate.encoded(written))
    else:
        place = work / "csv"
        place.mkdir()
        for name, table in tables.items():
            (place / name).write_bytes(mutate.encoded(_table(r, table) if r.random() < 0.5 else table))
    contents = read_export(place)
    journal = journal_at(work / "new.sqlite")
    journal.take_in(contents)
    look_at(journal, work)
    journal.start("Another", "Ana", [note("x")])
    _out_again(journal.look(advice=True), work)


def _out_again(contents: Contents, work: Path) -> None:
    write_csv(contents, work / "again")
    write_json(contents, work / "again.json")
    again = (read_export(work / "again"), read_export(work / "again.json"))
    assert again == (contents, contents), "the journal did not come back as it was"


def _field(r: random.Random) -> Any:
    if r.random() < 0.4:
        return r.choice(
            (2**63, 10**30, -1, 0, 1e308, 1e-320, 10**400, True, "1", "2031-05-06", "9999-12-31T23:59:59+00:00")
        )
    return mutate.word(r) if r.random() < 0.8 else {"document": "plan", "version": 1, "x": mutate.word(r)}


def _table(r: random.Random, text: str) -> str:
    if r.random() < 0.5:
        domain = text.split('"')
        at = r.randrange(len(domain))
        wrong = _field(r)
        domain[at] = (json.dumps(wrong, default=str) if r.random() < 0.5 else str(wrong)).replace('"', '""')
        return '"'.join(domain)
    return mutate.spoiled_text(r, text)


def whole_file() -> bytes:
    """The bytes of a small journal."""
    return _whole()[0]


def whole_text() -> bytes:
    """The same as exported JSON."""
    return _whole()[1].encode()
