"""Decisions over all answers: which options are struck, how well each is supported, and which is taken."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from advisor.proof.space.logic import Bit, Logic, Sum
from advisor.proof.space.supports import RULINGS, supports
from advisor.proof.space.truths import Truths
from advisor.rulebase.model import Argument, Decision


@dataclass(frozen=True, slots=True)
class Decided:
    """One decision over all answers.

    Attributes:
        decision: The decision.
        surely_out: For each option, whether a constraint that holds strikes it.
        allowed: For each option, whether no outcome that holds or is open strikes it.
        support: For each option its least support.
        chosen: For each option, whether it is taken.
        ahead: For pairs of options, whether the first has no less support than the second.
    """

    decision: Decision
    surely_out: tuple[Bit, ...]
    allowed: tuple[Bit, ...]
    support: tuple[Sum, ...]
    chosen: tuple[Bit, ...]
    ahead: Mapping[tuple[int, int], Bit]


def strikes(argument: Argument, option: str) -> bool:
    """Whether an argument strikes an option when it holds."""
    if argument.says == "rule_out":
        return option in argument.options
    return argument.says == "require" and option not in argument.options


def decide(
    truths: Truths,
    decision: Decision,
    beside: Decided | None = None,
) -> Decided:
    """Encode one decision.

    Args:
        truths: Truths over the facts and the earlier decisions.
        decision: The decision.
        beside: The same decision over other answers, so that the solver knows what is alike.
    """
    logic = truths.logic
    pairs = {argument.id: truths.pair(argument.condition) for argument in decision.arguments}
    surely_out, allowed = [], []
    for option in decision.options:
        striking = [a for a in decision.arguments if strikes(a, option)]
        surely_out.append(logic.either(pairs[a.id][0] for a in striking))
        allowed.append(logic.opposite(logic.either(pairs[a.id][1] for a in striking)))
    support = supports(truths, decision, pairs)
    ahead = _ahead(logic, decision, support, beside)
    chosen = _chosen(logic, decision, allowed, ahead)
    return Decided(decision, tuple(surely_out), tuple(allowed), support, chosen, ahead)


def tie_places(decision: Decision) -> list[tuple[int, int]]:
    """For each option its rank in the tie order, and its place in the file; the least pair wins a tie."""
    order = decision.entry.tie_order
    return [
        (order.index(option) if option in order else len(order), place) for place, option in enumerate(decision.options)
    ]


def _ahead(
    logic: Logic, decision: Decision, support: Sequence[Sum], beside: Decided | None
) -> dict[tuple[int, int], Bit]:
    """For each pair of options in the order of ties, whether the first has no less support than the second."""
    places = tie_places(decision)
    ahead = {}
    for first, one in enumerate(places):
        for second, other in enumerate(places):
            if one < other:
                ahead[first, second] = logic.at_least(support[first], support[second])
                # Another rule base may break its ties in another order, so it may not have the pair.
                alike = None if beside is None else beside.ahead.get((first, second))
                if beside is not None and alike is not None and alike is not ahead[first, second]:
                    change = _change(beside.support, support, first, second)
                    _relate(logic, alike, ahead[first, second], change)
    return ahead


def _change(before: Sequence[Sum], after: Sequence[Sum], first: int, second: int) -> Sum:
    """By how much the lead of one option over another is greater in the second world."""
    signs = ((after[first], 1), (after[second], -1), (before[first], -1), (before[second], 1))
    parts = [(bit, sign * weight) for (_, parts), sign in signs for bit, weight in parts]
    return sum(sign * base for (base, _), sign in signs), tuple(parts)


def _relate(logic: Logic, before: Bit, after: Bit, change: Sum) -> None:
    """Tell the solver what it would find slowly: a lead that does not shrink stays a lead."""
    grows, shrinks = logic.at_least(change, (0, ())), logic.at_least((0, ()), change)
    logic.require(logic.either([logic.opposite(grows), logic.opposite(before), after]))
    logic.require(logic.either([logic.opposite(shrinks), logic.opposite(after), before]))


def _chosen(
    logic: Logic, decision: Decision, allowed: list[Bit], ahead: Mapping[tuple[int, int], Bit]
) -> tuple[Bit, ...]:
    """The allowed option with the best support, then by tie order; the fallback when none is allowed."""
    size = len(allowed)
    not_behind = dict(ahead)
    for (first, second), bit in ahead.items():
        not_behind[second, first] = logic.opposite(bit)
    none_left = logic.opposite(logic.either(allowed))
    fallback = decision.options.index(str(decision.entry.fallback))
    chosen = []
    for option in range(size):
        beats = (
            logic.either([logic.opposite(allowed[other]), not_behind[option, other]])
            for other in range(size)
            if other != option
        )
        best = logic.every([allowed[option], *beats])
        chosen.append(logic.either([best, none_left]) if option == fallback else best)
    return tuple(chosen)


def chosen_without(truths: Truths, found: Decided, argument: Argument) -> tuple[Bit, ...]:
    """What would be taken without an argument; for full answers for which it holds."""
    logic, decision = truths.logic, found.decision
    allowed, ahead = list(found.allowed), dict(found.ahead)
    if argument.says in RULINGS:
        for place, option in enumerate(decision.options):
            if strikes(argument, option):
                others = [a for a in decision.arguments if a is not argument and strikes(a, option)]
                allowed[place] = logic.opposite(logic.either(truths.may(a.condition) for a in others))
        return _chosen(logic, decision, allowed, ahead)
    changed = [option in argument.options for option in decision.options]
    support = [
        (base - argument.weight, parts) if mine else (base, parts)
        for (base, parts), mine in zip(found.support, changed, strict=True)
    ]
    for first, second in found.ahead:
        if changed[first] != changed[second]:
            before, after = found.ahead[first, second], logic.at_least(support[first], support[second])
            ahead[first, second] = after
            shrinks = (argument.weight > 0) == changed[first]
            least, most = (after, before) if shrinks else (before, after)
            logic.require(logic.either([logic.opposite(truths.holds(argument.condition)), logic.opposite(least), most]))
    return _chosen(logic, decision, allowed, ahead)
