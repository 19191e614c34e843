"""Compiles what is counted and weighed: thresholds, materials, quantities, amounts, expectations, checks."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from advisor.rulebase.compiling.context import GRAMS, Context
from advisor.rulebase.language.formulas import closest
from advisor.rulebase.model import (
    Check,
    Expectation,
    Fact,
    Material,
    MineralRecord,
    Quantity,
    QuantityCase,
    Threshold,
    WeighedAmount,
)
from advisor.rulebase.reading.layers import LocatedEntry
from advisor.units import DIMENSIONLESS, Dimension, Range, Unit, unit_named
from advisor.units.measures import MeasureError, parse_measure
from advisor.words import tr


class AmountCompiler(Context):
    """Compiles the sections with amounts."""

    def _threshold(self, name: str, held: LocatedEntry) -> Threshold | None:
        entry = held.entry
        number, _, unit_text = entry.value.partition(" ")
        try:
            unit = unit_named(unit_text) if unit_text else _PLAIN
        except MeasureError:
            unit = None
        if unit is None or not _is_number(number):
            self._refuse(
                held,
                ("value",),
                tr("'{written}' is not an amount", written=entry.value),
                tr("write a number and a unit, for example 5 %"),
            )
            return None
        try:
            amount = parse_measure(entry.value, unit)
        except MeasureError as problem:
            self._refuse(held, ("value",), str(problem), tr("write a number and a unit"))
            return None
        return Threshold(name, entry, unit, amount, self._sources(held, entry.source), held.origin)

    def _material(self, name: str, held: LocatedEntry) -> Material:
        entry = held.entry
        density = self._range(held, entry.bulk_density, "bulk_density", "g/ml")
        self._link(held, "price", tr("price"), "money/kg")
        self._link(held, "stock", tr("mass"), "g")
        return Material(name, entry, density, self._sources(held, entry.source), held.origin)

    def _link(self, held: LocatedEntry, key: str, what: str, unit: str) -> None:
        """The fact that a material names for its price or its stock must be there and be one."""
        named = getattr(held.entry, key)
        if named is None:
            return
        if named not in self.facts:
            right = tr("name a {key} fact", key=key) + closest(named, self.facts)
            self._refuse(held, (key,), tr("there is no fact '{named}'", named=named), right)
        elif (of_fact := self.facts[named].unit) is None or of_fact.dimension != unit_named(unit).dimension:
            self._refuse(
                held,
                (key,),
                tr("'{named}' is not a {what}", named=named, what=what),
                tr("name a fact in {unit}", unit=unit),
            )

    def _quantity(self, name: str, held: LocatedEntry) -> Quantity | None:
        entry = held.entry
        try:
            unit = unit_named(entry.unit)
        except MeasureError as problem:
            self._refuse(held, ("unit",), str(problem), tr("use a known unit"))
            return None
        if name in self.facts or name in self.thresholds:
            self._refuse(held, (), tr("a fact or threshold has the same name"), tr("choose another name"))
        cases: list[QuantityCase] = []
        written = (
            [(None, entry.formula, ("formula",))]
            if entry.formula
            else [
                (case.when, case.formula, ("cases", position, "formula")) for position, case in enumerate(entry.cases)
            ]
        )
        for position, (when, text, path) in enumerate(written):
            formula = self._formula(held, text, path, self._with_materials())
            condition = None if when is None else self._condition(held, when, ("cases", position, "when"))
            if formula is None:
                continue
            if formula.dimension != unit.dimension:
                self._refuse(
                    held,
                    path,
                    tr("this does not give {symbol}", symbol=unit.symbol),
                    tr("write a formula that gives {symbol}", symbol=unit.symbol),
                )
            cases.append(QuantityCase(condition, formula))
        return Quantity(
            name,
            entry,
            unit,
            tuple(cases),
            self._sources(held, entry.source),
            held.origin,
        )

    def _amount(self, _: str, held: LocatedEntry) -> WeighedAmount | None:
        entry = held.entry
        if entry.material not in self.materials:
            self._refuse(
                held,
                ("material",),
                tr("there is no material '{material}'", material=entry.material),
                tr("name a material") + closest(entry.material, self.materials),
            )
        formula = self._formula(held, entry.of, ("of",), self._with_materials())
        if formula is None:
            return None
        if formula.dimension != GRAMS.dimension:
            self._refuse(held, ("of",), tr("this is not a mass"), tr("use a formula that gives grams"))
        parts = Range(entry.parts.low, entry.parts.likely, entry.parts.high)
        condition = self._condition(held, entry.when)
        return WeighedAmount(entry, condition, formula, parts, self._sources(held, entry.source), held.origin)

    def _expectation(self, _: str, held: LocatedEntry) -> Expectation:
        entry = held.entry
        formula = self._formula(held, entry.formula, ("formula",), self.dimensions) if entry.formula else None
        if formula is not None and formula.dimension != GRAMS.dimension:
            self._refuse(held, ("formula",), tr("this is not a mass"), tr("use a formula that gives grams"))
        parts = Range(entry.parts.low, entry.parts.likely, entry.parts.high) if entry.parts else Range.exact(1.0)
        return Expectation(
            entry,
            self._condition(held, entry.when),
            formula,
            parts,
            self._sources(held, entry.source),
            held.origin,
        )

    def _check(self, held: LocatedEntry, dimensions: Mapping[str, Dimension]) -> Check | None:
        entry = held.entry
        condition = self._condition(held, entry.when) if entry.when is not None else None
        if entry.formula is None:
            return Check(entry, None, None, None, condition, held.origin)
        formula = self._formula(held, entry.formula, ("formula",), dimensions)
        field, written = ("at_most", entry.at_most) if entry.at_most is not None else ("at_least", entry.at_least)
        limit = self._limit(held, field, written)
        if formula is None or limit is None:
            return None
        value, dimension = limit
        if dimension != formula.dimension:
            self._refuse(
                held,
                (field,),
                tr("the limit measures something else than the formula"),
                tr("use the same kind of quantity"),
            )
        most, least = (value, None) if field == "at_most" else (None, value)
        return Check(entry, formula, most, least, condition, held.origin)

    def _mineral(self, name: str, held: LocatedEntry) -> MineralRecord:
        sources = self._sources(held, held.entry.source)
        density = self._range(held, held.entry.density, "density", "g/ml")
        return MineralRecord(name, held.entry, density or Range.exact(1.0), sources, held.origin)

    def _limit(self, held: LocatedEntry, field: str, written: str) -> tuple[float, Dimension] | None:
        formula = self._formula(held, written, (field,), {})
        if formula is None:
            return None
        try:
            return formula.value({}).likely, formula.dimension
        except (ZeroDivisionError, ValueError):
            wrong = tr("'{written}' is not a number", written=written[:60])
            self._refuse(held, (field,), wrong, tr("write a number and a unit"))
            return None


_PLAIN = Unit("", DIMENSIONLESS, 1.0)


def _is_number(text: str) -> bool:
    try:
        float(text)
    except ValueError:
        return False
    return True


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
                self._refuse(held, (*path, "when"), tr("this tests a decision"), tr("test only facts"))
            if formula is None:
                continue
            if formula.dimension != fact.unit.dimension:
                wrong = tr("this does not give {symbol}", symbol=fact.unit.symbol)
                self._refuse(
                    held, (*path, "formula"), wrong, tr("write a formula that gives {symbol}", symbol=fact.unit.symbol)
                )
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
                self._refuse(held, ("computed",), tr("it is computed from itself"), tr("break the circle of formulas"))
                return {**ordered, **left}
            ordered |= {name: left.pop(name) for name in ready}
        return ordered
