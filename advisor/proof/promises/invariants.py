"""Whether the invariants of a rule base hold for every set of answers."""

from __future__ import annotations

from dataclasses import replace
from functools import partial

from advisor.engine import Conclusions
from advisor.proof.report import Failure, PromiseVerdict
from advisor.proof.search import oracle
from advisor.proof.search.prover import Prover
from advisor.proof.space.consequences import follows
from advisor.proof.space.logic import Bit
from advisor.proof.space.world import World
from advisor.rulebase.model import NO_CONTROL, Invariant
from advisor.words import tr


def safe(prover: Prover) -> PromiseVerdict:
    """Every invariant holds, over full answers and, unless it says otherwise, over partial ones."""
    verdict = PromiseVerdict(
        "safe", tr("Every invariant holds; with something not known, a danger that is open counts as present.")
    )
    invariants = [i for i in prover.rule_base.invariants.values() if i.is_made(diagnosis=prover.diagnosis)]
    everywhere = sum(invariant.entry.answers == "all" for invariant in invariants)
    for invariant in invariants:
        verdict.checked += 1
        failure = _breach(prover, invariant, for_certain=True)
        if failure is None and invariant.entry.answers == "all":
            verdict.checked += 1
            failure = _breach(prover, invariant, for_certain=False)
        if failure is None and not prover.full.logic.possible(prover.full.may(invariant.condition)):
            if invariant.origin.layer in prover.rule_base.layers[1:] or len(prover.rule_base.layers) == 1:
                says = tr("This invariant never speaks: no answers make its condition true.")
                failure = Failure(invariant.entry.id, says)
            else:  # A shop's own rules may be stricter.
                verdict.lines.append(tr("'{id}' has nothing to say with these rules.", id=invariant.entry.id))
        if failure is not None:
            verdict.failures.append(failure)
    verdict.declared = bool(invariants)
    kept = tr(
        "{count} of {invariants} invariants hold",
        count=len(invariants) - len(verdict.failures),
        invariants=len(invariants),
    )
    verdict.lines.append(
        tr("{kept}; {everywhere} of them are made for partial answers too.", kept=kept, everywhere=everywhere)
    )
    return verdict


def _breach(prover: Prover, invariant: Invariant, *, for_certain: bool) -> Failure | None:
    """A failure if the invariant is broken: for certain with full answers, or open with partial ones."""
    shows = partial(breach, invariant, for_certain=for_certain)
    world = prover.full if for_certain else prover.partial
    if not world.logic.possible(shows(world)):
        return None
    how = tr("With these answers this is not so: ") if for_certain else tr("With this much known this is not certain: ")
    confirms = partial(_confirms, invariant, for_certain)
    failure = prover.failure(invariant.entry.id, how + invariant.entry.means, shows, confirms, world)
    conclusions = oracle.concluded(prover.rule_base, failure.answers or {})
    wrong = oracle.breaches(conclusions, invariant, for_certain=for_certain)
    return replace(failure, says=" ".join([failure.says, *wrong]))


def _confirms(invariant: Invariant, for_certain: bool, conclusions: Conclusions) -> bool:
    return bool(oracle.breaches(conclusions, invariant, for_certain=for_certain))


def _control_shown(world: World, hazard_name: str, place: int) -> Bit:
    if place == NO_CONTROL:
        return False
    hazard = world.rule_base.hazards[hazard_name]
    return world.control_shown(hazard, hazard.controls[place])


def breach(invariant: Invariant, world: World, *, for_certain: bool) -> Bit:
    """Where an invariant is not kept; see :func:`oracle.breaches`."""
    logic, entry = world.logic, invariant.entry
    when = world.holds(invariant.condition) if for_certain else world.may(invariant.condition)
    missing: list[Bit] = []
    if invariant.then is not None:
        missing.append(
            world.truths.fails(invariant.then)
            if for_certain
            else logic.opposite(follows(invariant.then.tree, world.holds, world.may, logic.every, logic.either))
        )
    steps = {name: step.condition for name, step in world.rule_base.steps.items()}
    for there, wanted, unwanted in (
        (invariant.hazards, entry.hazards, entry.without_hazards),
        (steps, entry.steps, entry.without_steps),
    ):
        missing += [logic.opposite(world.may(there[name])) if name in there else True for name in wanted]
        missing += [world.may(there[name]) for name in unwanted if name in there]
    for name, place in invariant.controls:
        missing.append(logic.opposite(_control_shown(world, name, place)))
    return logic.every([when, logic.either(missing)])
