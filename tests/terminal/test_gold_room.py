"""The gold room, answered once: kept, shown, changed, spared in the next consultation; tonight is asked each time."""

from __future__ import annotations

import os
import re
import time
from pathlib import Path
from typing import Any

import pytest

from advisor.advice.batches.batch_file import read_batch
from advisor.advice.batches.own_room import OwnRoom, changed_room, own_room_text, read_own_room
from advisor.rulebase.model import RuleBase
from tests.batches import PYRITIC, answers_of
from tests.terminal.conftest import Operator, ordinary, through_the_room
from tests.terminal.preloaded import Preloaded
from tests.terminal.program import LINES, Program, control_characters, crash, flat

DONE, BAD_INPUT, LEFT = 0, 2, 4
ONE_GO = "1, 1, 1, 1, 1, 1, 8 h"
"""A quiet night: nobody near, a trained hand, no hood outdoors, a second person, dry sand, dry cupels. Invented."""


def kept_room(program: Program, rule_base: RuleBase, **more: Any) -> Path:
    """The ordinary gold room as it is kept."""
    written = {name: one for name, one in PYRITIC.items() if rule_base.facts[name].entry.belongs_to == "room"}
    answers = answers_of(rule_base, {**written, **more})
    room = changed_room(OwnRoom("Our gold room", {}, "2026-11-01"), rule_base, answers)
    program.home.mkdir(parents=True, exist_ok=True)
    path = program.home / "room.yaml"
    path.write_text(own_room_text(room, rule_base), encoding="utf-8")
    return path


def kept_answers(program: Program, rule_base: RuleBase, name: str = "unfinished-route.yaml") -> dict[str, Any]:
    return dict(read_batch(program.home / name, rule_base).answers)


# The first consultation


def test_before_the_first_question_stands_what_to_have_at_hand(operator: Operator, shipped: RuleBase) -> None:
    assert shipped.opening is not None
    shown = flat(operator.talk.shown)
    for thing in shipped.opening.at_hand:
        assert thing in shown
    assert f"About {shipped.opening.questions} questions." in shown
    assert "q leaves and keeps the answers" in shown
    assert len(operator.talk.shown.splitlines()) <= LINES
    assert operator.question == "mercury_history"


def test_the_first_consultation_offers_to_keep_the_room_and_the_second_asks_nothing_of_it(
    quick: Preloaded, program: Program, shipped: RuleBase
) -> None:
    with Operator(quick.talk(program), shipped) as first:
        while "Keep these answers about your gold room?" not in first.talk.shown:
            first.asked.append(first.question)
            first.talk.say(ordinary(first.question))
        assert "Kept. See or change it with advisor room" in flat(first.talk.say(""))
    room = read_own_room(program.home / "room.yaml", shipped)
    assert set(room.answers) == {name for name in first.asked if shipped.facts[name].entry.belongs_to == "room"}
    with Operator(quick.talk(program), shipped) as second:
        through_the_room(second.talk, shipped)
        second.to_the_advice()
        assert {shipped.facts[name].entry.belongs_to for name in second.asked} == {"lot"}
    last = kept_answers(program, shipped, "last-route.yaml")
    assert {name: last[name] for name in room.answers} == dict(room.answers)


def test_what_is_declined_is_not_kept(quick: Preloaded, program: Program, shipped: RuleBase) -> None:
    with Operator(quick.talk(program), shipped) as first:
        first.to_the_end()
    assert not (program.home / "room.yaml").exists()


# The next consultation


def test_the_room_stands_on_one_screen_and_a_number_changes_it(
    quick: Preloaded, program: Program, shipped: RuleBase
) -> None:
    path = kept_room(program, shipped)
    with quick.talk(program) as talk:
        assert "Our gold room, as of 2026-11-01" in talk.shown
        assert re.search(r"Still so today\? Enter, or a = all \d+, to change\.$", talk.shown.rstrip())
        assert "mould" not in talk.shown, "no danger hangs on it"
        for telling in ("place: open shed", "people living here: no", "protective gear: face shield"):
            assert telling in flat(talk.shown)
        talk.say("a")
        assert talk.shown.rstrip().endswith("Still so today? Enter, or a number to change.")
        assert len(talk.shown.splitlines()) < LINES
        (number,) = re.findall(r"(\d+) mould: cone mould", flat(talk.shown))
        assert "What can you pour into?" in talk.say(number)
        assert f"{number} mould: bar mould" in flat(talk.say("2"))
        assert "Type a number from 1 to" in talk.say("999")
        assert "How it is tonight" in talk.say("")
    room = read_own_room(path, shipped)
    assert room.answers["mould"] == "bar"
    assert room.date == time.strftime("%Y-%m-%d")


def test_tonight_is_one_question_on_one_screen_without_any_answer_of_another_night(
    quick: Preloaded, program: Program, shipped: RuleBase
) -> None:
    kept_room(program, shipped)
    with quick.talk(program) as talk:
        shown = talk.say("")
        assert len(shown.splitlines()) < LINES
        for fact in shipped.facts.values():
            if fact.entry.belongs_to == "tonight":
                assert re.search(rf"^ ?\d+  {re.escape(fact.label)}  ", shown, re.MULTILINE), fact.name
        shown = talk.say(ONE_GO)
        assert "Understood: 1 nobody else;" in flat(shown)
        assert "!" not in shown
        shown = talk.say("")
        assert "\n2. " in shown
        talk.say("q")
    kept = kept_answers(program, shipped)
    assert {name for name in kept if shipped.facts[name].entry.belongs_to == "tonight"} == {
        name for name, fact in shipped.facts.items() if fact.entry.belongs_to == "tonight"
    }


def test_a_line_at_a_time_serves_too_and_a_wrong_one_is_asked_again(
    quick: Preloaded, program: Program, shipped: RuleBase
) -> None:
    kept_room(program, shipped)
    with quick.talk(program) as talk:
        talk.say("")
        assert "2  operator?" in talk.say("1")
        assert "is there" in flat(talk.say("?1")) or "downwind" in flat(talk.shown)
        shown = talk.say("9")
        assert "Not understood: '9'" in shown
        assert "2  operator?" in shown
        assert "5  floor at the fire?" in talk.say("1 1 u")
        assert "left over" in flat(talk.say("1 1 8 h 5 5"))
        assert "Right? Enter" in talk.say("1 1 8 h")
        assert "5  floor at the fire?" in talk.say("5")
        shown = flat(talk.say("3"))
        assert "5 damp;" in shown
        assert "Right? Enter" in shown


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ("4", "! people nearby: children or pregnant."),
        ("1 1 1 1 3", "! floor at the fire: damp. First: "),
        ("1 1 1 1 u", "! floor at the fire: not known. What is not known counts as dangerous: First: "),
        ("1 1 2", "! fume extraction: untested. First: "),
        ("1 1 1 1 1 2", "! dry cupels: no. First: "),
    ],
)
def test_a_danger_of_tonight_is_said_at_once(
    line: str, said: str, quick: Preloaded, program: Program, shipped: RuleBase
) -> None:
    kept_room(program, shipped)
    with quick.talk(program) as talk:
        talk.say("")
        assert said in flat(talk.say(line))


def test_answers_about_tonight_that_contradict_each_other_are_asked_again(
    quick: Preloaded, program: Program, shipped: RuleBase
) -> None:
    kept_room(program, shipped)
    with quick.talk(program) as talk:
        talk.say("")
        shown = talk.say("1 2 1 2")
        assert "That cannot be:" in shown
        assert "4  second person?" in shown


def test_leaving_in_the_middle_of_tonight_keeps_what_was_answered(
    quick: Preloaded, program: Program, shipped: RuleBase
) -> None:
    path = kept_room(program, shipped)
    with quick.talk(program) as talk:
        talk.say("")
        talk.say("1 1")
        shown = talk.press("d")
        assert crash(shown) == ""
        assert talk.status == LEFT
    kept = kept_answers(program, shipped)
    assert kept["people_near"] == "nobody"
    assert kept["mould"] == "cone"
    room = path.read_text(encoding="utf-8")
    with quick.talk(program, "--resume") as talk:
        assert "Going on with" in talk.shown
        assert "How it is tonight" not in talk.shown
    assert path.read_text(encoding="utf-8") == room


def test_leaving_before_any_answer_leaves_everything_as_it_was(
    quick: Preloaded, program: Program, shipped: RuleBase
) -> None:
    path = kept_room(program, shipped)
    before = path.read_bytes()
    with quick.talk(program) as talk:
        assert "Left before any answer. Start again with:  advisor route" in talk.say("q")
        assert talk.status == LEFT
    assert path.read_bytes() == before
    assert not (program.home / "unfinished-route.yaml").exists()


def test_a_consultation_of_another_night_asks_anew_how_it_is_tonight(
    quick: Preloaded, program: Program, shipped: RuleBase
) -> None:
    assert shipped.opening is not None
    kept_room(program, shipped)
    with quick.talk(program) as talk:
        talk.say("")
        talk.say(ONE_GO)
        talk.say("")
        talk.say("q")
    long_ago = time.time() - 3600 * shipped.opening.tonight_hours - 60
    os.utime(program.home / "unfinished-route.yaml", (long_ago, long_ago))
    with quick.talk(program, "--resume") as talk:
        assert "These answers are of another night." in talk.shown
        assert "How it is tonight" in talk.shown
        talk.say("1 1 1 1 3 1 5h")
        talk.say("")
        talk.say("q")
    assert kept_answers(program, shipped)["floor"] == "damp"


def test_a_room_that_cannot_be_read_is_left_out_and_left_as_it_is(quick: Preloaded, program: Program) -> None:
    program.home.mkdir()
    path = program.home / "room.yaml"
    path.write_text("title: Ours\nanswers: {mold: bar}\n", encoding="utf-8")
    with quick.talk(program) as talk:
        shown = flat(talk.shown)
        assert "'mold' is not a fact of the rule base" in shown
        assert "The gold room is left out of this consultation." in shown
        assert "Has mercury been used" in shown
    assert "mold" in path.read_text(encoding="utf-8")


def test_in_a_diagnosis_nothing_comes_before_what_is_seen(
    quick: Preloaded, program: Program, diagnosing: RuleBase, shipped: RuleBase
) -> None:
    kept_room(program, shipped)
    with Operator(quick.talk(program, command="diagnose"), diagnosing) as person:
        assert "Your gold room answers" in person.talk.shown
        assert "Still so today?" not in person.talk.shown
        assert person.question == "look_at"
        shown = person.talk.say("c")
        assert "mould: cone mould" in shown


# advisor room


def test_a_room_is_answered_shown_and_changed(quick: Preloaded, program: Program, shipped: RuleBase) -> None:
    result = quick.run("room", at=program)
    assert (result.status, result.out) == (BAD_INPUT, "")
    assert "there is no gold room yet; answer for it with  advisor room new" in result.err
    with quick.talk(program, "new", command="room") as talk:
        assert "Your gold room, answered once." in talk.shown
        talk.say("no")
        talk.say("")
        shown = talk.say("q")
        assert "Left. 1 answer kept; go on with advisor room" in flat(shown)
        assert talk.status == LEFT
    room = read_own_room(program.home / "room.yaml", shipped)
    assert len(room.answers) == 1
    with quick.talk(program, command="room") as talk:
        (number,) = re.findall(r"(\d+) mould\b", flat(talk.shown))
        talk.say(number)
        assert "mould: cone mould" in flat(talk.say("cone mould"))
        talk.say("")
        assert talk.status == DONE
    for words in (["mould", "bar"], ["protective_gear", "face_shield", "fume_mask"], ["crucible_volume", "400", "ml"]):
        result = quick.run("room", "change", *words, at=program)
        assert result.status == DONE, result.err
    shown = flat(quick.run("room", at=program).out)
    for said in (
        "mould: bar mould",
        "protective gear: face shield, fume mask",
        "crucible volume: 400 ml",
        "NOT ANSWERED",
    ):
        assert said in shown


def test_a_full_room_fits_on_one_screen_of_eighty_columns(
    quick: Preloaded, program: Program, shipped: RuleBase
) -> None:
    kept_room(program, shipped)
    result = quick.run("room", at=program)
    assert result.status == DONE
    assert len(result.lines) <= LINES
    assert max(map(len, result.lines)) <= max(80, len(str(program.home)) + 20)
    assert control_characters(result.out) == []


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["tong", "yes"], "'tong' is not a fact of the gold room; 'advisor form room' lists them (closest: tongs)"),
        (["floor", "damp"], "'floor' is no answer about the gold room; it is asked each time by  advisor route"),
        (["dryness", "dry"], "'dryness' is no answer about the gold room; it is asked with each lot by  advisor route"),
        (["tongs", "maybe"], "tongs: 'maybe'"),
        (["scale_step", "5", "C"], "scale_step: "),
    ],
)
def test_a_change_that_cannot_be_is_one_sentence(
    words: list[str], said: str, quick: Preloaded, program: Program, shipped: RuleBase
) -> None:
    path = kept_room(program, shipped)
    before = path.read_bytes()
    result = quick.run("room", "change", *words, at=program)
    assert (result.status, result.out) == (BAD_INPUT, "")
    assert said in result.err
    assert len(result.err.splitlines()) == 1
    assert path.read_bytes() == before


def test_a_new_room_puts_the_old_one_aside(quick: Preloaded, program: Program, shipped: RuleBase) -> None:
    path = kept_room(program, shipped)
    old = path.read_bytes()
    form = program.write("form.yaml", "title: Second shed\nanswers: {mould: none}\n")
    result = quick.run("room", "new", "--answers", form, at=program)
    assert result.status == DONE
    assert "The gold room that was there is now in" in result.err
    assert (program.home / "room-2.yaml").read_bytes() == old
    assert read_own_room(path, shipped).answers == {"mould": "none"}


# The shelf and the journal


def test_what_was_weighed_leaves_the_shelf(quick: Preloaded, program: Program, shipped: RuleBase) -> None:
    path = kept_room(program, shipped, stock_litharge="45 g", stock_iron="1000 g")
    batch = program.write("batch.json", {"title": "Invented batch", "answers": PYRITIC})
    assert quick.run("journal", "start", "--answers", batch, at=program).status == DONE
    assert read_own_room(path, shipped).answers["stock_litharge"].likely == 45  # type: ignore[union-attr]
    shown = flat(quick.run("journal", "add", "weighed.litharge=20g", "weighed.iron=12g", at=program).out)
    assert "Left on the shelf: litharge 25 g, iron rod 988 g." in shown
    assert "runs short" not in shown
    shown = flat(quick.run("journal", "amend", "3", "30g", "--why", "read wrong", at=program).out)
    assert "Left on the shelf: litharge 15 g." in shown
    assert "litharge runs short: another such batch takes 30 g." in shown
    shown = flat(quick.run("journal", "add", "weighed.litharge.2=50g", "weighed.fluorspar=3g", at=program).out)
    assert "More litharge was weighed than the shelf held." in shown
    shown = flat(quick.run("journal", "add", "weighed.nitre=3g", at=program).out)
    assert "Nobody knows how much nitre is left. Weigh it: advisor room change stock_nitre 500g" in shown
    room = read_own_room(path, shipped)
    assert room.answers["stock_litharge"].likely == 0  # type: ignore[union-attr]
    assert room.date == "2026-11-01"


@pytest.mark.parametrize(
    ("text", "said"),
    [
        (None, "No gold room is kept, so no shelf changes; the journal has what was weighed."),
        ("title: Ours\nanswers: {mold: bar}\n", "Nothing was taken off the shelf; the journal has what was weighed."),
    ],
)
def test_without_a_room_that_can_be_read_the_journal_still_takes_the_weights(
    text: str | None, said: str, quick: Preloaded, program: Program
) -> None:
    batch = program.write("batch.json", {"title": "Invented batch", "answers": PYRITIC})
    quick.run("journal", "start", "--answers", batch, at=program)
    if text is not None:
        (program.home / "room.yaml").write_text(text, encoding="utf-8")
    result = quick.run("journal", "add", "weighed.litharge=20g", at=program)
    assert result.status == DONE
    assert said in flat(result.out)
    assert "weighed out: litharge: 20 g" in flat(quick.run("journal", "show", "1", at=program).out)
    if text is not None:
        assert (program.home / "room.yaml").read_text(encoding="utf-8") == text


# Two lots


def test_two_lots_stand_side_by_side_in_a_table_and_as_a_document(quick: Preloaded, program: Program) -> None:
    dry = program.write("dry.json", {"title": "Lot 1", "answers": PYRITIC})
    damp = program.write("damp.json", {"title": "Lot 2", "answers": {**PYRITIC, "floor": "damp"}})
    mercury = program.write("old.json", {"title": "Lot 3", "answers": {**PYRITIC, "mercury_signs": "yes"}})
    result = quick.run("route", "--answers", dry, "--beside-lot", damp, at=program)
    assert result.status == DONE
    assert max(map(len, result.lines)) <= 80
    rows = {line[:22].strip(): line[22:].strip() for line in result.lines if line[:1].strip()}
    assert {"outcome", "route", "gold expected", "hours, steps in turn", "first", "can kill"} <= rows.keys()
    document = quick.run("route", "--answers", dry, "--beside-lot", mercury, "--json", at=program).json
    one, other = document["lots"]
    alone = quick.run("route", "--answers", dry, "--json", at=program).json
    assert (one["route"], one["outcome"]) == (alone["route"], alone["outcome"])
    assert one["gold_kept_g"]["likely"] > 0
    assert one["first"] == [note["title"] for note in alone["first"]]
    assert (other["title"], other["outcome"], other["gold_kept_g"], other["hours"]) == ("Lot 3", "stop", None, None)
    assert quick.run("route", "--answers", mercury, "--beside-lot", mercury, at=program).status == 3


def test_a_lot_needs_another_to_stand_beside(quick: Preloaded, program: Program) -> None:
    lot = program.write("dry.json", {"answers": PYRITIC})
    for words, said in (
        (["--beside-lot", lot], "name the first with --answers FILE"),
        (["--answers", lot, "--beside-lot", lot, "--explain"], "leave out --resume, --save and --explain"),
        (["--answers", "-", "--beside-lot", "-"], "standard input holds one lot only"),
        (["--answers", lot, "--beside-lot", program.folder / "none.yaml"], "none.yaml is not a readable file"),
    ):
        result = quick.run("route", *words, at=program)
        assert (result.status, result.out) == (BAD_INPUT, "")
        assert said in result.err
