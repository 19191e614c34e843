"""What single answers change, found the slow way: every other answer is given, and everything is concluded anew."""

from __future__ import annotations

from collections.abc import Iterator

from advisor.engine import NOT_KNOWN, Conclusions, ContradictionError, NotKnown, Target, conclude_state, state_with
from advisor.engine.state import full_domains
from advisor.rulebase.language.conditions import single_cells
from advisor.rulebase.values import domains_of_value, possible_domain

Place = tuple[int, int]
"""A variable and the cell it is put into."""


def places(conclusions: Conclusions, leave_out: str = "") -> list[Place]:
    """Every other cell of every variable of every fact that is asked."""
    rule_base = conclusions.rule_base
    found = []
    for fact in rule_base.facts.values():
        answer = conclusions.answers.get(fact.name, NOT_KNOWN)
        given = dict(
            full_domains(rule_base, fact)
            if isinstance(answer, NotKnown)
            else domains_of_value(fact, answer, rule_base.variables)
        )
        for variable in fact.variables if fact.name != leave_out and not fact.computed else ():
            quantity = fact.entry.kind == "quantity"
            domain = possible_domain(fact) if quantity else rule_base.variables[variable].full
            found += [(variable, cell) for cell in single_cells(domain) if cell != given[variable]]
    return found


def changed_by_trial(
    before: Conclusions, decisions: tuple[str, ...], *, hazards: bool, leave_out: str = ""
) -> dict[Target, set[Place]]:
    """For everything that some other answer changes, the answers that do."""
    rule_base, found = before.rule_base, dict[Target, set[Place]]()
    for variable, cell in places(before, leave_out):
        fact = rule_base.facts[rule_base.variables[variable].name]
        try:
            state = state_with(rule_base, before.answers, fact, variable, cell)
        except ContradictionError:
            continue
        now = conclude_state(rule_base, before.answers, state)
        for target in (*_decided(before, now, decisions), *(_hazards(before, now) if hazards else ())):
            found.setdefault(target, set()).add((variable, cell))
    return found


def _decided(before: Conclusions, now: Conclusions, decisions: tuple[str, ...]) -> Iterator[Target]:
    for name, several in before.several.items():
        was, taken = set(several.taken), set(now.several[name].taken)
        yield from (Target(name, option, effect="appears") for option in taken - was)
        yield from (Target(name, option, effect="disappears") for option in was - taken)
    for place, name in enumerate(decisions):
        kept = {*decisions[:place], *_looked_at(before, before.outcomes[name].tally.prepared.variables)}
        came_out = now.outcomes[name]
        in_doubt = came_out.chosen == came_out.decision.fallback and came_out.tally.possible().bit_count() > 1
        if name in _changed(before, now) and not in_doubt and not kept & _changed(before, now):
            yield Target(name, now.outcomes[name].chosen)


def _hazards(before: Conclusions, now: Conclusions) -> Iterator[Target]:
    for name, hazard in before.rule_base.hazards.items():
        kept = _looked_at(before, hazard.condition.variables)
        if before.attached(name) != now.attached(name) and not kept & _changed(before, now):
            effect = "disappears" if before.attached(name) else "appears"
            yield Target(name, effect, True, effect)  # type: ignore[arg-type]


def _changed(before: Conclusions, now: Conclusions) -> set[str]:
    return {name for name, outcome in now.outcomes.items() if outcome.chosen != before.outcomes[name].chosen}


def _looked_at(before: Conclusions, variables: frozenset[int]) -> set[str]:
    """The decisions among some variables, and those that these look at in turn."""
    tested, found = set(variables), set()
    for name, outcome in reversed(before.outcomes.items()):
        if outcome.decision.variable in tested:
            found.add(name)
            tested |= outcome.tally.prepared.variables
    return found
