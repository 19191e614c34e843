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

from advisor.journal import Journal, JournalError, sql
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
    for _ in range(60):
        hurt = bytearray(whole)
        start = draw.randrange(100, len(hurt) - 64)
        hurt[start : start + 64] = draw.randbytes(64)
        path.write_bytes(bytes(hurt))
        with contextlib.suppress(JournalError):
            journal_at(path).look()
        faults = faults_or_refusal(path)
        assert all(len(fault.splitlines()) == 1 for fault in faults)
        found += bool(faults)
    assert found > 30


def test_an_entry_that_no_longer_makes_sense_is_named(tmp_path: Path) -> None:
    journal, batch = filled(tmp_path / "journal.sqlite")
    with closing(sqlite3.connect(journal.path)) as connection:
        values = (None, "odd", batch.uid, "note", "note", "given", None, None, None, None, "x", b"no", "no time", "A")
        connection.execute(sql.ADD_ENTRY, (*values, None, None))
        connection.commit()
    assert any("entry 5" in fault for fault in journal.faults())
    with pytest.raises(JournalError, match=r"entry 5 .* is damaged"):
        journal.look()


def test_a_chain_across_batches_is_found(tmp_path: Path) -> None:
    journal, batch = filled(tmp_path / "journal.sqlite")
    with closing(sqlite3.connect(journal.path)) as connection:
        uid = journal.entries_of(batch)[0].uid
        values = (None, "odd", batch.uid, "result", "slag", "given", 1.0, 1.0, 1.0, "g", "1g", None, batch.at, "A")
        connection.execute(sql.ADD_ENTRY, (*values, uid, "why"))
        connection.commit()
    assert journal.faults() == ["entry 5 supersedes entry 1, which is about something else"]


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
    (copy,) = tmp_path.glob("journal-layout-1-*.sqlite")
    assert copy.name.startswith("journal-layout-1-2031-05-0")
    assert journal_at(copy).look() == before
    assert journal.look().entries[:-1] == before.entries
    with closing(sqlite3.connect(journal.path)) as connection:
        assert connection.execute("PRAGMA user_version").fetchone() == (2,)
        assert connection.execute("SELECT shift FROM batch").fetchall() == [(None,)]


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
