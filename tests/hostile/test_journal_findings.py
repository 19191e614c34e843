"""What hostile journals and exports once did to the program, each as a test of its own."""

from __future__ import annotations

import json
import os
import sqlite3
import zlib
from collections.abc import Callable
from contextlib import closing
from pathlib import Path
from typing import Any

import pytest

from advisor.errors import InputError
from advisor.journal import Contents, Journal, JournalError, sql
from advisor.journal.exchange.exporting import as_json, write_csv
from advisor.journal.rows import unpacked
from tests.hostile.journal_input import whole_file, whole_text
from tests.journal.exports import read_export
from tests.journal.making import filled, journal_at, note


def tampered(path: Path, *statements: str) -> Journal:
    """A journal that somebody else's program has changed."""
    journal, _ = filled(path)
    with closing(sqlite3.connect(path)) as connection:
        for statement in statements:
            connection.execute(statement)
        connection.commit()
    return journal


ENDLESS = "WITH RECURSIVE n(x) AS (SELECT 1 UNION ALL SELECT x + 1 FROM n) SELECT x AS number, x, x, x, x FROM n"


@pytest.mark.parametrize(
    "statements",
    [
        ("CREATE TRIGGER own AFTER INSERT ON entry BEGIN UPDATE batch SET who = 'x'; END",),
        ("DROP TABLE batch", f"CREATE VIEW batch AS {ENDLESS}"),
        ("DROP TRIGGER entry_delete_refused",),
        ("CREATE TABLE more (x)",),
        ("ALTER TABLE batch ADD COLUMN more TEXT GENERATED ALWAYS AS (hex(zeroblob(9000000)))",),
        ("CREATE INDEX own ON entry (text)",),
    ],
)
def test_tables_that_are_not_the_programs_own_are_refused_before_they_run(
    tmp_path: Path, statements: tuple[str, ...]
) -> None:
    journal = tampered(tmp_path / "journal.sqlite", *statements)
    before = journal.path.read_bytes()
    acts: tuple[Callable[[], Any], ...] = (journal.look, journal.faults, lambda: journal.start("Night", "Ana"))
    for act in acts:
        with pytest.raises(JournalError, match="its tables are not those of a journal"):
            act()
    assert journal.path.read_bytes() == before


def test_a_document_that_unfolds_into_gigabytes_is_refused() -> None:
    with pytest.raises(ValueError, match="larger than any"):
        unpacked(zlib.compress(b" " * 90_000_000, 1))


def test_a_document_nested_too_deeply_is_damage_and_no_crash(tmp_path: Path) -> None:
    journal, batch = filled(tmp_path / "journal.sqlite")
    with closing(sqlite3.connect(journal.path)) as connection:
        blob = zlib.compress(b'{"a":' + b"[" * 90_000 + b"]" * 90_000 + b"}")
        values = (None, "odd", batch.uid, "note", "note", "given", None, None, None, None, "x", blob)
        connection.execute(sql.ADD_ENTRY, (*values, "2031-05-06T21:30:00+00:00", "A", None, None, None))
        connection.commit()
    with pytest.raises(JournalError, match="is damaged"):
        journal.look(advice=True)
    assert any("damaged" in fault for fault in journal.faults())


def test_a_note_of_unfinished_writing_cannot_make_the_program_remove_another_file(tmp_path: Path) -> None:
    journal, _ = filled(tmp_path / "journal.sqlite")
    victim = tmp_path / "precious.txt"
    victim.write_text("mine", encoding="utf-8")
    name = str(victim).encode()
    header = (
        bytes.fromhex("d9d505f920a163d7") + bytes(4) + bytes(16) + (512).to_bytes(4, "big") + (4096).to_bytes(4, "big")
    )
    tail = (1).to_bytes(4, "big") + name + len(name).to_bytes(4, "big") + sum(name).to_bytes(4, "big")
    note_beside = Path(f"{journal.path}-journal")
    note_beside.write_bytes(header.ljust(512, b"\0") + tail + bytes.fromhex("d9d505f920a163d7"))
    for act in (journal.look, lambda: journal.start("Night", "Ana")):
        with pytest.raises(JournalError, match="was not written by this program"):
            act()
    assert victim.read_text(encoding="utf-8") == "mine"


def test_a_link_beside_the_journal_is_refused(tmp_path: Path) -> None:
    journal, _ = filled(tmp_path / "journal.sqlite")
    (tmp_path / "precious.txt").write_text("mine", encoding="utf-8")
    Path(f"{journal.path}-journal").symlink_to(tmp_path / "precious.txt")
    with pytest.raises(JournalError, match="was not written by this program"):
        journal.start("Night", "Ana")
    assert (tmp_path / "precious.txt").read_text(encoding="utf-8") == "mine"


def test_letters_that_are_no_letters_in_a_damaged_journal_are_a_sentence(tmp_path: Path) -> None:
    path = tmp_path / "journal.sqlite"
    path.write_bytes(whole_file().replace(b"CREATE TABLE entry", b"CREATE T\xb2BLE entry"))
    for act in (journal_at(path).look, journal_at(path).faults):
        with pytest.raises(JournalError, match="damaged"):
            act()


def exported(tmp_path: Path, **changed: Any) -> Path:
    """A small export with something else in its last entry."""
    data = json.loads(whole_text())
    data["entries"][-1].update(changed)
    path = tmp_path / "export.json"
    path.write_text(json.dumps(data), encoding="utf-8")
    return path


@pytest.mark.parametrize(
    "changed",
    [
        {"number": 10**30},
        {"number": 2**63 - 1},
        {"low": 1e300, "likely": 1e300, "high": 1e300, "unit": "g"},
        {"low": -5.0, "likely": 1.0, "high": 1.0, "unit": "g"},
        {"document": {"a": float("nan")}},
        {"document": {"a": "\ud800"}},
        {"document": {"\ud800": 1}},
        {"document": json.loads('{"a":' * 100 + "1" + "}" * 100)},
    ],
    ids=str,
)
def test_an_entry_that_could_not_be_kept_or_given_out_again_is_not_taken_in(
    tmp_path: Path, changed: dict[str, Any]
) -> None:
    with pytest.raises(JournalError, match="entries"):
        read_export(exported(tmp_path, **changed))


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ('"journal","2"', '"journal","' + "9" * 5000 + '"'),
        ('"journal","2"', '"journal","²"'),
        ('"note"', '"note","' + "x" * 10 + '"'),
        ('"given"', '"given\0"'),
    ],
)
def test_a_table_that_was_tampered_with_is_refused_in_a_sentence(tmp_path: Path, old: str, new: str) -> None:
    journal, _ = filled(tmp_path / "journal.sqlite")
    write_csv(journal.look(advice=True), tmp_path / "csv")
    for file in (tmp_path / "csv").iterdir():
        file.write_text(file.read_text(encoding="utf-8").replace(old, new, 1), encoding="utf-8")
    with pytest.raises(JournalError):
        read_export(tmp_path / "csv")


def test_a_nested_document_in_a_table_is_refused_in_a_sentence(tmp_path: Path) -> None:
    journal, _ = filled(tmp_path / "journal.sqlite")
    contents = journal.look(advice=True)
    deep = contents.entries[-1].model_copy(update={"document": {"a": 1}})
    write_csv(Contents(contents.batches, (*contents.entries[:-1], deep)), tmp_path / "csv")
    file = tmp_path / "csv" / "entries.csv"
    text = file.read_text(encoding="utf-8").replace('"{""a"": 1}"', '"' + "[" * 90_000 + '"')
    file.write_text(text, encoding="utf-8")
    with pytest.raises(JournalError, match="cannot be understood"):
        read_export(tmp_path / "csv")


def test_a_pipe_or_device_is_not_read_as_an_export(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe.json")
    for path in (tmp_path / "pipe.json", Path("/dev/zero")):
        with pytest.raises(JournalError, match="not an ordinary file"):
            read_export(path)


def test_a_pipe_is_not_read_as_a_plan_or_a_document(tmp_path: Path) -> None:
    from advisor.terminal.journal.commands import _saved_plan, _with_document

    os.mkfifo(tmp_path / "pipe.json")
    with pytest.raises(InputError, match="not an ordinary file"):
        _saved_plan(tmp_path / "pipe.json")
    journal, batch = filled(tmp_path / "journal.sqlite")
    assert journal.add(batch, "Ana", [note("x")])
    from advisor.journal.vocabulary import read_pair

    for content, word in (
        ("[NaN]", "beyond all numbers"),
        ("[" * 70 + "]" * 70, "nested"),
        ('"\\ud800"', "half a letter"),
    ):
        (tmp_path / "d.json").write_text(content, encoding="utf-8")
        with pytest.raises(InputError, match=word):
            _with_document([read_pair("diagnosis=x")], tmp_path / "d.json")


@pytest.mark.parametrize("text", ["=1+1", "+1", "-1", "@SUM(A1)", "\t=1", "\r=1", "'=1"])
def test_a_spreadsheet_takes_no_text_for_a_formula_and_nothing_is_lost(tmp_path: Path, text: str) -> None:
    journal, batch = filled(tmp_path / "journal.sqlite")
    journal.add(batch, "Ana", [note(text)])
    contents = journal.look(advice=True)
    write_csv(contents, tmp_path / "csv")
    assert f'"\'{text}"' in (tmp_path / "csv" / "entries.csv").read_bytes().decode()
    assert read_export(tmp_path / "csv") == contents
    assert as_json(read_export(tmp_path / "csv")) == as_json(contents)


def test_a_checksum_of_bytes_is_a_fault_like_any_other(tmp_path: Path) -> None:
    link = "INSERT INTO seal (place, what, number, sum) VALUES (0, 'entry', 99, x'00ff')"
    found = tampered(tmp_path / "journal.sqlite", link).faults()
    assert [fault for fault in found if "its checksum does not fit" in fault]
