"""A condition over a block is what it is in each completion by itself."""

from __future__ import annotations

from random import Random

import pytest

from advisor.engine import state_of
from advisor.engine.ask.blocks import MAY, MUST, Block
from advisor.engine.ask.completions import completion_in, outlook_of, pool_block
from advisor.engine.ask.contested import free_variables
from advisor.rulebase.language.conditions import FAILS, HOLDS
from advisor.rulebase.model import RuleBase
from tests.engine.drawn_bases import drawn_base
from tests.engine.law_draws import consistent, drawn_truth, some_answers


def blocks_of(random: Random) -> tuple[RuleBase, Block] | None:
    rule_base = drawn_base(random)
    answers = some_answers(drawn_truth(rule_base, random, harmless=False), random, 0.4, 0.3)
    if not consistent(rule_base, answers):
        return None
    state = state_of(rule_base, answers)
    return rule_base, pool_block(outlook_of(rule_base), state, free_variables(rule_base, answers, state))


@pytest.mark.parametrize("seed", range(15))
def test_a_condition_over_a_block_is_what_it_is_in_each_completion(seed: int) -> None:
    random = Random(seed)
    drawn = blocks_of(random)
    if drawn is None:
        return
    rule_base, block = drawn
    places = [place for place in range(512) if block.valid >> place & 1]
    for argument in rule_base.arguments.values():
        must, may = block.holds(argument.condition, MUST), block.holds(argument.condition, MAY)
        assert must & ~may == 0
        for place in random.sample(places, min(12, len(places))):
            domain = {**dict(enumerate(block.state)), **completion_in(block, 1 << place)}
            truth = argument.condition.truth([domain[v] for v in range(len(block.state))])
            assert (must >> place & 1, may >> place & 1) == (truth == HOLDS, truth != FAILS)


def test_a_variable_put_into_a_cell_is_in_it_in_every_completion() -> None:
    drawn = (blocks_of(Random(seed)) for seed in range(20))
    block = next(block for _, block in filter(None, drawn) if any(len(c) > 1 for c in block.columns.values()))
    variable, column = next((v, c) for v, c in block.columns.items() if len(c) > 1)
    cell = column[0][0]
    put = block.put(variable, cell, block.valid)
    assert put.leaf(variable, cell, MUST) == block.valid
    assert block.leaf(variable, cell, MUST) != block.valid
