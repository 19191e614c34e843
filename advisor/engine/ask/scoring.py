"""How good it is to ask a question now: how much it tells, for the questions it adds.

An answer tells much when it parts the drawn completions by what the decision comes to. It costs little when the fact
will have to be asked anyway for what is likely to come out.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Mapping, Sequence
from operator import sub
from typing import cast

from advisor.engine.ask.blocks import Block
from advisor.engine.ask.completions import Outlook
from advisor.engine.ask.details import details_of
from advisor.engine.ask.disputes import disputed, fresh
from advisor.engine.ask.settling import Look, free_variables
from advisor.engine.conclude import Conclusions, conclude_forced, weights_of
from advisor.engine.state import state_of

Score = Callable[[str, Iterable[int]], float]
"""From a fact and those of its variables that are in play to how good it is to ask it now."""

Needs = Mapping[str, Mapping[str, float]]
"""For each option of the first decision, how likely each fact has to be asked once it is taken."""

LEAST_COST = 0.2
"""What a question costs at least, against one that would not be asked otherwise; also when it is asked anyway."""

_NOTHING_TOLD = 1e-9
"""What an answer counts that tells nothing as far as is known: then what will be asked anyway comes first."""

_PERHAPS = 0.6


def score_of(conclusions: Conclusions, look: Look) -> Score:
    """How good it is to ask for a fact, as far as one dispute is concerned.

    Args:
        conclusions: What follows from the answers.
        look: What is known about the dispute.
    """
    masks = list(look.parted.values())
    shares = _shares(conclusions, look)

    def score(name: str, variables: Iterable[int]) -> float:
        told = sum(information(masks, look.block, variable) for variable in variables)
        anyway = sum(share * facts.get(name, 0.0) for share, facts in shares)
        return (told + _NOTHING_TOLD) / (1.0 - anyway + LEAST_COST)

    return score


def _shares(conclusions: Conclusions, look: Look) -> list[tuple[float, Mapping[str, float]]]:
    """How likely each option of the first decision is, with the facts that have to be asked for it."""
    needs = needs_of(look.dispute.outlook)
    first = next(iter(conclusions.rulings.values())).decision
    decision = look.dispute.weights.decision
    if decision is not first:
        return [(1.0, needs[conclusions.rulings[first.name].chosen])]
    whole = look.block.valid.bit_count() or 1
    return [(mask.bit_count() / whole, needs[decision.options[option]]) for option, mask in look.parted.items()]


def needs_of(outlook: Outlook) -> Needs:
    """For each option of the first decision, how likely each fact has to be asked once it is taken; remembered."""
    found = outlook.memory.get("needs")
    if found is None:
        found = outlook.memory["needs"] = _worked_out_needs(outlook)
    return cast(Needs, found)


def _worked_out_needs(outlook: Outlook) -> Needs:
    rule_base = outlook.rule_base
    first = next(iter(rule_base.agenda.values()))
    return {
        option: {} if option in first.entry.stops else _needs_after(outlook, first.name, option)
        for option in first.options
    }


def _needs_after(outlook: Outlook, decision: str, option: str) -> dict[str, float]:
    rule_base = outlook.rule_base
    state = state_of(rule_base, {})
    state = list(conclude_forced(rule_base, {}, state, {decision: option}).state)
    later = [name for name in rule_base.agenda if name != decision]
    for name in later:
        variable = rule_base.decisions[name].variable
        state[variable] = rule_base.variables[variable].full
    details = details_of(outlook, {}, state)
    found = {name: details.likelihood(fact) for name, fact in rule_base.facts.items()}
    free = free_variables(rule_base, {}, state)
    for name in later:
        for variable in disputed(fresh(outlook, weights_of(rule_base)[name], state, free)):
            fact = rule_base.variables[variable].name
            found[fact] = max(found[fact], _PERHAPS)
    return found


def information(parts: Sequence[int], block: Block, variable: int) -> float:
    """How much knowing one variable tells of an outcome, over the completions of a block, in bits.

    Args:
        parts: The valid completions, parted by outcome.
        block: The completions.
        variable: The variable.
    """
    column = block.columns.get(variable)
    if column is None or len(column) < 2 or len(parts) < 2:
        return 0.0
    left = [part.bit_count() for part in parts]
    whole = sum(left)
    gain = _spread(left)
    for _, mask in column[:-1]:
        counts = [(part & mask).bit_count() for part in parts]
        left = list(map(sub, left, counts))
        gain -= _spread(counts)
    return max(0.0, gain - _spread(left)) / whole


def _spread(counts: Iterable[int]) -> float:
    """The entropy of some counts times their sum, in bits."""
    some = [count for count in counts if count]
    if len(some) < 2:
        return 0.0
    size = sum(some)
    return size * math.log2(size) - sum([count * math.log2(count) for count in some])
