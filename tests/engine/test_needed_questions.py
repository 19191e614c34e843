"""No question is asked that could not have changed the advice, and none is left out that could.

The engine looks at completions many at a time; here they are gone through one by one, in the plainest way.
"""

from __future__ import annotations

from itertools import product
from math import prod
from random import Random
from typing import Any

import pytest

from advisor.engine.ask.completions import completion_in, outlook_of, pool_block
from advisor.engine.ask.questions import needed_names, next_question, open_questions
from advisor.engine.ask.settling import free_variables
from advisor.engine.ask.winners import winners
from advisor.engine.conclude import conclude, weights_of
from advisor.engine.decide import standing
from advisor.engine.state import NOT_KNOWN, NotKnown
from advisor.rulebase.language.conditions import single_cells
from advisor.rulebase.model import RuleBase, Value
from tests.engine.completing import advice_shown, concluded, value_of
from tests.engine.law_draws import consistent, drawn_truth, some_answers

MOST_COMPLETIONS = 220

Written = dict[str, Value | NotKnown]


def truth_of(shipped: RuleBase, random: Random) -> dict[str, Value]:
    truth = drawn_truth(shipped, random, harmless=random.random() < 0.8)
    while not consistent(shipped, truth):
        truth = drawn_truth(shipped, random, harmless=True)
    return truth


def values_of(shipped: RuleBase, name: str) -> list[Value]:
    """One value in each cell of a fact; for a list every set of items."""
    fact, cells = shipped.facts[name], outlook_of(shipped).cells
    choices = product(*(single_cells(cells[variable]) for variable in fact.variables))
    return [value_of(shipped, fact, dict(zip(fact.variables, choice, strict=True))) for choice in choices]


def few_left(shipped: RuleBase, seed: int) -> Written:
    """Answers of a batch that leave few facts open: some of the last that were asked for, and some others."""
    random = Random(seed)
    truth = truth_of(shipped, random)
    answers: Written = {}
    while (question := next_question(conclude(shipped, answers))) is not None:
        answers[question.fact] = truth[question.fact]
    last = list(answers)[::-1]
    others = [name for name in truth if name not in answers]
    random.shuffle(others)
    start = random.randrange(max(1, len(last) - 4))
    left: list[str] = []
    for name in [*last[start : start + 4], *others[:6]]:
        if prod(len(values_of(shipped, n)) for n in [*left, name]) <= MOST_COMPLETIONS:
            left.append(name)
    return {name: value for name, value in truth.items() if name not in left}


def completions_one_by_one(shipped: RuleBase, answers: Written) -> dict[tuple[int, ...], Any]:
    """The advice of every completion that does not contradict itself, by the place of each value given."""
    left = [name for name in shipped.facts if name not in answers]
    found = {}
    choices = [values_of(shipped, name) for name in left]
    for places in product(*(range(len(values)) for values in choices)):
        values = [values[place] for values, place in zip(choices, places, strict=True)]
        conclusions = concluded(shipped, {**answers, **dict(zip(left, values, strict=True))})
        if conclusions is not None:
            found[places] = (advice_shown(conclusions), needed_names(conclusions), conclusions.stops)
    return found


def really_needed(shipped: RuleBase, answers: Written, found: dict[tuple[int, ...], Any]) -> set[str]:
    """The facts that turn the advice of some completion, enter its weights, or decide what enters them."""
    left = [name for name in shipped.facts if name not in answers]
    needed = {name for _, names, stops in found.values() if not stops for name in names if name in left}
    for name in list(needed):
        for implied in shipped.facts[name].implied:
            needed |= {shipped.variables[variable].name for variable in implied.condition.variables} & set(left)
    for place, name in enumerate(left):
        groups: dict[tuple[int, ...], set[Any]] = {}
        for places, (advice, _, _) in found.items():
            groups.setdefault(places[:place] + places[place + 1 :], set()).add(advice)
        if any(len(advices) > 1 for advices in groups.values()):
            needed.add(name)
    return needed


@pytest.mark.parametrize("seed", range(24))
def test_what_is_asked_is_what_going_through_every_completion_finds(shipped: RuleBase, seed: int) -> None:
    answers = few_left(shipped, seed)
    found = completions_one_by_one(shipped, answers)
    needed = really_needed(shipped, answers, found)
    conclusions = conclude(shipped, answers)
    asked = {question.fact for question in open_questions(conclusions)}
    assert asked <= needed
    if not asked:
        assert not needed
        assert {advice for advice, _, _ in found.values()} == {advice_shown(conclusions)}


@pytest.mark.parametrize("seed", range(12))
def test_when_nothing_more_is_asked_every_completion_has_the_same_advice(shipped: RuleBase, seed: int) -> None:
    random = Random(1000 + seed)
    truth = truth_of(shipped, random)
    forgotten = {name for name in truth if random.random() < (0.2 if seed % 3 == 0 else 0.0)}
    answers: Written = {}
    while (question := next_question(conclude(shipped, answers))) is not None:
        answers[question.fact] = NOT_KNOWN if question.fact in forgotten else truth[question.fact]
    asked = advice_shown(conclude(shipped, answers))
    for _ in range(12):
        other = concluded(shipped, {**truth_of(shipped, random), **answers})
        assert other is None or advice_shown(other) == asked


@pytest.mark.parametrize("seed", range(12))
def test_many_completions_at_once_come_to_what_each_comes_to_alone(shipped: RuleBase, seed: int) -> None:
    random = Random(seed)
    answers = some_answers(truth_of(shipped, random), random, 0.6, 0.2 * (seed % 2))
    before = conclude(shipped, answers)
    state = list(before.state)
    for ruling in before.rulings.values():
        state[ruling.decision.variable] = shipped.variables[ruling.decision.variable].full
    weights = weights_of(shipped)["route"]
    block = pool_block(outlook_of(shipped), state, free_variables(shipped, answers, state))
    taken = winners(standing(weights, state), block, range(len(weights.base)))
    for place in random.sample(range(block.valid.bit_length()), 25):
        bit = 1 << place
        if block.valid & bit:
            cells = dict(enumerate(state)) | completion_in(block, bit)
            open_facts = [f for f in shipped.facts.values() if f.name not in answers]
            after = concluded(shipped, {**answers, **{f.name: value_of(shipped, f, cells) for f in open_facts}})
            assert after is not None
            assert [weights.decision.options[o] for o, mask in taken.items() if mask & bit] == [
                after.rulings["route"].chosen
            ]
