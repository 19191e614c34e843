"""Tries other answers with the inference itself, to see whether one answer makes a difference."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from advisor.engine import Answers, ContradictionError, conclude_state, full_domains, state_of, state_with
from advisor.proof.search.oracle import outcome
from advisor.proof.search.sweeping import Witnesses
from advisor.rulebase.language.conditions import single_cells
from advisor.rulebase.model import Fact, RuleBase


class AnswerTrial:
    """Some full sets of answers, and the advice for each."""

    def __init__(self, rule_base: RuleBase, examples: Sequence[Answers]) -> None:
        self._rule_base = rule_base
        self._examples = [(answers, state_of(rule_base, answers), self._advice(answers)) for answers in examples]

    def _advice(self, answers: Answers) -> frozenset[str]:
        return outcome(conclude_state(self._rule_base, answers, state_of(self._rule_base, answers)))

    def look_for(self, fact: Fact, limits: dict[str, list[float]], witnesses: Witnesses) -> None:
        """Find answers for which another answer to one fact changes the advice, also just over each limit."""
        waiting = {f"facts.{fact.name}", *(f"thresholds.{name}" for name in limits)} - set(witnesses)
        for answers, state, advice in self._examples:
            if not waiting:
                return
            for variable, cell in self._other_cells(fact, state):
                shown = waiting & {f"facts.{fact.name}", *_crossed(fact, limits, state[variable], cell)}
                if shown and self._changes(answers, fact, variable, cell, advice):
                    witnesses.update(dict.fromkeys(shown, answers))
                    waiting -= shown

    def _other_cells(self, fact: Fact, state: list[int]) -> Iterator[tuple[int, int]]:
        for variable, full in full_domains(self._rule_base, fact):
            for cell in single_cells(full & ~state[variable]):
                yield variable, cell

    def _changes(self, answers: Answers, fact: Fact, variable: int, cell: int, advice: frozenset[str]) -> bool:
        # The other items of a list keep their answers, so only the moved variable is set again.
        try:
            state = state_with(self._rule_base, answers, fact, variable, cell)
        except ContradictionError:
            return False
        return outcome(conclude_state(self._rule_base, answers, state)) != advice


def _crossed(fact: Fact, limits: dict[str, list[float]], one: int, other: int) -> Iterator[str]:
    """The limits that lie at one of two neighbouring cells."""
    if not (one << 1 == other or other << 1 == one):
        return
    for name, breakpoints in limits.items():
        places = [1 << (2 * fact.breakpoints.index(breakpoint) + 1) for breakpoint in breakpoints]
        if one in places or other in places:
            yield f"thresholds.{name}"
