"""The gold room of whoever uses the program: read back as it was written, and never written over what is not known."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.advice.batches.answers import read_answer, written_answer
from advisor.advice.batches.batch_file import read_batch
from advisor.advice.batches.own_room import (
    OwnRoom,
    changed_room,
    facts_of_room,
    keep_own_room,
    own_room_text,
    read_own_room,
)
from advisor.engine import NOT_KNOWN
from advisor.errors import FaultyFile, InputError
from advisor.rulebase.model import Fact, RuleBase, Several
from advisor.units import Range

DAY = "2026-11-29"


def put(path: Path, text: str) -> Path:
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(text, encoding="utf-8")
    return path


@st.composite
def answer_of(draw: st.DrawFn, fact: Fact) -> Any:
    """Any answer to a fact."""
    if draw(st.integers(0, 9)) == 0:
        return NOT_KNOWN
    if fact.entry.kind == "yes_no":
        return draw(st.booleans())
    if fact.entry.kind == "choice":
        return draw(st.sampled_from(list(fact.entry.options)))
    if fact.entry.kind == "several":
        present = draw(st.sets(st.sampled_from(list(fact.entry.options))))
        unsure = draw(st.sets(st.sampled_from(list(fact.entry.options)))) - present
        return Several(frozenset(present), frozenset(unsure))
    assert fact.unit is not None
    least = fact.unit.shown(fact.least)
    amounts = st.floats(least, fact.unit.shown(fact.most)).map(lambda one: max(least, round(one, 3)))
    low, high = sorted(draw(st.tuples(amounts, amounts)))
    return Range.between(fact.unit.inside(low), fact.unit.inside(high))


@given(data=st.data())
def test_a_room_is_read_back_as_it_was_written(
    data: st.DataObject, shipped: RuleBase, tmp_path_factory: pytest.TempPathFactory
) -> None:
    facts = facts_of_room(shipped)
    names = data.draw(st.sets(st.sampled_from(list(facts)), max_size=8))
    title = data.draw(st.sampled_from(["Our gold room", "yes", "Room: 2 #1", "12"]))
    drawn = {name: data.draw(answer_of(fact)) for name, fact in facts.items() if name in names}
    # An amount is written with the figures that a person reads, so a float may lose its last ones once.
    answers = {name: read_answer(facts[name], written_answer(facts[name], one)) for name, one in drawn.items()}
    room = OwnRoom(title, answers, DAY, data.draw(st.sampled_from([None, "Two sheds.\nOne: shut"])))
    path = tmp_path_factory.mktemp("room") / "room.yaml"
    path.write_text(own_room_text(room, shipped), encoding="utf-8")
    try:
        found = read_own_room(path, shipped)
    except InputError as problem:
        # What was drawn at random may contradict itself, and is then refused by name.
        assert "correct one of the two" in str(problem)  # noqa: PT017
        return
    assert (found.title, found.date, found.description) == (room.title, room.date, room.description)
    assert dict(found.answers) == answers


def test_a_batch_file_may_name_the_same_file(shipped: RuleBase, tmp_path: Path) -> None:
    room = keep_own_room(tmp_path / "room.yaml", OwnRoom("Ours", {"mould": "bar"}), shipped, DAY)
    assert room.answers == {"mould": "bar"}
    batch = put(tmp_path / "lots" / "batch.yaml", "title: Lot 3\nroom: ../room.yaml\nanswers: {dryness: dry}\n")
    assert dict(read_batch(batch, shipped).answers) == {"mould": "bar", "dryness": "dry"}


@pytest.mark.parametrize(
    ("named", "said"),
    [
        ("../none.yaml", "batch.yaml:1: room: there is no file '../none.yaml'; name the file of a gold room"),
        (
            "~nobody-here/room.yaml",
            "batch.yaml:1: room: '~nobody-here/room.yaml' names a home folder that is not known",
        ),
        ("../room.txt", "batch.yaml:1: room: '../room.txt' cannot be the name of a room"),
    ],
)
def test_a_file_of_a_room_that_is_not_there_is_one_sentence(
    named: str, said: str, shipped: RuleBase, tmp_path: Path
) -> None:
    batch = put(tmp_path / "lots" / "batch.yaml", f"room: {named}\nanswers: {{dryness: dry}}\n")
    with pytest.raises(FaultyFile) as problem:
        read_batch(batch, shipped)
    assert said in str(problem.value)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("title: A\nanswers: {floor: damp}\n", "room.yaml:2: floor: this can differ from night to night"),
        ("title: A\nanswers: {dryness: dry}\n", "room.yaml:2: dryness: this is a fact of the lot"),
        ("title: A\ninvented: true\nanswers: {mould: bar}\n", "room.yaml: this gold room is invented for training"),
        ("title: A\nlike: open-shed\nanswers: {}\n", "room.yaml: this gold room is invented for training"),
        ("title: A\ndate: tomorrow\nanswers: {}\n", "'tomorrow' is not a day; write it like 2026-11-29"),
        ("answers: {mould: bar}\n", "room.yaml:1: the key 'title' is missing"),
        ("title: A\nanswers:\n  mold: bar\n", "room.yaml:3: 'mold' is not a fact of the rule base"),
    ],
)
def test_what_cannot_be_a_gold_room_is_one_sentence(text: str, said: str, shipped: RuleBase, tmp_path: Path) -> None:
    with pytest.raises((InputError, FaultyFile)) as problem:
        read_own_room(put(tmp_path / "room.yaml", text), shipped)
    assert said in str(problem.value)


def test_a_room_is_never_written_over_what_somebody_else_wrote(shipped: RuleBase, tmp_path: Path) -> None:
    path = tmp_path / "room.yaml"
    read = keep_own_room(path, OwnRoom("Ours", {"mould": "bar"}), shipped, DAY)
    mine = changed_room(read, shipped, {"tongs": True})
    theirs = path.read_text(encoding="utf-8").replace("bar", "cone")
    path.write_text(theirs, encoding="utf-8")
    with pytest.raises(InputError, match="was changed meanwhile"):
        keep_own_room(path, mine, shipped, DAY)
    with pytest.raises(InputError, match="was changed meanwhile"):
        keep_own_room(path, OwnRoom("Another", {}), shipped, DAY)
    assert path.read_text(encoding="utf-8") == theirs


def test_a_room_that_contradicts_itself_is_refused(shipped: RuleBase) -> None:
    with pytest.raises(InputError, match="correct one of the two"):
        changed_room(OwnRoom("Ours", {"heat_sources": Several()}), shipped, {"top_temperature": Range.exact(1200)})


def test_what_a_changed_answer_makes_idle_leaves_the_room(shipped: RuleBase) -> None:
    shelf = {"reagents": Several(frozenset({"litharge", "flour"})), "stock_litharge": Range.exact(50)}
    room = changed_room(OwnRoom("Ours", {}), shipped, {**shelf, "stock_flour": Range.exact(10), "mould": "bar"})
    assert set(room.answers) == {"mould", "reagents", "stock_litharge", "stock_flour"}
    room = changed_room(room, shipped, {"reagents": Several(frozenset({"flour"}))})
    assert set(room.answers) == {"mould", "reagents", "stock_flour"}


def test_every_fact_of_the_room_is_known_to_both_consultations(shipped: RuleBase, diagnosing: RuleBase) -> None:
    assert list(facts_of_room(diagnosing)) == list(facts_of_room(shipped))
    assert list(facts_of_room(diagnosing, "tonight")) == list(facts_of_room(shipped, "tonight"))
    assert "largest_cupel" in facts_of_room(shipped)


def test_every_stock_of_the_shelf_is_that_of_one_material(shipped: RuleBase) -> None:
    # Sheet lead in doses for copper comes off the same shelf as lead.
    linked = [one.entry.stock for name, one in shipped.materials.items() if one.entry.stock and name != "lead_doses"]
    assert len(set(linked)) == len(linked)
    assert set(linked) == {name for name in facts_of_room(shipped) if name.startswith("stock_")}
