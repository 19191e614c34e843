"""Out as JSON or CSV and back without loss."""

from __future__ import annotations

import csv
import io
import json
import tempfile
import tracemalloc
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from typer.testing import CliRunner

from advisor.journal import Contents, Draft, Journal, JournalError
from advisor.journal.exchange import json_stream
from advisor.journal.exchange.exporting import as_json, write_csv, write_json
from advisor.journal.exchange.importing import reading_export
from advisor.journal.vocabulary import plain_text
from advisor.terminal.app import app
from advisor.units import Range
from tests.journal.exports import read_export
from tests.journal.making import filled, journal_at, note

TEXTS = st.text(max_size=30).map(plain_text)
NAMES = TEXTS.filter(bool)
RISKY = st.sampled_from(["=1+1", "'x", "-3", "@a", "+b", "a,b", 'say "x"', "two\nlines", "a\rb", "\ttab", "ß漢"])
AMOUNTS = st.lists(st.floats(0, 1e6, allow_nan=False), min_size=3, max_size=3).map(lambda ends: Range(*sorted(ends)))
JSON = st.recursive(
    st.none() | st.booleans() | st.integers(-(10**12), 10**12) | st.floats(-1e300, 1e300) | TEXTS,
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(TEXTS, inner, max_size=3),
    max_leaves=8,
)


@st.composite
def drafts(draw: st.DrawFn) -> Draft:
    kind = draw(st.sampled_from(["weighed", "result", "note", "diagnosis", "correction", "plan", "advice"]))
    name, text = draw(NAMES | RISKY), draw(TEXTS | RISKY)
    if kind in ("weighed", "result"):
        if draw(st.booleans()):
            return Draft(kind, name, text, state="not known")
        return Draft(kind, name, text, draw(AMOUNTS), draw(st.sampled_from(["g", "share"])))
    document = draw(st.none() | st.dictionaries(TEXTS, JSON, max_size=3))
    return Draft(kind, name, text, document=document)


@settings(max_examples=25, deadline=None, suppress_health_check=list(HealthCheck))
@given(data=st.data())
def test_a_journal_goes_out_and_comes_back_without_loss(data: st.DataObject) -> None:
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        journal = journal_at(folder / "journal.sqlite")
        for _ in range(data.draw(st.integers(0, 3))):
            unique = data.draw(st.lists(drafts(), max_size=5, unique_by=lambda draft: (draft.kind, draft.name)))
            _, entries = journal.start(data.draw(NAMES | RISKY), data.draw(NAMES), unique)
            for entry in entries:
                if data.draw(st.booleans()):
                    changed = Draft(entry.kind, entry.name, data.draw(TEXTS), state="withdrawn")
                    journal.amend(entry.number, "Juan", data.draw(NAMES | RISKY), changed)
        if not journal.exists():
            journal.start("only", "one")
        written = journal.look(advice=True)
        write_json(written, folder / "out.json")
        write_csv(written, folder / "out")
        for place, source in enumerate((folder / "out.json", folder / "out")):
            assert read_export(source) == written
            copy = Journal(folder / f"copy-{place}.sqlite")
            assert copy.take_in(read_export(source)) == (len(written.batches), len(written.entries))
            assert copy.look(advice=True) == written
            assert copy.take_in(read_export(source)) == (0, 0)
            assert copy.faults() == []


def test_an_export_of_the_first_version_comes_in_too(tmp_path: Path) -> None:
    journal, _ = filled(tmp_path / "one.sqlite")
    written = journal.look()
    old = json.loads(as_json(written)) | {"version": 1}
    for row in (*old["batches"], *old["entries"]):
        del row["day"]
    (tmp_path / "old.json").write_text(json.dumps(old))
    write_csv(written, tmp_path / "old")
    for name in ("batches.csv", "entries.csv"):
        file = tmp_path / "old" / name
        rows = list(csv.reader(io.StringIO(file.read_text(encoding="utf-8"))))
        file.write_text("".join(",".join(f'"{cell}"' for cell in row[:-1]) + "\n" for row in rows), encoding="utf-8")
    about = tmp_path / "old" / "about.csv"
    about.write_text(about.read_text().replace('"2"', '"1"', 1), encoding="utf-8")
    for place in ("old.json", "old"):
        assert read_export(tmp_path / place) == written


def test_two_journals_join_and_a_number_that_is_taken_is_replaced(tmp_path: Path) -> None:
    one, batch = filled(tmp_path / "one.sqlite")
    other, _ = filled(tmp_path / "other.sqlite")
    assert one.take_in(other.look(advice=True)) == (1, 4)
    contents = one.look()
    assert [b.number for b in contents.batches] == [1, 2]
    assert [e.number for e in contents.entries] == list(range(1, 9))
    assert contents.of(batch) == contents.entries[:4]
    assert contents.entries[7].supersedes == contents.entries[5].uid
    assert one.faults() == []


def test_a_contradiction_is_refused_and_nothing_is_taken_in(tmp_path: Path) -> None:
    journal, _ = filled(tmp_path / "one.sqlite")
    before = journal.look()
    new = journal_at(tmp_path / "new.sqlite")
    new.start("Another", "Ana", [note("x")])
    changed = before.entries[0].model_copy(update={"text": "dry"})
    with pytest.raises(JournalError, match="entry 1 is here already and differs; nothing was taken in"):
        journal.take_in(Contents(new.look().batches, (*new.look().entries, changed)))
    assert journal.look() == before


def test_an_entry_without_its_batch_is_refused(tmp_path: Path) -> None:
    source, _ = filled(tmp_path / "one.sqlite")
    empty = journal_at(tmp_path / "two.sqlite")
    with pytest.raises(JournalError):
        empty.take_in(Contents((), source.look().entries))
    assert not empty.exists()


def test_a_spreadsheet_finds_no_formula(tmp_path: Path) -> None:
    journal, batch = filled(tmp_path / "one.sqlite")
    journal.add(batch, "Ana", [note("=HYPERLINK(1)")])
    write_csv(journal.look(), tmp_path / "out")
    assert '"\'=HYPERLINK(1)"' in (tmp_path / "out" / "entries.csv").read_text(encoding="utf-8")
    assert read_export(tmp_path / "out").entries[-1].text == "=HYPERLINK(1)"


BAD_JSON: list[tuple[Any, str]] = [
    ("", "holds no JSON"),
    ("[" * 100_000, "holds no JSON"),
    ("[]", "is not an exported journal"),
    ({"document": "advice"}, "is not an exported journal"),
    ({"document": "journal", "version": 9}, "update the program"),
    ({"document": "journal", "version": 1, "batches": [{}], "program": "x"}, "export the journal again"),
    ({"document": "journal", "version": 1, "batches": 7, "program": "x"}, "export the journal again"),
    (b"\xff\xfe\x00", "holds no text"),
]


@pytest.mark.parametrize(("content", "says"), BAD_JSON)
def test_a_file_that_is_no_export_is_refused_in_a_sentence(tmp_path: Path, content: Any, says: str) -> None:
    path = tmp_path / "bad.json"
    text = content if isinstance(content, str | bytes) else json.dumps(content)
    path.write_bytes(text if isinstance(text, bytes) else text.encode())
    with pytest.raises(JournalError, match=says):
        read_export(path)


@pytest.mark.parametrize("missing", ["about.csv", "batches.csv", "entries.csv"])
def test_a_folder_that_is_no_export_is_refused(tmp_path: Path, missing: str) -> None:
    journal, _ = filled(tmp_path / "one.sqlite")
    write_csv(journal.look(), tmp_path / "out")
    (tmp_path / "out" / missing).write_text("odd", encoding="utf-8")
    with pytest.raises(JournalError):
        read_export(tmp_path / "out")
    (tmp_path / "out" / missing).unlink()
    with pytest.raises(JournalError, match=f"has no {missing}"):
        read_export(tmp_path / "out")


@pytest.mark.parametrize("cut", ["batches.csv", "entries.csv"])
def test_a_table_that_lost_its_last_line_is_refused(tmp_path: Path, cut: str) -> None:
    journal, _ = filled(tmp_path / "one.sqlite")
    write_csv(journal.look(), tmp_path / "out")
    file = tmp_path / "out" / cut
    file.write_bytes(b"".join(file.read_bytes().splitlines(keepends=True)[:-1]))
    with pytest.raises(JournalError, match="export the journal again"):
        read_export(tmp_path / "out")


def test_an_export_never_overwrites(tmp_path: Path) -> None:
    journal, _ = filled(tmp_path / "one.sqlite")
    contents = journal.look()
    write_json(contents, tmp_path / "out.json")
    write_csv(contents, tmp_path / "out")
    for write, to in ((write_json, tmp_path / "out.json"), (write_csv, tmp_path / "out")):
        with pytest.raises(JournalError, match="already"):
            write(contents, to)
    with pytest.raises(JournalError, match="cannot be used"):
        write_json(contents, tmp_path / "no" / "folder" / "out.json")
    left = sorted(path.name for path in tmp_path.iterdir() if path.name.startswith(".export"))
    assert left == []


LONG = {"document": "advice", "text": "x" * 4000, "list": list(range(300))}


def test_many_long_entries_go_out_and_come_in_and_are_checked_in_little_memory(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """80 documents of 5 kB are 0.4 MB, and several times that as objects."""
    journal = journal_at(tmp_path / "one.sqlite")
    batch, _ = journal.start("Invented", "Ana")
    journal.add(batch, "Ana", [Draft("advice", f"advice {number}", "t", document=LONG) for number in range(80)])
    other = journal_at(tmp_path / "other.sqlite")
    monkeypatch.setattr(json_stream, "_AT_ONCE", 10_000)

    def all_of_it() -> None:
        assert journal.faults() == []
        for write, to in ((write_json, tmp_path / "out.json"), (write_csv, tmp_path / "out")):
            with journal.flow() as flow:
                assert write(flow, to) == (1, 80)
            with reading_export(to) as flow:
                other.take_in(flow)

    all_of_it_at = traced_peak(all_of_it)
    assert other.look(advice=True) == journal.look(advice=True)
    assert all_of_it_at < 0.5 * traced_peak(lambda: journal.look(advice=True))


def traced_peak(work: Callable[[], object]) -> int:
    """Most bytes held at once by Python objects made in some work."""
    tracemalloc.start()
    try:
        work()
        return tracemalloc.get_traced_memory()[1]
    finally:
        tracemalloc.stop()


@pytest.mark.parametrize("size", [1, 2, 3, 7, 64])
def test_a_document_is_read_alike_in_pieces_of_any_size(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, size: int
) -> None:
    journal, _ = filled(tmp_path / "one.sqlite")
    written = journal.look()
    (tmp_path / "close.json").write_text(json.dumps(json.loads(as_json(written)), separators=(",", ":")))
    write_json(written, tmp_path / "out.json")
    monkeypatch.setattr(json_stream, "_AT_ONCE", size)
    for name in ("out.json", "close.json"):
        assert read_export(tmp_path / name) == written


def test_a_value_longer_than_any_is_refused_before_it_is_held(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(json_stream, "_AT_ONCE", 16)
    stream = json_stream.JsonStream(io.StringIO('["' + "x" * 1000 + '"]'), 100)
    assert stream.opens("[")
    assert stream.has_item()
    with pytest.raises(ValueError, match="longer than 100"):
        stream.value()


@pytest.mark.parametrize("end", ["", " ", "} x", "}}", "},"])
def test_a_document_that_is_cut_short_or_goes_on_is_refused(tmp_path: Path, end: str) -> None:
    journal, _ = filled(tmp_path / "one.sqlite")
    text = as_json(journal.look()).rstrip().removesuffix("}") + end
    (tmp_path / "out.json").write_text(text, encoding="utf-8")
    with pytest.raises(JournalError, match="holds no JSON"):
        read_export(tmp_path / "out.json")


def test_an_import_that_fails_half_way_takes_nothing_in_and_makes_no_journal(tmp_path: Path) -> None:
    journal, _ = filled(tmp_path / "one.sqlite")
    text = as_json(journal.look()).replace('"state": "not known"', '"state": "odd"')
    (tmp_path / "out.json").write_text(text, encoding="utf-8")
    result = CliRunner().invoke(
        app, ["journal", "import", "--json", str(tmp_path / "out.json"), "--journal", str(tmp_path / "new.sqlite")]
    )
    assert isinstance(result.exception, JournalError | SystemExit)
    assert not (tmp_path / "new.sqlite").exists()
    empty = journal_at(tmp_path / "two.sqlite")
    with reading_export(tmp_path / "out.json") as flow, pytest.raises(JournalError, match=r"entries\.2\.state"):
        empty.take_in(flow)
    assert not empty.exists()
