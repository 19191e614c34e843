"""What is typed at a question, what is asked back, and how answers are changed and taken up again."""

from __future__ import annotations

import pytest

from advisor.advice.batches.batch_file import read_batch
from advisor.engine.state import value_words
from advisor.rulebase.model import RuleBase, Several
from advisor.rulebase.values import ValueFault
from advisor.terminal.consult.keys import LEAVE, WHOLE
from advisor.terminal.consult.typed import Typed, read_typed
from advisor.units import Range
from tests.batches import PYRITIC
from tests.terminal.conftest import Operator, ordinary
from tests.terminal.preloaded import Preloaded
from tests.terminal.program import Program, control_characters, flat

ADVICE, BAD_INPUT, STOP, LEFT = 0, 2, 3, 4


# Words of the list


@pytest.mark.parametrize(
    ("fact", "typed", "value", "guessed"),
    [
        ("mercury_history", "no", "never", False),
        ("mercury_history", "never", "never", False),
        ("mercury_history", "past", "formerly", False),
        ("mercury_history", "somebody", "formerly", True),
        ("mercury_test", "no", "not_done", False),
        ("lead_rules", "allowed", "permitted", True),
        ("tramp_iron", "no", "none", False),
        ("arsenic_test", "never", "not_done", False),
        ("place", "out", "outdoors", False),
        ("people_near", "nobody", "nobody", False),
        ("gold_share", "90 g", Range.exact(0.9), False),
        ("gold_share", "90 g/100 g", Range.exact(0.9), False),
        ("gold_share", "0.03", Range.exact(0.0003), False),
        ("sulphide_share", "1/4", Range.exact(0.25), False),
        ("sulphide_share", "12 of 100", Range.exact(0.12), False),
        ("batch_mass", "1.200 kg", Range.exact(1200.0), False),
        ("sulphide_minerals", "1-2", Several(frozenset({"pyrite", "pyrrhotite"})), False),
        ("sulphide_minerals", "1 to 2, 5?", Several(frozenset({"pyrite", "pyrrhotite"}), frozenset({"galena"})), False),
        ("sulphide_minerals", "pyrite and galena?", Several(frozenset({"pyrite"}), frozenset({"galena"})), False),
        ("sulphide_minerals", "garlic", Several(frozenset({"arsenopyrite"})), True),
        ("sulphide_minerals", "no", Several(), False),
    ],
)
def test_plain_words_are_understood(shipped: RuleBase, fact: str, typed: str, value: object, guessed: bool) -> None:
    assert read_typed(shipped.facts[fact], typed) == Typed(value, guessed)  # type: ignore[arg-type]


def test_all_takes_every_item(shipped: RuleBase) -> None:
    fact = shipped.facts["reagents"]
    assert read_typed(fact, "all").value == Several(frozenset(fact.entry.options))


@pytest.mark.parametrize(
    ("fact", "typed"),
    [
        ("mercury_history", "used"),
        ("mercury_history", "yes"),
        ("mercury_test", "tested"),
        ("mercury_test", "not clean"),
        ("lead_rules", "yes"),
        ("lead_rules", "no"),
        ("people_near", "no"),
        ("dryness", "not dry"),
        ("sulphide_minerals", "yes"),
        ("sulphide_minerals", "lead"),
        ("sulphide_minerals", ","),
        ("sulphide_share", "0.25"),
        ("sulphide_share", "1/4 to 30 %"),
        ("sulphide_share", "1 1/2"),
        ("batch_mass", "1.200"),
        ("batch_mass", "1,200"),
        ("batch_mass", "10 gr."),
    ],
)
def test_what_can_mean_two_things_is_asked_and_never_turned_round(shipped: RuleBase, fact: str, typed: str) -> None:
    with pytest.raises(ValueFault) as refused:
        read_typed(shipped.facts[fact], typed)
    assert "closest" not in str(refused.value)


def test_the_message_at_a_question_has_the_words_of_the_screen_and_no_name_of_a_rule(shipped: RuleBase) -> None:
    for fact in shipped.facts.values():
        if fact.entry.options:
            with pytest.raises(ValueFault) as refused:
                read_typed(fact, "qqqqq")
            assert not [name for name in fact.entry.options if "_" in name and name in str(refused.value)]


def test_no_word_of_a_list_leads_to_another_item_of_it(shipped: RuleBase) -> None:
    """Every label and every name means its own option."""
    for fact in shipped.facts.values():
        for name, option in fact.entry.options.items():
            for typed in (name, option.label):
                value = read_typed(fact, typed).value
                assert value in (name, Several(frozenset({name}))), (fact.name, typed)


# Files


@pytest.mark.parametrize(
    ("fact", "written", "says"),
    [
        ("sulphide_minerals", "", "write  none"),
        ("sulphide_minerals", ",", "write  none"),
        ("sulphide_minerals", [" "], "write  none"),
        ("sulphide_minerals", ["pyrite", ""], "write  none"),
        ("foreign_matter", "", "not known"),
        ("mercury_history", "nov", "formerly (used in the past)"),
        ("batch_mass", "1.200", "two ways"),
        ("batch_mass", "10 gr.", "grain"),
        ("sulphide_share", "0.25", "25 %"),
    ],
)
def test_a_file_that_can_be_read_two_ways_is_refused(
    quick: Preloaded, program: Program, fact: str, written: object, says: str
) -> None:
    answers = program.write("odd.json", {"answers": {**PYRITIC, fact: written}})
    result = quick.run("route", "--answers", answers, at=program)
    assert (result.status, result.out) == (BAD_INPUT, "")
    assert fact in result.err
    assert says in result.err


def test_a_quarter_in_a_file_is_a_quarter_of_the_whole(quick: Preloaded, program: Program) -> None:
    answers = program.write("quarter.json", {"answers": {**PYRITIC, "sulphide_share": "1/4"}})
    result = quick.run("route", "--answers", answers, "--json", at=program)
    (said,) = [answer for answer in result.json["answers"] if answer["fact"] == "sulphide_share"]
    assert said["value"].startswith("25")


def test_no_in_a_file_is_taken_where_an_option_says_no(quick: Preloaded, program: Program) -> None:
    answers = program.write("no.yaml", "answers: {mercury_history: no, tramp_iron: no}\n")
    result = quick.run("route", "--answers", answers, "--json", at=program)
    said = {answer["fact"]: answer["value"] for answer in result.json["answers"]}
    assert (said["mercury_history"], said["tramp_iron"]) == ("never used", "none")


def test_what_can_hardly_be_in_a_file_is_a_warning_and_one_sentence(quick: Preloaded, program: Program) -> None:
    answers = program.write("rich.json", {"answers": {**PYRITIC, "gold_share": "90 %", "sulphide_share": "60 %"}})
    result = quick.run("route", "--answers", answers, "--json", at=program)
    assert any("no room" in warning for warning in result.json["warnings"])
    assert "is this right?" in result.err
    assert result.err.count("no room") == 1


def test_what_cannot_be_in_a_file_is_refused(quick: Preloaded, program: Program) -> None:
    answers = program.write("pot.json", {"answers": {**PYRITIC, "crucible_volume": "2 ml"}})
    result = quick.run("route", "--answers", answers, at=program)
    assert (result.status, result.out) == (BAD_INPUT, "")
    assert "5 ml" in result.err


# Asking back


def test_a_menu_number_typed_as_an_amount_is_asked_back_as_soon_as_nothing_can_excuse_it(operator: Operator) -> None:
    """A few grams are a batch where they are nearly all gold, or where an assay is wanted."""
    operator.until("batch_mass")
    assert "Understood: 2 g" in operator.talk.say("2")
    operator.until("gold_share").answer()
    operator.until("aim")
    shown = flat(operator.talk.say("bar"))
    assert "You said batch mass: 2 g, gold share: 5 % and aim: bar." in shown
    assert "Is that right? Enter keeps it, or answer again." in shown
    assert "aim" not in operator.kept().answers
    assert "Understood: aim: bar" in operator.talk.say("")


def test_a_word_of_a_meaning_is_taken_only_when_the_person_says_so(operator: Operator) -> None:
    assert operator.question == "mercury_history"
    assert "You mean mercury history: used in the past?" in flat(operator.talk.say("somebody"))
    assert "Understood: mercury history: never used" in operator.talk.say("never")
    operator.talk.say("b")
    operator.talk.say("somebody")
    assert "Understood: mercury history: used in the past" in operator.talk.say("yes")


# Changing


def test_enter_keeps_the_present_answer_and_a_changed_one_keeps_its_place(operator: Operator) -> None:
    operator.until("dryness")
    before = operator.kept().answers
    operator.talk.say("c")
    first = next(iter(before))
    shown = flat(operator.talk.say("1"))
    words = value_words(operator.rule_base.facts[first], before[first])
    assert f"Your answer is: {words} (Enter keeps it)" in shown
    assert "1. " in shown
    assert f"Kept: {operator.rule_base.facts[first].label}: {words}" in operator.talk.say("")
    assert operator.question == "dryness"
    assert operator.kept().answers == before
    operator.talk.say("b")
    operator.talk.say("u")
    assert list(operator.kept().answers) == list(before)


def test_an_answer_to_change_can_be_named_by_a_word(operator: Operator) -> None:
    operator.until("dryness")
    operator.talk.say("c")
    operator.talk.say("mercury history")
    assert operator.question == "mercury_history"


@pytest.fixture
def at_the_end(quick: Preloaded, program: Program, shipped: RuleBase) -> Operator:
    """Someone with a stop before them: mercury was seen, and the first answers decide it."""
    return Operator(quick.talk(program), shipped)


def test_after_the_advice_an_answer_can_be_changed_and_the_advice_is_given_anew(at_the_end: Operator) -> None:
    with at_the_end as operator:
        home = operator.talk.program.home
        operator.until("mercury_signs")
        operator.talk.say("yes")
        while not operator.advised:
            operator.talk.say("u")
        assert "STOP: " in operator.talk.shown
        first = read_batch(home / "last-route.yaml", operator.rule_base).answers
        assert first["mercury_signs"] is True
        operator.talk.say("c")
        operator.talk.say("signs of mercury")
        operator.talk.say("no")
        while not operator.advised:
            operator.talk.say("u")
        assert "FIND OUT FIRST" in operator.talk.shown
        second = read_batch(home / "last-route.yaml", operator.rule_base).answers
        assert second["mercury_signs"] is False
        assert list(second)[: len(first)] == list(first)
        operator.talk.say(LEAVE)
        assert operator.talk.ended


# Taking up


def left_after_stop(quick: Preloaded, program: Program, shipped: RuleBase) -> dict[str, object]:
    """A finished consultation that stops early; gives its answers."""
    with Operator(quick.talk(program), shipped) as operator:
        operator.answer("in use now")
        operator.to_the_end("u")
    return dict(read_batch(program.home / "last-route.yaml", shipped).answers)


def test_the_last_consultation_is_taken_up_again_and_a_second_never_destroys_it(
    quick: Preloaded, program: Program, shipped: RuleBase
) -> None:
    first = left_after_stop(quick, program, shipped)
    with Operator(quick.talk(program, "--resume"), shipped) as again:
        assert f"Going on with {len(first)} answer" in flat(again.talk.shown)
        assert again.advised
        again.talk.say(LEAVE)
    assert sorted(path.name for path in program.home.iterdir()) == ["last-route.yaml"]
    with Operator(quick.talk(program), shipped) as other:
        other.answer("formerly")
        other.to_the_end("u")
    assert dict(read_batch(program.home / "earlier-route-1.yaml", shipped).answers) == first
    assert read_batch(program.home / "last-route.yaml", shipped).answers["mercury_history"] == "formerly"


def test_a_file_that_somebody_looked_at_can_be_taken_up_unless_it_is_invented(
    quick: Preloaded, program: Program, shipped: RuleBase
) -> None:
    mine = program.write("mine.json", {"title": "Lot 3", "answers": {**PYRITIC, "mercury_signs": "yes"}})
    with quick.talk(program, "--answers", mine) as talk:
        assert talk.ended
    with Operator(quick.talk(program, "--resume"), shipped) as again:
        again.talk.say("n")  # The gold room is not kept.
        assert "Batch: Lot 3" in again.talk.say(WHOLE)
    made_up = program.write("made.json", {"invented": "Invented.", "answers": {"mercury_signs": "yes"}})
    with quick.talk(program, "--answers", made_up) as talk:
        assert talk.ended
    assert read_batch(program.home / "last-route.yaml", shipped).title == "Lot 3"


# The line


def test_a_line_can_be_edited_while_it_is_typed(operator: Operator) -> None:
    """The arrow to the left and a letter put in before the last one; readline shows it."""
    pytest.importorskip("readline")
    assert operator.question == "mercury_history"
    shown = operator.talk.say("nver\x1b[D\x1b[D\x1b[De")
    assert "Understood: mercury history: never used" in shown


def test_the_arrow_up_brings_back_a_line_of_this_run_alone(operator: Operator) -> None:
    pytest.importorskip("readline")
    assert "Not understood: nothing was typed" in operator.talk.say("\x1b[A")
    operator.talk.say("zzzz")
    assert "'zzzz' is none of these answers" in flat(operator.talk.say("\x1b[A"))


def test_a_pipe_gets_no_codes_of_line_editing(quick: Preloaded, program: Program) -> None:
    result = quick.run("route", stdin="no\n", at=program, TERM="xterm")
    assert control_characters(result.out) == []


def test_a_diagnosis_from_a_pipe_after_a_route_asks_as_at_a_terminal(
    quick: Preloaded, program: Program, shipped: RuleBase
) -> None:
    left_after_stop(quick, program, shipped)
    result = quick.run("diagnose", stdin="2\n", at=program)
    assert "cannot be written" not in result.err
    assert result.status == LEFT


# Output


def test_a_reader_that_leaves_early_is_no_fault(program: Program) -> None:
    import subprocess

    from tests.terminal.program import COMMAND

    answers = program.write("stop.json", {"answers": {**PYRITIC, "mercury_signs": "yes"}})
    for command, expected in ((["route", "--answers", str(answers)], STOP), (["rules", "list", "facts"], 0)):
        line = " ".join([*COMMAND, *command])
        done = subprocess.run(
            ["bash", "-c", f"{line} | true; exit ${{PIPESTATUS[0]}}"],
            env=program.environment(),
            cwd=program.folder,
            capture_output=True,
            timeout=60,
            check=False,
        )
        assert (done.returncode, done.stderr) == (expected, b""), command


def test_where_there_are_only_plain_letters_degrees_and_per_mille_are_spelled_out(program: Program) -> None:
    answers = program.write("plain.json", {"answers": PYRITIC})
    result = program.run(
        "route",
        "--answers",
        answers,
        "--all",
        PYTHONUTF8="0",
        PYTHONCOERCECLOCALE="0",
        LC_ALL="C",
        PYTHONIOENCODING=None,
    )
    assert result.raw.isascii()
    assert "?C" not in result.out
    assert f"top temperature: {ordinary('top_temperature').replace('°', '')}" in result.out
