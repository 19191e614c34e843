"""A batch file starts from the room and the lot it names; one that names none takes no answer from anywhere."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import pytest

from advisor.advice.batches.batch_file import batch_text, read_batch
from advisor.advice.batches.entries import CaseFile
from advisor.advice.batches.rooms import NamedIn, usual_files
from advisor.engine.state import NOT_KNOWN, implied_value, state_of
from advisor.errors import FaultyFile, InputError
from advisor.rulebase.language.conditions import FAILS
from advisor.rulebase.model import RuleBase
from advisor.rulebase.reading.yaml_reader import read_document
from tests.conftest import ROOT

CASE = "invented: here\nroom: open-shed\nlot: ordinary\nanswers:\n"
ORDINARY = "invented: here\nroom: open-shed\nlot: ordinary\nanswers: {}\n"
ROOMS = sorted((ROOT / "cases" / "rooms").glob("*.yaml"))
LOTS = sorted((ROOT / "cases" / "lots").glob("*.yaml"))
CASES = sorted((ROOT / "cases").glob("*.yaml"))


def read(text: str, shipped: RuleBase, folder: Path | None = None) -> dict[str, Any]:
    if folder is None:
        return dict(read_batch(Path("standard input"), shipped, text).answers)
    path = folder / "batch.yaml"
    path.write_text(text, encoding="utf-8")
    return dict(read_batch(path, shipped).answers)


def put(path: Path, text: str) -> None:
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(text, encoding="utf-8")


def faults(text: str, shipped: RuleBase, folder: Path | None = None) -> list[str]:
    with pytest.raises(FaultyFile) as problem:
        read(text, shipped, folder)
    return [str(fault) for fault in problem.value.faults]


def test_a_file_starts_from_its_room_and_its_lot_and_its_own_answers_count_first(shipped: RuleBase) -> None:
    found = read(CASE + "  dryness: wet\n  tongs: not known\n  cost_wanted: yes\n", shipped)
    assert (found["dryness"], found["tongs"], found["cost_wanted"]) == ("wet", NOT_KNOWN, True)
    assert (found["place"], found["weathering"]) == ("open_shed", "fresh")
    assert list(found) == [name for name in shipped.facts if name in found]


def test_a_room_alone_answers_nothing_about_the_lot(shipped: RuleBase) -> None:
    found = read("invented: here\nroom: open-shed\nanswers: {}\n", shipped)
    assert {shipped.facts[name].entry.belongs_to for name in found} == {"room", "tonight"}
    found = read("invented: here\nlot: ordinary\nanswers: {}\n", shipped)
    assert {shipped.facts[name].entry.belongs_to for name in found} == {"lot"}


def test_how_it_is_tonight_stands_in_an_invented_room_alone(shipped: RuleBase, tmp_path: Path) -> None:
    put(tmp_path / "rooms" / "own.yaml", "title: Own\ninvented: true\nanswers: {floor: damp}\n")
    assert read("invented: here\nroom: own\nanswers: {}\n", shipped, tmp_path) == {"floor": "damp"}
    put(tmp_path / "rooms" / "own.yaml", "title: Own\nanswers: {floor: damp}\n")
    put(tmp_path / "lots" / "own.yaml", "title: Own\ninvented: true\nanswers: {floor: damp}\n")
    for named in ("room: own", "lot: own"):
        (said,) = faults(f"invented: here\n{named}\nanswers: {{}}\n", shipped, tmp_path)
        assert "floor: this can differ from night to night, so it is not kept; answer it in the batch file" in said


def test_a_file_that_names_no_room_has_the_answers_it_lists_and_no_other(shipped: RuleBase, tmp_path: Path) -> None:
    put(tmp_path / "rooms" / "open-shed.yaml", "title: Own shed\nanswers: {tongs: yes}\n")
    assert read("answers:\n  dryness: dry\n", shipped, tmp_path) == {"dryness": "dry"}
    assert read("dryness: dry\n", shipped, tmp_path) == {"dryness": "dry"}


def test_an_answer_can_be_taken_away(shipped: RuleBase) -> None:
    full = read(CASE + "  dryness: dry\n", shipped)
    less = read(CASE + "  dryness: dry\nunanswered: [panning_helps, tongs]\n", shipped)
    assert {**less, "panning_helps": False, "tongs": True} == full
    assert not {"panning_helps", "tongs"} & less.keys()


@pytest.mark.parametrize("room", ["open-shed", "own"])
def test_no_invented_answer_reaches_a_batch_that_is_not_invented(room: str, shipped: RuleBase, tmp_path: Path) -> None:
    put(tmp_path / "rooms" / "own.yaml", "title: Own\nlike: open-shed\nanswers: {tongs: no}\n")
    (said,) = faults(f"title: Lot 7\nroom: {room}\nanswers: {{}}\n", shipped, tmp_path)
    assert "batch.yaml:2: room: the room 'Open shed at Kestrel Hollow' is invented for training" in said


def test_a_room_of_ones_own_needs_no_word_about_being_invented(shipped: RuleBase, tmp_path: Path) -> None:
    put(tmp_path / "rooms" / "own.yaml", "title: Own\nanswers: {tongs: no}\n")
    assert read("room: own\nanswers: {}\n", shipped, tmp_path) == {"tongs": False}


def test_a_room_takes_from_the_one_it_is_like_and_takes_away_from_it(shipped: RuleBase, tmp_path: Path) -> None:
    put(tmp_path / "rooms" / "a.yaml", "title: A\nlike: b\nanswers: {tongs: no}\nunanswered: [mould]\n")
    put(tmp_path / "rooms" / "b.yaml", "title: B\nlike: open-shed\nanswers: {tongs: yes, pyrometer: no}\n")
    found = read("invented: here\nroom: a\nanswers: {}\n", shipped, tmp_path)
    plain = read("invented: here\nroom: open-shed\nanswers: {}\n", shipped)
    assert found == {
        **{name: value for name, value in plain.items() if name != "mould"},
        "tongs": False,
        "pyrometer": False,
    }


def test_a_room_is_looked_for_beside_the_file_then_above_it_then_among_the_shipped(
    shipped: RuleBase, tmp_path: Path
) -> None:
    folder = tmp_path / "batches"
    folder.mkdir()
    assert read(ORDINARY, shipped, folder)["top_temperature"].likely == 1220
    put(tmp_path / "rooms" / "open-shed.yaml", "title: Above\nanswers: {top_temperature: 1100 C}\n")
    assert read(ORDINARY, shipped, folder)["top_temperature"].likely == 1100
    put(folder / "rooms" / "open-shed.yaml", "title: Beside\nanswers: {top_temperature: 1000 C}\n")
    assert read(ORDINARY, shipped, folder)["top_temperature"].likely == 1000
    put(tmp_path.parent / "rooms" / "far.yaml", "title: Two folders up\nanswers: {}\n")
    assert "there is no room 'far'" in faults("room: far\nanswers: {}\n", shipped, folder)[0]


def test_what_is_kept_of_a_batch_is_written_in_full(shipped: RuleBase) -> None:
    found = read(CASE + "  tongs: no\n", shipped)
    kept = batch_text("Invented lot", found, shipped)
    assert "room:" not in kept
    assert read(kept, shipped) == found


@pytest.mark.parametrize(
    "name", ["../rooms/open-shed", "/etc/passwd", "open-shed.yaml", "a/b", "..", "Open-Shed", "a b"]
)
@pytest.mark.parametrize("key", ["room", "lot"])
def test_a_room_is_named_and_never_reached_by_a_path(key: str, name: str, shipped: RuleBase) -> None:
    (said,) = faults(f"title: x\n{key}: {name}\nanswers: {{}}\n", shipped)
    assert said.startswith(
        f"standard input:2: {key}: '{name}' cannot be the name of a {key}; give the name of its file"
    )


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("room: open-shet\nanswers: {}\n", "input:1: room: there is no room 'open-shet' in rooms/.*closest: open-shed"),
        (
            "lot: open-shed\nanswers: {}\n",
            "input:1: lot: there is no lot 'open-shed' in lots/.*known are ordinary, rich",
        ),
        (CASE + "  tongs: no\nunanswered: [tongs]\n", "input:6: tongs: this file also answers it; keep one"),
        (CASE + "  tongs: no\nunanswered: [price_lead]\n", "input:6: price_lead: there is no answer to take away"),
        (CASE + "  tongs: no\nunanswered: [tong]\n", "input:6: 'tong' is not a fact.*closest: tongs"),
        ("answers:\n  dryness: dry\nunanswered: [tongs]\n", "input:3: tongs: there is no answer to take away"),
        ("rooms: open-shed\nanswers: {}\n", "input:1: unknown key 'rooms'.*closest: room"),
    ],
)
def test_what_a_file_says_wrongly_about_its_room_is_one_sentence(text: str, said: str, shipped: RuleBase) -> None:
    (found,) = faults(text, shipped)
    assert re.search(said, found), found


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("title: A\nanswers:\n  tong: yes\n", "a.yaml:3: 'tong' is not a fact of the rule base"),
        ("title: A\nanswers:\n  tongs: perhaps\n", "a.yaml:3: tongs: 'perhaps' is neither yes nor no"),
        (
            "title: A\nanswers:\n  dryness: dry\n",
            "a.yaml:3: dryness: this is a fact of the lot; answer it in a lot or in",
        ),
        ("title: A\nlike: b\nanswers: {}\n", "a.yaml:2: like: there is no room 'b' in rooms/"),
        ("title: A\nlike: a\nanswers: {}\n", "a.yaml:2: like: the room 'a' comes to be like itself"),
        ("title: A\nlike: ../x\nanswers: {}\n", "a.yaml:2: like: '../x' cannot be the name of a room"),
        ("answers: {}\n", "a.yaml:1: the key 'title' is missing"),
        ("title: A\nanswer: {}\nanswers: {}\n", "a.yaml:2: unknown key 'answer'"),
        ("title: A\nanswers: {}\nunanswered: [mould]\n", "a.yaml:3: mould: there is no answer to take away"),
    ],
)
def test_what_is_wrong_in_a_room_is_told_with_its_file_and_line(
    text: str, said: str, shipped: RuleBase, tmp_path: Path
) -> None:
    put(tmp_path / "rooms" / "a.yaml", text)
    (found,) = faults("room: a\nanswers: {}\n", shipped, tmp_path)
    assert said in found


def test_two_rooms_that_are_like_each_other_are_refused(shipped: RuleBase, tmp_path: Path) -> None:
    put(tmp_path / "rooms" / "a.yaml", "title: A\nlike: b\nanswers: {}\n")
    put(tmp_path / "rooms" / "b.yaml", "title: B\nlike: a\nanswers: {}\n")
    (found,) = faults("room: a\nanswers: {}\n", shipped, tmp_path)
    assert "b.yaml:2: like: the room 'a' comes to be like itself" in found


def test_a_room_that_holds_no_mapping_is_refused(shipped: RuleBase, tmp_path: Path) -> None:
    put(tmp_path / "rooms" / "a.yaml", "- tongs\n")
    with pytest.raises(InputError, match=r"a\.yaml: this holds no answers"):
        read("invented: here\nroom: a\nanswers: {}\n", shipped, tmp_path)


@pytest.mark.parametrize("path", [*ROOMS, *LOTS], ids=lambda path: path.stem)
def test_every_shipped_room_and_lot_is_invented_says_what_it_is_like_and_is_used(path: Path, shipped: RuleBase) -> None:
    kind: Any = path.parent.name.removesuffix("s")
    document = read_document(path)
    for _, entry in usual_files(kind, path.stem, NamedIn(document, None, invented=True), shipped):
        assert entry.invented
        assert entry.description
    named = [CaseFile.model_validate(read_document(case).data) for case in CASES]
    assert path.stem in {getattr(case, kind) for case in named}


def test_the_ordinary_room_and_lot_leave_out_only_what_follows_or_is_not_asked_there(shipped: RuleBase) -> None:
    """So that a case says itself where anything that matters was not answered."""
    answers = read(ORDINARY, shipped)
    state = state_of(shipped, answers)
    for name in shipped.facts.keys() - answers.keys():
        fact = shipped.facts[name]
        not_asked = fact.ask_if is not None and fact.ask_if.truth(state) == FAILS
        assert fact.entry.computed or not_asked or implied_value(fact, state) is not None, name
