"""Whatever writes a file leaves alone what is there, unless it is of the same kind and the person says so."""

from __future__ import annotations

import os
import sqlite3
import stat
from collections.abc import Callable
from pathlib import Path

import pytest

from advisor.errors import InputError
from advisor.terminal.writing import FORM, SCHEMA, SHEET, write_new
from tests.batches import PYRITIC
from tests.terminal.preloaded import Preloaded
from tests.terminal.program import Program, Result, crash

FINE, BAD_INPUT = 0, 2
DRAWING = "mould_matte_between"

Command = Callable[[Path], list[str | Path]]
"""The command that writes a file of this name."""

WRITERS: dict[str, tuple[str, Command]] = {
    "sheet": ("page.html", lambda file: ["sheet", "--answers", "a.json", "--output", file]),
    "text sheet": ("page.txt", lambda file: ["sheet", "--answers", "a.json", "--text", "--output", file]),
    "schema": ("s.json", lambda file: ["schema", "rules", "--output", file]),
    "drawing": (f"{DRAWING}.svg", lambda file: ["rules", "draw", DRAWING, "--svg", file.parent]),
    "form": ("form.yaml", lambda file: ["form", "--output", file]),
    "witness": (
        "hazards.molten-splash-acts.yaml",
        lambda file: ["rules", "show", "molten-splash", "--witness", "--output", file.parent],
    ),
}
EACH = pytest.mark.parametrize("writer", WRITERS)


@pytest.fixture(autouse=True)
def answers(program: Program) -> None:
    """Answers for the sheet, in the working folder."""
    program.write("a.json", {"answers": PYRITIC})


def run(quick: Preloaded, program: Program, writer: str, *more: str) -> Result:
    name, command = WRITERS[writer]
    return quick.run(*command(program.folder / "out" / name), *more, at=program)


def place(program: Program, writer: str) -> Path:
    (program.folder / "out").mkdir(exist_ok=True)
    return program.folder / "out" / WRITERS[writer][0]


def refused(result: Result, path: Path) -> str:
    assert result.status == BAD_INPUT
    assert crash(result.err) == ""
    assert str(path) in result.err
    return result.err


@EACH
@pytest.mark.parametrize("force", [(), ("--force",)], ids=["plainly", "forced"])
def test_a_journal_stays_as_it_is(writer: str, force: tuple[str, ...], quick: Preloaded, program: Program) -> None:
    path = place(program, writer)
    with sqlite3.connect(path) as journal:
        journal.execute("CREATE TABLE batch (mine)")
    before = path.read_bytes()
    assert "left alone" in refused(run(quick, program, writer, *force), path)
    assert path.read_bytes() == before


@EACH
def test_a_file_of_the_same_kind_is_written_over_only_when_forced(
    writer: str, quick: Preloaded, program: Program
) -> None:
    path = place(program, writer)
    assert run(quick, program, writer).status == FINE
    fresh = path.read_bytes()
    old = fresh + b"\n"
    path.write_bytes(old)
    assert "--force" in refused(run(quick, program, writer), path)
    assert path.read_bytes() == old
    assert run(quick, program, writer, "--force").status == FINE
    assert path.read_bytes() == fresh
    assert [left.name for left in path.parent.iterdir() if left.suffix == ".new"] == []


@EACH
def test_a_link_is_not_followed_to_another_file(writer: str, quick: Preloaded, program: Program) -> None:
    path = place(program, writer)
    assert run(quick, program, writer).status == FINE
    there = path.rename(program.folder / "elsewhere")
    before = there.read_bytes() + b"\n"
    there.write_bytes(before)
    path.symlink_to(there)
    assert "link" in refused(run(quick, program, writer, "--force"), path)
    assert there.read_bytes() == before
    path.unlink()
    path.symlink_to(program.folder / "nowhere")
    refused(run(quick, program, writer), path)
    assert not (program.folder / "nowhere").exists()


@EACH
def test_another_name_of_the_same_file_keeps_its_content(writer: str, quick: Preloaded, program: Program) -> None:
    path = place(program, writer)
    assert run(quick, program, writer).status == FINE
    path.write_bytes(path.read_bytes() + b"\n")
    other = program.folder / "other name"
    other.hardlink_to(path)
    before = other.read_bytes()
    assert run(quick, program, writer, "--force").status == FINE
    assert other.read_bytes() == before
    assert path.read_bytes() != before


@pytest.mark.skipif(os.name == "nt", reason="there are no modes")
def test_what_is_written_has_the_mode_of_any_new_file(quick: Preloaded, program: Program) -> None:
    path = place(program, "form")
    assert run(quick, program, "form").status == FINE
    plain = program.write("plain.txt", "x")
    assert stat.S_IMODE(path.stat().st_mode) == stat.S_IMODE(plain.stat().st_mode)


def test_all_drawings_are_written_or_none(quick: Preloaded, program: Program) -> None:
    program.write(f"out/{DRAWING}.svg", "mine")
    result = quick.run("rules", "draw", "--svg", program.folder / "out", "--force", at=program)
    assert result.status == BAD_INPUT
    assert [path.name for path in (program.folder / "out").iterdir()] == [f"{DRAWING}.svg"]


def test_a_proof_does_not_begin_when_its_folder_is_full(quick: Preloaded, program: Program) -> None:
    program.write("out/mine.yaml", "mine")
    for option in ("--witnesses", "--counterexamples"):
        result = quick.run("rules", "check", "--prove", option, program.folder / "out", at=program)
        assert result.status == BAD_INPUT
        assert "--force" in result.err
        assert "Proof of" not in result.out


@pytest.mark.parametrize("kind", [SHEET, SCHEMA, FORM])
@pytest.mark.parametrize(
    "content", [b"", b"<!DOCTYPE html><title>ours</title>", b"{}", b"\x00" * 100, b"SQLite format 3"]
)
def test_no_kind_takes_another_file_for_its_own(kind: object, content: bytes) -> None:
    assert not kind.knows(content)  # type: ignore[attr-defined]


def test_a_file_that_appears_meanwhile_is_not_written_over(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    folder = tmp_path / "alone"
    folder.mkdir()
    path = folder / "form.yaml"
    real = os.fsync

    def late(handle: int) -> None:
        real(handle)
        path.write_text("theirs")

    monkeypatch.setattr(os, "fsync", late)
    with pytest.raises(InputError, match="exists already"):
        write_new(path, "ours", FORM)
    assert path.read_text() == "theirs"
    assert list(folder.iterdir()) == [path]


def test_a_full_disk_leaves_nothing_behind(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def full(*_: object) -> None:
        raise OSError(28, "No space left on device")

    folder = tmp_path / "alone"
    folder.mkdir()
    for name in ("fsync", "replace"):
        with monkeypatch.context() as disk:
            disk.setattr(os, name, full)
            with pytest.raises(InputError, match="No space left"):
                write_new(folder / "form.yaml", "ours", FORM)
        assert list(folder.iterdir()) == []
