"""Whether every question and every limit can change the advice."""

from __future__ import annotations

from collections.abc import Iterator

from advisor.proof.search.decoding import answers_found
from advisor.proof.search.neighbours import others_same
from advisor.proof.search.prover import Prover
from advisor.proof.search.sweeping import Witnesses, distinct, sweep
from advisor.proof.search.trying import AnswerTrial
from advisor.proof.space.logic import Bit
from advisor.proof.space.needs import Needs
from advisor.proof.space.world import SECTIONS, World
from advisor.rulebase.language import grammar
from advisor.rulebase.language.conditions import AllOf, AnyOf, Condition
from advisor.rulebase.model import Control, Fact, Implied, NextBatch, QuantityCase, RuleBase
from advisor.words import tr

_MOST_TRIED = 60


def idle_facts(prover: Prover, witnesses: Witnesses) -> Iterator[tuple[str, str]]:
    """Facts whose answer never changes a decision, a hazard, a control, a step or a weight.

    Limits of a quantity are looked at on the way: an amount that moves over the limit changes something. The answers
    found so far are tried first, with the inference; the solver is asked where they do not show it.
    """
    rule_base = prover.rule_base
    limits, feeding = _limits(rule_base), computed_from(rule_base)
    tested = {variable for condition in _looking(rule_base, witnesses) for variable in condition.variables}
    trial, needs = AnswerTrial(rule_base, distinct(witnesses)[:_MOST_TRIED]), Needs(prover.full)
    for fact in rule_base.facts.values():
        mine = limits.get(fact.name, {})
        if fact.computed:
            # It is never answered, so it matters where something at work looks at it.
            trial.look_for(fact, mine, witnesses)
            if not {f"thresholds.{name}" for name in mine} <= set(witnesses):
                _ask(prover, fact, mine, witnesses)
            if fact.name not in feeding and tested.isdisjoint(fact.variables):
                yield f"facts.{fact.name}", tr("Nothing that is ever at work looks at what is worked out here.")
            continue
        if fact.name in feeding and not mine:
            continue  # It matters as what is worked out from it does.
        trial.look_for(fact, mine, witnesses)
        wanted = {f"facts.{fact.name}", *(f"thresholds.{name}" for name in mine)}
        if f"facts.{fact.name}" not in witnesses and prover.full.logic.possible(needs.needed(fact.name)):
            witnesses[f"facts.{fact.name}"] = answers_found(prover.full.space)
        if not wanted <= set(witnesses):
            _ask(prover, fact, mine, witnesses)
        if f"facts.{fact.name}" not in witnesses and fact.name not in feeding:
            yield f"facts.{fact.name}", tr("No answer to this question ever changes the advice.")


def computed_from(rule_base: RuleBase) -> set[str]:
    """What computed facts are worked out from: it matters as they do."""
    facts = rule_base.facts.values()
    tested = {variable for fact in facts for condition in fact.choosing for variable in condition.variables}
    return {name for fact in facts for name in fact.used} | {rule_base.variables[v].name for v in tested}


def _ask(prover: Prover, fact: Fact, limits: dict[str, list[float]], witnesses: Witnesses) -> None:
    """Ask the solver for answers to which another answer to this question makes a difference."""
    before, after = prover.compared(fact.name)
    logic = before.logic
    step = logic.every([*others_same(before, after, fact), _differs(before, after)])
    if f"facts.{fact.name}" not in witnesses and logic.possible(step):
        witnesses[f"facts.{fact.name}"] = answers_found(before.space)
    for name, breakpoints in limits.items():
        across = logic.either(_across(before, after, fact, breakpoint) for breakpoint in breakpoints)
        if f"thresholds.{name}" not in witnesses and logic.possible(step, across):
            witnesses[f"thresholds.{name}"] = answers_found(before.space)
    if f"facts.{fact.name}" not in witnesses:
        # Another answer may also be what lets a fact that a weight needs be known without a question.
        needs = Needs(before)
        asked = logic.either(
            logic.every([logic.differ(bit, after.space.forced[name]), needs.needed(name)])
            for name, bit in before.space.forced.items()
        )
        if logic.possible(*others_same(before, after, fact), asked):
            witnesses[f"facts.{fact.name}"] = answers_found(before.space)


def _differs(before: World, after: World) -> Bit:
    """Whether any part of the advice is not the same in two worlds."""
    logic = before.logic
    outcomes = zip(before.outcome(), after.outcome(), strict=True)
    return logic.either(logic.differ(one, other) for (_, one), (_, other) in outcomes)


def _across(before: World, after: World, fact: Fact, breakpoint: float) -> Bit:
    """Whether a quantity lies on different sides of a limit, in the cells next to it."""
    place = 2 * fact.breakpoints.index(breakpoint) + 1
    variable = fact.variables[0]
    one, other = before.space.given[variable], after.space.given[variable]
    steps = [(place - 1, place), (place, place + 1)]
    return before.logic.either(before.logic.every([one[low], other[high]]) for low, high in steps)


def silent_facts(prover: Prover, witnesses: Witnesses) -> Iterator[tuple[str, str]]:
    """Facts that no argument shown at work looks at, no part of the plan, and no figure of a correction."""
    rule_base = prover.rule_base
    looked_at = {variable for condition in _looking(rule_base, witnesses) for variable in condition.variables}
    taken = {word for correction in rule_base.corrections.values() for word in correction.entry.inputs.values()}
    taken |= Needs(prover.full).names() | computed_from(rule_base)
    for fact in rule_base.facts.values():
        # What is worked out for a route is judged where routes are.
        if not fact.computed and fact.name not in taken and looked_at.isdisjoint(fact.variables):
            yield f"facts.{fact.name}", tr("Nothing that is ever at work looks at this question.")


def _looking(rule_base: RuleBase, witnesses: Witnesses) -> Iterator[Condition]:
    """The conditions of everything that comes up for some answers."""
    arguments = [argument for decision in rule_base.agenda.values() for argument in decision.arguments]
    # Those copied from a work that a correction is like are shown at work by the route consultation.
    yield from (a.condition for a in arguments if f"arguments.{a.id}" in witnesses or a.id not in rule_base.arguments)
    for section in SECTIONS:
        yield from (entry.condition for entry in getattr(rule_base, section).values())
    parts: tuple[Control | QuantityCase | NextBatch | Implied, ...] = (
        *(control for hazard in rule_base.hazards.values() for control in hazard.controls),
        *(case for quantity in rule_base.quantities.values() for case in quantity.cases),
        *(change for cause in rule_base.causes.values() for change in cause.next_batch),
        *(implied for fact in rule_base.facts.values() for implied in fact.implied),
    )
    yield from (part.condition for part in parts if part.condition is not None)


def idle_thresholds(prover: Prover, witnesses: Witnesses) -> Iterator[tuple[str, str]]:
    """Limits that no amount ever crosses with any effect, and that no weight needs; after the facts."""
    needs, used = Needs(prover.full), computed_from(prover.rule_base)
    pending = {f"thresholds.{name}": needs.needed(name) for name in prover.rule_base.thresholds if name not in used}
    for name in sweep(prover.full, pending, witnesses):
        yield name, tr("Moving over this limit never changes anything, and no weight needs it.")


def _limits(rule_base: RuleBase) -> dict[str, dict[str, list[float]]]:
    """For each quantity, the thresholds that conditions compare it with."""
    found: dict[str, dict[str, list[float]]] = {}
    for text in _condition_texts(rule_base):
        for tree in _comparisons(grammar.parse_condition(text)):
            amounts = (tree.amount,) if isinstance(tree, grammar.Compares) else (tree.low, tree.high)
            for amount in amounts:
                fact = rule_base.facts[tree.name]
                if amount.name in rule_base.thresholds:
                    value = rule_base.thresholds[amount.name].amount.likely
                    found.setdefault(fact.name, {}).setdefault(amount.name, []).append(value)
    return found


def _comparisons(tree: grammar.Written) -> Iterator[grammar.Compares | grammar.Between]:
    if isinstance(tree, AllOf | AnyOf):
        for part in tree.parts:
            yield from _comparisons(part)
    elif isinstance(tree, grammar.Not):
        yield from _comparisons(tree.part)
    elif isinstance(tree, grammar.Compares | grammar.Between):
        yield tree


def _condition_texts(rule_base: RuleBase) -> Iterator[str]:
    sections = ("findings", "arguments", "hazards", "steps", "amounts", "expectations", "referrals")
    for section in sections:
        # What follows from acts alone has no text of its own; the steps have it.
        yield from (e.condition.text for e in getattr(rule_base, section).values() if e.condition.text)
    parts = [c for hazard in rule_base.hazards.values() for c in hazard.controls]
    yield from (control.condition.text for control in parts if control.condition is not None)
    cases = [c for quantity in rule_base.quantities.values() for c in quantity.cases]
    yield from (case.condition.text for case in cases if case.condition is not None)
    yield from (i.condition.text for fact in rule_base.facts.values() for i in fact.implied)
