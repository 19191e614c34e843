"""Compiles computed facts: quantities that are never asked, but worked out from other answers before deciding."""

from __future__ import annotations

from dataclasses import replace

from advisor.rulebase.compiling.context import Context
from advisor.rulebase.model import Fact, QuantityCase


class ComputedCompiler(Context):
    """Compiles the formulas of computed facts."""

    def _with_computed(self) -> dict[str, Fact]:
        """The facts, those that are computed after all that they are computed from."""
        made = {name: self._formulas(name, fact) if fact.entry.computed else fact for name, fact in self.facts.items()}
        return self._in_order(made)

    def _formulas(self, name: str, fact: Fact) -> Fact:
        held = self.sections["facts"][name]
        assert fact.unit is not None
        known = {other: self.dimensions[other] for other in (*self.facts, *self.thresholds) if other in self.dimensions}
        decided = {v.index for variables in self.decision_variables.values() for v in variables}
        cases = []
        for position, case in enumerate(fact.entry.computed):
            path = ("computed", position)
            formula = self._formula(held, case.formula, (*path, "formula"), known)
            condition = None if case.when is None else self._condition(held, case.when, (*path, "when"))
            if condition is not None and condition.variables & decided:
                self._refuse(held, (*path, "when"), "this tests a decision", "test only facts")
            if formula is None:
                continue
            if formula.dimension != fact.unit.dimension:
                wrong = f"this does not give {fact.unit.symbol}"
                self._refuse(held, (*path, "formula"), wrong, f"write a formula that gives {fact.unit.symbol}")
            cases.append(QuantityCase(condition, formula))
        return replace(fact, computed=tuple(cases))

    def _in_order(self, facts: dict[str, Fact]) -> dict[str, Fact]:
        left = {name: fact for name, fact in facts.items() if fact.entry.computed}
        ordered = {name: fact for name, fact in facts.items() if name not in left}
        while left:
            waiting = {variable for fact in left.values() for variable in fact.variables}
            ready = [
                name
                for name, fact in left.items()
                if left.keys().isdisjoint(fact.used)
                and all(waiting.isdisjoint(condition.variables) for condition in fact.choosing)
            ]
            if not ready:
                held = self.sections["facts"][next(iter(left))]
                self._refuse(held, ("computed",), "it is computed from itself", "break the circle of formulas")
                return {**ordered, **left}
            ordered |= {name: left.pop(name) for name in ready}
        return ordered
