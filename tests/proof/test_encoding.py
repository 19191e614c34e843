"""For one set of answers after another, what the solver computes is what the inference computes."""

from __future__ import annotations

from collections.abc import Mapping
from random import Random

import pytest

from advisor.engine.conclude import conclude_state
from advisor.engine.state import NOT_KNOWN, Answers, NotKnown, full_domains, state_of
from advisor.proof.search import oracle
from advisor.proof.search.decoding import answers_found
from advisor.proof.space.logic import Bit, Logic
from advisor.proof.space.world import World
from advisor.rulebase.language.conditions import single_cells
from advisor.rulebase.model import RuleBase
from advisor.rulebase.values import domains_of_value
from tests.proof.drawn_answers import case_states, drawn_full, drawn_partial, drawn_with_computed
from tests.proof.generated import generated


def given_state(rule_base: RuleBase, answers: Answers) -> list[int]:
    """What the answers leave possible, before anything follows from them."""
    state = rule_base.full_state
    for fact in rule_base.facts.values():
        answer = answers.get(fact.name, NOT_KNOWN)
        known = full_domains(rule_base, fact)
        if not isinstance(answer, NotKnown):
            known = domains_of_value(fact, answer, rule_base.variables)
        for variable, domain in known:
            state[variable] = domain
    return state


def pinned(world: World, state: list[int]) -> list[Bit]:
    """Bits that hold for exactly these cells."""
    bits = []
    for fact in world.rule_base.facts.values():
        for variable, full in full_domains(world.rule_base, fact):
            for cell in single_cells(full):
                bit = world.space.given[variable][cell.bit_length() - 1]
                bits.append(bit if state[variable] & cell else world.logic.opposite(bit))
    return bits


def agrees(world: World, parts: Mapping[str, Bit], answers: Answers, given: list[int], state: list[int]) -> set[str]:
    """Asserts that solver and inference agree; returns what was in the advice."""
    assert world.logic.possible(*pinned(world, given)), answers
    there = {name for name, bit in parts.items() if world.logic.truth(bit)}
    expected = set(oracle.outcome(conclude_state(world.rule_base, answers, state)))
    assert there == expected, (there ^ expected, answers)
    assert given_state(world.rule_base, answers_found(world.space)) == given
    return there


@pytest.mark.parametrize("partial", [False, True], ids=["full", "partial"])
def test_on_the_shipped_rules(shipped: RuleBase, partial: bool) -> None:
    random, near = Random(1), case_states(shipped)
    world = World(Logic(), shipped, partial=partial)
    parts = dict(world.outcome())
    seen: set[str] = set()
    for _ in range(120):
        answers: Answers = {}
        if partial:
            answers = drawn_with_computed(shipped, random, random.choice((0.8, 0.97, 1.0, 1.0)), near)
            given, state = given_state(shipped, answers), state_of(shipped, answers)
        else:
            given = state = drawn_full(shipped, random, near)
        seen |= agrees(world, parts, answers, given, state)
    assert sum(name.startswith("route.") for name in seen) >= (5 if partial else 7)


@pytest.mark.parametrize("partial", [False, True], ids=["full", "partial"])
def test_on_the_shipped_diagnosis(diagnosing: RuleBase, partial: bool) -> None:
    random, near = Random(2), case_states(diagnosing)
    world = World(Logic(), diagnosing, partial=partial)
    parts = dict(world.outcome())
    seen: set[str] = set()
    for _ in range(20):
        answers: Answers = {}
        if partial:
            answers = drawn_with_computed(diagnosing, random, random.choice((0.95, 1.0, 1.0)), near)
        state = state_of(diagnosing, answers) if partial else drawn_full(diagnosing, random, near)
        seen |= agrees(world, parts, answers, given_state(diagnosing, answers) if partial else state, state)
    assert sum(name.startswith("remedy.") for name in seen) >= (3 if partial else 5)
    assert sum(name.startswith("cause.") for name in seen) >= 20


@pytest.mark.parametrize("seed", range(8))
@pytest.mark.parametrize("partial", [False, True], ids=["full", "partial"])
def test_on_made_up_rules(seed: int, partial: bool) -> None:
    rule_base = generated(60, seed, facts=9, decisions=3, options=4, wild=0.5, ordered=seed % 2 == 0, implied=6)
    random = Random(seed)
    world = World(Logic(), rule_base, partial=partial)
    parts = dict(world.outcome())
    for _ in range(25):
        answers: Answers = drawn_partial(rule_base, random, random.random()) if partial else {}
        state = state_of(rule_base, answers) if partial else drawn_full(rule_base, random)
        given = given_state(rule_base, answers) if partial else state
        agrees(world, parts, answers, given, state)


def test_a_condition_with_too_many_combinations_stays_open_as_in_the_inference(monkeypatch: pytest.MonkeyPatch) -> None:
    from advisor.proof.space import truths
    from advisor.rulebase.language import conditions

    monkeypatch.setattr(conditions, "MOST_SPLITS", 3)
    monkeypatch.setattr(truths, "MOST_SPLITS", 3)
    for seed in range(4):
        rule_base = generated(60, seed, facts=6, decisions=2, options=4, implied=0)
        random = Random(seed)
        world = World(Logic(), rule_base, partial=True)
        parts = dict(world.outcome())
        for _ in range(25):
            answers = drawn_partial(rule_base, random, 0.4)
            agrees(world, parts, answers, given_state(rule_base, answers), state_of(rule_base, answers))
