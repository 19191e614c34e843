"""Words apart from logic: what a catalogue of another language may do, and what it may not."""

from __future__ import annotations

import ast
import os
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from string import Formatter

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor import words
from advisor.terminal.rules.template import CALLED, Text, program_texts, template
from advisor.words import each_of, one_of, tr, tr_in, tr_many, typed_words
from tests.made_up import catalogue, marked

ROOT = Path(__file__).resolve().parent.parent
TEXTS = (
    Text("here:1", "the folder {folder} is missing"),
    Text("here:2", "{count} batch", "{count} batches"),
    Text("here:3", "Is the hose tested?", context="facts.gas_hose_tested.ask"),
    Text("here:5", "but And"),
    Text("here:4", 'It says "no"\\yes\tand\nends'),
)


@pytest.fixture
def made_up(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = catalogue(tmp_path / "made-up.mo", TEXTS)
    found, why = words._read(path)
    assert why == ""
    monkeypatch.setattr(words, "_CATALOGUE", found)


@pytest.mark.usefixtures("made_up")
def test_a_sentence_stands_in_the_language_of_the_catalogue_with_its_values_by_name() -> None:
    assert tr("the folder {folder} is missing", folder="/a b") == "thx fxldxr /a b xs mxssxng"
    assert tr("nobody translated this {thing}", thing="word") == "nobody translated this word"
    assert [tr_many("{count} batch", "{count} batches", count) for count in (1, 3)] == ["1 bxtch", "3 bxtchxs"]
    assert tr_in("facts.gas_hose_tested.ask", "Is the hose tested?") == "Xs thx hxsx txstxd?"
    assert tr_in("facts.another.ask", "Is the hose tested?") == "Is the hose tested?"
    assert words.language() == "qaa"
    assert typed_words("but And") == {"but", "And", "bxt", "xnd"}


def test_without_a_catalogue_every_sentence_is_english() -> None:
    assert tr("the folder {folder} is missing", folder="x") == "the folder x is missing"
    assert tr("no place {in} it") == "no place {in} it"
    assert [tr_many("{count} batch", "{count} batches", count) for count in (0, 1, 2)] == [
        "0 batches",
        "1 batch",
        "2 batches",
    ]
    assert each_of(["a"]) == "a"
    assert each_of(["a", "b", "c"]) == "a and b and c"
    assert one_of(iter(["a", "b"]), ",") == "a, or b"
    assert (one_of([]), words.language()) == ("", "en")


@pytest.mark.parametrize(
    ("text", "translated"),
    [
        ("weigh {mass:.3g} g of {what}", "weigh {what}"),
        ("weigh {mass:.3g} g of {what}", "weigh {mass} g of {what}"),
        ("weigh {mass:.3g} g of {what}", "weigh {mass:.3g} g of {what} and {more}"),
        ("weigh {what}", "weigh {what!r}"),
        ("weigh {what}", "weigh {what.__class__}"),
        ("weigh {what}", "weigh {what"),
        ("no place", "a {place}"),
        ("weigh it", "weigh it\x1b[2J"),
        ("weigh it", "weigh it\u202e"),
    ],
)
def test_a_translation_that_lost_or_changed_a_place_is_refused_by_its_text(
    tmp_path: Path, text: str, translated: str
) -> None:
    path = catalogue(tmp_path / "lost.mo", [Text("here:1", text)], **{text: translated})
    found, why = words._read(path)
    assert found is None
    assert f"'{text}'" in why


@given(data=st.data())
def test_no_damage_to_a_catalogue_is_more_than_a_sentence(
    data: st.DataObject, tmp_path_factory: pytest.TempPathFactory
) -> None:
    path = tmp_path_factory.mktemp("damaged") / "made-up.mo"
    whole = bytearray(catalogue(path, TEXTS).read_bytes())
    for place in data.draw(st.lists(st.integers(0, len(whole) - 1), max_size=4)):
        whole[place] = data.draw(st.integers(0, 255))
    path.write_bytes(bytes(whole[: data.draw(st.integers(0, len(whole)))]))
    found, why = words._read(path)
    assert (found is None) == bool(why)


def run(words_in: Path) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-m", "advisor", "--version"],
        env={"PATH": os.environ.get("PATH", ""), "PYTHONPATH": str(ROOT), "ADVISOR_WORDS": str(words_in)},
        capture_output=True,
        text=True,
        check=False,
    )


def test_a_catalogue_that_cannot_be_used_ends_the_run_with_one_sentence(tmp_path: Path) -> None:
    (tmp_path / "no.mo").write_text("no catalogue", encoding="utf-8")
    for path in (tmp_path / "missing.mo", tmp_path / "no.mo", tmp_path):
        done = run(path)
        assert (done.returncode, done.stdout) == (2, "")
        assert done.stderr.count("\n") == 1
        assert done.stderr.startswith(f"the words in {path} are not used: ")


def test_a_catalogue_of_another_account_is_not_believed(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = catalogue(tmp_path / "made-up.mo", TEXTS)
    monkeypatch.setattr(words, "put_by_another", lambda path: path)
    found, why = words._read(path)
    assert found is None
    assert "belongs to another account" in why


def calls_of_tr(source: str) -> Iterator[ast.Call]:
    for node in ast.walk(ast.parse(source)):
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id in CALLED:
            yield node


def faults_of_call(call: ast.Call) -> Iterator[str]:
    """What keeps a call from being found and filled in any language."""
    many = isinstance(call.func, ast.Name) and call.func.id == "tr_many"
    said = call.args[: 1 + many]
    texts = [one.value for one in said if isinstance(one, ast.Constant) and isinstance(one.value, str)]
    if len(texts) != 1 + many or len(call.args) != 1 + 2 * many or any(one.arg is None for one in call.keywords):
        yield "is not given one literal text and values by name"
        return
    given = {str(one.arg) for one in call.keywords}
    for text in texts:
        if given or many or "{" in text:
            named = _named(text)
            # Where nobody asks how many, a text for several need not name it; both texts do, or neither.
            counted = {"count"} & _named(texts[0]) if many else set()
            if named != given | counted:
                yield f"names {sorted(named)} and is given {sorted(given)}: {text[:60]}"


def _named(text: str) -> set[str]:
    """The places of a text, those within the format of another included."""
    found = set()
    for _, name, form, _ in Formatter().parse(text):
        if name is not None:
            found |= {name} | _named(form or "")
    return found


def test_the_places_of_every_sentence_are_exactly_the_values_it_is_given() -> None:
    faults, seen = [], 0
    for path in sorted((ROOT / "advisor").rglob("*.py")):
        if path.name == "words.py" and path.parent.name == "advisor":
            continue
        for call in calls_of_tr(path.read_text(encoding="utf-8")):
            seen += 1
            faults += [f"{path.relative_to(ROOT)}:{call.lineno} {fault}" for fault in faults_of_call(call)]
    assert faults == []
    assert seen > 1300
    for bad in ('tr(f"a {b}")', 'tr("a {b}")', 'tr("a", b=b)', "tr(text)", 'tr_many("{count} a", "as", count)'):
        assert any(list(faults_of_call(call)) for call in calls_of_tr(bad)), bad


def test_the_template_is_read_again_as_it_was_written(tmp_path: Path) -> None:
    import polib

    path = tmp_path / "advisor.pot"
    path.write_text(template(TEXTS), encoding="utf-8")
    read = polib.pofile(str(path))
    assert [(one.msgctxt or "", one.msgid, one.msgid_plural) for one in read] == [
        (one.context, one.text, one.many) for one in TEXTS
    ]
    assert [one.occurrences for one in read] == [[("here", str(number))] for number in (1, 2, 3, 5, 4)]


def test_the_template_names_each_text_of_the_program_where_it_stands() -> None:
    found = list(program_texts())
    for one in found[::50]:
        file, _, line = one.place.rpartition(":")
        lines = (ROOT / file).read_text(encoding="utf-8").splitlines()
        assert any(f"{name}(" in lines[int(line) - 1] for name in CALLED), one
    assert {one.place.rpartition(".")[2].partition(":")[0] for one in found} == {"py", "j2"}


def test_a_marked_text_keeps_its_places() -> None:
    assert marked("a {mass:.3g} in {folder}") == "x {mass:.3g} xn {folder}"
