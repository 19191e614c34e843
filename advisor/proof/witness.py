"""Answers that show one rule at work, and the nearest with which it is not."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from advisor.engine import Answers, ContradictionError, NotKnown
from advisor.frozen import frozen
from advisor.proof.promises.alive import counts
from advisor.proof.search.decoding import range_of
from advisor.proof.search.oracle import concluded
from advisor.proof.search.prover import Prover
from advisor.proof.space.logic import Bit
from advisor.proof.space.world import World
from advisor.rulebase.language.conditions import FAILS, Condition, single_cells
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

    acts, for_certain = prover.smallest(at_work), True
    if acts is None and not isinstance(entry, Argument):
        acts, for_certain = prover.smallest(lambda world: world.may(condition)), False
    if acts is not None:
        for fact, changed in _others(prover.rule_base, acts, condition):
            if _rests(prover.rule_base, changed, condition):
                return Witness(acts, for_certain, changed, fact)
    rests = prover.smallest(lambda world: world.logic.opposite(world.may(condition)))
    return Witness(acts, for_certain, rests, None)


def _rests(rule_base: RuleBase, answers: Answers, condition: Condition) -> bool:
    try:
        return concluded(rule_base, answers).truth(condition) == FAILS
    except ContradictionError:
        return False


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
