"""A question shown to be needed is needed, and what is asked leads to the advice of the whole truth."""

from __future__ import annotations

from random import Random

import pytest

from advisor.engine import NOT_KNOWN, NotKnown, conclude, looks, next_question, open_questions
from advisor.engine.ask.contested import contested_of
from advisor.engine.ask.sample import Turn, sample_of
from advisor.rulebase.model import RuleBase, Value
from advisor.units import Range
from tests.engine.completing import advice_shown, concluded, value_of
from tests.engine.drawn_bases import drawn_base
from tests.engine.law_draws import consistent, drawn_truth, some_answers
from tests.rulebase.small_base import compiled

Written = dict[str, Value | NotKnown]


def truth_of(rule_base: RuleBase, random: Random) -> dict[str, Value]:
    truth = drawn_truth(rule_base, random, harmless=random.random() < 0.8)
    while not consistent(rule_base, truth):
        truth = drawn_truth(rule_base, random, harmless=True)
    return truth


def whole(rule_base: RuleBase, answers: Written, state: tuple[int, ...], turn: Turn, cell: int) -> Written:
    """The answers with every other fact as in the completion, and the turned variable in one of its two cells."""
    domain = {**dict(enumerate(state)), **turn.rest, turn.variable: cell}
    unasked = (fact for fact in rule_base.facts.values() if fact.name not in answers)
    return {**answers, **{fact.name: value_of(rule_base, fact, domain) for fact in unasked}}


def turns_checked(rule_base: RuleBase, random: Random) -> int:
    """Conclude both sides of every turn that is shown for drawn answers; how many there were."""
    answers = some_answers(truth_of(rule_base, random), random, random.random(), random.choice((0.0, 0.15)))
    conclusions = conclude(rule_base, answers)
    name, outcome = next(iter(conclusions.outcomes.items()))
    contested = contested_of(conclusions, outcome)
    if contested.settled:
        return 0
    sample, count = sample_of(rule_base, contested), 0
    for variable in sorted(contested.in_play()):
        for stops in (False, True):
            turn = sample.turn({variable}, stops=stops)
            if turn is not None:
                sides = [
                    concluded(rule_base, whole(rule_base, answers, contested.state, turn, cell))
                    for cell in (turn.first, turn.second)
                ]
                one, other = (side.outcomes[name] for side in sides if side is not None)
                assert one.chosen != other.chosen
                assert not stops or one.stops != other.stops
                count += 1
    return count


@pytest.mark.parametrize("block", range(3))
def test_a_question_shown_to_be_needed_is_needed(block: int) -> None:
    assert sum(turns_checked(drawn_base(Random(f"{block}-{seed}")), Random(seed)) for seed in range(20)) > 10


def consulted(rule_base: RuleBase, truth: dict[str, Value], random: Random | None, forgotten: set[str]) -> Written:
    """Answer every question, in the order of the engine or in any order."""
    answers: Written = {}
    while questions := open_questions(conclude(rule_base, answers)):
        fact = (random.choice(questions) if random else questions[0]).fact
        assert fact not in answers
        answers[fact] = NOT_KNOWN if fact in forgotten else truth[fact]
    return answers


@pytest.mark.parametrize("seed", range(12))
def test_a_consultation_answered_truthfully_ends_with_the_advice_of_the_whole_truth(
    shipped: RuleBase, seed: int
) -> None:
    random = Random(seed)
    truth = truth_of(shipped, random)
    answers = consulted(shipped, truth, random if seed % 2 else None, set())
    assert advice_shown(conclude(shipped, answers)) == advice_shown(conclude(shipped, truth))


@pytest.mark.parametrize("block", range(4))
def test_so_does_one_about_a_drawn_small_rule_base(block: int) -> None:
    for seed in range(15):
        random = Random(f"{block}-{seed}")
        rule_base = drawn_base(random)
        truth = truth_of(rule_base, random)
        answers = consulted(rule_base, truth, random if seed % 2 else None, set())
        assert advice_shown(conclude(rule_base, answers)) == advice_shown(conclude(rule_base, truth)), seed


@pytest.mark.parametrize("block", range(4))
def test_when_nothing_more_is_asked_no_fact_that_was_not_asked_changes_the_advice(block: int) -> None:
    """Also where some answers were that it is not known."""
    for seed in range(15):
        random = Random(f"{block}-{seed}")
        rule_base = drawn_base(random)
        truth = truth_of(rule_base, random)
        forgotten = {name for name in truth if random.random() < 0.3}
        answers = consulted(rule_base, truth, None, forgotten)
        for _ in range(12):
            other = concluded(rule_base, {**truth_of(rule_base, random), **answers})
            assert other is None or advice_shown(other) == advice_shown(conclude(rule_base, answers)), seed


@pytest.mark.parametrize("seed", range(6))
def test_so_it_is_for_a_batch_of_which_some_is_not_known(shipped: RuleBase, seed: int) -> None:
    random = Random(1000 + seed)
    truth = truth_of(shipped, random)
    forgotten = {name for name in truth if random.random() < 0.2}
    answers = consulted(shipped, truth, None, forgotten)
    for _ in range(12):
        other = concluded(shipped, {**truth_of(shipped, random), **answers})
        assert other is None or advice_shown(other) == advice_shown(conclude(shipped, answers))


def test_who_does_not_know_whether_there_was_mercury_lights_nothing_and_is_told_what_to_find_out(
    shipped: RuleBase,
) -> None:
    answers: Written = {}
    while (question := next_question(conclude(shipped, answers))) is not None:
        answers[question.fact] = NOT_KNOWN
    found = conclude(shipped, answers)
    assert (found.stops, found.kind) == (True, "find_out")
    assert [look.fact for look in looks(found)][:3] == ["mercury_history", "mercury_test", "mercury_signs"]


def test_what_a_fact_that_is_not_known_may_still_follow_from_is_asked() -> None:
    rules = compiled(
        "facts:\n  spare: {label: spare pot, group: room, kind: yes_no, ask: Spare?, find_out: Look.,\n"
        "    explain: Invented., implied: [{when: place is none, value: no}]}\n"
        "arguments:\n  - {id: spare-forbids, about: route.melt, says: rule_out, kind: means,\n"
        "     when: spare, reason: Invented.,\n"
        "     source: practice}\n"
    )
    answers: Written = {"wet": False, "share": Range.exact(0.0), "spare": NOT_KNOWN}
    assert conclude(rules, answers).outcomes["route"].chosen != "melt"
    assert "place" in {question.fact for question in open_questions(conclude(rules, answers))}
    assert conclude(rules, {**answers, "place": "none"}).outcomes["route"].chosen == "melt"
