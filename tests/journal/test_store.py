"""What is recorded stays: entries, amendments, identities and times."""

from __future__ import annotations

import os
import sqlite3
import stat
from contextlib import closing
from pathlib import Path

import pytest

from advisor.journal import Journal, JournalError, NoJournalYet
from advisor.journal.rows import standing
from advisor.journal.vocabulary import read_pair
from tests.journal.making import filled, journal_at, note


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "journal.sqlite"


def test_what_was_recorded_is_read_back(path: Path) -> None:
    journal, batch = filled(path)
    contents = journal.look()
    assert contents.batches == (batch,)
    assert [(e.kind, e.name, e.text, e.state) for e in contents.of(batch)] == [
        ("note", "note", "wet", "given"),
        ("result", "bead", "12.31g", "given"),
        ("weighed", "litharge", "u", "not known"),
        ("result", "bead", "12.13g", "given"),
    ]


def test_an_amendment_supersedes_and_the_old_entry_stays_readable(path: Path) -> None:
    journal, batch = filled(path)
    entries = journal.entries_of(batch)
    old, new = entries[1], entries[3]
    assert (new.supersedes, new.why, new.who) == (old.uid, "read the scale wrong", "Juan")
    assert old.text == "12.31g"
    assert [entry.number for entry in standing(entries)] == [1, 3, 4]


def test_an_entry_is_amended_only_once_and_the_amendment_after_that(path: Path) -> None:
    journal, _ = filled(path)
    with pytest.raises(JournalError, match="amended already by entry 4; amend entry 4"):
        journal.amend(2, "Ana", "again", read_pair("bead=12g"))
    assert journal.amend(4, "Ana", "again", read_pair("bead=12g")).number == 5


def test_an_amendment_is_about_the_same_thing(path: Path) -> None:
    journal, _ = filled(path)
    with pytest.raises(JournalError, match="is about bead"):
        journal.amend(4, "Ana", "slip", read_pair("slag=12g"))


def test_a_value_stands_once_in_a_batch_and_a_second_one_has_a_name_of_its_own(path: Path) -> None:
    journal, batch = filled(path)
    with pytest.raises(JournalError, match=r"stands already in batch 1 as entry 4 .*bead\.2="):
        journal.add(batch, "Ana", [note("kept?"), read_pair("bead=3g")])
    assert [entry.text for entry in journal.entries_of(batch)].count("kept?") == 0
    journal.add(batch, "Ana", [read_pair("bead.2=3g")])


def test_a_withdrawn_value_can_be_given_anew(path: Path) -> None:
    journal, batch = filled(path)
    draft = read_pair("bead=u")
    journal.amend(4, "Ana", "wrong batch", type(draft)("result", "bead", "withdrawn", state="withdrawn"))
    assert journal.add(batch, "Ana", [read_pair("bead=9g")])[0].text == "9g"


def test_times_are_kept_in_utc_with_their_offset(path: Path) -> None:
    journal, batch = filled(path)
    assert batch.at == "2031-05-06T21:31:00+00:00"
    assert all(entry.at.endswith("+00:00") for entry in journal.entries_of(batch))


@pytest.mark.parametrize("table", ["batch", "entry"])
@pytest.mark.parametrize("change", ["UPDATE {} SET who = 'X'", "DELETE FROM {}"])
def test_the_file_itself_refuses_to_change_or_forget_an_entry(path: Path, table: str, change: str) -> None:
    filled(path)
    with closing(sqlite3.connect(path)) as connection, pytest.raises(sqlite3.IntegrityError, match="only grows"):
        connection.execute(change.format(table))


def test_a_new_journal_is_for_its_owner_alone(path: Path) -> None:
    before = os.umask(0)
    try:
        filled(path)
    finally:
        os.umask(before)
    assert stat.S_IMODE(path.stat().st_mode) == 0o600


def test_the_folder_is_made_when_the_first_batch_is_opened(tmp_path: Path) -> None:
    filled(tmp_path / "not" / "there" / "journal.sqlite")
    assert [p.name for p in (tmp_path / "not" / "there").iterdir()] == ["journal.sqlite"]


@pytest.mark.parametrize("name", ["a?b#c%20.sqlite", "with space and 'quote'.sqlite", "año.sqlite", "-dash"])
def test_any_name_of_a_file_will_do(tmp_path: Path, name: str) -> None:
    journal, batch = filled(tmp_path / name)
    assert journal.look().batches == (batch,)
    assert [p.name for p in tmp_path.iterdir() if p.name != "home"] == [name]


@pytest.mark.parametrize("text", ["'; DROP TABLE entry; --", "\x1b[2J", "[red]x", "ß漢字", "\n\n", 'a"b', "x" * 4000])
def test_any_text_is_kept_as_it_is(path: Path, text: str) -> None:
    journal, batch = filled(path)
    journal.add(batch, text, [note(text)])
    assert journal.entries_of(batch)[-1].text == text
    assert journal.faults() == []


def test_reading_neither_makes_nor_touches_the_file(path: Path) -> None:
    journal = journal_at(path)
    for read in (journal.look, journal.faults, journal.counts):
        with pytest.raises(NoJournalYet, match="advisor journal start"):
            read()
    assert not path.exists()
    filled(path)
    before = path.read_bytes(), path.stat().st_mtime_ns
    copy = path.with_name("copy.sqlite")
    for act in (journal.look, journal.faults, journal.counts, lambda: journal.copy_to(copy)):
        act()
    assert (path.read_bytes(), path.stat().st_mtime_ns) == before


def test_an_empty_file_is_a_journal_that_nothing_was_recorded_in(path: Path) -> None:
    path.touch()
    assert journal_at(path).look().batches == ()
    assert path.read_bytes() == b""
    assert filled(path)[1].number == 1


def test_looking_back_shows_the_last_batches_only(path: Path) -> None:
    journal, batch = filled(path)
    later, entries = journal.start("Later", "Ana", [note("dry")])
    assert journal.batches() == (batch, later)
    assert journal.look_back(1).batches == (later,)
    assert journal.look_back(1).entries == entries
    assert journal.look_back(9) == journal.look()


def test_a_copy_is_whole_and_private_and_never_overwrites(path: Path) -> None:
    journal, _ = filled(path)
    copy = path.with_name("copy.sqlite")
    journal.copy_to(copy)
    assert Journal(copy).look(advice=True) == journal.look(advice=True)
    assert stat.S_IMODE(copy.stat().st_mode) == 0o600
    with pytest.raises(JournalError, match="exists already"):
        journal.copy_to(copy)
    assert sorted(p.name for p in path.parent.iterdir() if p.name != "home") == ["copy.sqlite", "journal.sqlite"]


def test_progress_of_a_copy_ends_at_the_whole(path: Path) -> None:
    journal, batch = filled(path)
    journal.add(batch, "Ana", [note("x" * 4000)] * 600)
    seen: list[tuple[int, int]] = []
    journal.copy_to(path.with_name("copy.sqlite"), lambda done, whole: seen.append((done, whole)))
    assert len(seen) > 1
    assert seen[-1][0] == seen[-1][1] > 0


def test_a_journal_can_be_moved(path: Path) -> None:
    journal, batch = filled(path)
    contents = journal.look()
    moved = path.with_name("elsewhere.db")
    path.rename(moved)
    assert Journal(moved).look() == contents
    Journal(moved).add(batch, "Ana", [note("after")])
