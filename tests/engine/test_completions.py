"""Drawn completions fit the answers and what follows from them, and are the same every time."""

from __future__ import annotations

from random import Random

import pytest

from advisor.engine import state_of
from advisor.engine.ask.completions import POOL, agreeing, completion_in, outlook_of, pool_block
from advisor.engine.ask.contested import free_variables
from advisor.rulebase.model import RuleBase
from tests.engine.completing import value_of
from tests.engine.drawn_bases import drawn_base
from tests.engine.law_draws import consistent, drawn_truth, some_answers


@pytest.mark.parametrize("seed", range(12))
def test_no_drawn_completion_contradicts_the_answers(seed: int) -> None:
    random = Random(seed)
    rule_base = drawn_base(random)
    answers = some_answers(drawn_truth(rule_base, random, harmless=False), random, 0.4)
    if not consistent(rule_base, answers):
        return
    state = state_of(rule_base, answers)
    block = pool_block(outlook_of(rule_base), state, free_variables(rule_base, answers, state))
    assert agreeing(outlook_of(rule_base), block, block.columns) == block.valid
    for place in range(0, POOL, 16):
        if block.valid >> place & 1:
            domain = {**dict(enumerate(state)), **completion_in(block, 1 << place)}
            unasked = [fact for fact in rule_base.facts.values() if fact.name not in answers]
            whole = {**answers, **{fact.name: value_of(rule_base, fact, domain) for fact in unasked}}
            after = state_of(rule_base, whole)
            assert all(after[v] == domain[v] for fact in unasked for v in fact.variables)


def test_the_same_completions_are_drawn_for_equal_rule_bases(shipped: RuleBase) -> None:
    state = state_of(shipped, {})
    free = free_variables(shipped, {}, state)
    one, two = (pool_block(outlook_of(shipped), state, free) for _ in range(2))
    assert one.columns == two.columns
    assert one.valid.bit_count() > POOL // 2
