"""From entries to the compiled rule base: names resolved, conditions compiled, everything cross-checked.

Every fault is collected with file and line, so that one run of the check shows them all.
"""

from __future__ import annotations

import contextlib
from collections.abc import Callable, Iterable, Mapping
from typing import Any

from advisor.errors import Fault, FaultyFile
from advisor.knowledge import grammar
from advisor.knowledge.binding import Binder
from advisor.knowledge.conditions import Condition
from advisor.knowledge.entries import RangeEntry, SourceEntry
from advisor.knowledge.facts import compile_facts, compile_implied, cut_points
from advisor.knowledge.formulas import Formula, closest, compile_formula
from advisor.knowledge.grammar import GrammarError
from advisor.knowledge.merging import Held, Merged
from advisor.knowledge.rulebase import (
    Argument,
    Check,
    Control,
    Decision,
    Expectation,
    Fact,
    Finding,
    Hazard,
    Material,
    Quantity,
    QuantityCase,
    Referral,
    RuleBase,
    Source,
    Step,
    Threshold,
    Variable,
    Weighing,
)
from advisor.knowledge.sourcing import resolve_sources
from advisor.knowledge.texts import placeholder_names
from advisor.measures import DIMENSIONLESS, Dimension, Range, Unit, unit_named
from advisor.measures.units import MeasureError, parse_measure

_GRAMS = unit_named("g")


def compile_rule_base(merged: Merged, fingerprint: str = "") -> RuleBase:
    """Compile merged entries.

    Raises:
        FaultyFile: With every fault found in the entries.
    """
    faults = list(merged.faults)
    if merged.base is None or faults:
        raise FaultyFile(faults)
    compiler = _Compiler(merged, faults)
    rule_base = compiler.run(fingerprint)
    if faults:
        raise FaultyFile(faults)
    return rule_base


class _Compiler:
    """Compiles one rule base; each method handles one section."""

    def __init__(self, merged: Merged, faults: list[Fault]) -> None:
        self.merged = merged
        self.sections = merged.sections
        self.faults = faults
        assert merged.base is not None
        self.base = merged.base.entry

    def run(self, fingerprint: str) -> RuleBase:
        self.thresholds = dict(self._each("thresholds", self._threshold))
        written = self._parse_conditions()
        limits = {name: (threshold.amount.likely, threshold.unit.dimension) for name, threshold in self.thresholds.items()}
        cuts = cut_points(written.values(), limits)
        self.facts, variables = compile_facts(self.sections["facts"], cuts, self.base.groups, self.faults)
        self.decision_variables: dict[str, Variable] = {}
        for name, held in self.sections["decisions"].items():
            titles = tuple(held.entry.options)
            variable = Variable(len(variables), name, "", titles)
            variables.append(variable)
            self.decision_variables[name] = variable
        decision_entries = {name: held.entry for name, held in self.sections["decisions"].items()}
        self.binder = Binder(self.facts, variables, decision_entries, self.decision_variables, limits)
        self.written = written
        findings = dict(self._each("findings", self._finding))
        self.facts = {name: self._with_implied(name, fact) for name, fact in self.facts.items()}
        self.materials = dict(self._each("materials", self._material))
        self.dimensions: dict[str, Dimension] = {
            **{name: fact.unit.dimension for name, fact in self.facts.items() if fact.unit},
            **{name: threshold.unit.dimension for name, threshold in self.thresholds.items()},
        }
        # Quantities may use each other in any order, so their units are known before their formulas are read.
        for name, held in self.sections["quantities"].items():
            with contextlib.suppress(MeasureError):
                self.dimensions[name] = unit_named(held.entry.unit).dimension
        quantities: dict[str, Quantity] = dict(self._each("quantities", self._quantity))
        amounts = dict(self._each("amounts", self._amount))
        self.placeholders = {*quantities, *self.thresholds, *self.materials}
        fact_dimensions = dict(self.dimensions)
        self.dimensions.update({name: _GRAMS.dimension for name in self.materials})
        arguments = dict(self._each("arguments", self._argument))
        decisions = {
            name: decision
            for name, decision in self._each("decisions", lambda n, h: self._decision(n, h, arguments.values()))
        }
        hazards = dict(self._each("hazards", self._hazard))
        self.hazard_ids = set(self.sections["hazards"])
        result = RuleBase(
            title=self.base.title,
            strengths=self.base.strengths,
            groups=self.base.groups,
            stages=self.base.stages,
            sources={name: held.entry for name, held in self.sections["sources"].items()},
            variables=tuple(variables),
            facts=self.facts,
            thresholds=self.thresholds,
            findings=findings,
            decisions=decisions,
            arguments=arguments,
            hazards=hazards,
            steps=dict(self._each("steps", self._step)),
            materials=self.materials,
            quantities=quantities,
            amounts=amounts,
            expectations=dict(self._each("expectations", self._expectation)),
            referrals=dict(self._each("referrals", self._referral)),
            checks=dict(self._each("checks", lambda n, h: self._check(n, h, fact_dimensions))),
            fingerprint=fingerprint,
            layers=tuple(self.merged.layers),
            overrides=tuple(self.merged.overrides),
        )
        self._check_order_of_decisions(result)
        self._check_circles(result)
        return result

    # Conditions -------------------------------------------------------------------------------------

    def _parse_conditions(self) -> dict[str, grammar.Written]:
        """Every condition text in the rule base, parsed once; needed before facts to find the limits compared with."""
        written: dict[str, grammar.Written] = {}
        for section, name, held, path, text in self._condition_texts():
            if text not in written:
                try:
                    written[text] = grammar.parse_condition(text)
                except GrammarError as problem:
                    self.faults.append(held.fault(section, name, path, problem.wrong, problem.right))
        return written

    def _condition_texts(self) -> Iterable[tuple[str, str, Held, tuple[str | int, ...], str]]:
        for section, entries in self.sections.items():
            for name, held in entries.items():
                entry = held.entry
                if getattr(entry, "when", None) is not None:
                    yield section, name, held, ("when",), entry.when
                for list_name in ("controls", "cases", "implied"):
                    for position, part in enumerate(getattr(entry, list_name, ())):
                        if part.when is not None:
                            yield section, name, held, (list_name, position, "when"), part.when

    def _condition(self, section: str, name: str, held: Held, text: str, path: tuple[str | int, ...] = ("when",)) -> Condition:
        try:
            return self.binder.condition(text, self.written[text])
        except GrammarError as problem:
            self.faults.append(held.fault(section, name, path, problem.wrong, problem.right))
        except KeyError:
            pass  # Its text had a fault that is already reported.
        return self.binder.never()

    # Sections ---------------------------------------------------------------------------------------

    def _each(self, section: str, make: Callable[[str, Held], Any]) -> Iterable[tuple[str, Any]]:
        for name, held in self.sections[section].items():
            made = make(name, held)
            if made is not None:
                yield name, made

    def _sources(self, section: str, name: str, held: Held, given: str | list[str] | None) -> tuple[Source, ...]:
        entries: Mapping[str, SourceEntry] = {key: value.entry for key, value in self.sections["sources"].items()}
        sources, problems = resolve_sources(given, entries)
        for wrong, right in problems:
            self.faults.append(held.fault(section, name, ("source",), wrong, right))
        return sources

    def _threshold(self, name: str, held: Held) -> Threshold | None:
        entry = held.entry
        number, _, unit_text = entry.value.partition(" ")
        try:
            unit = unit_named(unit_text) if unit_text else _PLAIN
        except MeasureError:
            unit = None
        if unit is None or not _is_number(number):
            self.faults.append(held.fault("thresholds", name, ("value",), f"'{entry.value}' is not an amount", "write a number and a unit, for example 5 %"))
            return None
        try:
            amount = parse_measure(entry.value, unit)
        except MeasureError as problem:
            self.faults.append(held.fault("thresholds", name, ("value",), str(problem), "write a number and a unit"))
            return None
        return Threshold(name, entry, unit, amount, self._sources("thresholds", name, held, entry.source), held.origin)

    def _finding(self, name: str, held: Held) -> Finding | None:
        clash = name in self.facts or name in self.decision_variables
        if clash:
            self.faults.append(held.fault("findings", name, (), "a fact or decision has the same name", "choose another name"))
            return None
        condition = self._condition("findings", name, held, held.entry.when)
        finding = Finding(name, held.entry.means, condition, held.origin)
        self.binder.add_finding(finding)
        return finding

    def _with_implied(self, name: str, fact: Fact) -> Fact:
        held = self.sections["facts"][name]
        implied = compile_implied(
            fact,
            held,
            lambda text, path: self._condition("facts", name, held, text, path),
            self.binder.variables,
            self.faults,
        )
        self._sources("facts", name, held, fact.entry.source)
        return Fact(
            name, fact.entry, fact.unit, fact.least, fact.most, fact.when_unknown, fact.cuts, fact.variables, implied, fact.origin
        )

    def _material(self, name: str, held: Held) -> Material:
        entry = held.entry
        density = self._range("materials", name, held, entry.bulk_density, "bulk_density", "g/ml")
        if entry.price is not None and entry.price not in self.facts:
            self.faults.append(held.fault("materials", name, ("price",), f"there is no fact '{entry.price}'", "name a price fact" + closest(entry.price, self.facts)))
        return Material(name, entry, density, self._sources("materials", name, held, entry.source), held.origin)

    def _range(self, section: str, name: str, held: Held, given: str | RangeEntry | None, field: str, unit: str) -> Range | None:
        if given is None:
            return None
        try:
            if isinstance(given, RangeEntry):
                low, likely, high = (parse_measure(text, unit_named(unit)).likely for text in (given.low, given.likely, given.high))
                return Range(low, likely, high)
            return parse_measure(given, unit_named(unit))
        except (MeasureError, ValueError) as problem:
            self.faults.append(held.fault(section, name, (field,), str(problem), f"write an amount in {unit}, for example  5 to 10 {unit}"))
            return None

    def _formula(self, section: str, name: str, held: Held, text: str, path: tuple[str | int, ...], dimensions: Mapping[str, Dimension]) -> Formula | None:
        try:
            return compile_formula(text, grammar.parse_formula(text), dimensions)
        except GrammarError as problem:
            self.faults.append(held.fault(section, name, path, problem.wrong, problem.right))
            return None

    def _quantity(self, name: str, held: Held) -> Quantity | None:
        entry = held.entry
        try:
            unit = unit_named(entry.unit)
        except MeasureError as problem:
            self.faults.append(held.fault("quantities", name, ("unit",), str(problem), "use a known unit"))
            return None
        if name in self.facts or name in self.thresholds:
            self.faults.append(held.fault("quantities", name, (), "a fact or threshold has the same name", "choose another name"))
        cases: list[QuantityCase] = []
        written = [(None, entry.formula, ("formula",))] if entry.formula else [
            (case.when, case.formula, ("cases", position, "formula")) for position, case in enumerate(entry.cases)
        ]
        for position, (when, text, path) in enumerate(written):
            formula = self._formula("quantities", name, held, text, path, self._with_materials())
            condition = None if when is None else self._condition("quantities", name, held, when, ("cases", position, "when"))
            if formula is None:
                continue
            if formula.dimension != unit.dimension:
                self.faults.append(held.fault("quantities", name, path, f"this does not give {unit.symbol}", f"write a formula that gives {unit.symbol}"))
            cases.append(QuantityCase(condition, formula))
        return Quantity(name, entry, unit, tuple(cases), self._sources("quantities", name, held, entry.source), held.origin)

    def _with_materials(self) -> dict[str, Dimension]:
        """Dimensions of all names a formula may use; a material's name means its weighed amount in grams."""
        return {**self.dimensions, **{material: _GRAMS.dimension for material in self.materials}}

    def _amount(self, name: str, held: Held) -> Weighing | None:
        entry = held.entry
        if entry.material not in self.materials:
            self.faults.append(held.fault("amounts", name, ("material",), f"there is no material '{entry.material}'", "name a material" + closest(entry.material, self.materials)))
        formula = self._formula("amounts", name, held, entry.of, ("of",), self._with_materials())
        if formula is None:
            return None
        if formula.dimension != _GRAMS.dimension:
            self.faults.append(held.fault("amounts", name, ("of",), "this is not a mass", "use a formula that gives grams"))
        parts = Range(entry.parts.low, entry.parts.likely, entry.parts.high)
        condition = self._condition("amounts", name, held, entry.when)
        return Weighing(entry, condition, formula, parts, self._sources("amounts", name, held, entry.source), held.origin)

    def _argument(self, name: str, held: Held) -> Argument | None:
        entry = held.entry
        named = [entry.about] if isinstance(entry.about, str) else entry.about
        pairs = [tuple(text.split(".", 1)) if "." in text else (text, "") for text in named]
        decision = pairs[0][0]
        for position, (about, option) in enumerate(pairs):
            known = self.sections["decisions"].get(about)
            if known is None:
                self.faults.append(held.fault("arguments", name, ("about",), f"there is no decision '{about}'", "write decision.option" + closest(about, self.sections["decisions"])))
                return None
            if option not in known.entry.options:
                self.faults.append(held.fault("arguments", name, ("about",), f"'{about}' has no option '{option}'", f"options are {', '.join(known.entry.options)}" + closest(option, known.entry.options)))
                return None
            if position and about != decision:
                self.faults.append(held.fault("arguments", name, ("about",), "this speaks about two decisions", "write one argument for each"))
                return None
            if entry.says == "rule_out" and option == known.entry.fallback:
                self.faults.append(held.fault("arguments", name, ("about",), f"'{option}' is the fallback of '{about}' and cannot be ruled out", "speak against it instead"))
        weight = 0
        if entry.strength is not None:
            if entry.strength not in self.base.strengths:
                self.faults.append(held.fault("arguments", name, ("strength",), f"there is no strength '{entry.strength}'", f"use one of {', '.join(self.base.strengths)}"))
                return None
            weight = self.base.strengths[entry.strength] * (1 if entry.says == "for" else -1)
        condition = self._condition("arguments", name, held, entry.when)
        if entry.status == "retired":
            condition = self.binder.never()
        return Argument(entry, decision, tuple(option for _, option in pairs), weight, condition, self._sources("arguments", name, held, entry.source), held.origin)

    def _decision(self, name: str, held: Held, arguments: Iterable[Argument]) -> Decision:
        entry = held.entry
        for field, options in (("fallback", [entry.fallback]), ("stops", entry.stops), ("tie_order", entry.tie_order)):
            for option in options:
                if option not in entry.options:
                    self.faults.append(held.fault("decisions", name, (field,), f"'{name}' has no option '{option}'", f"options are {', '.join(entry.options)}"))
        mine = tuple(argument for argument in arguments if argument.decision == name)
        return Decision(name, entry, self.decision_variables[name].index, tuple(entry.options), mine, held.origin)

    def _hazard(self, name: str, held: Held) -> Hazard:
        entry = held.entry
        sources = self._sources("hazards", name, held, entry.source)
        controls = []
        for position, control in enumerate(entry.controls):
            condition = None
            if control.when is not None:
                condition = self._condition("hazards", name, held, control.when, ("controls", position, "when"))
            own = self._sources("hazards", name, held, control.source) if control.source else sources
            controls.append(Control(control.do, condition, own))
        return Hazard(entry, self._condition("hazards", name, held, entry.when), tuple(controls), sources, held.origin)

    def _step(self, name: str, held: Held) -> Step:
        entry = held.entry
        if entry.stage not in self.base.stages:
            self.faults.append(held.fault("steps", name, ("stage",), f"there is no stage '{entry.stage}'", f"use one of {', '.join(self.base.stages)}"))
        for field, wanted, known in (("uses", entry.uses, self.materials), ("hazards", entry.hazards, self.hazard_ids)):
            for one in wanted:
                if one not in known:
                    self.faults.append(held.fault("steps", name, (field,), f"there is no '{one}'", "name an existing one" + closest(one, list(known))))
        for field in ("do", "look_for"):
            for placeholder in placeholder_names(getattr(entry, field) or ""):
                if placeholder not in self.placeholders:
                    self.faults.append(held.fault("steps", name, (field,), f"'{{{placeholder}}}' is not a material, quantity or threshold", "name an existing one" + closest(placeholder, list(self.placeholders))))
        return Step(
            entry,
            self._condition("steps", name, held, entry.when),
            tuple(placeholder_names(f"{entry.do} {entry.look_for or ''}")),
            self._range("steps", name, held, entry.temperature, "temperature", "C"),
            self._range("steps", name, held, entry.time, "time", "min"),
            self._sources("steps", name, held, entry.source),
            held.origin,
        )

    def _expectation(self, name: str, held: Held) -> Expectation:
        entry = held.entry
        formula = self._formula("expectations", name, held, entry.formula, ("formula",), self.dimensions) if entry.formula else None
        if formula is not None and formula.dimension != _GRAMS.dimension:
            self.faults.append(held.fault("expectations", name, ("formula",), "this is not a mass", "use a formula that gives grams"))
        parts = Range(entry.parts.low, entry.parts.likely, entry.parts.high) if entry.parts else Range.exact(1.0)
        return Expectation(entry, self._condition("expectations", name, held, entry.when), formula, parts, self._sources("expectations", name, held, entry.source), held.origin)

    def _referral(self, name: str, held: Held) -> Referral:
        return Referral(held.entry, self._condition("referrals", name, held, held.entry.when), self._sources("referrals", name, held, held.entry.source), held.origin)

    def _check(self, name: str, held: Held, dimensions: Mapping[str, Dimension]) -> Check | None:
        formula = self._formula("checks", name, held, held.entry.formula, ("formula",), dimensions)
        limit = self._limit(name, held)
        if formula is None or limit is None:
            return None
        value, dimension = limit
        if dimension != formula.dimension:
            self.faults.append(held.fault("checks", name, ("at_most",), "the limit measures something else than the formula", "use the same kind of quantity"))
        return Check(held.entry, formula, value, held.origin)

    def _limit(self, name: str, held: Held) -> tuple[float, Dimension] | None:
        formula = self._formula("checks", name, held, held.entry.at_most, ("at_most",), {})
        return None if formula is None else (formula.value({}).likely, formula.dimension)

    def _check_order_of_decisions(self, rule_base: RuleBase) -> None:
        """A decision may only be tested by rules that are evaluated after it."""
        index = {decision.variable: position for position, decision in enumerate(rule_base.decisions.values())}
        for position, decision in enumerate(rule_base.decisions.values()):
            for argument in decision.arguments:
                later = [v for v in argument.condition.variables if index.get(v, -1) >= position]
                if later:
                    name = rule_base.variables[later[0]].name
                    held = self.sections["arguments"][argument.id]
                    self.faults.append(held.fault("arguments", argument.id, ("when",), f"this tests '{name}', which is decided later", f"test only facts and decisions before '{decision.name}'"))
        for fact in rule_base.facts.values():
            for implied in fact.implied:
                if implied.condition.variables & set(index):
                    held = self.sections["facts"][fact.name]
                    self.faults.append(held.fault("facts", fact.name, ("implied",), "this tests a decision", "test only facts"))


    def _check_circles(self, rule_base: RuleBase) -> None:
        """No quantity or amount may need itself."""
        needs: dict[str, set[str]] = {name: set() for name in (*rule_base.quantities, *rule_base.materials)}
        for name, quantity in rule_base.quantities.items():
            needs[name] = {used for case in quantity.cases for used in case.formula.names}
        for amount in rule_base.amounts.values():
            needs.setdefault(amount.entry.material, set()).update(amount.of.names)
        for name in needs:
            if name in _reached_from(name, needs):
                section = "quantities" if name in rule_base.quantities else "materials"
                held = self.sections[section][name]
                self.faults.append(held.fault(section, name, (), "its amount is computed from itself", "break the circle of formulas"))


def _reached_from(start: str, needs: Mapping[str, set[str]]) -> set[str]:
    seen: set[str] = set()
    waiting = list(needs.get(start, ()))
    while waiting:
        name = waiting.pop()
        if name not in seen:
            seen.add(name)
            waiting.extend(needs.get(name, ()))
    return seen


_PLAIN = Unit("", DIMENSIONLESS, 1.0)


def _is_number(text: str) -> bool:
    try:
        float(text)
    except ValueError:
        return False
    return True
