"""Draws sets of answers, full or partial, that do not contradict themselves."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from random import Random

from advisor.advice.batches.batch_file import read_batch
from advisor.engine.computed import computed_ranges
from advisor.engine.state import Answers, ContradictionError, full_domains, state_of
from advisor.proof.search.decoding import range_of
from advisor.rulebase.language.conditions import HOLDS, single_cells
from advisor.rulebase.model import Fact, RuleBase, Several, Value
from advisor.rulebase.values import domains_of_value
from tests.conftest import ROOT

State = list[int]


def case_states(rule_base: RuleBase) -> list[State]:
    """The states of the worked cases, to draw answers near them; evenly drawn answers nearly always end in a stop."""
    diagnosis = any(decision.of_diagnosis for decision in rule_base.decisions.values())
    paths = sorted((ROOT / "cases" / ("diagnosis" if diagnosis else "")).glob("*.yaml"))
    return [state_of(rule_base, _case_answers(path, rule_base)) for path in paths]


def _case_answers(path: Path, rule_base: RuleBase) -> Answers:
    """What a case answers; a piece also has the room and the lot of the batch it comes from."""
    case = read_batch(path, rule_base)
    batch = read_batch(path.parent / case.plan, rule_base).answers if case.plan else {}
    known = {name: value for name, value in batch.items() if name in rule_base.facts}
    return {**known, **case.answers}


def drawn_full(rule_base: RuleBase, random: Random, near: Sequence[State] = ()) -> State:
    """A state in which every fact is known and nothing contradicts.

    Args:
        rule_base: The rules.
        random: The source of chance.
        near: States to start from; most variables keep their cell. Without them every cell is as likely.
    """
    start = random.choice(near) if near and random.random() < 0.9 else rule_base.full_state
    stray = random.choice((0.02, 0.05, 0.15))
    state = list(start)
    for fact in rule_base.facts.values():
        for variable, bits in full_domains(rule_base, fact):
            domain = bits if random.random() < stray else bits & start[variable]
            state[variable] = random.choice(list(single_cells(domain)))
    for _ in range(len(rule_base.facts)):
        if not any(_follow(rule_base, fact, state, random) for fact in rule_base.facts.values()):
            return state
    return drawn_full(rule_base, random, near)


def _follow(rule_base: RuleBase, fact: Fact, state: State, random: Random) -> bool:
    """Make the value of a fact follow where it does; whether anything changed."""
    for implied in fact.implied:
        if implied.condition.truth(state) == HOLDS:
            changed = False
            for variable, bits in domains_of_value(fact, implied.value, rule_base.variables):
                if not state[variable] & bits:
                    state[variable] = random.choice(list(single_cells(bits)))
                    changed = True
            return changed
    return False


def drawn_partial(rule_base: RuleBase, random: Random, known: float, near: Sequence[State] = ()) -> dict[str, Value]:
    """Answers about some facts, some of them vague; facts that are not known, and what is worked out, are left out."""
    full = drawn_full(rule_base, random, near)
    asked = [fact for fact in rule_base.facts.values() if not fact.computed]
    answers = {fact.name: vague(rule_base, fact, full, random) for fact in asked if random.random() < known}
    try:
        state_of(rule_base, answers)
    except ContradictionError:
        return drawn_partial(rule_base, random, known, near)
    return answers


def drawn_with_computed(rule_base: RuleBase, random: Random, known: float, near: Sequence[State] = ()) -> Answers:
    """Drawn answers and what is worked out from them, given as if it were answered: a proof takes it as any amount.

    An answer that what is worked out contradicts (a little less, where the weights say as expected) is drawn again.
    """
    answers = drawn_partial(rule_base, random, known, near)
    told = {**answers, **computed_ranges(rule_base, answers, state_of(rule_base, answers))}
    try:
        state_of(rule_base, told)
    except ContradictionError:
        return drawn_with_computed(rule_base, random, known, near)
    return told


def vague(rule_base: RuleBase, fact: Fact, full: State, random: Random) -> Value:
    """An answer that leaves the true cells possible, and perhaps some others."""
    first = fact.variables[0]
    if fact.entry.kind == "quantity":
        places = [cell.bit_length() - 1 for cell in single_cells(full_domains(rule_base, fact)[0][1])]
        at = places.index(full[first].bit_length() - 1)
        low = max(0, at - random.choice((0, 0, 0, 1, 3)))
        high = min(len(places) - 1, at + random.choice((0, 0, 0, 1, 3)))
        return range_of(fact, sum(1 << place for place in places[low : high + 1]))
    if fact.entry.kind == "several":
        items = {rule_base.variables[v].item: full[v] == 2 for v in fact.variables}
        unsure = {item for item in items if random.random() < 0.1}
        return Several(frozenset(item for item, there in items.items() if there) - unsure, frozenset(unsure))
    place = full[first].bit_length() - 1
    return bool(place) if fact.entry.kind == "yes_no" else rule_base.variables[first].domain[place]
