"""Every fault of the file is one sentence, and nothing that was recorded is lost."""

from __future__ import annotations

import contextlib
import os
import random
import resource
import shutil
import sqlite3
import tempfile
from collections.abc import Callable, Iterator
from contextlib import closing
from pathlib import Path

import pytest

from advisor.journal import Journal, JournalError, opening, sql
from advisor.journal.vocabulary import read_pair
from tests.journal.making import NEXT_LAYOUT, filled, in_child, journal_at, note

NOBODY = 65534


def foreign(path: Path) -> None:
    with closing(sqlite3.connect(path)) as connection:
        connection.execute("CREATE TABLE somebody (x)")
        connection.commit()


def marked_by_another(path: Path) -> None:
    with closing(sqlite3.connect(path)) as connection:
        connection.execute("PRAGMA application_id = 12345")


def newer(path: Path) -> None:
    _, batch = filled(path)
    journal_at(path, layouts=NEXT_LAYOUT).add(batch, "Ana", [note("from the next version")])
    for copy in path.parent.glob("journal-layout-*"):
        copy.unlink()


def without_layout(path: Path) -> None:
    filled(path)
    with closing(sqlite3.connect(path)) as connection:
        connection.execute("PRAGMA user_version = 0")


BAD: dict[str, tuple[Callable[[Path], object], str]] = {
    "folder": (lambda path: path.mkdir(), "is a folder; name a file in it"),
    "text": (lambda path: path.write_text("bead 12 g"), "is not a journal, or it is damaged"),
    "binary": (lambda path: path.write_bytes(bytes(range(256)) * 40), "is not a journal, or it is damaged"),
    "foreign": (foreign, "belongs to another program"),
    "marked": (marked_by_another, "belongs to another program"),
    "newer": (newer, "newer version of this program .* update the program"),
    "no layout": (without_layout, "is damaged"),
    "pipe": (lambda path: os.mkfifo(path), "is not an ordinary file"),
    "dangling": (lambda path: path.symlink_to("nowhere"), "is a link to nothing"),
    "header only": (lambda path: path.write_bytes(b"SQLite format 3\x00" + bytes(84)), "damaged"),
}


@pytest.mark.parametrize("bad", BAD)
def test_a_file_that_cannot_be_used_is_refused_in_a_sentence_and_left_alone(tmp_path: Path, bad: str) -> None:
    path = tmp_path / "journal.sqlite"
    make, says = BAD[bad]
    make(path)
    before = path.read_bytes() if path.is_file() else None
    journal = journal_at(path)
    for act in (journal.look, journal.faults, lambda: journal.start("Night", "Ana"), lambda: journal.copy_to(path)):
        with pytest.raises(JournalError, match=says if act is not None else "") as refused:
            act()
        assert "\n" not in str(refused.value)
    assert (path.read_bytes() if path.is_file() else None) == before


@pytest.fixture
def whole(tmp_path: Path) -> bytes:
    journal, batch = filled(tmp_path / "whole.sqlite")
    for place in range(40):
        journal.add(batch, "Ana", [note(f"{place} " + "x" * 400)])
    return (tmp_path / "whole.sqlite").read_bytes()


def faults_or_refusal(path: Path) -> list[str]:
    """What a check finds, or the sentence with which it refuses."""
    try:
        return journal_at(path).faults()
    except JournalError as problem:
        return [str(problem)]


@pytest.mark.parametrize("share", [0.02, 0.3, 0.5, 0.9])
def test_a_torn_off_journal_is_found_out(tmp_path: Path, whole: bytes, share: float) -> None:
    path = tmp_path / "torn.sqlite"
    path.write_bytes(whole[: int(len(whole) * share)])
    faults = faults_or_refusal(path)
    assert faults
    assert all("\n" not in fault for fault in faults)


def test_random_damage_is_a_sentence_or_no_harm_and_never_a_crash(tmp_path: Path, whole: bytes) -> None:
    draw, path, found = random.Random(7), tmp_path / "hurt.sqlite", 0
    path.write_bytes(whole)
    before = journal_at(path).look(advice=True)
    for _ in range(60):
        hurt = bytearray(whole)
        start = draw.randrange(100, len(hurt) - 64)
        hurt[start : start + 64] = draw.randbytes(64)
        path.write_bytes(bytes(hurt))
        read = None
        with contextlib.suppress(JournalError):
            read = journal_at(path).look(advice=True)
        faults = faults_or_refusal(path)
        assert all(len(fault.splitlines()) == 1 for fault in faults)
        found += bool(faults)
        # What is read without a fault is what was recorded.
        assert faults or read == before
    assert found > 20


def test_an_entry_that_no_longer_makes_sense_is_named(tmp_path: Path) -> None:
    journal, batch = filled(tmp_path / "journal.sqlite")
    with closing(sqlite3.connect(journal.path)) as connection:
        values = (None, "odd", batch.uid, "note", "note", "given", None, None, None, None, "x", b"no", "no time", "A")
        connection.execute(sql.ADD_ENTRY, (*values, None, None, None))
        connection.commit()
    assert any("entry 5" in fault for fault in journal.faults())
    with pytest.raises(JournalError, match=r"entry 5 .* is damaged"):
        journal.look()


def test_a_chain_across_batches_is_found(tmp_path: Path) -> None:
    journal, batch = filled(tmp_path / "journal.sqlite")
    with closing(sqlite3.connect(journal.path)) as connection:
        uid = journal.entries_of(batch)[0].uid
        values = (None, "odd", batch.uid, "result", "slag", "given", 1.0, 1.0, 1.0, "g", "1g", None, batch.at, "A")
        connection.execute(sql.ADD_ENTRY, (*values, uid, "why", None))
        connection.commit()
    assert "entry 5 supersedes entry 1, which is about something else" in journal.faults()


# A disk that takes no more


def fill_until_refused(journal: Journal) -> tuple[int, str]:
    (batch,) = journal.look().batches
    for turn in range(500):
        try:
            journal.add(batch, "Ana", [note(f"{turn} " + "x" * 3000)])
        except JournalError as problem:
            return turn, str(problem)
    raise AssertionError("the disk never filled")


def test_a_full_file_system_loses_nothing(tmp_path: Path) -> None:
    journal, batch = filled(tmp_path / "journal.sqlite")
    told = tmp_path / "told.txt"

    def work() -> None:
        resource.setrlimit(resource.RLIMIT_FSIZE, (200_000, 200_000))
        turn, problem = fill_until_refused(journal)
        os.write(os.open(told, os.O_CREAT | os.O_WRONLY), f"{turn}|{problem}".encode())

    assert in_child(work) == 0
    turn, problem = told.read_text(encoding="utf-8").split("|")
    assert "disk" in problem
    assert "nothing of this was recorded" in problem
    assert int(turn) > 5
    assert len(journal.entries_of(batch)) == 4 + int(turn)
    assert journal.faults() == []
    journal.add(batch, "Ana", [note("room again")])


def test_a_database_that_may_not_grow_loses_nothing(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    journal, batch = filled(tmp_path / "journal.sqlite")
    monkeypatch.setattr(sql, "WRITER_SETTINGS", (*sql.WRITER_SETTINGS, "PRAGMA max_page_count = 40"))
    turn, problem = fill_until_refused(journal)
    assert "the disk is full and nothing of this was recorded" in problem
    assert len(journal.entries_of(batch)) == 4 + turn
    monkeypatch.undo()
    journal.add(batch, "Ana", [note("room again")])
    assert journal.faults() == []


def test_a_journal_that_cannot_begin_on_a_full_disk_leaves_no_file(tmp_path: Path) -> None:
    path = tmp_path / "journal.sqlite"

    def work() -> None:
        resource.setrlimit(resource.RLIMIT_FSIZE, (0, 0))
        refused(lambda: journal_at(path).start("Night", "Ana"), "nothing of this was recorded")

    assert in_child(work) == 0
    assert list(tmp_path.iterdir()) == []


def test_nothing_is_recorded_in_a_file_that_lost_its_name(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    journal, batch = filled(tmp_path / "journal.sqlite")
    moved, real = tmp_path / "moved.sqlite", opening._connect

    def connected(path: Path, mode: str, wait_s: float) -> sqlite3.Connection:
        connection = real(path, mode, wait_s)
        connection.execute("SELECT * FROM sqlite_schema").fetchone()
        path.rename(moved)
        return connection

    with monkeypatch.context() as meanwhile:
        meanwhile.setattr(opening, "_connect", connected)
        refused(lambda: journal.add(batch, "Ana", [note("x")]), "taken away meanwhile and nothing of this was recorded")
    assert not journal.path.exists()
    assert len(journal_at(moved).entries_of(batch)) == 4


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="no device that is always full")
def test_a_device_is_no_journal() -> None:
    with pytest.raises(JournalError, match="is not an ordinary file"):
        journal_at(Path("/dev/full")).look()


# Without the right to write


@pytest.fixture
def public() -> Iterator[Path]:
    """A folder that other users can reach."""
    folder = Path(tempfile.mkdtemp())
    folder.chmod(0o755)
    yield folder
    folder.chmod(0o755)
    shutil.rmtree(folder)


def as_somebody_else(work: Callable[[], None]) -> int:
    """Run something without the rights of an administrator."""

    def drop() -> None:
        if os.getuid() == 0:
            os.setgid(NOBODY)
            os.setuid(NOBODY)
        work()

    return in_child(drop)


def refused(act: Callable[[], object], says: str) -> None:
    with pytest.raises(JournalError) as problem:
        act()
    assert says in str(problem.value)


def test_a_read_only_journal_can_be_read_and_says_why_it_takes_nothing(public: Path) -> None:
    journal, batch = filled(public / "journal.sqlite")
    journal.path.chmod(0o444)
    public.chmod(0o555)

    def work() -> None:
        assert journal.look().batches == (batch,)
        assert journal.faults() == []
        refused(lambda: journal.add(batch, "Ana", [note("x")]), "read-only and nothing of this was recorded")

    assert as_somebody_else(work) == 0


def test_a_read_only_folder_takes_nothing_even_for_a_file_that_could(public: Path) -> None:
    journal, batch = filled(public / "journal.sqlite")
    journal.path.chmod(0o666)
    public.chmod(0o555)

    def work() -> None:
        assert journal.look().batches == (batch,)
        refused(lambda: journal.add(batch, "Ana", [note("x")]), "writable")

    assert as_somebody_else(work) == 0
    assert journal.faults() == []


def test_no_journal_can_begin_in_a_read_only_folder(public: Path) -> None:
    public.chmod(0o555)
    path = public / "deep" / "journal.sqlite"
    assert as_somebody_else(lambda: refused(lambda: journal_at(path).start("Night", "Ana"), "cannot be used")) == 0


def test_a_journal_that_may_not_be_read_says_so(public: Path) -> None:
    journal, _ = filled(public / "journal.sqlite")
    journal.path.chmod(0o000)
    assert as_somebody_else(lambda: refused(journal.look, "cannot be used")) == 0


# Older layouts


def older(path: Path) -> Journal:
    """A journal as a program of today leaves it, seen by one with a newer layout."""
    filled(path)
    return journal_at(path, layouts=NEXT_LAYOUT)


def test_an_older_journal_is_read_without_being_changed(tmp_path: Path) -> None:
    journal = older(tmp_path / "journal.sqlite")
    before = journal.path.read_bytes()
    assert len(journal.look().entries) == 4
    assert journal.path.read_bytes() == before


def test_an_older_journal_is_brought_up_when_something_is_recorded_and_a_dated_copy_is_kept(tmp_path: Path) -> None:
    journal = older(tmp_path / "journal.sqlite")
    before = journal_at(journal.path).look()
    journal.add(before.batches[0], "Ana", [note("new")])
    (copy,) = tmp_path.glob(f"journal-layout-{len(sql.LAYOUTS)}-*.sqlite")
    assert copy.name.startswith(f"journal-layout-{len(sql.LAYOUTS)}-2031-05-0")
    assert journal_at(copy).look() == before
    assert journal.look().entries[:-1] == before.entries
    with closing(sqlite3.connect(journal.path)) as connection:
        assert connection.execute("PRAGMA user_version").fetchone() == (len(NEXT_LAYOUT),)
        assert connection.execute("SELECT shift FROM batch").fetchall() == [(None,)]


def first_layout(path: Path) -> tuple[Journal, sqlite3.Connection]:
    """A journal as the first program left it, without checksums and days, with one batch and a bead."""
    connection = sqlite3.connect(path, isolation_level=None)
    for statement in (*sql.LAYOUTS[0], sql.SET_APPLICATION_ID, sql.set_layout(1)):
        connection.execute(statement)
    at = "2031-05-06T21:31:00+00:00"
    connection.execute("INSERT INTO batch VALUES (1, 'b', 'Invented', ?, 'Ana')", (at,))
    row = (1, "e", "b", "result", "bead", "given", 12.1, 12.1, 12.1, "g", "12.1g", None, at, "Ana", None, None)
    connection.execute(f"INSERT INTO entry VALUES ({', '.join('?' * 16)})", row)
    return journal_at(path), connection


def test_a_journal_of_the_first_layout_goes_on_and_gets_its_checksums(tmp_path: Path) -> None:
    journal, connection = first_layout(tmp_path / "journal.sqlite")
    connection.close()
    (batch,) = journal.batches()
    assert (batch.name, batch.day, journal.faults()) == ("Invented", None, [])
    before = journal.look()
    journal.add(batch, "Ana", [read_pair("slag=100g")], "2031-05-05")
    assert journal.faults() == []
    assert journal.look().entries[0] == before.entries[0]
    assert journal.look().entries[1].day == "2031-05-05"
    assert len(list(tmp_path.glob("journal-layout-1-*.sqlite"))) == 1


# Checksums


CHANGES = {
    "a weight": (
        "UPDATE entry SET text = '10.01g', low = 10.01, likely = 10.01, high = 10.01 WHERE number = 4",
        "entry 4",
    ),
    "a name": ("UPDATE batch SET name = 'Invented night tabel' WHERE number = 1", "batch 1"),
    "who": ("UPDATE entry SET who = 'Anna' WHERE number = 1", "entry 1"),
    "gone": ("DELETE FROM entry WHERE number = 3", "entry 3 is gone"),
    "slipped in": (
        "INSERT INTO entry SELECT 9, 'new', batch, kind, name || '.2', state, low, likely, high, unit, text, document,"
        " at, who, NULL, NULL, day FROM entry WHERE number = 2",
        "entry 9 was recorded by another program",
    ),
}


@pytest.mark.parametrize("change", CHANGES)
def test_what_was_changed_behind_the_program_is_told(tmp_path: Path, change: str) -> None:
    journal, _ = filled(tmp_path / "journal.sqlite")
    assert journal.faults() == []
    statement, says = CHANGES[change]
    with closing(sqlite3.connect(journal.path)) as connection:
        triggers = connection.execute("SELECT name, sql FROM sqlite_master WHERE type = 'trigger'").fetchall()
        for name, _sql in triggers:
            connection.execute(f"DROP TRIGGER {name}")
        connection.execute(statement)
        for _name, written in triggers:
            connection.execute(written)
        connection.commit()
    (fault,) = journal.faults()
    assert says in fault


def test_every_changed_digit_of_a_recorded_weight_is_told(tmp_path: Path) -> None:
    journal, _ = filled(tmp_path / "journal.sqlite")
    whole = journal.path.read_bytes()
    place = whole.index(b"12.13g")
    for offset in (0, 1, 3, 4, 5):
        damaged = bytearray(whole)
        damaged[place + offset] ^= 1
        journal.path.write_bytes(bytes(damaged))
        assert any("entry 4 is not what was recorded" in fault for fault in journal.faults())


def test_a_migration_that_fails_changes_nothing(tmp_path: Path) -> None:
    filled(tmp_path / "journal.sqlite")
    broken = (*sql.LAYOUTS, ("ALTER TABLE batch ADD COLUMN shift TEXT", "CREATE TABLE batch (x)"))
    journal = journal_at(tmp_path / "journal.sqlite", layouts=broken)
    before = journal_at(journal.path).look()
    with pytest.raises(JournalError, match="nothing of it was recorded"):
        journal.add(before.batches[0], "Ana", [note("new")])
    assert journal_at(journal.path).look() == before
    assert journal_at(journal.path).faults() == []


def test_a_journal_in_use_is_waited_for_and_then_said(tmp_path: Path) -> None:
    journal, batch = filled(tmp_path / "journal.sqlite")
    hasty = journal_at(journal.path, wait_s=0.1)
    with closing(sqlite3.connect(journal.path, isolation_level=None)) as other:
        other.execute("BEGIN EXCLUSIVE")
        for act in (hasty.look, lambda: hasty.add(batch, "Ana", [note("x")])):
            with pytest.raises(JournalError, match="in use by another program"):
                act()
    hasty.add(batch, "Ana", [note("x")])
