"""Laws of the inference, on the shipped rule base and over drawn batches."""

from __future__ import annotations

from random import Random

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from advisor.advice.build_advice import build_advice
from advisor.document import json_text
from advisor.engine.ask.questions import next_question
from advisor.engine.conclude import conclude
from advisor.engine.state import NOT_KNOWN, ContradictionError
from advisor.rulebase.language.conditions import HOLDS
from advisor.rulebase.model import Decision, RuleBase, Value
from tests.engine.drawn_bases import drawn_base
from tests.engine.law_draws import consistent, drawn_truth, randoms, some_answers

many = settings(max_examples=150, deadline=None, suppress_health_check=list(HealthCheck))
few = settings(max_examples=12, deadline=None, suppress_health_check=list(HealthCheck))


def truth_for(shipped: RuleBase, random: Random) -> dict[str, Value]:
    truth = drawn_truth(shipped, random, harmless=random.random() < 0.8)
    while not consistent(shipped, truth):
        truth = drawn_truth(shipped, random, harmless=True)
    return truth


def plain_winner(decision: Decision, state: tuple[int, ...]) -> str:
    """The winner when nothing is open, reckoned in the plainest way as a check on the fast one."""
    out: set[str] = set()
    support = {option: decision.entry.options[option].base for option in decision.options}
    for argument in decision.arguments:
        if argument.condition.truth(state) != HOLDS:
            continue
        if argument.entry.says == "rule_out":
            out |= set(argument.options)
        elif argument.entry.says == "require":
            out |= set(decision.options) - set(argument.options)
        else:
            for option in argument.options:
                support[option] += argument.weight
    left = [option for option in decision.options if option not in out] or [decision.entry.fallback]
    best = max(support[option] for option in left)
    tied = [option for option in left if support[option] == best]
    order = decision.entry.tie_order
    return min(tied, key=lambda option: order.index(option) if option in order else len(order))


@many
@given(random=randoms)
def test_with_every_fact_known_the_plainest_reckoning_decides_the_same(shipped: RuleBase, random: Random) -> None:
    conclusions = conclude(shipped, truth_for(shipped, random))
    for outcome in conclusions.outcomes.values():
        assert outcome.chosen == plain_winner(outcome.decision, conclusions.state)
        assert outcome.settled


@many
@given(random=randoms, known=st.floats(0, 1))
def test_a_settled_decision_is_the_same_for_every_way_of_answering_the_rest(
    shipped: RuleBase, random: Random, known: float
) -> None:
    truth = truth_for(shipped, random)
    before = conclude(shipped, some_answers(truth, random, known))
    after = conclude(shipped, truth)
    for name, outcome in before.outcomes.items():
        if outcome.settled:
            assert after.outcomes[name].chosen == outcome.chosen


@many
@given(random=randoms, known=st.floats(0, 1))
def test_the_winner_of_the_whole_truth_was_always_among_the_possible_ones(
    shipped: RuleBase, random: Random, known: float
) -> None:
    truth = truth_for(shipped, random)
    before = conclude(shipped, some_answers(truth, random, known))
    after = conclude(shipped, truth)
    for name, outcome in before.outcomes.items():
        place = outcome.decision.options.index(after.outcomes[name].chosen)
        assert outcome.possible >> place & 1


def one_more_answered(rule_base: RuleBase, random: Random, known: float) -> None:
    """Every decision, and every fact, is at least as settled after one more answer."""
    truth = truth_for(rule_base, random)
    answers = some_answers(truth, random, known)
    before = conclude(rule_base, answers)
    missing = [name for name in truth if name not in answers]
    if not missing:
        return
    name = random.choice(missing)
    after = conclude(rule_base, {**answers, name: truth[name]})
    assert all(now & ~then == 0 for now, then in zip(after.open_state, before.open_state, strict=True))
    for decision, outcome in before.outcomes.items():
        assert after.outcomes[decision].possible & ~outcome.possible == 0
        if outcome.settled:
            assert after.outcomes[decision].settled
            assert after.outcomes[decision].chosen == outcome.chosen


@many
@given(random=randoms, known=st.floats(0, 1))
def test_one_more_answer_never_unsettles_a_decision(shipped: RuleBase, random: Random, known: float) -> None:
    one_more_answered(shipped, random, known)


@pytest.mark.parametrize("seed", range(20))
def test_nor_does_it_on_drawn_small_rule_bases_where_values_compete_to_follow(seed: int) -> None:
    random = Random(seed)
    rule_base = drawn_base(random)
    for _ in range(30):
        one_more_answered(rule_base, random, random.random())


@many
@given(random=randoms, known=st.floats(0.3, 1))
def test_the_route_taken_in_doubt_is_never_out_by_the_truth(shipped: RuleBase, random: Random, known: float) -> None:
    truth = truth_for(shipped, random)
    in_doubt = conclude(shipped, some_answers(truth, random, known, unknown=1 - known)).outcomes["route"]
    if in_doubt.chosen == in_doubt.decision.entry.fallback:
        return
    place = in_doubt.decision.options.index(in_doubt.chosen)
    known_all = conclude(shipped, truth).outcomes["route"]
    assert not known_all.tally.surely_out[place]


@many
@given(random=randoms, known=st.floats(0.3, 1))
def test_an_unknown_never_removes_a_hazard_that_some_value_of_it_would_attach(
    shipped: RuleBase, random: Random, known: float
) -> None:
    truth = truth_for(shipped, random)
    answers = some_answers(truth, random, known)
    name = random.choice(list(truth))
    unsure = conclude(shipped, {**answers, name: NOT_KNOWN})
    try:
        sure = conclude(shipped, {**answers, name: truth[name]})
    except ContradictionError:
        return
    # The hazards of one and the same work: with the decisions as they come out when the fact is known.
    state = list(unsure.state)
    for outcome in sure.outcomes.values():
        state[outcome.decision.variable] = sure.state[outcome.decision.variable]
    for hazard, compiled in shipped.hazards.items():
        if compiled.condition.truth(sure.state):
            assert compiled.condition.truth(state), hazard
    if {n: r.chosen for n, r in sure.outcomes.items()} == {n: r.chosen for n, r in unsure.outcomes.items()}:
        assert set(sure.hazards()) <= set(unsure.hazards())


@few
@given(random=randoms, known=st.floats(0.3, 1))
def test_the_order_of_the_answers_never_changes_a_byte_of_the_advice(
    shipped: RuleBase, random: Random, known: float
) -> None:
    answers = some_answers(truth_for(shipped, random), random, known, unknown=(1 - known) / 2)
    shuffled = list(answers.items())
    random.shuffle(shuffled)
    first = json_text(build_advice(conclude(shipped, answers)))
    second = json_text(build_advice(conclude(shipped, dict(shuffled))))
    assert first == second


def test_with_nothing_known_the_advice_is_to_stop(shipped: RuleBase) -> None:
    assert conclude(shipped, {}).outcomes["route"].chosen == "stop"


def test_with_every_fact_not_known_the_advice_is_to_stop_and_nothing_is_asked(shipped: RuleBase) -> None:
    conclusions = conclude(shipped, dict.fromkeys(shipped.facts, NOT_KNOWN))
    assert conclusions.stops
    assert next_question(conclusions) is None


@pytest.mark.parametrize("seed", range(5))
def test_the_same_answers_always_give_the_same_bytes(shipped: RuleBase, seed: int) -> None:
    answers = some_answers(truth_for(shipped, Random(seed)), Random(seed), 0.8, 0.1)
    assert json_text(build_advice(conclude(shipped, answers))) == json_text(
        build_advice(conclude(shipped, dict(answers)))
    )


def test_what_was_asked_last_does_not_turn_the_list_of_open_questions(shipped: RuleBase) -> None:
    """The conversation stays with one subject for a while; the document knows of no conversation."""
    random = Random(5595)
    answers = some_answers(truth_for(shipped, random), random, 0.5, unknown=0.25)
    documents = set()
    for _ in range(4):
        shuffled = list(answers.items())
        random.shuffle(shuffled)
        documents.add(json_text(build_advice(conclude(shipped, dict(shuffled)))))
    assert len(documents) == 1
