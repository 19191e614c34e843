"""What can go wrong with the file, each as one sentence that says what to do."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from advisor.errors import InputError


class JournalError(InputError):
    """The journal cannot be read or written; nothing that was recorded is lost."""


class NoJournalYet(JournalError):
    """There is no journal at that place."""

    def __init__(self, path: Path) -> None:
        super().__init__(f"there is no journal at {path} yet; begin one with  advisor journal start")


_DAMAGED = (
    "{path} is damaged; keep it as it is, and go on with your last backup:"
    " copy it to another place and name it with --journal"
)
_SENTENCES = {
    sqlite3.SQLITE_BUSY: "{path} is in use by another program that does not let go; close it and do this again",
    sqlite3.SQLITE_LOCKED: "{path} is in use by another program that does not let go; close it and do this again",
    sqlite3.SQLITE_FULL: "the disk is full and nothing of this was recorded in {path}; free some room and do it again",
    sqlite3.SQLITE_TOOBIG: "an entry of {path} is too long to be recorded or read;"
    " shorten it, or go on with your last backup",
    sqlite3.SQLITE_READONLY: "{path} or its folder is read-only and nothing of this was recorded;"
    " make both writable or name another file with --journal",
    sqlite3.SQLITE_CANTOPEN: "{path} cannot be opened, or its folder cannot be written;"
    " make both readable and writable or name another file with --journal",
    sqlite3.SQLITE_PERM: "{path} may not be opened by you; ask whoever owns it or name another file with --journal",
    sqlite3.SQLITE_IOERR: "the disk does not take or give the data of {path}, it may be full or failing;"
    " nothing of this was recorded, free some room or move the journal to another disk",
    sqlite3.SQLITE_CORRUPT: _DAMAGED,
    sqlite3.SQLITE_NOTADB: _DAMAGED,
}


def sentence(path: Path, problem: sqlite3.Error) -> str:
    """What is wrong with the file, and what to do."""
    code = getattr(problem, "sqlite_errorcode", None)
    known = None if code is None else _SENTENCES.get(code & 0xFF)
    if known is None and "decode" in str(problem):
        # Letters that are no letters; the module reports it without a code.
        known = _DAMAGED
    if known is None:
        said = " ".join(str(problem).split())[:120]
        return f"{path} refused this ({said}); nothing of it was recorded, run  advisor journal check"
    return known.format(path=path)


@contextmanager
def file_faults(path: Path) -> Iterator[None]:
    """Turn a fault of the file into a sentence."""
    try:
        yield
    except sqlite3.Error as problem:
        raise JournalError(sentence(path, problem)) from None
    except UnicodeError:
        # Letters of a fault, or of what the file holds, that are no letters.
        raise JournalError(_DAMAGED.format(path=path)) from None
    except OSError as problem:
        raise JournalError(
            f"{problem.filename or path} cannot be used ({problem.strerror or problem});"
            " name another file, or make the folder readable and writable"
        ) from None
