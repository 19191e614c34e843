"""Pictures of causes as a textbook would give them: observations that speak for one cause, found from the rules."""

from __future__ import annotations

from collections.abc import Mapping

from advisor.engine import ContradictionError, NotKnown, prepared_decisions, state_of
from advisor.rulebase.language.conditions import FAILS, HOLDS, Condition, single_cells
from advisor.rulebase.model import RuleBase, Several, Value
from advisor.rulebase.reading.expand_causes import CAUSE, LOOKED_AT
from advisor.rulebase.values import cell_range
from advisor.training.drills.chance import Chance
from advisor.units import Range

Cells = dict[int, int]
_MOST_SIGNS = 4


def observations_of(
    rule_base: RuleBase, cause: str, before: Mapping[str, Value | NotKnown], chance: Chance
) -> dict[str, Value] | None:
    """Observations that speak for a cause beside answers that are there already; None when they do not fit.

    The strongest signs are taken first, some of the others in the order of the draw.
    """
    stage = chance.one(rule_base.causes[cause].entry.stages)
    ranked = [
        (chance.share(), argument) for argument in prepared_decisions(rule_base).for_several[CAUSE][cause].speaking
    ]
    signs = [a for _, a in sorted(ranked, key=lambda pair: (-pair[1].weight, pair[0])) if a.weight > 0]
    looked_at = rule_base.facts[LOOKED_AT].variables[0]
    domain: Cells = {looked_at: 1 << rule_base.variables[looked_at].domain.index(stage)}
    for argument in signs[: 1 + int(chance.share() * _MOST_SIGNS)]:
        added = _fitting(rule_base, before, domain, argument.condition)
        if added is not None:
            domain = {**domain, **added}
    return _asked_for(rule_base, before, domain)


def _asked_for(rule_base: RuleBase, before: Mapping[str, Value | NotKnown], domain: Cells) -> dict[str, Value] | None:
    """The observations, with those on which it hangs that they are asked at all."""
    for _ in range(3):
        answers = answers_from(rule_base, domain)
        state = _state(rule_base, before, domain)
        if state is None:
            return None
        open_gates = [
            fact.ask_if
            for name in answers
            if (fact := rule_base.facts[name]).ask_if is not None and fact.ask_if.truth(state) != HOLDS
        ]
        if not open_gates:
            return answers
        added = _fitting(rule_base, before, domain, open_gates[0])
        if not added:
            return None
        domain = {**domain, **added}
    return None


def _fitting(
    rule_base: RuleBase, before: Mapping[str, Value | NotKnown], domain: Cells, condition: Condition
) -> Cells | None:
    """Cells with which a condition holds too, if there are any that contradict nothing."""
    state = _state(rule_base, before, domain)
    found = None if state is None else satisfying(condition, state, rule_base)
    if found is None or _state(rule_base, before, {**domain, **found}) is None:
        return None
    return found


def _state(rule_base: RuleBase, before: Mapping[str, Value | NotKnown], domain: Cells) -> list[int] | None:
    try:
        return state_of(rule_base, {**before, **answers_from(rule_base, domain)})
    except ContradictionError:
        return None


def satisfying(condition: Condition, state: list[int], rule_base: RuleBase) -> Cells | None:
    """Cells of a few variables with which a condition holds in a state, found by trying; None when there are none."""
    variables = sorted(condition.variables)
    trial = list(state)

    def search(position: int) -> bool:
        truth = condition.truth(trial)
        if truth == HOLDS:
            return True
        if truth == FAILS or position == len(variables):
            return False
        variable = variables[position]
        before = trial[variable]
        for cell in single_cells(before):
            trial[variable] = cell
            if search(position + 1):
                return True
        trial[variable] = before
        return False

    if not search(0):
        return None
    return {
        variable: trial[variable]
        for variable in variables
        if trial[variable] != state[variable] and rule_base.variables[variable].name in rule_base.facts
    }


def answers_from(rule_base: RuleBase, domain: Mapping[int, int]) -> dict[str, Value]:
    """Answers that put variables into single cells; variables that are left out are not answered."""
    answers: dict[str, Value] = {}
    for variable, bits in domain.items():
        name, item = rule_base.variables[variable].name, rule_base.variables[variable].item
        fact = rule_base.facts[name]
        position = (bits & -bits).bit_length() - 1
        if fact.entry.kind == "quantity":
            answers[name] = Range.exact(cell_range(fact, position).likely)
        elif fact.entry.kind == "yes_no":
            answers[name] = position == 1
        elif fact.entry.kind == "choice":
            answers[name] = rule_base.variables[variable].domain[position]
        else:
            before = answers.get(name, Several())
            present = before.present if isinstance(before, Several) else frozenset()
            answers[name] = Several(present | {item}) if position else Several(present)
    return answers
