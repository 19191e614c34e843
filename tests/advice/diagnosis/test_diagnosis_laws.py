"""Laws of the diagnosis, on the shipped rules and over drawn observations."""

from __future__ import annotations

from random import Random

import pytest
from hypothesis import HealthCheck, assume, given, settings

from advisor.engine.ask.questions import next_question
from advisor.engine.conclude import Conclusions, conclude, prepared_decisions
from advisor.engine.state import ContradictionError, NotKnown, state_of
from advisor.rulebase.compiling.inherited_constraints import like_work
from advisor.rulebase.language.conditions import FAILS, HOLDS
from advisor.rulebase.model import RuleBase, Value
from advisor.rulebase.reading.expand_causes import CAUSE, LOOKED_AT, REMEDY
from advisor.training.drills.textbook import answers_from, satisfying
from tests.engine.law_draws import drawn_truth, randoms, some_answers

many = settings(max_examples=120, deadline=None, suppress_health_check=list(HealthCheck))
few = settings(max_examples=25, deadline=None, suppress_health_check=list(HealthCheck))


def drawn(diagnosing: RuleBase, random: Random) -> dict[str, Value | NotKnown]:
    """Some answers, most of them with work allowed in the place, that do not contradict each other."""
    truth = drawn_truth(diagnosing, random, harmless=random.random() < 0.8)
    answers = some_answers(truth, random, known=random.random(), unknown=0.1)
    try:
        state_of(diagnosing, answers)
    except ContradictionError:
        assume(False)
    return answers


@many
@given(random=randoms)
def test_an_observation_that_a_cause_predicts_never_lowers_it(diagnosing: RuleBase, random: Random) -> None:
    answers = drawn(diagnosing, random)
    before = conclude(diagnosing, answers)
    prepared = prepared_decisions(diagnosing).for_several[CAUSE]
    stage = before.answers.get(LOOKED_AT)
    names = [n for n, c in diagnosing.causes.items() if not isinstance(stage, str) or stage in c.entry.stages]
    assume(names)
    name = random.choice(names)
    sign = random.choice([argument for argument in prepared[name].speaking if argument.weight > 0])
    found = satisfying(sign.condition, list(before.state), diagnosing)
    assume(found is not None)
    assert found is not None
    seen = {n: v for n, v in answers_from(diagnosing, found).items() if isinstance(answers.get(n), NotKnown | None)}
    try:
        after = conclude(diagnosing, {**answers, **seen})
    except ContradictionError:
        assume(False)
    assume(sign.condition.truth(after.state) == HOLDS)
    was, now = before.several[CAUSE].supports[name], after.several[CAUSE].supports[name]
    assert now.now >= was.now, (name, sign.id, seen)
    assert now.out <= was.out or was.out != FAILS, (name, sign.id, seen)


@many
@given(random=randoms)
def test_no_correction_is_chosen_whose_hazard_the_place_cannot_control(diagnosing: RuleBase, random: Random) -> None:
    """Whatever the route rules forbid here for danger or for want of means, seen with the piece, is not advised."""
    conclusions = conclude(diagnosing, drawn(diagnosing, random))
    outcome = conclusions.outcomes[REMEDY]
    option = outcome.decision.entry.options[outcome.chosen]
    hot = [name for name, like in option.works_like.items() if like not in ("stop", "send_out", "none")]
    state = like_work(diagnosing, option).state(conclusions.state)
    for name in hot:
        decision = diagnosing.decisions[name]
        possible = [o for place, o in enumerate(decision.options) if state[decision.variable] >> place & 1]
        for argument in decision.arguments:
            if argument.entry.kind == "worth":
                continue
            struck = {
                "rule_out": set(argument.options),
                "require": set(decision.options) - set(argument.options),
            }.get(argument.entry.says, set())
            if struck & set(possible):
                assert argument.condition.truth(state) == FAILS, (outcome.chosen, argument.id)


@many
@given(random=randoms)
def test_what_is_clear_stays_clear_when_more_is_seen(diagnosing: RuleBase, random: Random) -> None:
    truth = drawn_truth(diagnosing, random, harmless=True)
    fewer = some_answers(truth, random, known=0.5)
    try:
        before, after = conclude(diagnosing, fewer), conclude(diagnosing, truth)
    except ContradictionError:
        assume(False)
    for name, support in before.several[CAUSE].supports.items():
        full = after.several[CAUSE].supports[name]
        assert support.low <= full.now <= support.high or HOLDS in (support.out, full.out), name
        if support.domain(8) == 2:
            assert full.domain(8) == 2, name


def plain_support(conclusions: Conclusions, cause: str) -> int:
    """The support of a cause reckoned in the plainest way."""
    rule_base = conclusions.rule_base
    speaking = [a for a in rule_base.decisions[CAUSE].arguments if a.options == (cause,)]
    holding = [a.weight for a in speaking if a.condition.truth(conclusions.state) == HOLDS]
    return rule_base.causes[cause].entry.base + sum(holding)


@many
@given(random=randoms)
def test_the_plainest_reckoning_gives_the_same_support(diagnosing: RuleBase, random: Random) -> None:
    conclusions = conclude(diagnosing, drawn(diagnosing, random))
    for name, support in conclusions.several[CAUSE].supports.items():
        if support.out != HOLDS:
            assert support.now == plain_support(conclusions, name)


@few
@given(random=randoms)
def test_a_conversation_ends_and_asks_nothing_twice_or_before_its_time(diagnosing: RuleBase, random: Random) -> None:
    truth = drawn_truth(diagnosing, random, harmless=random.random() < 0.7)
    answers: dict[str, Value | NotKnown] = {}
    for _ in range(len(diagnosing.facts) + 1):
        try:
            conclusions = conclude(diagnosing, answers)
        except ContradictionError:
            assume(False)
        question = next_question(conclusions)
        if question is None:
            break
        assert question.fact not in answers
        ask_if = diagnosing.facts[question.fact].ask_if
        assert ask_if is None or ask_if.truth(conclusions.state) == HOLDS
        answers[question.fact] = truth[question.fact]
    else:
        pytest.fail("the conversation does not end")
