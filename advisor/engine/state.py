"""Answers, and what they leave possible."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from enum import Enum
from typing import Final

from advisor.engine.computed import computed_ranges, narrowed, narrowed_domain, range_of_cells, ranges_after
from advisor.engine.implied import implied_value
from advisor.errors import InputError
from advisor.rulebase.model import Fact, RuleBase, Several, Value
from advisor.rulebase.values import domains_of_value, possible_domain
from advisor.units import Range, format_measure
from advisor.words import tr


class NotKnown(Enum):
    """The answer of someone who was asked and does not know."""

    NOT_KNOWN = "not known"


NOT_KNOWN: Final = NotKnown.NOT_KNOWN

Answers = Mapping[str, Value | NotKnown]
"""Answers by the name of the fact; a fact that was not asked is missing."""


class ContradictionError(InputError):
    """Two answers cannot both be true.

    Attributes:
        fact: The fact whose answer contradicts what follows from the others.
        because: The condition, in words, from which its value follows.
    """

    def __init__(self, fact: str, because: str, message: str) -> None:
        super().__init__(message)
        self.fact = fact
        self.because = because


def full_domains(rule_base: RuleBase, fact: Fact) -> list[tuple[int, int]]:
    """For each variable of a fact, every cell it may be in."""
    if fact.entry.kind == "quantity":
        return [(fact.variables[0], possible_domain(fact))]
    return [(index, rule_base.variables[index].full) for index in fact.variables]


def state_of(rule_base: RuleBase, answers: Answers) -> list[int]:
    """What the answers leave possible, with everything that follows from them.

    Raises:
        ContradictionError: If an answer contradicts what follows from others.
    """
    return _with_implied(rule_base, answers, answered_state(rule_base, answers))


def state_with(rule_base: RuleBase, answers: Answers, fact: Fact, variable: int, domain: int) -> list[int]:
    """The state of the answers but with one variable of one fact moved to some cells.

    Raises:
        ContradictionError: If that contradicts what follows from other answers.
    """
    state = answered_state(rule_base, answers)
    state[variable] = domain
    # What is worked out is not worked out again when it is moved itself.
    moved = range_of_cells(fact, domain) if fact.computed else NOT_KNOWN
    return _with_implied(rule_base, {**answers, fact.name: moved}, state)


class Moves:
    """The states of some answers with one of them given otherwise, one after another.

    What a move does not bear on is as it was before, so it is not worked out again: ``moved`` gives what ``state_with``
    gives, for facts that are asked.

    Attributes:
        answered: What the answers themselves leave possible.
    """

    def __init__(self, rule_base: RuleBase, answers: Answers) -> None:
        self._rule_base, self._answers = rule_base, answers
        self.answered = answered_state(rule_base, answers)
        self._implied = self.answered.copy()
        _imply(rule_base, answers, self._implied)
        self._ranges = computed_ranges(rule_base, answers, self._implied)
        self._narrowed = self._implied.copy()
        narrowed(rule_base, answers, self._narrowed)
        self._following = rule_base.once(_following)

    def moved(self, fact: Fact, variable: int, domain: int) -> list[int]:
        """The state with one variable of one fact that is asked moved to some cells.

        Raises:
            ContradictionError: If that contradicts what follows from other answers.
        """
        rule_base, answers = self._rule_base, {**self._answers, fact.name: NOT_KNOWN}
        following = self._following[variable]
        state = self._implied.copy()
        for one in following:
            for index in one.variables:
                state[index] = self.answered[index]
        state[variable] = domain
        _imply(rule_base, answers, state, following)
        moved = [i for i, (now, was) in enumerate(zip(state, self._implied, strict=True)) if now != was]
        ranges = ranges_after(rule_base, self._ranges, answers, state, moved, fact.name)
        for name, amount in ranges.items():
            index = rule_base.facts[name].variables[0]
            same = amount is self._ranges[name] and state[index] == self._implied[index]
            state[index] = (
                self._narrowed[index] if same else narrowed_domain(rule_base.facts[name], amount, state[index])
            )
        return state


def _following(rule_base: RuleBase) -> list[tuple[Fact, ...]]:
    """For each variable the facts whose value may follow otherwise when it moves, in the order of the rules."""
    implied = [fact for fact in rule_base.facts.values() if fact.implied]
    tested = {one.name: {v for each in one.implied for v in each.condition.variables} for one in implied}
    owner = {index: fact for fact in implied for index in fact.variables}
    found = []
    for variable in range(len(rule_base.variables)):
        moved, names = {variable}, set[str]()
        if variable in owner:
            moved, names = set(owner[variable].variables), {owner[variable].name}
        while more := [one for one in implied if one.name not in names and not moved.isdisjoint(tested[one.name])]:
            names |= {one.name for one in more}
            moved |= {index for one in more for index in one.variables}
        found.append(tuple(one for one in implied if one.name in names))
    return found


def answered_state(rule_base: RuleBase, answers: Answers) -> list[int]:
    """What the answers themselves leave possible, without what follows from them."""
    state = rule_base.full_state
    for fact in rule_base.facts.values():
        answer = answers.get(fact.name, NOT_KNOWN)
        domain = (
            full_domains(rule_base, fact)
            if isinstance(answer, NotKnown)
            else domains_of_value(fact, answer, rule_base.variables)
        )
        for index, bits in domain:
            state[index] = bits
    return state


def _with_implied(rule_base: RuleBase, answers: Answers, state: list[int]) -> list[int]:
    _imply(rule_base, answers, state)
    narrowed(rule_base, answers, state)
    return state


def _imply(rule_base: RuleBase, answers: Answers, state: list[int], following: Sequence[Fact] | None = None) -> None:
    """Put into a state what follows from it: for every fact, or only for those that are given."""
    following = [fact for fact in rule_base.facts.values() if fact.implied] if following is None else following
    for _ in range(len(rule_base.facts)):
        changed = False
        for fact in following:
            if _apply_implied(rule_base, fact, answers, state):
                changed = True
        if not changed:
            break


def _apply_implied(rule_base: RuleBase, fact: Fact, answers: Answers, state: list[int]) -> bool:
    found = implied_value(fact, state)
    if found is None:
        return False
    value, condition = found
    changed = False
    for index, bits in domains_of_value(fact, value, rule_base.variables):
        narrowed = state[index] & bits
        if not narrowed:
            given, because = answers.get(fact.name), condition.words
            raise ContradictionError(
                fact.name,
                because,
                tr(
                    "'{fact}' is given as {given}, but {because}; correct one of the two answers",
                    fact=fact.name,
                    given=value_words(fact, given),
                    because=because,
                ),
            )
        if narrowed != state[index]:
            state[index] = narrowed
            changed = True
    return changed


def value_words(fact: Fact, answer: Value | NotKnown | None) -> str:
    """An answer as it is shown back to the person who gave it."""
    if answer is None:
        return tr("worked out") if fact.computed else tr("not answered")
    if isinstance(answer, NotKnown):
        return tr("not known")
    if isinstance(answer, bool):
        return tr("yes") if answer else tr("no")
    if isinstance(answer, Range):
        assert fact.unit is not None
        return format_measure(answer, fact.unit, 6)
    if isinstance(answer, Several):
        return _several_words(fact, answer)
    return fact.entry.options[answer].label


def _several_words(fact: Fact, answer: Several) -> str:
    words = [option.label for name, option in fact.entry.options.items() if name in answer.present]
    words += [
        tr("perhaps {label}", label=option.label)
        for name, option in fact.entry.options.items()
        if name in answer.unsure
    ]
    return ", ".join(words) or tr("none of them")
