"""Decisions for several options over all answers: which options are taken, and which may still be.

They count for later decisions as :meth:`advisor.engine.causes.Support.acted_on` says.
"""

from __future__ import annotations

from dataclasses import dataclass

from advisor.proof.space.logic import Bit
from advisor.proof.space.supports import support
from advisor.proof.space.truths import Truths
from advisor.rulebase.model import Argument, Decision


@dataclass(frozen=True, slots=True)
class Judged:
    """One decision for several options over all answers.

    Attributes:
        decision: The decision.
        certain: For each option, whether it counts as taken: enough speaks for it now, and nothing rules it out.
        possible: For each option, whether later decisions have to reckon with it: it is taken, or something speaks
            for it already and enough still might.
    """

    decision: Decision
    certain: tuple[Bit, ...]
    possible: tuple[Bit, ...]


def judge(truths: Truths, decision: Decision) -> Judged:
    """Encode a decision for several options."""
    found = [judge_option(truths, decision, option) for option in decision.options]
    certain, possible, _ = (tuple(column) for column in zip(*found, strict=True))
    return Judged(decision, certain, possible)


def judge_option(
    truths: Truths, decision: Decision, option: str, without: Argument | None = None
) -> tuple[Bit, Bit, Bit]:
    """Whether an option is taken, whether it must be reckoned with, and whether a constraint that holds strikes it.

    Args:
        truths: Truths over the facts and the earlier decisions.
        decision: The decision.
        option: The option.
        without: An argument to leave out.
    """
    logic = truths.logic
    assert decision.entry.taken_at is not None
    height = (decision.entry.taken_at, ())
    mine = [a for a in decision.arguments if option in a.options and a is not without]
    constraints = [a for a in mine if a.says == "rule_out"]
    pairs = {argument.id: truths.pair(argument.condition) for argument in mine}
    struck = logic.either(pairs[a.id][0] for a in constraints)
    base = decision.entry.options[option].base
    now = base, tuple((pairs[a.id][0], a.weight) for a in mine if a not in constraints)
    taken = logic.every([logic.at_least(now, height), logic.opposite(struck)])
    high = logic.at_least(support(truths, decision, option, pairs, greatest=True), height)
    reckoned = logic.every([high, logic.at_least(now, (1, ())), logic.opposite(struck)])
    return taken, logic.either([taken, reckoned]), struck
