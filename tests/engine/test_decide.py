"""How a decision is taken from arguments, compared with the plainest calculation."""

from __future__ import annotations

from random import Random

import pytest

from advisor.engine import state_of
from advisor.engine.conclude import prepared_for_one
from advisor.engine.decide import cautious_choice, tally_of
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
    return [random.choice(list(single_cells(domain))) for domain in state]


@pytest.mark.parametrize("block", range(4))
def test_in_every_completion_the_plain_winner_is_among_the_possible_options(block: int) -> None:
    for seed in range(12):
        random = Random(f"{block}-{seed}")
        rule_base = drawn_base(random)
        state = drawn_state(rule_base, random)
        for prepared in prepared_for_one(rule_base).values() if state is not None else ():
            possible = tally_of(prepared, state).possible()
            for _ in range(20):
                whole = completed(state, random)
                winner = prepared.decision.options.index(plain_winner(prepared.decision, whole))
                assert possible >> winner & 1
                tally = tally_of(prepared, whole)
                assert cautious_choice(tally, tally.support()) == winner
                if set(prepared.decision.entry.tie_order) == set(prepared.decision.options):
                    assert tally.possible() == 1 << winner


@pytest.mark.parametrize("block", range(2))
def test_following_a_changed_state_is_the_same_as_working_it_out_anew(block: int) -> None:
    for seed in range(12):
        random = Random(f"{block}-{seed}")
        rule_base = drawn_base(random)
        state = drawn_state(rule_base, random)
        for prepared in prepared_for_one(rule_base).values() if state is not None else ():
            other = list(state)
            moved = random.sample(range(len(state)), 3)
            for variable in moved:
                other[variable] = random.choice(list(single_cells(rule_base.variables[variable].full)))
            followed, anew = tally_of(prepared, state).after(moved, other), tally_of(prepared, other)
            assert followed.support() == anew.support()
            assert followed.possible() == anew.possible()
            assert followed.surely_out == anew.surely_out


def test_an_open_ruling_leaves_an_option_possible_but_is_never_taken() -> None:
    rules = compiled()
    tally = tally_of(prepared_for_one(rules)["route"], state_of(rules, {}))
    melt = tally.prepared.decision.options.index("melt")
    assert tally.ruled_out(melt) == OPEN
    assert tally.possible() >> melt & 1
    assert cautious_choice(tally, tally.support()) != melt


def test_what_stays_open_for_good_counts_as_in_the_advice() -> None:
    rules = compiled()
    (wet,) = rules.facts["wet"].variables
    state = state_of(rules, {})
    tally = tally_of(prepared_for_one(rules)["route"], state, frozenset({wet}))
    melt = tally.prepared.decision.options.index("melt")
    assert tally.ruled_out(melt) == HOLDS
    assert not tally.possible() >> melt & 1
    dry = tally_of(prepared_for_one(rules)["route"], state_of(rules, {"wet": False}), frozenset({wet}))
    assert dry.ruled_out(melt) == FAILS


def test_support_about_one_amount_is_never_added_up_over_its_cells() -> None:
    rules = compiled()
    roast = rules.decisions["route"].options.index("roast")
    tally = tally_of(prepared_for_one(rules)["route"], state_of(rules, {}))
    assert tally.support()[roast] == (0, 8)


def test_what_speaks_about_an_amount_that_stays_unknown_gives_each_option_the_least() -> None:
    rules = compiled()
    (share,) = rules.facts["share"].variables
    prepared, state = prepared_for_one(rules)["route"], state_of(rules, {"wet": False})
    melt, roast = (prepared.decision.options.index(option) for option in ("melt", "roast"))
    assert tally_of(prepared, state).possible() == 1 << melt | 1 << roast
    assert tally_of(prepared, state, frozenset({share})).possible() == 1 << melt
