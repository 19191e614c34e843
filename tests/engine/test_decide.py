"""How a decision is taken from arguments, compared with the plainest reckoning."""

from __future__ import annotations

from random import Random

import pytest

from advisor.engine import state_of
from advisor.engine.conclude import weights_of
from advisor.engine.decide import cautious_choice, standing
from advisor.rulebase.language.conditions import FAILS, HOLDS, OPEN, single_cells
from advisor.rulebase.model import Decision, RuleBase
from tests.engine.drawn_bases import drawn_base
from tests.engine.law_draws import consistent, drawn_truth, some_answers
from tests.rulebase.small_base import compiled


def plain_winner(decision: Decision, state: list[int]) -> str:
    """The option taken when nothing is open."""
    out: set[str] = set()
    support = {option: decision.entry.options[option].base for option in decision.options}
    for argument in decision.arguments:
        if argument.condition.truth(state) == HOLDS:
            if argument.entry.says == "rule_out":
                out |= set(argument.options)
            elif argument.entry.says == "require":
                out |= set(decision.options) - set(argument.options)
            for option in argument.options:
                support[option] += argument.weight
    left = [option for option in decision.options if option not in out] or [decision.fallback]
    order = decision.entry.tie_order
    rank = {option: order.index(option) if option in order else len(order) for option in decision.options}
    return min(left, key=lambda option: (-support[option], rank[option], decision.options.index(option)))


def drawn_state(rule_base: RuleBase, random: Random) -> list[int] | None:
    answers = some_answers(drawn_truth(rule_base, random, harmless=False), random, random.random())
    return state_of(rule_base, answers) if consistent(rule_base, answers) else None


def completed(state: list[int], random: Random) -> list[int]:
    return [random.choice(list(single_cells(cells))) for cells in state]


@pytest.mark.parametrize("block", range(4))
def test_in_every_completion_the_plain_winner_is_among_the_possible_options(block: int) -> None:
    for seed in range(12):
        random = Random(f"{block}-{seed}")
        rule_base = drawn_base(random)
        state = drawn_state(rule_base, random)
        for weights in weights_of(rule_base).values() if state is not None else ():
            possible = standing(weights, state).possible()
            for _ in range(20):
                whole = completed(state, random)
                winner = weights.decision.options.index(plain_winner(weights.decision, whole))
                assert possible >> winner & 1
                stand = standing(weights, whole)
                assert cautious_choice(stand, stand.support()) == winner
                if set(weights.decision.entry.tie_order) == set(weights.decision.options):
                    assert stand.possible() == 1 << winner


@pytest.mark.parametrize("block", range(2))
def test_following_a_changed_state_is_the_same_as_working_it_out_anew(block: int) -> None:
    for seed in range(12):
        random = Random(f"{block}-{seed}")
        rule_base = drawn_base(random)
        state = drawn_state(rule_base, random)
        for weights in weights_of(rule_base).values() if state is not None else ():
            other = list(state)
            moved = random.sample(range(len(state)), 3)
            for variable in moved:
                other[variable] = random.choice(list(single_cells(rule_base.variables[variable].full)))
            followed, anew = standing(weights, state).after(moved, other), standing(weights, other)
            assert followed.support() == anew.support()
            assert followed.possible() == anew.possible()
            assert followed.surely_out == anew.surely_out


def test_an_open_ruling_leaves_an_option_possible_but_is_never_taken() -> None:
    rules = compiled()
    stand = standing(weights_of(rules)["route"], state_of(rules, {}))
    melt = stand.weights.decision.options.index("melt")
    assert stand.ruled_out(melt) == OPEN
    assert stand.possible() >> melt & 1
    assert cautious_choice(stand, stand.support()) != melt


def test_what_stays_open_for_good_counts_as_in_the_advice() -> None:
    rules = compiled()
    (wet,) = rules.facts["wet"].variables
    state = state_of(rules, {})
    stand = standing(weights_of(rules)["route"], state, frozenset({wet}))
    melt = stand.weights.decision.options.index("melt")
    assert stand.ruled_out(melt) == HOLDS
    assert not stand.possible() >> melt & 1
    dry = standing(weights_of(rules)["route"], state_of(rules, {"wet": False}), frozenset({wet}))
    assert dry.ruled_out(melt) == FAILS


def test_support_about_one_amount_is_never_added_up_over_its_cells() -> None:
    rules = compiled()
    roast = rules.decisions["route"].options.index("roast")
    stand = standing(weights_of(rules)["route"], state_of(rules, {}))
    assert stand.support()[roast] == (0, 8)
