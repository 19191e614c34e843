"""Decisions for several options over all answers: which options are taken for certain, and which may be."""

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
        certain: For each option, whether it is taken whatever is still open.
        possible: For each option, whether it may be taken.
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
    """Whether an option is taken for certain, whether it may be, and whether a constraint that holds strikes it.

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
    constraints = [a for a in mine if a.entry.says == "rule_out"]
    pairs = {argument.id: truths.pair(argument.condition) for argument in mine}
    struck = logic.either(pairs[a.id][0] for a in constraints)
    maybe_struck = logic.either(pairs[a.id][1] for a in constraints)
    low = logic.at_least(support(truths, decision, option, pairs, greatest=False), height)
    high = logic.at_least(support(truths, decision, option, pairs, greatest=True), height)
    certain = logic.every([low, logic.opposite(maybe_struck)])
    return certain, logic.every([high, logic.opposite(struck)]), struck
