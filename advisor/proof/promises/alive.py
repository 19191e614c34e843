"""Whether everything in a rule base matters for somebody's answers."""

from __future__ import annotations

import re
from collections.abc import Iterator
from functools import partial

from advisor.proof.promises.alive_facts import idle_facts, idle_thresholds, silent_facts
from advisor.proof.promises.alive_parts import idle_checks, idle_parts
from advisor.proof.report import Failure, PromiseVerdict
from advisor.proof.search.oracle import chosen_without as chosen_without_one
from advisor.proof.search.oracle import concluded
from advisor.proof.search.prover import Prover
from advisor.proof.search.sweeping import Witnesses, distinct, sweep
from advisor.proof.space.causes import judge_option
from advisor.proof.space.decisions import chosen_without, strikes
from advisor.proof.space.logic import Bit, Logic
from advisor.proof.space.world import World
from advisor.rulebase.language.conditions import HOLDS
from advisor.rulebase.model import Argument, Decision, RuleBase
from advisor.words import tr

_TOGETHER = 12
_PARTS = (idle_parts, idle_facts, idle_thresholds, idle_checks)


def alive(prover: Prover, witnesses: Witnesses) -> PromiseVerdict:
    """Everything matters for some answers, or is declared as kept.

    In the diagnosis hazards and steps are those of the work a correction is like; the route consultation shows them.

    Args:
        prover: The rules.
        witnesses: Filled with answers for each thing that matters.
    """
    verdict = PromiseVerdict(
        "alive", tr("Every rule, question, option and limit matters for some answers, or is kept on purpose.")
    )
    idle: dict[str, str] = {}
    if prover.diagnosis:
        idle.update(_idle_options(prover, witnesses))
        idle.update(_silent_arguments(prover, witnesses, verdict))
        idle.update(silent_facts(prover, witnesses))
    else:
        for look in (_idle_options, partial(_idle_arguments, verdict=verdict), *_PARTS):
            idle.update(look(prover, witnesses))
    _judge(prover, idle, witnesses, verdict)
    return verdict


def _judge(prover: Prover, idle: dict[str, str], witnesses: Witnesses, verdict: PromiseVerdict) -> None:
    """What never matters must be kept on purpose, and what is kept must never matter."""
    kept = {rule: entry.id for entry in prover.rule_base.kept.values() for rule in entry.rules}
    unwanted = {subject: says for subject, says in idle.items() if subject not in kept}
    # A shop that is stricter leaves shipped rules nothing to say, which is no fault of either.
    layered = len(prover.rule_base.layers) > 1
    overtaken = [subject for subject in unwanted if layered and not _is_own(prover.rule_base, subject)]
    if overtaken:
        verdict.lines.append(
            tr("With your own rules these shipped ones no longer matter: {overtaken}.", overtaken=", ".join(overtaken))
        )
    verdict.failures += [Failure(s, says) for s, says in unwanted.items() if s not in overtaken]
    for rule, entry in kept.items():
        if rule in idle:
            continue
        if layered:  # No fault of a shop's own rules; it may even be what they want.
            if rule in witnesses:
                verdict.lines.append(
                    tr("{rule} matters now; '{entry}' kept it as a second net.", rule=rule, entry=entry)
                )
        elif rule in witnesses or not prover.diagnosis:  # The diagnosis looks only at its own.
            verdict.failures.append(
                Failure(rule, tr("'{entry}' keeps this as a rule that never matters; it is none.", entry=entry))
            )
    verdict.checked = len(witnesses) + len(idle)
    verdict.lines.append(
        tr(
            "{count} are shown at work by answers, {keys} are kept on purpose.",
            count=len(witnesses),
            keys=len(kept.keys() & idle),
        )
    )


def _is_own(rule_base: RuleBase, subject: str) -> bool:
    """Whether a thing stands in a shop's own rules; what cannot be told counts as its own."""
    section, name = re.split(r"[.,]", subject)[:2]
    section = "hazards" if section == "controls" else section
    origin = getattr(getattr(rule_base, section, {}).get(name), "origin", None)
    return origin is None or origin.layer != rule_base.layers[0]


def _idle_options(prover: Prover, witnesses: Witnesses) -> Iterator[tuple[str, str]]:
    world = prover.full
    pending = {
        f"decisions.{name}.{option}": world.chosen(name, option)
        for name, decision in prover.decisions.items()
        for option in decision.options
    }
    for name, judged in world.several.items():
        pending.update(
            (f"decisions.{name}.{o}", b) for o, b in zip(judged.decision.options, judged.possible, strict=True)
        )
    for name in sweep(world, pending, witnesses):
        yield name, tr("This option is never taken.")


def _arguments(prover: Prover) -> list[Argument]:
    """The arguments as they are written; those copied from a work that a correction is like stand elsewhere."""
    every = [a for decision in prover.rule_base.agenda.values() for a in decision.arguments]
    return [a for a in every if a.entry.status != "retired" and a.id in prover.rule_base.arguments]


def _idle_arguments(prover: Prover, witnesses: Witnesses, verdict: PromiseVerdict) -> Iterator[tuple[str, str]]:
    """Arguments without which nothing would be decided otherwise, nor an option supported otherwise."""
    arguments = _arguments(prover)
    heard = dict(witnesses)
    dead = _silent(prover, arguments, heard)
    single = [a for a in arguments if a.decision in prover.decisions and f"arguments.{a.id}" not in dead]
    _try_without(prover, single, heard, witnesses)
    single = [a for a in single if f"arguments.{a.id}" not in witnesses]
    quiet: list[str] = []
    for start in range(0, len(single), _TOGETHER):
        quiet += _never_decisive(prover, single[start : start + _TOGETHER], witnesses)
    several = {
        f"arguments.{a.id}": _takes(prover.full, a)
        for a in arguments
        if a.decision in prover.full.several and f"arguments.{a.id}" not in dead
    }
    quiet += sweep(prover.full, several, witnesses)
    witnesses.update({name: heard[name] for name in quiet})
    verdict.lines.append(
        tr(
            "{count} arguments: {count_2} decide for some answers, {quiet} only weigh, {dead} do neither.",
            count=len(arguments),
            count_2=len(arguments) - len(dead) - len(quiet),
            quiet=len(quiet),
            dead=len(dead),
        )
    )
    yield from dead.items()


def _try_without(prover: Prover, arguments: list[Argument], heard: Witnesses, witnesses: Witnesses) -> None:
    """Find with the inference arguments that decide for some of the answers that are at hand."""
    for answers in distinct(heard):
        found = concluded(prover.rule_base, answers)
        for argument in arguments:
            outcome, subject = found.outcomes[argument.decision], f"arguments.{argument.id}"
            if subject in witnesses or found.truth(argument.condition) != HOLDS:
                continue
            if chosen_without_one(found, outcome.decision, argument.id) != outcome.chosen:
                witnesses[subject] = answers


def _silent_arguments(prover: Prover, witnesses: Witnesses, verdict: PromiseVerdict) -> Iterator[tuple[str, str]]:
    """Arguments that never alone strike an option nor weigh on one still in the running.

    Whether each also decides alone would take the diagnosis, with its many causes, several minutes.
    """
    arguments = _arguments(prover)
    dead = _silent(prover, arguments, witnesses)
    verdict.lines.append(
        tr(
            "{count} of {arguments} arguments strike or weigh for some answers.",
            count=len(arguments) - len(dead),
            arguments=len(arguments),
        )
    )
    yield from dead.items()


def _silent(prover: Prover, arguments: list[Argument], witnesses: Witnesses) -> dict[str, str]:
    """Those of some arguments that neither strike nor weigh, with the reason."""
    heard = {f"arguments.{a.id}": counts(prover.full, a) for a in arguments}
    dead = list(sweep(prover.full, heard, witnesses))
    named = prover.rule_base.arguments
    return {name: _why_dead(prover.full, named[name.removeprefix("arguments.")]) for name in dead}


def _never_decisive(prover: Prover, arguments: list[Argument], witnesses: Witnesses) -> list[str]:
    """Those arguments without which nothing is ever decided otherwise; a few at a time keep the solver quick."""
    world = World(Logic(), prover.rule_base, partial=False)
    decisive = {}
    for argument in arguments:
        found = world.decisions[argument.decision]
        other = chosen_without(world.truths, found, argument)
        changed = world.logic.either(map(world.logic.differ, found.chosen, other))
        decisive[f"arguments.{argument.id}"] = world.logic.every([world.holds(argument.condition), changed])
    return list(sweep(world, decisive, witnesses))


def _takes(world: World, argument: Argument) -> Bit:
    """Where an argument of a decision for several changes whether an option is taken."""
    decision = world.several[argument.decision].decision
    changed = []
    for option in argument.options:
        now = world.several[argument.decision].possible[decision.options.index(option)]
        changed.append(world.logic.differ(now, judge_option(world.truths, decision, option, argument)[1]))
    return world.logic.either(changed)


def counts(world: World, argument: Argument) -> Bit:
    """Where an argument alone strikes an option, or changes the support of one that is still in the running."""
    logic = world.logic
    holds = world.holds(argument.condition)
    if argument.decision in world.several:
        decision = world.several[argument.decision].decision
        struck = (judge_option(world.truths, decision, option, argument)[2] for option in argument.options)
        return logic.every([holds, logic.either(map(logic.opposite, struck))])
    found = world.decisions[argument.decision]
    if argument.says in ("for", "against"):
        options = found.decision.options
        return logic.every([holds, logic.either(found.allowed[options.index(option)] for option in argument.options)])
    alone = []
    for option in found.decision.options:
        if strikes(argument, option):
            others = [a for a in found.decision.arguments if a is not argument and strikes(a, option)]
            alone.append(logic.opposite(logic.either(world.holds(a.condition) for a in others)))
    return logic.every([holds, logic.either(alone)])


def _why_dead(world: World, argument: Argument) -> str:
    holds = world.holds(argument.condition)
    if not world.logic.possible(holds):
        return tr("Its condition never holds.")
    for other in _strikers_over(world.rule_base.decisions[argument.decision], argument):
        if not world.logic.possible(holds, world.logic.opposite(world.holds(other.condition))):
            return tr("Whenever it holds, '{id}' holds too and strikes the same options.", id=other.id)
    return tr("Whenever it holds, other rules strike the same options.")


def _strikers_over(decision: Decision, argument: Argument) -> Iterator[Argument]:
    """The constraints that strike all that an argument speaks about."""
    constraint = argument.says in ("require", "rule_out")
    about = [option for option in decision.options if strikes(argument, option)] if constraint else argument.options
    for other in decision.arguments:
        if other is not argument and all(strikes(other, option) for option in about):
            yield other
