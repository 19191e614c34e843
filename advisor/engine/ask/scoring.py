"""How good it is to ask a question now: how much it tells, for the questions it adds.

An answer tells much when it parts the drawn completions by what the decision comes to. It costs little when the fact
will have to be asked anyway for what is likely to come out.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Mapping, Sequence
from operator import sub

from advisor.engine.ask.blocks import Block
from advisor.engine.ask.contested import contested_in
from advisor.engine.ask.details import details_of
from advisor.engine.ask.sample import Sample
from advisor.engine.conclude import Conclusions, conclude_forced, prepared_for_one
from advisor.engine.decide import tally_of
from advisor.engine.state import state_of
from advisor.rulebase.model import RuleBase

Score = Callable[[str, Iterable[int]], float]
"""From a fact and those of its variables that are in play to how good it is to ask it now."""

Needs = Mapping[str, Mapping[str, float]]
"""For each option of the first decision, how likely each fact has to be asked once it is taken."""

LEAST_COST = 0.2
"""What a question costs at least, against one that would not be asked otherwise; also when it is asked anyway."""

_NOTHING_TOLD = 1e-9
"""What an answer counts that tells nothing as far as is known: then what will be asked anyway comes first."""

_PERHAPS = 0.6


def score_of(conclusions: Conclusions, sample: Sample) -> Score:
    """How good it is to ask for a fact, as far as one contested decision is concerned."""
    masks = list(sample.parted.values())
    shares = _shares(conclusions, sample)

    def score(name: str, variables: Iterable[int]) -> float:
        told = sum(information(masks, sample.block, variable) for variable in variables)
        anyway = sum(share * facts.get(name, 0.0) for share, facts in shares)
        return (told + _NOTHING_TOLD) / (1.0 - anyway + LEAST_COST)

    return score


def _shares(conclusions: Conclusions, sample: Sample) -> list[tuple[float, Mapping[str, float]]]:
    """How likely each option of the first decision is, with the facts that have to be asked for it."""
    needs = conclusions.rule_base.once(_needs)
    first = next(iter(conclusions.outcomes.values())).decision
    decision = sample.contested.prepared.decision
    if decision is not first:
        return [(1.0, needs[conclusions.outcomes[first.name].chosen])]
    whole = sample.block.valid.bit_count() or 1
    return [(mask.bit_count() / whole, needs[decision.options[option]]) for option, mask in sample.parted.items()]


def _needs(rule_base: RuleBase) -> Needs:
    """For each option of the first decision, how likely each fact has to be asked once it is taken."""
    first = next(iter(rule_base.agenda.values()))
    return {
        option: {} if option in first.entry.stops else _needs_after(rule_base, first.name, option)
        for option in first.options
    }


def _needs_after(rule_base: RuleBase, decision: str, option: str) -> dict[str, float]:
    state = list(conclude_forced(rule_base, {}, state_of(rule_base, {}), {decision: option}).state)
    later = [name for name in rule_base.agenda if name != decision]
    for name in later:
        variable = rule_base.decisions[name].variable
        state[variable] = rule_base.variables[variable].full
    details = details_of(rule_base, {}, state)
    found = {name: details.likelihood(fact) for name, fact in rule_base.facts.items()}
    for name in later:
        tally = tally_of(prepared_for_one(rule_base)[name], state)
        for variable in contested_in(rule_base, {}, tally, state).in_play():
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
