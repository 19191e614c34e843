"""What can go wrong with the file, each as one sentence that says what to do."""

from __future__ import annotations

import sqlite3
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

from advisor.errors import InputError
from advisor.words import tr


class JournalError(InputError):
    """The journal cannot be read or written; nothing that was recorded is lost."""


class NoJournalYet(JournalError):
    """There is no journal at that place."""

    def __init__(self, path: Path) -> None:
        super().__init__(tr("there is no journal at {path} yet; begin one with  advisor journal start", path=path))


def _damaged(path: Path) -> str:
    return tr(
        "{path} is damaged; keep it as it is, and go on with your last backup:"
        " copy it to another place and name it with --journal",
        path=path,
    )


def _in_use(path: Path) -> str:
    return tr("{path} is in use by another program that does not let go; close it and do this again", path=path)


_Say = Callable[[Path], str]

_SENTENCES: dict[int, _Say] = {
    sqlite3.SQLITE_BUSY: _in_use,
    sqlite3.SQLITE_LOCKED: _in_use,
    sqlite3.SQLITE_FULL: lambda path: tr(
        "the disk is full and nothing of this was recorded in {path}; free some room and do it again", path=path
    ),
    sqlite3.SQLITE_TOOBIG: lambda path: tr(
        "an entry of {path} is too long to be recorded or read; shorten it, or go on with your last backup", path=path
    ),
    sqlite3.SQLITE_READONLY: lambda path: tr(
        "{path} or its folder is read-only and nothing of this was recorded;"
        " make both writable or name another file with --journal",
        path=path,
    ),
    sqlite3.SQLITE_CANTOPEN: lambda path: tr(
        "{path} cannot be opened, or its folder cannot be written;"
        " make both readable and writable or name another file with --journal",
        path=path,
    ),
    sqlite3.SQLITE_PERM: lambda path: tr(
        "{path} may not be opened by you; ask whoever owns it or name another file with --journal", path=path
    ),
    sqlite3.SQLITE_IOERR: lambda path: tr(
        "the disk does not take or give the data of {path}, it may be full or failing;"
        " nothing of this was recorded, free some room or move the journal to another disk",
        path=path,
    ),
    sqlite3.SQLITE_CORRUPT: _damaged,
    sqlite3.SQLITE_NOTADB: _damaged,
}


def sentence(path: Path, problem: sqlite3.Error) -> str:
    """What is wrong with the file, and what to do."""
    code = getattr(problem, "sqlite_errorcode", None)
    known = None if code is None else _SENTENCES.get(code & 0xFF)
    if known is None and "decode" in str(problem):
        # Letters that are no letters; the module reports it without a code.
        known = _damaged
    if known is None:
        said = " ".join(str(problem).split())[:120]
        return tr(
            "{path} refused this ({said}); nothing of it was recorded, run  advisor journal check", path=path, said=said
        )
    return known(path)


@contextmanager
def file_faults(path: Path) -> Iterator[None]:
    """Turn a fault of the file into a sentence."""
    try:
        yield
    except sqlite3.Error as problem:
        raise JournalError(sentence(path, problem)) from None
    except UnicodeError:
        # Letters of a fault, or of what the file holds, that are no letters.
        raise JournalError(_damaged(path)) from None
    except OSError as problem:
        raise JournalError(
            tr(
                "{filename} cannot be used ({strerror}); name another file, or make the folder readable and writable",
                filename=problem.filename or path,
                strerror=problem.strerror or problem,
            )
        ) from None
