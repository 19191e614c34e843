"""Opens the file: for reading without touching it, or for one piece of writing that is recorded whole or not at all."""

from __future__ import annotations

import contextlib
import os
import shutil
import sqlite3
import stat
import tempfile
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import datetime
from functools import cache
from pathlib import Path

from advisor.journal import sql
from advisor.journal.checking import seal_new
from advisor.journal.faults import JournalError, NoJournalYet, file_faults
from advisor.places import check_ours
from advisor.words import tr

WAIT_S = 30.0
"""How long to wait for another program that is writing."""

_MAGIC = b"SQLite format 3\x00"
_RETRIES = 20
_LONGEST = 20_000_000
"""Longest single value that is read, in bytes."""
_NAMES_ANOTHER = bytes.fromhex("d9d505f920a163d7")
"""The end of a note of unfinished writing that names a further file; in the SQLite file format."""


def looked_at(path: Path) -> bool:
    """Whether there is a file that may be a journal.

    Raises:
        JournalError: If something else is there.
        InputError: If another account could have put it there.
    """
    check_ours(path, tr("name another file with --journal"))
    with file_faults(path):
        if not path.exists():
            if path.is_symlink():
                raise JournalError(
                    tr("{path} is a link to nothing; correct the link or name another file with --journal", path=path)
                )
            return False
        mode = path.stat().st_mode
        if stat.S_ISDIR(mode):
            raise JournalError(
                tr(
                    "{path} is a folder; name a file in it, for example {path_2}",
                    path=path,
                    path_2=path / "journal.sqlite",
                )
            )
        if not stat.S_ISREG(mode):
            raise JournalError(tr("{path} is not an ordinary file; name another file with --journal", path=path))
        with path.open("rb") as file:
            start = file.read(len(_MAGIC))
        if start not in (b"", _MAGIC):
            raise JournalError(
                tr(
                    "{path} is not a journal, or it is damaged; nothing in it was changed,"
                    " name another file with --journal or go on with your last backup",
                    path=path,
                )
            )
        _refuse_companions(path)
        return True


def _refuse_companions(path: Path) -> None:
    """Refuse what stands beside the file and would lead to other files when the database sets itself right.

    A note of unfinished writing may name a further file, which the database would then read and remove. This program
    never writes such a note, and never puts links beside the journal.
    """
    for companion in (Path(f"{path}-journal"), Path(f"{path}-wal"), Path(f"{path}-shm")):
        wrong = companion.is_symlink()
        if not wrong and companion.name.endswith("-journal") and companion.is_file():
            # A writer at work may take it away at any moment.
            with contextlib.suppress(FileNotFoundError), companion.open("rb") as file:
                file.seek(0, os.SEEK_END)
                file.seek(max(0, file.tell() - len(_NAMES_ANOTHER)))
                wrong = file.read() == _NAMES_ANOTHER
        if wrong:
            raise JournalError(
                tr(
                    "{companion} was not written by this program; move it away, and go on with your last backup",
                    companion=companion,
                )
            )


def _connect(path: Path, mode: str, wait_s: float) -> sqlite3.Connection:
    uri = f"{path.absolute().as_uri()}?mode={mode}"
    connection = sqlite3.connect(uri, uri=True, isolation_level=None, timeout=wait_s)
    connection.setlimit(sqlite3.SQLITE_LIMIT_LENGTH, _LONGEST)
    return connection


def layout_of(connection: sqlite3.Connection, path: Path, layouts: sql.Layouts) -> int:
    """The number of the file's layout; 0 for an empty file.

    Raises:
        JournalError: If it is another program's, or newer than this program.
    """
    (marked,) = connection.execute(sql.GET_APPLICATION_ID).fetchone()
    (number,) = connection.execute(sql.GET_LAYOUT).fetchone()
    (tables,) = connection.execute(sql.COUNT_TABLES).fetchone()
    if marked == number == tables == 0:
        return 0
    if marked != sql.APPLICATION_ID:
        raise JournalError(
            tr(
                "{path} belongs to another program; nothing in it was changed, name another file with --journal",
                path=path,
            )
        )
    if number > len(layouts):
        raise JournalError(
            tr(
                "{path} was written by a newer version of this program (layout {number}, known here up to"
                " {count}); update the program, nothing was changed",
                path=path,
                number=number,
                count=len(layouts),
            )
        )
    if number < 1:
        raise JournalError(
            tr("{path} has lost its layout number and is damaged; go on with your last backup", path=path)
        )
    if _schema(connection) != _schema_of(layouts[:number]):
        raise JournalError(
            tr(
                "{path} was changed by another program: its tables are not those of a journal;"
                " nothing in it was changed here, go on with your last backup",
                path=path,
            )
        )
    return int(number)


def _schema(connection: sqlite3.Connection) -> set[tuple[str | None, ...]]:
    return set(connection.execute(sql.SCHEMA))


@cache
def _schema_of(layouts: sql.Layouts) -> set[tuple[str | None, ...]]:
    """Tables, indexes and triggers of a layout; anything else in a file would run when it is read or written."""
    with contextlib.closing(sqlite3.connect(":memory:", isolation_level=None)) as memory:
        _migrate(memory, 0, layouts)
        return _schema(memory)


def _migrate(connection: sqlite3.Connection, old: int, layouts: sql.Layouts) -> None:
    for step in layouts[old:]:
        for statement in step:
            connection.execute(statement)
    if old == 0:
        connection.execute(sql.SET_APPLICATION_ID)
    connection.execute(sql.set_layout(len(layouts)))
    if old:
        # What was recorded before there were checksums gets them now.
        seal_new(connection)


@contextmanager
def reading(path: Path, layouts: sql.Layouts = sql.LAYOUTS, wait_s: float = WAIT_S) -> Iterator[sqlite3.Connection]:
    """A connection that sees one moment of the journal and never changes the file.

    Raises:
        NoJournalYet: If there is none.
        JournalError: If it cannot be read.
    """
    if not looked_at(path):
        raise NoJournalYet(path)
    with file_faults(path), contextlib.ExitStack() as held:
        connection = _readable(path, wait_s, held)
        old = layout_of(connection, path, layouts)
        if old < len(layouts):
            connection = _brought_up(connection, old, layouts, held)
        yield connection


def _readable(path: Path, wait_s: float, held: contextlib.ExitStack) -> sqlite3.Connection:
    """A reading connection; where a writer was cut short, a reading connection to a copy that is set right."""
    for _ in range(_RETRIES):
        connection = held.enter_context(contextlib.closing(_connect(path, "ro", wait_s)))
        try:
            connection.execute(sql.BEGIN_READING)
            connection.execute(sql.GET_LAYOUT).fetchone()
            return connection
        except sqlite3.Error as problem:
            # Writing was cut short, and only a writer may set the file right.
            if problem.sqlite_errorcode not in (sqlite3.SQLITE_READONLY_ROLLBACK, sqlite3.SQLITE_READONLY_RECOVERY):
                raise
        copied = _copy_set_right(path, wait_s, held)
        if copied is not None:
            return copied
        time.sleep(0.05)
    raise JournalError(
        tr("{path} was left half written; run any command that records, for example  advisor journal add", path=path)
    )


def _copy_set_right(path: Path, wait_s: float, held: contextlib.ExitStack) -> sqlite3.Connection | None:
    """A connection to a copy from which the unfinished writing is taken back; None if it was repaired meanwhile."""
    folder = Path(held.enter_context(tempfile.TemporaryDirectory()))
    copy = folder / "journal.sqlite"
    with contextlib.suppress(FileNotFoundError):
        shutil.copyfile(f"{path}-journal", f"{copy}-journal")
        shutil.copyfile(path, copy)
        connection = held.enter_context(contextlib.closing(_connect(copy, "rw", wait_s)))
        if connection.execute(sql.QUICK_CHECK).fetchone() == ("ok",):
            return connection
    return None


def _brought_up(
    connection: sqlite3.Connection, old: int, layouts: sql.Layouts, held: contextlib.ExitStack
) -> sqlite3.Connection:
    """An older journal, or an empty file, brought up to the present layout in memory; the file stays as it is."""
    memory = held.enter_context(contextlib.closing(sqlite3.connect(":memory:", isolation_level=None)))
    connection.backup(memory)
    _migrate(memory, old, layouts)
    return memory


@contextmanager
def writing(
    path: Path, now: Callable[[], datetime], layouts: sql.Layouts = sql.LAYOUTS, wait_s: float = WAIT_S
) -> Iterator[sqlite3.Connection]:
    """A connection for one piece of writing: recorded whole when the block ends well, otherwise not at all.

    Raises:
        JournalError: If it cannot be written; nothing was recorded.
    """
    with file_faults(path), _begun(path):
        opened = path.stat().st_ino
        with contextlib.closing(_connect(path, "rw", wait_s)) as connection:
            for setting in sql.WRITER_SETTINGS:
                connection.execute(setting)
            connection.execute(sql.BEGIN_WRITING)
            try:
                _check_still_there(path, opened)
                old = layout_of(connection, path, layouts)
                if 0 < old < len(layouts):
                    _keep_copy(path, old, now, wait_s)
                _migrate_if_older(connection, old, layouts)
                yield connection
                seal_new(connection)
                connection.execute(sql.COMMIT)
            except BaseException:
                with contextlib.suppress(sqlite3.Error):
                    connection.execute(sql.ROLLBACK)
                raise


@contextmanager
def _begun(path: Path) -> Iterator[None]:
    """Make the file where there is none, and take it away again where nothing came into it.

    Whoever waits to write into it sees then that it is gone.
    """
    if looked_at(path):
        yield
        return
    _create(path)
    made = _number_of(path)
    try:
        yield
    except BaseException:
        if made == _number_of(path) and not path.stat().st_size:
            path.unlink()
        raise


def _number_of(path: Path) -> int | None:
    """The number by which the system knows a file; None if it is not there."""
    try:
        return path.stat().st_ino
    except FileNotFoundError:
        return None


def _check_still_there(path: Path, opened: int) -> None:
    """That the file that was opened still has its name, so that nothing is recorded where nobody finds it.

    Raises:
        JournalError: If another program could not begin it and took it away meanwhile.
    """
    if _number_of(path) != opened:
        raise JournalError(
            tr("{path} was taken away meanwhile and nothing of this was recorded; record it again", path=path)
        )


def _migrate_if_older(connection: sqlite3.Connection, old: int, layouts: sql.Layouts) -> None:
    if old < len(layouts):
        _migrate(connection, old, layouts)


def _create(path: Path) -> None:
    """An empty file that only its owner can read."""
    path.parent.mkdir(parents=True, exist_ok=True)
    with contextlib.suppress(FileExistsError):
        os.close(os.open(path, os.O_CREAT | os.O_EXCL | os.O_RDWR, 0o600))


def _keep_copy(path: Path, old: int, now: Callable[[], datetime], wait_s: float) -> None:
    """A copy of the journal as it was before its layout changes; the caller holds the right to write."""
    day = now().astimezone().strftime("%Y-%m-%d")
    stem = f"{path.stem}-layout-{old}-{day}"
    places = (path.with_name(f"{stem}{'' if turn == 1 else f'-{turn}'}{path.suffix}") for turn in range(1, 10_000))
    # A connection that has begun to write cannot be copied from, so another one reads.
    with contextlib.closing(_connect(path, "ro", wait_s)) as reader:
        copy_whole(reader, next(place for place in places if not place.exists()))


def copy_whole(connection: sqlite3.Connection, to: Path, progress: Callable[[int, int], None] | None = None) -> None:
    """Copy the journal to a new file that appears whole or not at all, and only its owner can read.

    Raises:
        JournalError: If the file exists, cannot be written, or the copy is not whole.
    """
    with file_faults(to), contextlib.ExitStack() as held:
        if to.exists() or to.is_symlink():
            raise JournalError(tr("{to} exists already; name a new file", to=to))
        folder = Path(held.enter_context(tempfile.TemporaryDirectory(prefix=".copy-", dir=to.parent)))
        temporary = folder / "copy.sqlite"
        _create(temporary)
        with contextlib.closing(sqlite3.connect(temporary, isolation_level=None)) as copy:
            shown = None if progress is None else lambda _, left, whole: progress(whole - left, whole)
            connection.backup(copy, pages=-1 if shown is None else 256, progress=shown)
            if copy.execute(sql.INTEGRITY).fetchone() != ("ok",):
                raise JournalError(tr("the copy for {to} is not whole; run  advisor journal check", to=to))
        with temporary.open("rb+") as file:
            os.fsync(file.fileno())
        # A link and no rename: a file that appeared meanwhile is not overwritten.
        _place(temporary, to)


def _place(temporary: Path, to: Path) -> None:
    try:
        os.link(temporary, to)
    except FileExistsError:
        raise JournalError(tr("{to} exists already; name a new file", to=to)) from None
    except OSError:
        # Memory sticks know no links.
        os.replace(temporary, to)
