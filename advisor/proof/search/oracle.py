"""The same promises for one set of answers, asked of the inference itself; the solver is not used here.

What the solver finds is confirmed here, and random checks use it without any solver.
"""

from __future__ import annotations

from collections.abc import Iterator

from advisor.engine import Answers, Conclusions, Outcome, conclude_state, state_of
from advisor.proof.space.consequences import follows
from advisor.proof.space.decisions import strikes, tie_places
from advisor.proof.space.world import SECTIONS
from advisor.rulebase.language.conditions import FAILS, HOLDS, Condition
from advisor.rulebase.model import NO_CONTROL, Decision, Invariant, RuleBase
from advisor.words import tr


def concluded(rule_base: RuleBase, answers: Answers) -> Conclusions:
    """What follows from answers as far as bounds tell, which is what the solver works out too.

    Where the consultation itself settles more, it takes what every full set with these answers gives.

    Raises:
        ContradictionError: If answers contradict each other.
    """
    return conclude_state(rule_base, answers, state_of(rule_base, answers))


def options_left(outcome: Outcome) -> list[int]:
    """The options that nothing which holds or is open rules out."""
    return [place for place in range(len(outcome.support)) if outcome.tally.ruled_out(place) == FAILS]


def without_option(conclusions: Conclusions) -> Iterator[str]:
    """Decisions in which every option is ruled out."""
    for name, outcome in conclusions.outcomes.items():
        if not options_left(outcome):
            yield name


def ties(conclusions: Conclusions) -> Iterator[tuple[str, str, str]]:
    """Decisions that only the order in the file breaks: the name, the option taken and its equal."""
    for name, outcome in conclusions.outcomes.items():
        options = outcome.decision.options
        taken = options.index(outcome.chosen)
        places = tie_places(outcome.decision)
        left = options_left(outcome)
        for other in left:
            equal = outcome.support[other][0] == outcome.support[taken][0] and places[other][0] == places[taken][0]
            if taken in left and other != taken and equal:
                yield name, outcome.chosen, options[other]


def clashes(conclusions: Conclusions) -> Iterator[tuple[str, str]]:
    """Requirements that hold although all they require is ruled out for certain: decision and argument."""
    for name, outcome in conclusions.outcomes.items():
        for argument in outcome.decision.arguments:
            if argument.says == "require" and conclusions.truth(argument.condition) == HOLDS:
                places = [outcome.decision.options.index(option) for option in argument.options]
                if all(outcome.tally.surely_out[place] for place in places):
                    yield name, argument.id


def breaches(conclusions: Conclusions, invariant: Invariant, *, for_certain: bool) -> list[str]:
    """In what an invariant is not kept, a sentence for each; none if it is kept or makes no promise here.

    Args:
        conclusions: What follows from the answers.
        invariant: The invariant.
        for_certain: Whether only a breach counts that no further answer can lift; otherwise a danger that is open
            counts as present and a consequence that is open as missing.
    """
    when = conclusions.truth(invariant.condition)
    if when == FAILS or (for_certain and when != HOLDS):
        return []
    found = []
    if invariant.then is not None and not _follows(conclusions, invariant.then, for_certain=for_certain):
        taken = ", ".join(f"{name} is {outcome.chosen}" for name, outcome in conclusions.outcomes.items())
        found.append(
            tr("Wanted: {split}. Found: {taken}.", split=" ".join(str(invariant.entry.then).split()), taken=taken)
        )
    return [*found, *_not_in_advice(conclusions, invariant)]


def _follows(conclusions: Conclusions, then: Condition, *, for_certain: bool) -> bool:
    if for_certain:
        return conclusions.truth(then) != FAILS
    truth = conclusions.truth
    return follows(then.tree, lambda one: truth(one) == HOLDS, lambda one: truth(one) != FAILS, all, any)


def _not_in_advice(conclusions: Conclusions, invariant: Invariant) -> Iterator[str]:
    entry, rule_base = invariant.entry, conclusions.rule_base
    steps = {
        name: rule_base.steps[name].condition
        for name in (*entry.steps, *entry.without_steps)
        if name in rule_base.steps
    }
    for kind, wanted, unwanted, known in (
        (tr("hazard"), entry.hazards, entry.without_hazards, invariant.hazards),
        (tr("step"), entry.steps, entry.without_steps, steps),
    ):
        shown = {name for name in (*wanted, *unwanted) if name in known and conclusions.truth(known[name]) != FAILS}
        yield from (tr("The {kind} '{name}' is missing.", kind=kind, name=name) for name in wanted if name not in shown)
        yield from (tr("The {kind} '{name}' is there.", kind=kind, name=name) for name in unwanted if name in shown)
    for promised, (name, place) in zip(entry.controls, invariant.controls, strict=True):
        if place == NO_CONTROL or not control_shown(conclusions, name, place):
            yield tr("The control '{says}' of the hazard '{name}' is missing.", says=promised.says, name=name)


def control_shown(conclusions: Conclusions, hazard: str, place: int) -> bool:
    """Whether a control of a hazard is in the advice."""
    condition = conclusions.rule_base.hazards[hazard].controls[place].condition
    return conclusions.attached(hazard) and (condition is None or conclusions.truth(condition) != FAILS)


def chosen_without(conclusions: Conclusions, decision: Decision, silenced: str) -> str:
    """The option taken with full answers when one argument is taken away."""
    out: set[str] = set()
    support = {option: decision.entry.options[option].base for option in decision.options}
    for argument in decision.arguments:
        if argument.id == silenced or conclusions.truth(argument.condition) != HOLDS:
            continue
        out |= {option for option in decision.options if strikes(argument, option)}
        for option in argument.options:
            support[option] += argument.weight
    left = [option for option in decision.options if option not in out] or [str(decision.entry.fallback)]
    places = dict(zip(decision.options, tie_places(decision), strict=True))
    return min(left, key=lambda option: (-support[option], places[option]))


def outcome(conclusions: Conclusions) -> frozenset[str]:
    """Every part of the advice that is there, named as :meth:`advisor.proof.space.world.World.outcome` names it."""
    rule_base = conclusions.rule_base
    found = {f"{name}.{outcome.chosen}" for name, outcome in conclusions.outcomes.items()}
    for name, verdict in conclusions.several.items():
        pairs = zip(verdict.decision.options, verdict.decision.variables, strict=True)
        found |= {f"{name}.{option}" for option, variable in pairs if conclusions.state[variable] & 2}
    for section in SECTIONS:
        entries = getattr(rule_base, section)
        found |= {f"{section}.{n}" for n, entry in entries.items() if conclusions.truth(entry.condition) != FAILS}
    for name, hazard in rule_base.hazards.items():
        for place, control in enumerate(hazard.controls):
            if control.condition is not None and control_shown(conclusions, name, place):
                found.add(f"controls.{name}.{place}")
    for name, quantity in rule_base.quantities.items():
        for place, case in enumerate(quantity.cases):
            if case.condition is not None and conclusions.truth(case.condition) != FAILS:
                found.add(f"quantities.{name}.{place}")
    return frozenset(found)
