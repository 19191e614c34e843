"""What was answered as not known, or only roughly: where it stays open, it counts as it does in the advice.

A outcome, an argument against, a hazard or a step counts where it may hold; an argument for only where it surely does.
"""

from __future__ import annotations

from collections import Counter

from advisor.rulebase.language.conditions import FAILS, HOLDS, OPEN, Condition, State, leaves


def counting(condition: Condition, state: State, unsure: frozenset[int], *, may: bool) -> State:
    """The state in which each test of what stays open comes out as it counts.

    A variable that the condition tests in several places is left as it is, since its tests hang together.

    Args:
        condition: The condition.
        state: What is possible.
        unsure: The variables that stay open for good.
        may: Whether the condition counts where it may hold, or only where it surely holds.
    """
    if unsure.isdisjoint(condition.variables):
        return state
    tests = list(leaves(condition.merged))
    times = Counter(leaf.variable for leaf in tests)
    found = list(state)
    for leaf in tests:
        if leaf.variable in unsure and times[leaf.variable] == 1:
            domain = state[leaf.variable]
            found[leaf.variable] = domain & (leaf.inside if may else ~leaf.inside) or domain
    return found


def counted_truth(condition: Condition, state: State, unsure: frozenset[int], *, may: bool) -> int:
    """Truth of a condition with what stays open counted; open only where facts that are missing decide it."""
    counted = counting(condition, state, unsure, may=may)
    truth = condition.truth(counted)
    if truth == OPEN and condition.open_variables(counted) <= unsure:
        return HOLDS if may else FAILS
    return truth
