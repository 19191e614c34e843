"""Draws batches for property tests: full truths that do not contradict themselves, and part of them as answers."""

from __future__ import annotations

from random import Random

from hypothesis import strategies as st

from advisor.engine.state import NOT_KNOWN, Answers, NotKnown, implied_value, state_of
from advisor.rulebase.model import Fact, RuleBase, Several, Value
from advisor.rulebase.values import cell_range, domains_of_value, possible_domain
from advisor.units import Range

# Answers with which work can go on; drawn more often, so that not nearly every batch ends in a stop.
_HARMLESS: dict[str, Value] = {
    "mercury_history": "never",
    "mercury_signs": False,
    "arsenic_signs": False,
    "dwelling": False,
    "people_near": "workers",
    "operator": "trained",
    "dryness": "dry",
    "floor": "dry_sand_or_tray",
    "second_person": True,
    "tongs": True,
    "place": "outdoors",
    "extraction": "working",
    "cupels_dry": True,
    "crucible_kind": "clay",
}
_OFTEN_THERE = ("protective_gear", "reagents", "heat_sources", "cupels")


def _drawn_value(fact: Fact, random: Random) -> Value:
    kind = fact.entry.kind
    if kind == "yes_no":
        return random.random() < 0.5
    if kind == "choice":
        return random.choice(list(fact.entry.options))
    if kind == "several":
        share = 0.85 if fact.name in _OFTEN_THERE else 0.12
        return Several(frozenset(option for option in fact.entry.options if random.random() < share))
    domain = [c for c in range(2 * len(fact.breakpoints) + 1) if possible_domain(fact) >> c & 1]
    amount = cell_range(fact, random.choice(domain))
    return Range.exact(random.choice([amount.low, amount.likely, amount.high]))


def drawn_truth(rule_base: RuleBase, random: Random, harmless: bool) -> dict[str, Value]:
    """A value for every fact that is not computed, with what follows from others made to follow."""
    truth = {name: _drawn_value(fact, random) for name, fact in rule_base.facts.items() if not fact.computed}
    if harmless:
        truth.update({name: value for name, value in _HARMLESS.items() if name in truth})
    state = rule_base.full_state
    for name, value in truth.items():
        _put(rule_base, state, name, value)
    following = [fact for fact in rule_base.facts.values() if fact.implied]
    for _ in range(6):
        changed = False
        for fact in following:
            follows = implied_value(fact, state)
            if follows and truth[fact.name] != follows[0]:
                truth[fact.name] = follows[0]
                _put(rule_base, state, fact.name, follows[0])
                changed = True
        if not changed:
            break
    return truth


def _put(rule_base: RuleBase, state: list[int], name: str, value: Value) -> None:
    for index, domain in domains_of_value(rule_base.facts[name], value, rule_base.variables):
        state[index] = domain


def consistent(rule_base: RuleBase, answers: Answers) -> bool:
    """Whether the answers do not contradict each other."""
    from advisor.engine.state import ContradictionError

    try:
        state_of(rule_base, answers)
    except ContradictionError:
        return False
    return True


def some_answers(
    truth: dict[str, Value], random: Random, known: float, unknown: float = 0.0
) -> dict[str, Value | NotKnown]:
    """Part of a truth as answers; some facts are answered as not known."""
    answers: dict[str, Value | NotKnown] = {}
    for name, value in truth.items():
        draw = random.random()
        if draw < known:
            answers[name] = value
        elif draw < known + unknown:
            answers[name] = NOT_KNOWN
    return answers


randoms = st.integers(0, 2**32 - 1).map(Random)
"""A source of random numbers that shrinks with its seed."""
