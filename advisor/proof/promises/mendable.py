"""Whether what can be mended ever makes work stop.

Two full sets of answers are compared that differ only in what one preparation is about (and in what follows from it):
with the first it is lacking, with the second it is not. Then work does not stop with the first and go on with the
second. What no constraint tests cannot strike anything, and as long as no sum of weights reaches a stop, nothing has
to be searched for it.
"""

from __future__ import annotations

from collections.abc import Iterator

from advisor.proof.report import Failure, PromiseVerdict
from advisor.proof.search.decoding import answers_found
from advisor.proof.search.neighbours import same
from advisor.proof.search.prover import Prover, followers
from advisor.proof.space.logic import Bit
from advisor.proof.space.world import World
from advisor.rulebase.model import Decision, Preparation, RuleBase
from advisor.words import tr


def mendable(prover: Prover) -> PromiseVerdict:
    """Where only what can be mended stands in the way, work does not stop."""
    promise = tr("Where only what can be mended stands in the way, the advice is no stop.")
    # In the diagnosis what is lacking bears on the causes too; there the invariants show that each correction has the
    # preparations of its work.
    preparations = {} if prover.diagnosis else prover.rule_base.preparations
    verdict = PromiseVerdict("mendable", promise, declared=bool(preparations))
    searched = []
    for preparation in preparations.values():
        verdict.checked += 1
        if _may_strike(prover.rule_base, preparation):
            searched.append(preparation.name)
            verdict.failures.extend(_failures(prover, preparation))
    kept = len(preparations) - len(searched)
    verdict.lines.append(
        tr(
            "{kept} preparations are tested by no constraint; searched: {searched}.",
            kept=kept,
            searched=", ".join(searched) or tr("none"),
        )
    )
    return verdict


def _stopping(rule_base: RuleBase) -> list[Decision]:
    return [decision for decision in rule_base.agenda.values() if decision.entry.stops]


def _may_strike(rule_base: RuleBase, preparation: Preparation) -> bool:
    """Whether a constraint tests what the preparation is about, or weights alone may come to a stop."""
    names = facts_of(rule_base, preparation)
    names = names.union(*(followers(rule_base, name) for name in names))
    variables = {variable for name in names for variable in rule_base.facts[name].variables}
    return any(
        _weights_reach(decision)
        or any(
            not argument.weight and not variables.isdisjoint(argument.condition.variables)
            for argument in decision.arguments
        )
        for decision in _stopping(rule_base)
    )


def _weights_reach(decision: Decision) -> bool:
    """Whether some sum of weights puts a stop above other options that nothing strikes."""
    base = {option: decision.entry.options[option].base for option in decision.options}

    def end(option: str, sign: int) -> int:
        speaking = (a.weight for a in decision.arguments if option in a.options and a.weight * sign > 0)
        return base[option] + sum(speaking)

    stops = decision.entry.stops
    others = [end(option, -1) for option in decision.options if option not in stops]
    return not others or min(others) <= max(end(option, 1) for option in stops)


def mended(rule_base: RuleBase, preparation: Preparation) -> list[int]:
    """The variables that a preparation puts right."""
    facts = preparation.entry.mends
    tested = sorted(preparation.lacking.variables)
    return [variable for variable in tested if not facts or rule_base.variables[variable].name in facts]


def facts_of(rule_base: RuleBase, preparation: Preparation) -> set[str]:
    """The facts that a preparation puts right."""
    return {rule_base.variables[variable].name for variable in mended(rule_base, preparation)}


def _failures(prover: Prover, preparation: Preparation) -> Iterator[Failure]:
    rule_base = prover.rule_base
    names, moved = facts_of(rule_base, preparation), mended(rule_base, preparation)
    before, after = prover.compared(*sorted(names))
    logic = before.logic
    lacks = [before.holds(preparation.lacking), logic.opposite(after.may(preparation.lacking))]
    stays = [
        same(before, after, variable)
        for name in sorted(names)
        for variable in rule_base.facts[name].variables
        if variable not in moved
    ]
    stays += [
        logic.either([logic.every(_same(before, after, name)), after.space.forced[name]])
        for name in sorted(set().union(*(followers(rule_base, name) for name in names)) - names)
    ]
    if logic.possible(*lacks, *stays, _stops(before), logic.opposite(_stops(after))):
        answers, mended_answers = answers_found(before.space), answers_found(after.space)
        says = tr("While only this is lacking, work stops: {title}.", title=preparation.entry.title)
        yield Failure(preparation.name, says, answers, mended_answers)


def _same(before: World, after: World, name: str) -> Iterator[Bit]:
    return (same(before, after, variable) for variable in before.rule_base.facts[name].variables)


def _stops(world: World) -> Bit:
    return world.logic.either(
        world.chosen(decision.name, option)
        for decision in _stopping(world.rule_base)
        for option in decision.entry.stops
    )
