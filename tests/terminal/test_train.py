"""``advisor train`` from outside: as a learner, as a trainer, and as somebody who means no good."""

from __future__ import annotations

import io
import json
import os
import re
import stat
from pathlib import Path
from typing import Any

import pytest
from rich.console import Console

from advisor.rulebase.model import RuleBase
from advisor.terminal.training.view import show_drill, show_keys
from advisor.training.drills.drawing_up import drill_set
from advisor.training.syllabus import KINDS
from advisor.training.training_rules import TrainingRules
from tests.terminal.preloaded import Preloaded
from tests.terminal.program import COLUMNS, LINES, Program, control_characters, crash, flat

FINE, BAD_INPUT, LEFT = 0, 2, 4


def kept(program: Program) -> list[dict[str, Any]]:
    """The records in the home of a program."""
    folder = program.home / "training"
    return [json.loads(path.read_text(encoding="utf-8")) for path in sorted(folder.glob("*.json"))]


def practise(quick: Preloaded, program: Program, *arguments: str, stdin: str = "u\nu\nu\n") -> Any:
    return quick.run("train", "start", *arguments, stdin=stdin, at=program)


@pytest.fixture(scope="module")
def questions(quick: Preloaded) -> str:
    """A set on paper."""
    return quick.run("train", "drills", "--seed", "7", "--count", "12").out


@pytest.fixture(scope="module")
def answers(quick: Preloaded) -> str:
    """The sheet of the trainer for the same set."""
    return quick.run("train", "drills", "--seed", "7", "--count", "12", "--answers").out


def test_a_set_on_paper_fits_80_columns_and_asks_every_drill(questions: str) -> None:
    assert [line for line in questions.splitlines() if len(line) > 80] == []
    assert control_characters(questions) == []
    assert re.findall(r"^(\d+): ", questions, re.MULTILINE) == [str(n) for n in range(1, 13)]
    assert questions.count("Answer: ________") == 12


@pytest.mark.parametrize("kind", KINDS)
def test_a_drill_of_any_kind_is_at_most_one_screen(shipped: RuleBase, diagnosing: RuleBase, kind: str) -> None:
    training = TrainingRules(shipped, diagnosing)
    for drill in drill_set(training, 5, 8, (kind,)):
        console = Console(file=io.StringIO(), width=80, highlight=False, markup=False, emoji=False)
        show_drill(console, training, drill, "Drill 10 of 10")
        show_keys(console)
        lines = console.file.getvalue().splitlines()  # type: ignore[attr-defined]
        # The line that is typed on comes below.
        assert len(lines) + 1 <= LINES, "\n".join(lines)
        assert max(map(len, lines)) <= COLUMNS


def test_questions_and_answers_are_apart_and_belong_together(questions: str, answers: str) -> None:
    assert "Right is" not in questions
    assert "Why:" not in questions
    assert answers.count("Right is: ") == 12
    assert "Source: " in answers
    code = re.search(r"code ([0-9a-f]{8})", questions)
    assert code is not None
    assert code[0] in answers


def test_a_set_on_paper_is_the_same_byte_for_byte_in_a_fresh_process(program: Program, questions: str) -> None:
    again = program.run("train", "drills", "--seed", "7", "--count", "12", PYTHONHASHSEED="12345")
    assert again.status == FINE
    assert again.out == questions


def test_the_class_gets_the_drills_that_were_printed(quick: Preloaded, program: Program, questions: str) -> None:
    shown = practise(quick, program, "--learner", "Amina", "--seed", "7", "--count", "3").out
    for question in re.split(r"^\d+: ", questions, flags=re.MULTILINE)[1:4]:
        assert flat(question.replace("Answer: ________", "")) in flat(shown)


def test_piped_answers_are_marked_and_kept(quick: Preloaded, program: Program) -> None:
    result = practise(quick, program, "--learner", "Amina", "--count", "3")
    assert (result.status, result.err) == (FINE, "")
    assert result.out.count("NOT KNOWN. Learn it now:") == 3
    assert "0 right of 3." in flat(result.out)
    (record,) = kept(program)
    assert record["name"] == "Amina"
    assert [answer["mark"] for answer in record["answers"]] == ["not_known"] * 3


@pytest.mark.skipif(os.name != "posix", reason="modes are those of POSIX")
def test_what_is_kept_is_open_to_its_owner_alone(quick: Preloaded, program: Program) -> None:
    practise(quick, program, "--learner", "Amina", "--count", "1")
    folder = program.home / "training"
    assert stat.S_IMODE(folder.stat().st_mode) == 0o700
    assert {stat.S_IMODE(path.stat().st_mode) for path in folder.iterdir()} == {0o600}


def test_the_end_of_the_input_leaves_and_keeps_what_was_done(quick: Preloaded, program: Program) -> None:
    result = practise(quick, program, "--learner", "Amina", "--count", "9", stdin="u\nu\n")
    assert result.status == LEFT
    assert "Left. Your answers are kept." in flat(result.out)
    assert len(kept(program)[0]["answers"]) == 2


def test_leaving_before_any_answer_keeps_nothing(quick: Preloaded, program: Program) -> None:
    result = practise(quick, program, "--learner", "Amina", stdin="q\n")
    assert result.status == LEFT
    assert "Left before any answer." in result.out
    assert not (program.home / "training").exists()


def test_the_name_is_asked_when_it_was_not_given(quick: Preloaded, program: Program) -> None:
    result = practise(quick, program, "--count", "1", stdin="\n  Bako \nu\n")
    assert result.status == FINE
    assert "What is your name?" in result.out
    assert "Not understood: the name is empty" in flat(result.out)
    assert [record["name"] for record in kept(program)] == ["Bako"]


def test_a_learner_at_a_terminal_may_ask_leave_and_come_back(quick: Preloaded, program: Program) -> None:
    with quick.talk(program, "start", "--learner", "Amina", "--count", "4", command="train") as talk:
        assert "Drill 1 of 4" in talk.shown
        assert "?=explain  u=not known  q=leave" in talk.shown
        question = talk.shown
        helped = talk.say("?")
        assert flat(question.split("\n\n")[-1]) in flat(helped)
        assert "Not understood: " in flat(talk.say("no idea"))
        assert "NOT KNOWN" in talk.say("u")
        assert "Enter = next drill" in talk.shown
        assert "Drill 2 of 4" in talk.say("")
        assert "Left. Your answers are kept." in flat(talk.press("c"))
        assert talk.status == LEFT
    with quick.talk(program, "start", "--learner", "amina", command="train") as talk:
        assert "answers so far 1," in talk.shown


def test_a_killed_sitting_has_lost_nothing(quick: Preloaded, program: Program) -> None:
    with quick.talk(program, "start", "--learner", "Amina", command="train") as talk:
        for typed in ("u", "", "u"):
            talk.say(typed)
        talk.strike()
    assert len(kept(program)[0]["answers"]) == 2
    assert "answers so far 2," in practise(quick, program, "--learner", "Amina", stdin="q\n").out


def test_every_screen_at_a_terminal_fits_80_columns(quick: Preloaded, program: Program) -> None:
    with quick.talk(program, "start", "--learner", "Amina", "--seed", "3", "--count", "12", command="train") as talk:
        while not talk.ended:
            talk.say("?")
            talk.say("u")
            if not talk.ended:
                talk.say("")
        assert [line for line in talk.everything.splitlines() if len(line) > 80] == []
        assert talk.status == FINE


def test_two_learners_do_not_meet(quick: Preloaded, program: Program) -> None:
    practise(quick, program, "--learner", "Amina", "--count", "2")
    before = {path: path.read_bytes() for path in (program.home / "training").iterdir()}
    shown = practise(quick, program, "--learner", "Bako", "--count", "2").out
    assert "Amina" not in shown
    assert "Bako: answers so far 0," in shown
    assert all(path.read_bytes() == content for path, content in before.items())
    assert len(kept(program)) == 2


@pytest.mark.parametrize(
    "name", ["../../../home", "a/b\\c", "..", "$(touch x)", "[red]x[/red]", "'\"", "-x", "名" * 60]
)
def test_a_hostile_name_is_a_name_and_nothing_else(quick: Preloaded, program: Program, name: str) -> None:
    result = practise(quick, program, f"--learner={name}", "--count", "1")
    assert result.status == FINE, result.err
    assert name in result.out
    assert [record["name"] for record in kept(program)] == [name]
    assert [path.name for path in program.home.iterdir()] == ["training"]


@pytest.mark.parametrize("name", ["", " ", "a\x1b[2Jb", "a\u202eb", "x" * 61, "y" * 20_000])
def test_a_name_that_cannot_be_used_is_one_sentence(quick: Preloaded, program: Program, name: str) -> None:
    result = practise(quick, program, f"--learner={name}")
    assert result.status == BAD_INPUT
    assert len(result.err.splitlines()) == 1
    assert control_characters(result.err) == []
    assert not program.home.exists()


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["start", "--kind", "rout"], "there is no kind of drill 'rout'"),
        (["start", "--count", "0"], "--count"),
        (["start", "--count", "201"], "--count"),
        (["start", "--seed", "-1"], "--seed"),
        (["drills", "--seed", "x"], "--seed"),
        (["drills"], "--seed"),
        (["reprot"], "advisor train report"),
    ],
)
def test_a_wrong_command_line_is_refused(quick: Preloaded, program: Program, arguments: list[str], said: str) -> None:
    result = quick.run("train", *arguments, at=program)
    assert result.status == BAD_INPUT
    assert said in flat(result.err)
    assert crash(result.err) == ""


def test_a_damaged_record_is_said_and_kept(quick: Preloaded, program: Program) -> None:
    practise(quick, program, "--learner", "Amina", "--count", "1")
    (path,) = (program.home / "training").iterdir()
    path.write_bytes(b"{ half")
    result = practise(quick, program, "--learner", "Amina", "--count", "1")
    assert result.status == FINE
    assert "is damaged. It is kept as" in flat(result.err)
    assert [p.read_bytes() for p in path.parent.iterdir() if "damaged" in p.name] == [b"{ half"]
    assert len(kept(program)[0]["answers"]) == 1


def test_a_folder_that_cannot_be_made_is_one_sentence(quick: Preloaded, program: Program) -> None:
    program.home.mkdir()
    (program.home / "training").write_text("in the way", encoding="utf-8")
    result = practise(quick, program, "--learner", "Amina", "--count", "1")
    assert result.status == BAD_INPUT
    assert "the record" in result.err
    assert crash(result.err) == ""


# The trainer


def test_the_report_of_nobody_says_how_to_begin(quick: Preloaded, program: Program) -> None:
    result = quick.run("train", "report", at=program)
    assert (result.status, result.err) == (FINE, "")
    assert "advisor train start" in result.out
    assert not program.home.exists()


def test_the_report_names_every_learner_and_what_is_missing(quick: Preloaded, program: Program) -> None:
    for name in ("Amina", "Bako"):
        practise(quick, program, "--learner", name, "--count", "2", "--kind", "danger")
    damaged = program.home / "training" / "chidi-0.json"
    damaged.write_bytes(b"x")
    result = quick.run("train", "report", at=program)
    assert result.status == FINE
    shown = flat(result.out)
    assert "Amina: ready for 0 of 6. Points lost in the last ten answers: 2. answers 2," in shown
    assert "Bako: ready for 0 of 6." in shown
    assert "18 more answers" in shown
    assert "The record chidi-0.json is damaged." in shown
    assert [line for line in result.lines if len(line) > 80] == []


def test_the_report_is_one_json_document_too(quick: Preloaded, program: Program) -> None:
    practise(quick, program, "--learner", "Amina", "--count", "2", "--kind", "danger")
    report = quick.run("train", "report", "--json", at=program).json
    assert report["document"] == "training report"
    assert report["basis"] == "practice"
    (learner,) = report["learners"]
    works = {work["work"]: work for work in learner["works"]}
    assert works["safety"]["answers"] == 2
    assert not works["safety"]["ready"]


def test_help_says_what_file_permissions_can_and_cannot_do(program: Program) -> None:
    for arguments in (("train", "--help"), ("train", "report", "--help")):
        shown = flat(program.run(*arguments, COLUMNS="80").out)
        assert "under the same account of the computer can still read it" in shown


def test_nothing_is_written_outside_the_home(quick: Preloaded, program: Program, tmp_path: Path) -> None:
    practise(quick, program, "--learner", "Amina", "--count", "2")
    quick.run("train", "report", at=program)
    ours = {"typed.txt", "out.txt", "err.txt"}
    assert {path.name for path in program.folder.iterdir()} <= ours
    assert {path.name for path in tmp_path.iterdir()} == {program.folder.name, program.home.name}
