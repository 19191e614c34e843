"""One learner's record: private, never half written, never lost, and never another's."""

from __future__ import annotations

import os
import stat
import sys
from datetime import UTC, datetime
from pathlib import Path

import pytest

from advisor.errors import InputError
from advisor.training.records import LONGEST_NAME, Record, Records, clean_name, record_name
from advisor.training.spacing import answered
from advisor.training.training_rules import TrainingRules

NOW = datetime(2031, 3, 1, 6, 0, tzinfo=UTC)


@pytest.fixture
def records(tmp_path: Path) -> Records:
    return Records(tmp_path / "home" / "training")


@pytest.fixture
def filled(training: TrainingRules) -> Record:
    """The record of an invented learner with three answers."""
    record = Record(name="Amina")
    for item, mark in (("route:stop", "right"), ("danger:lead-fume", "unsafe"), ("route:stop", "wrong")):
        record = answered(training.syllabus, record, item, "title", mark, NOW)
    return record


def test_a_record_comes_back_as_it_was_kept(records: Records, filled: Record) -> None:
    records.keep(filled)
    assert records.load("Amina") == (filled, "")


def test_a_learner_without_a_record_begins_with_none(records: Records) -> None:
    assert records.load("Amina") == (Record(name="Amina"), "")
    assert not records.folder.exists()


@pytest.mark.skipif(os.name != "posix", reason="modes are those of POSIX")
def test_folder_and_files_are_open_to_their_owner_alone(records: Records, filled: Record) -> None:
    before = os.umask(0)
    try:
        records.keep(filled)
    finally:
        os.umask(before)
    assert stat.S_IMODE(records.folder.stat().st_mode) == 0o700
    assert stat.S_IMODE(records.path("Amina").stat().st_mode) == 0o600


@pytest.mark.skipif(os.name != "posix", reason="modes are those of POSIX")
def test_a_folder_that_was_opened_to_others_is_closed_again(records: Records, filled: Record) -> None:
    records.folder.mkdir(parents=True)
    records.folder.chmod(0o777)
    records.keep(filled)
    assert stat.S_IMODE(records.folder.stat().st_mode) == 0o700


OPENED: list[str] = []
_watching = False


def _watch(event: str, arguments: tuple[object, ...]) -> None:
    if event == "open" and _watching:
        OPENED.append(str(arguments[0]))


sys.addaudithook(_watch)


def test_one_learner_never_opens_the_record_of_another(
    records: Records, filled: Record, training: TrainingRules
) -> None:
    global _watching
    records.keep(filled)
    records.keep(Record(name="Bako"))
    OPENED.clear()
    _watching = True
    record, _ = records.load("Bako")
    records.keep(answered(training.syllabus, record, "route:stop", "x", "right", NOW))
    _watching = False
    assert any(record_name("Bako") in path for path in OPENED)
    assert not any("amina" in path for path in OPENED)


@pytest.mark.parametrize(
    "content",
    [b"", b"{", b"[]", b"null", b"\xff\xfe", b'{"name": 7}', b'{"name": "Amina", "cards": {"a": {}}}', b"[" * 100_000],
    ids=["empty", "half", "list", "null", "binary", "number", "card", "deep"],
)
def test_a_damaged_record_is_kept_aside_and_said_in_one_sentence(records: Records, content: bytes) -> None:
    records.folder.mkdir(parents=True)
    records.path("Amina").write_bytes(content)
    record, said = records.load("Amina")
    assert record == Record(name="Amina")
    aside = [path for path in records.folder.iterdir() if "damaged" in path.name]
    assert [path.read_bytes() for path in aside] == [content]
    assert aside[0].name in said
    assert "\n" not in said


def test_damage_never_overwrites_what_was_put_aside_before(records: Records) -> None:
    records.folder.mkdir(parents=True)
    for content in (b"one", b"two"):
        records.path("Amina").write_bytes(content)
        records.load("Amina")
    assert sorted(path.read_bytes() for path in records.folder.iterdir()) == [b"one", b"two"]


def test_what_is_no_file_is_refused_with_a_sentence(records: Records) -> None:
    records.path("Amina").mkdir(parents=True)
    with pytest.raises(InputError, match="is not an ordinary file"):
        records.load("Amina")


@pytest.mark.skipif(not hasattr(os, "geteuid") or os.geteuid() == 0, reason="the root account may read everything")
def test_a_record_that_may_not_be_read_is_refused_with_a_sentence(records: Records, filled: Record) -> None:
    records.keep(filled)
    records.path("Amina").chmod(0)
    with pytest.raises(InputError, match="cannot be read"):
        records.load("Amina")


def test_a_read_that_is_refused_is_one_sentence(
    records: Records, filled: Record, monkeypatch: pytest.MonkeyPatch
) -> None:
    records.keep(filled)

    def refuse(path: Path) -> bytes:
        raise PermissionError(13, "Permission denied", str(path))

    monkeypatch.setattr(Path, "read_bytes", refuse)
    with pytest.raises(InputError, match=r"cannot be read \(Permission denied\); check who may read it"):
        records.load("Amina")
    assert next(str(found) for found in records.all()).endswith("check who may read it")


def test_a_full_disk_loses_no_answer_that_was_kept(
    records: Records, filled: Record, training: TrainingRules, monkeypatch: pytest.MonkeyPatch
) -> None:
    records.keep(filled)

    def full(*_: object) -> None:
        raise OSError(28, "No space left on device")

    with monkeypatch.context() as patch:
        patch.setattr(os, "fsync", full)
        with pytest.raises(InputError, match="cannot be written"):
            records.keep(answered(training.syllabus, filled, "route:stop", "x", "right", NOW))
    assert records.load("Amina") == (filled, "")
    assert len(list(records.folder.iterdir())) == 1


@pytest.mark.skipif(not hasattr(os, "geteuid"), reason="owners are those of POSIX")
def test_the_records_of_another_account_are_not_shown(
    records: Records, filled: Record, monkeypatch: pytest.MonkeyPatch
) -> None:
    records.keep(filled)
    monkeypatch.setattr(os, "geteuid", lambda: 54321)
    with pytest.raises(InputError, match="not yours to read"):
        list(records.all())


def test_the_trainer_sees_every_record_and_a_sentence_for_a_damaged_one(records: Records, filled: Record) -> None:
    records.keep(filled)
    records.keep(Record(name="Bako"))
    records.path("Chidi").write_bytes(b"broken")
    found = list(records.all())
    assert [record.name for record in found if isinstance(record, Record)] == ["Amina", "Bako"]
    assert [said for said in found if isinstance(said, str)] == [f"The record {record_name('Chidi')} is damaged."]
    assert records.path("Chidi").exists()


# Names

HOSTILE = [
    "../../etc/passwd",
    "..",
    "/",
    "C:\\con",
    "a/b",
    "-rf",
    "x" * LONGEST_NAME,
    "Łukasz Żak",
    "阿米娜",
    "'; rm",
    "a\u0301",
]


@pytest.mark.parametrize("name", HOSTILE)
def test_a_name_never_leaves_the_folder(records: Records, name: str) -> None:
    cleaned = clean_name(name)
    path = records.path(cleaned)
    assert path.parent == records.folder
    assert len(path.name) < 60
    assert path.name.isascii()
    records.keep(Record(name=cleaned))
    assert records.load(cleaned)[0].name == cleaned


def test_every_name_has_a_file_of_its_own() -> None:
    files = {record_name(clean_name(name)) for name in (*HOSTILE, "a b", "a-b", "a_b", "A b c")}
    assert len(files) == len(HOSTILE) + 4


def test_the_same_name_typed_otherwise_is_the_same_learner() -> None:
    assert record_name(clean_name("  amina   K ")) == record_name(clean_name("Amina K"))
    assert record_name(clean_name("Jose\u0301")) == record_name(clean_name("Jos\u00e9"))


@pytest.mark.parametrize(
    "name",
    [
        "",
        "  ",
        "\t\n",
        "a\x1b[31m",
        "a\x00b",
        "a\u202eb",
        "a\u200bb",
        "\ud800",
        "x" * (LONGEST_NAME + 1),
        "y" * 100_000,
    ],
)
def test_a_name_that_cannot_be_used_is_refused_with_a_sentence(name: str) -> None:
    with pytest.raises(InputError, match="the name"):
        clean_name(name)
