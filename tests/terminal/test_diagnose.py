"""A whole diagnosis at a terminal of 80 columns and 24 lines, with and without the plan of the batch."""

from __future__ import annotations

import re
import shlex
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from advisor.advice.batches.batch_file import read_batch
from advisor.engine.state import NOT_KNOWN, value_words
from advisor.rulebase.model import RuleBase
from advisor.terminal.consult.keys import ANSWERS, LEAVE, NEXT, WHOLE
from tests.batches import MATT_BEAD
from tests.terminal.conftest import Operator, through_the_room
from tests.terminal.preloaded import Preloaded
from tests.terminal.program import Program, Talk, control_characters, crash, first_difference, flat
from tests.terminal.test_diagnose_from_file import PLAN
from tests.terminal.test_no_network_or_writes import watched
from tests.terminal.test_route_from_file import HOSTILE, as_yaml, section

DONE, BAD_INPUT, STOP, LEFT = 0, 2, 3, 4

SPEISS: dict[str, Any] = {"look_at": "cold_mould", "mould_layers": "speiss_between"}
"""A white layer between slag and metal; the rest nobody has looked at. Invented."""


class Observer(Operator):
    """Someone at the terminal who has the piece in the hand.

    Attributes:
        seen: What is seen of it; of the rest nothing is known.
    """

    KEPT = "unfinished-diagnose.yaml"

    def __init__(self, talk: Talk, rule_base: RuleBase, seen: dict[str, Any]) -> None:
        super().__init__(talk, rule_base)
        self.seen = seen

    def answer(self, typed: str | None = None) -> str:
        """Answer the question by what is seen, unless told otherwise."""
        return super().answer(typed if typed is not None else str(self.seen.get(self.question, "u")))


def planned(program: Program) -> Path:
    """The file of the plan."""
    return program.write("plan.yaml", as_yaml(PLAN, title="Invented lot 7"))


def looking(
    quick: Preloaded,
    program: Program,
    rule_base: RuleBase,
    *options: str | Path,
    seen: dict[str, Any] = MATT_BEAD,
    **more: Any,
) -> Observer:
    """Someone who has just typed ``advisor diagnose`` with the plan of the batch."""
    talk = quick.talk(program, "--plan", planned(program), *options, command="diagnose", **more)
    return Observer(talk, rule_base, seen)


@pytest.fixture
def observer(quick: Preloaded, program: Program, diagnosing: RuleBase) -> Iterator[Observer]:
    """Someone who looks at a matt bead and has the plan."""
    with looking(quick, program, diagnosing) as person:
        yield person


@pytest.fixture(scope="module")
def finished(quick: Preloaded, diagnosing: RuleBase, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Observer]:
    """Someone who has answered everything about the matt bead."""
    folder = tmp_path_factory.mktemp("finished")
    program = Program(folder / "own home", quick.program.cache, folder)
    with looking(quick, program, diagnosing) as person:
        person.to_the_end()
        assert person.talk.status == DONE
        yield person


# What is asked


def test_where_one_looks_is_asked_first_and_nothing_that_the_plan_answers(finished: Observer) -> None:
    assert finished.asked[0] == "look_at"
    assert not set(finished.asked) & {*PLAN, "work_done", "collector_used"}
    assert len(set(finished.asked)) == len(finished.asked)
    assert "The plan answers" in finished.talk.everything


def test_only_what_shows_at_that_stage_is_asked(finished: Observer) -> None:
    for name in finished.asked[1:]:
        group = finished.rule_base.facts[name].entry.group
        assert group in ("seen_bead", "seen_cupel", "look"), name


def test_the_weight_is_asked_once_the_correction_needs_it(finished: Observer) -> None:
    assert finished.asked.index("bead_weighed") > finished.asked.index("bead_surface")
    assert "bismuth for the bead" in finished.page or "bismuth to add" in finished.page


def test_every_question_says_how_to_find_out_and_names_the_keys(finished: Observer) -> None:
    screens = finished.talk.everything.split("\n> ")
    for name, screen in zip(finished.asked, screens, strict=False):
        fact = finished.rule_base.facts[name]
        shown = flat(screen)
        assert flat(fact.entry.ask) in shown
        assert flat(fact.entry.find_out) in shown
        assert all(flat(option.means) in shown for option in fact.entry.options.values())
        assert all(key in shown for key in ("?=", "u=unknown", "b=back", "e=enough"))
    assert "q=leave" in screens[0]


def test_no_line_of_a_question_is_wider_than_the_terminal(finished: Observer) -> None:
    wide = [line for line in finished.talk.everything.splitlines() if len(line.rstrip()) > 80]
    assert [line for line in wide if "Kept. This" not in line] == []


def test_pictures_stand_under_the_numbers_of_their_options(finished: Observer) -> None:
    screens = dict(zip(finished.asked, finished.talk.everything.split("\n> "), strict=False))
    fact = finished.rule_base.facts["bead_surface"]
    drawn = [(n, option) for n, option in enumerate(fact.entry.options.values(), 1) if option.picture]
    assert len(drawn) > 2
    pictures, _, choices = screens["bead_surface"].partition(fact.entry.ask)
    for number, option in drawn:
        assert re.search(rf"^(.*\s)?{number} {option.label}", pictures, re.MULTILINE)
    # All that is needed to answer stays on a screen of 24 lines.
    assert len(choices.splitlines()) < 23
    assert not set(screens["bead_surface"]) & set("\x1b\t")


def test_a_terminal_of_plain_letters_gets_pictures_of_plain_letters(program: Program, diagnosing: RuleBase) -> None:
    plain = {"LC_ALL": "C", "PYTHONCOERCECLOCALE": "0", "PYTHONUTF8": "0"}
    talk = program.talk("--plan", planned(program), command="diagnose", **plain)
    with Observer(talk, diagnosing, MATT_BEAD) as person:
        person.until("bead_surface")
        picture = person.talk.shown.split(diagnosing.facts["bead_surface"].entry.ask)[0]
        assert picture.isascii()
        assert picture.count("#") + picture.count("=") + picture.count("%") > 40


# The same program answers the same


def test_it_ends_with_the_same_diagnosis_as_its_file(finished: Observer, quick: Preloaded) -> None:
    home = finished.talk.program.home
    again = quick.run("diagnose", "--observations", home / "last-diagnose.yaml", COLUMNS="80")
    assert finished.talk.status == again.status == DONE
    shown = [line.rstrip() for line in finished.page.rstrip().splitlines()]
    *expected, more = [line.rstrip() for line in again.lines]
    start = shown.index(expected[0])
    end = start + len(expected)
    assert first_difference("\n".join(shown[start:end]), "\n".join(expected)) == ""
    assert (shown[end][:10], more[:6]) == ("Enter work", "MORE  ")


def test_finishing_keeps_the_answers_with_their_plan_and_says_where(finished: Observer, quick: Preloaded) -> None:
    home = finished.talk.program.home
    assert sorted(path.name for path in home.iterdir() if path.is_file()) == ["last-diagnose.yaml"]
    batch = finished.kept(home / "last-diagnose.yaml")
    assert batch.plan == finished.talk.program.folder / "plan.yaml"
    assert batch.title == "Invented lot 7"
    assert set(finished.asked) <= set(batch.answers)
    (named,) = [line for line in finished.page.splitlines() if "advisor diagnose --observations" in line]
    again = shlex.split(named.split("advisor diagnose", 1)[1])
    assert quick.run("diagnose", *again).status == DONE


def test_a_dumb_terminal_gets_no_escape_codes(quick: Preloaded, program: Program, diagnosing: RuleBase) -> None:
    with looking(quick, program, diagnosing, TERM="dumb") as person:
        person.to_the_end()
        assert control_characters(person.talk.raw_everything.replace("\r", "")) == []


# Answering


def test_every_answer_is_kept_at_once_and_shown_back(observer: Observer) -> None:
    for _ in range(3):
        asked = observer.question
        shown = flat(observer.answer())
        fact = observer.rule_base.facts[asked]
        kept = observer.kept()
        assert f"Understood: {fact.label}: {value_words(fact, kept.answers[asked])}" in shown
        assert kept.plan == observer.talk.program.folder / "plan.yaml"


def test_a_wrong_choice_is_refused_with_a_sentence_and_asked_again(observer: Observer) -> None:
    for typed in ("99", "0", "-1", "", "no idea", "1 2", "x" * 3000, "[red]1[/red]"):
        shown = observer.talk.say(typed)
        assert "Not understood: " in shown, typed
        assert crash(shown) == ""
        assert observer.question == "look_at"
    assert not observer.talk.program.home.exists()


def test_a_weight_can_be_a_range_and_a_wrong_one_is_refused(observer: Observer) -> None:
    observer.until("bead_weighed")
    for wrong in ("heavy", "12 ml", "-1 g", "900 kg"):
        assert "Not understood: " in observer.talk.say(wrong)
    assert "Understood: weight of the bead: 11 to 12 g" in flat(observer.answer("11 to 12 g"))


def test_not_known_is_an_answer(observer: Observer) -> None:
    observer.answer()
    asked = observer.question
    assert "not known" in observer.answer("u")
    assert observer.kept().answers[asked] is NOT_KNOWN


def test_back_asks_the_answer_before_again(observer: Observer) -> None:
    observer.answer()
    asked = observer.question
    observer.answer()
    observer.talk.say("b")
    assert observer.question == asked
    observer.answer("u")
    assert observer.kept().answers[asked] is NOT_KNOWN


def test_an_answer_of_the_plan_can_be_seen_and_changed(observer: Observer) -> None:
    observer.answer()
    shown = flat(observer.talk.say("c"))
    assert "batch mass: 100 g" in shown
    given = list(observer.kept().answers)
    observer.talk.say(str(given.index("batch_mass") + 1))
    assert observer.question == "batch_mass"
    observer.answer("90 g")
    fact = observer.rule_base.facts["batch_mass"]
    assert value_words(fact, observer.kept().answers["batch_mass"]) == "90 g"


def test_a_question_mark_explains_and_s_says_what_hangs_on_it(observer: Observer) -> None:
    observer.until("bead_surface")
    fact = observer.rule_base.facts["bead_surface"]
    assert flat(fact.entry.explain) in flat(observer.talk.say("?"))
    shown = flat(observer.talk.say("s"))
    assert "It may speak for or against: " in shown
    assert observer.rule_base.causes["collector_left"].entry.title in shown
    assert observer.question == "bead_surface"


def test_explaining_works_at_every_question(observer: Observer) -> None:
    while not observer.advised:
        asked = observer.question
        for typed in ("?", "s"):
            assert len(observer.talk.say(typed).strip()) > 20, (asked, typed)
            assert observer.question == asked
        observer.answer()


def test_enough_ends_the_questions_and_says_what_was_not_looked_at(observer: Observer) -> None:
    observer.until("bead_surface")
    observer.answer()
    shown = observer.talk.say("e")
    assert observer.advised
    assert "A little collector is left in the bead" in shown
    assert "Not answered, and could still change this advice: " in flat(observer.talk.say(ANSWERS))


def test_knowing_nothing_ends_with_what_to_find_out_and_no_fire(
    quick: Preloaded, program: Program, diagnosing: RuleBase
) -> None:
    with looking(quick, program, diagnosing, seen={"look_at": "bead"}) as person:
        person.to_the_end()
        assert person.talk.status == STOP
        assert "NO HEAT YET. KEEP IT COLD, AND LOOK." in flat(person.page)


# Leaving and going on


@pytest.mark.parametrize("way", ["ctrl-c", "ctrl-d", "q"])
def test_leaving_is_clean_and_keeps_the_answers(observer: Observer, way: str) -> None:
    observer.until("bead_underside")
    given = observer.kept().answers
    shown = observer.talk.press(way[-1]) if way.startswith("ctrl") else observer.talk.say(way)
    assert observer.talk.ended
    assert crash(shown) == ""
    assert "advisor diagnose --resume" in flat(shown)
    assert observer.talk.status == LEFT
    assert observer.kept().answers == given


def test_going_on_asks_nothing_again_and_still_has_the_plan(
    quick: Preloaded, program: Program, diagnosing: RuleBase
) -> None:
    with looking(quick, program, diagnosing) as before:
        asked = before.until("bead_underside").asked
        before.talk.press("c")
    with Observer(quick.talk(program, "--resume", command="diagnose"), diagnosing, MATT_BEAD) as after:
        assert "Going on with" in after.talk.shown
        assert after.question == "bead_underside"
        after.to_the_advice()
        assert not set(asked) & set(after.asked)
        assert "instead of: " in after.talk.say(WHOLE), "the plan of the batch was lost"
        after.talk.say(LEAVE)
        assert after.talk.status == DONE


def test_leaving_before_any_answer_keeps_what_the_plan_answers(observer: Observer) -> None:
    shown = observer.talk.press("c")
    assert crash(shown) == ""
    assert observer.talk.status == LEFT


def test_going_on_without_anything_kept_is_refused_with_a_sentence(quick: Preloaded, program: Program) -> None:
    result = quick.run("diagnose", "--resume", at=program)
    assert (result.status, result.out) == (BAD_INPUT, "")
    assert "there is no consultation in" in result.err
    assert "advisor diagnose" in result.err
    assert not program.home.exists()


def test_an_unfinished_route_is_no_unfinished_diagnosis(quick: Preloaded, program: Program, shipped: RuleBase) -> None:
    with Operator(quick.talk(program), shipped) as person:
        person.answer()
        person.talk.press("c")
    assert (program.home / "unfinished-route.yaml").is_file()
    assert quick.run("diagnose", "--resume", at=program).status == BAD_INPUT


def test_answers_can_be_kept_in_a_file_of_ones_own_and_are_never_written_over(
    quick: Preloaded, program: Program, diagnosing: RuleBase
) -> None:
    mine = program.folder / "bead 7.yaml"
    with looking(quick, program, diagnosing, "--save", mine) as before:
        before.until("bead_underside")
        shown = before.talk.press("d")
    (named,) = [line for line in shown.splitlines() if "--resume" in line]
    content = mine.read_bytes()
    refused = quick.run("diagnose", "--save", mine, at=program)
    assert (refused.status, refused.out) == (BAD_INPUT, "")
    assert "bead 7.yaml exists already" in refused.err
    assert mine.read_bytes() == content
    again = shlex.split(named.split("advisor diagnose", 1)[1])
    with Observer(quick.talk(program, *again, command="diagnose"), diagnosing, MATT_BEAD) as after:
        assert after.question == "bead_underside"
        after.to_the_end()
        assert after.talk.status == DONE
    assert not program.home.exists()


def test_a_new_diagnosis_puts_an_unfinished_one_aside_and_says_how_to_go_on_with_it(
    quick: Preloaded, program: Program, diagnosing: RuleBase
) -> None:
    with looking(quick, program, diagnosing) as before:
        before.until("bead_underside")
        given = before.kept().answers
        before.talk.press("d")
    with looking(quick, program, diagnosing) as after:
        after.talk.say("n")
        (named,) = [line for line in after.talk.shown.splitlines() if "advisor diagnose --save" in line]
        after.answer()
        aside = shlex.split(named.split("advisor diagnose", 1)[1])
        assert after.kept(Path(aside[1])).answers == given
    with Observer(quick.talk(program, *aside, command="diagnose"), diagnosing, MATT_BEAD) as again:
        assert again.question == "bead_underside"


# The plan of the last consultation


def last_route(program: Program) -> Path:
    """The answers of a finished route consultation, where the program keeps them."""
    program.home.mkdir(exist_ok=True)
    path = program.home / "last-route.yaml"
    path.write_text(as_yaml(PLAN, title="Invented lot 8"), encoding="utf-8")
    return path


@pytest.mark.parametrize("typed", ["1", "YES"])
def test_the_last_plan_is_taken_when_the_piece_comes_from_it(
    quick: Preloaded, program: Program, diagnosing: RuleBase, typed: str
) -> None:
    path = last_route(program)
    with Observer(quick.talk(program, command="diagnose"), diagnosing, MATT_BEAD) as person:
        assert "Does what you look at come from that batch?" in person.talk.shown
        assert "Type 1 for yes or 2 for no" in person.talk.say("perhaps")
        person.talk.say(typed)
        assert "The plan answers" in person.talk.shown
        person.to_the_end()
        assert not set(person.asked) & set(PLAN)
        assert person.kept(program.home / "last-diagnose.yaml").title == "Invented lot 8"
        assert person.kept(program.home / "last-diagnose.yaml").plan == path


@pytest.mark.parametrize("typed", ["2", "No"])
def test_the_last_plan_is_left_alone_when_the_piece_is_another(
    quick: Preloaded, program: Program, diagnosing: RuleBase, typed: str
) -> None:
    last_route(program)
    with Observer(quick.talk(program, command="diagnose"), diagnosing, MATT_BEAD) as person:
        person.talk.say(typed)
        assert "The plan answers" not in person.talk.shown
        assert person.question == "look_at"
        person.answer()
        assert person.kept().plan is None
        assert list(person.kept().answers) == ["look_at"]


def test_nothing_is_offered_where_there_is_no_plan(quick: Preloaded, program: Program, diagnosing: RuleBase) -> None:
    with Observer(quick.talk(program, command="diagnose"), diagnosing, MATT_BEAD) as person:
        assert "Does what you look at come from that batch?" not in person.talk.shown
        assert person.question == "look_at"


# On to the next batch


def test_only_the_gold_room_goes_into_the_plan_of_the_next_batch(
    quick: Preloaded, program: Program, diagnosing: RuleBase, shipped: RuleBase
) -> None:
    with looking(quick, program, diagnosing) as person:
        person.to_the_advice()
        assert "8 next batch" in person.talk.shown
        assert "The next batch: your gold room is taken over, and the lot is asked anew." in flat(person.talk.say(NEXT))
        through_the_room(person.talk, shipped)
        route = Operator(person.talk, shipped).to_the_advice()
        belongs = {shipped.facts[name].entry.belongs_to for name in route.asked}
        assert "lot" in belongs
        assert {"batch_mass", "mercury_history", "sulphide_minerals"} <= set(route.asked)
        assert not [name for name in route.asked if shipped.facts[name].entry.belongs_to != "lot" and name in PLAN]
        assert "HOW HOT, HOW LONG" in route.page
        assert read_batch(program.home / "last-route.yaml", shipped).title == "next after Invented lot 7"
        next_batch = flat(section(route.page, "FOR THE NEXT BATCH"))
        assert re.search(r"this batch \d[^;]* g[^;]*; next time \d.* g", next_batch)


def person_answers(program: Program, rule_base: RuleBase) -> dict[str, Any]:
    """The answers of the route consultation that was finished last."""
    return dict(read_batch(program.home / "last-route.yaml", rule_base).answers)


def test_a_wrong_route_leads_into_the_route_consultation_with_what_is_known_now(
    quick: Preloaded, program: Program, diagnosing: RuleBase, shipped: RuleBase
) -> None:
    with looking(quick, program, diagnosing, seen=SPEISS) as person:
        person.to_the_advice()
        wrong = "The route itself was wrong: it is chosen again for this lot, with what is known now."
        assert wrong in flat(person.talk.say(NEXT))
        through_the_room(person.talk, shipped)
        shown = person.talk.shown
        while not person.talk.ended:
            shown = person.talk.say("n" if "about your gold room" in shown else "u")
        assert person.talk.status == STOP
        assert "STOP, LIGHT NO FIRE" in shown
    assert person_answers(program, shipped)["arsenic_signs"] is True


def test_without_a_plan_the_route_is_asked_from_what_the_diagnosis_knows(
    quick: Preloaded, program: Program, diagnosing: RuleBase, shipped: RuleBase
) -> None:
    seen = {**SPEISS, "mercury_history": "never", "mercury_signs": "no", "work_done": "smelt_iron"}
    with Observer(quick.talk(program, command="diagnose"), diagnosing, seen) as person:
        person.to_the_advice()
        person.talk.say(NEXT)
        through_the_room(person.talk, shipped)
        route = Operator(person.talk, shipped)
        while not route.talk.ended and not route.advised:
            assert route.question not in person.asked
            route.answer()
        if not person.talk.ended:
            person.talk.say(LEAVE)
        assert person.talk.status in (DONE, STOP)
    assert person_answers(program, shipped)["arsenic_signs"] is True


def test_the_next_plan_can_be_declined(observer: Observer) -> None:
    observer.to_the_advice()
    observer.talk.say("perhaps")
    assert observer.advised
    observer.talk.say(LEAVE)
    assert observer.talk.ended
    assert observer.talk.status == DONE
    assert not (observer.talk.program.home / "last-route.yaml").exists()


def test_ctrl_c_at_the_offer_ends_with_the_diagnosis(observer: Observer) -> None:
    observer.to_the_advice()
    shown = observer.talk.press("c")
    assert crash(shown) == ""
    assert observer.talk.status == DONE


# Without a terminal


def typed_lines(facts: list[str]) -> str:
    """What would be typed for these facts, one a line."""
    return "\n".join(str(MATT_BEAD.get(name, "u")) for name in facts) + "\n"


def test_in_json_the_document_alone_goes_to_standard_output(
    finished: Observer, quick: Preloaded, program: Program
) -> None:
    options = ("--plan", planned(program), "--json")
    result = quick.run("diagnose", *options, stdin=typed_lines(finished.asked), at=program)
    assert result.status == DONE
    assert result.json["document"] == "diagnosis"
    assert result.json["remedy"]["chosen"] == "recupel_bismuth"
    assert "Understood: " in result.err
    assert crash(result.err) == ""


def test_answers_that_run_out_leave_with_status_4(finished: Observer, quick: Preloaded, program: Program) -> None:
    options = ("--plan", planned(program))
    result = quick.run("diagnose", *options, stdin=typed_lines(finished.asked[:3]), at=program)
    assert result.status == LEFT
    assert crash(result.err) == ""
    kept = read_batch(program.home / "unfinished-diagnose.yaml", finished.rule_base)
    assert set(finished.asked[:3]) <= set(kept.answers)


def test_a_title_is_shown_as_it_is_and_never_obeyed(quick: Preloaded, program: Program, diagnosing: RuleBase) -> None:
    with looking(quick, program, diagnosing, "--title", HOSTILE, TERM="dumb") as person:
        person.to_the_advice()
        assert "[red]x[/red] [bold] :bomb:" in person.talk.say(WHOLE)
        assert control_characters(person.talk.raw_everything.replace("\r", "")) == []


def test_a_diagnosis_writes_only_its_own_file_and_calls_nobody(program: Program, tmp_path: Path) -> None:
    cache = tmp_path / "own-cache"
    result, seen = watched(program, tmp_path, "diagnose", "--plan", planned(program), ADVISOR_CACHE=str(cache))
    assert result.status == LEFT
    assert [line for line in seen if line.startswith("call ")] == []
    written = [Path(line.removeprefix("write ")) for line in seen if line.startswith("write ")]
    allowed = (program.home, cache, Path("/dev/null"))
    assert [path for path in written if not any(path.is_relative_to(folder) for folder in allowed)] == []
