"""Where settings and records lie, and how what an earlier version kept is moved without loss."""

from __future__ import annotations

import os
import sqlite3
from contextlib import closing
from pathlib import Path

import pytest

from tests.batches import PYRITIC
from tests.terminal.preloaded import Preloaded
from tests.terminal.program import Program, Result, crash, flat

NOBODY = 65534
as_root = pytest.mark.skipif(os.name == "nt" or os.geteuid() != 0, reason="only root can give a file away")


class House:
    """A user without ``ADVISOR_HOME``, with folders for settings and for data of their own."""

    def __init__(self, quick: Preloaded, program: Program) -> None:
        self.quick, self.program = quick, program
        self.config, self.data = (program.folder / place / "advisor" for place in ("config", "data"))

    def run(self, *words: str | Path) -> Result:
        folders = {"XDG_CONFIG_HOME": str(self.config.parent), "XDG_DATA_HOME": str(self.data.parent)}
        return self.quick.run(*words, at=self.program, ADVISOR_HOME=None, **folders)

    def start(self, *words: str) -> Result:
        answers = self.program.write("batch.json", {"title": "Invented batch", "answers": PYRITIC})
        return self.run("journal", "start", "--answers", answers, *words)


@pytest.fixture
def house(quick: Preloaded, program: Program) -> House:
    return House(quick, program)


def test_records_lie_in_the_folder_for_data_and_settings_in_that_for_settings(house: House) -> None:
    house.config.mkdir(parents=True)
    (house.config / "settings.yaml").write_text("operator: Invented Operator\n")
    result = house.start()
    assert "Recorded by Invented Operator" in result.out
    assert [path.name for path in house.data.iterdir()] == ["journal.sqlite"]
    assert [path.name for path in house.config.iterdir()] == ["settings.yaml"]


def test_what_an_earlier_version_kept_among_the_settings_is_moved_once_and_said(house: House) -> None:
    house.start()
    house.run("journal", "add", "1", "bead=4.6g")
    house.config.parent.mkdir(exist_ok=True)
    house.data.rename(house.config)
    result = house.run("journal", "list")
    assert "4.60 g" in result.out
    assert f"Moved {house.config / 'journal.sqlite'} to {house.data / 'journal.sqlite'}" in result.err
    assert not (house.config / "journal.sqlite").exists()
    again = house.run("journal", "check")
    assert "No faults. 1 batch, 3 entries." in again.out
    assert "Moved" not in again.err


def test_a_journal_that_cannot_be_moved_is_used_where_it_lies(house: House) -> None:
    house.start()
    house.data.rename(house.config) if house.config.parent.mkdir() is None else None
    # A file stands where the folder for data would be made.
    house.data.parent.rmdir()
    house.data.parent.write_text("in the way")
    result = house.run("journal", "list")
    assert "Invented batch" in result.out
    assert f"Journal: {house.config / 'journal.sqlite'}" in result.err


def test_a_new_journal_is_never_replaced_by_an_old_one(house: House) -> None:
    house.start("--name", "new one")
    house.config.mkdir(parents=True)
    with closing(sqlite3.connect(house.config / "journal.sqlite")) as other:
        other.execute("CREATE TABLE x (y)")
    assert "new one" in house.run("journal", "list").out
    assert (house.config / "journal.sqlite").exists()


@pytest.fixture
def shared(tmp_path: Path) -> Path:
    """A place where everybody may write, with a folder in it that another account made first."""
    place = tmp_path / "shared"
    (place / "theirs").mkdir(parents=True)
    place.chmod(0o1777)
    os.chown(place / "theirs", NOBODY, NOBODY)
    return place


def left_alone(result: Result, place: Path) -> None:
    assert result.status == 2, result.out
    assert f"{place} belongs to another account" in result.err
    assert crash(result.err) == ""
    assert result.out == ""


@as_root
@pytest.mark.parametrize("words", [["journal", "list"], ["room"], ["train", "report"], ["sheet"]], ids=" ".join)
def test_a_folder_that_somebody_put_where_all_may_write_is_no_home(
    words: list[str], shared: Path, quick: Preloaded, program: Program
) -> None:
    theirs = shared / "theirs"
    left_alone(quick.run(*words, at=program, ADVISOR_HOME=str(theirs)), theirs)
    left_alone(quick.run(*words, at=program, ADVISOR_HOME=None, XDG_CONFIG_HOME=str(theirs)), theirs)
    assert list(theirs.iterdir()) == []


@as_root
def test_settings_that_somebody_put_there_bring_no_rules(shared: Path, program: Program) -> None:
    batch = program.write("batch.json", {"answers": PYRITIC})
    left_alone(program.run("route", "--answers", batch, ADVISOR_HOME=str(shared / "theirs")), shared / "theirs")


@as_root
def test_no_journal_and_no_answers_go_into_a_folder_of_others(shared: Path, quick: Preloaded, program: Program) -> None:
    theirs, batch = shared / "theirs", program.write("batch.json", {"answers": PYRITIC})
    journal, answers = theirs / "journal.sqlite", theirs / "answers.yaml"
    left_alone(quick.run("journal", "list", "--journal", journal, at=program), theirs)
    start = quick.run("journal", "start", "--answers", batch, "--journal", journal, at=program)
    assert (start.status, "belongs to another account" in start.err) == (2, True)
    left_alone(quick.run("route", "--save", answers, at=program), theirs)
    (program.folder / "link").symlink_to(theirs)
    left_alone(quick.run("route", "--save", program.folder / "link" / "answers.yaml", at=program), theirs)
    assert list(theirs.iterdir()) == []


@as_root
def test_a_gold_room_that_somebody_put_into_an_open_home_is_not_believed(quick: Preloaded, program: Program) -> None:
    program.home.mkdir(parents=True)
    program.home.chmod(0o777)
    room = program.home / "room.yaml"
    assert (
        quick.run(
            "room", "new", "--answers", program.write("a.yaml", "{title: Ours, answers: {tongs: yes}}"), at=program
        ).status
        == 0
    )
    assert quick.run("room", at=program).status == 0
    os.chown(room, NOBODY, NOBODY)
    left_alone(quick.run("room", at=program), room)


def test_answers_that_could_not_be_kept_as_the_last_ones_are_told(quick: Preloaded, program: Program) -> None:
    program.home.parent.mkdir(parents=True, exist_ok=True)
    program.home.write_text("a file stands in the way")
    batch = program.write("batch.json", {"answers": {"mercury_history": "now"}})
    with quick.talk(program, "--answers", batch) as talk:
        shown = flat(talk.everything)
        assert "STOP" in shown
        assert "These answers could not be kept as those of the last consultation" in shown
        assert talk.status == 3
    assert program.home.read_text() == "a file stands in the way"
