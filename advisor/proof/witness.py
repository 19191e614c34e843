"""Answers that show one rule at work, and the nearest with which it is not."""

from __future__ import annotations

import contextlib
from collections.abc import Callable, Iterator

from advisor.advice.batches.batch_file import read_batch
from advisor.engine import Answers, Conclusions, ContradictionError, NotKnown
from advisor.errors import InputError
from advisor.frozen import frozen
from advisor.proof.promises.alive import counts
from advisor.proof.search.decoding import range_of
from advisor.proof.search.oracle import concluded
from advisor.proof.search.prover import Prover
from advisor.proof.space.logic import Bit
from advisor.proof.space.world import World
from advisor.rulebase.language.conditions import FAILS, HOLDS, Condition, single_cells
from advisor.rulebase.locations import shipped
from advisor.rulebase.model import Argument, Fact, RuleBase, Several, Value
from advisor.rulebase.values import domain_of_range, possible_domain
from advisor.units import Range

SECTIONS = ("arguments", "hazards", "steps", "amounts", "expectations", "referrals", "findings")
"""The sections whose entries act where their condition holds."""


@frozen
class Witness:
    """What shows a rule at work.

    Attributes:
        acts: The fewest answers with which it acts; none if there are none.
        for_certain: Whether it then acts for certain, and not only because something is not known.
        rests: Answers with which it does not act; none if it always does.
        changed: The fact in which these differ from the first, where one is enough.
    """

    acts: Answers | None
    for_certain: bool
    rests: Answers | None
    changed: str | None


def witness_of(prover: Prover, section: str, name: str) -> Witness:
    """The witness of one rule.

    Args:
        prover: The rules of its consultation.
        section: One of ``SECTIONS``.
        name: Its id.
    """
    entry = getattr(prover.rule_base, section)[name]
    condition: Condition = entry.condition

    def at_work(world: World) -> Bit:
        return counts(world, entry) if isinstance(entry, Argument) else world.holds(condition)

    rule_base = prover.rule_base
    acts, for_certain = _told(rule_base, prover.smallest(at_work), lambda c: c.truth(condition) == HOLDS), True
    if acts is None and not isinstance(entry, Argument):
        may = prover.smallest(lambda world: world.may(condition))
        acts, for_certain = _told(rule_base, may, lambda c: c.truth(condition) != FAILS), False
    if acts is not None:
        for fact, changed in _others(rule_base, acts, condition):
            if _rests(rule_base, changed, condition):
                return Witness(acts, for_certain, changed, fact)
    never = prover.smallest(lambda world: world.logic.opposite(world.may(condition)))
    rests = _told(rule_base, never, lambda c: c.truth(condition) == FAILS)
    return Witness(acts, for_certain, rests, None)


def _told(rule_base: RuleBase, found: Answers | None, shows: Callable[[Conclusions], bool]) -> Answers | None:
    """Answers that a person can give and that show the same, with none that can be spared; none where none are found.

    To the solver what is worked out is free, so what it found may be out of reach; then a worked case is taken.
    """
    if found is None:
        return None
    own = {name: value for name, value in found.items() if not rule_base.facts[name].computed}
    for answers in (own, *_worked(rule_base)) if len(own) < len(found) else (own,):
        if _shown(rule_base, answers, shows):
            return _without_spare(rule_base, answers, shows) if len(own) < len(found) else answers
    return None


def _without_spare(rule_base: RuleBase, answers: Answers, shows: Callable[[Conclusions], bool]) -> Answers:
    kept = dict(answers)
    for name in answers:
        fewer = {other: value for other, value in kept.items() if other != name}
        if _shown(rule_base, fewer, shows):
            kept = fewer
    return kept


def _worked(rule_base: RuleBase) -> Iterator[Answers]:
    """The answers of the shipped cases that these rules can read."""
    for path in sorted(shipped("cases").glob("*.yaml")):
        with contextlib.suppress(InputError):
            yield read_batch(path, rule_base).answers


def _shown(rule_base: RuleBase, answers: Answers, shows: Callable[[Conclusions], bool]) -> bool:
    try:
        return shows(concluded(rule_base, answers))
    except ContradictionError:
        return False


def _rests(rule_base: RuleBase, answers: Answers, condition: Condition) -> bool:
    return _shown(rule_base, answers, lambda conclusions: conclusions.truth(condition) == FAILS)


def _others(rule_base: RuleBase, answers: Answers, condition: Condition) -> Iterator[tuple[str, Answers]]:
    """The answers with one of them changed, those that the condition looks at first."""
    near = [name for name in answers if condition.variables & set(rule_base.facts[name].variables)]
    for name in dict.fromkeys((*near, *answers)):
        fact = rule_base.facts[name]
        for value in _values(fact, answers[name]):
            yield name, {**answers, name: value}


def _values(fact: Fact, now: Value | NotKnown) -> Iterator[Value]:
    """Other answers to one fact."""
    kinds: dict[str, Callable[[], Iterator[Value]]] = {
        "yes_no": lambda: iter((True, False)),
        "choice": lambda: iter(fact.entry.options),
        "several": lambda: _other_lists(fact, now),
        "quantity": lambda: _other_amounts(fact, now),
    }
    yield from (value for value in kinds[fact.entry.kind]() if value != now)


def _other_lists(fact: Fact, now: Value | NotKnown) -> Iterator[Value]:
    present = now.present if isinstance(now, Several) else frozenset()
    for option in fact.entry.options:
        yield Several(present ^ {option}, frozenset())
    yield Several(frozenset(), frozenset())


def _other_amounts(fact: Fact, now: Value | NotKnown) -> Iterator[Value]:
    domain = domain_of_range(fact, now) if isinstance(now, Range) else 0
    for cell in single_cells(possible_domain(fact) & ~domain):
        yield range_of(fact, cell)
