"""Several programs at once lose nothing, and a program that is killed loses nothing that it had said was recorded."""

from __future__ import annotations

import os
import random
import select
import sqlite3
import time
from contextlib import closing
from pathlib import Path

from advisor.journal import Journal, sql
from tests.journal.making import NEXT_LAYOUT, filled, journal_at, kill, note, reported, writer

WRITERS, EACH = 5, 40
KILLS = 220
FRESH_EVERY = 8


def test_five_programs_at_once_lose_no_entry_and_share_no_number(tmp_path: Path) -> None:
    path = tmp_path / "journal.sqlite"
    start = tmp_path / "start"

    def write(who: str) -> None:
        while not start.exists():
            time.sleep(0.001)
        journal = Journal(path)
        batch, _ = journal.start(who, who)
        for turn in range(EACH):
            journal.add(batch, who, [note(f"{who} {turn}"), note(f"{who} {turn} again")])
            if turn % 10 == 0:
                assert len(journal.entries_of(batch)) == 2 * (turn + 1)

    children = []
    for number in range(WRITERS):
        pid = os.fork()
        if pid == 0:
            status = 1
            try:
                write(f"writer {number}")
                status = 0
            finally:
                os._exit(status)
        children.append(pid)
    start.touch()
    assert [os.waitstatus_to_exitcode(os.waitpid(pid, 0)[1]) for pid in children] == [0] * WRITERS
    contents = Journal(path).look()
    assert sorted(batch.number for batch in contents.batches) == list(range(1, WRITERS + 1))
    assert sorted(entry.number for entry in contents.entries) == list(range(1, 2 * WRITERS * EACH + 1))
    for batch in contents.batches:
        texts = [entry.text for entry in contents.of(batch)]
        assert texts == [f"{batch.name} {turn}{end}" for turn in range(EACH) for end in ("", " again")]
    assert Journal(path).faults() == []


def reported_until_killed(path: Path, batch_uid: str | None, first: bool, after_s: float) -> list[list[str]]:
    """What a writer said was recorded before it was killed, so long after its start or after its first report."""
    mine, theirs = os.pipe()
    pid = writer(path, theirs, batch_uid)
    os.close(theirs)
    if first:
        select.select([mine], [], [], 10)
    time.sleep(after_s)
    kill(pid)
    return reported(mine)


def test_a_writer_killed_at_any_moment_loses_nothing_that_it_said_was_recorded(tmp_path: Path) -> None:
    draw = random.Random(20310506)
    said: set[str] = set()
    path, batch_uid, cut_short, reports = tmp_path / "journal-0.sqlite", None, 0, 0
    for turn in range(KILLS):
        if turn % FRESH_EVERY == 0:
            # A new file, so that the kill also falls into the making of the journal.
            path, batch_uid, said = tmp_path / f"journal-{turn}.sqlite", None, set()
        lines = reported_until_killed(path, batch_uid, draw.random() < 0.7, draw.uniform(0.0, 0.025))
        reports += len(lines)
        said |= {uid for line in lines for uid in line[1:]}
        if not path.exists():
            assert not said
            continue
        cut_short += Path(f"{path}-journal").exists()
        before = path.read_bytes()
        contents = Journal(path).look()
        assert path.read_bytes() == before, "reading changed the file"
        there = {entry.uid for entry in contents.entries}
        assert said <= there
        assert len(contents.entries) % 2 == 0, "half of what was recorded together is there"
        assert Journal(path).faults() == []
        batch_uid = contents.batches[-1].uid if contents.batches else None
    assert reports > KILLS / 4
    assert cut_short > 3, "no kill fell into the writing"
    print(f"\n{KILLS} kills, {cut_short} of them within the writing of the file; {reports} acknowledged")


def test_the_next_entry_sets_right_what_a_kill_left_half_written(tmp_path: Path) -> None:
    journal, batch = filled(tmp_path / "journal.sqlite")
    before = journal.look()
    pid = os.fork()
    if pid == 0:
        with closing(sqlite3.connect(journal.path, isolation_level=None)) as connection:
            connection.execute("PRAGMA cache_size = 1")
            connection.execute("BEGIN IMMEDIATE")
            for turn in range(300):
                row = (None, f"u{turn}", batch.uid, "note", "note", "given", None, None, None, None, "x" * 900, None)
                connection.execute(sql.ADD_ENTRY, (*row, batch.at, "Ana", None, None, None))
            os.kill(os.getpid(), 9)
    os.waitpid(pid, 0)
    assert Path(f"{journal.path}-journal").exists()
    half = journal.path.read_bytes()
    assert journal.look() == before
    assert journal.faults() == []
    assert journal.path.read_bytes() == half
    journal.copy_to(tmp_path / "copy.sqlite")
    assert Journal(tmp_path / "copy.sqlite").look() == before
    journal.add(batch, "Ana", [note("next")])
    assert journal.look().entries[:-1] == before.entries
    assert not Path(f"{journal.path}-journal").exists()


def test_a_migration_killed_at_any_moment_leaves_the_old_or_the_new_journal(tmp_path: Path) -> None:
    draw = random.Random(5)
    layouts_seen = set()
    whole, batch = filled(tmp_path / "whole.sqlite")
    before = whole.look()
    for turn in range(40):
        path = tmp_path / f"{turn}" / "journal.sqlite"
        path.parent.mkdir()
        path.write_bytes(whole.path.read_bytes())
        pid = os.fork()
        if pid == 0:
            journal_at(path, layouts=NEXT_LAYOUT).add(batch, "Ana", [note("new")])
            os._exit(0)
        time.sleep(draw.uniform(0.001, 0.02))
        kill(pid)
        journal = journal_at(path, layouts=NEXT_LAYOUT)
        assert journal.look().entries[:4] == before.entries
        assert journal.faults() == []
        with closing(sqlite3.connect(path)) as connection:
            layouts_seen.add(connection.execute("PRAGMA user_version").fetchone()[0])
        for copy in path.parent.glob(f"journal-layout-{len(sql.LAYOUTS)}-*.sqlite"):
            assert Journal(copy).look() == before
    assert layouts_seen <= {len(sql.LAYOUTS), len(NEXT_LAYOUT)}
