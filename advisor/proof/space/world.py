"""Everything that follows, for all sets of answers at once: decisions, hazards, controls, steps."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from advisor.proof.space.answers import Space
from advisor.proof.space.causes import Judged, judge
from advisor.proof.space.decisions import Decided, decide
from advisor.proof.space.logic import Bit, Logic
from advisor.rulebase.language.conditions import Condition
from advisor.rulebase.model import Control, Decision, Hazard, RuleBase

SECTIONS = ("hazards", "preparations", "steps", "amounts", "expectations", "referrals")
"""Sections whose entries are in the advice unless their condition fails."""


class World:
    """One set of answers, left open, with all that follows from it.

    Attributes:
        logic: The solver.
        rule_base: The rules.
        space: The answers.
        decisions: Each decision of this consultation for one option.
        verdicts: Each decision of this consultation for several options.
    """

    def __init__(
        self,
        logic: Logic,
        rule_base: RuleBase,
        *,
        partial: bool,
        free: frozenset[str] = frozenset(),
        beside: World | None = None,
        apart: frozenset[str] = frozenset(),
    ) -> None:
        """Encode the decisions; the rest follows when it is asked for.

        Args:
            logic: The solver.
            rule_base: The rules.
            partial: Whether things may be unknown.
            free: Decisions for which any option may be taken, as when routes are laid side by side.
            beside: Another world of the same solver, from which this one differs only in some facts.
            apart: Those facts.
        """
        self.logic = logic
        self.rule_base = rule_base
        other = None if beside is None else beside.space
        self.space: Space = Space(logic, rule_base, partial=partial, beside=other, apart=apart)
        self.truths = self.space.truths
        self.decisions: dict[str, Decided] = {}
        self.several: dict[str, Judged] = {}
        self._leave_open()
        for name, decision in rule_base.agenda.items():
            if decision.entry.several:
                self._judge(decision)
            else:
                self._decide(decision, name in free, None if beside is None else beside.decisions[name])

    def _leave_open(self) -> None:
        """Decisions that this consultation does not take may be anything."""
        off = [d for name, d in self.rule_base.decisions.items() if name not in self.rule_base.agenda]
        for variable in (variable for decision in off for variable in decision.variables):
            self.truths.domain[variable] = (True,) * len(self.rule_base.variables[variable].domain)
        several = [d for d in self.rule_base.agenda.values() if d.entry.several]
        self.truths.uncertain |= {variable for decision in (*off, *several) for variable in decision.variables}

    def _judge(self, decision: Decision) -> None:
        found = self.several[decision.name] = judge(self.truths, decision)
        for variable, certain, possible in zip(decision.variables, found.certain, found.possible, strict=True):
            self.truths.domain[variable] = (self.logic.opposite(certain), possible)

    def _decide(self, decision: Decision, free: bool, beside: Decided | None) -> None:
        decided = decide(self.truths, decision, beside=beside)
        if free:
            chosen = tuple(self.logic.bit(f"{decision.name}.{option}") for option in decision.options)
            self.logic.exactly_one(chosen)
            decided = replace(decided, chosen=chosen)
        self.decisions[decision.name] = decided
        self.truths.domain[decision.variable] = decided.chosen

    def chosen(self, decision: str, option: str) -> Bit:
        """Whether an option is taken."""
        decided = self.decisions[decision]
        return decided.chosen[decided.decision.options.index(option)]

    def shown(self, section: str, name: str) -> Bit:
        """Whether an entry is in the advice."""
        return self.truths.may(getattr(self.rule_base, section)[name].condition)

    def control_shown(self, hazard: Hazard, control: Control) -> Bit:
        """Whether a control of a hazard is in the advice."""
        return self.logic.every([self.truths.may(hazard.condition), self.truths.may(control.condition)])

    def outcome(self) -> Iterator[tuple[str, Bit]]:
        """Every part of the advice that can differ, with a name for it."""
        for name, decided in self.decisions.items():
            for option, bit in zip(decided.decision.options, decided.chosen, strict=True):
                yield f"{name}.{option}", bit
        for name, judged in self.several.items():
            for option, bit in zip(judged.decision.options, judged.possible, strict=True):
                yield f"{name}.{option}", bit
        for section in SECTIONS:
            for name in getattr(self.rule_base, section):
                yield f"{section}.{name}", self.shown(section, name)
        for name, hazard in self.rule_base.hazards.items():
            for number, control in enumerate(hazard.controls):
                if control.condition is not None:
                    yield f"controls.{name}.{number}", self.control_shown(hazard, control)
        for name, quantity in self.rule_base.quantities.items():
            for number, case in enumerate(quantity.cases):
                if case.condition is not None:
                    yield f"quantities.{name}.{number}", self.truths.may(case.condition)

    def holds(self, condition: Condition) -> Bit:
        """Whether a condition holds for certain."""
        return self.truths.holds(condition)

    def may(self, condition: Condition) -> Bit:
        """Whether a condition holds or is open."""
        return self.truths.may(condition)
