"""All SQL of the journal. Values always go in as parameters.

``LAYOUTS`` holds one step for each layout: the first makes a new journal, each further one turns the layout before
it into its own. A step is never changed once it is released; a new layout is a new step at the end.
"""

from __future__ import annotations

Layouts = tuple[tuple[str, ...], ...]

APPLICATION_ID = 0x41474C4A
"""Marks a file as a journal of this program, in the header of the file."""

_GROWS_ONLY = """
CREATE TRIGGER {table}_{verb}_refused BEFORE {VERB} ON {table}
BEGIN SELECT RAISE(ABORT, 'the journal only grows; amend the entry instead'); END
"""

LAYOUTS: Layouts = (
    (
        """
        CREATE TABLE batch (
            number INTEGER PRIMARY KEY AUTOINCREMENT,
            uid TEXT NOT NULL UNIQUE,
            name TEXT NOT NULL CHECK (name <> ''),
            at TEXT NOT NULL,
            who TEXT NOT NULL CHECK (who <> '')
        )
        """,
        """
        CREATE TABLE entry (
            number INTEGER PRIMARY KEY AUTOINCREMENT,
            uid TEXT NOT NULL UNIQUE,
            batch TEXT NOT NULL REFERENCES batch (uid),
            kind TEXT NOT NULL,
            name TEXT NOT NULL CHECK (name <> ''),
            state TEXT NOT NULL CHECK (state IN ('given', 'not known', 'withdrawn')),
            low REAL,
            likely REAL,
            high REAL,
            unit TEXT CHECK (unit <> ''),
            text TEXT NOT NULL,
            document BLOB,
            at TEXT NOT NULL,
            who TEXT NOT NULL CHECK (who <> ''),
            supersedes TEXT UNIQUE REFERENCES entry (uid),
            why TEXT CHECK (why <> ''),
            CHECK ((low IS NULL) = (likely IS NULL) AND (low IS NULL) = (high IS NULL)),
            CHECK ((low IS NULL) = (unit IS NULL)),
            CHECK (low IS NULL OR (low <= likely AND likely <= high)),
            CHECK ((supersedes IS NULL) = (why IS NULL))
        )
        """,
        "CREATE INDEX entry_of_batch ON entry (batch, kind, name)",
        *(
            _GROWS_ONLY.format(table=table, verb=verb, VERB=verb.upper())
            for table in ("batch", "entry")
            for verb in ("update", "delete")
        ),
    ),
    (
        "ALTER TABLE batch ADD COLUMN day TEXT",
        "ALTER TABLE entry ADD COLUMN day TEXT",
        """
        CREATE TABLE seal (
            place INTEGER PRIMARY KEY AUTOINCREMENT,
            what TEXT NOT NULL CHECK (what IN ('batch', 'entry')),
            number INTEGER NOT NULL,
            sum TEXT NOT NULL,
            UNIQUE (what, number)
        )
        """,
        *(_GROWS_ONLY.format(table="seal", verb=verb, VERB=verb.upper()) for verb in ("update", "delete")),
    ),
)

GET_APPLICATION_ID = "PRAGMA application_id"
GET_LAYOUT = "PRAGMA user_version"
SET_APPLICATION_ID = f"PRAGMA application_id = {APPLICATION_ID}"
SCHEMA = "SELECT type, name, tbl_name, sql FROM sqlite_master"
COUNT_TABLES = "SELECT count(*) FROM sqlite_master"
WRITER_SETTINGS = ("PRAGMA foreign_keys = ON", "PRAGMA synchronous = EXTRA", "PRAGMA trusted_schema = OFF")
BEGIN_READING, BEGIN_WRITING, COMMIT, ROLLBACK = "BEGIN", "BEGIN IMMEDIATE", "COMMIT", "ROLLBACK"
INTEGRITY, FOREIGN_KEYS, QUICK_CHECK = "PRAGMA integrity_check", "PRAGMA foreign_key_check", "PRAGMA quick_check"

BATCH_COLUMNS = ("number", "uid", "name", "at", "who", "day")
ENTRY_COLUMNS = (
    "number",
    "uid",
    "batch",
    "kind",
    "name",
    "state",
    "low",
    "likely",
    "high",
    "unit",
    "text",
    "document",
    "at",
    "who",
    "supersedes",
    "why",
    "day",
)
_BATCH, _ENTRY = ", ".join(BATCH_COLUMNS), ", ".join(ENTRY_COLUMNS)
ADD_BATCH = f"INSERT INTO batch ({_BATCH}) VALUES ({', '.join('?' * len(BATCH_COLUMNS))})"
ADD_ENTRY = f"INSERT INTO entry ({_ENTRY}) VALUES ({', '.join('?' * len(ENTRY_COLUMNS))})"

BATCHES = f"SELECT {_BATCH} FROM batch ORDER BY number"
RECENT_BATCHES = f"SELECT {_BATCH} FROM (SELECT * FROM batch ORDER BY number DESC LIMIT ?) ORDER BY number"
ENTRIES = f"SELECT {_ENTRY} FROM entry ORDER BY number"
ENTRIES_OF_BATCH = f"SELECT {_ENTRY} FROM entry WHERE batch = ? ORDER BY number"
ENTRIES_WITHOUT_ADVICE = f"SELECT {_ENTRY} FROM entry WHERE kind <> 'advice' ORDER BY number"
RECENT_ENTRIES_WITHOUT_ADVICE = f"""
SELECT {_ENTRY} FROM entry WHERE kind <> 'advice'
AND batch IN (SELECT uid FROM batch ORDER BY number DESC LIMIT ?) ORDER BY number
"""
ENTRY_NUMBERED = f"SELECT {_ENTRY} FROM entry WHERE number = ?"
ENTRY_BY_UID = f"SELECT {_ENTRY} FROM entry WHERE uid = ?"
BATCH_BY_UID = f"SELECT {_BATCH} FROM batch WHERE uid = ?"
BATCH_NUMBER_TAKEN = "SELECT 1 FROM batch WHERE number = ?"
ENTRY_NUMBER_TAKEN = "SELECT 1 FROM entry WHERE number = ?"
SUPERSEDED_BY = "SELECT number FROM entry WHERE supersedes = ?"
COUNTS = "SELECT (SELECT count(*) FROM batch), (SELECT count(*) FROM entry)"
LAST_SEAL = "SELECT sum FROM seal ORDER BY place DESC LIMIT 1"
SEALS = "SELECT what, number, sum FROM seal ORDER BY place"
ADD_SEAL = "INSERT INTO seal (what, number, sum) VALUES (?, ?, ?)"
BATCH_SEALED = f"SELECT {_BATCH} FROM batch WHERE number = ?"
ENTRY_SEALED = f"SELECT {_ENTRY} FROM entry WHERE number = ?"
UNSEALED_BATCHES = """
SELECT number FROM batch WHERE NOT EXISTS (SELECT 1 FROM seal WHERE what = 'batch' AND seal.number = batch.number)
ORDER BY number
"""
UNSEALED_ENTRIES = """
SELECT number FROM entry WHERE NOT EXISTS (SELECT 1 FROM seal WHERE what = 'entry' AND seal.number = entry.number)
ORDER BY number
"""
LAST_ENTRY = f"SELECT {_ENTRY} FROM entry ORDER BY number DESC LIMIT 1"
STANDING = """
SELECT number, text FROM entry
WHERE batch = ? AND kind = ? AND name = ? AND state <> 'withdrawn'
AND NOT EXISTS (SELECT 1 FROM entry AS later WHERE later.supersedes = entry.uid)
"""


def set_layout(number: int) -> str:
    """Marks the file with the number of its layout."""
    return f"PRAGMA user_version = {number:d}"
