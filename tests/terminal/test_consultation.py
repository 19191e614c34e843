"""A whole consultation at a terminal of 80 columns and 24 lines."""

from __future__ import annotations

import os
import re
import shlex
import signal
import subprocess
from pathlib import Path

import pytest

from advisor.advice.batches.batch_file import read_batch
from advisor.engine.state import NOT_KNOWN, value_words
from advisor.rulebase.model import RuleBase
from advisor.terminal.consult.keys import LEAVE, WAYS
from tests.batches import PYRITIC
from tests.terminal.conftest import Operator, ordinary
from tests.terminal.preloaded import Preloaded
from tests.terminal.program import COMMAND, Program, control_characters, crash, first_difference, flat

ADVICE, BAD_INPUT, STOP, LEFT = 0, 2, 3, 4


def understood(shown: str) -> str:
    """What the program says it understood."""
    assert "Understood: " in shown, shown
    return flat(shown.split("Understood: ")[1].split("\n\n")[0].split("\nKept. This")[0])


# Answering


def test_a_choice_can_be_given_by_number_or_word_or_label(operator: Operator) -> None:
    fact = operator.rule_base.facts[operator.question]
    for position, (name, option) in enumerate(fact.entry.options.items(), 1):
        for typed in (str(position), f" {position} ", name, name.upper(), option.label, option.label.title()):
            shown = operator.talk.say(typed)
            assert understood(shown) == f"{fact.entry.label}: {option.label}"
            if operator.advised:
                return
            operator.talk.say("b")
            assert operator.question == fact.name


def test_yes_and_no_can_be_given_by_number_word_or_letter(operator: Operator) -> None:
    operator.until("mercury_signs")
    for typed in ("2", "no", "N", "NO", "n"):
        assert understood(operator.talk.say(typed)) == "signs of mercury: no"
        operator.talk.say("b")
        assert operator.question == "mercury_signs"
    assert understood(operator.talk.say("Y")) == "signs of mercury: yes"


def test_an_amount_is_shown_back_in_the_unit_of_the_question(operator: Operator) -> None:
    operator.until("top_temperature")
    for typed, shown in {
        "1250": "1250 °C",
        "1250C": "1250 °C",
        "1250 °C": "1250 °C",
        "2282 F": "1250 °C",
        "1523.15 K": "1250 °C",
        "1200 to 1250": "1200 to 1250 °C",
        "1200-1250 C": "1200 to 1250 °C",
        "about 1200 C": "1200 °C",
        "1 200": "1200 °C",
    }.items():
        assert understood(operator.talk.say(typed)) == f"top temperature: {shown}"
        operator.talk.say("b")
        assert operator.question == "top_temperature"


def test_several_can_be_given_with_perhaps_and_none(operator: Operator) -> None:
    operator.until("sulphide_minerals")
    labels = [option.label for option in operator.rule_base.facts["sulphide_minerals"].entry.options.values()]
    for typed, shown in {
        "1 3?": f"{labels[0]}, perhaps {labels[2]}",
        "1,3?": f"{labels[0]}, perhaps {labels[2]}",
        "3? 1": f"{labels[0]}, perhaps {labels[2]}",
        "1 1 1": labels[0],
        "0": "none of them",
        "none": "none of them",
        f"{labels[0]}, {labels[3].upper()}?": f"{labels[0]}, perhaps {labels[3]}",
    }.items():
        assert understood(operator.talk.say(typed)) == f"sulphide minerals: {shown}", typed
        operator.talk.say("b")
        assert operator.question == "sulphide_minerals"


@pytest.mark.parametrize("typed", ["u", "not known", "Don't know", "dont know", "unknown"])
def test_not_known_is_an_answer(operator: Operator, typed: str) -> None:
    asked = operator.until("top_temperature").question
    shown = operator.talk.say(typed)
    assert understood(shown).endswith(": not known")
    assert operator.kept().answers[asked] is NOT_KNOWN


def test_knowing_nothing_at_all_still_ends_with_advice(quick: Preloaded, program: Program, shipped: RuleBase) -> None:
    with Operator(quick.talk(program), shipped) as operator:
        operator.to_the_end("u")
        assert operator.talk.status == STOP
        assert "FIND OUT FIRST" in operator.page
        assert "light nothing" in flat(operator.page)
        assert "WEIGH" not in operator.page.replace("NOTHING IS WEIGHED", "")
        assert len(set(operator.asked)) == len(operator.asked)


WRONG_CHOICES = ["", "   ", "9", "0", "-1", "1.5", "1 2", "maybe", "x" * 3000, "１", "'; rm -rf ~", "%s%n", "${HOME}"]


def test_a_wrong_choice_is_refused_with_a_sentence_and_asked_again(operator: Operator) -> None:
    asked = operator.question
    for typed in WRONG_CHOICES:
        shown = operator.talk.say(typed)
        assert "Not understood: " in shown, typed
        assert "Type ? for help" in shown
        assert "Understood: " not in shown
        assert len(shown.splitlines()) < 12
    assert operator.asked == []
    assert not operator.talk.program.home.exists()
    assert "Understood: " in operator.answer()
    assert list(operator.kept().answers) == [asked]


@pytest.mark.parametrize(
    ("fact", "wrong"),
    [
        (
            "gold_share",
            [
                "five",
                "5 oz",
                "101 %",
                "-1",
                "10 to 5 %",
                "nan",
                "inf",
                "1e999",
                "5 %%",
                "1/0",
                "5 to",
                ".",
                "5;6;7",
                "0x5",
            ],
        ),
        ("sulphide_minerals", ["9", "1 9", "3-1", "? ?", "1 3 0", "0 1", "fool's gold", "?1?2", "1.5"]),
        ("tongs", ["3", "perhaps", "0", "yes no"]),
    ],
)
def test_wrong_answers_of_every_kind_are_refused(operator: Operator, fact: str, wrong: list[str]) -> None:
    operator.until(fact)
    before = operator.kept().answers
    for typed in wrong:
        shown = operator.talk.say(typed)
        assert "Not understood: " in shown, f"{typed!r} gave {shown}"
        assert not operator.talk.ended
    assert operator.kept().answers == before
    assert "Understood: " in operator.answer()


# Help, back and change


def test_a_question_mark_explains_and_the_question_stays(operator: Operator) -> None:
    fact = operator.rule_base.facts[operator.question]
    for typed in ("?", "help", "explain"):
        assert flat(fact.entry.explain) in flat(operator.talk.say(typed))
    assert "Understood: " in operator.answer()


def test_s_says_what_hangs_on_the_answer_and_the_question_stays(operator: Operator) -> None:
    shown = flat(operator.talk.say("s"))
    assert "still possible" in shown
    assert operator.rule_base.decisions["route"].entry.options["stop"].title in shown
    assert "Understood: " in operator.answer()


def test_explaining_works_at_every_question(quick: Preloaded, program: Program, shipped: RuleBase) -> None:
    with Operator(quick.talk(program), shipped) as operator:
        while not operator.advised:
            asked = operator.question
            for typed in ("?", "s"):
                assert len(operator.talk.say(typed).strip()) > 20, (asked, typed)
            operator.asked.append(asked)
            operator.talk.say(str(PYRITIC[asked]) if isinstance(PYRITIC.get(asked), str) else "u")
        operator.talk.say(LEAVE)
        assert operator.talk.status in (ADVICE, STOP)


def test_back_changes_the_earlier_answer(operator: Operator) -> None:
    first = operator.question
    operator.answer()
    second = operator.question
    operator.answer()
    operator.talk.say("b")
    assert operator.question == second
    operator.talk.say("back")
    assert operator.question == first
    operator.answer("formerly")
    assert operator.kept().answers[first] == "formerly"
    assert second in operator.kept().answers


def test_back_from_the_first_question_says_so(operator: Operator) -> None:
    assert "first question" in flat(operator.talk.say("b"))
    assert "Understood: " in operator.answer()


def test_change_lists_the_answers_and_asks_the_chosen_one_again(operator: Operator) -> None:
    operator.until("dryness")
    given = operator.kept().answers
    shown = operator.talk.say("c")
    for number, (name, value) in enumerate(given.items(), 1):
        fact = operator.rule_base.facts[name]
        assert f"{number} {fact.label}: {value_words(fact, value)}" in flat(shown)
    for wrong in ("0", "99", "x", "-1", "1 2"):
        assert "number from 1 to" in flat(operator.talk.say(wrong))
    chosen = list(given)[4]
    operator.talk.say("5")
    assert operator.question == chosen
    operator.answer("1")
    other = next(iter(operator.rule_base.facts[chosen].entry.options))
    assert given[chosen] != other
    assert operator.kept().answers[chosen] == other
    assert set(operator.kept().answers) == set(given)


def test_change_can_be_left_with_enter(operator: Operator) -> None:
    assert "no answers yet" in flat(operator.talk.say("c"))
    operator.until("dryness")
    operator.talk.say("c")
    operator.talk.say("")
    assert operator.question == "dryness"


def change(operator: Operator, name: str, typed: str) -> str:
    """Change an answer that was given; returns what is said to the new one."""
    operator.talk.say("c")
    operator.talk.say(str(list(operator.kept().answers).index(name) + 1))
    assert operator.question == name
    return flat(operator.talk.say(typed))


def test_an_answer_that_contradicts_another_is_refused_with_a_sentence(operator: Operator) -> None:
    operator.until("quartz_share")
    before = operator.kept().answers
    assert "sulphide_share" in before
    shown = change(operator, "sulphide_minerals", "none")
    assert "That cannot be: sulphide share: 25 %" in shown
    assert "sulphide minerals" in shown
    assert "type c to change the other answer" in shown
    assert operator.kept().answers == before
    assert understood(operator.talk.say("1")) == "sulphide minerals: pyrite"


def test_of_two_answers_that_contradict_the_other_can_be_changed_first(operator: Operator) -> None:
    operator.until("quartz_share")
    assert "Understood: sulphide share: 0 %" in change(operator, "sulphide_share", "0 %")
    assert "Understood: sulphide minerals: none of them" in change(operator, "sulphide_minerals", "none")


def test_shares_that_are_more_than_the_whole_are_refused_with_a_sentence(operator: Operator) -> None:
    operator.until("sulphide_share")
    operator.answer("60 %")
    operator.until("black_sand_share", "quartz_share")
    operator.answer("35 %")
    operator.until("black_sand_share", "quartz_share")
    before = operator.kept().answers
    shown = flat(operator.talk.say("35 %"))
    assert "That cannot be: " in shown
    assert "more than the whole" in shown
    assert operator.kept().answers == before
    assert "Understood: " in operator.talk.say("5 %")


def test_the_keys_work_where_one_look_tells_several(operator: Operator) -> None:
    operator.until("quartz_share")
    before = operator.kept().answers
    assert "Hazards that hang on it: " in flat(operator.talk.say("s"))
    operator.talk.say("c")
    operator.talk.say("")
    assert operator.line == "quartz_share"
    operator.talk.say("b")
    assert operator.question == "black_sand_share"
    assert operator.kept().answers == before


# What the screen looks like


@pytest.fixture(scope="module")
def screens(finished: Operator) -> list[str]:
    """Every screen of the finished consultation, from one prompt to the next."""
    return finished.talk.everything.split("\n> ")


def test_every_question_fits_a_screen_of_80_columns_and_24_lines(finished: Operator, screens: list[str]) -> None:
    for screen in screens[: len(finished.asked)]:
        question = screen.strip("\n").split("\n\n")[-1]
        assert len(question.splitlines()) <= 22, question
        assert max(len(line.rstrip()) for line in question.splitlines()) <= 80, question


def test_every_question_says_how_to_find_out_and_names_the_keys(finished: Operator, screens: list[str]) -> None:
    for name, screen in zip(finished.asked, screens, strict=False):
        if name in finished.lines:
            continue
        fact = finished.rule_base.facts[name]
        shown = flat(screen)
        assert flat(fact.entry.ask) in shown
        assert flat(fact.entry.find_out) in shown
        assert all(flat(option.means) in shown for option in fact.entry.options.values())
        assert all(key in shown for key in ("?=", "u=unknown", "b=back"))
    assert "q=leave" in screens[0]


def test_what_one_look_tells_is_asked_in_one_go_with_how_to_look(finished: Operator) -> None:
    assert finished.lines >= {"dryness", "batch_mass", "gold_share", "black_sand_share", "quartz_share"}
    looks = [look.entry for look in finished.rule_base.looks.values() if look.entry.in_one_go]
    assert [flat(finished.talk.everything).count(flat(look.do)) for look in looks] == [1, 1, 1]


def test_shares_and_yes_or_no_are_typed_in_one_line(operator: Operator) -> None:
    operator.until("gold_share")
    shown = operator.talk.say("12 % 1/20 yes")
    assert "gold share: 12 %" in shown
    assert "clean part: 5 %" in shown
    assert "panning still helps: yes" in shown


def test_no_question_is_asked_twice_and_questions_that_can_stop_come_first(finished: Operator) -> None:
    assert len(set(finished.asked)) == len(finished.asked)
    assert set(finished.asked[:2]) <= {"mercury_history", "mercury_signs", "mercury_test"}


def test_a_consultation_ends_with_the_same_advice_as_its_file(finished: Operator) -> None:
    home = finished.talk.program.home
    again = finished.talk.program.run("route", "--answers", home / "last-route.yaml", COLUMNS="80")
    assert finished.talk.status == again.status == ADVICE
    *shown, keys = [line.rstrip() for line in finished.page.rstrip().splitlines()]
    *expected, more = [line.rstrip() for line in again.lines]
    start = shown.index(expected[0])
    assert first_difference("\n".join(shown[start:]), "\n".join(expected)) == ""
    assert (keys[:10], more[:6]) == ("Enter work", "MORE  ")


def test_finishing_keeps_the_answers_and_says_where(finished: Operator) -> None:
    home = finished.talk.program.home
    batch = finished.kept(home / "last-route.yaml")
    assert list(batch.answers) == finished.asked
    assert batch.title == "Invented batch"
    assert "last-route.yaml" in finished.page
    assert sorted(path.name for path in home.iterdir()) == ["last-route.yaml"]


def test_the_command_that_is_named_at_the_end_shows_the_advice_again(finished: Operator, quick: Preloaded) -> None:
    (named,) = [line for line in finished.page.splitlines() if "advisor route --answers" in line]
    again = shlex.split(named.split("advisor route", 1)[1])
    assert quick.run("route", *again).status == ADVICE


def test_without_colour_nothing_is_coloured(finished: Operator) -> None:
    assert not re.findall(r"\x1b\[[0-9;]*[349][0-7]m", finished.talk.raw_everything)


def test_other_routes_can_be_laid_beside_the_advised_one(quick: Preloaded, program: Program, shipped: RuleBase) -> None:
    with Operator(quick.talk(program), shipped) as operator:
        operator.to_the_advice()
        assert "Another route beside this one, in figures?" in flat(operator.talk.say(WAYS))
        for wrong in ("0", "99", "x", "[red]1[/red]"):
            assert "number from 1 to" in flat(operator.talk.say(wrong))
        shown = operator.talk.say("2")
        assert "ROUTES SIDE BY SIDE" in shown
        assert max(len(line) for line in shown.splitlines()) <= 80
        assert operator.talk.press("c").rstrip().endswith(f"{LEAVE} leave")
        operator.talk.press("c")
        assert operator.talk.ended
        assert operator.talk.status == ADVICE


def test_a_dumb_terminal_gets_no_escape_codes(quick: Preloaded, program: Program, shipped: RuleBase) -> None:
    with Operator(quick.talk(program, TERM="dumb"), shipped) as operator:
        operator.answer()
        assert control_characters(operator.talk.raw.replace("\r", "")) == []


# Leaving and going on


@pytest.mark.parametrize("way", ["ctrl-c", "ctrl-d", "q"])
def test_leaving_is_clean_and_keeps_the_answers(operator: Operator, way: str) -> None:
    operator.until("dryness")
    given = operator.kept().answers
    shown = operator.talk.press(way[-1]) if way.startswith("ctrl") else operator.talk.say(way)
    assert operator.talk.ended
    assert crash(shown) == ""
    assert f"{len(given)} answers are kept" in flat(shown)
    assert "--resume" in shown
    assert operator.talk.status == LEFT
    assert operator.kept().answers == given


def test_leaving_before_any_answer_leaves_nothing_behind(operator: Operator) -> None:
    shown = operator.talk.press("c")
    assert crash(shown) == ""
    assert operator.talk.status == LEFT
    assert not operator.talk.program.home.exists()


def test_leaving_while_choosing_what_to_change_is_clean(operator: Operator) -> None:
    operator.until("dryness")
    operator.talk.say("c")
    shown = operator.talk.press("c")
    assert crash(shown) == ""
    assert operator.talk.status == LEFT


def test_going_on_asks_nothing_again(quick: Preloaded, program: Program, shipped: RuleBase) -> None:
    with Operator(quick.talk(program, "--title", "Invented lot 9"), shipped) as before:
        asked = before.until("crucible_kind").asked
        before.talk.press("d")
    with Operator(quick.talk(program, "--resume"), shipped) as after:
        assert f"Going on with {len(asked)} answers" in flat(after.talk.shown)
        assert after.question == "crucible_kind"
        after.to_the_end()
        assert not set(asked) & set(after.asked)
        assert after.talk.status == ADVICE
        assert "Invented lot 9" in flat(after.talk.everything)
        assert list(after.kept(program.home / "last-route.yaml").answers) == asked + after.asked


def test_going_on_without_anything_kept_is_refused_with_a_sentence(quick: Preloaded, program: Program) -> None:
    result = quick.run("route", "--resume", at=program)
    assert (result.status, result.out) == (BAD_INPUT, "")
    assert "there is no consultation in" in result.err
    assert not program.home.exists()


@pytest.mark.parametrize("content", ["", "answers:\n  dryness: soggy\n", b"\xff\xfe"])
def test_going_on_with_a_damaged_file_is_refused_and_the_file_left_alone(
    quick: Preloaded, program: Program, content: str | bytes
) -> None:
    program.home.mkdir()
    kept = program.home / "unfinished-route.yaml"
    kept.write_bytes(content if isinstance(content, bytes) else content.encode())
    before = kept.read_bytes()
    result = quick.run("route", "--resume", at=program)
    assert (result.status, result.out) == (BAD_INPUT, "")
    assert "unfinished-route.yaml" in result.err
    assert kept.read_bytes() == before


def test_going_on_with_answers_that_contradict_each_other_asks_one_of_them_anew(
    quick: Preloaded, program: Program, shipped: RuleBase
) -> None:
    program.home.mkdir()
    (program.home / "unfinished-route.yaml").write_text(
        "answers:\n  mercury_history: never\n  sulphide_minerals: []\n  sulphide_share: 25 %\n", encoding="utf-8"
    )
    with Operator(quick.talk(program, "--resume"), shipped) as operator:
        assert "Asked again: " in operator.talk.shown
        assert not operator.talk.ended


def test_a_new_consultation_offers_the_unfinished_one_and_never_takes_its_place(
    quick: Preloaded, program: Program, shipped: RuleBase
) -> None:
    with Operator(quick.talk(program), shipped) as before:
        before.until("crucible_kind").talk.press("d")
        given = before.kept().answers
    with Operator(quick.talk(program), shipped) as after:
        assert f"left after {len(given)} answers" in flat(after.talk.shown)
        assert "just enter goes on" in flat(after.talk.say("what").lower())
        assert "--resume" in after.talk.say("n")
        after.answer()
        kept = [read_batch(path, shipped).answers for path in program.home.iterdir()]
        assert given in kept, "the answers of the unfinished consultation are gone"


def test_just_enter_goes_on_where_one_left(quick: Preloaded, program: Program, shipped: RuleBase) -> None:
    with Operator(quick.talk(program), shipped) as before:
        before.until("crucible_kind").talk.press("d")
        given = before.kept().answers
    with Operator(quick.talk(program), shipped) as after:
        shown = after.talk.say("")
        assert after.question == "crucible_kind"
        assert f"\n{len(given) + 1}. " in shown, "the numbers of the questions begin anew"
        after.answer()
        assert list(after.kept().answers) == [*given, "crucible_kind"]
        assert [path.name for path in program.home.iterdir()] == ["unfinished-route.yaml"]


def test_where_nobody_sits_an_unfinished_consultation_is_not_asked_about(
    quick: Preloaded, program: Program, shipped: RuleBase
) -> None:
    with Operator(quick.talk(program), shipped) as before:
        before.until("crucible_kind").talk.press("d")
        given = before.kept().answers
    result = quick.run("route", stdin="no\n", at=program)
    assert result.status == LEFT
    assert "Go on where you left" not in result.out
    assert read_batch(program.home / "unfinished-route-1.yaml", shipped).answers == given
    assert len(before.kept().answers) == 1


def test_the_command_that_is_named_for_an_unfinished_consultation_goes_on_with_it(
    quick: Preloaded, program: Program, shipped: RuleBase
) -> None:
    with Operator(quick.talk(program), shipped) as before:
        before.until("dryness").talk.press("d")
    with Operator(quick.talk(program), shipped) as after:
        after.talk.say("n")
        named = [line for line in after.talk.shown.splitlines() if "advisor route" in line]
        assert len(named) == 1, after.talk.shown
        after.answer()
    with Operator(quick.talk(program, *shlex.split(named[0].split("advisor route", 1)[1])), shipped) as again:
        assert again.question == "dryness"


def test_a_new_consultation_that_is_left_at_once_leaves_the_unfinished_one_to_go_on_with(
    quick: Preloaded, program: Program, shipped: RuleBase
) -> None:
    with Operator(quick.talk(program), shipped) as before:
        before.until("dryness").talk.press("d")
    with Operator(quick.talk(program), shipped) as slip:
        slip.talk.say("n")
        slip.talk.press("c")
    result = quick.run("route", "--resume", at=program)
    assert result.status == LEFT, result.err
    assert len(before.kept().answers) == len(before.asked)


def test_answers_can_be_kept_in_a_file_of_ones_own(quick: Preloaded, program: Program, shipped: RuleBase) -> None:
    mine = program.folder / "new folder" / "lot 7.yaml"
    with Operator(quick.talk(program, "--save", mine), shipped) as before:
        before.until("crucible_kind")
        shown = before.talk.press("d")
        assert "lot 7.yaml" in flat(shown)
        given = before.kept(mine).answers
    assert len(given) == len(before.asked)
    refused = quick.run("route", "--save", mine, at=program)
    assert (refused.status, refused.out) == (BAD_INPUT, "")
    assert "lot 7.yaml" in refused.err
    with Operator(quick.talk(program, "--save", mine, "--resume"), shipped) as after:
        assert after.question == "crucible_kind"
        after.to_the_end()
        assert after.talk.status == ADVICE
    assert list(after.kept(mine).answers) == before.asked + after.asked
    assert not program.home.exists()


def test_the_command_that_is_named_on_leaving_goes_on_with_the_consultation(
    quick: Preloaded, program: Program, shipped: RuleBase
) -> None:
    mine = program.folder / "lot 7.yaml"
    with Operator(quick.talk(program, "--save", mine), shipped) as operator:
        operator.answer()
        shown = operator.talk.press("d")
    named = [line for line in shown.splitlines() if "advisor route" in line and "--resume" in line]
    assert len(named) == 1, f"no single line can be typed again: {shown}"
    again = shlex.split(named[0].split("advisor route", 1)[1])
    with Operator(quick.talk(program, *again), shipped) as person:
        assert "Going on with 1 answer" in person.talk.shown


# Nothing that was accepted is lost


def test_killing_the_program_loses_no_answer(program: Program, shipped: RuleBase) -> None:
    arguments: list[str] = []
    given: dict[str, str] = {}
    for _ in range(2):
        with Operator(program.talk(*arguments), shipped) as operator:
            for _ in range(3):
                asked = operator.question
                given[asked] = understood(operator.answer())
            operator.talk.strike()
        kept = operator.kept().answers
        assert {
            name: f"{shipped.facts[name].label}: {value_words(shipped.facts[name], value)}"
            for name, value in kept.items()
        } == given
        arguments = ["--resume"]
    assert [path.name for path in program.home.iterdir()] == ["unfinished-route.yaml"]


SLOW_DISK = "import os, time\nfsync = os.fsync\nos.fsync = lambda file: (time.sleep(0.5), fsync(file))[1]\n"


def test_an_answer_is_kept_before_the_program_says_that_it_was_understood(
    program: Program, shipped: RuleBase, tmp_path: Path
) -> None:
    # A disk that takes its time; the plug is pulled in the moment the answer is confirmed.
    with Operator(program.talk(**with_startup(program, tmp_path, SLOW_DISK)), shipped) as operator:
        asked = operator.question
        operator.talk.process.sendline("1")
        operator.talk.process.expect("Understood: ")
        operator.talk.strike()
    assert asked in operator.kept().answers


FULL_DISK = (
    "import os\nfsync = os.fsync\ndef full(file):\n    if os.path.exists('full'): raise OSError(28, 'No space left')\n"
    "    return fsync(file)\nos.fsync = full\n"
)


def test_a_disk_that_fills_up_loses_no_answer_that_was_kept(
    program: Program, shipped: RuleBase, tmp_path: Path
) -> None:
    with Operator(program.talk(**with_startup(program, tmp_path, FULL_DISK)), shipped) as operator:
        operator.until("crucible_kind")
        given = dict(operator.kept().answers)
        (program.folder / "full").touch()
        operator.to_the_end()
        assert operator.talk.status == ADVICE
        assert "cannot be kept" in flat(operator.talk.everything)
        assert "last-route.yaml; show this advice again" not in flat(operator.talk.everything)
    assert operator.kept().answers == given


def with_startup(program: Program, folder: Path, code: str) -> dict[str, str]:
    """An environment in which Python runs some code before the program."""
    (folder / "startup").mkdir()
    (folder / "startup" / "sitecustomize.py").write_text(code, encoding="utf-8")
    return {"PYTHONPATH": f"{folder / 'startup'}{os.pathsep}{program.environment()['PYTHONPATH']}"}


@pytest.fixture
def no_home(tmp_path: Path) -> dict[str, str]:
    """A home in which nothing can be written, also for root: a file stands where the folder should be."""
    (tmp_path / "file").write_text("", encoding="utf-8")
    return {"ADVISOR_HOME": str(tmp_path / "file" / "home"), "ADVISOR_CACHE": str(tmp_path / "file" / "cache")}


def test_a_home_that_cannot_be_written_still_gets_advice(
    quick: Preloaded, program: Program, shipped: RuleBase, no_home: dict[str, str]
) -> None:
    with Operator(quick.talk(program, **no_home), shipped) as operator:
        assert "cannot be kept" in flat(operator.answer())
        operator.to_the_end()
        assert crash(operator.talk.everything) == ""
        assert "CAN KILL" in operator.page
        assert operator.talk.status == ADVICE
        assert "Kept. This" not in flat(operator.talk.everything)


def test_leaving_says_when_nothing_could_be_kept(
    quick: Preloaded, program: Program, shipped: RuleBase, no_home: dict[str, str]
) -> None:
    with Operator(quick.talk(program, **no_home), shipped) as operator:
        operator.answer()
        shown = flat(operator.talk.press("c"))
        assert crash(shown) == ""
        assert "are kept in" not in shown
        assert "not" in shown
        assert operator.talk.status == LEFT


@pytest.mark.parametrize("blow", [signal.SIGTERM, signal.SIGHUP])
def test_closing_the_terminal_keeps_the_answers(operator: Operator, blow: signal.Signals) -> None:
    operator.until("dryness")
    given = operator.kept().answers
    operator.talk.strike(blow)
    assert operator.kept().answers == given


# Hostile typing

HOSTILE = [
    "\x1b[2J\x1b[31mred\x1b[0m",
    "\x1b]0;owned\x07",
    "\x1b[D\x1b[C\x1b[A",
    "[red]x[/red]",
    "[/]",
    "[bold",
    "[link=file:///]x",
    ":skull:",
    "\u202eright to left",
    "\x01\x02\x06",
    "\x9b31m",
]


def test_escape_sequences_and_markup_that_are_typed_do_no_harm(
    quick: Preloaded, program: Program, shipped: RuleBase
) -> None:
    with Operator(quick.talk(program, TERM="dumb"), shipped) as operator:
        for typed in HOSTILE:
            shown = operator.talk.say(typed)
            assert not operator.talk.ended, shown
            assert "Not understood: " in shown, repr(typed)
        assert "[red]x[/red]" in operator.talk.everything
        assert "Understood: " in operator.answer()


def test_what_is_typed_is_never_sent_back_as_an_order_to_the_terminal(
    quick: Preloaded, program: Program, shipped: RuleBase
) -> None:
    with Operator(quick.talk(program, TERM="dumb"), shipped) as operator:
        for typed in HOSTILE:
            operator.talk.say(typed)
            # The terminal's own echo writes ^[ for escape, so any that is left comes from the program.
            answer = operator.talk.raw.split("Not understood", 1)[-1].replace("\r", "")
            assert control_characters(answer) == [], repr(typed)


@pytest.mark.parametrize(
    "language", [{"PYTHONIOENCODING": "utf-8:strict"}, {"PYTHONUTF8": "0", "PYTHONCOERCECLOCALE": "0", "LC_ALL": "C"}]
)
def test_letters_in_another_encoding_are_refused_with_a_sentence(
    program: Program, shipped: RuleBase, language: dict[str, str]
) -> None:
    with Operator(program.talk(**language), shipped) as operator:
        assert crash(operator.talk.type_bytes(b"caf\xe9\n")) == ""
        assert not operator.talk.ended
        assert "Understood: " in operator.answer()


# Without a terminal


def answers_typed(facts: list[str]) -> str:
    """What would be typed for these facts, one a line."""
    return "\n".join(ordinary(name) for name in facts) + "\n"


def test_a_consultation_in_json_writes_the_document_alone_to_standard_output(
    finished: Operator, program: Program
) -> None:
    result = program.run("route", "--json", stdin=answers_typed(finished.asked))
    assert result.status == ADVICE
    assert result.json["document"] == "advice"
    assert [answer["fact"] for answer in result.json["answers"] if answer["origin"] == "given"]
    assert "Understood: " in result.err


def test_answers_that_run_out_leave_with_status_4(
    finished: Operator, quick: Preloaded, program: Program, shipped: RuleBase
) -> None:
    result = quick.run("route", stdin=answers_typed(finished.asked[:5]), at=program)
    assert result.status == LEFT
    assert crash(result.err) == ""
    assert len(read_batch(program.home / "unfinished-route.yaml", shipped).answers) == 5


def test_standard_input_that_is_closed_is_left_cleanly(program: Program) -> None:
    with open(os.devnull, "rb") as closed:
        done = subprocess.run(
            ["sh", "-c", '"$@" route <&-', "sh", *COMMAND],
            env=program.environment(),
            cwd=program.folder,
            stdin=closed,
            capture_output=True,
            timeout=30,
            check=False,
        )
    assert crash(done.stderr.decode()) == ""
    assert done.returncode in (LEFT, BAD_INPUT)


def test_the_button_of_a_trial_is_told_where_it_narrows_a_weight_and_never_asked_before(
    quick: Preloaded, program: Program, shipped: RuleBase
) -> None:
    nitre = {"sulphide_share": "4 %", "reagents": [*PYRITIC["reagents"], "nitre"], "stock_nitre": "500 g"}
    program.home.mkdir()
    written = program.write("unfinished.json", {"answers": {**PYRITIC, **nitre}})
    (program.home / Operator.KEPT).write_bytes(written.read_bytes())
    with Operator(quick.talk(program, "--resume"), shipped) as operator:
        if "about your gold room" in operator.talk.shown:
            operator.talk.say("n")
        while "0 leave" not in flat(operator.talk.shown):
            operator.answer()
        assert "trial_button" not in operator.asked
        assert "button of a trial fusion: not told yet" in flat(operator.talk.say("c"))
        operator.talk.say("trial")
        shown = flat(operator.talk.say("3 g"))
        assert "Understood: button of a trial fusion: 3 g" in shown
        assert "button of a trial fusion: 3 g" in flat(operator.talk.say("c"))
        assert operator.kept(program.home / "last-route.yaml").answers["trial_button"].likely == 3
